"""Rules about the largest current that a short can draw: how large it is, and what has to stand it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.fault_chain import Fault, fault_at_end, fault_at_panel, impedance_asked, source_known
from handover.checks.panels import is_of_this_job, slots_named
from handover.checks.result import CheckResult
from handover.checks.scope import is_new, leaned_on_panels, touched_panels
from handover.record.facts import Fact
from handover.record.installation import Position
from handover.record.supply import Panel, Slot
from handover.record.wiring import Circuit
from handover.units import Quantity, quantity, show

_UNMARKED = 5000.0  # amperes: what a breaker breaks that is not marked with another rating, NEC 240.83(C), from memory

_COUNT_AS_UNMARKED = (
    f"each counts as 5000 A (240.83(C){FROM_MEMORY}) until its mark is read, unless the panel is marked with a series "
    "combination that covers it (240.86)."
)


@rule("available_fault_current", "How much current can a short draw here, and is it borne?", advice=True)
def available_fault_current(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The largest fault current at each panel this job leans on, and at the far end of each of its branch circuits.

    Up to 5000 A nothing more is asked: so much a breaker without a mark has to break (NEC 240.83(C)).  Above, a panel's
    short-circuit rating has to reach it, and of a circuit's end a person has to say what its equipment is marked for.
    Where nothing is known of the supply one result, about the service panel, says so for all.
    """
    if not source_known(job.record.service):
        panel = job.installation.service_panel
        with (
            _case(job, panel.code) as case,
            _information_added(case, "in this record", _lowest_of_job(job), _some_unrated(job)),
        ):
            fault_at_panel(case, panel)
        yield case.result
        return
    for panel in leaned_on_panels(job):
        with _case(job, panel.code) as case:
            current = _known(fault_at_panel(case, panel))
            case.compare(value=current, limit=_borne_by(case, panel, current), at_least=False)
        yield case.result
    for circuit in job.record.circuits:
        if is_new(circuit.work):
            with _case(job, circuit.code) as case:
                _judge_end(case, circuit)
            yield case.result


def _case(job: JobUnderCheck, subject: str) -> Case:
    section = "point-to-point method, with NEC 110.9, 110.10 and 240.83(C)" + FROM_MEMORY
    return job.case(available_fault_current, subject, section=section, code="common practice")


def _borne_by(case: Case, panel: Panel, current: Quantity) -> Quantity:
    if panel.short_circuit_rating.known:
        return case.fact("SCCR", f"short-circuit rating of {panel.code}", panel.short_circuit_rating)
    if current.magnitude <= _UNMARKED:
        return _unmarked(case)
    raise Undecided(
        f"{show(current)} can flow at {panel.code}. Its short-circuit rating: {panel.short_circuit_rating.basis}. Read "
        "its label."
    )


def _judge_end(case: Case, circuit: Circuit) -> None:
    current = _known(fault_at_end(case, circuit))
    if current.magnitude > _UNMARKED:
        ask(
            case,
            f"Up to {show(current)} can flow at the end of {circuit.code}: is everything there that is marked with a "
            "short-circuit rating marked for as much?",
        )
    else:
        case.compare(value=current, limit=_unmarked(case), at_least=False)


def _unmarked(case: Case) -> Quantity:
    limit = quantity(_UNMARKED, "ampere")
    case.given("", "what a breaker breaks that bears no mark", limit, "NEC 240.83(C)" + FROM_MEMORY)
    return limit


def _known(fault: Fault) -> Quantity:
    """The larger current.  Undecided, with the most that it can be, where a conductor on the way is not known."""
    if fault.missing:
        raise Undecided(f"At most {show(fault.largest)}. To know it closer, record: {'; '.join(fault.missing)}.")
    return fault.largest


