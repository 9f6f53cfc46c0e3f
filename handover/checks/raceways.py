"""Rules about raceways and cables: how full, how bent, how held, how deep, and whether plastic may grow and shrink."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.bends import cable_bend_radius, raceway_bend_radius, raceway_bends
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.filling import raceway_fill
from handover.checks.result import CheckResult
from handover.checks.runs_of import (
    Piece,
    pieces,
    raceway_runs,
    recorded_pieces,
    runs_of_this_job,
)
from handover.checks.supports import pvc_straps_near_ends, raceway_support
from handover.checks.underground import burial_cover, emergence_protection, raceway_sealed, warning_ribbon
from handover.record.wiring import BENDS, Run
from handover.tables.raceway_lookups import (
    expansion_trigger,
    pvc_coefficient,
    sun_allowance,
)
from handover.units import Quantity, magnitude, number_text, quantity, show

_FAHRENHEIT = "degree_Fahrenheit"


_THIN_WALLED = ("PVC schedule 40", "LFNC-A", "LFNC-B", "ENT")
_STANDS_KNOCKS = "PVC schedule 80"


@rule("raceway_exposed", "Is the plastic pipe outdoors one that stands knocks, or out of harm's way?")
def raceway_exposed(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Thin-walled plastic pipe outdoors only where nothing can damage it: a person has to have looked.

    PVC schedule 80 passes; metal is not judged here.  One result a new raceway run.
    Source: NEC 352.10(F), 352.12(C), 300.5(D)(4).
    """
    for run in raceway_runs(job):
        section = "352.10(F) and 300.5(D)(4)" + FROM_MEMORY
        with job.case(raceway_exposed, run.code, section=section) as case:
            outside = [
                piece
                for piece in recorded_pieces(run)
                if piece.step.surroundings in ("outdoors", "roof")
                and piece.step.step in ("straight", *BENDS)
                and piece.method in (*_THIN_WALLED, _STANDS_KNOCKS)
            ]
            if not outside:
                raise NotApplicable("No plastic pipe of it stands outdoors; metal pipe is not what this rule is about.")
            for piece in outside:
                case.given("", f"kind of plastic pipe outdoors at {piece.named}", piece.method, str(run.written_at))
            if all(piece.method == _STANDS_KNOCKS for piece in outside):
                case.holds(True, "All plastic pipe of it outdoors is PVC schedule 80.")
            else:
                ask(case, "Is all the thin-walled plastic pipe outdoors where nothing can knock against it?")
        yield case.result


@rule("pvc_expansion", "Can the plastic pipe grow in the heat without pulling loose?")
def pvc_expansion(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The change in length of straight plastic pipe above ground, against the change that asks for a fitting.

    Source: NEC 352.44.  Pieces in line count as one, up to the next bend, box or panel.  Where a line needs a fitting,
    the travel of all fittings in it has to take up the whole change.  Runs without plastic pipe outdoors, in
    an attic or on a roof give no result.  Unit: in.
    """
    for run in runs_of_this_job(job):
        lines = _plastic_lines(run)
        if not lines:
            continue
        section = {2017: "352.44", 2020: "352.44", 2023: "352.44(A)" + FROM_MEMORY}
        case = job.case(pvc_expansion, run.code, section=section)
        with case:
            _expand(case, run, lines)
        yield case.result


def _plastic_lines(run: Run) -> list[list[Piece]]:
    """Straight lines of plastic pipe where the temperature swings, each from one fixed point to the next."""
    lines: list[list[Piece]] = [[]]
    for piece in pieces(run):
        if piece.step.step in ("straight", "expansion fitting", "coupling", "penetration"):
            lines[-1].append(piece)
        else:
            lines.append([])
    return [line for line in lines if any(_swings(piece) for piece in line)]


def _swings(piece: Piece) -> bool:
    outside = piece.step.surroundings in ("outdoors", "attic", "roof")
    return piece.step.step == "straight" and piece.method.startswith("PVC") and outside


def _expand(case: Case, run: Run, lines: list[list[Piece]]) -> None:
    edition = case.job.edition
    low = case.fact("T low", f"coldest that {run.code} gets", run.temperature_low)
    high = case.fact("T high", f"warmest that {run.code} gets", run.temperature_high)
    change = (magnitude(high, "degree_Celsius") - magnitude(low, "degree_Celsius")) * 1.8
    if change < 0:
        raise Undecided(f"For {run.code} the coldest is recorded above the warmest. Mend it in the record.")
    case.step(
        "change = T high - T low", f"{show(high, _FAHRENHEIT)} - {show(low, _FAHRENHEIT)}", f"{number_text(change)} °F"
    )
    coefficient = case.looked("k", "growth for each inch and °F", pvc_coefficient(edition))
    limit = case.looked("limit", "change in length that asks for a fitting", expansion_trigger(edition))
    case.looked("sun", "°F that makers add in direct sun; not added here", sun_allowance(edition))
    free = quantity(0, "inch")
    fitted: list[tuple[Quantity, Quantity]] = []
    for line in lines:
        grown = _grown(case, run, line, coefficient * change)
        fittings = [piece for piece in line if piece.step.step == "expansion fitting"]
        if fittings and not less(grown, limit):
            fitted.append((grown, _travel(case, run, fittings)))
        else:
            free = max(free, grown)
    if not less(free, limit):
        case.holds(False, f"A line grows {show(free)}; from {show(limit)} on it needs an expansion fitting.")
    elif fitted:
        grown, travel = min(fitted, key=lambda each: magnitude(each[1] - each[0], "inch"))
        told = f"A line grows {show(grown)}, and its fittings can move {show(travel)}."
        case.compare(value=travel, limit=grown, at_least=True, reason=told)
    else:
        case.holds(True, f"Without a fitting the most is {show(free)}, less than {show(limit)}.")


def _travel(case: Case, run: Run, fittings: list[Piece]) -> Quantity:
    travel = quantity(0, "inch")
    for piece in fittings:
        travel = travel + case.fact(f"t{piece.number}", f"travel of {run.code}, {piece.named}", piece.step.travel)
    return travel


def _grown(case: Case, run: Run, line: list[Piece], each: float) -> Quantity:
    length = quantity(0, "inch")
    for piece in line:
        if _swings(piece):
            part = case.fact(f"L{piece.number}", f"length of {run.code}, {piece.named}", piece.step.length)
            length = length + part.to("inch")
    grown: Quantity = length * each
    case.step(f"k × change × L, from step {line[0].number}", f"{number_text(each)} × {show(length)}", grown)
    return grown


RULES = (
    raceway_fill,
    raceway_bends,
    raceway_bend_radius,
    cable_bend_radius,
    raceway_support,
    pvc_straps_near_ends,
    raceway_exposed,
    burial_cover,
    emergence_protection,
    warning_ribbon,
    raceway_sealed,
    pvc_expansion,
)
