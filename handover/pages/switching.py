"""How to switch off a thing that has a page, its sources past the breaker too, and where its breaker is."""

from __future__ import annotations

from collections.abc import Iterable

from handover.pages.contents import Book, Thing
from handover.pages.shown import OPEN_WORDS, amperes_text, listed, sentence, spaces_text
from handover.record.installation import Position
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.trouble import automatic
from handover.words import later, tell, words

_NOT_KNOWN = later("Not on record. Treat it as live and call an electrician.")


def called(book: Book, code: str) -> str:
    """``Main panel (P1)``."""
    name = book.installation.name_of(code)
    return name if name == code else f"{name} ({code})"


def position_text(book: Book, position: Position) -> str:
    """``Main panel (P1), spaces 18 and 20, 40 amperes``."""
    breaker = position.slot.breaker
    rating = f", {amperes_text(breaker.rating)}" if breaker else ""
    return f"{called(book, position.panel.code)}, {spaces_text(position.slot)}{rating}"


def breaker_off(book: Book, position: Position) -> str:
    """How to switch off at a breaker."""
    slot = position.slot
    if len(slot.spaces) == 1:
        push = later("In {panel}, push the handle at {spaces} all the way to OFF.")
    elif slot.breaker and slot.breaker.common_trip.value:
        push = later("In {panel}, push the double handle at {spaces} all the way to OFF.")
    else:
        # Nobody recorded that one handle takes the others with it.
        push = later("In {panel}, push every handle at {spaces} all the way to OFF.")
    return tell(push, panel=called(book, position.panel.code), spaces=spaces_text(slot))


def straight_from(book: Book, feeder: Feeder) -> Panel | None:
    """The panel whose bus a feeder without a breaker of its own is on."""
    fed = book.installation.panels.get(feeder.to)
    return book.installation.upstream(fed) if fed is not None else None


def _straight_above(book: Book, code: str) -> Panel | None:
    """The panel whose main is all that switches off a feeder, by the feeder's code."""
    feeder = book.things.get(code)
    if not isinstance(feeder, Feeder) or book.installation.position(code) is not None:
        return None
    return straight_from(book, feeder)


def has_main(panel: Panel) -> bool:
    """Whether a panel has a main breaker of a known size."""
    return panel.main_kind == "main breaker" and panel.main.known


def wirings_of(book: Book, thing: Thing) -> list[str]:
    """The circuits and feeders whose wires a feeder, a run or a box holds; none for what is no wiring."""
    if isinstance(thing, Feeder):
        return [thing.code]
    if isinstance(thing, Run):
        return [wiring.code for wiring in book.installation.carried_by(thing)]
    if isinstance(thing, Box):
        return [item.code for run in book.runs_through(thing) for item in book.installation.carried_by(run)]
    return []


def switch_off(book: Book, thing: Thing) -> str:
    """How to switch off anything that has a page, with what keeps it live past its own device."""
    installation = book.installation
    if isinstance(thing, Equipment):
        return _equipment_off(book, thing)
    if isinstance(thing, Source):
        return source_off(book, thing)
    if isinstance(thing, Panel):
        return " ".join(part for part in (panel_off(book, thing), feed_stays_live(book, thing)) if part)
    if isinstance(thing, Run | Box):
        codes = wirings_of(book, thing)
        past = [source for code in codes for source in installation.sources_past(code)] if codes else []
        straight = {above.code: above for code in codes if (above := _straight_above(book, code)) is not None}
        first = [part for above in straight.values() for part in _generator_first(book, above)]
        return " ".join((*first, _all_off(book, codes), *_then_off(book, past)))
    position = installation.position(thing.code)
    if position is None:
        above = installation.upstream(installation.panels[thing.to]) if isinstance(thing, Feeder) else None
        return panel_off(book, above) if above else tell(_NOT_KNOWN)
    if isinstance(thing, Transfer):
        return _behind_transfer(book, thing, position)
    return f"{breaker_off(book, position)}{_shared_neutral(book, thing)}"


def _then_off(book: Book, past: Iterable[Source]) -> tuple[str, ...]:
    """The sources that keep a thing live after its own device is opened, each with how to switch it off.

    By its code alone: its name stands just above, where the other power is told.
    """
    each = {source.code: source for source in past}
    return tuple(
        tell("Then {source}: {off}", source=source.code, off=source_off(book, source)) for source in each.values()
    )


def _shared_neutral(book: Book, thing: Thing) -> str:
    """A circuit that shares its neutral is dead only when the other one is off too."""
    other = thing.multiwire_with if isinstance(thing, Circuit) else None
    return " " + tell("Also switch off {circuit}: they share a wire.", circuit=called(book, other)) if other else ""


