"""Rules about neutrals and grounding panel by panel, and about separate buildings fed from the house."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new, leaned_on_panels
from handover.record.facts import WireSize
from handover.record.supply import Electrode, Grounding, Material, Panel
from handover.record.wiring import Conductor, Feeder
from handover.tables.lookups import electrode_conductor_cap, grounding_electrode_conductor
from handover.units import Quantity, quantity

_ROD_LENGTH = 8.0  # feet, 250.53(A) and 250.52(A)(5)
_ROD_SPACING = 6.0  # feet, 250.53(A)(3)
_SINGLE_ROD_OHMS = 25.0  # 250.53(A)(2), exception


@rule("neutral_bond", "Are neutral and ground joined at the service, and nowhere else?")
def neutral_bond(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Joined at the service disconnect; apart in every panel behind it.  One result a panel in the same building.

    Judged: the panels of this job and those it hangs on.  Separate buildings have a rule of their own.
    Source: NEC 250.24(A)(5), 250.142(B).
    """
    leaned_on = {panel.code for panel in leaned_on_panels(job)} | {job.record.service.at}
    for panel in job.record.panels:
        if panel.separate_building or panel.code not in leaned_on:
            continue
        with job.case(neutral_bond, panel.code, section="250.24(A)(5) and 250.142(B)") as case:
            bonded = case.fact("", f"neutral joined to ground in {panel.code}", panel.neutral_bonded)
            at_service = panel.code == job.record.service.at
            told = f"Neutral and ground are {'joined' if bonded else 'apart'} in {panel.code}"
            wanted = "the service disconnect, where they are joined" if at_service else "not the service disconnect"
            case.holds(bonded == at_service, f"{told}, which is {wanted}.")
        yield case.result


def _separate(job: JobUnderCheck) -> list[Panel]:
    return [panel for panel in job.record.panels if panel.separate_building and is_new(panel.work)]


def _feeders_to(job: JobUnderCheck, panel: Panel) -> list[Feeder]:
    return [feeder for feeder in job.record.feeders if feeder.to == panel.code]


@rule("separate_building_neutral", "Is the neutral kept apart from ground in the separate building?")
def separate_building_neutral(job: JobUnderCheck) -> Iterator[CheckResult]:
    """No bond at a building fed by a new feeder.  One result a new panel there.  Source: NEC 250.32(B), 250.142(B)."""
    for panel in _separate(job):
        with job.case(separate_building_neutral, panel.code, section="250.32(B) and 250.142(B)") as case:
            bonded = case.fact("", f"neutral joined to ground in {panel.code}", panel.neutral_bonded)
            case.holds(not bonded, f"Neutral and ground are {'joined' if bonded else 'kept apart'} in {panel.code}.")
        yield case.result


@rule("separate_building_supply", "Has the separate building one supply, with its own ground wire?")
def separate_building_supply(job: JobUnderCheck) -> Iterator[CheckResult]:
    """One feeder, carrying an equipment grounding conductor.  One result a new panel there.

    Source: NEC 225.30, 250.32(B).
    """
    for panel in _separate(job):
        with job.case(separate_building_supply, panel.code, section="225.30 and 250.32(B)") as case:
            feeders = _feeders_to(job, panel)
            supplies = len(feeders) + sum(transfer.feeds == panel.code for transfer in job.record.transfers)
            case.given("n", f"supplies recorded to {panel.code}", supplies, "the record")
            if not feeders:
                raise Undecided(f"No feeder to {panel.code} is recorded.")
            if supplies > 1:
                case.holds(False, "More than one supply; the cases where the text allows that are not judged here.")
            elif not feeders[0].conductors:
                raise Undecided(f"The conductors of {feeders[0].code} were not recorded.")
            else:
                grounds = sum(part.count for part in feeders[0].conductors if part.role == "equipment ground")
                case.given("", f"equipment grounding conductors in {feeders[0].code}", grounds, "the record")
                case.holds(grounds > 0, "One supply; the feeder must carry an equipment grounding conductor.")
        yield case.result


