"""Rules about panelboards: their spaces, what protects them, and their directory."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise

from handover.checks.asking import FROM_MEMORY, fails_unless, written
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new, leaned_on_panels, touched_panels
from handover.problems import count_of
from handover.record.installation import Position
from handover.record.supply import Panel, Slot
from handover.record.tracing import spaces_of
from handover.units import Quantity, magnitude, show


@rule("panel_spaces", "Is every space of the panel accounted for, once?")
def panel_spaces(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Each space taken once, within the panel; breakers of two poles on neighbouring rows; nothing left unsaid.

    One result a panel.  Counts of breakers, spares and blank plates are in the working.
    Source: NEC 110.3(B), the panel's own labelling; that rows alternate between the legs is how such panels are made.
    """
    for panel in job.record.panels:
        with job.case(panel_spaces, panel.code, section="110.3(B) and 408.4(A)") as case:
            case.given("n", "spaces in the panel", panel.spaces, str(panel.written_at) or "the record")
            _count_slots(case, panel)
            faults = list(_space_faults(panel))
            used = {space for slot in panel.slots for space in slot.spaces}
            missing = [space for space in range(1, panel.spaces + 1) if space not in used]
            if faults:
                case.holds(False, " ".join(faults))
            elif missing:
                raise Undecided(f"Nothing is recorded for {_spaces_named(missing)}. Say what is there, or: blank: yes.")
            else:
                case.holds(True, f"All {count_of(panel.spaces, 'space')} are accounted for, each once.")
        yield case.result


def _count_slots(case: Case, panel: Panel) -> None:
    breakers = [slot for slot in panel.slots if slot.breaker is not None]
    blanks = [slot for slot in panel.slots if slot.blank]
    case.step("breakers", "counted from the recorded spaces", str(len(breakers)))
    case.step("of these, spares that feed nothing", "counted", str(sum(is_spare(slot) for slot in breakers)))
    case.step("blank plates", "counted", str(sum(len(slot.spaces) for slot in blanks)))


def is_spare(slot: Slot) -> bool:
    """Whether the record says that a breaker feeds nothing."""
    return slot.feeds is None and (slot.says or "").strip().lower() in ("spare", "not used", "unused")


def _space_faults(panel: Panel) -> Iterator[str]:
    times = Counter(space for slot in panel.slots for space in slot.spaces)
    twice = sorted(space for space, count in times.items() if count > 1)
    if twice:
        yield f"Recorded more than once: {_spaces_named(twice)}. If a tandem breaker stands there, answer so."
    beyond = sorted(space for space in times if not 1 <= space <= panel.spaces)
    if beyond:
        yield f"The panel has no {_spaces_named(beyond)}."
    pitch = 2 if panel.numbering == "odd left, even right" else 1
    for slot in panel.slots:
        spaces = sorted(slot.spaces)
        if slot.breaker is None or len(spaces) < 2:
            continue
        if any(second - first != pitch for first, second in pairwise(spaces)):
            place = Position(panel, slot).spoken
            yield f"The breaker at {place} does not stand on neighbouring rows of one side, so not on both legs."


_BUS_OF_A_HOUSE, _SPACES_EXPECTED = 200, 40


