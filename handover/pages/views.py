"""What a template may show: text that is finished, lists that are sorted, flags that are set.

A view never holds a quantity, a fact or a record: whoever reads a template needs to know nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Said:
    """One value as it is shown: its text, how it is known (a few words, empty for what the contractor recorded).

    ``open`` marks what is unknown or was not checked: it is shown as loudly as a value.  ``linked`` is the note in
    pieces where some of it leads elsewhere; it is shown in place of ``note``.
    """

    text: str
    tag: str = ""
    open: bool = False
    note: str = ""
    href: str = ""
    linked: tuple[Said, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A labelled value."""

    label: str
    said: Said


@dataclass(frozen=True, kw_only=True, slots=True)
class Cell:
    """A value in a table, with its column's head beside it for narrow screens."""

    column: str
    said: Said
    empty: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Table:
    """A table: what it is of, its columns, its rows.  Every row has a cell a column; the first cell heads the row.

    ``narrow``: it fits a phone as it stands.  Others are stacked there, a row becoming a block.
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    narrow: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Link:
    """A link to another page of the pack, made relative to the page it stands on.

    ``language``: of the page it leads to, where that is another than the one it stands on.
    """

    text: str
    href: str
    code: str = ""
    about: str = ""
    current: bool = False
    language: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class LinkGroup:
    """Links under a heading."""

    heading: str
    links: tuple[Link, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Note:
    """Something unexplained or found, in a few lines.  ``id`` lets other pages lead to it."""

    heading: str
    lines: tuple[str, ...]
    id: str = ""
    code: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A photo with its copies.  ``first`` is the first of a page: it must not wait to be scrolled to."""

    id: str
    number: int
    alt: str
    caption: str
    facts: str
    webp: str
    jpeg: str
    source: str
    width: int
    height: int
    sizes: str
    marks: tuple[str, ...]
    first: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A drawing's place on the page, and the same in sentences.  ``sheet`` leads to its own page."""

    name: str
    title: str
    sentences: tuple[str, ...]
    sheet: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Hazard:
    """A safety note.  ``kind`` is the signal word in small letters, for the panel's colour; the word is shown."""

    signal: str
    kind: str
    triangle: bool
    hazard: str
    consequence: str
    avoid: tuple[tuple[Said, ...], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Frame:
    """What every page has round its own content.  ``superseded`` leads from an earlier revision to the present one.

    ``for_worker``: the parts of the page that are for the worker alone, beside those ``on_this_page``.
    ``permit_withheld``: there is a permit, whose number and office this edition does not show.
    """

    place: str
    title: str
    languages: tuple[Link, ...]
    short_links: tuple[Link, ...]
    all_links: tuple[LinkGroup, ...]
    on_this_page: tuple[Link, ...]
    contractor: str
    licence_kind: str
    licence: str
    phone: str
    phone_href: str
    record: str
    revision: str
    revised: str
    left_on: str
    code: str
    permit_withheld: bool
    address: str
    owner_edition: bool
    superseded: Link | None = None
    for_worker: tuple[Link, ...] = ()
