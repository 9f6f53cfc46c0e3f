"""Advice about voltage drop: along each feeder and branch circuit, and from the service to the farthest outlet.

The code gives the percentages as informational notes, so nothing here fails a job.  Worked with Chapter 9 Table 9 as
``2 × I × Z × L / 1000`` for single-phase, the load as it flows and not its 125 %.  Where no power factor was recorded Z
is ``√(R² + X²)``, the most it can be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.conductors_of import hot_wires, wiring_of_this_job
from handover.checks.loads_of import current_of
from handover.checks.result import CheckResult
from handover.checks.runs_of import STEEL, length_of, pieces
from handover.record.supply import Panel
from handover.record.wiring import Circuit, Feeder, Run, Wiring
from handover.tables.lookups import Conduit, ac_impedance
from handover.units import Quantity, magnitude, number_text, quantity, show

_BRANCH_NOTE = {2020: "210.19(A), informational note", 2023: "210.19, informational note" + FROM_MEMORY}
_FEEDER_NOTE = {2020: "215.2(A), informational note", 2023: "215.2, informational note" + FROM_MEMORY}


@rule("voltage_drop", "Is the wire thick enough that the voltage does not sag at its far end?", advice=True)
def voltage_drop(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The drop along one feeder or branch circuit, in percent of its voltage, against 3 %."""
    for wiring in wiring_of_this_job(job):
        note = _FEEDER_NOTE if isinstance(wiring, Feeder) else _BRANCH_NOTE
        case = job.case(voltage_drop, wiring.code, section=note)
        with case:
            case.compare(value=_drop(case, wiring), limit=quantity(3, "percent"), at_least=False)
        yield case.result


@rule("voltage_drop_total", "Does enough voltage arrive at the end, with the feeders before it?", advice=True)
def voltage_drop_total(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The drops of a branch circuit and of every feeder above it up to the service, in percent, against 5 %."""
    for circuit in wiring_of_this_job(job):
        if not isinstance(circuit, Circuit):
            continue
        case = job.case(voltage_drop_total, circuit.code, section=_BRANCH_NOTE)
        with case:
            parts = [_drop(case, circuit), *(_drop(case, feeder) for feeder in _feeders_above(case, circuit))]
            total = quantity(sum(magnitude(part, "percent") for part in parts), "percent")
            case.step("sum of the drops", " + ".join(show(part) for part in parts), total)
            case.compare(value=total, limit=quantity(5, "percent"), at_least=False)
        yield case.result


def _feeders_above(case: Case, circuit: Circuit) -> list[Feeder]:
    installation = case.job.installation
    position = installation.position(circuit.code)
    if position is None:
        raise Undecided(f"No panel space feeds {circuit.code}. Record its breaker in the panel it starts from.")
    chain = installation.path_to_service(position.panel)
    if chain[-1] is not installation.service_panel:
        raise Undecided(f"What feeds {chain[-1].code} is not recorded.")
    return [_feeder_to(case, panel) for panel in chain[:-1]]


def _feeder_to(case: Case, panel: Panel) -> Feeder:
    feeder = case.job.installation.feeder_to(panel)
    if feeder is None:
        raise Undecided(f"The conductors that feed {panel.code} are not recorded.")
    return feeder


def _drop(case: Case, wiring: Wiring) -> Quantity:
    volts = case.fact("V", f"volts of {wiring.code}", wiring.volts)
    current = _current(case, wiring)
    runs = case.job.installation.runs_of(wiring)
    if not runs:
        raise Undecided(f"The run of {wiring.code} is not recorded, so its length is not known.")
    dropped = 0.0
    for run in runs:
        dropped += _drop_in(case, wiring, run, current)
    percent = quantity(100 * dropped / magnitude(volts, "volt"), "percent")
    case.step(f"100 × drop / V, {wiring.code}", f"100 × {number_text(dropped)} V / {show(volts)}", percent)
    return percent


def _current(case: Case, wiring: Wiring) -> Quantity:
    if isinstance(wiring, Circuit):
        return current_of(case, wiring)
    assert isinstance(wiring, Feeder)
    return case.fact("I", f"calculated load of {wiring.code}", wiring.load)


def _drop_in(case: Case, wiring: Wiring, run: Run, current: Quantity) -> float:
    """Volts lost in one run."""
    length = length_of(case, run)
    wires = hot_wires(case, wiring)
    found = ac_impedance(wires.size, wires.metal, _conduit(run), case.job.edition)
    resistance, reactance = (magnitude(each, "ohm") for each in (found.value.resistance, found.value.reactance))
    case.given("R", "resistance of 1000 ft", found.value.resistance, found.source)
    case.given("X", "reactance of 1000 ft", found.value.reactance, found.source)
    impedance = _impedance(case, run, resistance, reactance)
    feet, amperes = magnitude(length, "foot"), magnitude(current, "ampere")
    dropped = 2 * amperes * impedance * feet / 1000 / wiring.sets
    sets = f" / {wiring.sets} sets" if wiring.sets > 1 else ""
    case.step(
        f"2 × I × Z × L / 1000 in {run.code}",
        f"2 × {show(current)} × {number_text(impedance)} Ω × {show(length)} / 1000{sets}",
        quantity(dropped, "volt"),
    )
    return dropped


def _impedance(case: Case, run: Run, resistance: float, reactance: float) -> float:
    """Effective impedance of 1000 ft (Ω): by the recorded power factor, else the most it can be."""
    if run.power_factor.known:
        factor = case.fact("pf", "power factor", run.power_factor)
        if not 0 < factor <= 1:
            raise Undecided(f"The power factor of {run.code} is not between 0 and 1. Mend it in the record.")
        impedance = resistance * factor + reactance * math.sqrt(1 - factor**2)
        r, x, pf = (number_text(each) for each in (resistance, reactance, factor))
        case.step("Z = R × pf + X × √(1 - pf²)", f"{r} × {pf} + {x} × √(1 - {pf}²)", quantity(impedance, "ohm"))
        return impedance
    impedance = math.hypot(resistance, reactance)
    case.step(
        "Z = √(R² + X²), at any power factor no more",
        f"√({number_text(resistance)}² + {number_text(reactance)}²)",
        quantity(impedance, "ohm"),
    )
    return impedance


def _conduit(run: Run) -> Conduit:
    """The column of Table 9: steel where any piece is, since reactance is highest there; else as in plastic."""
    return "steel" if any(piece.method in STEEL for piece in pieces(run)) or run.method in STEEL else "pvc"


RULES = (voltage_drop, voltage_drop_total)