def _with_breaker(book: Book, code: str) -> str:
    """``F1 (P1, spaces 14 and 16, 60 amperes)``: who stands at a pipe should not need another page for it."""
    position = book.installation.position(code)
    if position is None:
        above = _straight_above(book, code)
        if above is None or not has_main(above):
            return code
        main = amperes_text(above.main)
        return tell("{code} (the main of {panel}, {amperes})", code=code, panel=above.code, amperes=main)
    breaker = position.slot.breaker
    parts = (position.panel.code, spaces_text(position.slot), amperes_text(breaker.rating) if breaker else "")
    return f"{code} ({', '.join(part for part in parts if part)})"


def _all_off(book: Book, codes: Iterable[str]) -> str:
    each = [_with_breaker(book, code) for code in dict.fromkeys(codes)]
    if not each:
        return tell(_NOT_KNOWN)
    if len(each) == 1:
        return tell("Switch off the breaker of {codes}.", codes=each[0])
    return tell("Switch off the breakers of {codes}.", codes=listed(each))


def _behind_transfer(book: Book, transfer: Transfer, position: Position) -> str:
    """The second source first: an automatic set starts as soon as the utility side is opened."""
    source = book.installation.sources.get(transfer.source)
    if source is None:
        return breaker_off(book, position)
    first = source_off(book, source)
    place = f"{position.panel.code}, {spaces_text(position.slot)}"
    return tell("First {source}: {off} Then {place}: push to OFF.", source=source.code, off=first, place=place)


_ALSO_HERE = {
    "pull-out": later("There is also a pull-out here: {place}."),
    "switch": later("There is also a switch here: {place}."),
    "fused switch": later("There is also a fused switch here: {place}."),
}


def _equipment_off(book: Book, equipment: Equipment) -> str:
    position = book.installation.position(equipment.circuit)
    off = breaker_off(book, position) if position else tell("Its breaker is not on record. Call an electrician.")
    disconnect = equipment.disconnect
    if disconnect is not None and disconnect.kind.value in _ALSO_HERE:
        also = tell(_ALSO_HERE[disconnect.kind.value], place=disconnect.place)
        return f"{off} {also}"
    return off


def panel_off(book: Book, panel: Panel) -> str:
    """How to switch off a panel: its own main, or the breaker that feeds it."""
    above, transfer = book.installation.fed_from(panel), book.installation.transfer_to(panel)
    if panel.main_kind == "main breaker":
        backfed = [
            tell(
                "Then the handle at {spaces}, for {source}.", spaces=spaces_text(slot), source=called(book, slot.feeds)
            )
            for slot in panel.slots
            if slot.feeds in book.installation.sources
        ]
        off = tell("In {panel}, push the main handle all the way to OFF.", panel=called(book, panel.code))
        told = {slot.feeds for slot in panel.slots}
        past = [source for source in book.installation.sources_past(panel.code) if source.code not in told]
        return " ".join((*_generator_first(book, panel), off, *backfed, *_then_off(book, past)))
    if above is not None:
        return _behind_transfer(book, transfer, above) if transfer else breaker_off(book, above)
    no_main = tell("{panel} has no main breaker.", panel=called(book, panel.code))
    return f"{no_main} {book.record.emergency.shutoff}"


def _generator_first(book: Book, panel: Panel) -> tuple[str, ...]:
    """That a set which starts by itself does so once the service panel's main is off, and what it then feeds."""
    if panel is not book.installation.service_panel:
        return ()
    sets = {source.code for source in automatic(book.installation)}
    fed = [transfer.feeds for transfer in book.record.transfers if transfer.source in sets]
    if not fed:
        return ()
    return (
        tell(
            "First switch off {sources}, or it starts and feeds {panels}.",
            sources=listed(sorted(sets)),
            panels=listed(fed),
        ),
    )


def feed_stays_live(book: Book, panel: Panel) -> str:
    """What a panel's own main does not switch off, and where that is cut."""
    if panel.main_kind != "main breaker":
        return ""
    above, upstream = book.installation.fed_from(panel), book.installation.upstream(panel)
    if above is not None:
        cut = f"{called(book, above.panel.code)}, {spaces_text(above.slot)}"
        return tell("The wires up to that main stay live. To cut them: {place}.", place=cut)
    if upstream is not None:
        return tell(
            "The wires up to that main stay live. To cut them: the main of {panel}.", panel=called(book, upstream.code)
        )
    return tell("The utility's wires up to that main stay live.")


def source_off(book: Book, source: Source) -> str:
    """How to switch off a source besides the utility."""
    if source.disconnect.known:
        off = sentence(f"{source.disconnect.written.rstrip('.')}.")
        careful = words("notes")["switch_off"]["touch_nothing"]
        return f"{off} {careful}" if source.kind == "generator" else off
    position = book.installation.position(source.code)
    known = tell(OPEN_WORDS.get(source.disconnect.basis, later("Not on record"))).lower()
    if position is not None:
        return f"{breaker_off(book, position)} {tell('Whether it has a switch of its own: {known}.', known=known)}"
    return tell("How to switch it off: {known}. Treat its wires as live and call an electrician.", known=known)
