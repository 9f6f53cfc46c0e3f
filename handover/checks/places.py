"""Rules about where panels stand: space to work, height, rooms where none may be."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, Rule, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.supply import Panel
from handover.tables.space_lookups import (
    dedicated_space,
    largest_with_less_headroom,
    least_headroom,
    least_working_depth,
    least_working_width,
)
from handover.units import quantity, show


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


@rule("headroom", "Is there room to stand in front of the panel?")
def headroom(job: JobUnderCheck) -> Iterator[CheckResult]:
    """6.5 ft of height at each new panel; in a dwelling that was there before, less may do for a panel to 200 A.

    Source: NEC 110.26(A)(3) and its exception, which some places strike out.
    """
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(headroom, panel.code, section="110.26(A)(3)") as case:
                height = case.fact("h", f"headroom at {panel.code}", panel.headroom)
                least = case.looked("", "least height", least_headroom(job.edition))
                if height < least and _may_be_lower(case, panel):
                    case.step("h against the least height", f"{show(height)}, {show(least)}", "less")
                    ask(
                        case, "Is this a dwelling that was there before the job, where the exception is not struck out?"
                    )
                else:
                    case.compare(value=height, limit=least, at_least=True)
            yield case.result


def _may_be_lower(case: Case, panel: Panel) -> bool:
    if panel.separate_building and "dwelling" in panel.model_fields_set and not panel.dwelling:
        case.given("", f"the building of {panel.code} is a dwelling", "no", str(panel.written_at) or "the record")
        return False  # the exception is for dwellings
    largest = case.looked("", "largest panel with less", largest_with_less_headroom(case.job.edition))
    return bool(case.fact("B", f"bus rating of {panel.code}", panel.bus) <= largest)


@rule("handle_height", "Can the highest breaker handle be reached?")
def handle_height(job: JobUnderCheck) -> Iterator[CheckResult]:
    """At most 6 ft 7 in above the floor, in each new panel.  Source: NEC 240.24(A)."""
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(handle_height, panel.code, section="240.24(A)" + FROM_MEMORY) as case:
                height = case.fact("h", f"highest handle in {panel.code}, when on", panel.handle_height)
                case.compare(value=height, limit=quantity(79, "inch"), at_least=False)
            yield case.result


@rule("panel_location", "Is the panel away from closets, bathrooms and stairs?")
def panel_location(job: JobUnderCheck) -> Iterator[CheckResult]:
    """No breakers near what burns easily, as in a clothes closet, in a bathroom or over the steps of a stairway.

    A question to a person for each new or changed panel.  Source: NEC 240.24(D), (E) and (F).
    """
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(panel_location, panel.code, section="240.24(D) to (F)" + FROM_MEMORY) as case:
                ask(case, "Is the panel outside clothes closets and bathrooms, and not over the steps of a stairway?")
            yield case.result


@rule("dedicated_space", "Is the space above and below the panel kept for the wiring?")
def dedicated_space_kept(job: JobUnderCheck) -> Iterator[CheckResult]:
    """No pipe, duct or the like over the panel's width and depth, from the floor to 6 ft above it or to the ceiling.

    A question to a person for each new or changed panel.  Source: NEC 110.26(E).
    """
    for panel in job.record.panels:
        if is_new(panel.work):
            with job.case(dedicated_space_kept, panel.code, section="110.26(E)") as case:
                height = case.looked("", "height above the panel", dedicated_space(job.edition))
                ask(
                    case,
                    f"Is the space of the panel's width and depth free of pipes and ducts, from the floor to "
                    f"{show(height)} above it or to the ceiling?",
                )
            yield case.result


RULES: tuple[Rule, ...] = (working_depth, working_width, headroom, dedicated_space_kept, handle_height, panel_location)
