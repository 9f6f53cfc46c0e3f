"""What the face of a panel says: of each slot and space, above it and below it.  No places yet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from handover.drawings import words
from handover.drawings.geometry import Say
from handover.record.installation import Installation
from handover.record.supply import Panel, Slot
from handover.record.tracing import tracing, untraced
from handover.words import later, tell

Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Entry:
    """What is said of one slot, or of a space that the record leaves out.  ``row`` counts from 0 at the top."""

    slot: Slot | None
    spaces: tuple[int, ...]
    first: int
    last: int
    side: Side
    says: tuple[Say, ...]
    marked: bool
    second_side: bool = False


def entries_of(installation: Installation, panel: Panel, wanted: Slot | None) -> tuple[Entry, ...]:
    """Every slot, and every space that no slot has, by side and row, the left side first."""
    entries = []
    taken: set[int] = set()
    for slot in panel.slots:
        taken.update(slot.spaces)
        says = slot_says(installation, slot)
        # A wide breaker may lie across both sides; the second side then only points to the first.
        for side in dict.fromkeys(place_of(panel, space)[1] for space in slot.spaces):
            own = tuple(sorted(space for space in slot.spaces if place_of(panel, space)[1] == side))
            rows = [place_of(panel, space)[0] for space in own]
            second = side != place_of(panel, slot.spaces[0])[1]
            entries.append(Entry(slot, own, min(rows), max(rows), side, says, slot is wanted, second))
            says = (Say(tell("Part of the breaker at {spaces}", spaces=words.spaces(slot))),)
    for space in range(1, panel.spaces + 1):
        if space not in taken:
            row, side = place_of(panel, space)
            entries.append(Entry(None, (space,), row, row, side, (Say(tell("Not in the record")),), False))
    return tuple(sorted(entries, key=lambda entry: (entry.side, entry.first, entry.spaces)))


def place_of(panel: Panel, space: int) -> tuple[int, Side]:
    """Row from 0 and side of a space in the panel's own numbering."""
    if panel.numbering == "down one side":
        return space - 1, "left"
    return (space - 1) // 2, "left" if space % 2 else "right"


def slot_says(installation: Installation, slot: Slot) -> tuple[Say, ...]:
    """What stands in the place of a slot: rating and protection, what it feeds, whether that was traced."""
    if slot.blank:
        return (Say(installation.slot_name(slot)),)
    breaker = slot.breaker
    rating = words.fact(breaker.rating, later("rating")) if breaker else tell("breaker not recorded")
    work = tell(words.WORK[slot.work]) if slot.work != "existing" else None
    facts = words.joined((rating, *(words.protection(breaker) if breaker else ()), work))
    traced = Say(tell("not traced ?")) if untraced(slot) else None
    return tuple(say for say in (Say(facts, bold=True), Say(installation.slot_name(slot)), traced) if say)


def heading(installation: Installation, panel: Panel, wanted: Slot | None) -> tuple[Say, ...]:
    """What stands above the face: place, main, what feeds the panel, and every other supply."""
    main = words.main_text(panel)
    if panel.main_kind == "main lugs":
        main = tell("Main lugs: no main breaker in this panel")
    told = tell("{number} spaces, {free} of them without a breaker.", number=panel.spaces, free=_without_breaker(panel))
    says = [
        Say(panel.place),
        Say(f"{main}. {told}"),
    ]
    above = installation.fed_from(panel)
    if above is not None:
        says.append(
            Say(tell("Fed from panel {panel}, {spaces}.", panel=above.panel.code, spaces=words.spaces(above.slot)))
        )
    others = installation.sources_reaching(panel)
    if others:
        names = _and(words.called(installation, source.code) for source in others)
        says.append(Say(tell("Can also be made live by: {sources}.", sources=names), bold=True))
    if installation.backed_up(panel):
        says.append(Say(tell("Backed up: stays on, or comes back on, when the utility is off."), bold=True))
    elif _surely_off(installation):
        tied = _and(words.called(installation, transfer.source) for transfer in installation.record.transfers)
        says.append(Say(tell("Not backed up: {source} does not feed it.", source=tied)))
    if wanted is not None:
        says.append(
            Say(
                tell("Marked: {spaces}, {where}.", spaces=words.spaces(wanted), where=whereabouts(panel, wanted)),
                bold=True,
            )
        )
    return tuple(says)


