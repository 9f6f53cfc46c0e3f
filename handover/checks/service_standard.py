"""The load of a dwelling by Part III of Article 220, the standard method, and what comes back on the neutral.

Two things differ among published calculations: whether 25 % of the largest motor is added at the service, and whether
motors fixed in place are among the appliances that count at 75 %.  The safe reading adds the one and leaves out the
other; where only that makes the load too large the result is undecided.
"""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.cooking import cooking_load
from handover.checks.result import CheckResult
from handover.checks.service_chargers import UNMANAGED, charger_load
from handover.checks.service_close import close_total, decides, least_service, rounded, worth_telling
from handover.checks.service_parts import (
    CLIMATE,
    COOLING,
    HEATING,
    Item,
    Total,
    added,
    added_up,
    amperes,
    heating_or_cooling,
    items_of,
    lighting_load,
    of_kind,
    recorded_load,
    service_volts,
    sum_of,
    va,
)
from handover.record.supply import ServiceLoad
from handover.tables.load_lookups import dryer_percent, lighting_tiers
from handover.tables.lookups import ampacity, insulation
from handover.units import Quantity, magnitude, show

_DRYER_VA = 5000.0  # 220.54
_FASTENED = ("water heater", "fastened in place")
_MANY = 4  # 220.53
_APPLIANCE_VA = 500.0  # 220.53 from 2020; a motor of 1/4 hp, the other threshold, takes more than this
_MOTORS = ("motor", "cooling", "heat pump")
_DISPUTE = (
    "25 % of the largest motor, which several published calculations leave out, and whether motors fixed in place "
    "count with the appliances at 75 %"
)
_SECTION = {
    2017: "Part III of Article 220: 220.12, 220.42, 220.50 to 220.55, 220.60",
    2020: "Part III of Article 220: 220.14(J), 220.42, 220.50 to 220.55, 220.60",
    2023: "Part III of Article 220: 220.41, 220.45, 220.50 to 220.57, 220.60",
}


