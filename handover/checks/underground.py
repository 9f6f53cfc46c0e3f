"""Rules about what lies in the ground and where it comes out: cover, protection, warning ribbon, sealing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from handover.checks.asking import FROM_MEMORY, ask, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.runs_of import RACEWAYS, Piece, pieces, raceway_runs, runs_of_this_job
from handover.record.wiring import BENDS, PULL_POINTS, Circuit, Run, Wiring
from handover.tables.raceway_lookups import CoverColumn, cover
from handover.units import Quantity, magnitude, quantity, show


@rule("burial_cover", "Does it lie deep enough in the ground?")
def burial_cover(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The cover over every straight piece in the ground, against the table; the least of a run is told.

    Source: NEC 300.5(A), Table 300.5.  The shallow column for 120 V circuits to 20 A with GFCI holds only where every
    circuit in the run is such a branch circuit.  Runs with no piece underground give no result.  Unit: in.
    """
    for run in runs_of_this_job(job):
        if not any(step.surroundings == "underground" for step in run.path):
            continue
        case = job.case(burial_cover, run.code, section="300.5(A)" + FROM_MEMORY)
        with case:
            _cover(case, run)
        yield case.result


def _cover(case: Case, run: Run) -> None:
    tightest: tuple[Quantity, Quantity, str] | None = None
    for piece in pieces(run):
        step = piece.step
        if step.surroundings != "underground" or (step.step != "straight" and not step.cover.known):
            continue
        actual = case.fact(f"d{piece.number}", f"cover of {run.code}, {piece.named}", step.cover)
        where = case.fact(f"place {piece.number}", f"what lies over {piece.named}", step.cover_location)
        needed = _needed_cover(case, run, piece, where)
        if tightest is None or actual - needed < tightest[0] - tightest[1]:
            tightest = actual, needed, piece.named
    if tightest is None:
        raise Undecided(f"No straight piece of {run.code} underground is recorded, so its cover is not known.")
    actual, needed, named = tightest
    relation = "less than" if less(actual, needed) else "at least"
    case.compare(
        value=actual,
        limit=needed,
        at_least=True,
        reason=f"At {named} the cover is {show(actual)}, {relation} the {show(needed)} asked.",
    )


def _needed_cover(case: Case, run: Run, piece: Piece, where: str) -> Quantity:
    column = _cover_column(run, piece)
    if where == "under a building" and column == "1":
        raise Undecided(f"Cable under a building has to lie in a raceway: record how {piece.named} of {run.code} lies.")
    edition = case.job.edition
    needed = case.looked("d min", f"least cover, {piece.method}", cover(where, column, edition))
    if not _all_shallow(case, run):
        return needed
    shallow = case.looked("d min", "least cover, 120 V to 20 A with GFCI", cover(where, "4", edition))
    return min(needed, shallow)


def _cover_column(run: Run, piece: Piece) -> CoverColumn:
    if piece.method in ("UF-B", "USE-2"):
        return "1"
    if piece.method in ("RMC", "IMC"):
        return "2"
    if piece.method in ("PVC schedule 40", "PVC schedule 80", "LFNC-A", "LFNC-B"):
        return "3"
    raise Undecided(f"The cover table has no column for {piece.method} ({piece.named} of {run.code}). Read 300.5.")


def _all_shallow(case: Case, run: Run) -> bool:
    """Whether every circuit in the run is a branch circuit of 120 V, to 20 A, with GFCI in its breaker."""
    carried = case.job.installation.carried_by(run)
    return bool(carried) and all(_is_shallow(case, wiring) for wiring in carried)


def _is_shallow(case: Case, wiring: Wiring) -> bool:
    position = case.job.installation.position(wiring.code)
    breaker = position.slot.breaker if position is not None else None
    if not isinstance(wiring, Circuit) or breaker is None or not breaker.gfci.value:
        return False
    volts, rating = wiring.volts.value, breaker.rating.value
    if volts is None or rating is None or magnitude(volts, "volt") > 125 or magnitude(rating, "ampere") > 20:
        return False
    case.fact("V", f"volts of {wiring.code}", wiring.volts)
    case.fact("breaker", f"breaker of {wiring.code}", breaker.rating)
    case.fact("GFCI", f"GFCI in the breaker of {wiring.code}", breaker.gfci)
    return True


