"""Rules about the whole house's load: whether the service carries it, with what this job added.

Two readings of 220.83 are disputed in the trade: whether heating and cooling that were there before, and a car charger,
may stand in the part of the load that is taken at 40 %.  Here both are taken in full.  Where only that makes the load
too large, the result is undecided, and the authority having jurisdiction is to be asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.checks.asking import FROM_MEMORY, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.feeder_load import feeder_load
from handover.checks.loads_of import current_of, loads_on
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.supply import Appliance, ServiceLoad
from handover.record.wiring import Circuit, Equipment
from handover.tables.lookups import ampacity, insulation
from handover.units import Quantity, magnitude, quantity, show

_LIGHTING_VA_PER_SQUARE_FOOT = 3.0  # 220.14(J) in 2020, 220.41 in 2023
_CIRCUIT_VA = 1500.0  # each small-appliance and laundry circuit, 220.52
_IN_FULL_VA = 8000.0  # 220.83
_LEAST_CHARGER_VA = 7200.0  # 220.57, from 2023 on
_POOLED = ("range", "dryer", "water heater", "fastened in place", "motor", "other")
_COUNTED_AS = {
    "car charger": ("car charger",), "heat pump": ("heat pump",), "air conditioner": ("cooling",),
    "water heater": ("water heater",), "range": ("range",), "dryer": ("dryer",), "motor": ("motor",),
    "kiln": ("fastened in place", "other"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Sums:
    """The parts of the load, VA."""

    pooled: float
    chargers: float
    climate: float


@rule("service_load", "Can the service carry the whole house, with what was added?")
def service_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The calculated load of an existing dwelling in amperes, within the rating of the service.  One result a job.

    3 VA a square foot, 1500 VA a small-appliance and laundry circuit, appliances by nameplate: the first 8 kVA in full,
    the rest at 40 %.  Heating or cooling (the larger) and car chargers in full.
    Source: NEC 220.83; 220.57 for car chargers from 2023 on; 220.14(J) and 220.41 for lighting.
    """
    section = {2020: "220.83, with 220.14(J)" + FROM_MEMORY, 2023: "220.83, with 220.41 and 220.57"}
    with job.case(service_load, job.record.service.at, section=section) as case:
        load = _recorded_load(case)
        _nothing_left_out(case, load)
        sums = _sums(case, load)
        rating = case.fact("In", "rating of the service", job.record.service.rating)
        _compare(case, sums, rating, climate_added=_climate_added(load))
    yield case.result


def _recorded_load(case: Case) -> ServiceLoad:
    load = case.job.record.service_load
    if load is None:
        raise Undecided("No service load is recorded. Write down floor area, circuits and appliances by nameplate.")
    return load


def _nothing_left_out(case: Case, load: ServiceLoad) -> None:
    """End the case where new equipment of the record has no line of its kind in the load."""
    for item in case.job.record.equipment:
        kinds = _COUNTED_AS.get(item.kind, ())
        if is_new(item.work) and kinds and not any(a.kind in kinds and is_new(a.work) for a in load.appliances):
            raise Undecided(f"The recorded load leaves out the new {item.kind} {item.code}. Add it with its nameplate.")
    _new_circuits_are_held(case, load)


