"""Rule about the fill of raceways: mixed conductors by area, conductors all alike by count."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.runs_of import RACEWAYS, known_length, pieces, raceway_runs, sets_in_each_run, step_length
from handover.record.wiring import Conductor, Run, Wiring
from handover.tables.lookups import conductor_area
from handover.tables.raceway_lookups import Fill, fill_percent, nipple_length, raceway_area, raceway_diameter
from handover.tables.reader import Looked, NoRow
from handover.units import Quantity, magnitude, number_text, quantity, show

_ONE_MORE = 0.8  # Chapter 9 Table 1, note 7


@rule("raceway_fill", "Is there room enough in the pipe for the wires to stay cool and be pulled?")
def raceway_fill(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The area of all conductors in a raceway, ground wires too, against the share that may be filled.

    Source: NEC Chapter 9 Table 1 with notes 3, 4 (nipple to 24 in: 60 %), 7 (conductors all alike) and 8 (bare ones);
    areas of Tables 4, 5 and 8 as printed.  Parallel sets count as often as they lie in the raceway.  A path of several
    kinds of raceway is judged by the narrowest.  Unit: in².
    """
    for run in raceway_runs(job):
        case = job.case(raceway_fill, run.code, section="Chapter 9 Table 1")
        with case:
            _fill(case, run)
        yield case.result


def _fill(case: Case, run: Run) -> None:
    size = case.fact("size", f"trade size of {run.code}", run.trade_size)
    conductors = [
        (wiring, entry, entry.count * sets_in_each_run(case, wiring))
        for wiring in _carried(case, run)
        for entry in wiring.conductors
    ]
    count = sum(number for _, _, number in conductors)
    kind = _fill_kind(case, run, count)
    used = quantity(0, "square_inch")
    alike: set[float] = set()
    for wiring, entry, number in conductors:
        each = _area(case, wiring, entry)
        alike.add(magnitude(each, "square_inch"))
        case.step(f"{wiring.code}, {entry.role}: count × area", f"{number} × {show(each)}", each * number)
        used = used + each * number
    case.step("sum of all conductors", f"{count} in {run.code}", used)
    narrowest, allowed = _allowed(case, run, size, kind)
    share = fill_percent(kind, case.job.edition)
    case.given("share", f"share that {count} conductors may fill", share.value, share.source)
    if len(alike) == 1 and fit_by_note_7(case, Alike(narrowest, size, next(iter(alike)), count, share), allowed):
        case.holds(True, f"All {count} conductors are alike, and note 7 allows so many.")
        return
    if less(allowed, used) and kind != "nipple" and _perhaps_a_nipple(case, run):
        at_most = _allowed(case, run, size, "nipple")[1]
        if not less(at_most, used):
            raise Undecided(
                f"It is too full unless {run.code} is a nipple of 24 in or less, bends counted: 60 percent then. "
                "Record radius and angle of its bends, or their lengths."
            )
    told = f"The wires take {show(used)} of the {show(allowed)} that may be filled."
    case.compare(value=used, limit=allowed, at_least=False, reason=told)


def _allowed(case: Case, run: Run, size: str, kind: Fill) -> tuple[str, Quantity]:
    """The narrowest kind of raceway in the path, and the area that may be filled in it."""
    methods = sorted({piece.method for piece in pieces(run) if piece.method in RACEWAYS} | {run.method})
    found = {method: raceway_area(method, size, kind, case.job.edition) for method in methods}
    narrowest = min(found, key=lambda method: magnitude(found[method].value, "square_inch"))
    share = show(fill_percent(kind, case.job.edition).value)
    return narrowest, case.looked("A allowed", f"area that may be filled, {share}", found[narrowest])


def _carried(case: Case, run: Run) -> list[Wiring]:
    carried = case.job.installation.carried_by(run)
    if not carried:
        raise Undecided(f"No circuit or feeder is recorded as lying in {run.code}.")
    for wiring in carried:
        if not wiring.conductors:
            raise Undecided(f"The conductors of {wiring.code} in {run.code} are not recorded.")
    return carried


def _fill_kind(case: Case, run: Run, count: int) -> Fill:
    length, longest = known_length(run), nipple_length(case.job.edition)
    if length is not None and not less(longest.value, length):
        case.looked("nipple", f"{run.code} is {show(length, 'inch')} long: a nipple up to", longest)
        return "nipple"
    return "one" if count == 1 else "two" if count == 2 else "over two"


def _perhaps_a_nipple(case: Case, run: Run) -> bool:
    """Whether only bends of unknown length stand between the run and a nipple."""
    if not run.path or known_length(run) is not None:
        return False
    if any(step.step == "straight" and step.length.value is None for step in run.path):
        return False
    straight = sum((step_length(step) or quantity(0, "foot") for step in run.path), start=quantity(0, "foot"))
    return not less(nipple_length(case.job.edition).value, straight)


def _area(case: Case, wiring: Wiring, entry: Conductor) -> Quantity:
    size = case.fact("size", f"size, {wiring.code}, {entry.role}", entry.size)
    marking = case.fact("insulation", f"insulation, {wiring.code}, {entry.role}", entry.insulation)
    return case.looked("A", f"area of one conductor, {size}", conductor_area(size, marking, case.job.edition))


@dataclass(frozen=True, slots=True)
class Alike:
    """Conductors all alike in one raceway: what note 7 of Chapter 9 is about."""

    method: str
    trade_size: str
    each: float
    count: int
    share: Looked[Quantity]

    def fit(self, area: Quantity) -> int:
        """How many fit into an area: a rest of 0.8 or more counts as one more."""
        quotient = magnitude(area, "square_inch") / self.each
        whole = int(quotient + 1e-9)
        return whole + (quotient - whole >= _ONE_MORE - 1e-9)


def fit_by_note_7(case: Case, alike: Alike, allowed: Quantity) -> bool:
    """Whether note 7 lets conductors all alike pass that take more than the area.  Undecided where figures are coarse.

    Decided on the printed columns of Tables 4 and 5, which anybody can redo.  Annex C counts from the unrounded
    inside diameter: in the few cells where that gives another count (the quotient a hair from 0.8), neither answer is
    told as certain.
    """
    printed = alike.fit(allowed)
    try:
        diameter = raceway_diameter(alike.method, alike.trade_size, case.job.edition)
    except NoRow:
        exact = printed
    else:
        inside = math.pi / 4 * magnitude(diameter.value, "inch") ** 2 * magnitude(alike.share.value, "dimensionless")
        exact = alike.fit(quantity(inside, "square_inch"))
    if (printed < alike.count) != (exact < alike.count):
        raise Undecided(
            f"{alike.count} conductors all alike are at the edge: {printed} by the printed areas, {exact} by the "
            f"inside diameter. Read Annex C of the adopted book for {alike.method} {alike.trade_size} in."
        )
    whole = alike.count * alike.each
    if printed < alike.count or whole <= magnitude(allowed, "square_inch") + 1e-9:
        return False
    numbers = f"{show(allowed)} / {number_text(alike.each)} in²"
    case.step("A allowed / A each, from 0.8 up one more (note 7)", numbers, str(printed))
    return True
