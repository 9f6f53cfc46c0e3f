"""The pages about the whole place: start, trouble, switching off, directory, drawings, photos."""

from __future__ import annotations

from dataclasses import dataclass

from handover.pages.contents import LIVE, SELL, WORK, Book, Here, Thing
from handover.pages.first_screen import (
    Emergency,
    called,
    emergency_of,
    panel_off,
    position_text,
    source_off,
)
from handover.pages.shown import date_text, listed, plain, said, sentence, table
from handover.pages.subjects import reset_rows, spaces_left
from handover.pages.views import Figure, Hazard, Link, LinkGroup, Picture, Row, Said, Table
from handover.record.supply import Panel, Slot, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.safety_notes import SWITCH_OFF, TROUBLE, Trouble, deference, trouble_steps


@dataclass(frozen=True, kw_only=True, slots=True)
class StartPage:
    """Where everybody begins: what this is, whom to call, what was done, and a way on for each reader."""

    place: str
    building: str
    emergency: Emergency
    shutoff_place: str
    also: str
    done: str
    summary: str
    covers: tuple[str, ...]
    does_not_cover: tuple[str, ...]
    record: str
    revision: str
    date: str
    finished: str
    switch_off: Link
    readers: tuple[LinkGroup, ...]
    things: tuple[LinkGroup, ...]
    retired: tuple[Row, ...]


_READERS = (
    (LIVE, ("trouble.html", "switch-off.html", "directory.html", "care.html")),
    (WORK, ("worker.html", "drawings.html", "numbers.html", "findings.html")),
    (SELL, ("summary.html", "photos.html", "about.html")),
)


_KINDS: tuple[tuple[str, tuple[type, ...]], ...] = (
    ("Circuits", (Circuit,)),
    ("Equipment", (Equipment,)),
    ("Panels, and the wires between them", (Panel, Feeder)),
    ("Other sources of power", (Source, Transfer)),
    ("Pipes and cables", (Run,)),
    ("Boxes", (Box,)),
)


def _thing_link(here: Here, thing: Thing) -> Link:
    return here.link(thing.code, "was here before" if thing.work == "existing" else "")


def start_page(here: Here) -> StartPage:
    """The first page of the pack."""
    record = here.book.record
    revision = record.revisions[-1]
    return StartPage(
        place=record.site.name,
        building=sentence(record.site.building),
        emergency=emergency_of(here.book),
        shutoff_place=sentence(record.service.disconnect_place),
        also=other_sources(here.book),
        done=record.job.title,
        summary=record.job.summary,
        covers=record.job.covers,
        does_not_cover=record.job.does_not_cover,
        record=record.job.number,
        revision=str(revision.number),
        date=date_text(revision.date),
        finished=date_text(record.job.dates.finished),
        switch_off=here.entry("switch-off.html", "All the steps"),
        readers=tuple(
            LinkGroup(heading=heading, links=tuple(here.entry(path) for path in paths)) for heading, paths in _READERS
        ),
        things=tuple(
            LinkGroup(heading=heading, links=tuple(_thing_link(here, thing) for thing in things))
            for heading, kinds in _KINDS
            if (things := [thing for thing in here.book.things.values() if isinstance(thing, kinds)])
        ),
        retired=tuple(Row(label=note.code, said=plain(note.now)) for note in record.retired_codes),
    )


def other_sources(book: Book) -> str:
    """The sources besides the utility by name; empty where none is known."""
    return listed(called(book, source.code) for source in book.record.sources)


@dataclass(frozen=True, kw_only=True, slots=True)
class TroublePage:
    """When something is wrong: what to do first, where resets are, what else feeds the place."""

    emergency: Emergency
    shutoff_place: str
    also: str
    troubles: tuple[Trouble, ...]
    resets: tuple[Row, ...]
    sources: tuple[Link, ...]
    hazards: tuple[Hazard, ...]
    deference: tuple[str, ...]
    switch_off: Link


