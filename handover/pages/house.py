"""The pages about the whole place: start, trouble, switching off, directory, drawings, photos."""

from __future__ import annotations

import re
from dataclasses import dataclass

from handover.pages.contents import CHANGES, LIVE, ONE_FILE, SELL, UNKNOWN, WORK, Book, Here, Thing, part_id
from handover.pages.findings import first_sentence, found_id, found_links
from handover.pages.first_screen import Emergency, emergency_of, shutoff_name
from handover.pages.leads import in_pieces
from handover.pages.retired import retired_rows
from handover.pages.room import room_rows, spaces_left
from handover.pages.shown import date_text, glossed, plain, said, sentence, table
from handover.pages.switching import called, feed_stays_live, panel_off, position_text, source_off
from handover.pages.views import Figure, Link, LinkGroup, Picture, Row, Said, Table
from handover.record.evidence import Finding, Unknown
from handover.record.facts import Basis
from handover.record.supply import Panel, Slot, Source, Transfer
from handover.record.tracing import from_the_card, tracing
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.words import OWN, later, tell


@dataclass(frozen=True, kw_only=True, slots=True)
class StartPage:
    """Where everybody begins: what this is, whom to call, what was done, and a way on for each reader."""

    place: str
    building: str
    emergency: Emergency
    shutoff: str
    shutoff_place: str
    first: tuple[str, ...]
    then: tuple[str, ...]
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
    know: tuple[Link, ...]
    things: tuple[LinkGroup, ...]
    retired: tuple[Row, ...]
    on_paper: str
    one_file: str
    to_save: str
    file_name: str
    owner_edition: bool
    changes: Link | None


_NO_FILE_LETTERS = re.compile(r"[^A-Za-z0-9]+")
_READERS = (
    (LIVE, ("trouble.html", "switch-off.html", "directory.html", "care.html", "questions.html")),
    (WORK, ("worker.html", "drawings.html", "numbers.html", "findings.html")),
    (SELL, ("summary.html", "photos.html", "about.html")),
)


_KINDS: tuple[tuple[str, tuple[type, ...]], ...] = (
    (later("Circuits"), (Circuit,)),
    (later("Equipment"), (Equipment,)),
    (later("Panels, and the wires between them"), (Panel, Feeder)),
    (later("Other sources of power"), (Source, Transfer)),
    (later("Pipes and cables"), (Run,)),
    (later("Boxes"), (Box,)),
)


def _thing_link(here: Here, thing: Thing) -> Link:
    return here.link(thing.code, tell("was here before") if thing.work == "existing" else "")


def start_page(here: Here) -> StartPage:
    """The first page of the pack."""
    record = here.book.record
    revision = record.revisions[-1]
    first, then = other_sources(here.book)
    return StartPage(
        place=record.site.name,
        building=sentence(record.site.building),
        emergency=emergency_of(here.book),
        shutoff=shutoff_name(here.book),
        shutoff_place=sentence(record.service.disconnect_place),
        first=first,
        then=then,
        done=record.job.title,
        summary=record.job.summary,
        covers=record.job.covers,
        does_not_cover=record.job.does_not_cover,
        record=record.job.number,
        revision=str(revision.number),
        date=date_text(revision.date),
        finished=date_text(record.job.dates.finished),
        switch_off=here.entry("switch-off.html", later("All the steps")),
        readers=tuple(
            LinkGroup(
                heading=heading,
                links=(
                    *(here.entry(path) for path in paths),
                    *((here.entry(*UNKNOWN),) if heading == LIVE else ()),
                ),
            )
            for heading, paths in _READERS
        ),
        know=_know(here),
        things=tuple(
            LinkGroup(heading=heading, links=tuple(_thing_link(here, thing) for thing in things))
            for heading, kinds in _KINDS
            if (things := [thing for thing in here.book.things.values() if isinstance(thing, kinds)])
        ),
        retired=retired_rows(here),
        on_paper="" if here.book.pack.superseded else here.to("pack.pdf"),
        one_file=here.to(ONE_FILE) + (f"#{part_id(here.book.language)}" if here.book.language != OWN else ""),
        to_save=here.to(ONE_FILE),
        file_name=f"record-{_NO_FILE_LETTERS.sub('-', record.job.number)}.html",
        owner_edition=here.book.owner_edition,
        changes=here.entry(CHANGES.path) if here.book.pack.earlier else None,
    )


