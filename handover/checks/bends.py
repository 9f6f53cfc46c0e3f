"""Rules about bends in raceways: how many between pull points, and how tight."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.runs_of import (
    ARTICLES,
    RACEWAYS,
    Piece,
    raceway_runs,
    recorded_pieces,
    runs_of_this_job,
    sections,
)
from handover.record.wiring import BENDS, Run
from handover.tables.raceway_lookups import BendColumn, CableBend, bend_limit, bend_radius, cable_bends
from handover.tables.reader import Looked
from handover.units import Quantity, magnitude, number_text, quantity, show

_OTHER: BendColumn = "other bends"
_WIDER_SIDE_SINCE = 2023  # of flat cable, 334.24: seen on a continuing-education page
_BENDER: BendColumn = "one-shot and full shoe benders"
_COLUMNS: dict[str, tuple[BendColumn, ...]] = {
    "EMT": (_BENDER,), "FMC": (_OTHER,), "LFMC": (_OTHER,), "LFNC-A": (_OTHER,), "LFNC-B": (_OTHER,), "ENT": (_OTHER,),
}  # fmt: skip
"""The column that a raceway's own article names (from memory); the others name the table, so it hangs on the tool."""


@rule("raceway_bends", "Are there few enough bends between the places where wire is pulled?")
def raceway_bends(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The sum of all bends, offsets and saddles between two pull points; the worst of a run's sections is told.

    Source: NEC, section .26 of each raceway's article: 360°, pull points as in ``PULL_POINTS``.
    """
    for run in raceway_runs(job):
        case = job.case(raceway_bends, run.code, section=_bend_section(run))
        with case:
            limit = case.looked("limit", "most bends between pull points", bend_limit(run.method, job.edition))
            worst = quantity(0, "degree")
            for name, between in sections(run):
                total = _bent(case, run, name, between)
                worst = max(worst, total)
            told = f"The most between two pull points is {show(worst)}; {show(limit)} is allowed."
            case.compare(value=worst, limit=limit, at_least=False, reason=told)
        yield case.result


def _bend_section(run: Run) -> str:
    return f"{ARTICLES[run.method]}.26"


def _bent(case: Case, run: Run, name: str, between: list[Piece]) -> Quantity:
    angles = []
    for piece in between:
        if piece.step.step in BENDS:
            meaning = f"bend of {run.code}, {piece.named}"
            angles.append(case.fact(f"b{piece.number}", meaning, piece.step.degrees))
    total = quantity(sum(magnitude(angle, "degree") for angle in angles), "degree")
    numbers = " + ".join(number_text(magnitude(angle, "degree")) for angle in angles) or "none"
    case.step(f"bends from {name}", numbers, total)
    return total


@rule("raceway_bend_radius", "Are the bends wide enough that the wire is not hurt when it is pulled?")
def raceway_bend_radius(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The radius of every recorded bend to its center line; the tightest of a run is told.  One result a raceway run.

    EMT by the column for benders, flexible raceways by that for other bends, as their articles have it; for all others
    the radius between the two columns hangs on the tool, which the record does not say.
    Source: NEC Chapter 9 Table 2, section .24 of each raceway's article.  Unit: in.
    """
    for run in raceway_runs(job):
        section = f"{ARTICLES[run.method]}.24 and Chapter 9 Table 2{FROM_MEMORY}"
        with job.case(raceway_bend_radius, run.code, section=section) as case:
            bends = [piece for piece in recorded_pieces(run) if piece.step.step in BENDS]
            if not bends:
                raise NotApplicable(f"No bend is recorded in {run.code}.")
            _radii(case, run, bends)
        yield case.result


def _radii(case: Case, run: Run, bends: list[Piece]) -> None:
    size = case.fact("size", f"trade size of {run.code}", run.trade_size)
    told = [piece for piece in bends if piece.step.radius.known]
    judged = [(piece, case.fact(f"r{piece.number}", f"radius of {piece.named}", piece.step.radius)) for piece in told]
    rows = {piece.number: _rows(case, piece, size) for piece, _ in judged}
    ranked = sorted(judged, key=lambda each: magnitude(each[1] - rows[each[0].number][0].value, "inch"))
    for piece, radius in ranked[:1]:
        least = rows[piece.number][0].value
        if less(radius, least):
            reason = f"The radius of {piece.named} is {show(radius)}, less than {show(least)}."
            case.compare(value=radius, limit=least, at_least=True, reason=reason)
            return
    for piece, radius in ranked:
        largest = rows[piece.number][-1].value
        if less(radius, largest):
            raise Undecided(
                f"The radius of {piece.named}, {show(radius)}, is enough only if it was made on a one-shot or full "
                f"shoe bender; otherwise it has to be {show(largest)}. Find out how it was made."
            )
    missing = [piece.named for piece in bends if not piece.step.radius.known]
    if missing:
        raise Undecided(
            f"Radius not recorded for {run.code}: {', '.join(missing)}. Measure it, or read it on the bend."
        )
    piece, radius = ranked[0]
    least = rows[piece.number][-1].value
    case.compare(
        value=radius, limit=least, at_least=True, reason=f"Tightest: {piece.named}, {show(radius)} of {show(least)}."
    )


def _rows(case: Case, piece: Piece, size: str) -> list[Looked[Quantity]]:
    """The rows that may hold for a bend, the smaller radius first, noted as inputs."""
    columns = _COLUMNS.get(piece.method, (_BENDER, _OTHER))
    rows = [bend_radius(size, column, case.job.edition) for column in columns]
    for row in rows:
        case.looked("r min", f"least radius, {piece.method} {size} in", row)
    return rows


@rule("cable_bend_radius", "Are the cable's bends wide enough that it is not hurt?")
def cable_bend_radius(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The radius of every recorded bend of a cable, to its inner edge, against the times its diameter that are asked.

    The tightest is told.  One result a new cable run; single wires of 600 V in a raceway have no radius of their own in
    the code.  Of MC cable the record does not say what its sheath is like: between the two rows it is undecided.
    Of flat NM cable the wider side counts from 2023; 2017 and 2020 name only a diameter, so that what is too tight by
    the wider side is undecided there.
    Source: NEC 334.24, 340.24, 338.24, 320.24, 330.24.  Unit: in.
    """
    for run in runs_of_this_job(job):
        if run.method in RACEWAYS:
            continue
        section = f"{ARTICLES[run.method]}.24" + (FROM_MEMORY if run.method == "UF-B" else "")
        with job.case(cable_bend_radius, run.code, section=section) as case:
            bends = [piece for piece in recorded_pieces(run) if piece.step.step in BENDS and piece.method == run.method]
            if not bends:
                raise NotApplicable(f"No bend of the cable is recorded in {run.code}.")
            _cable_radii(case, run, bends)
        yield case.result


def _cable_radii(case: Case, run: Run, bends: list[Piece]) -> None:
    diameter = case.fact("D", f"diameter of the cable {run.code}, of a flat one its wider side", run.cable_diameter)
    rows = cable_bends(run.method, diameter, case.job.edition)
    for row in rows:
        case.given("n", f"times the diameter, {row.value.condition}", row.value.multiple, row.source)
    least, surely = (_times(case, row, diameter) for row in (rows[0], rows[-1]))
    told = [piece for piece in bends if piece.step.radius.known]
    judged = [(case.fact(f"r{piece.number}", f"radius of {piece.named}", piece.step.radius), piece) for piece in told]
    tightest = min(judged, key=lambda each: magnitude(each[0], "inch"), default=None)
    if tightest is not None and less(tightest[0], least):
        if run.method == "NM-B" and case.job.edition < _WIDER_SIDE_SINCE:
            raise Undecided(
                f"{show(tightest[0])} is too tight by the wider side of a flat cable, {show(least)}. The "
                f"{case.job.edition} text names only the diameter: ask the authority having jurisdiction."
            )
        case.compare(value=tightest[0], limit=least, at_least=True)
        return
    if tightest is None or len(judged) < len(bends):
        missing = ", ".join(piece.named for piece in bends if not piece.step.radius.known)
        raise Undecided(f"Radius not recorded for {run.code}: {missing}. Measure it to the inner edge of the bend.")
    if less(tightest[0], surely):
        raise Undecided(f"{show(tightest[0])} is enough for {rows[0].value.condition}, not for a smooth sheath. Look.")
    case.compare(value=tightest[0], limit=surely, at_least=True)


def _times(case: Case, row: Looked[CableBend], diameter: Quantity) -> Quantity:
    radius: Quantity = diameter * row.value.multiple
    case.step("n × D", f"{number_text(row.value.multiple)} × {show(diameter)}", radius)
    return radius


RULES = (raceway_bends, raceway_bend_radius, cable_bend_radius)
