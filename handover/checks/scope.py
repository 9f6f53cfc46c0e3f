"""What a job answers for: its new and changed things, and the existing ones that these lean on."""

from __future__ import annotations

from handover.checks.case import Case, JobUnderCheck, Undecided
from handover.record.installation import Position
from handover.record.supply import Panel, Work
from handover.units import Quantity


def is_new(work: Work) -> bool:
    """Whether a thing is of this job: new, or changed by it."""
    return work in ("new", "changed")


def touched_panels(job: JobUnderCheck) -> list[Panel]:
    """Panels that are new, changed, or hold a new or changed breaker, in the record's order."""
    return [
        panel
        for panel in job.record.panels
        if is_new(panel.work) or any(is_new(slot.work) for slot in panel.slots) or _holds_new_wiring(job, panel)
    ]


def _holds_new_wiring(job: JobUnderCheck, panel: Panel) -> bool:
    wirings = job.installation.wirings
    return any(slot.feeds in wirings and is_new(wirings[slot.feeds].work) for slot in panel.slots if slot.feeds)


def leaned_on_panels(job: JobUnderCheck) -> list[Panel]:
    """The touched panels and every panel above them up to the service, in the record's order."""
    codes = {above.code for panel in touched_panels(job) for above in job.installation.path_to_service(panel)}
    return [panel for panel in job.record.panels if panel.code in codes]


def position_of(case: Case, code: str) -> Position:
    """The panel slot that feeds ``code``.  Ends the case as undecided where the record names none."""
    position = case.job.installation.position(code)
    if position is None or position.slot.breaker is None:
        raise Undecided(f"No breaker in a panel is recorded as feeding {code}. Record its panel and spaces.")
    return position


def breaker_rating(case: Case, code: str, symbol: str = "In") -> Quantity:
    """The rating of the breaker that feeds ``code``, noted as an input.  Undecided where it is not recorded."""
    position = position_of(case, code)
    assert position.slot.breaker is not None
    return case.fact(symbol, f"rating of the breaker at {position.spoken}", position.slot.breaker.rating)


def leg(panel: Panel, space: int) -> str:
    """``A`` or ``B``: which leg of the bus a space stabs on.  Rows alternate, in the usual single-phase panel."""
    row = (space + 1) // 2 if panel.numbering == "odd left, even right" else space
    return "A" if row % 2 else "B"
