"""Rules about boxes: room enough for the wires and devices in them, and for pulling thick wires through."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.facts import WireSize
from handover.record.wiring import Box
from handover.tables.box_lookups import allowance_multiple, conductor_allowance
from handover.units import Quantity, number_text, quantity, read_number, show

_THICK = WireSize("4", "AWG")  # from here on 314.28 sizes the box, below it 314.16
_STRAIGHT, _ANGLE = 8.0, 6.0  # times the largest raceway's trade size, 314.28(A)


def _new_boxes(job: JobUnderCheck) -> list[Box]:
    return [box for box in job.record.boxes if is_new(box.work)]


def _sizes(case: Case, box: Box) -> list[WireSize]:
    if not box.conductors:
        raise Undecided(f"The conductors in {box.code} are not recorded.")
    return [
        case.fact("size", f"size, {entry.role}, entry {number} of {box.code}", entry.size)
        for number, entry in enumerate(box.conductors, 1)
    ]


@rule("box_fill", "Is the box large enough for the wires and devices in it?")
def box_fill(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The volume to allow for every conductor, clamp and device against the volume of the box.  One result a new box.

    A conductor that passes through counts once, as recorded; all ground wires together once for the first four and a
    quarter for each more.  For a device the largest conductor in the box is taken, since the record does not say which
    ends on it.  A conduit body without a splice is sized by its raceways instead (314.16(C)).
    Source: NEC 314.16(A) and (B).  Unit: in³.
    """
    for box in _new_boxes(job):
        with job.case(box_fill, box.code, section="314.16") as case:
            sizes = _sizes(case, box)
            if max(sizes, key=lambda size: size.order).order >= _THICK.order:
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
    for_clamps = quantity(0, "cubic_inch")
    if clamps:
        once = case.looked("clamps", "volumes for all clamps together", allowance_multiple("internal_clamps", edition))
        for_clamps = _each(case, top) * once
        case.step("clamps", f"{number_text(once)} × {show(_each(case, top))}", for_clamps)
    twice = allowance_multiple("device_or_equipment_yoke", edition)
    if devices:
        case.looked("yoke", "volumes for each device yoke", twice)
    needed, least = (wires + for_clamps + devices * twice.value * _each(case, size) for size in (largest, smallest))
    case.step("wires + clamps + devices", f"{show(wires)} + {show(for_clamps)} + {devices} × yoke", needed)
    if less(volume, needed) and not less(volume, least):
        raise Undecided(
            f"It is too small if the thickest wire ends on a device of {box.code}, else not. Say which does."
        )
    case.compare(value=volume, limit=needed, at_least=True)


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
    edition = case.job.edition
    first = case.looked(
        "grounds", "volumes for the first four", allowance_multiple("equipment_grounding_up_to_four", edition)
    )
    more = case.looked(
        "more", "volumes for each further one", allowance_multiple("equipment_grounding_each_over_four", edition)
    )
    share = first + more * max(0, len(grounds) - 4)
    each = _each(case, max(grounds, key=lambda size: size.order))
    case.step(f"{len(grounds)} ground wires", f"{number_text(share)} × {show(each)}", each * share)
    grown: Quantity = total + each * share
    return grown


def _each(case: Case, size: WireSize) -> Quantity:
    return case.looked(f"v {size.size}", f"volume for one {size}", conductor_allowance(size, case.job.edition))


@rule("pull_box_size", "Is the box long enough to pull thick wires through it?")
def pull_box_size(job: JobUnderCheck) -> Iterator[CheckResult]:
    """From 4 AWG on: 8 times the largest raceway in a straight pull, 6 times at least in an angle.  One a new box.

    An angle asks for the other raceways of the same wall too, which the record does not hold: undecided then.
    Source: NEC 314.28(A).  Unit: in.
    """
    for box in _new_boxes(job):
        with job.case(pull_box_size, box.code, section="314.28(A)" + FROM_MEMORY) as case:
            if max(_sizes(case, box), key=lambda size: size.order).order < _THICK.order:
                raise NotApplicable("All conductors are smaller than 4 AWG: rule box_fill sizes the box.")
            if box.kind == "conduit body":
                raise Undecided(f"Read on {box.code} for how many wires of which size it is marked (314.28(A)(3)).")
            _judge_pull(case, box)
        yield case.result


def _judge_pull(case: Case, box: Box) -> None:
    pull = case.fact("", f"pull through {box.code}", box.pull)
    if pull == "none":
        raise Undecided(f"No pull is recorded for {box.code}: with splices only, 314.28(A)(2) has to be read for it.")
    trade = case.fact("d", f"largest raceway into {box.code}", box.largest_raceway)
    inside = case.fact("L", f"length of {box.code} along the pull", box.dimension)
    times = _STRAIGHT if pull == "straight" else _ANGLE
    needed = quantity(times * read_number(trade), "inch")
    case.step(f"{times:g} × d", f"{times:g} × {trade} in", needed)
    if pull == "angle" and not less(inside, needed):
        raise Undecided(f"{show(inside)} would do for one raceway; others in the same wall and row are to be added.")
    case.compare(value=inside, limit=needed, at_least=True)


RULES = (box_fill, pull_box_size)
