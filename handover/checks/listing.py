"""Rules about listing: equipment and breakers that a test laboratory has listed, for the place they are put to use."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.panels import is_of_this_job
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.installation import Position
from handover.record.supply import Panel, Slot
from handover.record.wiring import Equipment

_NOT_LISTED = ("no", "not listed", "none", "unlisted")
_NOT_KNOWN = ("unknown", "not known", "not checked", "not sure", "maybe")
_TAKEN_ON_ITS_LISTING = ("car charger",)
"""Kinds that an article of their own asks to be listed, so that an unlisted one fails outright."""

_LISTED = "110.3(B)" + FROM_MEMORY
_CHARGER_LISTED = {
    2017: "110.3(B) and 625.5" + FROM_MEMORY,
    2020: "110.3(B) and 625.6" + FROM_MEMORY,
    2023: "110.3(B) and 625.6" + FROM_MEMORY,
}


def is_listed(case: Case, item: Equipment) -> bool:
    """Whether the record says that equipment is listed.  Words that begin with a no and go on are left to a person."""
    said = written(case, "", f"listing of {item.code}", item.listed).strip().rstrip(".").lower()
    if said in _NOT_LISTED:
        return False
    if said in _NOT_KNOWN or said.split()[0].strip(",;:") in ("no", "not", "none", "unlisted", "unknown"):
        raise Undecided(
            f"The listing of {item.code} is written so that it may mean no. Look for the mark on the equipment, and "
            "write  yes  or  no ."
        )
    return True


@rule("equipment_listed", "Is the new equipment listed by a recognized test laboratory?")
def equipment_listed(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The record has to say yes.  One result a piece of equipment that this job put in or changed.

    The code asks that equipment be approved and used as it is listed; for car chargers an article asks for the listing.
    Where the authority approved unlisted equipment, the failing result is answered in the record with that approval.
    Source: NEC 110.3(B); 625.6 for car chargers, in 2017 625.5.
    """
    for item in job.record.equipment:
        if not is_new(item.work):
            continue
        charger = item.kind in _TAKEN_ON_ITS_LISTING
        with job.case(equipment_listed, item.code, section=_CHARGER_LISTED if charger else _LISTED) as case:
            listed = is_listed(case, item)
            case.holds(listed, f"{item.code} is recorded as {'listed' if listed else 'not listed'}.")
        yield case.result


@rule("breaker_listed_for_panel", "Is each new breaker made for the panel it stands in?")
def breaker_listed_for_panel(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Each breaker of this job is of a type that its panel's label names.  One result a panel that holds breakers.

    Source: NEC 110.3(B).
    """
    for panel in job.record.panels:
        with job.case(breaker_listed_for_panel, panel.code, section="110.3(B)") as case:
            fitted = [slot for slot in panel.slots if slot.breaker is not None and is_of_this_job(job, panel, slot)]
            if not fitted:
                raise NotApplicable(f"This job fitted no breaker in {panel.code}.")
            _judge_breakers(case, panel, fitted)
        yield case.result


def _judge_breakers(case: Case, panel: Panel, fitted: list[Slot]) -> None:
    strange, unsaid = [], []
    for slot in fitted:
        assert slot.breaker is not None
        place = Position(panel, slot).spoken
        said = slot.breaker.listed_for_panel
        case.given("", f"breaker at {place} listed for the panel", said, str(said.place) or "not in the record")
        if said.value is False:
            strange.append(place)
        elif not said.known:
            unsaid.append(place)
    if strange:
        case.holds(False, f"Not listed for this panel: {'; '.join(strange)}.")
    elif unsaid:
        raise Undecided(
            f"Not recorded whether it is listed for this panel: {'; '.join(unsaid)}. Read the panel's label."
        )
    else:
        case.holds(True, f"All new breakers ({len(fitted)}) are of types listed for the panel.")


RULES = (equipment_listed, breaker_listed_for_panel)
