"""Rules about where things stand: receptacles and their protection, space to work, height, and outdoor disconnects."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.gfci import ask_for_the_other, protected_by_breaker
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new
from handover.record.wiring import Circuit, Outlet
from handover.tables.space_lookups import least_headroom, least_working_depth, least_working_width
from handover.units import Quantity, magnitude, quantity, show

_ALWAYS = ("outdoors", "garage", "accessory building", "basement", "crawl space", "bathroom", "laundry area")
_HIGH = 66.0  # inches: receptacles higher than this need not be tamper-resistant, 406.12


def _new_receptacles(job: JobUnderCheck) -> Iterator[tuple[Circuit, list[tuple[int, Outlet]]]]:
    for circuit in job.record.circuits:
        outlets = [(n, outlet) for n, outlet in enumerate(circuit.outlets, 1) if outlet.kind == "receptacle"]
        if is_new(circuit.work) and outlets:
            yield circuit, outlets


@rule("gfci_receptacles", "Have the receptacles the ground-fault protection for people that their place asks for?")
def gfci_receptacles(job: JobUnderCheck) -> Iterator[CheckResult]:
    """All 125 V to 250 V receptacles in the listed places, whatever their rating.  One result a new circuit.

    Source: NEC 210.8(A) (2020, 2023; kitchens: all receptacles from 2023, those at countertops before).
    """
    for circuit, outlets in _new_receptacles(job):
        with job.case(gfci_receptacles, circuit.code, section="210.8(A)") as case:
            breaker = protected_by_breaker(case, circuit.code)
            needed = [
                number for number, outlet in outlets if not breaker and _unprotected(case, circuit, number, outlet)
            ]
            if needed:
                listed = ", ".join(str(number) for number in needed)
                case.holds(False, f"{circuit.code}, outlet {listed}: the place asks for protection, and there is none.")
            else:
                case.holds(
                    True, f"{circuit.code}: every receptacle is protected, or in a place that does not ask for it."
                )
        yield case.result


def _unprotected(case: Case, circuit: Circuit, number: int, outlet: Outlet) -> bool:
    """Whether a receptacle needs protection and has none.  Ends the case where that cannot be told."""
    if outlet.gfci.value in ("in this receptacle", "in another receptacle"):
        if case.fact("", f"protection of outlet {number}", outlet.gfci) == "in another receptacle":
            ask_for_the_other(circuit)
        return False
    case.given("", f"area of outlet {number}", outlet.area, str(outlet.written_at) or "the record")
    asked = outlet.area in _ALWAYS or (outlet.area == "kitchen" and case.job.edition >= 2023)
    if not asked and outlet.area == "kitchen":
        raise Undecided(f"Outlet {number} is in a kitchen: in 2020 it depends on whether it serves the countertop.")
    if not asked:
        asked = case.fact("", f"outlet {number} within 6 ft of a sink", outlet.near_sink)
    if not asked:
        return False
    kind = case.fact("", f"protection of outlet {number}", outlet.gfci)
    if kind == "in the breaker":
        raise Undecided(f"Outlet {number} is said to be protected in the breaker, and the breaker is not recorded so.")
    return True


@rule("tamper_resistant", "Are the receptacles safe from children's fingers?")
def tamper_resistant(job: JobUnderCheck) -> Iterator[CheckResult]:
    """15 A and 20 A receptacles of dwellings, their garages and accessory buildings; not above 5.5 ft.

    One result a new circuit that has such receptacles.  Source: NEC 406.12.
    """
    for circuit, outlets in _new_receptacles(job):
        with job.case(tamper_resistant, circuit.code, section="406.12" + FROM_MEMORY) as case:
            judged = [(number, outlet) for number, outlet in outlets if _within_reach(case, number, outlet)]
            if not judged:
                raise NotApplicable("No receptacle of 15 A or 20 A within reach.")
            plain = [
                str(number)
                for number, outlet in judged
                if not case.fact("", f"outlet {number} tamper-resistant", outlet.tamper_resistant)
            ]
            case.holds(
                not plain, f"Outlet {', '.join(plain)} is not." if plain else "All of them are tamper-resistant."
            )
        yield case.result


def _within_reach(case: Case, number: int, outlet: Outlet) -> bool:
    rating = case.fact("In", f"rating of outlet {number}", outlet.rating)
    return magnitude(rating, "ampere") <= 20 and not (
        outlet.height.value is not None and magnitude(outlet.height.value, "inch") > _HIGH
    )


# Receptacles on a circuit of several, by the circuit's rating: NEC Table 210.21(B)(3), from memory.
_ON_SHARED_CIRCUIT = {15: (15,), 20: (15, 20), 30: (30,), 40: (40, 50), 50: (50,)}


@rule("receptacle_rating", "Do the receptacles fit their circuit's breaker?")
def receptacle_rating(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A single receptacle no smaller than its circuit; several as the table pairs them.  One result a new circuit.

    Source: NEC 210.21(B)(1) and Table 210.21(B)(3).
    """
    for circuit, outlets in _new_receptacles(job):
        with job.case(receptacle_rating, circuit.code, section="210.21(B)" + FROM_MEMORY) as case:
            breaker = breaker_rating(case, circuit.code)
            ratings = [case.fact("Ir", f"rating of outlet {number}", outlet.rating) for number, outlet in outlets]
            if len(outlets) == 1 and _stands_alone(case, outlets[0][1], ratings[0], breaker):
                case.compare(value=ratings[0], limit=breaker, at_least=True)
            else:
                _as_paired(case, ratings, breaker)
        yield case.result


