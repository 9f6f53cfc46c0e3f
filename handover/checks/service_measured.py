"""A measured demand in place of a calculated load, with all that bars it."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.checks.service_close import (
    compare_aside,
    decide_disputed,
    decides,
    deciding_method,
    rounded,
    worth_telling,
)
from handover.checks.service_parts import Total, items_of, recorded_load, service_volts, sum_of, va
from handover.record.supply import MeasuredDemand, ServiceLoad
from handover.units import magnitude, quantity, show

_DISPUTE = "whether a new car charger counts at 125 % beside a measured demand"
_BEHIND_THE_METER = ("solar", "battery", "vehicle")


@rule("service_measured_demand", "Does the measured demand leave room for what was added?")
def service_measured_demand(job: JobUnderCheck) -> Iterator[CheckResult]:
    """125 % of the measured maximum plus the new load, within the rating of the service.  Only where one was measured.

    A year of demand, or 30 days of 15-minute readings on both legs, occupied, with seasonal loads added; the 30 days
    are barred where solar or a battery feeds the same service, or peaks are shaved.  The service needs its overload
    protection (230.90).  For a year the text names no interval; averages longer than 15 minutes hide peaks, so they
    are left to the authority.  Source: NEC 220.87; what 2026 (120.87) says was not read.
    """
    load = job.record.service_load
    if load is None or (load.measured is None and load.method != "measured demand"):
        return
    advice = not decides(job, "measured demand")
    with job.case(service_measured_demand, job.record.service.at, section="220.87", advice=advice) as case:
        total = measured_total(case, recorded_load(case))
        rating = case.fact("In", "rating of the service", job.record.service.rating)
        volts = service_volts(job)
        safe, lenient = rounded(case, total.safe / volts), rounded(case, total.lenient / volts)
        case.step("I, to the nearest ampere (220.5(B))", f"{total.safe:g} VA / {volts:g} V", safe)
        if advice:
            compare_aside(case, safe, rating, deciding_method(job))
        else:
            decide_disputed(case, safe, lenient, rating, total.dispute)
    if worth_telling(job, "measured demand", case.result):
        yield case.result


def measured_total(case: Case, load: ServiceLoad) -> Total:
    """The load by the measured demand, VA.  Undecided where the measurement does not count."""
    measured = load.measured
    if measured is None:
        raise Undecided("The record goes by a measured demand, and none is recorded.")
    panel = case.job.installation.service_panel
    case.given("", f"overload protection at {panel.code}", panel.main_kind, str(panel.written_at) or "the record")
    if panel.main_kind != "main breaker":
        raise Undecided("A measured demand counts only with overload protection of the service (230.90). Look for it.")
    days = case.fact("d", "days of measurement", measured.days)
    maximum = case.fact("Imax", "measured maximum demand", measured.maximum)
    minutes = case.fact("t", "minutes of each average", measured.interval_minutes)
    if minutes > 15:
        raise Undecided(
            f"Averages of {minutes} minutes hide shorter peaks. Get readings of 15 minutes, or ask the authority."
        )
    volts = service_volts(case.job)
    seasonal = 0.0
    if days < 365:
        _thirty_days_count(case, measured, days)
        seasonal = magnitude(case.fact("Ss", "seasonal loads added", measured.seasonal_added), "volt_ampere")
    new = [item for item in items_of(case, load) if is_new(item.appliance.work)]
    added = sum_of(new)
    quarter = 0.25 * sum_of(item for item in new if item.kind == "car charger")
    lenient = (magnitude(maximum, "ampere") * volts + seasonal) * 1.25 + added
    case.step(
        "I = 1.25 × (Imax + Ss / V) + new / V",
        f"1.25 × ({show(maximum)} + {seasonal:g} / {volts:g}) + {added:g} / {volts:g}",
        quantity(lenient / volts, "ampere"),
    )
    told = f"{lenient:g} + {quarter:g}"
    case.step("car chargers in the new load at 125 %, which is disputed", told, va(lenient + quarter))
    return Total(lenient + quarter, lenient, _DISPUTE)


def _thirty_days_count(case: Case, measured: MeasuredDemand, days: int) -> None:
    if days < 30:
        raise Undecided(f"{days} days of measurement are too few: a year, or at least 30 days.")
    behind = [source.code for source in case.job.record.sources if source.kind in _BEHIND_THE_METER]
    if behind:
        raise Undecided(
            f"A 30-day measurement does not count where solar or a battery feeds the service ({behind[0]})."
        )
    if case.fact("", "peaks are shaved on this service", measured.peak_shaving):
        raise Undecided("A 30-day measurement does not count where peaks are shaved.")
    if case.fact("t", "minutes of each average", measured.interval_minutes) != 15:
        raise Undecided("A 30-day measurement counts only as averages of 15 minutes.")
    if not case.fact("", "both legs measured", measured.both_legs):
        raise Undecided("The higher-loaded leg is known only where both legs were measured.")
    if not case.fact("", "the house was lived in during the measurement", measured.occupied):
        raise Undecided("A 30-day measurement counts only where the house was lived in.")
