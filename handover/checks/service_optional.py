"""The load of a dwelling by the optional method for one with a service of 100 A or more."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.service_chargers import UNMANAGED, charger_load
from handover.checks.service_close import close_total, decides, least_service, worth_telling
from handover.checks.service_parts import (
    CLIMATE,
    HEATING,
    POOLED,
    Item,
    Total,
    added,
    added_up,
    items_of,
    lighting_load,
    of_kind,
    pool_demand,
    pool_numbers,
    recorded_load,
    sum_of,
    va,
)
from handover.record.supply import ServiceLoad
from handover.units import magnitude

_DISPUTE = "whether car chargers may count at 40 %, and which heating and cooling count together"
_SECTION = {2017: "220.82", 2020: "220.82", 2023: "220.82, with 220.57", 2026: "120.82(B), as a magazine quotes it"}


@rule("service_load_optional", "Can the service carry the whole house, by the optional calculation?")
def service_load_optional(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Lighting, circuits and nameplates: the first 10 kVA in full, the rest at 40 %; and heating or cooling.

    One result where a load is recorded: it decides where the record names the optional method, else it is a comparison.
    Only for a dwelling whose service has 100 A or more (220.82(A)).  Car chargers are taken in full here; where their
    counting at 40 % alone would do, it is undecided.  In 2026: 2 VA a square foot and the first 8 kVA (120.82(B), seen
    quoted); its percentages for heating and cooling were not read, so these count in full unless both come to the same.
    Source: NEC 220.82, 230.79(C) for the least service; 220.82(C) from memory but for what Annex D shows of it.
    """
    if job.record.service_load is None:
        return
    advice = not decides(job, "optional")
    with job.case(service_load_optional, job.record.service.at, section=_SECTION, advice=advice) as case:
        load = recorded_load(case)
        if least_service(case, "optional"):
            _gate(case)
            close_total(case, optional_total(case, load), "optional")
    if worth_telling(job, "optional", case.result):
        yield case.result


def _gate(case: Case) -> None:
    rating = case.fact("In", "rating of the service", case.job.record.service.rating)
    if magnitude(rating, "ampere") >= 100:
        return
    told = "The optional method is for services of 100 A and more"
    if decides(case.job, "optional"):
        raise Undecided(f"{told}. Calculate by another method and name it in the record.")
    raise NotApplicable(f"{told}.")


def optional_total(case: Case, load: ServiceLoad) -> Total:
    """The load by 220.82, or by 120.82 in 2026."""
    lighting = lighting_load(case, load)
    items = items_of(case, load)
    in_full = 8000.0 if case.job.edition >= 2026 else 10000.0
    nameplates = added_up(case, "nameplates in the general loads", of_kind(items, *POOLED))
    pooled = lighting + nameplates
    case.step("general loads: lighting, circuits and nameplates", f"{lighting:g} + {nameplates:g}", va(pooled))
    demand = pool_demand(pooled, in_full)
    case.step(f"first {in_full:g} VA in full, rest × 0.4", pool_numbers(pooled, in_full), va(demand))
    climate, least = _climate(case, load, items)
    chargers, held = charger_load(case, items)
    parts = [("general loads", demand), ("heating or cooling", climate), ("car chargers in full", chargers)]
    names, numbers = added(parts)
    total = demand + climate + chargers
    case.step(f"S = {names}", numbers, va(total))
    told = _DISPUTE if held == chargers else f"{_DISPUTE}; {UNMANAGED}"
    return Total(total, pool_demand(pooled + held, in_full) + least, told)


def _climate(case: Case, load: ServiceLoad, items: list[Item]) -> tuple[float, float]:
    """What heating or cooling counts (VA), 220.82(C): safely all heating together, leniently the largest kind alone."""
    if not of_kind(items, *CLIMATE):
        return 0.0, 0.0
    cooling = added_up(case, "cooling, with heat pumps, at 100 %", of_kind(items, "cooling", "heat pump"))
    heaters = _heaters(case, load, items)
    pump, least_pump = _heat_pump(case, load, items)
    storage = sum_of(of_kind(items, "thermal storage heat"))
    together = heaters + pump + storage
    case.step("heating of all kinds", f"{heaters:g} + {pump:g} + {storage:g}", va(together))
    heating = together
    if case.job.edition >= 2026:
        heating = added_up(case, "heating in full, as the percentages of 2026 were not read", of_kind(items, *HEATING))
    counted = max(cooling, heating)
    case.step("heating or cooling, the larger", f"{cooling:g}; {heating:g}", va(counted))
    return counted, max(cooling, heaters, least_pump, storage)


def _heaters(case: Case, load: ServiceLoad, items: list[Item]) -> float:
    """Electric heating at 65 %, or 40 % with four or more separate controls; a central one has a single control."""
    heating = sum_of(of_kind(items, "heating"))
    if not heating:
        return 0.0
    controls = case.fact("n3", "separately controlled heaters, 1 where central", load.heating_controls)
    share = 0.4 if controls >= 4 else 0.65
    case.step(
        f"heating × {share:g}, {'four or more' if controls >= 4 else 'fewer than four'} controls",
        f"{heating:g} × {share:g}",
        va(heating * share),
    )
    return heating * share


def _heat_pump(case: Case, load: ServiceLoad, items: list[Item]) -> tuple[float, float]:
    """Heat pumps at 100 % with 65 % of their supplementary heat; without the compressor where that is locked out."""
    pump, extra = sum_of(of_kind(items, "heat pump")), sum_of(of_kind(items, "supplementary heat"))
    if not extra:
        return pump, pump
    locked = load.compressor_locked_out
    both = pump + 0.65 * extra
    case.step("heat pump + 0.65 × supplementary heat", f"{pump:g} + 0.65 × {extra:g}", va(both))
    if not locked.known:
        return both, max(pump, 0.65 * extra)
    if not case.fact("", "compressor is kept from running with the supplementary heat", locked):
        return both, both
    apart = max(pump, 0.65 * extra)
    case.step("never together: the larger of the two", f"{pump:g}; {0.65 * extra:g}", va(apart))
    return apart, apart
