"""Rules about raceways and cables: how full, how bent, how held, how deep, and whether plastic may grow and shrink."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from handover.checks.ampacities import PARALLEL
from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.bends import raceway_bend_radius, raceway_bends
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.runs_of import (
    RACEWAYS,
    Piece,
    known_length,
    pieces,
    raceway_runs,
    recorded_pieces,
    runs_of_this_job,
)
from handover.checks.supports import raceway_support
from handover.record.wiring import BENDS, Circuit, Conductor, Run, Wiring
from handover.tables.lookups import conductor_area
from handover.tables.raceway_lookups import (
    CoverColumn,
    Fill,
    cover,
    expansion_trigger,
    fill_percent,
    nipple_length,
    pvc_coefficient,
    raceway_area,
    sun_allowance,
)
from handover.units import Quantity, magnitude, number_text, quantity, show

_FAHRENHEIT = "degree_Fahrenheit"


@rule("raceway_fill", "Is there room enough in the pipe for the wires to stay cool and be pulled?")
def raceway_fill(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The area of all conductors in a raceway, ground wires too, against the share that may be filled.

    Source: NEC Chapter 9 Table 1 with notes 3, 4 (nipple to 24 in: 60 %), 7 (conductors all alike) and 8 (bare ones);
    areas of Tables 4, 5 and 8 as printed.  A path of several kinds of raceway is judged by the narrowest.  Unit: in².
    """
    for run in raceway_runs(job):
        case = job.case(raceway_fill, run.code, section="Chapter 9 Table 1")
        with case:
            _fill(case, run)
        yield case.result


def _fill(case: Case, run: Run) -> None:
    size = case.fact("size", f"trade size of {run.code}", run.trade_size)
    conductors = [(wiring, entry) for wiring in _carried(case, run) for entry in wiring.conductors]
    count = sum(entry.count for _, entry in conductors)
    kind = _fill_kind(case, run, count)
    used = quantity(0, "square_inch")
    alike: Counter[float] = Counter()
    for wiring, entry in conductors:
        each = _area(case, wiring, entry)
        number = entry.count
        alike[magnitude(each, "square_inch")] += number
        case.step(f"{wiring.code}, {entry.role}: count × area", f"{number} × {show(each)}", each * number)
        used = used + each * number
    case.step("sum of all conductors", f"{count} in {run.code}", used)
    methods = sorted({piece.method for piece in pieces(run) if piece.method in RACEWAYS} | {run.method})
    found = [raceway_area(method, size, kind, case.job.edition) for method in methods]
    narrowest = min(found, key=lambda each: magnitude(each.value, "square_inch"))
    share = fill_percent(kind, case.job.edition)
    allowed = case.looked("A allowed", f"area that may be filled, {show(share.value)}", narrowest)
    case.given("share", f"share that {count} conductors may fill", share.value, share.source)
    if less(allowed, used) and len(alike) == 1 and _alike_fit(case, allowed, next(iter(alike)), count):
        return
    case.compare(value=used, limit=allowed, at_least=False)


def _carried(case: Case, run: Run) -> list[Wiring]:
    carried = case.job.installation.carried_by(run)
    if not carried:
        raise Undecided(f"No circuit or feeder is recorded as lying in {run.code}.")
    for wiring in carried:
        if not wiring.conductors:
            raise Undecided(f"The conductors of {wiring.code} in {run.code} are not recorded.")
        if wiring.sets > 1:
            raise Undecided(PARALLEL.format(wiring.code))
    return carried


def _fill_kind(case: Case, run: Run, count: int) -> Fill:
    length, longest = known_length(run), nipple_length(case.job.edition)
    if length is not None and not less(longest.value, length):
        case.looked("nipple", f"{run.code} is {show(length, 'inch')} long: a nipple up to", longest)
        return "nipple"
    return "one" if count == 1 else "two" if count == 2 else "over two"


def _area(case: Case, wiring: Wiring, entry: Conductor) -> Quantity:
    size = case.fact("size", f"size, {wiring.code}, {entry.role}", entry.size)
    marking = case.fact("insulation", f"insulation, {wiring.code}, {entry.role}", entry.insulation)
    return case.looked("A", f"area of one conductor, {size}", conductor_area(size, marking, case.job.edition))


def _alike_fit(case: Case, allowed: Quantity, each: float, count: int) -> bool:
    """Close the case by note 7: conductors all alike, and a rest of 0.8 or more counts as one more."""
    quotient = magnitude(allowed, "square_inch") / each
    whole = int(quotient) + (quotient - int(quotient) >= 0.8)
    case.step(
        "A allowed / A each, from 0.8 up one more (note 7)", f"{show(allowed)} / {number_text(each)} in²", str(whole)
    )
    if whole < count:
        return False
    case.holds(True, f"All {count} conductors are alike, and note 7 allows {whole}.")
    return True


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
    if piece.method in ("PVC schedule 40", "PVC schedule 80", "LFNC-B"):
        return "3"
    raise Undecided(f"The cover table has no column for {piece.method} ({piece.named} of {run.code}).")


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


_THIN_WALLED = ("PVC schedule 40", "LFNC-B", "ENT")
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

    Source: NEC 352.44.  Pieces in line count as one, up to the next bend, box or panel.  Where an expansion fitting is
    in the line, it passes; its travel is not recorded, so it is not compared.  Runs without plastic pipe outdoors, in
    an attic or on a roof give no result.  Unit: in.
    """
    for run in runs_of_this_job(job):
        lines = _plastic_lines(run)
        if not lines:
            continue
        section = {2020: "352.44", 2023: "352.44(A)" + FROM_MEMORY}
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
    fitted = 0
    for line in lines:
        grown = _grown(case, run, line, coefficient * change)
        if any(piece.step.step == "expansion fitting" for piece in line):
            fitted += 1
        else:
            free = max(free, grown)
    if less(free, limit):
        told = f" Fittings in {fitted} other line{'s' if fitted > 1 else ''}." if fitted else ""
        case.holds(True, f"Without a fitting the most is {show(free)}, less than {show(limit)}.{told}")
    else:
        case.holds(False, f"A line grows {show(free)}; from {show(limit)} on it needs an expansion fitting.")


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
    raceway_support,
    raceway_exposed,
    burial_cover,
    pvc_expansion,
)