@rule("separate_building_disconnect", "Can the separate building be switched off where its feeder comes in?")
def separate_building_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A main breaker, readily accessible, nearest the point of entrance: a person has to have seen the place.

    One result a new panel there.  Source: NEC 225.31, 225.32 (2020); 225.31 (2023).
    """
    section = {2020: "225.31 and 225.32", 2023: "225.31 and 225.32" + FROM_MEMORY}
    for panel in _separate(job):
        with job.case(separate_building_disconnect, panel.code, section=section) as case:
            case.given("", f"main of {panel.code}", panel.main_kind, "the record")
            if panel.main_kind != "main breaker":
                raise Undecided(f"{panel.code} has no main of its own. Say where the building is switched off.")
            ask(case, "Is this main readily accessible and nearest to where the feeder enters the building?")
        yield case.result


@rule("separate_building_rating", "Is the separate building's disconnect large enough for its kind?")
def separate_building_rating(job: JobUnderCheck) -> Iterator[CheckResult]:
    """15 A for one circuit, 30 A for two, 100 A for a one-family dwelling, 60 A for all others.

    One result a new panel there.  Source: NEC 225.39 (60 A seen in trade forums; the rest from memory).
    """
    for panel in _separate(job):
        with job.case(separate_building_rating, panel.code, section="225.39" + FROM_MEMORY) as case:
            if panel.main_kind != "main breaker":
                raise Undecided(f"{panel.code} has no main of its own. Say where the building is switched off.")
            rating = case.fact("In", f"main of {panel.code}", panel.main)
            case.compare(value=rating, limit=_least_rating(case, panel, rating), at_least=True)
        yield case.result


def _least_rating(case: Case, panel: Panel, rating: Quantity) -> Quantity:
    dwelling = quantity(100, "ampere")
    if "dwelling" not in panel.model_fields_set:
        if rating < dwelling:
            raise Undecided(f"Is the building of {panel.code} a dwelling? Write  dwelling: yes  or  no  at the panel.")
        return dwelling
    case.given(
        "", "the building is a dwelling", "yes" if panel.dwelling else "no", str(panel.written_at) or "the record"
    )
    if panel.dwelling:
        return dwelling
    circuits = sum(slot.breaker is not None for slot in panel.slots)
    case.given("n", f"breakers in {panel.code}", circuits, "the record")
    return quantity({1: 15, 2: 30}.get(circuits, 60), "ampere")


@rule("separate_building_electrodes", "Has the separate building enough grounding electrodes?")
def separate_building_electrodes(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Every electrode that is present is used; rods of 8 ft, two of them 6 ft apart, or one that reads 25 ohms or less.

    One result a new panel there.  Source: NEC 250.32(A), 250.50, 250.53(A), (D) and (G).
    """
    for panel in _separate(job):
        section = "250.32(A), 250.50 and 250.53" + FROM_MEMORY
        with job.case(separate_building_electrodes, panel.code, section=section) as case:
            grounding = _grounding(panel)
            rods = [item for item in grounding.electrodes if item.kind == "ground rod"]
            for number, rod in enumerate(rods, 1):
                if case.fact(f"L{number}", f"length of rod {number}", rod.length) < quantity(_ROD_LENGTH, "foot"):
                    case.holds(False, f"Rod {number} is shorter than 8 ft.")
                    break
            else:
                _enough_electrodes(case, panel, grounding, rods)
        yield case.result


def _grounding(panel: Panel) -> Grounding:
    if panel.grounding is None or not panel.grounding.electrodes:
        raise Undecided(f"No grounding electrode of {panel.code} is recorded.")
    return panel.grounding


