"""What a thing is tied to, that which feeds it first, and where its conductors are told.

From every code the way leads up, panel by panel, and to the wires: a worker who stands at any label reaches the
conductors, the way they run and what is not known of them by two links at most (tests/pages/test_workers_way.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from handover.pages.contents import Book, Here, Thing
from handover.pages.shown import plain, said
from handover.pages.views import Link, Row, Said
from handover.record.supply import Panel, Service, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.words import tell

WIRES = "wires"
"""The element of a code's page that tells its conductors and its breaker."""
_NOT_RECORDED = Said(text="Not recorded", open=True)


def tied_to(here: Here, thing: Thing) -> tuple[Link, ...]:
    """What feeds a thing, then what it feeds or holds; each once."""
    found: dict[str, Link] = {}
    for link in (*_up(here, thing), *_down(here, thing)):
        found.setdefault(link.code or link.text, link)
    return tuple(found.values())


def _up(here: Here, thing: Thing) -> Iterator[Link]:
    installation = here.book.installation
    feeds_it = tell("feeds it")
    if isinstance(thing, Panel):
        yield from _up_of_a_panel(here, thing)
    elif isinstance(thing, Run | Box):
        for wiring in carried(here.book, thing):
            yield here.link(wiring.code, tell("inside it"))
    elif isinstance(thing, Equipment):
        if thing.circuit in here.book.things:
            yield here.link(thing.circuit, tell("the circuit that feeds it"))
        position = installation.position(thing.circuit)
        if position is not None:
            yield here.link(position.panel.code, tell("the panel of that circuit"))
    elif isinstance(thing, Source):
        yield from _where_it_joins(here, thing)
    else:
        position = installation.position(thing.code)
        fed = installation.panels.get(thing.to) if isinstance(thing, Feeder) else None
        above = position.panel if position is not None else installation.upstream(fed) if fed is not None else None
        if above is not None:
            yield here.link(above.code, tell("the utility's side") if isinstance(thing, Transfer) else feeds_it)


def _up_of_a_panel(here: Here, panel: Panel) -> Iterator[Link]:
    installation = here.book.installation
    if panel is installation.service_panel:
        link = here.entry("worker.html", here.book.record.service.utility, tell("feeds it"))
        yield replace(link, href=f"{link.href}#service", current=False)
    for way in (installation.feeder_to(panel), installation.transfer_to(panel)):
        if way is not None:
            yield here.link(way.code, tell("feeds it"))
    above = installation.upstream(panel)
    if above is not None:
        yield here.link(above.code, tell("the panel it is fed from"))


def _where_it_joins(here: Here, source: Source) -> Iterator[Link]:
    installation = here.book.installation
    position = installation.position(source.code)
    if position is not None:
        yield here.link(position.panel.code, tell("joins here"))
    for transfer in here.book.record.transfers:
        if transfer.source == source.code:
            yield here.link(transfer.code, tell("through this"))
    if source.bus_end.value == "supply side of the main":
        yield here.link(installation.service_panel.code, tell("joins here"))


def _down(here: Here, thing: Thing) -> Iterator[Link]:
    installation = here.book.installation
    if isinstance(thing, Circuit):
        for item in installation.equipment_on(thing):
            yield here.link(item.code, item.place)
    elif isinstance(thing, Feeder):
        yield here.link(thing.to, tell("the panel it feeds"))
    elif isinstance(thing, Transfer):
        yield here.link(thing.source, tell("the second source"))
        yield here.link(thing.feeds, tell("the panel it feeds"))
    elif isinstance(thing, Run):
        for code in dict.fromkeys(step.box for step in thing.path if step.box):
            yield here.link(code, tell("on the way"))
    elif isinstance(thing, Box):
        for run in here.book.runs_through(thing):
            yield here.link(run.code, tell("passes here"))
    elif isinstance(thing, Panel):
        yield from _fed_by_a_panel(here, thing)


def _fed_by_a_panel(here: Here, panel: Panel) -> Iterator[Link]:
    installation = here.book.installation
    for slot in panel.slots:
        if slot.feeds:
            joins = slot.feeds in installation.sources
            yield here.link(slot.feeds, tell("joins here") if joins else tell("fed from here"))
    for feeder in here.book.record.feeders:
        fed = installation.panels.get(feeder.to)
        if installation.position(feeder.code) is None and fed is not None and installation.upstream(fed) is panel:
            yield here.link(feeder.code, tell("fed from here"))


def carried(book: Book, thing: Run | Box) -> list[Circuit | Feeder]:
    """The feeders and circuits in a run, or in the runs that pass a box; each once."""
    runs = [thing] if isinstance(thing, Run) else book.runs_through(thing)
    every = {wiring.code: wiring for run in runs for wiring in book.installation.carried_by(run)}
    return [wiring for wiring in every.values() if isinstance(wiring, Circuit | Feeder)]


def wires_elsewhere(here: Here, thing: Thing) -> tuple[Row, ...]:
    """Where the conductors are told of what has none on its own page, or that they are not recorded."""
    return tuple(_wires_elsewhere(here, thing))


def _wires_elsewhere(here: Here, thing: Thing) -> Iterator[Row]:
    installation = here.book.installation
    if isinstance(thing, Panel):
        yield from _wires_of_a_panel(here, thing)
    elif isinstance(thing, Run | Box):
        every = carried(here.book, thing)
        for wiring in every:
            yield _told_at(here, f"Conductors and breaker of {wiring.code}", wiring.code)
        if not every:
            yield Row(label="Conductors in it", said=_NOT_RECORDED)
    elif isinstance(thing, Equipment):
        if thing.circuit in here.book.things:
            yield _told_at(here, "Conductors", thing.circuit)
    elif isinstance(thing, Circuit | Feeder):
        if not thing.conductors:
            yield Row(label="Conductors", said=_NOT_RECORDED)
        if not installation.runs_of(thing):
            yield Row(label="How they run", said=_NOT_RECORDED)
        if installation.position(thing.code) is None:
            fed = installation.panels.get(thing.to) if isinstance(thing, Feeder) else None
            above = installation.upstream(fed) if fed is not None else None
            straight = plain(f"none of its own: straight from {above.code}") if above is not None else _NOT_RECORDED
            yield Row(label="Its breaker", said=straight)
    else:
        yield Row(label="Conductors, and how they run", said=_NOT_RECORDED)


def _wires_of_a_panel(here: Here, panel: Panel) -> Iterator[Row]:
    installation, label = here.book.installation, "Conductors that feed it"
    ways = [way for way in (installation.feeder_to(panel), installation.transfer_to(panel)) if way is not None]
    for way in ways:
        yield _told_at(here, label, way.code)
    if panel is installation.service_panel:
        yield Row(label=label, said=plain("Service conductors", href=f"{here.to('worker.html')}#service"))
        yield Row(label="How they run", said=_NOT_RECORDED)
    elif not ways:
        yield Row(label=f"{label}, and how they run", said=_NOT_RECORDED)


def _told_at(here: Here, label: str, code: str) -> Row:
    name = f"{code} {here.book.installation.name_of(code)}"
    href = here.code(code)
    return Row(label=label, said=plain(name, href=f"{href}#{WIRES}" if href else ""))


def transformer_rows(service: Service) -> tuple[Row, ...]:
    """The utility's transformer before the service: its kVA and %Z, each as it is known."""
    if service.transformer is None:
        return ()
    told = (("Utility's transformer, rating", "rating"), ("Utility's transformer, impedance", "impedance"))
    named = ((label, said(getattr(service.transformer, field))) for label, field in told)
    return tuple(Row(label=label, said=shown) for label, shown in named if shown is not None)
