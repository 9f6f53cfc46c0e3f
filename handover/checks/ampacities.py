"""The ampacity of a feeder's or circuit's hot conductors, worked out step by step.

Conductors of parallel sets are reckoned one set at a time, and the ampacities of the sets added.
"""

from __future__ import annotations

from collections.abc import Callable

from handover.checks.case import Case, Undecided
from handover.checks.conductors_of import TerminalColumn, Wires
from handover.checks.runs_of import RACEWAYS, is_wet, known_length, pieces, sets_in_each_run
from handover.record.wiring import Circuit, Run, Wiring
from handover.tables.lookups import Column, ambient_factor, ampacity, bundling_percent, insulation
from handover.tables.raceway_lookups import nipple_length
from handover.units import Quantity, magnitude, number_text, quantity, show

_HELD_IN_INSULATION = {"AC": "320.80(A)", "SE": "338.10(B)(4)(a)"}
_SHORT_FEET, _SHORT_SHARE = 10.0, 0.1  # 310.14(A)(2) exception, before 2020 310.15(A)(2)
_CABLES_HELD_TO_60 = {"NM-B": "334.80", "UF-B": "340.80"}
_ROOF_CLEARANCE = 0.875  # inches, as the 2017 text has it; read here for every edition on the safe side
_ROOF_CLEARANCE_OTHERWISE = 0.75  # inches, as others read 2020 and 2023: from memory, not read back in the book
_ROOF_EXCEPTED = "XHHW-2"  # excepted from the added heat as others read 2020 and 2023: from memory
_ROOF_ADDED = 33.0


def capped_column(case: Case, wiring: Wiring, wires: Wires, terminal: TerminalColumn) -> Column:
    """The column no final ampacity may exceed: the terminals', the insulation's, or 60 °C for cable held to it.

    AC cable, and SE cable of 10 AWG and smaller, is held to 60 °C in thermal insulation; the record has to say whether
    it lies in any.
    """
    for run in case.job.installation.runs_of(wiring):
        methods = {run.method, *(step.method for step in run.path if step.method)}
        for cable, section in _CABLES_HELD_TO_60.items():
            if cable in methods:
                case.given("column", f"{cable} cable is held to the 60 °C column", "60 °C", f"NEC {section}")
                return 60
        for cable, section in _HELD_IN_INSULATION.items():
            small = wires.size.unit == "AWG" and wires.size.order <= 1.0 - 10
            if cable in methods and terminal.column != 60 and (small or cable != "SE"):
                meaning = f"{run.code} lies in thermal insulation anywhere"
                if case.fact("insulated", meaning, run.in_thermal_insulation):
                    case.given("column", f"{cable} cable is held to the 60 °C column there", "60 °C", f"NEC {section}")
                    return 60
    if terminal.column == 60:
        return terminal.column
    runs = case.job.installation.runs_of(wiring)
    columns = [insulation_column(case, wires, run) for run in runs] or [insulation_column(case, wires, None)]
    return min(terminal.column, *columns)


def before_correction(case: Case, wiring: Wiring, wires: Wires, column: Column) -> Quantity:
    """Ampacity (A) as printed in one column, times the number of parallel sets."""
    printed = case.looked(
        f"A{column}",
        f"ampacity in the {column} °C column",
        ampacity(wires.size, wires.metal, column, case.job.edition),
    )
    if wiring.sets == 1:
        return printed
    total: Quantity = printed * wiring.sets
    case.step(f"A{column} × sets", f"{show(printed)} × {wiring.sets}", total)
    return total


def ask_about_the_roof(
    case: Case, wiring: Wiring, wires: Wires, terminal: TerminalColumn, enough: Callable[[Quantity], bool]
) -> None:
    """Raise Undecided where the conductor is too small only by the stricter of two readings of the heat above a roof.

    The readings: less than 7/8 in above it, whatever the insulation; or less than 3/4 in, and not for XHHW-2.
    ``enough`` says whether an ampacity (A) would do.
    """
    runs = case.job.installation.runs_of(wiring)
    if not any(_over_roof(run) and _roof_disputed(run, wires) for run in runs):
        return
    aside = case.job.case(case.rule, case.subject, section="310.15")  # the working shown is that of the stricter one
    lenient = after_correction(aside, wiring, wires, terminal, lenient=True)
    if enough(lenient):
        raise Undecided(
            f"By the stricter reading of the heat above a roof (less than 7/8 in above it, 310.15(B)(2)) the conductor "
            f"is too small; by the other (less than 3/4 in, {_ROOF_EXCEPTED} excepted), from memory, it has "
            f"{show(lenient)} and is large enough. Read the adopted book, or ask the authority having jurisdiction."
        )


