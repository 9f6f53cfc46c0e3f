"""What the face of a panel says: of each slot and space, above it and below it.  No places yet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handover.drawings import words
from handover.drawings.geometry import Say
from handover.problems import count_of
from handover.record.facts import Basis
from handover.record.installation import Installation
from handover.record.supply import Panel, Slot

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
            says = (Say(f"Part of the breaker at {words.spaces(slot)}"),)
    for space in range(1, panel.spaces + 1):
        if space not in taken:
            row, side = place_of(panel, space)
            entries.append(Entry(None, (space,), row, row, side, (Say("Not in the record"),), False))
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
    rating = words.fact(breaker.rating, "rating") if breaker else "breaker not recorded"
    work = words.WORK[slot.work] if slot.work != "existing" else None
    facts = words.joined((rating, *(words.protection(breaker) if breaker else ()), work))
    traced = Say("not traced ?") if untraced(slot) else None
    return tuple(say for say in (Say(facts, bold=True), Say(installation.slot_name(slot)), traced) if say)


def untraced(slot: Slot) -> bool:
    """Whether the record says that the wiring was not followed to what it feeds."""
    return slot.traced.value is False or slot.traced.basis in (Basis.UNKNOWN, Basis.NOT_CHECKED)


def heading(installation: Installation, panel: Panel, wanted: Slot | None) -> tuple[Say, ...]:
    """What stands above the face: place, main, what feeds the panel, and every other supply."""
    main = "Main lugs: no main breaker in this panel" if panel.main_kind == "main lugs" else words.main_text(panel)
    says = [
        Say(panel.place),
        Say(f"{main}. {panel.spaces} spaces, {_without_breaker(panel)} of them without a breaker."),
    ]
    above = installation.fed_from(panel)
    if above is not None:
        says.append(Say(f"Fed from panel {above.panel.code}, {words.spaces(above.slot)}."))
    others = installation.sources_reaching(panel)
    if others:
        told = " and ".join(words.called(installation, source.code) for source in others)
        says.append(Say(f"Can also be made live by: {told}.", bold=True))
    if installation.backed_up(panel):
        says.append(Say("Backed up: stays on, or comes back on, when the utility is off.", bold=True))
    elif _surely_off(installation):
        tied = " and ".join(words.called(installation, transfer.source) for transfer in installation.record.transfers)
        says.append(Say(f"Not backed up: {tied} does not feed it."))
    if wanted is not None:
        says.append(Say(f"Marked: {words.spaces(wanted)}, {whereabouts(panel, wanted)}.", bold=True))
    return tuple(says)


def _without_breaker(panel: Panel) -> str:
    """How many spaces a blank plate covers; spaces that the record leaves out are not counted as free."""
    blank = sum(len(slot.spaces) for slot in panel.slots if slot.blank)
    return "none" if not blank and panel.slots else str(blank) if panel.slots else "not recorded how many"


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
    row = f"row {rows[0]}" if len(rows) == 1 else f"rows {rows[0]} to {rows[-1]}"
    side = "" if panel.numbering == "down one side" else f"{place_of(panel, slot.spaces[0])[1]} side, "
    return f"{side}{row} from the top"


def sentence(installation: Installation, panel: Panel, entry: Entry) -> str:
    """A slot, or a space that the record leaves out, in one sentence."""
    slot = entry.slot
    if slot is None:
        return words.sentence(f"Space {entry.spaces[0]}: not in the record")
    where = words.spaces(slot).capitalize()
    if slot.blank:
        return words.sentence(f"{where}: {installation.slot_name(slot)}")
    breaker = slot.breaker
    return words.sentence(
        f"{'THIS ONE: ' if entry.marked else ''}{where}: {installation.slot_name(slot)}",
        f"{words.fact(breaker.rating, 'rating')}" if breaker else "breaker not recorded",
        words.poles(slot) if breaker else None,
        *(words.protection(breaker) if breaker else ()),
        words.WORK[slot.work].lower(),
        "not traced" if untraced(slot) else None,
        whereabouts(panel, slot) if entry.marked else None,
    )


def notes_of(panel: Panel) -> tuple[str, ...]:
    """What the face alone does not say: how far the entries can be trusted, and which way the panel is numbered."""
    slots = [slot for slot in panel.slots if not slot.blank]
    silent = [slot for slot in slots if slot.traced.basis is Basis.NOT_RECORDED and not slot.feeds]
    notes = []
    if any(slot.work != "existing" for slot in slots):
        notes.append("NEW and a heavy handle: fitted on this job.")
    if any(untraced(slot) for slot in slots):
        notes.append("not traced ?: nobody has followed this wiring to what it feeds.")
    if silent:
        where = ", ".join("/".join(map(str, slot.spaces)) for slot in silent)
        notes.append(f"Whether the wiring was traced is not recorded for {count_of(len(silent), 'breaker')}: {where}.")
    wide = [slot.breaker.common_trip.value if slot.breaker else None for slot in slots if len(slot.spaces) > 1]
    if True in wide:
        notes.append("Handles joined by a bar are one breaker and move together.")
    if None in wide:
        notes.append("A broken bar: not recorded whether the handles move together. Switch each of them.")
    if False in wide:
        notes.append("Several handles and no bar: they do not move together. Switch each of them.")
    return tuple(notes)