def _enough_electrodes(case: Case, panel: Panel, grounding: Grounding, rods: list[Electrode]) -> None:
    if not case.fact("", "all electrodes that are present are used", grounding.all_present_used):
        case.holds(False, "An electrode that is present is not used.")
        return
    kinds = {item.kind for item in grounding.electrodes}
    case.given("", "electrodes", ", ".join(sorted(item.kind for item in grounding.electrodes)), "the record")
    if kinds & {"concrete-encased", "ground ring"}:
        case.holds(True, "An electrode that is enough by itself is in use.")
    elif kinds == {"metal water pipe"}:
        case.holds(False, "A water pipe needs another electrode beside it.")
    elif len(rods) >= 2:
        _far_enough_apart(case, rods)
    elif len(rods) == 1 and kinds == {"ground rod"}:
        _single_rod(case, panel)
    else:
        raise Undecided("This set of electrodes is not judged here. Read 250.53 in the adopted book.")


def _far_enough_apart(case: Case, rods: list[Electrode]) -> None:
    known = [rod.spacing for rod in rods if rod.spacing.known]
    closest = min(known, key=lambda spacing: spacing.value or quantity(0, "foot"), default=rods[-1].spacing)
    apart = case.fact("d", "distance between the rods", closest)
    case.compare(value=apart, limit=quantity(_ROD_SPACING, "foot"), at_least=True)


def _single_rod(case: Case, panel: Panel) -> None:
    for reading in case.job.record.readings:
        if reading.of == panel.code and reading.kind == "ground resistance" and not reading.beyond_range:
            resistance = case.fact("R", "resistance of the rod to earth", reading.ohms)
            case.compare(value=resistance, limit=quantity(_SINGLE_ROD_OHMS, "ohm"), at_least=False)
            return
    told = "A single rod is enough only with a reading of 25 ohms or less, and none is recorded. Add a second rod."
    case.holds(False, told)


@rule("electrode_conductor", "Is the conductor to the electrodes large enough?")
def electrode_conductor(job: JobUnderCheck) -> Iterator[CheckResult]:
    """By the hot conductors of the supply; to rods alone never more than 6 AWG copper.  One result a new system.

    Judged: new panels in separate buildings, and the service where this job replaced it.
    Source: NEC 250.32(E), 250.66, 250.66(A) and (B).
    """
    for panel in _separate(job):
        with job.case(electrode_conductor, panel.code, section="250.32(E) and 250.66") as case:
            feeders = _feeders_to(job, panel)
            hot = _hot(feeders[0]) if feeders else None
            if hot is None:
                raise Undecided(f"The hot conductors of the feeder to {panel.code} were not recorded.")
            size = case.fact("", "hot conductors of the feeder", hot.size)
            _judge_conductor(case, _grounding(panel), size, case.fact("", "their material", hot.material))
        yield case.result
    service = job.record.service
    if service.replaced_on_this_job.value:
        with job.case(electrode_conductor, service.at, section="250.66") as case:
            if service.conductors is None or service.grounding is None:
                raise Undecided("Service conductors and grounding were not recorded.")
            size = case.fact("", "service conductors", service.conductors.size)
            material = case.fact("", "their material", service.conductors.material)
            _judge_conductor(case, service.grounding, size, material)
        yield case.result


def _hot(feeder: Feeder) -> Conductor | None:
    return next((part for part in feeder.conductors if part.role == "hot"), None)


def _judge_conductor(case: Case, grounding: Grounding, size: WireSize, material: Material) -> None:
    have = case.fact("", "grounding electrode conductor", grounding.conductor)
    metal = case.fact("", "its material", grounding.conductor_material)
    table = grounding_electrode_conductor(size, material, metal, case.job.edition)
    needed = case.looked("", "least size by the supply conductors", table)
    kinds = {item.kind for item in grounding.electrodes}
    if kinds and kinds <= {"ground rod", "plate"}:
        cap = electrode_conductor_cap("rod, pipe or plate", metal, case.job.edition)
        largest = case.looked("", "never needed larger to rods or plates alone", cap)
        needed = min(needed, largest, key=lambda wire: wire.order)
    case.step("least size", "the smaller of the two where both apply", str(needed))
    case.holds(have.order >= needed.order, f"{have} against a least size of {needed}.")


RULES: tuple[Rule, ...] = (
    neutral_bond,
    separate_building_supply,
    separate_building_disconnect,
    separate_building_rating,
    separate_building_neutral,
    separate_building_electrodes,
    electrode_conductor,
)
