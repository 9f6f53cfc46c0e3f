"""What a circuit or feeder carries, and for how long: one answer, used by every rule that reckons with a load."""

from __future__ import annotations

from dataclasses import dataclass

from handover.checks.asking import written
from handover.checks.case import Case, Undecided
from handover.record.facts import Fact
from handover.record.wiring import Circuit, Equipment
from handover.units import Quantity, magnitude, quantity, show

_TAKES_NOTHING_ITSELF = ("receptacle", "surge protector")
COOLING = ("heat pump", "air conditioner")
"""The equipment of Article 440."""
STORAGE = "storage to 120 gal"
"""The kind of water heater that 422.13 sizes as a continuous load."""


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
    return _parts(case, circuit).current


@dataclass(frozen=True, slots=True)
class _Parts:
    """A circuit's current, and what of it each piece of equipment takes.  ``silent`` gave no current of its own."""

    current: Quantity
    items: tuple[tuple[Equipment, Quantity], ...]
    silent: tuple[Equipment, ...]


def _parts(case: Case, circuit: Circuit) -> _Parts:
    found = [(item, equipment_current(case, item, circuit)) for item in loads_on(case, circuit)]
    items = tuple((item, current) for item, current in found if current is not None)
    silent = tuple(item for item, current in found if current is None)
    total = sum((current for _, current in items), start=quantity(0, "ampere"))
    if silent and not circuit.load.known:
        raise Undecided(
            f"current of {', '.join(item.code for item in silent)}: not recorded. "
            "Read the nameplate, or record the circuit's load."
        )
    if not items:
        return _Parts(case.fact("I", "current in use", circuit.load), items, silent)
    if len(items) > 1:
        numbers = " + ".join(show(current) for _, current in items)
        case.step(f"I of {', '.join(item.code for item, _ in items)}, added", numbers, total)
    if circuit.load.known:
        load = case.fact("I load", "current in use, as recorded for the whole circuit", circuit.load)
        if load > total:
            case.step("the larger of I load and I", f"{show(load)}; {show(total)}", load)
            return _Parts(load, items, silent)
    elif len(circuit.outlets) > len(items):
        raise Undecided(
            f"{circuit.code} has outlets besides its recorded equipment, and what they take is not recorded. "
            "Record the circuit's load."
        )
    if silent:
        raise Undecided(
            f"The load recorded for {circuit.code} leaves nothing for {', '.join(item.code for item in silent)}, whose "
            "current is not recorded. Read its nameplate, or mend the circuit's load."
        )
    return _Parts(total, items, silent)


def load_of_circuit(case: Case, circuit: Circuit) -> Load:
    """The load of a branch circuit, split item by item into what may flow for three hours and what does not.

    A car charger (625.42), fixed electric space heating (424.3(B) in 2017, later 424.4(B)) and a water heater for
    storage to 120 gal (422.13) are continuous by the text; of a circuit's motors the largest is sized so (430.22,
    430.24).  Of the rest the record has to say it: of the equipment, or else of the circuit.
    """
    parts = _parts(case, circuit)
    codes = _continuous_items(case, circuit, parts)
    continuous = quantity(0, "ampere")
    for item, current in parts.items:
        if item.code in codes:
            continuous = continuous + current
    rest = parts.current - sum((current for _, current in parts.items), start=quantity(0, "ampere"))
    if rest > quantity(1e-9, "ampere") and _rest_is_continuous(case, circuit, parts, codes):
        continuous = continuous + rest
    load = Load(parts.current, continuous)
    if continuous and load.noncontinuous > quantity(1e-9, "ampere"):
        case.step(
            "I continuous; I other", f"of {show(parts.current)}", f"{show(continuous)}; {show(load.noncontinuous)}"
        )
    return load


def _continuous_items(case: Case, circuit: Circuit, parts: _Parts) -> set[str]:
    """The codes of the circuit's equipment that may run three hours or more, or is sized as if it did."""
    motors = [(current, item.code) for item, current in parts.items if item.kind == "motor"]
    largest = max(motors, key=lambda each: each[0])[1] if motors else None
    codes = set()
    for item in (*(item for item, _ in parts.items), *parts.silent):
        first_motor = item.code == largest or (item.kind == "motor" and item in parts.silent)
        if _by_the_text(case, item, largest=first_motor) or _by_the_record(case, circuit, item):
            codes.add(item.code)
    if circuit.continuous.value and parts.items and not codes:
        # The circuit is said to run for hours and no piece of its equipment is: one of the two is wrong.
        case.fact("continuous", f"{circuit.code} may run three hours or more", circuit.continuous)
        return {item.code for item, _ in parts.items}
    return codes


def _by_the_text(case: Case, item: Equipment, *, largest: bool) -> bool:
    """Whether the text itself makes an item continuous, noted with its section."""
    if item.kind == "car charger":
        section = "625.42"
    elif item.kind == "space heater" and item.mounting.value != "portable":
        section = "424.3(B)" if case.job.edition < 2020 else "424.4(B)"
    elif item.kind == "motor" and largest:
        section = "430.22 and 430.24"
    elif item.kind == "water heater" and item.heater_kind.value in (None, STORAGE):
        section = "422.13"
        if not item.heater_kind.known:
            section += ", its kind not recorded: taken for storage to 120 gal, the safe side"
    else:
        return False
    case.given("continuous", f"{item.code} is sized as a continuous load", "yes", f"NEC {section}")
    return True


def _by_the_record(case: Case, circuit: Circuit, item: Equipment) -> bool:
    meaning = f"{item.code} may run three hours or more"
    if item.continuous.known or not circuit.continuous.known:
        return case.fact("continuous", meaning, item.continuous)
    return case.fact("continuous", f"{meaning}, as recorded of {circuit.code}", circuit.continuous)


def _rest_is_continuous(case: Case, circuit: Circuit, parts: _Parts, codes: set[str]) -> bool:
    """Whether what a circuit carries besides the currents of its equipment may flow for three hours.

    It does where equipment that gave no current of its own does.
    """
    if any(item.code in codes for item in parts.silent):
        return True
    items = parts.items or parts.silent
    if items and len(codes) == len(items) and not circuit.continuous.known:
        case.given("continuous", "the rest is taken as continuous too, the safe side", "yes", "not in the record")
        return True
    if parts.silent and not parts.items:
        return False  # all of it is what that equipment takes, and none of that runs for hours
    besides = f"what {circuit.code} carries besides {', '.join(item.code for item, _ in parts.items)}"
    told = besides if items else f"the load of {circuit.code}"
    return case.fact("continuous", f"{told} may run three hours or more", circuit.continuous)


def nameplate_ampacity(case: Case, circuit: Circuit) -> tuple[Equipment, Fact[Quantity]] | None:
    """The equipment of Article 440 whose nameplate gives a minimum circuit ampacity, with that fact; None without.

    Undecided where anything else is on its circuit: one nameplate does not govern what feeds several things.
    """
    items = loads_on(case, circuit)
    marked = [item for item in items if item.kind in COOLING and item.minimum_circuit_ampacity.known]
    if not marked:
        return None
    others = [item.code for item in items if item is not marked[0]]
    if others:
        raise Undecided(
            f"{circuit.code} feeds {', '.join(others)} besides {marked[0].code}, so one nameplate alone does not say "
            "what wires and breaker it needs. Judge it by hand (440.33 to 440.35, 440.22(B))."
        )
    return marked[0], marked[0].minimum_circuit_ampacity
