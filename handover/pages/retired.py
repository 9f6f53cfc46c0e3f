"""Codes that stood on an earlier label: what each named, since when it is gone, and where to look now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.addresses import folder_of
from handover.pack import Issue
from handover.pages.changes import issued
from handover.pages.contents import CHANGES, Book, Here, things_of
from handover.pages.first_screen import Emergency, emergency_of
from handover.pages.shown import plain, spaces_text
from handover.pages.views import Link, Row, Said
from handover.record.installation import Installation
from handover.record.people import CodeNote
from handover.words import OWN, later, tell

_NO_WORD = later("This record does not say what stands in its place.")


@dataclass(frozen=True, slots=True)
class Retired:
    """A code without a thing.  ``last``: the newest revision that still had it, where that was kept."""

    code: str
    was: str
    since: str
    now: str
    instead: tuple[str, ...] = ()
    last: Issue | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class RetiredPage:
    """The page of a code that is no longer used."""

    code: str
    was: str
    since: str
    now: tuple[Said, ...]
    onward: tuple[Link, ...]
    emergency: Emergency


def retired(book: Book) -> dict[str, Retired]:
    """Every code that once had a page and is no thing of this record, by code."""
    pack = book.pack
    notes: dict[str, CodeNote] = {}
    for record in (*(issue.record for issue in pack.earlier), book.record):
        notes |= {note.code: note for note in record.retired_codes}
    last = {code: issue for issue in pack.earlier for code in things_of(issue.record)}
    return {
        code: _retired(book, code, notes.get(code), last.get(code))
        for code in (*notes, *(code for code in last if code not in notes))
        if code not in book.things
    }


def _retired(book: Book, code: str, note: CodeNote | None, last: Issue | None) -> Retired:
    was = note.was if note is not None else None
    if was is None and last is not None:
        was = Installation(last.record).name_of(code)
    if note is not None:
        instead = tuple(other for other in note.instead if other in book.things)
        return Retired(code, was or "", _since(book, note.since, last), note.now, instead, last)
    assert last is not None
    circuit = next((item.circuit for item in last.record.equipment if item.code == code), "")
    now = _where_now(book, circuit or code, last)
    on_it = (item.code for item in book.record.equipment if circuit == item.circuit)
    instead = tuple(other for other in (*on_it, circuit) if other in book.things)
    return Retired(code, was or "", _since(book, None, last), now, instead, last)


def _since(book: Book, number: int | None, last: Issue | None) -> str:
    """The revision from which on a code is gone: as the record says, else the one after the last that had it."""
    if number is None and last is not None:
        after = [issue.number for issue in book.pack.earlier if issue.number > last.number]
        number = min(after, default=book.record.revisions[-1].number)
    return next((issued(each) for each in book.record.revisions if each.number == number), "")


def _where_now(book: Book, code: str, last: Issue) -> str:
    """What the record knows by itself: what the breaker that fed the thing, or its circuit, feeds today."""
    position = Installation(last.record).position(code)
    panel = book.installation.panels.get(position.panel.code) if position is not None else None
    if position is None or panel is None:
        return tell(_NO_WORD)
    today = [slot for slot in panel.slots if set(slot.spaces) & set(position.slot.spaces)]
    names = [f"{spaces_text(slot)}: {book.installation.slot_name(slot)}" for slot in today]
    place = tell("It was fed from {place}.", place=f"{panel.name}, {spaces_text(position.slot)}")
    if not names:
        return f"{place} {tell('Nothing is on record there now.')}"
    return f"{place} {tell('There is now: {what}.', what='; '.join(names))}"


def retired_page(here: Here, gone: Retired) -> RetiredPage:
    """What a code on an old label meant, and where that is told now."""
    return RetiredPage(
        code=gone.code,
        was=gone.was,
        since=gone.since,
        now=here.tappable(gone.now),
        onward=tuple(_onward(here, gone)),
        emergency=emergency_of(here.book),
    )


def _onward(here: Here, gone: Retired) -> Iterator[Link]:
    yield from (here.link(code) for code in gone.instead)
    yield here.entry("directory.html")
    if gone.last is not None:
        page = here.from_root(f"{gone.last.folder}/{folder_of(gone.code)}")
        was = tell("What it was: {revision}", revision=issued(gone.last.record.revisions[-1]))
        yield Link(text=was, href=page, language="" if here.book.language == OWN else OWN)
    if here.book.pack.earlier:
        yield here.entry(CHANGES.path)
    yield here.entry("index.html")


def retired_rows(here: Here) -> tuple[Row, ...]:
    """The codes no longer used, each leading to its page."""
    return tuple(
        Row(label=gone.code, said=plain(gone.was or gone.now, href=here.to(folder_of(gone.code))))
        for gone in retired(here.book).values()
    )
