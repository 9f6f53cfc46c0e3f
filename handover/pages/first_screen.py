"""The first screen of a page reached by a code: what it is, what feeds it, how to switch it off, whom to call.

A worried person reads this on a phone in the dark, so it is text alone and needs no scrolling.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from handover.pages.contents import Book, Thing, telephone
from handover.pages.shown import OPEN_WORDS, amperes_text, date_text, glossed, listed, sentence, spaces_text
from handover.pages.views import Said
from handover.record.installation import Position
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.words import later, tell, words


@dataclass(frozen=True, kw_only=True, slots=True)
class Emergency:
    """Whom to call, with addresses that a phone can dial."""

    call: Said
    utility: str
    utility_line: Said
    electrician: Said
    shutoff: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstScreen:
    """The answers, in the order of the questions.  ``existing``: seen on the job, not made by it."""

    code: str
    name: str
    existing: bool
    kind: str
    where: str
    breaker: str
    setting: str
    also_fed: str
    switch_off: str
    emergency: Emergency
    record: str
    revision: str
    date: str


_NOT_KNOWN = later("Not on record. Treat it as live and call an electrician.")
_KINDS: dict[type, str] = {
    Circuit: later("circuit"),
    Feeder: later("feeder: feeds a panel"),
    Panel: later("panel"),
    Equipment: later("equipment"),
    Source: later("source of power"),
    Transfer: later("transfer switch"),
    Run: later("run: pipe or cable"),
    Box: later("box"),
}


def emergency_of(book: Book) -> Emergency:
    """The emergency line of the place."""
    emergency = book.record.emergency
    return Emergency(
        call=_dialled(emergency.call),
        utility=emergency.utility,
        utility_line=_dialled(emergency.utility_line),
        electrician=_dialled(book.record.contractor.phone),
        shutoff=emergency.shutoff,
    )


def _dialled(number: str) -> Said:
    return Said(text=number, href=telephone(number))


def shutoff_name(book: Book) -> str:
    """``Outside shutoff`` only where the service disconnect is known to be outside."""
    return later("Outside shutoff") if book.record.service.disconnect_outdoors.value else later("Main shutoff")


def first_screen(book: Book, thing: Thing) -> FirstScreen:
    """The first screen for anything that has a page of its own."""
    job, revision = book.record.job, book.record.revisions[-1]
    return FirstScreen(
        code=thing.code,
        name=book.installation.name_of(thing.code),
        existing=thing.work == "existing",
        kind="" if _KINDS[type(thing)] in thing.name.lower() else _KINDS[type(thing)],
        where=sentence(_where(book, thing)),
        breaker=_its_breaker(book, thing),
        setting=_setting(thing),
        also_fed=_also_fed(book, thing),
        switch_off=sentence(_switch_off(book, thing)),
        emergency=emergency_of(book),
        record=job.number,
        revision=str(revision.number),
        date=date_text(revision.date),
    )


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


def _where(book: Book, thing: Thing) -> str:
    installation = book.installation
    if isinstance(thing, Source):
        return f"{glossed(thing.place)}."
    if isinstance(thing, Equipment | Transfer | Box):
        return f"{thing.place}."
    if isinstance(thing, Panel):
        return _where_panel(book, thing)
    if isinstance(thing, Run):
        return tell("Carries {what}.", what=_carried(book, thing))
    position = installation.position(thing.code)
    if position is not None:
        return f"{position_text(book, position)}. {sentence(position.panel.place)}."
    if isinstance(thing, Feeder):
        above = _straight_from(book, thing)
        if above is None:
            return tell("Not on record.")
        straight = tell("Straight from {panel}: no breaker of its own.", panel=called(book, above.code))
        main = amperes_text(above.main) if _has_main(above) else ""
        return f"{straight} {tell('The main there: {amperes}.', amperes=main)}" if main else straight
    return tell("Its breaker is not on record.")


def _straight_from(book: Book, feeder: Feeder) -> Panel | None:
    """The panel whose bus a feeder without a breaker of its own is on."""
    fed = book.installation.panels.get(feeder.to)
    return book.installation.upstream(fed) if fed is not None else None


def _has_main(panel: Panel) -> bool:
    return panel.main_kind == "main breaker" and panel.main.known


def _its_breaker(book: Book, thing: Thing) -> str:
    """Where the breaker is of a thing that stands somewhere else."""
    if not isinstance(thing, Equipment | Source | Transfer):
        return ""
    position = book.installation.position(thing.circuit if isinstance(thing, Equipment) else thing.code)
    if position is not None:
        room = "" if isinstance(thing, Transfer) else f" {sentence(position.panel.place)}."
        return tell("Its breaker: {place}.", place=position_text(book, position)) + room
    transfer = next((item for item in book.record.transfers if item.source == thing.code), None)
    if transfer is None:
        return tell("Its breaker is not on record.")
    through = tell("Feeds through {switch}.", switch=called(book, transfer.code))
    if not isinstance(thing, Source) or not thing.output_current.known:
        return through
    return f"{through} {tell('It gives up to {current}.', current=thing.output_current)}"


def _setting(thing: Thing) -> str:
    """A current that was set to fit the wires: raised by anybody else, they would run too hot."""
    if not isinstance(thing, Equipment) or not thing.set_current.known:
        return ""
    return tell("Set to {current}. Do not change it. Only an electrician may.", current=thing.set_current)


def _where_panel(book: Book, panel: Panel) -> str:
    kind = tell(panel.main_kind)
    main = f"{amperes_text(panel.main)}, {kind}" if panel.main.known else kind
    above = book.installation.fed_from(panel)
    if above is not None:
        return tell("{place}. Fed from {panel}.", place=panel.place, panel=position_text(book, above))
    upstream = book.installation.upstream(panel)
    if upstream is not None:
        fed = tell("Fed from {panel}.", panel=f"{called(book, upstream.code)}, {upstream.place}")
        return f"{panel.place}. {main}. {fed}"
    by = book.record.service.utility
    fed = (
        tell("Fed by {utility}", utility=by) if panel is book.installation.service_panel else tell("Fed from: unknown")
    )
    meant = glossed(panel.name).removeprefix(panel.name).strip(" ()")
    return " ".join(f"{sentence(part)}." for part in (panel.place, meant, main, fed) if part)


def _panels_of(book: Book, thing: Thing) -> list[Panel]:
    """The panels whose bus feeds a thing: to know which other sources can make it live."""
    installation = book.installation
    if isinstance(thing, Panel):
        return [thing]
    if isinstance(thing, Equipment):
        position = installation.position(thing.circuit)
        return [position.panel] if position else []
    if isinstance(thing, Feeder):
        return [installation.panels[thing.to]] if thing.to in installation.panels else []
    if isinstance(thing, Run):
        return [panel for wiring in installation.carried_by(thing) for panel in _panels_of(book, wiring)]  # type: ignore[arg-type]  # a wiring is a feeder or a circuit
    if isinstance(thing, Box):
        return [panel for run in book.runs_through(thing) for panel in _panels_of(book, run)]
    position = installation.position(thing.code)
    return [position.panel] if position else []


def _wirings_of(book: Book, thing: Thing) -> list[str]:
    """The circuits and feeders whose wires a feeder, a run or a box holds; none for what is no wiring."""
    if isinstance(thing, Feeder):
        return [thing.code]
    if isinstance(thing, Run):
        return [wiring.code for wiring in book.installation.carried_by(thing)]
    if isinstance(thing, Box):
        return [item.code for run in book.runs_through(thing) for item in book.installation.carried_by(run)]
    return []


def _also_fed(book: Book, thing: Thing) -> str:
    if isinstance(thing, Source):
        return tell("This is itself a source of power. The wires it is tied to can also be live from the utility.")
    panels = _panels_of(book, thing)
    if not panels:
        return tell("Cannot be said: which panel feeds this is not on record.")
    codes = {source.code for panel in panels for source in book.installation.sources_reaching(panel)}
    if isinstance(thing, Transfer):
        codes.add(thing.source)
    reaching = [source for source in book.record.sources if source.code in codes]
    if not reaching:
        return tell("No other source known.")
    names = listed(called(book, source.code) for source in reaching)
    if isinstance(thing, Circuit | Equipment):
        return tell("Switching this breaker off cuts this circuit. {sources} can also feed the panel.", sources=names)
    carried = _wirings_of(book, thing)
    if carried and not any(book.installation.sources_past(code) for code in carried):
        return tell(
            "Switching off as told below cuts the wires on record. {sources} can also feed the panel.", sources=names
        )
    fed = tell("Also fed by {sources}.", sources=names)
    return " ".join(said for said in (fed, _starting(book, reaching), _perhaps_starting(reaching)) if said)


def _starting(book: Book, reaching: list[Source]) -> str:
    starting = [source for source in reaching if source.starts_by_itself.value]
    if not starting:
        return ""
    if len(starting) < len(reaching):
        names = listed(called(book, source.code) for source in starting)
        return tell("{sources} can start without warning.", sources=names)
    return tell("It can start by itself.") if len(starting) == 1 else tell("They can start by themselves.")


def _perhaps_starting(reaching: list[Source]) -> str:
    """Generators of which nobody knows whether they start by themselves, as the notes and labels warn of them too."""
    open_ = [source.code for source in reaching if source.kind == "generator" and source.starts_by_itself.value is None]
    return (
        tell("Treat {sources} as able to start by itself: nobody recorded it.", sources=listed(open_)) if open_ else ""
    )


def _switch_off(book: Book, thing: Thing) -> str:
    installation = book.installation
    if isinstance(thing, Equipment):
        return _equipment_off(book, thing)
    if isinstance(thing, Source):
        return source_off(book, thing)
    if isinstance(thing, Panel):
        return " ".join(part for part in (panel_off(book, thing), feed_stays_live(book, thing)) if part)
    if isinstance(thing, Run | Box):
        codes = _wirings_of(book, thing)
        past = [source for code in codes for source in installation.sources_past(code)] if codes else []
        return " ".join((_all_off(book, codes), *_then_off(book, past)))
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
        feeder = book.things.get(code)
        above = _straight_from(book, feeder) if isinstance(feeder, Feeder) else None
        if above is None or not _has_main(above):
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
        return " ".join((off, *backfed, *_then_off(book, past)))
    if above is not None:
        return _behind_transfer(book, transfer, above) if transfer else breaker_off(book, above)
    no_main = tell("{panel} has no main breaker.", panel=called(book, panel.code))
    return f"{no_main} {book.record.emergency.shutoff}"


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


def _carried(book: Book, run: Run) -> str:
    codes = [called(book, wiring.code) for wiring in book.installation.carried_by(run)]
    return listed(codes) or tell("wires that are not on record: treat them as live")
