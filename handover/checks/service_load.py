"""Rules about the whole house's load: whether the service carries it, with what this job added.

Two readings of 220.83 are disputed in the trade: whether heating and cooling that were there before, and a car charger,
may stand in the part of the load that is taken at 40 %.  Here both are taken in full.  Where only that makes the load
too large, the result is undecided, and the authority having jurisdiction is to be asked.

The other methods are in ``service_optional``, ``service_standard`` and ``service_measured``.
"""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.energy_management import energy_management
from handover.checks.feeder_load import feeder_load
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.checks.service_chargers import UNMANAGED, charger_load, setting_evidence
from handover.checks.service_close import close_total, decides, rounded, worth_telling
from handover.checks.service_measured import service_measured_demand
from handover.checks.service_optional import optional_total, service_load_optional
from handover.checks.service_parts import (
    CLIMATE,
    POOLED,
    Total,
    added_up,
    heating_or_cooling,
    items_of,
    lighting_load,
    of_kind,
    pool_demand,
    pool_numbers,
    recorded_load,
    service_volts,
    va,
)
from handover.checks.service_standard import service_load_standard, service_neutral_load, standard_total
from handover.record.supply import ServiceLoad
from handover.tables.lookups import ampacity, insulation
from handover.tables.reader import NoRow
from handover.units import magnitude, quantity, show

__all__ = ["RULES", "existing_total", "service_conductors", "service_load", "setting_evidence"]

_IN_FULL_VA = 8000.0  # 220.83
_LEAST_OPTIONAL = 100.0  # A, 220.82(A)
_DISPUTE = "whether car chargers, and heating or cooling where none was added, may count at 40 %"