@rule("interrupting_rating", "Can the breakers safely break the largest fault current?")
def interrupting_rating(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The lowest interrupting rating of a panel's new breakers against the available fault current at the panel.

    One result a touched panel.  A breaker that does not reach it by itself may be protected by the one ahead of it,
    where the panel is marked for the two as a series combination: a person has to read that.
    Source: NEC 110.9; 240.86 from memory.
    """
    for panel in touched_panels(job):
        with job.case(interrupting_rating, panel.code, section="110.9") as case:
            facts = list(_ratings_of_job(case, panel))
            known = [fact.value for _, fact in facts if fact.value is not None]
            least = min(known, default=None)
            with _information_added(case, f"of what was put into {panel.code}", least, _unrated_told(panel)):
                fault = _fault(case, panel, least if len(known) == len(facts) else None)
            ratings = [case.fact("AIC", meaning, fact) for meaning, fact in facts]
            if not ratings:
                raise NotApplicable(f"This job put no breaker into {panel.code}.")
            lowest = min(ratings, key=lambda rating: rating.magnitude)
            others = _unrated(panel)
            if others:
                what = "breakers whose interrupting rating is not recorded; not judged here"
                case.given("", what, slots_named(panel, others), "the record")
            _no_closer(panel, lowest, fault)
            if less(lowest, fault.largest) and _marked_for(case, panel, fault):
                ask(
                    case,
                    f"{show(fault.largest)} can flow and the lowest rating is {show(lowest)}: does the label of "
                    f"{panel.code} name these breakers with the main ahead of them as a series combination for as "
                    "much (240.86)?",
                )
            else:
                case.compare(value=lowest, limit=fault.largest, at_least=True, reason=_whatever_the_supply(case, fault))
        yield case.result


def _fault(case: Case, panel: Panel, rating: Quantity | None) -> Fault:
    """The current at a panel; where the supply is not known, what its feeders alone let through, if that settles it."""
    if not source_known(case.job.record.service) and rating is not None:
        limited = fault_at_panel(case, panel, endless=True)
        if not less(rating, limited.largest):
            return limited
    return fault_at_panel(case, panel)


def _whatever_the_supply(case: Case, fault: Fault) -> str:
    if source_known(case.job.record.service):
        return ""
    return f"Whatever the utility's supply gives, the feeder lets no more than {show(fault.largest)} through."


@contextmanager
def _information_added(case: Case, of: str, lowest: Quantity | None, more: str = "") -> Iterator[None]:
    """Where the supply is not known, tell what follows from what is: the lowest rating, and the %Z that it asks for."""
    try:
        yield
    except Undecided as waits:
        if source_known(case.job.record.service):
            raise
        told = [str(waits)]
        limits = [quantity(_UNMARKED, "ampere")] if more else []
        if lowest is not None:
            told.append(f"The lowest interrupting rating recorded {of} is {show(lowest)}.")
            limits.append(lowest)
        raise Undecided(" ".join(filter(None, (*told, more, impedance_asked(case, limits))))) from None


def _unrated(panel: Panel) -> list[Slot]:
    """Slots with a breaker of which no interrupting rating is recorded."""
    return [slot for slot in panel.slots if slot.breaker is not None and not slot.breaker.interrupting.known]


def _unrated_told(panel: Panel) -> str:
    unrated = _unrated(panel)
    if not unrated:
        return ""
    return (
        f"Of {panel.code} no rating is recorded for the breakers in {slots_named(panel, unrated)}: {_COUNT_AS_UNMARKED}"
    )


def _some_unrated(job: JobUnderCheck) -> str:
    """That breakers are on record without their interrupting rating, if so."""
    some = [panel.code for panel in job.record.panels if _unrated(panel)]
    return f"Not of every breaker in {', '.join(some)} is a rating recorded: {_COUNT_AS_UNMARKED}" if some else ""


def _lowest_of_job(job: JobUnderCheck) -> Quantity | None:
    """The lowest interrupting rating recorded of any breaker or main of the record."""
    ratings = [panel.main_interrupting.value for panel in job.record.panels]
    ratings += [slot.breaker.interrupting.value for panel in job.record.panels for slot in panel.slots if slot.breaker]
    return min((each for each in ratings if each is not None), default=None)


def _marked_for(case: Case, panel: Panel, fault: Fault) -> bool:
    """Whether the panel as a whole is marked for the current, as one with a series combination is."""
    if not panel.short_circuit_rating.known:
        return False
    marked = case.fact("SCCR", f"short-circuit rating of {panel.code}", panel.short_circuit_rating)
    return not less(marked, fault.largest)


@rule("panel_short_circuit_rating", "Can the panel itself stand the largest fault current?")
def panel_short_circuit_rating(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The short-circuit rating of each new panel against the available fault current there.  Source: NEC 110.10."""
    for panel in job.record.panels:
        if not is_new(panel.work):
            continue
        with job.case(panel_short_circuit_rating, panel.code, section="110.10" + FROM_MEMORY) as case:
            fault = _fault(case, panel, panel.short_circuit_rating.value)
            stands = case.fact("SCCR", "short-circuit rating of the panel", panel.short_circuit_rating)
            _no_closer(panel, stands, fault)
            case.compare(value=stands, limit=fault.largest, at_least=True, reason=_whatever_the_supply(case, fault))
        yield case.result


def _no_closer(panel: Panel, rating: Quantity, fault: Fault) -> None:
    """End the case where a rating is too low for a current that is only known to be no larger."""
    if fault.missing and less(rating, fault.largest):
        raise Undecided(
            f"{show(rating)} is less than the {show(fault.largest)} that {panel.code} can get at most. The current "
            f"falls along the conductors; to work it out, record: {'; '.join(fault.missing)}."
        )


def _ratings_of_job(case: Case, panel: Panel) -> Iterator[tuple[str, Fact[Quantity]]]:
    """The interrupting ratings of the devices in a panel that this job answers for, each with what it is."""
    if panel.work == "new" and panel.main_kind == "main breaker":
        yield f"interrupting rating of the main of {panel.code}", panel.main_interrupting
    for slot in panel.slots:
        if slot.breaker is not None and is_of_this_job(case.job, panel, slot):
            place = Position(panel, slot).spoken
            yield f"interrupting rating of the breaker at {place}", slot.breaker.interrupting


RULES: tuple[Rule, ...] = (available_fault_current, interrupting_rating, panel_short_circuit_rating)