@rule("panel_size", "Has the panel as many spaces as one of its rating is expected to have?", advice=True)
def panel_size(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A new panel with a 200 A bus has 40 spaces at least; a meter-main with nothing but feeders is left alone.

    One result a new panel.
    Source: common practice; no code gives a number.
    """
    for panel in job.record.panels:
        if panel.work != "new":
            continue
        with job.case(panel_size, panel.code, section="panel size", code="common practice") as case:
            bus = case.fact("B", f"bus rating of {panel.code}", panel.bus)
            if abs(magnitude(bus, "ampere") - _BUS_OF_A_HOUSE) > 1e-9:
                raise NotApplicable("Nothing is said here of panels but those of 200 A.")
            if _feeds_panels_alone(job, panel):
                raise NotApplicable("Nothing but feeders leaves it: the panels behind it hold the circuits.")
            case.given("n", "spaces in the panel", panel.spaces, str(panel.written_at) or "the record")
            case.given("", "least expected of a 200 A panel", f"{_SPACES_EXPECTED} spaces", "common practice")
            least = f"{_SPACES_EXPECTED} are the least expected of a 200 A panel"
            case.holds(panel.spaces >= _SPACES_EXPECTED, f"{panel.spaces} spaces; {least}.")
        yield case.result


def _feeds_panels_alone(job: JobUnderCheck, panel: Panel) -> bool:
    feeders = {feeder.code for feeder in job.record.feeders}
    fed = [slot.feeds for slot in panel.slots if slot.breaker is not None]
    return bool(fed) and all(code in feeders for code in fed)


def _spaces_named(spaces: Iterable[int]) -> str:
    listed = [str(space) for space in spaces]
    return f"space {listed[0]}" if len(listed) == 1 else f"spaces {', '.join(listed)}"


@rule("panel_protected", "Is the panel's bus protected at its rating?")
def panel_protected(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The main breaker, or the breaker that feeds the panel, is no larger than the bus.  One result a panel.

    Judged: panels of this job and those above them, whose bus the new work leans on.
    Source: NEC 408.36 (from memory; the exceptions for services with several disconnects are not used).
    """
    leaned_on = {panel.code for panel in leaned_on_panels(job)}
    for panel in job.record.panels:
        if panel.code not in leaned_on:
            continue
        with job.case(panel_protected, panel.code, section="408.36" + FROM_MEMORY) as case:
            device = protecting_device(case, panel)
            bus = case.fact("B", "rating of the bus", panel.bus)
            told = f"The bus is rated {show(bus)}; the device that protects it is of {show(device)}."
            case.compare(value=device, limit=bus, at_least=False, reason=told)
        yield case.result


def protecting_device(case: Case, panel: Panel) -> Quantity:
    """The rating of the device that protects a panel's bus: its own main, or the breaker that feeds it."""
    if panel.main_kind == "main breaker":
        return case.fact("P", f"main breaker of {panel.code}", panel.main)
    above = case.job.installation.fed_from(panel)
    if above is not None:
        if above.slot.breaker is None:
            raise Undecided(f"No breaker is recorded at {above.spoken}, which feeds {panel.code}.")
        return case.fact("P", f"breaker at {above.spoken}, which feeds the panel", above.slot.breaker.rating)
    upstream = case.job.installation.upstream(panel)
    if upstream is not None and upstream.main_kind == "main breaker":
        return case.fact("P", f"main breaker of {upstream.code}, which feeds the panel's lugs", upstream.main)
    raise Undecided(f"No overcurrent device is recorded ahead of {panel.code}. Find what protects its bus.")


# Our own test of a directory's wording, by what NEC 408.4(A) asks: specific, and of no passing occupant.
_VAGUE = re.compile(r"(plugs?|lights?|lighting|misc\.?|outlets?|receptacles?|general|other)", re.IGNORECASE)
_OF_A_PERSON = re.compile(r"\b(my|mine|our|mom|dad|mum|kids?|boys?|girls?|baby|grand(ma|pa)|\w+['’]s)\b", re.IGNORECASE)

# Two capitals or more, letters parted by a slash, a word without a vowel, or one that the trade cuts short.
_SHORT = re.compile(
    r"[A-Z]{2,}|[A-Za-z]/[A-Za-z]|[b-df-hj-np-tv-xzB-DF-HJ-NP-TV-XZ]{2,}|[A-Z]|"
    r"(?i:rec|recs|recep|recept|util|refrig|fridg|ext|ent|gar|bsmt|kit|liv|din|mstr|dish|dis|disp|micro|furn|circ)"
)
_SIGN = re.compile(r"[*#@&+=<>]|\bw/")


@rule("panel_directory", "Does the panel's directory tell every circuit from all others?")
def panel_directory(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Every breaker has an entry that is specific, read once, and names no occupant.  One result a touched panel.

    From 2023 the directory also explains its abbreviations and signs.  A breaker that feeds nothing is marked as spare.
    Entries of new breakers must be right; doubtful entries of existing ones leave the result undecided, with what to
    trace.  The tests of the wording are ours, and results name spaces only.  Source: NEC 408.4(A).
    """
    for panel in touched_panels(job):
        with job.case(panel_directory, panel.code, section="408.4(A)") as case:
            faults = _directory_faults(job, panel)
            case.given("", "entries looked at", sum(slot.breaker is not None for slot in panel.slots), "the record")
            new = [(what, slot) for what, slot in faults if is_of_this_job(job, panel, slot)]
            if new:
                case.holds(False, _faults_told(panel, new))
            elif faults:
                raise Undecided(f"{_faults_told(panel, faults)} Trace these circuits and write what they feed.")
            else:
                _directory_is_posted(case, panel)
        yield case.result


def _directory_is_posted(case: Case, panel: Panel) -> None:
    written(case, "", "directory of the panel", panel.directory)
    short = [slot for slot in panel.slots if slot.breaker is not None and _is_short_for(_entry(case.job, slot))]
    if case.job.edition >= 2023 and short:
        places = slots_named(panel, short)
        case.given("", "entries with what looks like an abbreviation or sign", places, "our own test of the wording")
        if not case.fact("", "the directory explains them", panel.directory_explains):
            if not any(is_of_this_job(case.job, panel, slot) for slot in short):
                raise Undecided(f"Old entries hold abbreviations that the directory does not explain: {places}.")
            fails_unless(
                case,
                f"Abbreviations that the directory does not explain: {places}.",
                "Is there nothing among these entries that needs to be explained?",
            )
            return
    case.holds(True, "Every breaker has its own specific entry.")


def is_of_this_job(job: JobUnderCheck, panel: Panel, slot: Slot) -> bool:
    """Whether this job answers for a slot: a new panel's, a new breaker, or one that feeds new wiring."""
    wiring = job.installation.wirings.get(slot.feeds or "")
    return panel.work == "new" or is_new(slot.work) or (wiring is not None and is_new(wiring.work))


def _faults_told(panel: Panel, faults: list[tuple[str, Slot]]) -> str:
    """``No entry: space 37. Not traced: spaces 5, 7.``: each fault once, with all its places."""
    kinds = dict.fromkeys(what for what, _ in faults)
    places = {what: slots_named(panel, [slot for kind, slot in faults if kind == what]) for what in kinds}
    return " ".join(f"{what}: {places[what]}." for what in kinds)


def slots_named(panel: Panel, slots: list[Slot]) -> str:
    """``space 5``, or ``spaces 1/3, 5``: the panel is what the result is about."""
    return Position(panel, slots[0]).spaces_spoken if len(slots) == 1 else f"spaces {spaces_of(slots)}"


def _directory_faults(job: JobUnderCheck, panel: Panel) -> list[tuple[str, Slot]]:
    """What is wrong with the entries, each with its slot, in the order of the record."""
    people = [word.lower() for person in job.record.site.people for word in person.name.split() if len(word) > 2]
    entries = {id(slot): _entry(job, slot) for slot in panel.slots if slot.breaker is not None}
    read = Counter(text.lower() for text in entries.values() if text)
    faults: list[tuple[str, Slot]] = []
    for slot in panel.slots:
        text = entries.get(id(slot))
        if text is None:
            continue
        if not text:
            faults.append(("No entry", slot))
            continue
        if read[text.lower()] > 1 and not is_spare(slot):
            faults.append(("Reads like another", slot))
        if _VAGUE.fullmatch(text):
            faults.append(("Does not say which", slot))
        if _OF_A_PERSON.search(text) or any(word in text.lower().split() for word in people):
            faults.append(("Seems to name an occupant", slot))
        # What a card says of an old breaker is hearsay until somebody has traced it.
        if slot.feeds is None and not slot.traced.value and ("?" in text or not is_of_this_job(job, panel, slot)):
            faults.append(("Not traced", slot))
    return faults


def _is_short_for(text: str) -> bool:
    """Whether an entry holds what looks like an abbreviation or a sign."""
    return bool(_SIGN.search(text) or short_words(text))


def short_words(text: str) -> list[str]:
    """The words of an entry that look like abbreviations, in their order."""
    words = re.findall(r"[A-Za-z][A-Za-z/&.]*", text)
    return [word.rstrip(".") for word in words if _SHORT.fullmatch(word.rstrip(".")) or word.endswith(".")]


def _entry(job: JobUnderCheck, slot: Slot) -> str:
    return job.installation.name_of(slot.feeds) if slot.feeds else (slot.says or "").strip()


RULES: tuple[Rule, ...] = (panel_spaces, panel_size, panel_protected, panel_directory)
