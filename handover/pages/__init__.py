"""Pages: everything that one edition shows, as HTML bodies for the site builder.

Each page is a small view (finished text, sorted lists) filled into one template.  ``render_pages`` is the list of
all pages of a pack, in the order in which a reader would leaf through them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from handover.addresses import folder_of
from handover.pack import Pack, Page
from handover.pages.about import about_page, labels_page
from handover.pages.changes import changes_page
from handover.pages.contents import CHANGES, ENTRIES, LABELS, Book, Here, Reader, Thing
from handover.pages.emergencies import switch_off_page, trouble_page
from handover.pages.explained import MARK, explained
from handover.pages.findings import findings_page
from handover.pages.house import (
    directory_page,
    drawings_page,
    photos_page,
    sheet_page,
    start_page,
)
from handover.pages.leads import RESETS
from handover.pages.numbers import numbers_page, working_page
from handover.pages.questions import questions_page
from handover.pages.reports import care_page, summary_page, worker_page
from handover.pages.retired import retired, retired_page
from handover.pages.room import room_rows
from handover.pages.subjects import SubjectPage, subject_page
from handover.pages.templates import fill
from handover.pages.views import Link
from handover.record.wiring import Box, Run
from handover.words import OWN, later, tell, words

_READERS: dict[str, Reader] = {
    "trouble.html": "homeowner",
    "switch-off.html": "homeowner",
    "care.html": "homeowner",
    "questions.html": "homeowner",
    "worker.html": "worker",
    "numbers.html": "worker",
    "summary.html": "selling",
}
_TITLES = {entry.path: entry.title for entry in (*ENTRIES, CHANGES, LABELS)}


def render_pages(pack: Pack) -> tuple[Page, ...]:
    """Every page of one edition in the language spoken.  The same pack gives the same pages, byte for byte.

    In another language than ``OWN`` that is what somebody who lives there needs; the rest is told in ``OWN`` alone.
    """
    book = Book(pack)
    if book.language == OWN:
        return tuple(_pages(book))
    return tuple(_homeowners_pages(book))


def _pages(book: Book) -> Iterator[Page]:
    yield from _entries(book)
    for thing in book.things.values():
        yield _subject(book, thing)
    for code in book.results_by_code:
        here = Here(book, book.numbers_path(code))
        name = book.installation.name_of(code)
        panel = book.installation.panels.get(code)
        view = working_page(here, code, room_rows(here, panel) if panel is not None else ())
        yield _page(here, f"The numbers, checked: {name}", "working.html", view, reader="worker")
    for name in book.sheets:
        here = Here(book, book.sheet_path(name))
        yield _page(here, book.pack.drawings[name].title, "sheet.html", sheet_page(here, name), reader="worker")
    yield from _moved(book)


def _homeowners_pages(book: Book) -> Iterator[Page]:
    yield from _homeowners_entries(book)
    yield _findings(book)
    for thing in book.things.values():
        yield _subject(book, thing)
    yield from _moved(book)


def _moved(book: Book) -> Iterator[Page]:
    for code, gone in retired(book).items():
        here = Here(book, folder_of(code))
        yield _page(here, tell("{code}, no longer used", code=code), "moved.html", retired_page(here, gone))


def _homeowners_entries(book: Book) -> Iterator[Page]:
    def here(path: str) -> Here:
        return Here(book, path)

    yield _entry(here("index.html"), start_page(here("index.html")))
    trouble = trouble_page(here("trouble.html"))
    yield _entry(here("trouble.html"), trouble, [*((item.id, item.heading) for item in trouble.troubles), RESETS])
    switch_off = switch_off_page(here("switch-off.html"))
    yield _entry(here("switch-off.html"), switch_off, [("shutoff", switch_off.shutoff), *_SWITCH_OFF_PARTS])
    panels = directory_page(here("directory.html"))
    names = [(f"panel-{panel.link.code}", panel.link.text) for panel in panels.panels]
    yield _entry(here("directory.html"), panels, names)
    care = care_page(here("care.html"))
    often = [(f"often-{place}", group.heading) for place, group in enumerate(care.groups, 1)]
    yield _entry(here("care.html"), care, [*often, ("months", later("Month by month"))] if often else [])
    questions = questions_page(here("questions.html"))
    yield _entry(here("questions.html"), questions, _present(questions, _QUESTIONS_PARTS))


def _findings(book: Book) -> Page:
    here = Here(book, "findings.html")
    findings = findings_page(here)
    return _entry(here, findings, _present(findings, _FINDINGS_PARTS))


def _entries(book: Book) -> Iterator[Page]:
    def here(path: str) -> Here:
        return Here(book, path)

    yield from _homeowners_entries(book)
    worker = worker_page(here("worker.html"))
    yield _entry(here("worker.html"), worker, _present(worker, _WORKER_PARTS))
    yield _entry(here("drawings.html"), drawings_page(here("drawings.html")))
    numbers = numbers_page(here("numbers.html"))
    yield _entry(here("numbers.html"), numbers, _present(numbers, _NUMBERS_PARTS))
    yield _findings(book)
    yield _entry(here("photos.html"), photos_page(here("photos.html")))
    yield _entry(here("summary.html"), summary_page(here("summary.html")))
    about = about_page(here("about.html"), words("glossary").items())
    yield _entry(here("about.html"), about, _present(about, _ABOUT_PARTS))
    if CHANGES in book.entries:
        changes = changes_page(here("changes.html"))
        parts = [(step.id, step.heading) for step in changes.steps]
        yield _entry(here("changes.html"), changes, parts if len(parts) > 1 else [])
    if LABELS in book.entries:
        yield _entry(here("labels.html"), labels_page(here("labels.html")))


# The parts of the long pages: element id, heading, and the fields of the view that fill it (none: always there).
_Parts = tuple[tuple[str, str, tuple[str, ...]], ...]
_SUBJECT_PARTS: _Parts = (
    ("everyday", later("Good to know"), ("everyday",)),
    ("face", later("Where to find it in the panel"), ("face",)),
    ("dead", later("If it is dead"), ("dead",)),
    ("safety", later("Stay safe"), ("hazards", "worker_hazards")),
    ("photos", later("Photos"), ("pictures",)),
    ("feeds", later("Tied to it"), ("feeds", "outlets")),
    ("route", later("How it runs"), ("routes",)),
    ("settings", later("Settings, and the switch that cuts its power"), ("settings",)),
    ("why", later("Notes"), ("why", "note")),
    ("wires", later("Conductors and breaker"), ()),
    ("details", later("Details for the worker"), ()),
    ("checks", later("Checked"), ("checks", "unchecked")),
    ("open", later("What is not known, and what was found"), ()),
)
_FOR_WORKER = ("wires", "details", "checks")
"""Listed apart, so that a worker finds them at once and the list of who lives there keeps its order and length."""
_SWITCH_OFF_PARTS = (
    ("sources", later("Each other source of power")),
    ("safety", later("Stay safe")),
    ("panels", later("Each panel")),
)
_QUESTIONS_PARTS: _Parts = (
    ("got", later("What did I get?"), ()),
    ("out", later("What works when the utility is out?"), ()),
    ("charging", later("How long does the car charge?"), ("chargers",)),
    ("change", later("What may I not change?"), ()),
    ("add", later("What can still be added?"), ()),
    ("tell", later("What do I tell a buyer or an insurer?"), ()),
    ("call", later("Who do I call?"), ()),
)
_WORKER_PARTS: _Parts = (
    ("service", "Service", ()),
    ("sources", "Every other source", ()),
    ("panels", "Panels", ()),
    ("runs", "Runs, boxes and pull points", ("runs", "boxes")),
    ("settings", "Settings", ("settings",)),
    ("readings", "Readings to compare with", ("readings", "torques")),
    ("materials", "Fitted and left as spares", ("materials",)),
    ("safety", "Stay safe", ("hazards",)),
)
_NUMBERS_PARTS: _Parts = (
    ("fails", "Does not pass", ("fails",)),
    ("undecided", "Cannot be decided yet", ("undecided",)),
    ("subjects", "By subject", ()),
    ("unchecked", "Nothing checked", ("unchecked",)),
    ("amendments", "Local changes of the code", ("amendments",)),
)
_FINDINGS_PARTS: _Parts = (
    ("found", later("Found"), ()),
    ("unknown", later("Unknown"), ()),
    ("not-checked", later("Not checked"), ()),
    ("advice", later("Advice, and what was decided"), ()),
    ("facts", later("Single facts that are open"), ("open_facts",)),
)
_ABOUT_PARTS: _Parts = (
    ("who", "Who made it", ()),
    ("code", "Code and permit", ()),
    ("revisions", "Revisions", ()),
    ("owner", "Owner and address", ("owner",)),
    ("basis", "How we know", ()),
    ("words", "Words", ("glossary",)),
)


def _present(view: object, parts: _Parts) -> list[tuple[str, str]]:
    """The parts that this page has, for its list of contents."""
    elsewhere = {"wires", "details"} if getattr(view, "worker", None) else ()
    return [
        (id, heading)
        for id, heading, fields in parts
        if id not in elsewhere and (not fields or any(getattr(view, name) for name in fields))
    ]


def _subject(book: Book, thing: Thing) -> Page:
    here = Here(book, folder_of(thing.code))
    view: SubjectPage = subject_page(here, thing)
    reader: Reader = "worker" if isinstance(thing, Run | Box) else "everybody"
    title = f"{thing.code} {view.first.name}"
    return _page(here, title, "subject.html", view, parts=_present(view, _SUBJECT_PARTS), reader=reader)


def _entry(here: Here, view: object, parts: Iterable[tuple[str, str]] = ()) -> Page:
    reader = _READERS.get(here.path, "everybody")
    return _page(here, tell(_TITLES[here.path]), here.path, view, parts=parts, reader=reader)


def _page(
    here: Here,
    title: str,
    template: str,
    view: object,
    *,
    parts: Iterable[tuple[str, str]] = (),
    reader: Reader = "everybody",
) -> Page:
    listed = [*parts]
    frame = replace(
        here.frame(title, (part for part in listed if part[0] not in _FOR_WORKER)),
        for_worker=tuple(Link(text=text, href=f"#{id}") for id, text in listed if id in _FOR_WORKER),
    )
    body = fill(template, frame, view)
    if MARK in body:
        terms = explained(body)
        body = body.replace(MARK, fill("_words.html", frame, terms) if terms else "")
    return Page(path=here.at, title=title, body=body, reader=reader, language=here.book.language)
