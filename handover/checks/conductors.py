"""Rules about conductors: large enough for the load, at their terminals and where they run; fit for wet places."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from handover.checks.ampacities import after_correction, ask_about_the_roof, before_correction, capped_column
from handover.checks.asking import FROM_MEMORY, confirmed
from handover.checks.case import Case, JobUnderCheck, Sections, Undecided, rule
from handover.checks.compressors import compressor_conductor, unmarked_compressor
from handover.checks.conductors_of import (
    ask_for_terminals,
    at_least,
    breaker_of,
    for_general_use,
    hot_wires,
    less,
    terminal_column,
    wiring_of_this_job,
)
from handover.checks.cooking_circuits import cooking_demand, cooks_only
from handover.checks.feeder_load import current_of_feeder, load_of
from handover.checks.loads_of import current_of, loads_on, nameplate_ampacity
from handover.checks.result import CheckResult
from handover.checks.runs_of import RACEWAYS, WET, recorded_pieces, runs_of_this_job
from handover.record.wiring import Circuit, Feeder, Run, Wiring
from handover.tables.lookups import insulation
from handover.units import Quantity, show

_BRANCH_BEFORE = {2017: "210.19(A)(1)(a)" + FROM_MEMORY, 2020: "210.19(A)(1)(a)", 2023: "210.19(A)(1)" + FROM_MEMORY}
_BRANCH_AFTER = {2017: "210.19(A)(1)(b)" + FROM_MEMORY, 2020: "210.19(A)(1)(b)", 2023: "210.19(A)(2)" + FROM_MEMORY}
_FEEDER_BEFORE = {2017: "215.2(A)(1)(a)" + FROM_MEMORY, 2020: "215.2(A)(1)(a)", 2023: "215.2(A)(1)" + FROM_MEMORY}
_FEEDER_AFTER = {2017: "215.2(A)(1)(b)" + FROM_MEMORY, 2020: "215.2(A)(1)(b)", 2023: "215.2(A)(2)" + FROM_MEMORY}
_NAMEPLATE = "440.35" + FROM_MEMORY
_COMPRESSOR = "440.32"
_COOKING = {2017: "210.19(A)(3)", 2020: "210.19(A)(3)", 2023: "210.19(C)"}
_NEVER_WET = {"NM-B": "334.12(B)(4)", "AC": "320.12"}


def _section(job: JobUnderCheck, wiring: Wiring, branch: Sections, feeder: Sections) -> Sections | str:
    if isinstance(wiring, Feeder):
        return feeder
    items = job.installation.equipment_on(wiring) if isinstance(wiring, Circuit) else []
    cooling = [item for item in items if item.kind in ("heat pump", "air conditioner")]
    if any(item.minimum_circuit_ampacity.known for item in cooling):
        return _NAMEPLATE
    if any(item.marked_with_ampacity.value is False for item in cooling):
        return _COMPRESSOR
    return _COOKING if items and all(item.kind == "range" for item in items) else branch


def ask_for_nameplate(case: Case, circuit: Circuit) -> None:
    """Raise Undecided where air-conditioning or heat-pump equipment is on the circuit and its plate was not read."""
    if unmarked_compressor(case, circuit) is not None:
        return
    for item in loads_on(case, circuit):
        if item.kind in ("heat pump", "air conditioner") and not item.minimum_circuit_ampacity.known:
            raise Undecided(
                f"Minimum circuit ampacity of {item.code}: {item.minimum_circuit_ampacity.basis}. "
                "Read it on the nameplate and write it in the record."
            )


def needed_for(case: Case, wiring: Wiring, breaker: Quantity, *, with_quarter: bool) -> Quantity:
    """The current (A) a conductor must be good for: nameplate ampacity, 125 % of continuous load, or the load."""
    if isinstance(wiring, Circuit):
        ask_for_nameplate(case, wiring)
        plate = nameplate_ampacity(case, wiring)
        if plate is not None:
            item, ampacity = plate
            marked: Quantity = case.fact("MCA", f"minimum circuit ampacity on the nameplate of {item.code}", ampacity)
            return marked
        compressor = unmarked_compressor(case, wiring)
        if compressor is not None:
            return compressor_conductor(case, compressor)
        if cooks_only(case, wiring):
            return cooking_demand(case, wiring)
        if for_general_use(case, wiring):
            case.given("need", "a circuit for general use may be loaded to its rating", breaker, "NEC 210.19")
            return breaker
    if not with_quarter:
        return _plain_load(case, wiring)
    load = load_of(case, wiring)
    needed: Quantity = load.continuous * 1.25 + load.noncontinuous
    case.step("1.25 × I continuous + I other", f"1.25 × {show(load.continuous)} + {show(load.noncontinuous)}", needed)
    return needed


def _plain_load(case: Case, wiring: Wiring) -> Quantity:
    if isinstance(wiring, Circuit):
        return current_of(case, wiring)
    assert isinstance(wiring, Feeder)
    return current_of_feeder(case, wiring)


@rule("conductor_before_correction", "Is the conductor large enough for the load at its terminals?")
def conductor_before_correction(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Ampacity as printed in the terminals' column, against 125 % of the continuous and 100 % of the other load.

    Source: NEC 210.19(A) branch circuits, 215.2(A) feeders, 440.35 for nameplate ampacity, columns of 110.14(C).  A.
    """
    for wiring in wiring_of_this_job(job):
        section = _section(job, wiring, _BRANCH_BEFORE, _FEEDER_BEFORE)
        case = job.case(conductor_before_correction, wiring.code, section=section)
        with case:
            breaker = breaker_of(case, wiring)
            needed = needed_for(case, wiring, breaker, with_quarter=True)
            wires = hot_wires(case, wiring)
            terminal = terminal_column(case, wiring, breaker)
            column = capped_column(case, wiring, wires, terminal)
            ampacity = before_correction(case, wiring, wires, column)
            ask_for_terminals(wiring, terminal, not less(ampacity, needed))
            told = f"At its terminals the wire is good for {show(ampacity)}; {show(needed)} is needed."
            case.compare(value=ampacity, limit=needed, at_least=True, reason=told)
        yield case.result