def _know(here: Here) -> tuple[Link, ...]:
    """What was found to be a risk, and what stayed unknown, in its first sentence each."""
    record, findings = here.book.record, here.to("findings.html")
    told: list[tuple[Finding | Unknown, str]] = [
        *((note, found_id(note, place)) for place, note in enumerate(record.findings) if note.risk),
        *((note, found_id(note, place, "unknown")) for place, note in enumerate(record.unknowns)),
    ]
    return tuple(
        Link(text=first_sentence(note.what), href=f"{findings}#{id}", code=note.code or "", about=note.place)
        for note, id in told
    )


def other_sources(book: Book) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The sources besides the utility that are switched off before the main, and those after it, each with where."""

    def told(sources: list[Source]) -> tuple[str, ...]:
        return tuple(
            glossed(f"{called(book, source.code)}: {source.disconnect.value or source.place}{_beside(source)}.")
            for source in sources
        )

    before, after = book.installation.before_and_after_the_main()
    return told(before), told(after)


def _beside(source: Source) -> str:
    """The place of a source that starts by itself, for which the disconnect alone may not say where to go."""
    return f", {source.place}" if source.kind != "solar" and source.disconnect.known else ""


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
    untraced: str = ""
    room: tuple[Row, ...] = ()


def source_steps(here: Here, source: Source) -> SourceOff:
    """How to stop one source, and what stays live after that."""
    return SourceOff(
        link=here.link(source.code, tell(source.kind)),
        place=sentence(glossed(source.place)),
        off=sentence(source_off(here.book, source)),
        starts_by_itself=_starts(source),
        stays_live=source.stays_live or "",
        fuel=said(source.fuel_shutoff),
    )


def _starts(source: Source) -> str:
    """Whether a source starts by itself.  A generator of which nobody recorded it is treated as if it does."""
    starts = source.starts_by_itself
    if starts.value is False or (starts.basis is Basis.NOT_RECORDED and source.kind != "generator"):
        return ""
    if starts.value is None:
        known = tell(starts.basis.value)
        return tell("Whether it starts by itself: {known}. Treat it as if it does.", known=known)
    if source.kind == "generator":
        return tell("It starts by itself when the utility power stops.")
    return tell("It starts by itself.")


def panel_face(here: Here, panel: Panel, *, spaces: bool) -> PanelFace:
    """A panel with its face, and with a row for each space where ``spaces``."""
    book = here.book
    above = book.installation.fed_from(panel)
    upstream = book.installation.upstream(panel)
    if above is not None:
        fed = position_text(book, above)
    elif upstream is not None:
        fed = f"{called(book, upstream.code)}, {upstream.place}"
    else:
        fed = book.record.service.utility if panel is book.installation.service_panel else tell("unknown")
    return PanelFace(
        link=here.link(panel.code),
        place=sentence(panel.place),
        fed=fed,
        off=" ".join(part for part in (panel_off(book, panel), feed_stays_live(book, panel)) if part),
        face=here.figure(f"face-{panel.code}"),
        spaces=space_table(here, panel) if spaces else None,
        left=spaces_left(panel),
        untraced=_untraced(panel),
        room=room_rows(here, panel) if spaces else (),
    )


def space_table(here: Here, panel: Panel) -> Table:
    """Every space of a panel: what it feeds, its breaker, and whether anybody traced it."""
    lines = [_space_line(here, slot) for slot in panel.slots]
    columns = (later("Space"), later("Feeds"), later("Breaker"))
    return table(tell("{panel}: every space", panel=panel.name), columns, lines, narrow=True)


def _untraced(panel: Panel) -> str:
    found = tracing(panel)
    told = f"{found.told()}." if found.doubtful else ""
    return f"{told} {tell('Look for the mark “not checked”.')}" if found.copied else told


def _space_line(here: Here, slot: Slot) -> tuple[Said | None, ...]:
    nameless = not (slot.blank or slot.feeds or slot.says or slot.says_posted)
    traced = said(slot.traced)
    work = "" if slot.work == "existing" else tell(slot.work)
    notes = (work, tell("traced: {how}", how=traced.text) if traced else "", slot.note or "")
    note = "; ".join(note for note in notes if note)
    feeds = Said(
        text=here.book.installation.slot_name(slot),
        href=here.code(slot.feeds) if slot.feeds else "",
        open=nameless,
        tag=slot.feeds or (tell("not checked") if from_the_card(slot) else ""),
        note=note,
        linked=in_pieces(note, found_links(here)) if note else (),
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
                heading=tell("Photo {number}", number=photo.number),
                links=tuple(here.link(code) for code in photo.photo.of if code in here.book.things),
            )
            for photo in photos
        ),
    )
