"""Energy management: when its set point may stand in a load calculation for what is on the nameplates."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating
from handover.checks.service_parts import items_of, of_kind, service_volts, sum_of, va
from handover.record.supply import EnergyManagement
from handover.units import Quantity, magnitude, show

_SERVICE_FROM = 2023
_LAST_READ = 2023
SECTION = {
    2017: "625.42" + FROM_MEMORY,
    2020: "625.42, with 750.30" + FROM_MEMORY,
    2023: "220.70 and 625.42(A), with 750.30",
}


@rule("energy_management", "Does the energy management really hold the load down, and can it be shown?")
def energy_management(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The set point counts only with its evidence; on a service or feeder it counts as continuous, so at 125 %.

    Evidence: the set point, what it measures, what it does when that fails, how the setting is kept from being
    changed, its label, its listing.  One result where energy management is recorded.
    2017 and 2020 let it count for car chargers alone; 2023 for any service or feeder (220.70).  What 2026 asks of it
    as a power control system (120.7, Article 130) was not read.  What 750.30 asks on failure is from memory.
    Source: NEC 625.42, 750.30, 220.70.
    """
    managed = _recorded(job)
    if managed is None:
        return
    subject = managed.feeder if managed.limits == "feeder" and managed.feeder else job.record.service.at
    with job.case(energy_management, subject, section=SECTION) as case:
        listed, set_point = evidence(case, managed)
        if not listed:
            case.holds(False, "It is not listed as energy management, so its set point does not count.")
        elif managed.limits == "car chargers":
            _chargers(case, set_point)
        else:
            _whole(case, managed, set_point)
    yield case.result


def _recorded(job: JobUnderCheck) -> EnergyManagement | None:
    load = job.record.service_load
    return None if load is None else load.energy_management


def _chargers(case: Case, set_point: Quantity) -> None:
    load = case.job.record.service_load
    assert load is not None
    plates = sum_of(of_kind(items_of(case, load), "car charger"))
    if not plates:
        raise NotApplicable("No car charger is in the recorded load.")
    volts = service_volts(case.job)
    held = va(magnitude(set_point, "ampere") * volts)
    case.step("set point × V, in place of the nameplates", f"{show(set_point)} × {volts:g} V", held)
    case.holds(True, f"All car chargers together count {show(held)}; their nameplates come to {show(va(plates))}.")


def _whole(case: Case, managed: EnergyManagement, set_point: Quantity) -> None:
    needed: Quantity = set_point * 1.25
    case.step("1.25 × set point", f"1.25 × {show(set_point)}", needed)
    if managed.limits == "service":
        rating = case.fact("In", "rating of the service", case.job.record.service.rating)
    else:
        if managed.feeder is None:
            raise Undecided("It limits a feeder, and the record does not name which. Write its code.")
        rating = breaker_rating(case, managed.feeder)
    case.compare(value=needed, limit=rating, at_least=False)


def evidence(case: Case, managed: EnergyManagement) -> tuple[bool, Quantity]:
    """Whether it is listed, and its set point (A); the other evidence is noted.  Undecided without all of it."""
    set_point = case.fact("Iset", "set point of the energy management", managed.set_point)
    written(case, "", "what the energy management measures", managed.measures)
    written(case, "", "what the energy management does when measuring or control fails", managed.on_failure)
    written(case, "", "how the set point is kept from being changed", managed.setting_access)
    written(case, "", "label with the set point", managed.label)
    listed = case.fact("", "energy management is listed", managed.listed)
    if case.job.edition > _LAST_READ:
        raise Undecided("What the 2026 text asks of a power control system (120.7, Article 130) is not confirmed here.")
    if managed.limits != "car chargers" and case.job.edition < _SERVICE_FROM:
        raise Undecided(
            f"The {case.job.edition} text lets a set point count for car chargers; for a whole {managed.limits} "
            "only from 2023 on. Ask the authority having jurisdiction."
        )
    return listed, set_point


def managed_chargers(case: Case, plates: float) -> tuple[float, float]:
    """What all car chargers together count (VA), safely and leniently: held by energy management, or as they are.

    The two differ where energy management is recorded and its evidence is not complete.
    """
    managed = _recorded(case.job)
    if managed is None or managed.limits != "car chargers":
        return plates, plates
    known = (managed.measures, managed.on_failure, managed.setting_access, managed.label, managed.listed)
    if managed.listed.value is False:
        return plates, plates
    volts = service_volts(case.job)
    if managed.set_point.value is None:
        return plates, 0.0
    held = min(plates, magnitude(managed.set_point.value, "ampere") * volts)
    if case.job.edition > _LAST_READ or not all(fact.known for fact in known):
        case.step("energy management without all its evidence counts for nothing", "rule energy_management", va(plates))
        return plates, held
    _, set_point = evidence(case, managed)
    case.step("car chargers, held by energy management: set point × V", f"{show(set_point)} × {volts:g} V", va(held))
    return held, held


def managed_current(case: Case, limits: str, feeder: str | None = None) -> Quantity | None:
    """What a service or feeder under energy management counts (A), 125 % of the set point; None where there is none.

    Undecided where evidence is missing, None where the system is not listed.
    """
    managed = _recorded(case.job)
    if managed is None or managed.limits != limits or (feeder is not None and managed.feeder != feeder):
        return None
    listed, set_point = evidence(case, managed)
    if not listed:
        return None
    counted: Quantity = set_point * 1.25
    case.step("held by energy management: 1.25 × set point (220.70)", f"1.25 × {show(set_point)}", counted)
    return counted


RULES: tuple[Rule, ...] = (energy_management,)
