"""Rules about the supply's end: switching a dwelling off from outside, and its protection from surges."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import ask, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.facts import Fact
from handover.record.supply import Panel, Service
from handover.units import Quantity, quantity

_DISCHARGE = quantity(10, "kiloampere")  # 230.67 of 2023, least nominal discharge current


@rule("emergency_disconnect", "Can the house be switched off from outside?")
def emergency_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Outdoors, readily accessible and marked, where this job replaced the service equipment.

    2017: not asked.  2020: that.  2023: also on the house or in sight of it, its marking white on red in letters of
    1/2 in at least.  2026: the service disconnect itself outdoors; its marking was not read, so one that would not do
    in 2023 is undecided.  A dwelling in a separate building has its own from 2023 on (225.41): a question to a person.
    One result the service, one each new panel of such a dwelling.
    Source: NEC 230.85 (magazine for 2020, trade blog and continuing education for 2023), 230.70(A)(1) in 2026
    (continuing education), 225.41 (a maker's page).
    """
    service = job.record.service
    section = {2017: "230.70(A)", 2020: "230.85", 2023: "230.85", 2026: "230.70(A)(1)"}
    with job.case(emergency_disconnect, service.at, section=section) as case:
        if job.edition < 2020:
            raise NotApplicable("Asked from the 2020 edition on.")
        _only_if_replaced(case)
        _judge_emergency(case, service)
    yield case.result
    for panel in job.record.panels:
        if panel.separate_building and is_new(panel.work) and panel.code != service.at:
            with job.case(
                emergency_disconnect, panel.code, section={2017: "225.31", 2020: "225.31", 2023: "225.41"}
            ) as case:
                if job.edition < 2023:
                    raise NotApplicable("Asked from the 2023 edition on.")
                _only_if_dwelling(case, panel)
                ask(
                    case,
                    "Is there a readily accessible disconnect outdoors, on the building or in sight of it, marked "
                    "EMERGENCY DISCONNECT in white letters of at least 1/2 in on red?",
                )
            yield case.result


def _judge_emergency(case: Case, service: Service) -> None:
    edition = case.job.edition
    faults = []
    if not case.fact("", "service disconnect outdoors", service.disconnect_outdoors):
        faults.append("It is not outdoors.")
    if not case.fact("", "service disconnect readily accessible", service.disconnect_readily_accessible):
        faults.append("It is not readily accessible.")
    if faults:
        case.holds(False, " ".join(faults))
        return
    marked = "EMERGENCY DISCONNECT" in written(case, "", "marking of the disconnect", service.disconnect_marked).upper()
    if not marked:
        faults.append("It is not marked EMERGENCY DISCONNECT.")
    if edition >= 2023 and not case.fact("", "on the house or in sight of it", service.disconnect_near_house):
        faults.append("It is not in sight of the house.")
    if edition >= 2023 and not case.fact("", "marking white on red, 1/2 in", service.disconnect_marking_red):
        faults.append("Its marking is not in white letters of 1/2 in on red.")
    if faults and edition >= 2026:
        raise Undecided(
            f"By the 2023 text: {' '.join(faults)} What 2026 asks besides outdoors was not read: read 230.70."
        )
    case.holds(not faults, " ".join(faults) or "It is outdoors, readily accessible and marked.")


@rule("service_surge_protection", "Is the house protected from surges at the service?")
def service_surge_protection(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A Type 1 or Type 2 device, where this job replaced the service equipment.  One result a job.

    2017: not asked.  2020: the device.  2023: also a nominal discharge current of 10 kA at least.
    Source: NEC 230.67, as a maker's page and continuing education tell it.
    """
    service = job.record.service
    section = {2017: "230", 2020: "230.67", 2023: "230.67"}
    with job.case(service_surge_protection, service.at, section=section) as case:
        if job.edition < 2020:
            raise NotApplicable("Asked from the 2020 edition on.")
        _only_if_replaced(case)
        if not _has_device(case, "the service", service.surge_protection):
            case.holds(False, "None is fitted.")
        elif job.edition < 2023:
            case.holds(True, "A device of Type 1 or Type 2 is recorded.")
        else:
            _strong_enough(case, service.surge_discharge_current)
    yield case.result


def _has_device(case: Case, at: str, fact: Fact[str]) -> bool:
    """Whether the record says that a device of Type 1 or 2 is there.  Undecided where it does not say the type."""
    device = written(case, "", f"surge protection at {at}", fact).lower()
    if device.strip().rstrip(".") in ("none", "no", "none fitted", "not fitted"):
        return False
    if device.split()[0].strip(",;.:") in ("none", "no", "not"):
        raise Undecided("The surge protection is written so that it may mean none. Look, and write  none  or its type.")
    if "type 1" in device or "type 2" in device:
        return True
    raise Undecided("The record does not say whether the device is of Type 1 or Type 2. Read its label.")


def _strong_enough(case: Case, fact: Fact[Quantity]) -> None:
    current = case.fact("In", "nominal discharge current of the device", fact)
    case.compare(value=current.to("kiloampere"), limit=_DISCHARGE, at_least=True)


@rule("feeder_surge_protection", "Is a dwelling on a feeder protected from surges?")
def feeder_surge_protection(job: JobUnderCheck) -> Iterator[CheckResult]:
    """From 2023: a Type 1 or Type 2 device of 10 kA at the panel that a new feeder supplies, where that is a dwelling.

    Within one house it is not settled here whether a feeder to a sub-panel "supplies a dwelling unit": without a device
    there, that is undecided.  One result a new feeder.
    Source: NEC 215.18, 225.42 (separate buildings), as a maker's page and continuing education tell it.
    """
    for feeder in job.record.feeders:
        panel = job.installation.panels.get(feeder.to)
        if not is_new(feeder.work) or panel is None:
            continue
        section = {2017: "215", 2020: "215", 2023: "225.42" if panel.separate_building else "215.18"}
        with job.case(feeder_surge_protection, feeder.code, section=section) as case:
            if job.edition < 2023:
                raise NotApplicable("Asked from the 2023 edition on.")
            if panel.separate_building:
                _only_if_dwelling(case, panel)
            if _has_device(case, panel.code, panel.surge_protection):
                _strong_enough(case, panel.surge_discharge_current)
            elif panel.separate_building:
                case.holds(False, f"None is fitted at {panel.code}.")
            else:
                raise Undecided(
                    f"None is fitted at {panel.code}. Whether 215.18 means a feeder within one house, whose service "
                    "may have a device, is not settled here: ask the authority having jurisdiction."
                )
        yield case.result


def _only_if_replaced(case: Case) -> None:
    replaced = case.fact("", "service equipment replaced by this job", case.job.record.service.replaced_on_this_job)
    if not replaced:
        raise NotApplicable("The service equipment was there before and was not replaced.")


def _only_if_dwelling(case: Case, panel: Panel) -> None:
    if "dwelling" not in panel.model_fields_set:
        raise Undecided(f"Is the building of {panel.code} a dwelling? Write  dwelling: yes  or  no  at the panel.")
    case.given("", f"the building of {panel.code} is a dwelling", panel.dwelling, str(panel.written_at) or "the record")
    if not panel.dwelling:
        raise NotApplicable("The building is no dwelling.")


RULES: tuple[Rule, ...] = (emergency_disconnect, service_surge_protection, feeder_surge_protection)
