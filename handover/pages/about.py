"""The record itself, and what it gives away: about, labels to print, files to keep."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import quote

from handover.labels import not_made
from handover.labels.wording import catalogue
from handover.pages.changes import earlier_link
from handover.pages.contents import CHANGES, Here
from handover.pages.shown import date_text, lines, plain, rows, table
from handover.pages.views import Link, Note, Row, Table


@dataclass(frozen=True, kw_only=True, slots=True)
class AboutPage:
    """The record itself: who made it, what it goes by, how its words are meant."""

    contractor: tuple[Row, ...]
    code: tuple[Row, ...]
    departures: tuple[str, ...]
    amendments: tuple[Note, ...]
    answers: tuple[Note, ...]
    confirmed: tuple[Note, ...]
    revisions: Table
    changes: Link | None
    earlier: tuple[Link, ...]
    owner: tuple[Row, ...]
    notes: str
    glossary: tuple[tuple[str, str], ...]


def _asked(here: Here, asked: Mapping[tuple[str, str], str], rule: str, subject: str) -> str:
    """The thing and the question that was answered about it; the rule's name where no result asks it."""
    question = asked.get((rule, subject)) or rule.replace("_", " ")
    return f"{here.book.subject_name(subject)}: {question}"


def about_page(here: Here, glossary: Iterable[tuple[str, str]]) -> AboutPage:
    """About this record."""
    book, record = here.book, here.book.record
    asked = {(result.rule, result.subject): result.question for result in book.pack.results}
    answered = {(result.rule, result.subject) for result in book.pack.results if result.answered is not None}
    contractor, licence, permit = record.contractor, record.contractor.licence, record.permit
    revisions = [
        (plain(item.number), plain(date_text(item.date)), plain(item.by), plain(item.what))
        for item in reversed(record.revisions)
    ]
    people = [
        Row(label=person.name, said=plain("; ".join(part for part in (person.phone, person.email) if part) or "–"))
        for person in record.site.people
    ]
    return AboutPage(
        contractor=(
            Row(label="Contractor", said=plain(contractor.name)),
            Row(
                label="License", said=plain(", ".join(filter(None, (licence.kind, licence.number, licence.issued_by))))
            ),
            *rows(contractor, "phone", "email", "address", "worker"),
            Row(label="Record", said=plain(record.job.number)),
        ),
        code=(
            Row(label="Code in force", said=plain(f"{record.code.name} {record.code.edition}")),
            *rows(record.code, "adopted_by"),
            *(rows(permit, "authority", "number", "issued") if permit else ()),
        ),
        departures=permit.departures if permit else (),
        amendments=tuple(
            Note(
                heading=item.reference,
                lines=lines(item.text, f"Effect: {item.effect}.", f"Limit: {item.limit}." if item.limit else ""),
            )
            for item in record.code.amendments
        ),
        answers=tuple(
            Note(
                heading=_asked(here, asked, item.rule, item.subject),
                lines=(item.reason, f"{item.by}, {date_text(item.date)}"),
            )
            for item in record.answers
            if (item.rule, item.subject) in answered  # one that meets no failing check would read like a fault
        ),
        confirmed=tuple(
            Note(
                heading=_asked(here, asked, item.rule, item.subject),
                lines=(("Yes. " if item.answer else "No. ") + item.how,),
            )
            for item in record.confirmed
        ),
        revisions=table("Revisions, the present one first", ("No.", "Date", "By", "What changed"), revisions),
        changes=here.entry(CHANGES.path, "What changed, fact by fact") if book.pack.earlier else None,
        earlier=tuple(earlier_link(here, issue) for issue in reversed(book.pack.earlier)),
        owner=(*rows(record.site, "address", "county"), *people, *rows(record.site, "consent")),
        notes=record.private_notes or "",
        glossary=tuple(glossary),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class LabelArt:
    """One label on the sheet."""

    title: str
    file: str
    width: str
    height: str
    goes: str
    material: str
    size: str
    address: str
    why: str
    state: str
    wide: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class LabelsPage:
    """The print sheet, and the files of the owner edition."""

    authority: str
    not_made: tuple[str, ...]
    labels: tuple[LabelArt, ...]
    downloads: tuple[Link, ...]
    calendar: str


_WIDE_MM = 115  # beyond it no caption fits beside the label on a Letter sheet
_PIXELS_PER_MM = 96 / 25.4  # CSS: one inch is 96 px


def labels_page(here: Here) -> LabelsPage:
    """The labels to print and the files to keep."""
    pack = here.book.pack
    return LabelsPage(
        authority=catalogue()["authority"],
        not_made=not_made(pack.record),
        labels=tuple(
            LabelArt(
                title=label.title,
                file=here.to(f"downloads/label-{label.name}.svg"),
                width=str(round(label.width_mm * _PIXELS_PER_MM)),
                height=str(round(label.height_mm * _PIXELS_PER_MM)),
                goes=label.goes,
                material=label.material,
                size=f"{label.width_mm:g} × {label.height_mm:g} mm",
                address=label.address or "",
                why=label.why,
                state=label.state,
                wide=label.width_mm > _WIDE_MM,
            )
            for label in pack.labels
        ),
        downloads=tuple(Link(text=name, href=here.to(quote(path))) for path, name in pack.downloads),
        calendar=here.to("reminders.ics"),
    )
