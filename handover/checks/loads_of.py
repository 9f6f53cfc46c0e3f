"""What a circuit or feeder carries, and for how long: one answer, used by every rule that reckons with a load."""

from __future__ import annotations

from dataclasses import dataclass

from handover.checks.asking import written
from handover.checks.case import Case, Undecided
from handover.record.facts import Fact
from handover.record.wiring import Circuit, Equipment
from handover.units import Quantity, magnitude, quantity, show

_TAKES_NOTHING_ITSELF = ("receptacle", "surge protector")
_SIZED_AS_CONTINUOUS = {"car charger": "625.42", "water heater": "422.13", "motor": "430.22"}


@dataclass(frozen=True, slots=True)
class Load:
    """Current (A) that flows in use, and the part of it that may flow for three hours or more."""

    current: Quantity
    continuous: Quantity

    @property
    def noncontinuous(self) -> Quantity:
        """The rest of the current."""
        rest: Quantity = self.current - self.continuous
        return rest


def equipment_current(case: Case, item: Equipment, circuit: Circuit) -> Quantity | None:
    """The current (A) of one piece of equipment, or None where neither setting nor nameplate was recorded.

    A setting counts only where it is recorded how it is kept from being turned up (625.42); otherwise the nameplate
    does.  Power is taken as volt-amperes over the equipment's own volts, or the circuit's.
    """
    if item.set_current.known and item.setting_access.known:
        written(case, "access", f"how the setting of {item.code} is kept from being turned up", item.setting_access)
        return case.fact("I", f"current {item.code} is set to", item.set_current)
    if item.current.known:
        nameplate = case.fact("I", f"nameplate current of {item.code}", item.current)
        if item.set_current.value is not None and item.set_current.value > nameplate:
            # One of the two is wrong; until somebody finds out which, the larger one is reckoned with.
            return case.fact("I", f"current {item.code} is set to, above its nameplate", item.set_current)
        return nameplate
    if item.power.known:
        power = case.fact("S", f"nameplate power of {item.code}", item.power)
        volts = case.fact("V", f"volts of {item.code}", item.volts if item.volts.known else circuit.volts)
        amperes = magnitude(power, "volt_ampere") / magnitude(volts, "volt")
        current = quantity(amperes, "ampere")
        case.step("I = S / V", f"{show(power, 'volt_ampere')} / {show(volts)}", current)
        return current
    if item.set_current.known:
        raise Undecided(
            f"{item.code} is set to a current, and it is not recorded how the setting is kept from being turned up; "
            "nor is its nameplate current. Record one of them."
        )
    return None


def loads_on(case: Case, circuit: Circuit) -> list[Equipment]:
    """The equipment on a circuit that takes current itself; a receptacle or surge protector does not."""
    return [item for item in case.job.installation.equipment_on(circuit) if item.kind not in _TAKES_NOTHING_ITSELF]


def current_of(case: Case, circuit: Circuit) -> Quantity:
    """The current (A) of a branch circuit: what its equipment takes, or the recorded load, whichever is larger.

    Ends the case as undecided where no load was recorded and a piece of equipment gives no current, or there are
    outlets besides the equipment.
    """
    total: Quantity | None = None
    silent: list[str] = []
    for item in loads_on(case, circuit):
        current = equipment_current(case, item, circuit)
        if current is None:
            silent.append(item.code)
        else:
            total = current if total is None else total + current
    if total is None or silent:
        if silent and not circuit.load.known:
            raise Undecided(
                f"current of {', '.join(silent)}: not recorded. Read the nameplate, or record the circuit's load."
            )
        return case.fact("I", "current in use", circuit.load)
    if circuit.load.known:
        load = case.fact("I load", "current in use, as recorded for the whole circuit", circuit.load)
        if load > total:
            case.step("the larger of I load and I", f"{show(load)}; {show(total)}", load)
            return load
    elif len(circuit.outlets) > len(loads_on(case, circuit)):
        raise Undecided(
            f"{circuit.code} has outlets besides its recorded equipment, and what they take is not recorded. "
            "Record the circuit's load."
        )
    return total


def is_continuous(case: Case, circuit: Circuit) -> bool:
    """Whether the circuit's load may flow for three hours or more.

    Car charging is continuous by 625.42; a water heater is sized as if it were by 422.13 (storage to 120 gal, the usual
    size in a house) and a motor by 430.22.  For everything else the record has to say it.
    """
    for item in loads_on(case, circuit):
        section = _SIZED_AS_CONTINUOUS.get(item.kind)
        if section:
            case.given("continuous", f"{item.code} is sized as a continuous load", "yes", f"NEC {section}")
            return True
    loads = loads_on(case, circuit)
    said = [item.continuous for item in loads if item.continuous.known]
    for fact in said:
        if fact.value:
            return case.fact("continuous", "may run three hours or more", fact)
    if circuit.continuous.known or not said or len(said) < len(loads):
        return case.fact("continuous", "may run three hours or more", circuit.continuous)
    return case.fact("continuous", "may run three hours or more", said[0])


def load_of_circuit(case: Case, circuit: Circuit) -> Load:
    """The load of a branch circuit."""
    current = current_of(case, circuit)
    return Load(current, current if is_continuous(case, circuit) else quantity(0, "ampere"))


def nameplate_ampacity(case: Case, circuit: Circuit) -> tuple[Equipment, Fact[Quantity]] | None:
    """Equipment of Article 440 whose nameplate gives a minimum circuit ampacity, with that fact; None without."""
    for item in loads_on(case, circuit):
        if item.kind in ("heat pump", "air conditioner") and item.minimum_circuit_ampacity.known:
            return item, item.minimum_circuit_ampacity
    return None
