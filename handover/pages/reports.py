"""The pages that gather from the whole record: findings, care, the next worker, the summary, the record itself."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

from handover.pack import Reminder
from handover.pages.contents import Here, telephone
from handover.pages.evidence import instrument_rows, material_rows, reading_table, torque_table
from handover.pages.first_screen import called
from handover.pages.house import PanelFace, SourceOff, panel_face, source_steps
from handover.pages.numbers import Count, counts_of
from handover.pages.shown import date_text, listed, month_name, open_facts, plain, rows, said, table
from handover.pages.subjects import Note, lines
from handover.pages.views import Hazard, Link, Row, Said, Table
from handover.record.people import Inspection
from handover.record.wiring import Box, Run
from handover.safety_notes import CARE


@dataclass(frozen=True, kw_only=True, slots=True)
class FindingsPage:
    """What was there, what nobody could explain, what nobody looked at, and what was advised."""

    found: tuple[Note, ...]
    unknown: tuple[Note, ...]
    not_checked: tuple[Note, ...]
    advice: tuple[Note, ...]
    open_facts: Table | None


def findings_page(here: Here) -> FindingsPage:
    """Found, unknown, not checked, advised: each as loudly as what is known."""
    record = here.book.record
    found = []
    for item in record.findings:
        told = said(item.owner_told)
        told_line = f"Owner told: {told.text}." if told else ""
        found.append(Note(heading=item.what, lines=lines(
            f"Where: {item.place}.", f"Kind: {item.kind} ({item.basis}).", _led("Risk", item.risk),
            _led("Advice", item.advice), told_line, _codes(here, item.of),
        )))  # fmt: skip
    facts = [(plain(of), plain(label), shown) for of, label, shown in open_facts(record)]
    return FindingsPage(
        found=tuple(found),
        unknown=tuple(
            Note(heading=item.what, lines=lines(
                f"Where: {item.place}.", f"Tried: {item.tried}", f"Until known, treat as: {item.treat_as}",
                _codes(here, item.of),
            ))
            for item in record.unknowns
        ),
        not_checked=tuple(Note(heading=item.what, lines=(f"Why: {item.why}",)) for item in record.not_checked),
        advice=tuple(
            Note(heading=item.what, lines=lines(
                f"Why: {item.why}",
                f"Owner's decision: {item.decision}"
                + (f", {date_text(item.decided_on)}" if item.decided_on else "")
                + (f", {item.decided_by}" if item.decided_by else "") + ".",
            ))
            for item in record.advice
        ),
        open_facts=table("Single facts that are open", ("Of", "Fact", "State"), facts) if facts else None,
    )  # fmt: skip


def _led(word: str, text: str | None) -> str:
    return f"{word}: {text}" if text else ""


def _codes(here: Here, codes: Iterable[str]) -> str:
    names = [called(here.book, code) for code in codes]
    return f"Concerns: {listed(names)}." if names else ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Task:
    """One thing to look after."""

    what: str
    how: tuple[str, ...]
    who: str
    months: str
    why: str
    source: str
    codes: tuple[Link, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class TaskGroup:
    """Tasks that come round equally often."""

    heading: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthDue:
    """What falls due in a month of the year, besides what is due every month."""

    month: str
    tasks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CarePage:
    """The reminders: by how often, and by month of the year."""

    groups: tuple[TaskGroup, ...]
    months: tuple[MonthDue, ...]
    calendar: str
    hazards: tuple[Hazard, ...]


def care_page(here: Here) -> CarePage:
    """What to look after, how often and by whom."""
    every = sorted(here.book.pack.reminders, key=lambda reminder: reminder.every_months)
    groups = itertools.groupby(every, key=lambda reminder: reminder.every_months)
    return CarePage(
        groups=tuple(
            TaskGroup(heading=_how_often(months), tasks=tuple(_task(here, reminder) for reminder in group))
            for months, group in groups
        ),
        months=tuple(
            MonthDue(
                month=month_name(month),
                tasks=tuple(
                    f"{reminder.what} ({reminder.who})" for reminder in every if month in _months_due(reminder)
                ),
            )
            for month in range(1, 13)
        ),
        calendar=here.to("reminders.ics"),
        hazards=here.hazards((CARE,), ("homeowner",)),
    )


def _how_often(months: int) -> str:
    years, rest = divmod(months, 12)
    if rest:
        return "Every month" if months == 1 else f"Every {months} months"
    return "Once a year" if years == 1 else f"Every {years} years"


def _months_due(reminder: Reminder) -> tuple[int, ...]:
    """The months of the year in which a reminder falls due.  Empty for one of every month: that is no date to note."""
    if reminder.every_months == 1:
        return ()
    step = 12 if reminder.every_months % 12 == 0 else reminder.every_months
    turns = range(0, 12, step) if 12 % step == 0 else range(0, step * 12, step)
    return tuple(sorted({(reminder.first.month - 1 + turn) % 12 + 1 for turn in turns}))


def _task(here: Here, reminder: Reminder) -> Task:
    due = _months_due(reminder)
    first = date_text(reminder.first)
    return Task(
        what=reminder.what,
        how=lines(*reminder.how.splitlines()),
        who=reminder.who,
        months=f"{listed(month_name(month) for month in due)}; first on {first}" if due else f"first on {first}",
        why=reminder.why,
        source=reminder.source,
        codes=tuple(here.link(code) for code in reminder.codes if code in here.book.things),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkerPage:
    """For the worker at the panel years later: what feeds what, what stays live, what is where."""

    hazards: tuple[Hazard, ...]
    service: tuple[Row, ...]
    panels: tuple[PanelFace, ...]
    sources: tuple[SourceOff, ...]
    transfers: tuple[Link, ...]
    runs: tuple[Link, ...]
    boxes: tuple[Link, ...]
    shared_neutrals: tuple[str, ...]
    settings: Table | None
    readings: Table | None
    torques: Table | None
    instruments: tuple[tuple[Row, ...], ...]
    materials: tuple[tuple[Row, ...], ...]
    counts: tuple[Count, ...]
    links: tuple[Link, ...]


def worker_page(here: Here) -> WorkerPage:
    """The page for the next worker."""
    book, record = here.book, here.book.record
    every_code = [*book.things]
    return WorkerPage(
        hazards=here.hazards(every_code, ("worker",)),
        service=rows(
            record.service, "utility", "volts", "rating", "entrance", "disconnect_place", "disconnect_marked",
            "fault_current", "surge_protection",
        ),
        panels=tuple(panel_face(here, panel, spaces=False) for panel in record.panels),
        sources=tuple(source_steps(here, source) for source in record.sources),
        transfers=tuple(here.link(transfer.code, transfer.place) for transfer in record.transfers),
        runs=tuple(_run_link(here, run) for run in record.runs),
        boxes=tuple(_box_link(here, box) for box in record.boxes),
        shared_neutrals=tuple(
            f"{called(book, item.code)} shares its neutral with {called(book, item.multiwire_with)}."
            for item in record.circuits
            if item.multiwire_with
        ),
        settings=_settings(here),
        readings=reading_table(book, record.readings),
        torques=torque_table(book, record.torques),
        instruments=tuple(instrument_rows(item) for item in record.instruments),
        materials=tuple(material_rows(item) for item in record.materials if item.for_code is None),
        counts=counts_of(book.pack.results),
        links=tuple(here.entry(path) for path in ("drawings.html", "directory.html", "numbers.html", "findings.html")),
    )  # fmt: skip


def _run_link(here: Here, run: Run) -> Link:
    size = said(run.trade_size)
    carries = listed(wiring.code for wiring in here.book.installation.carried_by(run)) or "nothing on record"
    string = "pull string left in" if run.pull_string.value else ""
    about = lines(f"{run.method}{f', {size.text}' if size else ''}", f"carries {carries}", string)
    return here.link(run.code, "; ".join(about))


def _box_link(here: Here, box: Box) -> Link:
    spliced = said(box.spliced)
    return here.link(box.code, "; ".join(lines(box.place, f"splices: {spliced.text}" if spliced else "")))


def _settings(here: Here) -> Table | None:
    every = [
        (
            Said(text=item.name, href=here.code(item.code)),
            plain(setting.name),
            said(setting.value),
            plain(setting.read_back) if setting.read_back else None,
            plain(setting.may_change) if setting.may_change else None,
        )
        for item in here.book.record.equipment
        for setting in item.settings
    ]
    columns = ("Equipment", "Setting", "Left at", "How to read it back", "Who may change it")
    return table("Settings as left", columns, every) if every else None


def _outcome(visit: Inspection) -> Said:
    """What came of an inspection, and when: as loudly where it is unknown."""
    shown = [part for part in (said(visit.result), said(visit.date)) if part is not None]
    if not shown:
        return Said(text="Outcome not on record", open=True)
    return Said(text=", ".join(part.text for part in shown), tag=shown[0].tag, open=any(part.open for part in shown))


@dataclass(frozen=True, kw_only=True, slots=True)
class SummaryPage:
    """One printable page for a buyer, a lender or an insurer."""

    done: str
    summary: str
    rows: tuple[Row, ...]
    permit: tuple[Row, ...]
    inspections: tuple[Row, ...]
    panels: Table
    sources: tuple[str, ...]
    wiring: tuple[str, ...]
    counts: tuple[Count, ...]
    links: tuple[Link, ...]


def summary_page(here: Here) -> SummaryPage:
    """What a buyer, a lender or an insurer asks, answered from the record alone."""
    book, record = here.book, here.book.record
    contractor, dates, permit = record.contractor, record.job.dates, record.permit
    licence = contractor.licence
    done_by = (
        Row(label="Done by", said=plain(contractor.name)),
        Row(label="License", said=plain(f"{licence.number}, {licence.issued_by}")),
        Row(label="Phone", said=plain(contractor.phone, href=telephone(contractor.phone))),
    )
    days = tuple(
        Row(label=label, said=plain(date_text(day)))
        for label, day in (
            ("Rough-in", dates.rough_in), ("Covered", dates.covered),
            ("Energized", dates.energized), ("Finished", dates.finished),
        )
        if day
    )  # fmt: skip
    permit_rows = rows(permit, "number", "authority", "issued") if permit else ()
    visits = tuple(Row(label=item.kind, said=_outcome(item)) for item in permit.inspections) if permit else ()
    panels = [
        (
            plain(panel.name),
            said(panel.main) or plain(panel.main_kind),
            said(panel.year),
            said(panel.maker),
            plain(panel.work),
        )
        for panel in record.panels
    ]
    return SummaryPage(
        done=record.job.title,
        summary=record.job.summary,
        rows=(
            *done_by,
            *days,
            Row(label="Code in force", said=plain(f"{record.code.name} {record.code.edition}")),
            *rows(record.site, "building", "year_built", "address", "county"),
            *rows(record.service, "volts", "rating", "entrance", "disconnect_place"),
        ),
        permit=permit_rows,
        inspections=visits,
        panels=table("Panels", ("Panel", "Main", "Year", "Maker", "Work"), panels),
        sources=tuple(f"{called(book, item.code)}: {item.kind}, {item.place}." for item in record.sources),
        wiring=tuple(f"{item.kind.capitalize()}, {item.place}: {item.what}" for item in record.findings),
        counts=counts_of(book.pack.results),
        links=tuple(here.entry(path) for path in ("findings.html", "numbers.html", "photos.html")),
    )