@rule("conductor_after_correction", "Is the conductor still large enough where it runs warm or shares a raceway?")
def conductor_after_correction(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Ampacity after correction and adjustment, against the load itself (no 125 % here).

    Source: NEC 210.19(A), 215.2(A), 310.15(B) and (C), limited by 110.14(C).  Unit: A.
    """
    for wiring in wiring_of_this_job(job):
        section = _section(job, wiring, _BRANCH_AFTER, _FEEDER_AFTER)
        case = job.case(conductor_after_correction, wiring.code, section=section)
        with case:
            breaker = breaker_of(case, wiring)
            needed = needed_for(case, wiring, breaker, with_quarter=False)
            wires = hot_wires(case, wiring)
            terminal = terminal_column(case, wiring, breaker)
            ampacity = after_correction(case, wiring, wires, terminal)
            if less(ampacity, needed):
                ask_about_the_roof(case, wiring, wires, terminal, partial(at_least, needed))
            ask_for_terminals(wiring, terminal, not less(ampacity, needed))
            told = f"Where it runs warmest and most crowded it is good for {show(ampacity)}; {show(needed)} is needed."
            case.compare(value=ampacity, limit=needed, at_least=True, reason=told)
        yield case.result


@rule("wet_location_insulation", "Is the wire made for the wet place it lies in?")
def wet_location_insulation(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Every conductor of a run outdoors or in earth has insulation for wet places; one result for each such run.

    Source: NEC 310.10(C), with 300.5(B) in earth and 300.9 in raceways above grade.  A raceway that is watertight is
    still wet inside.  Runs wholly indoors give no result.
    """
    for run in runs_of_this_job(job):
        if not any(step.surroundings in WET for step in run.path):
            continue
        case = job.case(wet_location_insulation, run.code, section="310.10(C)" + FROM_MEMORY)
        with case:
            _judge_wet(case, run)
        yield case.result


def _judge_wet(case: Case, run: Run) -> None:
    wet = [piece for piece in recorded_pieces(run) if piece.step.surroundings in WET]
    case.given("wet", "pieces in a wet place", ", ".join(piece.named for piece in wet), str(run.written_at))
    for cable, section in _NEVER_WET.items():
        if any(piece.method == cable for piece in wet):
            case.holds(False, f"{cable} cable is not for wet or damp places ({section}).")
            return
    if all(piece.method in ("UF-B", "USE-2") for piece in wet):
        case.holds(True, "The cable is of a kind made for wet places.")
        return
    others = sorted({piece.method for piece in wet} - {*RACEWAYS, "UF-B", "USE-2"})
    if others and not confirmed(case, f"Is the {' and '.join(others)} cable of {run.code} marked for wet places?"):
        case.holds(False, f"The cable of {run.code} is not for wet places.")
        return
    if not any(piece.method in RACEWAYS for piece in wet):
        case.holds(True, "The cable is marked for wet places.")
        return
    unfit = []
    for wiring in case.job.installation.carried_by(run):
        if not wiring.conductors:
            raise Undecided(f"The conductors of {wiring.code} in {run.code} are not recorded.")
        for entry in wiring.conductors:
            if entry.role == "equipment ground" and (entry.insulation.value or "").lower() in ("", "bare"):
                continue  # a bare equipment grounding conductor has no insulation to spoil
            marking = case.fact("insulation", f"insulation, {wiring.code}, {entry.role}", entry.insulation)
            if case.looked("T", "rated for", insulation(marking, case.job.edition)).wet is None:
                unfit.append(f"{wiring.code} {entry.role}")
    if unfit:
        case.holds(False, f"Not for wet places: {', '.join(unfit)}.")
    else:
        case.holds(True, "Every conductor is rated for wet places.")


RULES = (conductor_before_correction, conductor_after_correction, wet_location_insulation)
