"""Rules about grounding electrodes, the conductor to them, and what else is bonded where a supply comes in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.facts import WireSize
from handover.record.supply import Electrode as Driven
from handover.record.supply import Grounding, Material, Panel
from handover.record.wiring import Conductor, Feeder
from handover.tables.lookups import (
    Electrode,
    Metal,
    circular_mils,
    electrode_conductor_cap,
    grounding_electrode_conductor,
    size_for_circular_mils,
)
from handover.units import Quantity, quantity

_ROD_LENGTH = 8.0  # feet, 250.53(A) and 250.52(A)(5)
_ROD_SPACING = 6.0  # feet, 250.53(A)(3)
_SINGLE_ROD_OHMS = 25.0  # 250.53(A)(2), exception
_RING_LEAST = WireSize("2", "AWG")  # the thinnest ground ring, 250.52(A)(4)
_ENOUGH = ("concrete-encased", "ground ring", "metal in-ground support")


def separate_buildings(job: JobUnderCheck) -> list[Panel]:
    """The panels of this job in separate buildings."""
    return [panel for panel in job.record.panels if panel.separate_building and is_new(panel.work)]


def feeders_to(job: JobUnderCheck, panel: Panel) -> list[Feeder]:
    """The feeders recorded as supplying a panel."""
    return [feeder for feeder in job.record.feeders if feeder.to == panel.code]


@rule("separate_building_electrodes", "Has the separate building enough grounding electrodes?")
def separate_building_electrodes(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Every electrode that is present is used; rods of 8 ft, two of them 6 ft apart, or one that reads 25 ohms or less.

    One result a new panel there.  Source: NEC 250.32(A), 250.50, 250.53(A), (D) and (G).
    """
    for panel in separate_buildings(job):
        section = "250.32(A), 250.50 and 250.53" + FROM_MEMORY
        with job.case(separate_building_electrodes, panel.code, section=section) as case:
            _judge_electrodes(case, panel.code, panel.grounding)
        yield case.result


