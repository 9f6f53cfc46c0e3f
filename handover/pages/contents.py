"""The pack as a book: which pages there are, how one page reaches another, and what belongs to which code."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from handover.addresses import address_of, folder_of
from handover.checks.result import CheckResult
from handover.pack import Edition, Pack, PreparedPhoto
from handover.pages.leads import in_pieces, places_quoted
from handover.pages.shown import date_text, sentence, way_text
from handover.pages.views import Figure, Frame, Hazard, Link, LinkGroup, Picture, Said
from handover.record.record import Record
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from handover.words import OWN, languages, later, spoken, tell

Thing = Panel | Source | Transfer | Feeder | Circuit | Run | Box | Equipment
Reader = Literal["homeowner", "worker", "selling", "everybody"]

PHOTO_SIZES = "(min-width: 860px) 828px, calc(100vw - 32px)"
"""How wide a photo stands on the page: the width of ``main`` in site.css less its padding.  Change both together."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A page that every pack has, as the lists of pages name it."""

    path: str
    title: str
    group: str


LIVE, WORK, SELL = later("I live here"), later("I work on it"), later("Selling or insuring")
ABOUT = later("The record itself")
UNKNOWN = ("findings.html", later("What stayed unknown"))
"""The findings under the name by which somebody who lives in the house looks for them."""
ENTRIES = (
    Entry("index.html", later("Home"), LIVE),
    Entry("trouble.html", later("If something is wrong"), LIVE),
    Entry("switch-off.html", later("Switch it all off"), LIVE),
    Entry("directory.html", later("What each breaker feeds"), LIVE),
    Entry("care.html", later("Look after it"), LIVE),
    Entry("questions.html", later("Everyday questions"), LIVE),
    Entry("worker.html", later("For the next worker"), WORK),
    Entry("drawings.html", later("Drawings"), WORK),
    Entry("numbers.html", later("The numbers, checked"), WORK),
    Entry("findings.html", later("Found, unknown, not checked"), WORK),
    Entry("photos.html", later("Photos"), WORK),
    Entry("summary.html", later("One-page summary"), SELL),
    Entry("about.html", later("About this record"), ABOUT),
)
CHANGES = Entry("changes.html", later("What changed"), ABOUT)
LABELS = Entry("labels.html", later("Labels and files"), ABOUT)
ONE_FILE = "pack.html"
"""All pages of an edition in one file, made from the finished ones."""
SHORT = (
    ("index.html", later("Home")),
    ("trouble.html", later("Trouble")),
    ("switch-off.html", later("Switch off")),
)
_ON_PAPER = "-paper"
IN_EVERY_LANGUAGE = (
    "index.html", "trouble.html", "switch-off.html", "directory.html", "care.html", "questions.html", "findings.html",
    "reminders.ics",
)  # fmt: skip
"""What is for somebody who lives in the house; with these, the page of each code."""
_SIGNALS_WITH_TRIANGLE = ("DANGER", "WARNING", "CAUTION")  # ANSI Z535.4: NOTICE carries no safety alert symbol


def subject_code(subject: str) -> str:
    """The code a result belongs to: ``P1`` of ``P1/14/16``."""
    return subject.split("/", maxsplit=1)[0]


def telephone(text: str) -> str:
    """A ``tel:`` address from a number as written, empty where there is no number in it."""
    digits = re.sub(r"[^0-9]", "", text)
    return f"tel:{'+' if text.strip().startswith('+') else ''}{digits}" if digits else ""


def folder_in(language: str) -> str:
    """Where the pages in a language stand: ``lang-es/``, which no code can be; for ``OWN`` the site's root itself."""
    return "" if language == OWN else f"lang-{language}/"


def part_id(language: str) -> str:
    """Where the pages in a language begin within ``ONE_FILE``."""
    return f"pages-{language}"


def name_in(language: str, drawing: str) -> str:
    """A drawing's name where it is drawn in several languages: ``es-face-P1``; as it is for ``OWN``."""
    return drawing if language == OWN else f"{language}-{drawing}"