def after_correction(
    case: Case, wiring: Wiring, wires: Wires, terminal: TerminalColumn, *, lenient: bool = False
) -> Quantity:
    """Ampacity (A) where it runs hottest and most crowded, no more than the terminals allow: 310.15 with 110.14(C).

    ``lenient`` takes the more favourable reading of the heat above a roof.
    """
    runs = case.job.installation.runs_of(wiring)
    if not runs:
        raise Undecided(f"The run of {wiring.code} is not recorded: raceway or cable, and how warm it gets around it.")
    found = [(_corrected_in(case, wiring, wires, run, lenient=lenient), run) for run in runs]
    lowest = _without_short_section(case, found)
    column = capped_column(case, wiring, wires, terminal)
    limit = before_correction(case, wiring, wires, column)
    final = min(lowest, limit)
    case.step("the lower of corrected ampacity and terminal column", f"{show(lowest)}; {show(limit)}", final)
    return final


def _without_short_section(case: Case, found: list[tuple[Quantity, Run]]) -> Quantity:
    """The lowest of the runs' ampacities; of runs that are short beside the others, the next one (310.14(A)(2))."""
    lowest = min(here for here, _ in found)
    rest = [(here, run) for here, run in found if here > lowest]
    short = [run for here, run in found if here == lowest]
    if not rest or not _short_beside(case, short, [run for _, run in rest]):
        return lowest
    after = min(here for here, _ in rest)
    case.step(
        "short section: at most 10 ft and 10 % of the rest (310.14(A)(2) exception, before 2020 310.15(A)(2))",
        f"{show(lowest)} in {', '.join(run.code for run in short)}; {show(after)} elsewhere",
        after,
    )
    return after


def _short_beside(case: Case, short: list[Run], rest: list[Run]) -> bool:
    lengths = {run.code: known_length(run) for run in (*short, *rest)}
    known = {code: magnitude(length, "foot") for code, length in lengths.items() if length is not None}
    if len(known) < len(lengths):
        return False
    few, most = sum(known[run.code] for run in short), sum(known[run.code] for run in rest)
    if few > min(_SHORT_FEET, _SHORT_SHARE * most) + 1e-9:
        return False
    for run in (*short, *rest):
        case.given("L", f"length of {run.code}", quantity(known[run.code], "foot"), str(run.written_at))
    return True


def _corrected_in(case: Case, wiring: Wiring, wires: Wires, run: Run, *, lenient: bool) -> Quantity:
    edition = case.job.edition
    column = insulation_column(case, wires, run)
    start = before_correction(case, wiring, wires, column)
    warm = _ambient(case, run, cool_roof=lenient and _roof_disputed(run, wires))
    factor = case.looked("f amb", f"factor for the warmth around {run.code}", ambient_factor(warm, column, edition))
    if _is_nipple(case, run):
        corrected: Quantity = start * factor
        case.step(f"A{column} × f amb", f"{show(start)} × {number_text(factor)}", corrected)
        return corrected
    count = _bundled(case, wires, run, current_carrying(case, run))
    share = case.looked("f count", f"share left with {count} conductors", bundling_percent(count, edition))
    corrected = start * factor * magnitude(share, "dimensionless")
    case.step(
        f"A{column} × f amb × f count in {run.code}",
        f"{show(start)} × {number_text(factor)} × {show(share)}",
        corrected,
    )
    return corrected


def insulation_column(case: Case, wires: Wires, run: Run | None) -> Column:
    """What the insulation is rated for in a run, by its wet rating where any of it is wet; dry where no run is."""
    marked = wires.entry.insulation
    if run is not None and not marked.known and run.method in _CABLES_HELD_TO_60:
        case.given("insulation", f"conductors of {run.method} cable", run.method, str(run.written_at))
        text: str = run.method
    else:
        text = case.fact("insulation", "insulation of the hot conductors", marked)
    ratings = case.looked("T", "rated for", insulation(text, case.job.edition))
    if run is None or not is_wet(run):
        return ratings.dry
    if ratings.wet is None:
        raise Undecided(
            f"{run.code} lies in a wet place, and the insulation recorded is not for wet places. Read its marking."
        )
    return ratings.wet


def _over_roof(run: Run) -> bool:
    return any(step.surroundings == "roof" for step in run.path)


def _roof_disputed(run: Run, wires: Wires) -> bool:
    """Whether the two readings differ here: from 3/4 in up to 7/8 in, or insulation that one of them excepts."""
    height = run.height_above_roof.value
    excepted = (wires.entry.insulation.value or "").strip().upper() == _ROOF_EXCEPTED
    between = height is not None and magnitude(height, "inch") >= _ROOF_CLEARANCE_OTHERWISE - 1e-9
    return excepted or between