def _new_circuits_are_held(case: Case, load: ServiceLoad) -> None:
    """End the case where the new circuits take more than the load's new appliances hold together.

    Circuits of 120 V with receptacles and lights of the dwelling itself are in the 3 VA a square foot (220.14(J)).
    """
    new = [circuit for circuit in case.job.record.circuits if circuit.work == "new"]
    taken = {circuit.code: _taken(case, circuit) for circuit in new if not _in_the_floor_area(case, circuit)}
    total = sum(taken.values())
    held = sum(
        magnitude(item.power.value, "volt_ampere") * item.units
        for item in load.appliances
        if is_new(item.work) and item.power.value is not None
    )
    numbers = " + ".join(f"{code} {va:g}" for code, va in taken.items()) or "none"
    case.step("new circuits, V × I of each", numbers, _va(total))
    case.step("new appliances in the recorded load, to hold all these", "sum of their nameplates", _va(held))
    if total > held * 1.001 + 0.5:  # nameplates are rounded
        raise Undecided(
            f"The new circuits take {show(_va(total))} ({numbers} VA). The new appliances of the recorded load hold "
            f"{show(_va(held))}, so {show(_va(total - held))} are left out. Add what is missing, by nameplate."
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


def _climate_added(load: ServiceLoad) -> bool:
    return any(is_new(item.work) and item.kind in ("heating", "cooling", "heat pump") for item in load.appliances)


def _sums(case: Case, load: ServiceLoad) -> _Sums:
    area = magnitude(case.fact("A", "floor area by outside dimensions", load.floor_area), "square_foot")
    kitchen = max(2, case.fact("n1", "small-appliance circuits, at least 2", load.small_appliance_circuits))
    laundry = max(1, case.fact("n2", "laundry circuits, at least 1", load.laundry_circuits))
    lighting = _LIGHTING_VA_PER_SQUARE_FOOT * area
    circuits = _CIRCUIT_VA * (kitchen + laundry)
    case.step("lighting and receptacles: 3 VA/ft² × A", f"3 × {area:g}", _va(lighting))
    case.step("1500 VA × (n1 + n2)", f"1500 × ({kitchen} + {laundry})", _va(circuits))
    nameplates = [(item, _nameplate(case, number, item)) for number, item in enumerate(load.appliances, 1)]
    pooled = lighting + circuits + sum(power for item, power in nameplates if item.kind in _POOLED)
    heating = sum(power for item, power in nameplates if item.kind in ("heating", "heat pump"))
    cooling = sum(power for item, power in nameplates if item.kind in ("cooling", "heat pump"))
    case.step("heating or cooling, the larger", f"{heating:g} VA; {cooling:g} VA", _va(max(heating, cooling)))
    return _Sums(pooled, _charger_load(case, nameplates), max(heating, cooling))


def _nameplate(case: Case, number: int, item: Appliance) -> float:
    power = case.fact(f"S{number}", f"nameplate of appliance {number} ({item.kind}, {item.work})", item.power)
    if item.units != 1:
        case.given(f"u{number}", f"units of appliance {number}", item.units, str(item.written_at) or "the record")
    return magnitude(power, "volt_ampere") * item.units


def _charger_load(case: Case, nameplates: list[tuple[Appliance, float]]) -> float:
    chargers = [(item, power) for item, power in nameplates if item.kind == "car charger"]
    _settings_can_count(case, sum(power for _, power in chargers))
    if case.job.edition < 2023:
        return sum(power for _, power in chargers)
    counted = [max(power, _LEAST_CHARGER_VA * item.units) for item, power in chargers]
    for (_, power), taken in zip(chargers, counted, strict=True):
        case.step("car charger: the larger of 7200 VA and its rating", f"7200; {power:g}", _va(taken))
    return sum(counted)


def _settings_can_count(case: Case, counted: float) -> None:
    """A charger set below its nameplate counts at the setting only with the evidence that 625.42 asks for."""
    chargers = [item for item in case.job.record.equipment if item.kind == "car charger"]
    if counted >= sum(_nameplate_of(case, item) for item in chargers) - 1e-6:
        return
    for item in chargers:
        setting_evidence(case, item)


def _nameplate_of(case: Case, item: Equipment) -> float:
    if item.power.known and not item.current.known:
        return magnitude(case.fact("S", f"nameplate power of {item.code}", item.power), "volt_ampere")
    current = case.fact("I", f"nameplate current of {item.code}", item.current)
    volts = case.fact("V", f"volts of {item.code}", item.volts)
    return magnitude(current, "ampere") * magnitude(volts, "volt")


def setting_evidence(case: Case, item: Equipment) -> None:
    """Note the evidence for a car charger's lowered setting; end the case as undecided where some is missing.

    Source: NEC 625.42 (2020: fixed equipment only; 2023: 625.42(B) with 750.30(C)).
    """
    written(case, "", f"how the setting of {item.code} is kept from being turned up", item.setting_access)
    written(case, "", f"label of {item.code} with the adjusted rating", item.rating_label)
    if case.job.edition < 2023 and case.fact("", f"connection of {item.code}", item.connection) != "hardwired":
        raise Undecided(
            f"The 2020 text lets a setting count only for equipment fixed in place; {item.code} has a plug."
        )


def _compare(case: Case, sums: _Sums, rating: Quantity, *, climate_added: bool) -> None:
    volts = service_volts(case.job)
    demand = _pool_demand(sums.pooled)
    case.step("everything else: first 8000 VA in full, rest × 0.4", f"of {sums.pooled:g} VA", _va(demand))
    total = demand + sums.climate + sums.chargers
    case.step(
        f"220.83({'B' if climate_added else 'A'}), heating or cooling and car chargers in full",
        f"{demand:g} + {sums.climate:g} + {sums.chargers:g}",
        _va(total),
    )
    lenient = _pool_demand(sums.pooled + sums.chargers + (0 if climate_added else sums.climate))
    lenient += sums.climate if climate_added else 0
    case.step("the other reading of the text, with these taken in the 40 % part", "for comparison", _va(lenient))
    current = quantity(total / volts, "ampere")
    case.step("I = S / V", f"{total:g} VA / {volts:g} V", current)
    if sums.chargers:
        more = quantity((total + 0.25 * sums.chargers) / volts, "ampere")
        case.step("where the authority wants 125 % of car chargers here too", "for comparison", more)
    spare = magnitude(rating, "ampere") * volts - total
    case.step("room left for heating, cooling or car charging", f"{show(rating)} × {volts:g} V - S", _va(spare))
    if sums.pooled >= _IN_FULL_VA and spare > 0:
        case.step("or for other appliances, which count at 40 %", f"{spare:g} / 0.4", _va(spare / 0.4))
    decide_disputed(case, current, quantity(lenient / volts, "ampere"), rating)


def decide_disputed(case: Case, safe: Quantity, lenient: Quantity, rating: Quantity) -> None:
    """Close by the safe reading of a disputed text; undecided where the readings differ about the outcome."""
    if safe > rating >= lenient:
        raise Undecided(
            f"By the safe reading of a disputed text the load is {show(safe)}, by the other {show(lenient)}; "
            f"the rating is {show(rating)}. Ask the authority having jurisdiction which reading it takes."
        )
    reason = f"{show(safe)} of {show(rating)}, by the safe reading where the text is disputed."
    case.compare(value=safe, limit=rating, at_least=False, reason=reason)


def _pool_demand(pooled: float) -> float:
    return min(pooled, _IN_FULL_VA) + 0.4 * max(0.0, pooled - _IN_FULL_VA)


def _va(value: float) -> Quantity:
    return quantity(value, "volt_ampere")


def service_volts(job: JobUnderCheck) -> float:
    """Volts between the legs of the service."""
    return 240.0 if job.record.service.volts.startswith("120/240") else 208.0


@rule("service_measured_demand", "Does the measured demand leave room for what was added?")
def service_measured_demand(job: JobUnderCheck) -> Iterator[CheckResult]:
    """125 % of the measured maximum plus the new load, within the rating of the service.  Only where one was measured.

    A year of demand, or 30 days of 15-minute readings on both legs with seasonal loads added; the 30 days are barred
    where solar or a battery feeds the same service.  Source: NEC 220.87.
    """
    load = job.record.service_load
    if load is None or load.measured is None:
        return
    with job.case(service_measured_demand, job.record.service.at, section="220.87") as case:
        measured = load.measured
        days = case.fact("d", "days of measurement", measured.days)
        maximum = case.fact("Imax", "measured maximum demand", measured.maximum)
        volts = service_volts(job)
        seasonal = 0.0
        if days < 365:
            _thirty_days_count(case, days)
            seasonal = magnitude(case.fact("Ss", "seasonal loads added", measured.seasonal_added), "volt_ampere")
        new = [(n, item) for n, item in enumerate(load.appliances, 1) if is_new(item.work)]
        powers = [(item, _nameplate(case, n, item)) for n, item in new]
        added = sum(power for _, power in powers)
        quarter = 0.25 * sum(power for item, power in powers if item.kind == "car charger")
        lenient = maximum * 1.25 + quantity((seasonal * 1.25 + added) / volts, "ampere")
        case.step(
            "I = 1.25 × (Imax + Ss / V) + new / V",
            f"1.25 × ({show(maximum)} + {seasonal:g} / {volts:g}) + {added:g} / {volts:g}",
            lenient,
        )
        safe = lenient + quantity(quarter / volts, "ampere")
        case.step("car chargers in the new load at 125 %, which is disputed", f"+ {quarter:g} / {volts:g}", safe)
        decide_disputed(case, safe, lenient, case.fact("In", "rating of the service", job.record.service.rating))
    yield case.result


def _thirty_days_count(case: Case, days: int) -> None:
    load = case.job.record.service_load
    assert load is not None
    assert load.measured is not None
    if days < 30:
        raise Undecided(f"{days} days of measurement are too few: a year, or at least 30 days.")
    if any(source.kind in ("solar", "battery") for source in case.job.record.sources):
        raise Undecided("A 30-day measurement does not count where solar or a battery feeds the service.")
    if case.fact("t", "minutes of each average", load.measured.interval_minutes) != 15:
        raise Undecided("A 30-day measurement counts only as averages of 15 minutes.")
    if not case.fact("", "both legs measured", load.measured.both_legs):
        raise Undecided("The higher-loaded leg is known only where both legs were measured.")


@rule("service_conductors", "Are the service conductors large enough for the service's rating?")
def service_conductors(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Ampacity at 75 °C at least 83 % of the service's rating, as a dwelling's service may have.  One result a job.

    No correction for heat or number is reckoned with: where one applies, the table of 310.12 does not.
    Source: NEC 310.12 and Table 310.16.
    """
    with job.case(service_conductors, job.record.service.at, section="310.12") as case:
        rating = case.fact("In", "rating of the service", job.record.service.rating)
        if not 100 <= magnitude(rating, "ampere") <= 400:
            raise NotApplicable("The 83 % rule is for services of 100 A to 400 A.")
        conductors = job.record.service.conductors
        if conductors is None:
            raise Undecided("The service conductors were not recorded. Find their size, metal and insulation.")
        size = case.fact("", "size of the service conductors", conductors.size)
        material = case.fact("", "material of the service conductors", conductors.material)
        marking = case.fact("", "insulation of the service conductors", conductors.insulation)
        good_for = case.looked("", "temperature ratings of the insulation", insulation(marking, job.edition))
        if min(good_for.dry, good_for.wet or good_for.dry) < 75:
            raise Undecided("The insulation is not good for 75 °C, so the 83 % rule's table does not apply.")
        sets = case.fact("n", "conductors in parallel", conductors.sets)
        each = case.looked("I", "ampacity at 75 °C", ampacity(size, material, 75, job.edition))
        needed = rating * 0.83
        case.step("0.83 × In", f"0.83 × {show(rating)}", needed)
        case.compare(value=each * sets, limit=needed, at_least=True)
    yield case.result


RULES: tuple[Rule, ...] = (service_load, service_measured_demand, service_conductors, feeder_load)