def things_of(record: Record) -> dict[str, Thing]:
    """Everything of a record that has a page of its own, by code, in the order in which lists show it."""
    groups: tuple[tuple[Thing, ...], ...] = (
        record.circuits, record.equipment, record.panels, record.feeders, record.sources, record.transfers,
        record.runs, record.boxes,
    )  # fmt: skip
    return {thing.code: thing for group in groups for thing in group}


class Book:
    """Look-ups over one pack that every page shares."""

    def __init__(self, pack: Pack) -> None:
        self.pack = pack
        self.record = pack.record
        self.installation = pack.installation
        self.language = spoken()
        self.folder = folder_in(self.language)

    def in_every_language(self, path: str) -> bool:
        """Whether there is such a page in each language, rather than in ``OWN`` alone."""
        return path in IN_EVERY_LANGUAGE or path.endswith("/index.html")

    @cached_property
    def things(self) -> dict[str, Thing]:
        """Everything that has a page of its own."""
        return things_of(self.record)

    @cached_property
    def numbers_to_call(self) -> dict[str, str]:
        """Each number of the record that a step may name, with the address that dials it."""
        emergency, contractor = self.record.emergency, self.record.contractor
        numbers = (emergency.call, emergency.utility_line, contractor.phone)
        return {" ".join(number.split()): telephone(number) for number in numbers}

    @cached_property
    def places_quoted(self) -> dict[str, str]:
        """Each page and section that a step may name, in its quotation marks, with where it stands."""
        return places_quoted(self.installation, ((entry.title, entry.path) for entry in ENTRIES))

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """The pages of this edition besides those of a code, a subject or a drawing."""
        changes = (CHANGES,) if self.pack.earlier else ()
        labels = (LABELS,) if self.owner_edition and self.pack.superseded is None else ()
        return (*ENTRIES, *changes, *labels)

    @property
    def owner_edition(self) -> bool:
        """Whether this is the owner's full edition."""
        return self.pack.edition is Edition.OWNER

    @cached_property
    def results_by_code(self) -> dict[str, tuple[CheckResult, ...]]:
        """The results about each code, in report order."""
        found: dict[str, list[CheckResult]] = defaultdict(list)
        for result in self.pack.results:
            found[subject_code(result.subject)].append(result)
        return {code: tuple(results) for code, results in found.items()}

    def runs_through(self, box: Box) -> tuple[Run, ...]:
        """The runs that pass a box."""
        return tuple(run for run in self.record.runs if any(step.box == box.code for step in run.path))

    def numbers_path(self, code: str) -> str:
        """The page with the working for one code."""
        return f"numbers-{re.sub(r'[^A-Za-z0-9]+', '-', code)}.html"

    def sheet_path(self, name: str) -> str:
        """The page that holds one drawing alone."""
        return f"drawing-{name}.html"

    @cached_property
    def sheets(self) -> tuple[str, ...]:
        """The drawings that get a page of their own: no face with one breaker marked, none for paper."""
        return tuple(
            name
            for name in self.pack.drawings
            if not (name.startswith("face-") and name.count("-") > 1) and not name.endswith(_ON_PAPER)
        )

    @property
    def plans(self) -> tuple[str, ...]:
        """The drawings by which a buried or hidden run is found again."""
        return tuple(name for name in self.sheets if name.startswith("plan-"))

    def paper(self, name: str) -> str:
        """The same drawing folded to fit a printed sheet, empty where it needs no folding."""
        return name + _ON_PAPER if name + _ON_PAPER in self.pack.drawings else ""

    def drawings_of(self, code: str) -> tuple[str, ...]:
        """The drawings that concern a code, without panel faces."""
        return tuple(name for name in self.sheets if code in name.split("-")[1:] and not name.startswith("face-"))

    def subject_name(self, subject: str) -> str:
        """A result's subject in words: name of the thing, and the spaces where it is about some."""
        code, _, spaces = subject.partition("/")
        # An entry of the record may name any subject, also one that no result has: that is shown as it was written.
        if not re.fullmatch(r"\d+(/\d+)*", spaces):
            return self.installation.name_of(subject)
        return f"{self.installation.name_of(code)}, {'spaces' if '/' in spaces else 'space'} {spaces}"


