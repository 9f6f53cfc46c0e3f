"""What the methods of load calculation share: the recorded load, floor area, nameplates, heating and cooling, rounding.

Loads are plain numbers of volt-amperes here, as on the trade's own calculation sheets.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from handover.checks.case import Case, JobUnderCheck, Undecided
from handover.checks.loads_of import current_of, loads_on
from handover.checks.scope import is_new
from handover.record.supply import Appliance, ServiceLoad
from handover.record.wiring import Circuit
from handover.units import Quantity, magnitude, quantity, show

CIRCUIT_VA = 1500.0  # each small-appliance and laundry circuit, 220.52
_COUNTED_AS = {
    "car charger": ("car charger",), "heat pump": ("heat pump",), "air conditioner": ("cooling",),
    "water heater": ("water heater",), "range": ("range",), "dryer": ("dryer",), "motor": ("motor",),
    "kiln": ("fastened in place", "other"),
}  # fmt: skip
POOLED = ("range", "dryer", "water heater", "fastened in place", "motor", "other")
"""Kinds of appliance that the optional methods take in one sum with lighting and receptacles."""
HEATING = ("heating", "heat pump", "supplementary heat", "thermal storage heat")
COOLING = ("cooling", "heat pump")
CLIMATE = (*HEATING, "cooling")


@dataclass(frozen=True, slots=True)
class Item:
    """An appliance of the recorded load: its number in the list, and the nameplate of one unit (VA)."""

    number: int
    appliance: Appliance
    each: float

    @property
    def symbol(self) -> str:
        """What stands for it in a sum: the symbol of its nameplate, times its units."""
        units = self.appliance.units
        return f"S{self.number}" if units == 1 else f"{units} × S{self.number}"

    @property
    def kind(self) -> str:
        """What kind of load it is."""
        return self.appliance.kind

    @property
    def total(self) -> float:
        """The nameplates of all its units together, VA."""
        return self.each * self.appliance.units


@dataclass(frozen=True, slots=True)
class Total:
    """A calculated load, VA: by the safe reading of the text, and by the most lenient one that the trade knows.

    ``dispute`` says what the readings differ about.
    """

    safe: float
    lenient: float
    dispute: str


def va(value: float) -> Quantity:
    """Volt-amperes as a quantity."""
    return quantity(value, "volt_ampere")


def service_volts(job: JobUnderCheck) -> float:
    """Volts between the legs of the service."""
    return 240.0 if job.record.service.volts.startswith("120/240") else 208.0


def recorded_load(case: Case) -> ServiceLoad:
    """The recorded load, with nothing of this job left out of it.  Undecided where it is not so."""
    load = case.job.record.service_load
    if load is None:
        raise Undecided("No service load is recorded. Write down floor area, circuits and appliances by nameplate.")
    for item in case.job.record.equipment:
        kinds = _COUNTED_AS.get(item.kind, ())
        if is_new(item.work) and kinds and not any(a.kind in kinds and is_new(a.work) for a in load.appliances):
            raise Undecided(f"The recorded load leaves out the new {item.kind} {item.code}. Add it with its nameplate.")
    _new_circuits_are_held(case, load)
    return load


def _new_circuits_are_held(case: Case, load: ServiceLoad) -> None:
    """End the case where the new circuits take more than the load's new appliances hold together.

    Circuits of 120 V with receptacles and lights of the dwelling itself are in the load by floor area (220.14(J)).
    """
    new = [circuit for circuit in case.job.record.circuits if circuit.work == "new"]
    taken = {circuit.code: _taken(case, circuit) for circuit in new if not _in_the_floor_area(case, circuit)}
    total = sum(taken.values())
    new_ones = [
        (f"S{number}", magnitude(item.power.value, "volt_ampere") * item.units)
        for number, item in enumerate(load.appliances, 1)
        if is_new(item.work) and item.power.value is not None
    ]
    held = sum(each for _, each in new_ones)
    numbers = " + ".join(f"{code} {each:g}" for code, each in taken.items()) or "none"
    case.step("new circuits, V × I of each", numbers, va(total))
    names, in_load = added(new_ones)
    case.step(f"new appliances in the recorded load, to hold all these: {names}", in_load, va(held))
    if total > held * 1.001 + 0.5:  # nameplates are rounded
        raise Undecided(
            f"The new circuits take {show(va(total))} ({numbers} VA). The new appliances of the recorded load hold "
            f"{show(va(held))}, so {show(va(total - held))} are left out. Add what is missing, by nameplate."
        )


def _taken(case: Case, circuit: Circuit) -> float:
    """What a circuit takes (VA): its current at its volts.  Nothing where it feeds only surge protection."""
    items = case.job.installation.equipment_on(circuit)
    if items and not circuit.outlets and all(item.kind == "surge protector" for item in items):
        return 0.0
    volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
    return magnitude(current_of(case, circuit), "ampere") * magnitude(volts, "volt")


def _in_the_floor_area(case: Case, circuit: Circuit) -> bool:
    """Whether a circuit feeds only receptacles and lights of the dwelling, which the floor area stands for."""
    volts = circuit.volts.value
    return (
        volts is not None
        and magnitude(volts, "volt") <= 125
        and bool(circuit.outlets)
        and all(one.kind != "hardwired" and one.area != "accessory building" for one in circuit.outlets)
        and all(item.kind == "lighting" for item in loads_on(case, circuit))
        and not circuit.individual.value
    )


def lighting_load(case: Case, load: ServiceLoad) -> float:
    """Lighting and receptacles by floor area, and the small-appliance and laundry circuits (VA), without any demand.

    3 VA a square foot: 220.12 in 2017, 220.14(J) in 2020, 220.41 in 2023.  2 VA in 2026: 120.41, as a magazine quotes
    it.  An apartment may have no laundry circuit where the building has a laundry for all.
    """
    each = 2 if case.job.edition >= 2026 else 3
    area = magnitude(case.fact("A", "floor area by outside dimensions", load.floor_area), "square_foot")
    kitchen = max(2, case.fact("n1", "small-appliance circuits, at least 2", load.small_appliance_circuits))
    laundry = case.fact(
        "n2", "laundry circuits, at least 1 but in a building with a shared laundry", load.laundry_circuits
    )
    if load.dwelling.value == "multifamily":
        case.fact("", "kind of dwelling", load.dwelling)
    else:
        laundry = max(1, laundry)
    case.step(f"lighting and receptacles: {each} VA/ft² × A", f"{each} × {area:g}", va(each * area))
    circuits = CIRCUIT_VA * (kitchen + laundry)
    case.step("1500 VA × (n1 + n2)", f"1500 × ({kitchen} + {laundry})", va(circuits))
    return each * area + circuits


def items_of(case: Case, load: ServiceLoad) -> list[Item]:
    """The appliances with their nameplates.  Undecided where one is not known, or is written in horsepower."""
    return [Item(number, item, nameplate(case, number, item)) for number, item in enumerate(load.appliances, 1)]


def nameplate(case: Case, number: int, item: Appliance) -> float:
    """The nameplate of one unit (VA)."""
    power = case.fact(f"S{number}", f"nameplate of appliance {number} ({item.kind}, {item.work})", item.power)
    if "hp" in str(item.power).lower():
        raise Undecided(
            f"Appliance {number} is written in horsepower, which is what its shaft gives, not what it takes. "
            "Write its volts times its amperes."
        )
    if item.units != 1:
        case.given(f"u{number}", f"units of appliance {number}", item.units, str(item.written_at) or "the record")
    return magnitude(power, "volt_ampere")


def of_kind(items: Iterable[Item], *kinds: str) -> list[Item]:
    """The items of some kinds."""
    return [item for item in items if item.kind in kinds]


def sum_of(items: Iterable[Item]) -> float:
    """The nameplates of items together, VA."""
    return sum(item.total for item in items)


def added_up(case: Case, what: str, items: Iterable[Item]) -> float:
    """The nameplates of items together (VA), with a step that adds them one by one; nothing where there are none."""
    every = list(items)
    if every:
        names, numbers = added((item.symbol, item.total) for item in every)
        case.step(f"{what}: {names}", numbers, va(sum_of(every)))
    return sum_of(every)


def heating_or_cooling(case: Case, items: list[Item]) -> float:
    """The larger of all heating and all cooling (VA), in full; a heat pump is of both.  They do not run together."""
    heating = added_up(case, "heating", of_kind(items, *HEATING))
    cooling = added_up(case, "cooling", of_kind(items, *COOLING))
    case.step("heating or cooling, the larger (220.60)", f"{heating:g} VA; {cooling:g} VA", va(max(heating, cooling)))
    return max(heating, cooling)


def pool_demand(pooled: float, in_full: float) -> float:
    """A load (VA) with so much of it in full, and the rest at 40 %."""
    return min(pooled, in_full) + 0.4 * max(0.0, pooled - in_full)


def pool_numbers(pooled: float, in_full: float) -> str:
    """The numbers of ``pool_demand`` as they are worked: ``8000 + 0.4 × 24000``."""
    return f"{min(pooled, in_full):g} + 0.4 × {max(0.0, pooled - in_full):g}"


def amperes(case: Case, load: float, volts: float, told: str = "I = S / V") -> Quantity:
    """A load (VA) in amperes, to the nearest ampere as 220.5(B) permits; the 2026 text of that was not seen."""
    exact = quantity(load / volts, "ampere")
    case.step(told, f"{load:g} VA / {volts:g} V", exact)
    if case.job.edition >= 2026:
        return exact
    whole = quantity(math.floor(load / volts + 0.5 + 1e-9), "ampere")
    if abs(whole - exact) > quantity(1e-9, "ampere"):
        case.step("to the nearest ampere: a fraction below 0.5 A may be dropped (220.5(B))", show(exact), whole)
    return whole


def added(parts: Iterable[tuple[str, float]]) -> tuple[str, str]:
    """Names and numbers of a sum for its step: ``lighting + ranges`` and ``5100 + 8000``, without parts of nothing."""
    told = [(name, value) for name, value in parts if value]
    return " + ".join(name for name, _ in told) or "nothing", " + ".join(f"{value:g}" for _, value in told) or "0"
