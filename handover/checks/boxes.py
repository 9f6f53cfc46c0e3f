"""Rule about boxes: room enough for the wires and devices in them."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.pull_boxes import conduit_body_size, holds_thick, new_boxes, pull_box_size, sizes_in
from handover.checks.result import CheckResult
from handover.record.facts import WireSize
from handover.record.wiring import Box
from handover.tables.box_lookups import allowance_multiple, conductor_allowance
from handover.units import Quantity, number_text, quantity, show


@rule("box_fill", "Is the box large enough for the wires and devices in it?")
def box_fill(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The volume to allow for every conductor, clamp and device against the volume of the box.  One result a new box.

    A conductor that passes through counts once, as recorded; all ground wires together once in 2017, from 2020 on once
    for the first four and a quarter for each more.  Each kind of stud or hickey counts once, each device yoke twice,
    and from 2023 on each terminal block once.  For a yoke or block the largest conductor in the box is taken, since
    the record does not say which ends on it.  A conduit body without a splice is sized by its raceways instead
    (314.16(C)).
    Source: NEC 314.16(A) and (B).  Unit: in³.
    """
    for box in new_boxes(job):
        with job.case(box_fill, box.code, section="314.16") as case:
            sizes = sizes_in(case, box)
            if holds_thick(sizes):
                raise NotApplicable("Conductors of 4 AWG and larger: 314.28 sizes the box, rule pull_box_size.")
            if box.kind == "conduit body" and not case.fact("", f"splices in {box.code}", box.spliced):
                raise NotApplicable("A conduit body without splices is sized by its raceways (314.16(C)).")
            _judge_fill(case, box, sizes)
        yield case.result


def _judge_fill(case: Case, box: Box, sizes: list[WireSize]) -> None:
    volume = case.fact("V box", f"volume of {box.code}", box.volume)
    wires = _wires(case, box, sizes)
    edition = case.job.edition
    counted = {entry.role for entry in box.conductors} - {"equipment ground"}
    insulated = [size for entry, size in zip(box.conductors, sizes, strict=True) if entry.role in counted] or sizes
    largest, smallest = (pick(insulated, key=lambda size: size.order) for pick in (max, min))
    clamps = case.fact("", f"clamps inside {box.code}", box.internal_clamps)
    devices = case.fact("n dev", f"device yokes in {box.code}", box.devices)
    top = max(sizes, key=lambda size: size.order)
    fittings = case.fact("n fit", f"kinds of studs and hickeys in {box.code}", box.support_fittings)
    fixed = _counted(case, top, "internal_clamps", int(clamps)) + _counted(case, top, "support_fitting", fittings)
    blocks = 0
    if allowance_multiple("terminal_block_assembly", edition) is not None:
        blocks = case.fact("n blk", f"terminal blocks in {box.code}", box.terminal_blocks)
    needed = wires + fixed + _yokes_and_blocks(case, largest, devices, blocks)
    case.step("wires + clamps and fittings + yokes and blocks", f"{show(wires)} + {show(fixed)} + the rest", needed)
    if less(volume, needed) and smallest != largest:
        least = wires + fixed + _yokes_and_blocks(case, smallest, devices, blocks)
        if not less(volume, least):
            raise Undecided(
                f"It is too small if the thickest wire ends on a device or block of {box.code}, else not. "
                "Say which does."
            )
    told = f"The box has {show(volume)}; what is in it asks for {show(needed)}."
    case.compare(value=volume, limit=needed, at_least=True, reason=told)


def _yokes_and_blocks(case: Case, size: WireSize, devices: int, blocks: int) -> Quantity:
    yokes = _counted(case, size, "device_or_equipment_yoke", devices)
    volume: Quantity = yokes + _counted(case, size, "terminal_block_assembly", blocks)
    return volume


def _counted(case: Case, size: WireSize, item: str, count: int) -> Quantity:
    """The volume for clamps, fittings, blocks or yokes: so many times that of the conductor."""
    found = allowance_multiple(item, case.job.edition)
    if found is None or not count:
        return quantity(0, "cubic_inch")
    times = case.looked(item, f"volumes for each {item.replace('_', ' ')}", found)
    volume: Quantity = _each(case, size) * times * count
    case.step(item.replace("_", " "), f"{count} × {number_text(times)} × {show(_each(case, size))}", volume)
    return volume


def _wires(case: Case, box: Box, sizes: list[WireSize]) -> Quantity:
    total = quantity(0, "cubic_inch")
    grounds: list[WireSize] = []
    for entry, size in zip(box.conductors, sizes, strict=True):
        if entry.role == "equipment ground":
            grounds += [size] * entry.count
            continue
        each = _each(case, size)
        case.step(f"{entry.role}: count × volume", f"{entry.count} × {show(each)}", each * entry.count)
        total = total + each * entry.count
    if not grounds:
        return total
    share = 1.0
    first = allowance_multiple("equipment_grounding_up_to_four", case.job.edition)
    more = allowance_multiple("equipment_grounding_each_over_four", case.job.edition)
    if first is not None:
        share = case.looked("grounds", "volumes for the first four" if more else "volumes for all of them", first)
    if more is not None:
        share += case.looked("more", "volumes for each further one", more) * max(0, len(grounds) - 4)
    each = _each(case, max(grounds, key=lambda size: size.order))
    case.step(f"{len(grounds)} ground wires", f"{number_text(share)} × {show(each)}", each * share)
    grown: Quantity = total + each * share
    return grown


def _each(case: Case, size: WireSize) -> Quantity:
    return case.looked(f"v {size.size}", f"volume for one {size}", conductor_allowance(size, case.job.edition))


RULES = (box_fill, conduit_body_size, pull_box_size)