@rule("electrodes_present", "Are all grounding electrodes of the house in use, and are they enough?")
def electrodes_present(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The same for the service, where this job replaced it or drove an electrode; a water pipe needs another beside it.

    What was there before answers to the code of its day.  One result a job.
    Source: NEC 250.50, 250.52(A), 250.53(A), (D) and (G).
    """
    service = job.record.service
    with job.case(electrodes_present, service.at, section="250.50 and 250.53" + FROM_MEMORY) as case:
        _only_if_of_this_job(case)
        _judge_electrodes(case, service.at, service.grounding)
    yield case.result


def _only_if_of_this_job(case: Case) -> None:
    service = case.job.record.service
    driven = service.grounding is not None and any(is_new(item.work) for item in service.grounding.electrodes)
    case.given("", "an electrode of the service is new or changed", driven, "the record")
    replaced = driven or case.fact("", "service equipment replaced by this job", service.replaced_on_this_job)
    if not replaced:
        raise NotApplicable("The service was there before, and this job altered neither it nor its electrodes.")


def _judge_electrodes(case: Case, code: str, grounding: Grounding | None) -> None:
    found = _grounding(code, grounding)
    rods = [item for item in found.electrodes if item.kind == "ground rod"]
    for number, rod in enumerate(rods, 1):
        length = case.fact(f"L{number}", f"length of rod {number}", rod.length)
        if less(length, quantity(_ROD_LENGTH, "foot")):
            case.holds(False, f"Rod {number} is shorter than 8 ft.")
            return
    _enough_electrodes(case, code, found, rods)


def _grounding(code: str, grounding: Grounding | None) -> Grounding:
    if grounding is None or not grounding.electrodes:
        raise Undecided(f"No grounding electrode of {code} is recorded.")
    return grounding


def _enough_electrodes(case: Case, code: str, grounding: Grounding, rods: list[Driven]) -> None:
    if not case.fact("", "all electrodes that are present are used", grounding.all_present_used):
        case.holds(False, "An electrode that is present is not used.")
        return
    kinds = {item.kind for item in grounding.electrodes}
    case.given("", "electrodes", ", ".join(sorted(item.kind for item in grounding.electrodes)), "the record")
    if kinds & set(_ENOUGH):
        case.holds(True, "An electrode that is enough by itself is in use.")
    elif kinds == {"metal water pipe"}:
        case.holds(False, "A water pipe needs another electrode beside it.")
    elif len(rods) >= 2:
        _far_enough_apart(case, rods)
    elif len(rods) == 1 and kinds <= {"ground rod", "metal water pipe"}:
        _single_rod(case, code)  # beside a water pipe too: 250.53(D)(2) sends a rod back to (A)(2)
    else:
        raise Undecided("This set of electrodes is not judged here. Read 250.53 in the adopted book.")


def _far_enough_apart(case: Case, rods: list[Driven]) -> None:
    known = [rod.spacing for rod in rods if rod.spacing.known]
    closest = min(known, key=lambda spacing: spacing.value or quantity(0, "foot"), default=rods[-1].spacing)
    apart = case.fact("d", "distance between the rods", closest)
    case.compare(value=apart, limit=quantity(_ROD_SPACING, "foot"), at_least=True)


def _single_rod(case: Case, code: str) -> None:
    for reading in case.job.record.readings:
        if reading.of == code and reading.kind == "ground resistance" and not reading.beyond_range:
            resistance = case.fact("R", "resistance of the rod to earth", reading.ohms)
            case.compare(value=resistance, limit=quantity(_SINGLE_ROD_OHMS, "ohm"), at_least=False)
            return
    told = "A single rod is enough only with a reading of 25 ohms or less, and none is recorded. Add a second rod."
    case.holds(False, told)


@rule("electrode_conductor", "Is the conductor to the electrodes large enough?")
def electrode_conductor(job: JobUnderCheck) -> Iterator[CheckResult]:
    """By the hot conductors of the supply; to rods alone never more than 6 AWG copper, with a concrete-encased one 4.

    Judged: new panels in separate buildings, and the service where this job replaced it; parallel sets by their areas
    together.  One result a new system.
    Source: NEC 250.32(E), 250.66, 250.66(A) to (C).
    """
    for panel in separate_buildings(job):
        with job.case(electrode_conductor, panel.code, section="250.32(E) and 250.66") as case:
            feeders = feeders_to(job, panel)
            hot = _hot(feeders[0]) if feeders else None
            if hot is None:
                raise Undecided(f"The hot conductors of the feeder to {panel.code} were not recorded.")
            size = case.fact("", "hot conductors of the feeder", hot.size)
            supply = _Supply(size, case.fact("", "their material", hot.material), feeders[0].sets)
            _judge_conductor(case, _grounding(panel.code, panel.grounding), supply)
        yield case.result
    service = job.record.service
    if service.replaced_on_this_job.value:
        with job.case(electrode_conductor, service.at, section="250.66") as case:
            if service.conductors is None or service.grounding is None:
                raise Undecided("Service conductors and grounding were not recorded.")
            size = case.fact("", "service conductors", service.conductors.size)
            material = case.fact("", "their material", service.conductors.material)
            sets = case.fact("", "parallel sets of them", service.conductors.sets)
            _judge_conductor(case, service.grounding, _Supply(size, material, sets))
        yield case.result


def _hot(feeder: Feeder) -> Conductor | None:
    return next((part for part in feeder.conductors if part.role == "hot"), None)


@dataclass(frozen=True, slots=True)
class _Supply:
    """The hot conductors that the electrode conductor goes by."""

    size: WireSize
    metal: Material
    sets: int


def _judge_conductor(case: Case, grounding: Grounding, supply: _Supply) -> None:
    have = case.fact("", "grounding electrode conductor", grounding.conductor)
    metal: Metal = case.fact("", "its material", grounding.conductor_material)
    size = _together(case, supply)
    table = grounding_electrode_conductor(size, supply.metal, metal, case.job.edition)
    needed = case.looked("", "least size by the supply conductors", table)
    kinds = {item.kind for item in grounding.electrodes}
    concrete = "concrete-encased" in kinds
    if kinds and kinds <= {"ground rod", "plate", "concrete-encased"} and not (concrete and metal != "copper"):
        electrode: Electrode = "concrete-encased electrode" if concrete else "rod, pipe or plate"
        told = "concrete-encased electrodes, with rods," if concrete else "rods or plates"
        cap = electrode_conductor_cap(electrode, metal, case.job.edition)
        largest = case.looked("", f"never needed larger to {told} alone", cap)
        needed = min(needed, largest, key=lambda wire: wire.order)
    case.step("least size", "the smaller of the two where both apply", str(needed))
    ring = "ground ring" in kinds and kinds <= {"ground rod", "plate", "concrete-encased", "ground ring"}
    if ring and _RING_LEAST.order <= have.order < needed.order:
        raise Undecided(f"To a ground ring {have} is enough where the ring itself is no larger (250.66(C)). Find out.")
    case.holds(have.order >= needed.order, f"{have} against a least size of {needed}.")


def _together(case: Case, supply: _Supply) -> WireSize:
    """The size with the area of all parallel sets together: note 1 to Table 250.66."""
    if supply.sets == 1:
        return supply.size
    each = case.looked("cmil", f"area of one, {supply.size}", circular_mils(supply.size, case.job.edition))
    total: Quantity = each * supply.sets
    found = size_for_circular_mils(total, case.job.edition)
    case.step("area × sets, and the size that has it", f"{supply.sets} sets", str(found.value))
    return found.value


@rule("intersystem_bonding", "Is there a bonding point for telephone, cable and other systems?")
def intersystem_bonding(job: JobUnderCheck) -> Iterator[CheckResult]:
    """At the disconnect of a new separate building, and at the service where this job replaced it.

    Where there is none, a person says whether such systems are likely to come there: from 2017 on it may then be left
    out, as a continuing-education page tells.  One result each.  Source: NEC 250.94(A) and its exception.
    """
    for code, grounding in _of_this_job(job):
        with job.case(intersystem_bonding, code, section="250.94" + FROM_MEMORY) as case:
            if code == job.record.service.at:
                _only_if_of_this_job(case)
            fact = (grounding or Grounding()).intersystem_bonding
            if case.fact("", f"bonding point for other systems at {code}", fact):
                case.holds(True, "There is a bonding point for other systems.")
            else:
                ask(case, "There is none: is it unlikely that a telephone, cable, antenna or data line will come here?")
        yield case.result


@rule("metal_piping_bonding", "Are metal water and gas pipes bonded?")
def metal_piping_bonding(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A question for a person, for the same places.  One result each.  Source: NEC 250.104(A) and (B)."""
    for code, _ in _of_this_job(job):
        with job.case(metal_piping_bonding, code, section="250.104(A) and (B)" + FROM_MEMORY) as case:
            if code == job.record.service.at:
                _only_if_of_this_job(case)
            ask(case, "Is every metal water pipe bonded, and gas pipe that may become live, or is there no such pipe?")
        yield case.result


def _of_this_job(job: JobUnderCheck) -> list[tuple[str, Grounding | None]]:
    service = job.record.service
    return [(panel.code, panel.grounding) for panel in separate_buildings(job)] + [(service.at, service.grounding)]