def _and(names: Iterable[str]) -> str:
    return f" {tell('and')} ".join(names)


def _without_breaker(panel: Panel) -> str:
    """How many spaces a blank plate covers; spaces that the record leaves out are not counted as free."""
    blank = sum(len(slot.spaces) for slot in panel.slots if slot.blank)
    if not panel.slots:
        return tell("not recorded how many")
    return str(blank) if blank else tell("none")


def _surely_off(installation: Installation) -> bool:
    """Whether all that could carry a load without the utility stands behind transfer equipment.

    Solar that follows the utility stops with it, but a battery, a vehicle or a set whose connection is not recorded
    may keep any panel on.
    """
    record = installation.record
    tied = {transfer.source for transfer in record.transfers}
    carriers = [source for source in record.sources if source.kind != "solar"]
    return bool(tied) and all(source.code in tied for source in carriers)


def whereabouts(panel: Panel, slot: Slot) -> str:
    """Where a slot is, for somebody who cannot read the numbers: side, and rows from the top."""
    rows = sorted({place_of(panel, space)[0] + 1 for space in slot.spaces})
    row = tell("row {row} from the top", row=rows[0])
    if len(rows) > 1:
        row = tell("rows {first} to {last} from the top", first=rows[0], last=rows[-1])
    if panel.numbering == "down one side":
        return row
    left = place_of(panel, slot.spaces[0])[1] == "left"
    return f"{tell('left side') if left else tell('right side')}, {row}"


def sentence(installation: Installation, panel: Panel, entry: Entry) -> str:
    """A slot, or a space that the record leaves out, in one sentence."""
    slot = entry.slot
    if slot is None:
        return words.sentence(tell("Space {number}: not in the record", number=entry.spaces[0]))
    where = words.spaces(slot).capitalize()
    if slot.blank:
        return words.sentence(f"{where}: {installation.slot_name(slot)}")
    breaker = slot.breaker
    return words.sentence(
        f"{tell('THIS ONE:') + ' ' if entry.marked else ''}{where}: {installation.slot_name(slot)}",
        words.fact(breaker.rating, later("rating")) if breaker else tell("breaker not recorded"),
        words.poles(slot) if breaker else None,
        *(words.protection(breaker) if breaker else ()),
        tell(words.WORK[slot.work]).lower(),
        tell("not traced") if untraced(slot) else None,
        whereabouts(panel, slot) if entry.marked else None,
    )


def notes_of(panel: Panel) -> tuple[str, ...]:
    """What the face alone does not say: how far the entries can be trusted, and which way the panel is numbered."""
    slots = [slot for slot in panel.slots if not slot.blank]
    notes = []
    if any(slot.work != "existing" for slot in slots):
        notes.append(tell("NEW and a heavy handle: fitted on this job."))
    if any(untraced(slot) for slot in slots):
        notes.append(tell("not traced ?: nobody has followed this wiring to what it feeds."))
    doubtful = tracing(panel).told(listing=True)
    if doubtful:
        notes.append(words.sentence(doubtful))
    wide = [slot.breaker.common_trip.value if slot.breaker else None for slot in slots if len(slot.spaces) > 1]
    if True in wide:
        notes.append(tell("Handles joined by a bar are one breaker and move together."))
    if None in wide:
        notes.append(tell("A broken bar: not recorded whether the handles move together. Switch each of them."))
    if False in wide:
        notes.append(tell("Several handles and no bar: they do not move together. Switch each of them."))
    return tuple(notes)
