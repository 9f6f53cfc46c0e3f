"""The pages that gather from the whole record: findings, care, the next worker, the summary, the record itself."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

from handover.pack import Reminder
from handover.pages.contents import Here, telephone
from handover.pages.evidence import instrument_rows, material_rows, reading_table, torque_table
from handover.pages.findings import first_sentence, still_open
from handover.pages.house import SourceOff, panel_face, source_steps
from handover.pages.numbers import Count, counts_in_words, counts_of
from handover.pages.room import room_rows
from handover.pages.shown import date_text, lines, listed, month_name, plain, rows, said, sentence, table
from handover.pages.switching import called
from handover.pages.upstream import transformer_rows
from handover.pages.views import Hazard, Link, LinkGroup, Row, Said, Table
from handover.record.evidence import MaterialItem
from handover.record.people import Inspection
from handover.record.supply import Grounding, Panel
from handover.record.wiring import Box, Run
from handover.safety_notes import CARE
from handover.words import tell


@dataclass(frozen=True, kw_only=True, slots=True)
class Task:
    """One thing to look after.  ``id`` lets the list by month lead to it."""

    id: str
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
    """What falls due in a month of the year, or in every month, by who does it."""

    month: str
    by: tuple[LinkGroup, ...]


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
        months=tuple(_by_month(every)),
        calendar="" if here.book.pack.superseded else here.to("reminders.ics"),
        hazards=here.hazards((CARE,), "homeowner"),
    )


def _by_month(every: list[Reminder]) -> Iterator[MonthDue]:
    """Every month, then the months of the year that ask for something: the others are no news."""
    monthly = [item for item in every if item.every_months == 1]
    due = [
        (tell("Every month"), monthly),
        *(
            (sentence(month_name(month)), [item for item in every if month in _months_due(item)])
            for month in range(1, 13)
        ),
    ]
    for month, tasks in due:
        by: dict[str, list[Link]] = {}
        for item in tasks:
            by.setdefault(item.who, []).append(Link(text=item.what, href=f"#{_task_id(item)}", about=_seldom(item)))
        if by:
            yield MonthDue(
                month=month, by=tuple(LinkGroup(heading=who, links=tuple(links)) for who, links in by.items())
            )


def _seldom(reminder: Reminder) -> str:
    """In which years a task comes, where that is not each of them."""
    years = reminder.every_months // 12
    if not reminder.every_months:
        return tell("{year} only", year=reminder.first.year)
    return tell("{year}, then every {years} years", year=reminder.first.year, years=years) if years > 1 else ""


def _task_id(reminder: Reminder) -> str:
    return f"task-{reminder.id.replace('_', '-')}"


def _when(here: Here, reminder: Reminder) -> str:
    """When a task is due.  One whose first time comes sooner than its turn, as after new work, says both."""
    first, due = date_text(reminder.first), _months_due(reminder)
    finished = here.book.record.job.dates.finished
    until_first = (reminder.first.year - finished.year) * 12 + reminder.first.month - finished.month
    if 0 <= until_first < reminder.every_months - 12 and reminder.every_months % 12 == 0:
        again = _how_often(reminder.every_months).lower()
        return tell("once after {span}, on {date}; then {again}", span=_span(until_first), date=first, again=again)
    starts = tell("first on {date}", date=first)
    return f"{listed(month_name(month) for month in due)}; {starts}" if due else starts


def _span(months: int) -> str:
    years, rest = divmod(months, 12)
    if rest or not years:
        return tell("1 month") if months == 1 else tell("{months} months", months=months)
    return tell("one year") if years == 1 else tell("{years} years", years=years)


def _how_often(months: int) -> str:
    years, rest = divmod(months, 12)
    if not months:
        return tell("Once")
    if rest:
        return tell("Every month") if months == 1 else tell("Every {months} months", months=months)
    return tell("Once a year") if years == 1 else tell("Every {years} years", years=years)


def _months_due(reminder: Reminder) -> tuple[int, ...]:
    """The months of the year in which a reminder falls due.  Empty for one of every month: that is no date to note."""
    if reminder.every_months == 1:
        return ()
    step = 12 if reminder.every_months % 12 == 0 else reminder.every_months
    turns = range(0, 12, step) if 12 % step == 0 else range(0, step * 12, step)
    return tuple(sorted({(reminder.first.month - 1 + turn) % 12 + 1 for turn in turns}))


def _task(here: Here, reminder: Reminder) -> Task:
    return Task(
        id=_task_id(reminder),
        what=reminder.what,
        how=lines(*reminder.how.splitlines()),
        who=reminder.who,
        months=_when(here, reminder),
        why=reminder.why,
        source=reminder.source,
        codes=tuple(here.link(code) for code in reminder.codes if code in here.book.things),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkerPanel:
    """A panel as somebody sees it who has to add to it."""

    link: Link
    rows: tuple[Row, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkerPage:
    """For the worker at the panel years later: what feeds what, what stays live, what is where."""

    hazards: tuple[Hazard, ...]
    service: tuple[Row, ...]
    service_conductors: tuple[Row, ...]
    grounding: tuple[Row, ...]
    panels: tuple[WorkerPanel, ...]
    sources: tuple[SourceOff, ...]
    transfers: tuple[Link, ...]
    runs: tuple[Link, ...]
    plans: tuple[Link, ...]
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
        hazards=here.hazards(every_code, "worker"),
        service=rows(
            record.service, "utility", "volts", "rating", "entrance", "disconnect_place", "disconnect_marked",
            "fault_current", "surge_protection",
        )
        + transformer_rows(record.service),
        service_conductors=rows(
            record.service.conductors, "size", "neutral", "material", "insulation", "sets", "length",
        )
        if record.service.conductors
        else (_NOT_ON_RECORD,),
        grounding=_grounding_rows(record.service.grounding),
        panels=tuple(_worker_panel(here, panel) for panel in record.panels),
        sources=tuple(source_steps(here, source) for source in record.sources),
        transfers=tuple(here.link(transfer.code, transfer.place) for transfer in record.transfers),
        runs=tuple(_run_link(here, run) for run in record.runs),
        plans=tuple(
            Link(text=book.pack.drawings[name].title, href=here.to(book.sheet_path(name))) for name in book.plans
        ),
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
        materials=tuple(_fitted(here, item) for item in record.materials),
        counts=counts_of(book.pack.results),
        links=tuple(here.entry(path) for path in ("drawings.html", "directory.html", "numbers.html", "findings.html")),
    )  # fmt: skip


_NOT_ON_RECORD = Row(label="All of it", said=Said(text="Not on record", open=True))


def _grounding_rows(grounding: Grounding | None) -> tuple[Row, ...]:
    """The grounding electrode conductor, then the electrodes."""
    if grounding is None:
        return (_NOT_ON_RECORD,)
    electrodes = []
    for electrode in grounding.electrodes:
        length = said(electrode.length)
        about = lines(electrode.work, electrode.place, f"length: {length.text.lower()}" if length else "")
        electrodes.append(Row(label=sentence(electrode.kind), said=plain("; ".join(about))))
    facts = rows(grounding, "conductor", "conductor_material", "intersystem_bonding", "all_present_used")
    return (*facts, *electrodes)


def _worker_panel(here: Here, panel: Panel) -> WorkerPanel:
    face = panel_face(here, panel, spaces=False)
    return WorkerPanel(
        link=face.link,
        rows=(
            Row(label="Where it is", said=plain(face.place)),
            Row(label="Fed from", said=plain(face.fed)),
            *rows(
                panel, "bus", "main_kind", "main", "main_interrupting", "short_circuit_rating", "feed_through_lugs",
                "neutral_bonded", "terminals",
            ),
            Row(label="Spaces with no breaker", said=plain(face.left)),
            Row(label="Of these, pairs for a two-pole breaker", said=plain(", ".join(free_pairs(panel)) or "none")),
            *room_rows(here, panel),
        ),
    )  # fmt: skip


def free_pairs(panel: Panel) -> list[str]:
    """The pairs of neighbouring spaces on one side that hold no breaker: ``34/36``.  Two pairs may share a space."""
    taken = {space for slot in panel.slots if not slot.blank for space in slot.spaces}
    step = 1 if panel.numbering == "down one side" else 2
    spaces = range(1, panel.spaces + 1 - step)
    return [f"{space}/{space + step}" for space in spaces if not {space, space + step} & taken]


def _fitted(here: Here, item: MaterialItem) -> tuple[Row, ...]:
    """One thing fitted or left as a spare, and what for."""
    code = item.for_code
    if code is None:
        return material_rows(item)
    href = here.code(code) if code in here.book.things else ""
    return (*material_rows(item), Row(label="For", said=plain(called(here.book, code), href=href)))


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


def _without_note(shown: Said | None) -> Said | None:
    """A value on a page that has to fit one sheet; the note stands on the page of the thing."""
    return shown and replace(shown, note="")


@dataclass(frozen=True, kw_only=True, slots=True)
class SummaryPage:
    """One printable page for a buyer, a lender or an insurer."""

    done: str
    summary: str
    rows: tuple[Row, ...]
    permit: tuple[Row, ...]
    inspected: bool
    panels: Table
    sources: tuple[str, ...]
    wiring: tuple[str, ...]
    unknown: tuple[str, ...]
    undecided: tuple[str, ...]
    counts: tuple[str, ...]
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
            ("Rough-in (wires in, walls open)", dates.rough_in), ("Covered", dates.covered),
            ("Energized (switched on)", dates.energized), ("Finished", dates.finished),
        )
        if day
    )  # fmt: skip
    permit_rows = rows(permit, "number", "authority", "issued") if permit else ()
    visits = tuple(Row(label=item.kind, said=_outcome(item)) for item in permit.inspections) if permit else ()
    panels = [
        (
            plain(panel.name),
            said(panel.main) or plain(panel.main_kind),
            _without_note(said(panel.year)),
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
        permit=(*permit_rows, *visits),
        inspected=bool(visits),
        panels=table("Panels", ("Panel", "Main", "Year", "Maker", "Work"), panels),
        sources=tuple(f"{called(book, item.code)}: {item.kind}, {item.place}." for item in record.sources),
        wiring=tuple(
            f"{item.kind.capitalize()}, {item.place}: {first_sentence(item.what)}." for item in record.findings
        ),
        unknown=still_open(book),
        undecided=tuple(f"Advised: {item.what}" for item in record.advice if item.decision == "not decided"),
        counts=counts_in_words(book.pack.results),
        links=tuple(here.entry(path) for path in ("findings.html", "numbers.html", "photos.html")),
    )
