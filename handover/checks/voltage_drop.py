"""Advice about voltage drop: along each feeder and branch circuit, and from the service to the farthest outlet.

The code gives the percentages as informational notes, so nothing here fails a job.  Worked as ``2 × I × Z × L / 1000``
for single-phase, with Chapter 9 Tables 8 and 9, the load as it flows and not its 125 %.  Where no power factor was
recorded Z is ``√(R² + X²)``, the most it can be.  A feeder is taken to carry its load on both legs.
"""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.conductors_of import hot_wires, wiring_of_this_job
from handover.checks.feeder_load import current_of_feeder
from handover.checks.impedances import drop, impedance_for_drop, step_by_k
from handover.checks.loads_of import current_of
from handover.checks.panels import is_spare
from handover.checks.result import CheckResult
from handover.checks.runs_of import in_series, length_of
from handover.checks.scope import leg
from handover.record.installation import Position
from handover.record.supply import Panel
from handover.record.wiring import Circuit, Feeder, Run, Wiring
from handover.units import Quantity, magnitude, number_text, quantity, show

_BRANCH_NOTE = {
    2017: "210.19(A)(1), informational note 4" + FROM_MEMORY,
    2020: "210.19(A), informational note",
    2023: "210.19, informational note" + FROM_MEMORY,
}
_FEEDER_NOTE = {
    2017: "215.2(A)(1), informational note 2" + FROM_MEMORY,
    2020: "215.2(A), informational note",
    2023: "215.2, informational note" + FROM_MEMORY,
}


@rule("voltage_drop", "Is the wire thick enough that the voltage does not sag at its far end?", advice=True)
def voltage_drop(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The drop along one feeder or branch circuit, in percent of its voltage, against 3 %."""
    for wiring in wiring_of_this_job(job):
        note = _FEEDER_NOTE if isinstance(wiring, Feeder) else _BRANCH_NOTE
        case = job.case(voltage_drop, wiring.code, section=note)
        with case:
            case.compare(value=_percent(case, wiring), limit=quantity(3, "percent"), at_least=False)
        yield case.result


@rule("voltage_drop_total", "Does enough voltage arrive at the end, with the feeders before it?", advice=True)
def voltage_drop_total(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The drops of a branch circuit and of every feeder above it up to the service, in percent, against 5 %."""
    for circuit in wiring_of_this_job(job):
        if not isinstance(circuit, Circuit):
            continue
        case = job.case(voltage_drop_total, circuit.code, section=_BRANCH_NOTE)
        with case:
            parts = [_percent(case, circuit), *(_percent(case, feeder) for feeder in feeders_above(case, circuit))]
            total = quantity(sum(magnitude(part, "percent") for part in parts), "percent")
            case.step("sum of the drops", " + ".join(show(part) for part in parts), total)
            case.compare(value=total, limit=quantity(5, "percent"), at_least=False)
        yield case.result


def feeders_above(case: Case, circuit: Circuit) -> list[Feeder]:
    """The feeders between a circuit's panel and the service, nearest first.  Undecided where one is not recorded."""
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


def _percent(case: Case, wiring: Wiring) -> Quantity:
    volts = case.fact("V", f"volts of {wiring.code}", wiring.volts)
    dropped = drop_of(case, wiring, actual_current(case, wiring))
    percent = quantity(100 * dropped / magnitude(volts, "volt"), "percent")
    case.step(f"100 × drop / V, {wiring.code}", f"100 × {number_text(dropped)} V / {show(volts)}", percent)
    return percent


def actual_current(case: Case, wiring: Wiring) -> Quantity:
    """What flows in use, without any 125 %.

    Of a feeder the recorded load or the sum of its panel, if that is more; the sum alone where no load was recorded.
    """
    if isinstance(wiring, Circuit):
        return current_of(case, wiring)
    assert isinstance(wiring, Feeder)
    return current_of_feeder(case, wiring) if wiring.load.known else _sum_of_panel(case, wiring)


def _sum_of_panel(case: Case, feeder: Feeder) -> Quantity:
    """All circuits of the panel at once, on the heavier leg."""
    panel = case.job.installation.panels.get(feeder.to)
    if panel is None or not panel.slots:
        return case.fact("I", f"calculated load of {feeder.code}", feeder.load)
    legs = {"A": quantity(0, "ampere"), "B": quantity(0, "ampere")}
    for slot in panel.slots:
        if slot.breaker is None or is_spare(slot):
            continue
        circuit = case.job.installation.wirings.get(slot.feeds or "")
        if not isinstance(circuit, Circuit):
            raise Undecided(
                f"The load of {feeder.code} is not recorded, nor what {Position(panel, slot).spoken} feeds and how "
                "much that takes. Record one of them."
            )
        current = current_of(case, circuit)
        for name in {leg(panel, space) for space in slot.spaces}:
            legs[name] = legs[name] + current
    heavier = max(legs.values())
    case.step(
        f"{feeder.code}: sum of the circuits of {panel.code}, the heavier leg",
        ", ".join(f"leg {name} {show(amperes)}" for name, amperes in legs.items()),
        heavier,
    )
    return heavier


def drop_of(case: Case, wiring: Wiring, current: Quantity) -> float:
    """Volts lost along all runs of a feeder or circuit at a current.  Undecided where a length is missing."""
    runs = in_series(case, wiring)
    if not runs:
        raise Undecided(f"The run of {wiring.code} is not recorded, so its length is not known.")
    return sum(_drop_in(case, wiring, run, current) for run in runs)


def _drop_in(case: Case, wiring: Wiring, run: Run, current: Quantity) -> float:
    length = length_of(case, run)
    wires = hot_wires(case, wiring)
    impedance = impedance_for_drop(case, wires, run)
    feet, amperes = magnitude(length, "foot"), magnitude(current, "ampere")
    dropped = drop(amperes, impedance, feet, sets=wiring.sets)
    sets = f" / {wiring.sets} sets" if wiring.sets > 1 else ""
    case.step(
        f"2 × I × Z × L / 1000 in {run.code}",
        f"2 × {show(current)} × {number_text(impedance)} Ω × {show(length)} / 1000{sets}",
        quantity(dropped, "volt"),
    )
    step_by_k(case, wires, amperes, feet, wiring.sets)
    return dropped


RULES = (voltage_drop, voltage_drop_total)
