"""Rule about supports: raceway or cable held often enough, and close enough to its ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.runs_of import PULL_POINTS, RACEWAYS, Piece, pieces, recorded_pieces, runs_of_this_job
from handover.record.facts import Fact
from handover.record.wiring import Run
from handover.tables.raceway_lookups import Support, loose_end, supports
from handover.tables.reader import Looked
from handover.units import Quantity, show

_Ends: TypeAlias = tuple[Piece | None, Piece | None]
_FLEXIBLE = ("FMC", "LFMC", "LFNC-B")


@dataclass(frozen=True, slots=True)
class _Held:
    """One distance compared with its limit; ``special`` names the condition under which more would do."""

    value: Quantity
    limit: Quantity
    what: str
    special: str

    @property
    def share(self) -> float:
        """How much of the limit is used: over 1 is too far."""
        return float((self.value / self.limit).to("dimensionless").magnitude)


@rule("raceway_support", "Is it held often enough, and near enough to its ends?")
def raceway_support(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Distances between supports, and from each box, panel or fitting to the first one; the tightest is told.

    Source: NEC, section .30 of each method's article.  Pieces underground need none, and a flexible piece at equipment
    may be loose for the length its article gives.  Where only a longer distance with a condition would do, the result
    is undecided and names the condition.
    """
    for run in runs_of_this_job(job):
        case = job.case(raceway_support, run.code, section=_section(run))
        with case:
            _judge(case, run)
        yield case.result


def _section(run: Run) -> str:
    sections = {
        "EMT": "358.30", "RMC": "344.30", "IMC": "342.30", "PVC schedule 40": "352.30", "PVC schedule 80": "352.30",
        "FMC": "348.30", "LFMC": "350.30", "LFNC-B": "356.30", "ENT": "362.30", "NM-B": "334.30", "UF-B": "340.10(4)",
        "MC": "330.30", "AC": "320.30", "SE": "338.10(B)(4)",
    }  # fmt: skip
    return sections.get(run.method, "338.10")


def _judge(case: Case, run: Run) -> None:
    recorded_pieces(run)
    found: list[_Held] = []
    missing: list[str] = []
    path = pieces(run)
    for index, piece in enumerate(path):
        if piece.step.step != "straight" or piece.step.surroundings == "underground":
            continue
        ends = _neighbour(path, index, -1), _neighbour(path, index, +1)
        if _is_loose(case, run, piece, ends):
            continue
        measured, not_measured = _measure(case, run, piece, ends)
        found += measured
        missing += not_measured
    if not found and not missing:
        case.holds(True, "Every piece lies in the ground or is a short flexible end: none has to be held.")
        return
    over = [held for held in found if less(held.limit, held.value)]
    plainly = [held for held in over if not held.special]
    for held in plainly[:1]:
        case.compare(
            value=held.value,
            limit=held.limit,
            at_least=False,
            reason=f"The {held.what} is {show(held.value)}, more than {show(held.limit)}.",
        )
        return
    for held in over:
        raise Undecided(f"The {held.what} is {show(held.value)}; over {show(held.limit)} only if: {held.special}.")
    if missing:
        raise Undecided(f"Not recorded for {run.code}: {'; '.join(missing)}.")
    worst = max(found, key=lambda held: held.share)
    case.compare(
        value=worst.value,
        limit=worst.limit,
        at_least=False,
        reason=f"Tightest: {worst.what}, {show(worst.value)} where {show(worst.limit)} is allowed.",
    )


def _neighbour(path: list[Piece], index: int, step: int) -> Piece | None:
    """The box, panel, fitting or equipment that a straight piece leads to, through bends; None where more pipe follows.

    The open end of a path is a termination too, and stands for itself.
    """
    at = index + step
    while 0 <= at < len(path):
        if path[at].step.step in PULL_POINTS:
            return path[at]
        if path[at].step.step == "straight":
            return None
        at += step
    return path[index]


def _is_loose(case: Case, run: Run, piece: Piece, neighbours: _Ends) -> bool:
    """Whether the piece is a flexible end at equipment, short enough to go without support."""
    at_equipment = any(each is not None and each.step.step == "equipment" for each in neighbours)
    if piece.method not in _FLEXIBLE or not at_equipment:
        return False
    length = case.fact(f"L{piece.number}", f"length of {run.code}, {piece.named}", piece.step.length)
    size = case.fact("size", f"trade size of {run.code}", run.trade_size)
    longest = loose_end(piece.method, size, case.job.edition)
    if less(longest.value, length):
        return False
    case.looked(f"loose {piece.number}", f"flexible {piece.method} at equipment may be loose up to", longest)
    return True


def _measure(
    case: Case, run: Run, piece: Piece, ends: tuple[Piece | None, Piece | None]
) -> tuple[list[_Held], list[str]]:
    """What was measured along one piece, and what was not."""
    rows = supports(piece.method, _trade_size(case, run, piece), case.job.edition)
    general = rows[0]
    case.given(
        f"max {piece.number}",
        f"supports for {piece.method}: apart; from an end",
        f"{show(general.value.spacing)}; {show(general.value.first)}",
        general.source,
    )
    step = piece.step
    found, missing = [], []
    if step.support_spacing.known:
        what = f"distance between supports at {piece.named}"
        spacing = case.fact(f"s{piece.number}", what, step.support_spacing)
        if step.length.value is not None and less(step.length.value, spacing):
            # "Every 6 ft" on a piece of 2 ft: supports on it cannot be further apart than it is long.
            spacing = case.fact(f"L{piece.number}", f"length of {run.code}, {piece.named}", step.length)
        found.append(_Held(spacing, general.value.spacing, what, _special(rows, "spacing", spacing)))
    elif step.length.value is None or less(general.value.spacing, step.length.value):
        missing.append(f"distance between supports at {piece.named}")
    if not _ends_have_a_limit(case, run, piece):
        return found, missing
    told: tuple[tuple[Piece | None, Fact[Quantity], str], ...] = (
        (ends[0], step.first_support, "first"),
        (ends[1], step.last_support, "last"),
    )
    for neighbour, fact, which in told:
        if neighbour is None:
            continue
        what = f"distance from the end to the {which} support at {piece.named}"
        if not fact.known:
            missing.append(what)
            continue
        distance = case.fact(f"e{piece.number}", what, fact)
        found.append(_Held(distance, general.value.first, what, _special(rows, "first", distance)))
    return found, missing


def _trade_size(case: Case, run: Run, piece: Piece) -> str | None:
    if piece.method not in RACEWAYS:
        return None
    return case.fact("size", f"trade size of {run.code}", run.trade_size)


def _special(rows: tuple[Looked[Support], ...], limit: str, value: Quantity) -> str:
    """The condition under which the value would do after all, or nothing."""
    return "; or ".join(
        dict.fromkeys(row.value.condition for row in rows[1:] if not less(getattr(row.value, limit), value))
    )


def _ends_have_a_limit(case: Case, run: Run, piece: Piece) -> bool:
    """MC cable has a limit at its ends only up to 10 AWG (330.30(B)); undecided where its sizes are not recorded."""
    if piece.method != "MC":
        return True
    sizes = [entry.size for entry in case.job.installation.conductors_in(run)]
    if not sizes:
        raise Undecided(f"The conductors of {run.code} are not recorded; the limit at the ends hangs on their size.")
    return all(case.fact("size", f"conductor size in {run.code}", size).order <= 1.0 - 10 for size in sizes)
