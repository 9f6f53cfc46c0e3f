"""Rules about pulling through boxes and conduit bodies: long enough for thick wires, wide enough for thin ones."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.filling import Alike, fit_by_note_7
from handover.checks.result import CheckResult
from handover.checks.runs_of import RACEWAYS
from handover.checks.scope import is_new
from handover.record.facts import Basis, WireSize
from handover.record.wiring import Box
from handover.tables.lookups import conductor_area
from handover.tables.raceway_lookups import Fill, fill_percent, raceway_area, raceway_inside
from handover.units import Quantity, magnitude, number_text, quantity, read_number, show

_THICK = WireSize("4", "AWG")  # from here on 314.28 sizes the box, below it 314.16
_STRAIGHT, _ANGLE, _APART = 8.0, 6.0, 6.0  # times a raceway's trade size, 314.28(A)
_TWICE = 2.0  # 314.16(C)(1)


def new_boxes(job: JobUnderCheck) -> list[Box]:
    """The boxes that are new or were changed."""
    return [box for box in job.record.boxes if is_new(box.work)]


def sizes_in(case: Case, box: Box) -> list[WireSize]:
    """The sizes of the conductors in a box, entry by entry; undecided where none were recorded."""
    if not box.conductors:
        raise Undecided(f"The conductors in {box.code} are not recorded.")
    return [
        case.fact("size", f"size, {entry.role}, entry {number} of {box.code}", entry.size)
        for number, entry in enumerate(box.conductors, 1)
    ]


def holds_thick(sizes: list[WireSize]) -> bool:
    """Whether any conductor is 4 AWG or larger."""
    return any(size.order >= _THICK.order for size in sizes)


@rule("conduit_body_size", "Is the conduit body right for the pipe and wires that it holds?")
def conduit_body_size(job: JobUnderCheck) -> Iterator[CheckResult]:
    """With splices: marked with its volume.  Without: its cross-section at least twice the largest raceway's.

    And no more conductors than that raceway may hold.  Where the cross-section is not recorded, a person says whether
    the body is a listed one for its pipe and no short-radius one.  From 4 AWG on rule ``pull_box_size`` judges it.
    One result a new conduit body.
    Source: NEC 314.16(C), as told by a trade magazine; Chapter 9 Tables 1, 4 and 5.  Unit: in².
    """
    for box in new_boxes(job):
        if box.kind != "conduit body":
            continue
        with job.case(conduit_body_size, box.code, section="314.16(C)") as case:
            if holds_thick(sizes_in(case, box)):
                raise NotApplicable("Conductors of 4 AWG and larger: 314.28 sizes it, rule pull_box_size.")
            if case.fact("", f"splices in {box.code}", box.spliced):
                _marked_with_volume(case, box)
            else:
                _judge_body(case, box)
        yield case.result


def _marked_with_volume(case: Case, box: Box) -> None:
    case.fact("V", f"volume of {box.code}", box.volume)
    if box.volume.basis is Basis.NAMEPLATE:
        case.holds(True, "It holds splices and is marked with its volume, against which rule box_fill counts them.")
    else:
        ask(case, "It holds splices: is it marked by its maker with its volume, and no short-radius body?")


def _judge_body(case: Case, box: Box) -> None:
    trade = case.fact("d", f"largest raceway into {box.code}", box.largest_raceway)
    methods = _methods(case, box)
    edition = case.job.edition
    used, count, areas = _wires(case, box)
    kind: Fill = "one" if count == 1 else "two" if count == 2 else "over two"
    rooms = {method: raceway_area(method, trade, kind, edition) for method in methods}
    narrowest = min(rooms, key=lambda method: magnitude(rooms[method].value, "square_inch"))
    share = fill_percent(kind, edition)
    room = case.looked("A allowed", f"area that may be filled, {show(share.value)}", rooms[narrowest])
    alike = Alike(narrowest, trade, areas.pop(), count, share) if len(areas) == 1 else None
    fits = alike is not None and fit_by_note_7(case, alike, room)
    if less(room, used) and not fits:
        told = f"Its conductors take {show(used)}, more than the {show(room)} that its pipe may hold."
        case.compare(value=used, limit=room, at_least=False, reason=told)
        return
    if not box.area.known:
        ask(case, "Is it a listed conduit body for the pipe that it is on, and no short-radius one?")
        return
    area = case.fact("A", f"cross-section of {box.code}", box.area)
    inside = [raceway_inside(method, trade, edition) for method in methods]
    largest = case.looked(
        "A pipe", "inside of the largest pipe", max(inside, key=lambda each: magnitude(each.value, "square_inch"))
    )
    needed: Quantity = largest * _TWICE
    case.step("2 × A pipe", f"{number_text(_TWICE)} × {show(largest)}", needed)
    told = f"Its cross-section is {show(area)}; twice that of its largest pipe is {show(needed)}."
    case.compare(value=area, limit=needed, at_least=True, reason=told)


def _methods(case: Case, box: Box) -> list[str]:
    """The kinds of raceway next to a box, by the runs that pass it."""
    found = set()
    for run in case.job.record.runs:
        for index, step in enumerate(run.path):
            if step.box == box.code:
                beside = (*run.path[max(0, index - 1) : index], *run.path[index + 1 : index + 2])
                found |= {each.method or run.method for each in beside} or {run.method}
    raceways: list[str] = sorted(method for method in found if method in RACEWAYS)
    if not raceways:
        raise Undecided(f"No run of raceway is recorded as passing {box.code}.")
    case.given("", f"raceways at {box.code}", ", ".join(raceways), "the record")
    return raceways


def _wires(case: Case, box: Box) -> tuple[Quantity, int, set[float]]:
    """The area of all conductors, how many they are, and the areas of one that occur."""
    used = quantity(0, "square_inch")
    areas: set[float] = set()
    for number, entry in enumerate(box.conductors, 1):
        size = case.fact("size", f"size, {entry.role}, entry {number} of {box.code}", entry.size)
        marking = case.fact("insulation", f"insulation, entry {number} of {box.code}", entry.insulation)
        each = case.looked("A", f"area of one conductor, {size}", conductor_area(size, marking, case.job.edition))
        case.step(f"{entry.role}: count × area", f"{entry.count} × {show(each)}", each * entry.count)
        used = used + each * entry.count
        areas.add(magnitude(each, "square_inch"))
    return used, sum(entry.count for entry in box.conductors), areas


@rule("pull_box_size", "Is the box long enough to pull thick wires through it?")
def pull_box_size(job: JobUnderCheck) -> Iterator[CheckResult]:
    """From 4 AWG on: 8 times the largest raceway in a straight pull.  One result a new box.

    For an angle or U pull, and for splices: from each row of raceways to the wall opposite 6 times the largest plus
    the sum of the others in that row, and 6 times the larger one between two raceways with the same conductors.  A
    row opposite a removable cover goes by another table and is not judged.  A conduit body may be smaller where it is
    marked for its wires: a person reads it.
    Source: NEC 314.28(A); the factors on a how-to page.  Unit: in.
    """
    for box in new_boxes(job):
        with job.case(pull_box_size, box.code, section="314.28(A)" + FROM_MEMORY) as case:
            if not holds_thick(sizes_in(case, box)):
                raise NotApplicable("All conductors are smaller than 4 AWG: rule box_fill sizes the box.")
            if box.kind == "conduit body":
                ask(case, "Is the body listed for these wires, or marked for their number and size (314.28(A)(3))?")
            else:
                _judge_pull(case, box)
        yield case.result


def _judge_pull(case: Case, box: Box) -> None:
    pull = case.fact("", f"pull through {box.code}", box.pull)
    if pull == "straight":
        trade = case.fact("d", f"largest raceway into {box.code}", box.largest_raceway)
        inside = case.fact("L", f"length of {box.code} along the pull", box.dimension)
        needed = _times(case, _STRAIGHT, trade)
        case.compare(value=inside, limit=needed, at_least=True)
        return
    if not box.rows:
        _judge_without_rows(case, box)
        return
    judged = [_row(case, box, number) for number in range(len(box.rows))]
    inside, needed = min(judged, key=lambda each: magnitude(each[0] - each[1], "inch"))
    if less(inside, needed) or not _asks_for_distance(box):
        case.compare(value=inside, limit=needed, at_least=True)
    else:
        _judge_distance(case, box, inside, needed)


def _times(case: Case, times: float, trade: str) -> Quantity:
    needed = quantity(times * read_number(trade), "inch")
    case.step(f"{times:g} × d", f"{times:g} × {trade} in", needed)
    return needed


def _judge_without_rows(case: Case, box: Box) -> None:
    trade = case.fact("d", f"largest raceway into {box.code}", box.largest_raceway)
    inside = case.fact("L", f"length of {box.code} along the pull", box.dimension)
    needed = _times(case, _ANGLE, trade)
    if not less(inside, needed):
        raise Undecided(
            f"{show(inside)} would do for one raceway; others in the same wall and row are to be added. Record the "
            f"rows of {box.code}: the raceways in each, and the distance to the wall opposite."
        )
    case.compare(value=inside, limit=needed, at_least=True)


def _row(case: Case, box: Box, index: int) -> tuple[Quantity, Quantity]:
    """The distance from one row to the wall opposite, and what is asked."""
    row, number = box.rows[index], index + 1
    sizes = case.fact(f"row {number}", f"raceways in row {number} of {box.code}", row.raceways)
    if row.opposite_cover:
        raise Undecided(f"Row {number} of {box.code} enters opposite the cover: read Table 312.6(A) for it.")
    inside = case.fact(f"L{number}", f"distance from row {number} to the wall opposite", row.to_opposite)
    numbers = sorted((read_number(size) for size in sizes), reverse=True)
    needed = quantity(_ANGLE * numbers[0] + sum(numbers[1:]), "inch")
    told = " + ".join([f"{_ANGLE:g} × {number_text(numbers[0])}", *(number_text(each) for each in numbers[1:])])
    case.step("6 × largest + the others of the row", f"{told} in", needed)
    return inside, needed


def _asks_for_distance(box: Box) -> bool:
    """Whether two raceways with the same conductors may enter: not where a single one does."""
    return sum(len(row.raceways.value or ()) for row in box.rows) > 1


def _judge_distance(case: Case, box: Box, inside: Quantity, needed: Quantity) -> None:
    apart = case.fact("a", f"least distance of raceways with the same conductors in {box.code}", box.raceways_apart)
    every = sorted((size for row in box.rows for size in row.raceways.value or ()), key=read_number)
    asked = _times(case, _APART, every[-1])
    if less(apart, asked):
        if not less(apart, _times(case, _APART, every[0])):
            raise Undecided(
                f"Raceways with the same conductors are {show(apart)} apart; {show(asked)} is asked of the largest. "
                "Say by hand whether it is one of them."
            )
        told = f"Raceways with the same conductors are {show(apart)} apart; {show(asked)} is asked."
        case.compare(value=apart, limit=asked, at_least=True, reason=told)
        return
    case.compare(value=inside, limit=needed, at_least=True)
