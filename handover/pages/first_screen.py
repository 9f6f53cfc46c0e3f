"""The first screen of a page reached by a code: what it is, what feeds it, how to switch it off, whom to call.

A worried person reads this on a phone in the dark, so it is text alone and needs no scrolling.
"""

from __future__ import annotations

from dataclasses import dataclass

from handover.pages.contents import Book, Thing, telephone
from handover.pages.shown import amperes_text, date_text, glossed, listed, sentence
from handover.pages.switching import called, has_main, position_text, straight_from, switch_off, wirings_of
from handover.pages.views import Said
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.words import later, tell


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


def _kind(book: Book, thing: Thing) -> str:
    """What a thing is, where its name does not say it: names stay as they are on the panels, in every language."""
    sort, what = tell(_KINDS[type(thing)]), ""
    if isinstance(thing, Equipment | Source):
        what = "" if thing.kind == "other" else tell(thing.kind)
    elif isinstance(thing, Circuit):
        what = listed({tell(item.kind): "" for item in book.installation.equipment_on(thing) if item.kind != "other"})
    said = (sort, what) if isinstance(thing, Circuit | Source) else (what or sort,)
    name = thing.name.lower()
    return ": ".join(word for word in said if word and word.lower() not in name and _KINDS[type(thing)] not in name)


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
        kind=_kind(book, thing),
        where=sentence(_where(book, thing)),
        breaker=_its_breaker(book, thing),
        setting=_setting(thing),
        also_fed=_also_fed(book, thing),
        switch_off=sentence(switch_off(book, thing)),
        emergency=emergency_of(book),
        record=job.number,
        revision=str(revision.number),
        date=date_text(revision.date),
    )


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
        above = straight_from(book, thing)
        if above is None:
            return tell("Not on record.")
        straight = tell("Straight from {panel}: no breaker of its own.", panel=called(book, above.code))
        main = amperes_text(above.main) if has_main(above) else ""
        return f"{straight} {tell('The main there: {amperes}.', amperes=main)}" if main else straight
    return tell("Its breaker is not on record.")


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
    carried = wirings_of(book, thing)
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


def _carried(book: Book, run: Run) -> str:
    codes = [called(book, wiring.code) for wiring in book.installation.carried_by(run)]
    return listed(codes) or tell("wires that are not on record: treat them as live")