def _stands_alone(case: Case, outlet: Outlet, rating: Quantity, breaker: Quantity) -> bool:
    """Whether the one outlet is a single receptacle.  Need not be known where both rules come to a pass."""
    paired = _ON_SHARED_CIRCUIT.get(round(magnitude(breaker, "ampere")), ())
    if not outlet.single.known and rating >= breaker and magnitude(rating, "ampere") in paired:
        return False
    return case.fact("", "a single receptacle, not a duplex", outlet.single)


def _as_paired(case: Case, ratings: list[Quantity], breaker: Quantity) -> None:
    amperes = round(magnitude(breaker, "ampere"))
    fitting = _ON_SHARED_CIRCUIT.get(amperes)
    if fitting is None:
        raise Undecided(f"Table 210.21(B)(3) has no row for a circuit of {show(breaker)}.")
    good = all(magnitude(rating, "ampere") in fitting for rating in ratings)
    listed = " or ".join(f"{one} A" for one in fitting)
    case.holds(good, f"On a circuit of {amperes} A the receptacles may be of {listed}.")


@rule("working_depth", "Is there room in front of the panel to work safely?")
def working_depth(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Clear depth at the front of each new panel.  Source: NEC 110.26(A)(1), Table 110.26(A)(1)."""
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(working_depth, panel.code, section="110.26(A)(1)") as case:
                depth = case.fact("d", f"clear depth in front of {panel.code}", panel.working_depth)
                volts = quantity(120, "volt")
                case.given("V", "volts to ground", volts, "every service this record can hold")
                least = case.looked("", "least depth", least_working_depth(volts, job.edition))
                case.compare(value=depth, limit=least, at_least=True)
            yield case.result


@rule("working_width", "Is the space in front of the panel wide enough?")
def working_width(job: JobUnderCheck) -> Iterator[CheckResult]:
    """30 in, or the panel's own width where that is more.  One result a new panel.  Source: NEC 110.26(A)(2)."""
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(working_width, panel.code, section="110.26(A)(2)") as case:
                width = case.fact("w", f"clear width in front of {panel.code}", panel.working_width)
                own = case.fact("", f"width of {panel.code}", panel.width)
                least = case.looked("", "least width", least_working_width(own, job.edition))
                case.compare(value=width, limit=least, at_least=True)
            yield case.result


@rule("headroom", "Can a person stand upright at the panel?")
def headroom(job: JobUnderCheck) -> Iterator[CheckResult]:
    """6.5 ft of height at each new panel.  Source: NEC 110.26(A)(3)."""
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(headroom, panel.code, section="110.26(A)(3)") as case:
                height = case.fact("h", f"headroom at {panel.code}", panel.headroom)
                least = case.looked("", "least height", least_headroom(job.edition))
                case.compare(value=height, limit=least, at_least=True)
            yield case.result


@rule("handle_height", "Can the highest breaker handle be reached?")
def handle_height(job: JobUnderCheck) -> Iterator[CheckResult]:
    """At most 6 ft 7 in above the floor, in each new panel.  Source: NEC 240.24(A)."""
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(handle_height, panel.code, section="240.24(A)" + FROM_MEMORY) as case:
                height = case.fact("h", f"highest handle in {panel.code}, when on", panel.handle_height)
                case.compare(value=height, limit=quantity(79, "inch"), at_least=False)
            yield case.result


@rule("emergency_disconnect", "Can the house be switched off from outside?")
def emergency_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Outdoors and marked, where this job replaced the service equipment.  One result a job.  Source: NEC 230.85."""
    service = job.record.service
    with job.case(emergency_disconnect, service.at, section="230.85") as case:
        _only_if_replaced(case)
        outdoors = case.fact("", "service disconnect outdoors", service.disconnect_outdoors)
        marking = written(case, "", "marking of the disconnect", service.disconnect_marked)
        marked = "EMERGENCY DISCONNECT" in marking.upper()
        told = "outdoors" if outdoors else "not outdoors"
        case.holds(
            outdoors and marked, f"It is {told} and {'marked' if marked else 'not marked'} EMERGENCY DISCONNECT."
        )
    yield case.result


@rule("service_surge_protection", "Is the house protected from surges at the service?")
def service_surge_protection(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A Type 1 or Type 2 device, where this job replaced the service equipment.  One result a job.

    Source: NEC 230.67.
    """
    service = job.record.service
    with job.case(service_surge_protection, service.at, section="230.67") as case:
        _only_if_replaced(case)
        device = written(case, "", "surge protection at the service", service.surge_protection).lower()
        if device in ("none", "no"):
            case.holds(False, "None is fitted.")
        elif "type 1" in device or "type 2" in device:
            case.holds(True, "A device of Type 1 or Type 2 is recorded.")
        else:
            raise Undecided("The record does not say whether the device is of Type 1 or Type 2. Read its label.")
    yield case.result


def _only_if_replaced(case: Case) -> None:
    replaced = case.fact("", "service equipment replaced by this job", case.job.record.service.replaced_on_this_job)
    if not replaced:
        raise NotApplicable("The service equipment was there before and was not replaced.")


RULES: tuple[Rule, ...] = (
    gfci_receptacles,
    tamper_resistant,
    receptacle_rating,
    working_depth,
    working_width,
    headroom,
    handle_height,
    emergency_disconnect,
    service_surge_protection,
)