_STANDS_KNOCKS = ("RMC", "IMC", "EMT", "PVC schedule 80")
_DEEPEST = 18.0  # inches below grade, 300.5(D)(1): protection never has to begin deeper
_HIGHEST = 8.0  # feet above grade, 300.5(D)(1)
_ABOVE = ("outdoors", "roof")


@dataclass(frozen=True, slots=True)
class _Emergence:
    """A place where a run comes out of the ground outdoors: the last piece below, the first above, and what follows."""

    below: Piece
    above: Piece
    after: Piece | None
    ground: tuple[Piece, ...]


@rule("emergence_protection", "Is it protected where it comes out of the ground?")
def emergence_protection(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Cable in a raceway from 18 in below grade (or the cover it needs) to 8 ft above; raceways that stand knocks.

    Judged where a run comes out of the ground outdoors, end by end.  A raceway of metal conduit, EMT (in the list
    from 2017 on) or PVC schedule 80 passes, above ground and in the first piece below; of any other a person says
    whether something can knock against it.  A cable that leaves its raceway lower than 8 ft fails.  One result a new
    run that lies in the ground.
    Source: NEC 300.5(D)(1) and (4); EMT by a continuing-education page on 2017.  Units: in, ft.
    """
    for run in runs_of_this_job(job):
        if not any(step.surroundings == "underground" for step in run.path):
            continue
        with job.case(emergence_protection, run.code, section="300.5(D)(1) and (4)" + FROM_MEMORY) as case:
            places = list(_emergences(run))
            if not places:
                raise NotApplicable("It does not come out of the ground outdoors.")
            _judge_emergences(case, run, places)
        yield case.result


def _emergences(run: Run) -> Iterator[_Emergence]:
    path = [piece for piece in pieces(run) if piece.step.step in ("straight", *BENDS, *PULL_POINTS, "penetration")]
    for way in (path, path[::-1]):  # out of the ground at the far end, then at the near one
        for index, (below, above) in enumerate(pairwise(way)):
            if below.step.surroundings == "underground" and above.step.surroundings is None:
                raise Undecided(f"What is around {above.named} of {run.code}, next to the ground, is not recorded.")
            if below.step.surroundings == "underground" and above.step.surroundings in _ABOVE:
                after = way[index + 2] if index + 2 < len(way) else None
                ground = tuple(piece for piece in way[index::-1] if piece.step.surroundings == "underground")
                yield _Emergence(below, above, after, ground)


def _judge_emergences(case: Case, run: Run, places: list[_Emergence]) -> None:
    weak: list[str] = []
    for place in places:
        for piece in (place.above, place.below):
            case.given("", f"what {piece.named} is made of", piece.method, str(run.written_at) or "the record")
        if place.above.method not in RACEWAYS:
            weak.append(place.above.named)
            continue
        cable = any(piece.method not in RACEWAYS for piece in place.ground)
        if cable and not _covers_the_cable(case, run, place):
            return
        raceways = [piece for piece in (place.above, place.below) if piece.method in RACEWAYS]
        weak += [piece.named for piece in raceways if piece.method not in _STANDS_KNOCKS]
    if not weak:
        case.holds(True, "It comes out of the ground in a raceway that stands knocks.")
    else:
        ask(case, f"At {', '.join(weak)}: can nothing knock against it, or does something else protect it there?")


def _covers_the_cable(case: Case, run: Run, place: _Emergence) -> bool:
    """Whether the raceway around a cable reaches deep and high enough; closes the case where it does not."""
    number = place.above.number
    depth = case.fact("d", f"depth at which the raceway of step {number} begins", place.above.step.protected_from)
    needed = _protection_depth(case, run, place)
    if less(depth, needed):
        told = f"The raceway at step {number} begins {show(depth)} below grade; {show(needed)} is asked."
        case.compare(value=depth, limit=needed, at_least=True, reason=told)
        return False
    if place.after is None or place.after.step.step in (*PULL_POINTS, "penetration"):
        return True
    if place.after.method in RACEWAYS:
        raise Undecided(f"Several pieces of raceway follow at step {number}. Judge by hand how high they reach.")
    height = case.fact("h", f"height at which the raceway of step {number} ends", place.above.step.protected_to)
    limit = quantity(_HIGHEST, "foot")
    if less(height, limit):
        told = f"The raceway at step {number} ends {show(height)} above grade; {show(limit)} is asked."
        case.compare(value=height, limit=limit, at_least=True, reason=told)
        return False
    return True


def _protection_depth(case: Case, run: Run, place: _Emergence) -> Quantity:
    """18 in, or the cover that the cable needs where that is less."""
    deepest = quantity(_DEEPEST, "inch")
    case.given("d max", "depth from which protection is asked at most", deepest, "NEC 300.5(D)(1)")
    for piece in place.ground:
        if piece.step.step == "straight" and piece.step.cover_location.value is not None:
            where = case.fact(f"place {piece.number}", f"what lies over {piece.named}", piece.step.cover_location)
            return min(deepest, _needed_cover(case, run, piece, where).to("inch"))
    return deepest


@rule("warning_ribbon", "Is there a warning ribbon above what lies in the ground?")
def warning_ribbon(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Asked by the code over service conductors alone; over feeders and circuits common practice, so advice only.

    One result a new run with a straight piece in the ground, and one for the service where this job replaced an
    underground one.  Source: NEC 300.5(D)(3): 18 in deep or more, not in concrete, ribbon 12 in above.
    """
    for run in runs_of_this_job(job):
        buried = [piece for piece in pieces(run) if _buried_straight(piece)]
        if not buried:
            continue
        with job.case(warning_ribbon, run.code, section="warning ribbon", code="common practice", advice=True) as case:
            laid = [case.fact("", f"warning ribbon above {piece.named}", piece.step.warning_ribbon) for piece in buried]
            case.holds(all(laid), f"Ribbon above {sum(laid)} of {len(laid)} pieces in the ground.")
        yield case.result
    service = job.record.service
    if service.replaced_on_this_job.value and service.entrance.value != "overhead":
        with job.case(warning_ribbon, service.at, section="300.5(D)(3)" + FROM_MEMORY) as case:
            case.fact("", "how the service comes in", service.entrance)
            ask(
                case,
                "Are the service conductors in the ground the utility's, or in concrete, or less than 18 in deep, or "
                "marked by a ribbon at least 12 in above them?",
            )
        yield case.result


def _buried_straight(piece: Piece) -> bool:
    return piece.step.step == "straight" and piece.step.surroundings == "underground"


_COLD_OR_WET = ("outdoors", "roof", "underground")


@rule("raceway_sealed", "Is the pipe sealed where it would carry damp or cold air inside?")
def raceway_sealed(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A seal recorded at a penetration or an end, or a person's word that none is needed.

    In the ground because moisture may reach live parts, between inside and outside because it may condense.  The words
    of the seal are not judged; words that say there is none are.  One result a new raceway run that goes both ways, or
    into the ground.
    Source: NEC 300.5(G), 300.7(A).
    """
    for run in raceway_runs(job):
        around = {step.surroundings for step in run.path if step.surroundings}
        underground = "underground" in around
        if not underground and not (around & set(_COLD_OR_WET) and around - set(_COLD_OR_WET)):
            continue
        section = ("300.5(G)" if underground else "300.7(A)") + FROM_MEMORY
        with job.case(raceway_sealed, run.code, section=section) as case:
            _judge_seal(case, run)
        yield case.result


def _judge_seal(case: Case, run: Run) -> None:
    for piece in pieces(run):
        if _seal(piece) == "sealed":
            written(case, "", f"seal at {piece.named}", piece.step.sealed)
            case.holds(True, f"A seal is recorded at {piece.named}.")
            return
    unsealed = ", ".join(piece.named for piece in pieces(run) if _seal(piece) == "open")
    if unsealed:
        case.given("", "recorded as not sealed", unsealed, str(run.written_at) or "the record")
    ask(case, "Is the pipe sealed at an end or at the wall, or can no damp reach live parts through it?")


def _seal(piece: Piece) -> Literal["sealed", "open", "not recorded"]:
    words = piece.step.sealed.value
    if words is None:
        return "not recorded"
    return "open" if words.lower().split()[0] in ("no", "none", "not", "nothing", "open", "unsealed") else "sealed"
