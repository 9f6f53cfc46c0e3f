"""The values that the later stages of the journey hand on: drawings, photos, labels, notes, reminders, pages."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from handover.checks.result import CheckResult
from handover.record.evidence import Photo
from handover.record.installation import Installation
from handover.record.record import Record


class Edition(StrEnum):
    """The two sites made from one record: for the code on the wall, and for the owner."""

    POSTED = "posted"
    OWNER = "owner"


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawing:
    """One drawing as SVG with real text, and the same said in words.

    ``name`` is unique in the pack (``one-line``, ``face-P1``, ``face-P1-C1``, ``run-R1``), a file name and an element
    id.  ``equivalent`` holds plain sentences, in reading order, that say all the drawing says.
    """

    name: str
    title: str
    svg: str
    width: float
    height: float
    equivalent: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoFile:
    """One encoding of a photo: a file below the site's root, its kind and size in pixels."""

    path: str
    kind: Literal["image/webp", "image/jpeg"]
    width: int
    height: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PreparedPhoto:
    """A recorded photo with its published copies, smallest first within each kind.  ``number`` counts from 1."""

    photo: Photo
    number: int
    files: tuple[PhotoFile, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Label:
    """One label to post: art in millimetres, the address in its code, where it goes and on what material.

    ``why``: the section that asks for it and where its words are from; ``state``: whether the record has it there.
    ``text``: what the code holds where it is no address.  ``quiet_box``: left, top, right and bottom of the code with
    its quiet zone, in millimetres on the label; None where it has no code.
    """

    name: str
    code: str
    title: str
    svg: str
    width_mm: float
    height_mm: float
    address: str | None
    goes: str
    material: str
    why: str = ""
    state: str = ""
    text: str = ""
    quiet_box: tuple[float, float, float, float] | None = None

    @property
    def held(self) -> str:
        """What the label's code holds: its address, or a short text; empty where it has no code."""
        return self.address or self.text


@dataclass(frozen=True, kw_only=True, slots=True)
class SafetyNote:
    """One hazard: signal word of ANSI Z535.4, what it is, what can happen, how to avoid it (one step a line)."""

    id: str
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    hazard: str
    consequence: str
    avoid: tuple[str, ...]
    audience: Literal["homeowner", "worker", "both"]
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Reminder:
    """One thing to look after: what, how, who may do it, how often, and from which day on."""

    id: str
    what: str
    how: str
    who: str
    every_months: int
    first: dt.date
    why: str
    source: str
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Page:
    """One page: where it stands below the site's root (``index.html``, ``C14/index.html``), its title, its HTML body.

    ``body`` names drawings as ``<!-- drawing NAME -->``; the site builder puts the SVG there after the build, because
    passing SVG through Markdown is what costs most.
    """

    path: str
    title: str
    body: str
    reader: Literal["homeowner", "worker", "selling", "everybody"]
    language: str = "en"


@dataclass(frozen=True, kw_only=True, slots=True)
class Issue:
    """An earlier revision as an edition may show it, with what today's checks find about it."""

    record: Record
    results: tuple[CheckResult, ...]

    @property
    def number(self) -> int:
        """The revision's number."""
        return self.record.revisions[-1].number

    @property
    def folder(self) -> str:
        """Where its pages stand below the site's root."""
        return f"revision-{self.number}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Superseded:
    """What the pages of an earlier revision say of the present one: its number and date, and which pages it has."""

    folder: str
    number: int
    date: dt.date
    pages: frozenset[str]


@dataclass(frozen=True, kw_only=True)
class Pack:
    """All that the pages of one edition may show.  ``record`` is already redacted for the posted edition.

    ``earlier``: the revisions before this one, oldest first.  ``superseded``: set where this is one of them.
    """

    edition: Edition
    record: Record
    installation: Installation
    results: tuple[CheckResult, ...]
    drawings: dict[str, Drawing]
    photos: tuple[PreparedPhoto, ...]
    labels: tuple[Label, ...]
    notes: tuple[SafetyNote, ...]
    reminders: tuple[Reminder, ...]
    downloads: tuple[tuple[str, str], ...] = ()
    earlier: tuple[Issue, ...] = ()
    superseded: Superseded | None = None