@rule("service_load", "Can the service carry the whole house, with what was added?")
def service_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The calculated load of an existing dwelling in amperes, within the rating of the service.  One result a job.

    3 VA a square foot, 1500 VA a small-appliance and laundry circuit, appliances by nameplate: the first 8 kVA in full,
    the rest at 40 %.  Heating or cooling (the larger) and car chargers in full.
    Source: NEC 220.83; 220.57 for car chargers in 2023; 220.12, 220.14(J) and 220.41 for lighting.  The 2026 text
    (120.83) puts one table in place of (A) and (B), whose percentages were not read.
    """
    section = {
        2017: "220.83, with 220.12" + FROM_MEMORY,
        2020: "220.83, with 220.14(J)" + FROM_MEMORY,
        2023: "220.83, with 220.41 and 220.57",
    }
    advice = not decides(job, "existing dwelling")
    with job.case(service_load, job.record.service.at, section=section, advice=advice) as case:
        load = recorded_load(case)
        total = existing_total(case, load)
        _room_left(case, total)
        beside = _other_methods(case, load) if decides(job, "existing dwelling") else ""
        close_total(case, total, "existing dwelling", beside)
    if worth_telling(job, "existing dwelling", case.result):
        yield case.result


def _other_methods(case: Case, load: ServiceLoad) -> str:
    """What the other two methods come to, and why they do not decide; nothing where neither can be worked out.

    Told with the deciding result, so that a larger number is not met first on its own.
    """
    job, rating = (
        case.job,
        magnitude(case.fact("In", "rating of the service", case.job.record.service.rating), "ampere"),
    )
    if job.edition >= 2026:
        return ""
    told = []
    for name, of_rule, total_of in (
        ("the optional one (220.82)", service_load_optional, optional_total),
        ("the standard one (Part III)", service_load_standard, standard_total),
    ):
        if of_rule is service_load_optional and rating < _LEAST_OPTIONAL:
            continue
        aside = job.case(of_rule, job.record.service.at, section="Article 220")
        try:
            current = rounded(aside, total_of(aside, load).safe / service_volts(job))
        except (Undecided, NotApplicable, NoRow):
            continue
        more = ", which is more than the rating" if magnitude(current, "ampere") > rating else ""
        told.append(f"{show(current)} by {name}{more}")
    if not told:
        return ""
    return (
        f" By the other methods it is {' and '.join(told)}. The code permits each by itself. This job goes by the "
        "one for an existing dwelling, 220.83, so that one decides."
    )


def existing_total(case: Case, load: ServiceLoad) -> Total:
    """The load by 220.83: (B) where heating or cooling was added, else (A)."""
    lighting = lighting_load(case, load)
    items = items_of(case, load)
    nameplates = added_up(case, "nameplates besides heating, cooling and car chargers", of_kind(items, *POOLED))
    pooled = lighting + nameplates
    case.step("everything else: lighting, circuits and nameplates", f"{lighting:g} + {nameplates:g}", va(pooled))
    climate = heating_or_cooling(case, items)
    chargers, held = charger_load(case, items)
    added = any(is_new(item.appliance.work) for item in of_kind(items, *CLIMATE))
    demand = pool_demand(pooled, _IN_FULL_VA)
    told = pool_numbers(pooled, _IN_FULL_VA)
    case.step("everything else, first 8000 VA in full, rest × 0.4", told, va(demand))
    total = demand + climate + chargers
    case.step(
        f"220.83({'B' if added else 'A'}), heating or cooling and car chargers in full",
        f"{demand:g} + {climate:g} + {chargers:g}",
        va(total),
    )
    apart = added and not _four_or_more_heaters(case, load)
    all_pooled, beside = pooled + held + (0 if apart else climate), climate if apart else 0
    lenient = pool_demand(all_pooled, _IN_FULL_VA) + beside
    told = f"{pool_numbers(all_pooled, _IN_FULL_VA)} + {beside:g}"
    case.step("the other reading of the text, with these taken in the 40 % part, for comparison", told, va(lenient))
    if chargers:
        volts = service_volts(case.job)
        more = quantity((total + 0.25 * chargers) / volts, "ampere")
        told = f"({total:g} + 0.25 × {chargers:g}) / {volts:g}"
        case.step("where the authority wants 125 % of car chargers here too, for comparison", told, more)
    return Total(total, lenient, _DISPUTE if held == chargers else f"{_DISPUTE}; {UNMANAGED}")


def _four_or_more_heaters(case: Case, load: ServiceLoad) -> bool:
    """Whether heaters have four controls or more: then (B) counts them with all other loads, leniently, from memory."""
    if (load.heating_controls.value or 0) < 4:
        return False
    return case.fact("n3", "separately controlled heaters", load.heating_controls) >= 4


def _room_left(case: Case, total: Total) -> None:
    rating = case.fact("In", "rating of the service", case.job.record.service.rating)
    volts = service_volts(case.job)
    spare = magnitude(rating, "ampere") * volts - total.safe
    case.step("room left for heating, cooling or car charging", f"{show(rating)} × {volts:g} V - S", va(spare))


@rule("service_conductors", "Are the service conductors large enough for the service's rating?")
def service_conductors(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Ampacity at 75 °C at least 83 % of the service's rating, as a dwelling's service may have.  One result a job.

    No correction for heat or number is reckoned with: where one applies, the table of 310.12 does not.
    Source: NEC 310.12 and Table 310.16; 310.15(B)(7) in 2017.
    """
    section = {2017: "310.15(B)(7)", 2020: "310.12", 2023: "310.12"}
    with job.case(service_conductors, job.record.service.at, section=section) as case:
        rating = case.fact("In", "rating of the service", job.record.service.rating)
        if not 100 <= magnitude(rating, "ampere") <= 400:
            raise NotApplicable("The 83 % rule is for services of 100 A to 400 A.")
        if job.edition < 2020 and service_volts(job) < 240:
            raise Undecided("In 2017 the 83 % rule is for 120/240 V. Find what these conductors must carry by hand.")
        conductors = job.record.service.conductors
        if conductors is None:
            raise Undecided("The service conductors were not recorded. Find their size, metal and insulation.")
        size = case.fact("", "size of the service conductors", conductors.size)
        material = case.fact("", "material of the service conductors", conductors.material)
        marking = case.fact("", "insulation of the service conductors", conductors.insulation)
        good_for = case.looked("", "temperature ratings of the insulation", insulation(marking, job.edition))
        if min(good_for.dry, good_for.wet or good_for.dry) < 75:
            raise Undecided(
                "The insulation is not good for 75 °C, so the 83 % rule's table does not apply. Judge it by hand."
            )
        sets = case.fact("n", "conductors in parallel", conductors.sets)
        each = case.looked("I", "ampacity at 75 °C", ampacity(size, material, 75, job.edition))
        needed = rating * 0.83
        case.step("0.83 × In", f"0.83 × {show(rating)}", needed)
        case.compare(value=each * sets, limit=needed, at_least=True)
    yield case.result


RULES: tuple[Rule, ...] = (
    service_load,
    service_load_optional,
    service_load_standard,
    service_neutral_load,
    service_measured_demand,
    energy_management,
    service_conductors,
    feeder_load,
)