@dataclass(frozen=True, slots=True)
class Here:
    """A page being written: its path, and how everything else is reached from it."""

    book: Book
    path: str

    @property
    def at(self) -> str:
        """Where the page stands below the site's root."""
        return self.book.folder + self.path

    def to(self, path: str) -> str:
        """A relative address, so that the site works below any folder and from a memory stick.

        Of the page in this page's language, where there is one.
        """
        if self.book.in_every_language(path):
            return "../" * self.path.count("/") + path
        return self.from_root(path)

    def from_root(self, path: str) -> str:
        """A relative address of what stands at ``path`` below the site's root."""
        return "../" * self.at.count("/") + path

    def _language_of(self, path: str) -> str:
        """The language of a page, where it is another than this page's."""
        return "" if self.book.in_every_language(path) or self.book.language == OWN else OWN

    def tappable(self, text: str) -> tuple[Said, ...]:
        """A step with the numbers to call in it as links that dial, and each page or section it names as a link."""
        places = {quoted: self.to_part(address) for quoted, address in self.book.places_quoted.items()}
        return in_pieces(text, self.book.numbers_to_call | places)

    def to_part(self, address: str) -> str:
        """The same as ``to`` for a part of a page: ``trouble.html#resets``."""
        path, mark, id = address.partition("#")
        return self.to(path) + mark + id

    def code(self, code: str) -> str:
        """The address of a code's page, empty where it has none."""
        return self.to(folder_of(code)) if code in self.book.things else ""

    def link(self, code: str, about: str = "") -> Link:
        """A link to a code's page under its name."""
        return Link(text=self.book.installation.name_of(code), href=self.code(code), code=code, about=about)

    def entry(self, path: str, text: str = "", about: str = "") -> Link:
        """A link to one of the pages that every pack has."""
        title = text or next(entry.title for entry in self.book.entries if entry.path == path)
        language = self._language_of(path)
        return Link(text=title, href=self.to(path), about=about, current=path == self.path, language=language)

    def figure(self, name: str) -> Figure | None:
        """A drawing of the pack, or None where it was not drawn."""
        drawing = self.book.pack.drawings.get(name)
        if drawing is None:
            return None
        sheet = self.book.sheet_path(name) if name in self.book.sheets and self.book.language == OWN else ""
        return Figure(
            name=name_in(self.book.language, name),
            title=drawing.title,
            sentences=drawing.equivalent,
            sheet="" if sheet in ("", self.path) else self.to(sheet),
        )

    def figures(self, names: Iterable[str]) -> tuple[Figure, ...]:
        """Those of the named drawings that exist."""
        return tuple(figure for figure in map(self.figure, names) if figure is not None)

    def pictures(self, photos: Iterable[PreparedPhoto], *, at_top: bool = False) -> tuple[Picture, ...]:
        """Photos with addresses from this page.  Where they stand ``at_top`` the first of them loads at once."""
        return tuple(self._picture(photo, first=at_top and place == 0) for place, photo in enumerate(photos))

    def _picture(self, prepared: PreparedPhoto, *, first: bool) -> Picture:
        photo = prepared.photo
        by_kind = {
            kind: [file for file in prepared.files if file.kind == kind] for kind in ("image/webp", "image/jpeg")
        }
        sets = {
            kind: ", ".join(f"{self.to(file.path)} {file.width}w" for file in files) for kind, files in by_kind.items()
        }
        fallback = (by_kind["image/jpeg"] or by_kind["image/webp"])[-1]
        facts = [
            photo.place or "",
            tell("looking {way}", way=way_text(photo.looking)) if photo.looking else "",
            date_text(photo.taken) if photo.taken else "",
            tell("scale: {scale}", scale=photo.scale) if photo.scale else "",
        ]
        return Picture(
            id=f"photo-{prepared.number}",
            number=prepared.number,
            alt=photo.alt,
            caption=photo.caption,
            facts=sentence("; ".join(part for part in facts if part)),
            webp=sets["image/webp"],
            jpeg=sets["image/jpeg"],
            source=self.to(fallback.path),
            width=fallback.width,
            height=fallback.height,
            sizes=PHOTO_SIZES,
            marks=tuple(mark.says for mark in photo.marks),
            first=first,
        )

    def hazards(self, codes: Iterable[str], audience: str, *, shared: bool = True) -> tuple[Hazard, ...]:
        """The safety notes about any of ``codes`` (or about no code in particular) for this reader.

        ``shared``: with those that are for everybody.
        """
        wanted, readers = set(codes), {audience, "both"} if shared else {audience}
        return tuple(
            Hazard(
                signal=note.signal,
                kind=note.signal.lower(),
                triangle=note.signal in _SIGNALS_WITH_TRIANGLE,
                hazard=note.hazard,
                consequence=note.consequence,
                avoid=tuple(self.tappable(step) for step in note.avoid),
            )
            for note in self.book.pack.notes
            if note.audience in readers and (wanted & set(note.codes) or (not note.codes and not wanted))
        )

    def frame(self, title: str, on_this_page: Iterable[tuple[str, str]] = ()) -> Frame:
        """What stands round the page: links before it, all links and the record's particulars after it."""
        book, record = self.book, self.book.record
        revision, licence = record.revisions[-1], record.contractor.licence
        groups = tuple(
            LinkGroup(
                heading=group,
                links=(
                    *(self.entry(entry.path) for entry in book.entries if entry.group == group),
                    *((self.entry(*UNKNOWN), *self._to_keep()) if group == LIVE else ()),
                ),
            )
            for group in (LIVE, WORK, SELL, ABOUT)
        )
        return Frame(
            place=record.site.name,
            title=title,
            languages=self._languages(),
            short_links=tuple(self.entry(path, text) for path, text in SHORT),
            all_links=groups,
            on_this_page=tuple(Link(text=text, href=f"#{id}") for id, text in on_this_page),
            contractor=record.contractor.name,
            licence_kind=licence.kind or "",
            licence=f"{licence.number}, {licence.issued_by}",
            phone=record.contractor.phone,
            phone_href=telephone(record.contractor.phone),
            record=record.job.number,
            revision=str(revision.number),
            revised=date_text(revision.date),
            left_on=date_text(record.job.dates.finished),
            code=f"{record.code.name} {record.code.edition}",
            permit_withheld=record.permit is not None and not book.owner_edition,
            address=self._address(),
            owner_edition=book.owner_edition,
            superseded=self._superseded(),
        )

    def _to_keep(self) -> tuple[Link, ...]:
        """The part of the first page about keeping a copy: an earlier revision has none to keep."""
        link = Link(text=later("Keep a copy"), href=self.to_part("index.html#keep"))
        return (link,) if self.book.pack.superseded is None else ()

    def _languages(self) -> tuple[Link, ...]:
        """This page in the other languages, or where they begin; empty where there is no other."""
        if self.book.pack.superseded is not None:
            return ()
        path = self.path if self.book.in_every_language(self.path) else "index.html"
        return tuple(
            Link(text=name, href=self.from_root(folder_in(language) + path), language=language)
            for language, name in languages().items()
            if language != self.book.language
        )

    def _superseded(self) -> Link | None:
        """The same page of the present revision, else its first one, where this page is of an earlier revision."""
        now = self.book.pack.superseded
        if now is None:
            return None
        page = self.path if self.path in now.pages else "index.html"
        return Link(
            text=tell("Revision {number} of {date}", number=now.number, date=date_text(now.date)),
            href=self.to(f"../{page}"),
        )

    def _address(self) -> str:
        """The page's address on the web as it would be typed in."""
        job, (folder, _, file) = self.book.record.job, self.at.rpartition("/")
        if self.book.pack.superseded is not None:
            return f"{address_of(job, self.book.pack.superseded.folder)}{self.path.removesuffix('index.html')}"
        if file != "index.html":
            return f"{address_of(job)}{self.at}"
        return address_of(job, folder or None)