def _ambient(case: Case, run: Run, *, cool_roof: bool) -> Quantity:
    ambient = case.fact("T amb", f"warmest surroundings of {run.code}", run.ambient)
    if not _over_roof(run) or _roof_is_short(case, run):
        return ambient
    height = case.fact("h", f"height of {run.code} above the roof", run.height_above_roof)
    if cool_roof or magnitude(height, "inch") >= _ROOF_CLEARANCE:
        return ambient
    degrees = magnitude(ambient, "degree_Celsius")
    warmer = quantity(degrees + _ROOF_ADDED, "degree_Celsius")
    case.step(
        "T amb + 33 °C, less than 7/8 in above a roof (310.15(B)(2))",
        f"{number_text(degrees)} °C + {number_text(_ROOF_ADDED)} °C",
        warmer,
    )
    return warmer


def _roof_is_short(case: Case, run: Run) -> bool:
    """Whether so little of a run lies over the roof that the rest's ampacity holds for all of it (310.14(A)(2))."""
    whole = known_length(run)
    over = [step.length.value for step in run.path if step.surroundings == "roof"]
    if whole is None or any(length is None for length in over):
        return False
    above = sum(magnitude(length, "foot") for length in over if length is not None)
    rest = magnitude(whole, "foot") - above
    if above > min(_SHORT_FEET, _SHORT_SHARE * rest) + 1e-9:
        return False
    case.step(
        "over the roof: at most 10 ft and 10 % of the rest (310.14(A)(2) exception, before 2020 310.15(A)(2))",
        f"{number_text(above)} ft over the roof, {number_text(rest)} ft elsewhere",
        "no heat is added",
    )
    return True


def _bundled(case: Case, wires: Wires, run: Run, own: int) -> int:
    """The conductors to adjust for: a cable's own, or those of all cables bundled with it, where they are more.

    AC and MC cable of 12 AWG copper without an outer jacket is spared up to 20 conductors (310.15(C)(1)(d)); whether
    it has a jacket the record does not say.
    """
    cables = sorted({run.method, *(piece.method for piece in pieces(run))} - set(RACEWAYS))
    if not cables:
        return own
    meaning = f"conductors that carry current where {run.code} is bundled with other cables most, its own too"
    count = max(own, case.fact("n bundle", meaning, run.bundled_conductors))
    spared = all(cable in ("AC", "MC") for cable in cables) and own <= 3 < count <= 20
    if spared and wires.metal == "copper" and str(wires.size) == "12 AWG":
        raise Undecided(
            f"{run.code} lies in a bundle of {count} conductors. Cable of this kind and size is not adjusted where it "
            "has no outer jacket (310.15(C)(1)(d)). Look at the cable, and judge it by hand."
        )
    return count


def _is_nipple(case: Case, run: Run) -> bool:
    """Whether the run is a raceway so short that the count of conductors does not matter."""
    length = known_length(run)
    if length is None or run.method not in RACEWAYS:
        return False
    longest = nipple_length(case.job.edition)
    if magnitude(length, "inch") > magnitude(longest.value, "inch") + 1e-9:
        return False
    case.looked("nipple", f"{run.code} is {show(length, 'inch')} long: no adjustment for count up to", longest)
    return True


def current_carrying(case: Case, run: Run) -> int:
    """How many conductors carry current in a run, of all circuits and feeders that share it.

    Equipment grounding conductors never count.  A neutral counts where the record says so; where it says nothing, it
    counts in a two-wire circuit and in a 208Y/120 V system, and not where it carries only what two hot conductors of
    a 120/240 V system leave over: 310.15(E), before 2020 310.15(B)(5).
    """
    total = 0
    for wiring in case.job.installation.carried_by(run):
        if not wiring.conductors:
            raise Undecided(f"The conductors of {wiring.code}, which shares {run.code}, are not recorded.")
        counted = _counted(case, wiring) * sets_in_each_run(case, wiring)
        case.given("n", f"current-carrying conductors of {wiring.code} in {run.code}", counted, str(wiring.written_at))
        total += counted
    case.step("n, all circuits in the run", run.code, str(total))
    return total


def _counted(case: Case, wiring: Wiring) -> int:
    hots = sum(entry.count for entry in wiring.conductors if entry.role == "hot")
    shares_neutral = isinstance(wiring, Circuit) and wiring.multiwire_with is not None
    full_neutral = (hots == 1 and not shares_neutral) or case.job.record.service.volts.startswith("208Y")
    total = 0
    for entry in wiring.conductors:
        said = entry.carries_current.value
        counts = entry.role == "hot" or (entry.role == "neutral" and full_neutral)
        if entry.role != "equipment ground" and (counts if said is None else said):
            total += entry.count
    return total
