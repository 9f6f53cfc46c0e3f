"""The job's administration: address, edition, revisions, and dates that can follow one another."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from handover.addresses import is_pack_id, is_publish_address
from handover.problems import Problem
from handover.record.evidence import Confirmed
from handover.record.facts import Part
from handover.record.people import EDITIONS, Answer
from handover.record.record import Record
from handover.record.said import about, seen_from, spoken_of


def administration_problems(record: Record) -> list[Problem]:
    """What is wrong with the record's address, edition, revisions, answers and dates."""
    return [
        *_address(record),
        *_edition(record),
        *_revisions(record),
        *_retired_since(record),
        *_work_dates(record),
        *_dates_after_the_record(record),
        *_answered_twice(record),
    ]


def _address(record: Record) -> Iterator[Problem]:
    job = record.job
    if not is_pack_id(job.pack):
        yield about(
            job,
            "pack",
            "job",
            "is not a secret address that  handover new  makes",
            "Make a starter folder with  handover new  and copy its  pack:  line; never make one up.",
        )
    if not is_publish_address(job.publish_at):
        yield about(
            job,
            "publish_at",
            "job",
            f'"{job.publish_at}" is not an address that can stand in a code',
            "Write it like:  publish_at: https://packs.example.com   or, with folders in capitals, "
            "https://example.com/PACKS",
        )
    elif job.publish_at.split("/", 3)[3:] != [part.upper() for part in job.publish_at.split("/", 3)[3:]]:
        yield about(
            job,
            "publish_at",
            "job",
            f'"{job.publish_at}" has a folder in small letters, and the code on a label is all capitals',
            "Name the folder in capitals, here and on the host.",
        )


def _edition(record: Record) -> Iterator[Problem]:
    if record.code.edition not in EDITIONS:
        have = f"{', '.join(str(edition) for edition in EDITIONS[:-1])} or {EDITIONS[-1]}"
        yield about(
            record.code,
            "edition",
            "code",
            f"the {record.code.edition} edition is not one this program has",
            f"Write the edition adopted for this permit, if it is {have}; the job cannot be checked against another.",
        )


def _revisions(record: Record) -> Iterator[Problem]:
    if not record.revisions:
        yield Problem(
            record.place_of("revisions"),
            "revisions",
            "the list is empty",
            "Write the first issue: number 1, with date, by and what.",
        )
    for number in range(1, len(record.revisions)):
        earlier, later = record.revisions[number - 1 : number + 1]
        where = spoken_of("revisions", later, number)
        if later.number <= earlier.number:
            what = f"{later.number} follows {earlier.number}"
            yield about(later, "number", where, what, "Number the issues 1, 2, 3 and list the oldest first.")
        if later.date < earlier.date:
            what = f"{later.date} is earlier than the issue before it, {earlier.date}"
            yield about(later, "date", where, what, "List the oldest issue first, or correct the date.")


def _retired_since(record: Record) -> Iterator[Problem]:
    issued = [revision.number for revision in record.revisions]
    for number, note in enumerate(record.retired_codes):
        if note.since is not None and note.since not in issued:
            what = f"the record lists no revision {note.since}"
            remedy = "Write the number of the revision from which on the code is no longer used."
            yield about(note, "since", spoken_of("retired_codes", note, number), what, remedy)


def _work_dates(record: Record) -> Iterator[Problem]:
    dates = record.job.dates
    # A trench may be covered before the rough-in of the building it leads to, so those two have no order.
    for earlier, later in (
        ("rough_in", "finished"),
        ("covered", "finished"),
        ("energized", "finished"),
    ):
        first, then = getattr(dates, earlier), getattr(dates, later)
        if first is not None and then is not None and then < first:
            what = f"{then} is earlier than {earlier}, {first}"
            yield about(dates, later, "job, dates", what, "Correct the one that is wrong.")
    if record.permit is not None and record.permit.issued.value is not None:
        for number, inspection in enumerate(record.permit.inspections):
            when = inspection.date.value
            if when is not None and when < record.permit.issued.value:
                what = f"{when} is earlier than the permit's issue, {record.permit.issued.value}"
                where = f"permit, inspections entry {number + 1}"
                yield about(inspection, "date", where, what, "Correct the one that is wrong.")


def _dates_after_the_record(record: Record) -> Iterator[Problem]:
    """What a record tells as done cannot be later than its last issue.  Warranties and reminders may be."""
    if not record.revisions:
        return
    issued = max(revision.date for revision in record.revisions)
    for part, key, where, when in _told_as_done(record):
        if when is not None and when > issued:
            what = f"{when} is later than the record's last issue, {issued}"
            yield about(part, key, where, what, "Correct the date, or add a revision with its own date.")


def _told_as_done(record: Record) -> Iterator[tuple[Part, str, str, dt.date | None]]:
    dates = record.job.dates
    for key in ("rough_in", "covered", "energized", "finished"):
        yield dates, key, "job, dates", getattr(dates, key)
    if record.permit is not None:
        yield record.permit, "issued", "permit", record.permit.issued.value
        for number, inspection in enumerate(record.permit.inspections):
            yield inspection, "date", f"permit, inspections entry {number + 1}", inspection.date.value
    lists: tuple[tuple[str, Sequence[Part], str], ...] = (
        ("answers", record.answers, "date"),
        ("sources", record.sources, "seen"),
        ("instruments", record.instruments, "calibrated"),
        ("readings", record.readings, "date"),
        ("photos", record.photos, "taken"),
        ("findings", record.findings, "owner_told"),
        ("advice", record.advice, "decided_on"),
    )
    for group, parts, key in lists:
        for number, part in enumerate(parts):
            written = getattr(part, key)
            yield part, key, spoken_of(group, part, number), getattr(written, "value", written)


def _answered_twice(record: Record) -> Iterator[Problem]:
    lists: tuple[tuple[str, Sequence[Answer | Confirmed]], ...] = (
        ("answers", record.answers),
        ("confirmed", record.confirmed),
    )
    for group, parts in lists:
        first: dict[tuple[str, str], Part] = {}
        for number, part in enumerate(parts):
            key = (part.rule, part.subject)
            if key in first:
                other = seen_from(part.written_at, first[key].written_at)
                what = f"{part.rule} about {part.subject} is answered already ({other})"
                yield about(part, "rule", f"{group} entry {number + 1}", what, "Keep the one that holds.")
            first.setdefault(key, part)