def trouble_page(here: Here) -> TroublePage:
    """The page for when something is wrong."""
    book = here.book
    return TroublePage(
        emergency=emergency_of(book),
        shutoff_place=sentence(book.record.service.disconnect_place),
        also=other_sources(book),
        troubles=trouble_steps(book.installation),
        resets=tuple(
            Row(label=f"{called(book, circuit.code)}: {row.label}", said=row.said)
            for circuit in book.record.circuits
            for row in reset_rows(book, circuit)
        ),
        sources=tuple(here.link(source.code, source.place) for source in book.record.sources),
        hazards=here.hazards((TROUBLE,), ("homeowner",)),
        deference=deference(book.installation),
        switch_off=here.entry("switch-off.html"),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class SourceOff:
    """One source besides the utility, and how to stop it."""

    link: Link
    place: str
    off: str
    starts_by_itself: str
    stays_live: str
    fuel: Said | None


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelFace:
    """A panel, how to switch it off, its face, and its spaces as a table where wanted."""

    link: Link
    place: str
    fed: str
    off: str
    face: Figure | None
    spaces: Table | None
    left: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SwitchOffPage:
    """The whole place, in order: outside shutoff, each other source, each panel."""

    emergency: Emergency
    shutoff_place: str
    shutoff_how: str
    also: str
    sources: tuple[SourceOff, ...]
    panels: tuple[PanelFace, ...]
    hazards: tuple[Hazard, ...]
    deference: tuple[str, ...]


def switch_off_page(here: Here) -> SwitchOffPage:
    """How to make the whole place dead, as far as switches go."""
    book, record = here.book, here.book.record
    return SwitchOffPage(
        emergency=emergency_of(book),
        shutoff_place=sentence(record.service.disconnect_place),
        shutoff_how=panel_off(book, book.installation.service_panel),
        also=other_sources(book),
        sources=tuple(source_steps(here, source) for source in record.sources),
        panels=tuple(panel_face(here, panel, spaces=False) for panel in record.panels),
        hazards=here.hazards((SWITCH_OFF,), ("homeowner",)),
        deference=deference(book.installation),
    )


def source_steps(here: Here, source: Source) -> SourceOff:
    """How to stop one source, and what stays live after that."""
    starts = said(source.starts_by_itself)
    return SourceOff(
        link=here.link(source.code, source.kind),
        place=sentence(source.place),
        off=sentence(source_off(here.book, source)),
        starts_by_itself=""
        if starts is None or source.starts_by_itself.value is False
        else "It starts by itself when the utility power stops."
        if source.starts_by_itself.value and source.kind == "generator"
        else "It starts by itself."
        if source.starts_by_itself.value
        else f"Whether it starts by itself: {starts.text.lower()}. Treat it as if it does.",
        stays_live=source.stays_live or "",
        fuel=said(source.fuel_shutoff),
    )


def panel_face(here: Here, panel: Panel, *, spaces: bool) -> PanelFace:
    """A panel with its face, and with a row for each space where ``spaces``."""
    book = here.book
    above = book.installation.fed_from(panel)
    upstream = book.installation.upstream(panel)
    if above is not None:
        fed = position_text(book, above)
    elif upstream is not None:
        fed = f"the lugs of {called(book, upstream.code)}"
    else:
        fed = book.record.service.utility if panel is book.installation.service_panel else "unknown"
    return PanelFace(
        link=here.link(panel.code),
        place=sentence(panel.place),
        fed=fed,
        off=panel_off(book, panel),
        face=here.figure(f"face-{panel.code}"),
        spaces=space_table(here, panel) if spaces else None,
        left=spaces_left(panel),
    )


def space_table(here: Here, panel: Panel) -> Table:
    """Every space of a panel: what it feeds, its breaker, and whether anybody traced it."""
    lines = [_space_line(here, slot) for slot in panel.slots]
    return table(f"{panel.name}: every space", ("Space", "Feeds", "Breaker"), lines, narrow=True)


def _space_line(here: Here, slot: Slot) -> tuple[Said | None, ...]:
    nameless = not (slot.blank or slot.feeds or slot.says or slot.says_posted)
    traced = said(slot.traced)
    notes = ("" if slot.work == "existing" else slot.work, f"traced: {traced.text}" if traced else "", slot.note or "")
    feeds = Said(
        text=here.book.installation.slot_name(slot),
        href=here.code(slot.feeds) if slot.feeds else "",
        open=nameless,
        tag=slot.feeds or "",
        note="; ".join(note for note in notes if note),
    )
    return plain("/".join(str(space) for space in slot.spaces)), feeds, _breaker(slot)


def _breaker(slot: Slot) -> Said | None:
    rating = said(slot.breaker.rating) if slot.breaker else None
    if slot.breaker is None or rating is None:
        return rating
    guards = ((slot.breaker.gfci, "GFCI"), (slot.breaker.afci, "AFCI"))
    names = " ".join([rating.text, *(name for fact, name in guards if fact.value)])
    return Said(text=names, tag=rating.tag, open=rating.open, note=rating.note)


@dataclass(frozen=True, kw_only=True, slots=True)
class DirectoryPage:
    """Every panel with every space."""

    panels: tuple[PanelFace, ...]


def directory_page(here: Here) -> DirectoryPage:
    """The directory of the whole place."""
    return DirectoryPage(panels=tuple(panel_face(here, panel, spaces=True) for panel in here.book.record.panels))


@dataclass(frozen=True, kw_only=True, slots=True)
class DrawingsPage:
    """The drawing of the whole place, and links to each drawing on a sheet of its own."""

    figures: tuple[Figure, ...]
    sheets: tuple[Link, ...]


def drawings_page(here: Here) -> DrawingsPage:
    """The list of drawings, led by the one of the whole place."""
    book = here.book
    return DrawingsPage(
        figures=here.figures(name for name in ("one-line",) if name in book.pack.drawings),
        sheets=tuple(
            Link(text=book.pack.drawings[name].title, href=here.to(book.sheet_path(name))) for name in book.sheets
        ),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetPage:
    """One drawing alone, to print on one sheet: as it is, or as the drawing named ``paper``."""

    figure: Figure
    paper: str
    back: Link


def sheet_page(here: Here, name: str) -> SheetPage:
    """The page of one drawing."""
    figure = here.figure(name)
    assert figure is not None, name
    return SheetPage(figure=figure, paper=here.book.paper(name), back=here.entry("drawings.html"))


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotosPage:
    """All photos of this edition."""

    pictures: tuple[Picture, ...]
    about: tuple[LinkGroup, ...]


def photos_page(here: Here) -> PhotosPage:
    """All photos, in the record's order."""
    photos = here.book.pack.photos
    return PhotosPage(
        pictures=here.pictures(photos),
        about=tuple(
            LinkGroup(
                heading=f"Photo {photo.number}",
                links=tuple(here.link(code) for code in photo.photo.of if code in here.book.things),
            )
            for photo in photos
        ),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class MovedPage:
    """What a code on an old label meant, and where that is told now."""

    code: str
    now: str
    start: Link


def moved_page(here: Here, code: str, now: str) -> MovedPage:
    """The page of a code that is no longer used."""
    return MovedPage(code=code, now=now, start=here.entry("index.html"))
