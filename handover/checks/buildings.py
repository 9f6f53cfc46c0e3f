"""Rules about neutrals and grounding panel by panel, and about separate buildings fed from the house."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.electrodes import (
    electrode_conductor,
    electrodes_present,
    feeders_to,
    intersystem_bonding,
    metal_piping_bonding,
    separate_building_electrodes,
    separate_buildings,
)
from handover.checks.grounding_conductor import raceway_grounds
from handover.checks.result import CheckResult
from handover.checks.scope import leaned_on_panels
from handover.record.supply import Panel
from handover.units import Quantity, quantity

_NEUTRAL_BOND = {
    2017: "250.24(A)(5) and 250.142(B)",
    2020: "250.24(A)(5) and 250.142(B)",
    2023: f"250.24(B) and 250.142(B){FROM_MEMORY}",
}


@rule("neutral_bond", "Are neutral and ground joined at the service, and nowhere else?")
def neutral_bond(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Joined at the service disconnect; apart in every panel behind it.  One result a panel in the same building.

    Judged: the panels of this job and those it hangs on.  Separate buildings have a rule of their own.
    Source: NEC 250.24(A)(5), in 2023 250.24(B), from memory; 250.142(B).
    """
    leaned_on = {panel.code for panel in leaned_on_panels(job)} | {job.record.service.at}
    for panel in job.record.panels:
        if panel.separate_building or panel.code not in leaned_on:
            continue
        with job.case(neutral_bond, panel.code, section=_NEUTRAL_BOND) as case:
            bonded = case.fact("", f"neutral joined to ground in {panel.code}", panel.neutral_bonded)
            at_service = panel.code == job.record.service.at
            told = f"Neutral and ground are {'joined' if bonded else 'apart'} in {panel.code}"
            wanted = "the service disconnect, where they are joined" if at_service else "not the service disconnect"
            case.holds(bonded == at_service, f"{told}, which is {wanted}.")
        yield case.result


@rule("separate_building_neutral", "Is the neutral kept apart from ground in the separate building?")
def separate_building_neutral(job: JobUnderCheck) -> Iterator[CheckResult]:
    """No bond at a building fed by a new feeder.  One result a new panel there.  Source: NEC 250.32(B), 250.142(B)."""
    for panel in separate_buildings(job):
        with job.case(separate_building_neutral, panel.code, section="250.32(B) and 250.142(B)") as case:
            bonded = case.fact("", f"neutral joined to ground in {panel.code}", panel.neutral_bonded)
            case.holds(not bonded, f"Neutral and ground are {'joined' if bonded else 'kept apart'} in {panel.code}.")
        yield case.result


@rule("separate_building_supply", "Has the separate building one supply, with its own ground wire?")
def separate_building_supply(job: JobUnderCheck) -> Iterator[CheckResult]:
    """One feeder, carrying an equipment grounding conductor: a wire, or metal raceway all the way.

    One result a new panel there.  Source: NEC 225.30, 250.32(B), 250.118.
    """
    for panel in separate_buildings(job):
        with job.case(separate_building_supply, panel.code, section="225.30 and 250.32(B)") as case:
            feeders = feeders_to(job, panel)
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
                good = grounds > 0 or raceway_grounds(case, feeders[0])
                told = "with" if good else "and it is without"
                case.holds(good, f"One supply, {feeders[0].code}, {told} an equipment grounding conductor.")
        yield case.result


@rule("separate_building_disconnect", "Can the separate building be switched off where its feeder comes in?")
def separate_building_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A main breaker, readily accessible, nearest the point of entrance: a person has to have seen the place.

    One result a new panel there.  Source: NEC 225.31, 225.32 (2020); 225.31 (2023).
    """
    section = {
        2017: "225.31 and 225.32" + FROM_MEMORY,
        2020: "225.31 and 225.32",
        2023: "225.31 and 225.32" + FROM_MEMORY,
    }
    for panel in separate_buildings(job):
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
    for panel in separate_buildings(job):
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


RULES: tuple[Rule, ...] = (
    neutral_bond,
    separate_building_supply,
    separate_building_disconnect,
    separate_building_rating,
    separate_building_neutral,
    separate_building_electrodes,
    electrodes_present,
    electrode_conductor,
    intersystem_bonding,
    metal_piping_bonding,
)
