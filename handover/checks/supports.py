"""Rule about supports: raceway or cable held often enough, and close enough to its ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.runs_of import (
    ARTICLES,
    FLEXIBLE,
    RACEWAYS,
    Piece,
    pieces,
    raceway_runs,
    recorded_pieces,
    runs_of_this_job,
    step_length,
)
from handover.record.facts import Fact
from handover.record.wiring import PULL_POINTS, Run
from handover.tables.raceway_lookups import Support, loose_end, supports
from handover.tables.reader import Looked
from handover.units import Quantity, magnitude, quantity, read_number, show

_Ends: TypeAlias = tuple[Piece | None, Piece | None]


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
    """Distances between supports, over bends and couplings too, and from each box or panel to the first one.

    The tightest is told.

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
    odd = {"UF-B": "340.10(4)", "SE": "338.10(B)(4)", "USE-2": "338.10"}
    return odd.get(run.method, f"{ARTICLES[run.method]}.30")


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
        for measured, not_measured in (_measure(case, run, piece, ends), _across(case, run, path, index)):
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
        raise Undecided(
            f"The {held.what} is {show(held.value)}; over {show(held.limit)} only if: {held.special}. Look."
        )
    if missing:
        raise Undecided(f"Not recorded for {run.code}: {'; '.join(missing)}.")
    worst = max(found, key=lambda held: held.share)
    case.compare(
        value=worst.value,
        limit=worst.limit,
        at_least=False,
        reason=f"Tightest: {worst.what}, {show(worst.value)} where {show(worst.limit)} is allowed.",
    )


def _across(case: Case, run: Run, path: list[Piece], index: int) -> tuple[list[_Held], list[str]]:
    """The distance from a straight piece's last support to the first one of the next, over what joins the two.

    Boxes, panels, conduit bodies and equipment end it; so do pieces in the ground, and flexible ends.
    """
    between: list[Piece] = []
    piece, after = path[index], None
    for other in path[index + 1 :]:
        if other.step.step in PULL_POINTS:
            break
        if other.step.step == "straight":
            after = other
            break
        between.append(other)
    if after is None or after.step.surroundings == "underground" or _changes_to_flexible(piece, after):
        return [], []
    what = f"distance over the joint from the last support at {piece.named} to the first at step {after.number}"
    last, first = piece.step.last_support, after.step.first_support
    if not last.known or not first.known:
        return [], [what]
    total = case.fact(f"e{piece.number}", f"distance from its end to the last support at {piece.named}", last)
    total = total + case.fact(f"e{after.number}", f"distance from its end to the first support at {after.named}", first)
    told = [show(last.value), show(first.value)] if last.value is not None and first.value is not None else []
    for bend in between:
        length = _along(case, bend)
        if length is not None:
            told.append(show(length))
            total = total + length
    case.step(what, " + ".join(told), total)
    tables = [supports(each.method, _trade_size(case, run, each), case.job.edition) for each in (piece, after)]
    rows = min(tables, key=lambda each: magnitude(each[0].value.spacing, "foot"))
    return [_Held(total, rows[0].value.spacing, what, _special(rows, "spacing", total))], []


def _changes_to_flexible(piece: Piece, after: Piece) -> bool:
    """Whether rigid pipe goes over into flexible conduit or back: the fitting between holds both."""
    return (piece.method in FLEXIBLE) != (after.method in FLEXIBLE)


def _along(case: Case, joint: Piece) -> Quantity | None:
    """How long (in) a bend or fitting is: as recorded, or radius times angle; None, so counted as nothing, if unknown.

    Without it the distance told is the least it can be: what fails by it fails, and what passes may be a little more.
    """
    if joint.step.length.known:
        return case.fact(f"L{joint.number}", f"length of {joint.named}", joint.step.length).to("inch")
    length = step_length(joint.step)
    if length is None:
        return None
    case.fact(f"r{joint.number}", f"radius of {joint.named}", joint.step.radius)
    case.fact(f"b{joint.number}", f"bend of {joint.named}", joint.step.degrees)
    return length.to("inch")


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
    if piece.method not in FLEXIBLE or not at_equipment:
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


_SMALL_PIPE = 1.0  # trade size to which plastic pipe is strapped every 3 ft: Table 352.30
_CAREFUL = 12.0  # inches


@rule("pvc_straps_near_ends", "Is small plastic pipe strapped close to its boxes too?", advice=True)
def pvc_straps_near_ends(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The first strap of PVC pipe to 1 in against 12 in from its end; the code allows 36 in, rule ``raceway_support``.

    Common practice of careful installers, so advice only.  One result a new run with such pipe above ground.
    """
    for run in raceway_runs(job):
        size = run.trade_size.value
        ends = list(_plastic_ends(run))
        if not ends or (size is not None and read_number(size) > _SMALL_PIPE):
            continue
        with job.case(pvc_straps_near_ends, run.code, section="straps near the ends", code="common practice") as case:
            case.fact("size", f"trade size of {run.code}", run.trade_size)
            found = [case.fact("e", what, fact) for what, fact in ends]
            case.compare(value=max(found), limit=quantity(_CAREFUL, "inch"), at_least=False)
        yield case.result


def _plastic_ends(run: Run) -> Iterator[tuple[str, Fact[Quantity]]]:
    """Every end of plastic pipe at a box, panel or fitting, with the recorded distance to its first strap."""
    path = pieces(run)
    for index, piece in enumerate(path):
        straight = piece.step.step == "straight" and piece.step.surroundings != "underground"
        if not straight or not piece.method.startswith("PVC"):
            continue
        for step, fact, which in ((-1, piece.step.first_support, "first"), (+1, piece.step.last_support, "last")):
            if _neighbour(path, index, step) is not None:
                yield f"distance from the end to the {which} support at {piece.named}", fact


RULES: tuple[Rule, ...] = (raceway_support, pvc_straps_near_ends)
