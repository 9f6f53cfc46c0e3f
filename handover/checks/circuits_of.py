"""What the rules about one appliance's branch circuit share: the circuit, its current, wires, neutral and plate."""

from __future__ import annotations

from functools import partial

from handover.checks.ampacities import after_correction, ask_about_the_roof, before_correction, capped_column
from handover.checks.asking import confirmed
from handover.checks.case import Case, Undecided
from handover.checks.conductors_of import (
    ask_for_terminals,
    at_least,
    breaker_of,
    hot_wires,
    less,
    terminal_column,
    wires_of,
)
from handover.record.wiring import Circuit, Equipment
from handover.units import Quantity, magnitude, quantity, show


def circuit_of(case: Case, item: Equipment) -> Circuit:
    """The branch circuit of a piece of equipment; undecided where the record has none."""
    found = next((circuit for circuit in case.job.record.circuits if circuit.code == item.circuit), None)
    if found is None:
        raise Undecided(f"{item.code} is on no branch circuit of this record. Record its circuit.")
    return found


def at_terminals(case: Case, circuit: Circuit, needed: Quantity) -> bool:
    """Whether the printed ampacity in the terminals' column is at least ``needed``; closes the case where it is not."""
    wires = hot_wires(case, circuit)
    terminal = terminal_column(case, circuit, breaker_of(case, circuit))
    ampacity = before_correction(case, circuit, wires, capped_column(case, circuit, wires, terminal))
    good = not less(ampacity, needed)
    ask_for_terminals(circuit, terminal, good)
    return _enough(case, ampacity, needed)


def wires_carry(case: Case, circuit: Circuit, needed: Quantity) -> bool:
    """Whether the corrected ampacity is at least ``needed``; closes the case as failing where it is not."""
    wires = hot_wires(case, circuit)
    terminal = terminal_column(case, circuit, breaker_of(case, circuit))
    ampacity = after_correction(case, circuit, wires, terminal)
    good = not less(ampacity, needed)
    if not good:
        ask_about_the_roof(case, circuit, wires, terminal, partial(at_least, needed))
    ask_for_terminals(circuit, terminal, good)
    return _enough(case, ampacity, needed)


def _enough(case: Case, ampacity: Quantity, needed: Quantity) -> bool:
    if less(ampacity, needed):
        told = f"The wires have {show(ampacity)} where {show(needed)} is needed."
        case.compare(value=ampacity, limit=needed, at_least=True, reason=told)
        return False
    case.step("ampacity, and what is needed", f"{show(ampacity)}; {show(needed)}", "large enough")
    return True


def has_its_neutral(case: Case, item: Equipment, circuit: Circuit) -> bool:
    """Whether a neutral is there, or the appliance needs none; closes the case as failing where it is missing.

    An appliance of 120/240 V takes a neutral beside its ground wire on every new circuit (250.140).
    """
    if wires_of(case, circuit, "neutral") is not None:
        return True
    if confirmed(
        case, f"{circuit.code} has no neutral: is {item.code} marked for 240 V alone, not 120/240 V (250.140)?"
    ):
        return True
    case.holds(False, f"{item.code} takes 120 V too, and {circuit.code} has no neutral (250.140).")
    return False


def marked_maximum(case: Case, item: Equipment) -> Quantity | None:
    """The maximum overcurrent device (A) on a nameplate; None only where it is recorded that the plate gives none."""
    if not item.maximum_overcurrent.known:
        gives = case.fact("", f"the plate of {item.code} gives a maximum overcurrent device", item.maximum_marked)
        if not gives:
            return None
    return case.fact("MOP", f"maximum overcurrent device on the nameplate of {item.code}", item.maximum_overcurrent)


def within_plate(case: Case, items: list[Equipment], breaker: Quantity, least: Quantity) -> None:
    """Close the case: the breaker at least ``least``, and within the maximum that a nameplate gives, if one does."""
    for item in items:
        most = marked_maximum(case, item)
        if most is not None and less(most, breaker):
            case.compare(value=breaker, limit=most, at_least=False)
            return
    case.compare(value=breaker, limit=least, at_least=True)


def nameplate_current(case: Case, item: Equipment, circuit: Circuit) -> Quantity:
    """The nameplate's current (A), or its power over the volts; undecided where neither was recorded."""
    if item.current.known:
        return case.fact("I", f"nameplate current of {item.code}", item.current)
    power = case.fact("P", f"nameplate power of {item.code}", item.power)
    volts = case.fact("V", f"volts of {circuit.code}", item.volts if item.volts.known else circuit.volts)
    current = quantity(magnitude(power, "volt_ampere") / magnitude(volts, "volt"), "ampere")
    case.step("I = P / V", f"{show(power)} / {show(volts)}", current)
    return current