@rule("service_load_standard", "Can the service carry the whole house, by the standard calculation?")
def service_load_standard(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Lighting with its demand, appliances fixed in place, dryers, ranges, heating or cooling, chargers, other loads.

    One result where a load is recorded: it decides where the record names the standard method, else it is a comparison.
    25 % of the largest motor is a line of its own (220.50, 430.24).  Source: NEC Article 220 Part III, 230.79(C) for
    the least service.  75 % of four or more appliances fixed in place (220.53): any in 2017, those of 500 W or 1/4 hp
    and more from 2020.  Car chargers by 220.57 in 2023.  Of 2026 only 2 VA a square foot was seen: undecided.
    """
    if job.record.service_load is None:
        return
    advice = not decides(job, "standard")
    with job.case(service_load_standard, job.record.service.at, section=_SECTION, advice=advice) as case:
        load = recorded_load(case)
        if least_service(case, "standard"):
            close_total(case, standard_total(case, load), "standard")
    if worth_telling(job, "standard", case.result):
        yield case.result


def standard_total(case: Case, load: ServiceLoad) -> Total:
    """The load by the standard method."""
    lighting = lighting_demand(case, load)
    items = items_of(case, load)
    fastened, lenient = _fastened_in_place(case, items)
    ranges, dryers = cooking_load(case, of_kind(items, "range")), dryer_load(case, of_kind(items, "dryer"))
    climate = heating_or_cooling(case, items)
    chargers, held = charger_load(case, items)
    parts = [("lighting", lighting), ("fixed in place, motors and others", fastened), ("dryers", dryers),
             ("ranges", ranges), ("heating or cooling", climate), ("car chargers", chargers)]  # fmt: skip
    total = sum(value for _, value in parts)
    names, numbers = added(parts)
    case.step(f"S = {names}", numbers, va(total))
    quarter = _quarter_of_motor(case, _motors_that_run(case, items))
    if quarter:
        amperes(case, total, service_volts(case.job), "I without the motor's 25 %, as several publications have it")
        case.step("S with 25 % of the largest motor (220.50, 430.24)", f"{total:g} + {quarter:g}", va(total + quarter))
    told = _DISPUTE if held == chargers else f"{_DISPUTE}; {UNMANAGED}"
    return Total(total + quarter, total - (fastened - lenient) - (chargers - held), told)


def lighting_demand(case: Case, load: ServiceLoad) -> float:
    """Lighting, small-appliance and laundry load (VA) after the demand factors for a dwelling."""
    whole = lighting_load(case, load)
    tiers = lighting_tiers(case.job.edition)
    case.given("", "demand factors for lighting", "; ".join(map(str, tiers.value)), tiers.source)
    parts = [(tier.part_of(whole), tier.percent) for tier in tiers.value]
    counted = sum(part * percent / 100 for part, percent in parts)
    numbers = " + ".join(f"{part:g} × {percent:g} %" for part, percent in parts if part)
    case.step("lighting, small-appliance and laundry after demand", numbers or "0", va(counted))
    return counted


def _fastened_in_place(case: Case, items: list[Item]) -> tuple[float, float]:
    """Appliances fixed in place, motors and other loads (VA): safely, and with motors at 75 % too."""
    rest = of_kind(items, "motor", "other")
    fixed = of_kind(items, *_FASTENED)
    counted = _with_75_percent(case, fixed, show_it=True)
    total = counted + added_up(case, "motors and other loads, in full", rest)
    motors = of_kind(items, "motor")
    lenient = _with_75_percent(case, [*fixed, *motors], show_it=False) + sum_of(of_kind(items, "other"))
    return total, min(total, lenient)


def _with_75_percent(case: Case, items: list[Item], *, show_it: bool) -> float:
    least = _APPLIANCE_VA if case.job.edition >= 2020 else 0.0
    large = [item for item in items if item.each >= least]
    count = sum(item.appliance.units for item in large)
    factor = 0.75 if count >= _MANY else 1.0
    counted = sum_of(large) * factor + sum_of(item for item in items if item not in large)
    if show_it and items:
        added_up(case, "nameplates of what is fixed in place", items)
        told = f"{count} counted{f', each of at least {least:g} VA' if least else ''}"
        case.step(
            f"fixed in place: {'75 %, four or more' if factor < 1 else 'in full, fewer than four'} (220.53)",
            f"{told}; {sum_of(items):g} VA in all",
            va(counted),
        )
    return counted


def dryer_load(case: Case, items: list[Item]) -> float:
    """Dryers (VA): 5000 VA or the nameplate each, the larger, with the demand factor for so many.  Source: 220.54."""
    if not items:
        return 0.0
    total = sum(max(item.each, _DRYER_VA) * item.appliance.units for item in items)
    count = sum(item.appliance.units for item in items)
    share = case.looked("kD", f"demand factor of {count} dryers", dryer_percent(count, case.job.edition))
    demand = total * magnitude(share, "percent") / 100
    case.step("dryers: the larger of 5000 VA and the nameplate, each, × kD", f"{total:g} × {show(share)}", va(demand))
    return demand


def _motors_that_run(case: Case, items: list[Item]) -> list[Item]:
    """Motors that may be the largest: before 2020 not those of the smaller of heating and cooling, left out by 220.60.

    From 2020 on such a motor still adds its 25 % where it is the largest (220.60, as a code forum has it).
    """
    motors = of_kind(items, *_MOTORS)
    if case.job.edition >= 2020 or sum_of(of_kind(items, *COOLING)) > sum_of(of_kind(items, *HEATING)):
        return motors
    return [item for item in motors if item.kind != "cooling"]


def _quarter_of_motor(case: Case, motors: list[Item]) -> float:
    if not motors:
        return 0.0
    largest = max(item.each for item in motors)
    case.step("25 % of the largest motor (220.50, 430.24)", f"0.25 × {largest:g}", va(0.25 * largest))
    return 0.25 * largest


@rule("service_neutral_load", "Can the service's neutral carry what may come back on it?")
def service_neutral_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The largest unbalanced load against the ampacity of the neutral.  One result where a load is recorded.

    Lighting after demand, 70 % of ranges and dryers, and whatever else runs on 120 V.  On two legs of a 208Y/120 V
    supply nothing is taken off (220.61(C)).  Leniently: 75 % of four or more appliances on the neutral, no 25 % of a
    motor, and 70 % of what is above 200 A (220.61(B)(2), from memory).  Source: NEC 220.61.
    """
    load = job.record.service_load
    if load is None:
        return
    with job.case(service_neutral_load, job.record.service.at, section="220.61") as case:
        neutral = _neutral(case, recorded_load(case))
        volts = service_volts(job)
        current = amperes(case, neutral.safe, volts, "I neutral = S / V")
        lenient = neutral.lenient / volts
        if volts == 240 and lenient > 200:
            lenient = 200 + 0.7 * (lenient - 200)
        _against_the_conductor(case, current, rounded(case, lenient), neutral.dispute)
    yield case.result


def _neutral(case: Case, load: ServiceLoad) -> Total:
    share = 0.7 if service_volts(case.job) == 240 else 1.0
    lighting = lighting_demand(case, load)
    items = items_of(case, load)
    on_it = [item for item in items if _uses_neutral(case, item)]
    ranges = cooking_load(case, of_kind(on_it, "range")) * share
    dryers = dryer_load(case, of_kind(on_it, "dryer")) * share
    case.step(
        f"{share:.0%} of ranges, and of dryers (220.61)".replace("%", " %"),
        f"{ranges:g}; {dryers:g}",
        va(ranges + dryers),
    )
    heating, cooling = sum_of(of_kind(on_it, *HEATING)), sum_of(of_kind(on_it, *COOLING))
    others = [item for item in on_it if item.kind not in ("range", "dryer", *CLIMATE)]
    parts = [("lighting", lighting), ("ranges", ranges), ("dryers", dryers),
             ("heating or cooling", max(heating, cooling)),
             ("others with a neutral", added_up(case, "others with a neutral", others))]  # fmt: skip
    total = sum(value for _, value in parts)
    names, numbers = added(parts)
    case.step(f"S neutral = {names}", numbers, va(total))
    quarter = _quarter_of_motor(case, of_kind(on_it, *_MOTORS))
    if quarter:
        case.step("S neutral with 25 % of the largest motor", f"{total:g} + {quarter:g}", va(total + quarter))
    fixed = of_kind(others, *_FASTENED)
    lenient = total - sum_of(fixed) + _with_75_percent(case, fixed, show_it=False)
    return Total(total + quarter, lenient, "25 % of a motor, 75 % of appliances, 70 % above 200 A on the neutral")


def _uses_neutral(case: Case, item: Item) -> bool:
    if item.kind in ("range", "dryer") and not item.appliance.uses_neutral.known:
        return True  # 220.61(B) counts these without asking
    return case.fact(
        f"n{item.number}", f"appliance {item.number} has parts that run on 120 V", item.appliance.uses_neutral
    )


def _against_the_conductor(case: Case, current: Quantity, lenient: Quantity, dispute: str) -> None:
    conductors = case.job.record.service.conductors
    if conductors is None:
        raise Undecided("The service conductors were not recorded. Find the neutral's size, metal and insulation.")
    size = case.fact("", "size of the service neutral", conductors.neutral)
    material = case.fact("", "material of the service conductors", conductors.material)
    marking = case.fact("", "insulation of the service conductors", conductors.insulation)
    good_for = case.looked("", "temperature ratings of the insulation", insulation(marking, case.job.edition))
    if min(good_for.dry, good_for.wet or good_for.dry) < 75:
        raise Undecided("The insulation is not good for 75 °C. Find the neutral's ampacity by hand.")
    sets = case.fact("n", "conductors in parallel", conductors.sets)
    each = case.looked("Iz", "ampacity of the neutral at 75 °C", ampacity(size, material, 75, case.job.edition))
    carries: Quantity = each * sets
    if current > carries >= lenient:
        raise Undecided(
            f"By the safe reading {show(current)} come back, by the other {show(lenient)}; the neutral carries "
            f"{show(carries)}. In dispute: {dispute}. Ask the authority having jurisdiction which reading it takes."
        )
    case.compare(value=current, limit=carries, at_least=False)


RULES: tuple[Rule, ...] = (service_load_standard, service_neutral_load)
