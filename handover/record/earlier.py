"""The earlier revisions of a record, frozen in ``earlier/N`` of the job folder: read like the job, never altered.

What was handed over stays readable, and a code on a printed label goes on naming the same thing or says where to go.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from handover.problems import JobProblems, Place, Problem
from handover.record.meaning_codes import kinds_of_codes, with_article
from handover.record.reader import read_job
from handover.record.record import Record

EARLIER = "earlier"
"""The folder of a job that holds a folder for each earlier revision, named by its number."""
_RETIRED = "retired code"


@dataclass(frozen=True, slots=True)
class Earlier:
    """One frozen revision: its number, the folder that holds its files and photos, and its record."""

    number: int
    folder: Path
    record: Record


def read_earlier(job: Path, record: Record) -> tuple[Earlier, ...]:
    """The frozen revisions of a job, oldest first.  ``record`` is the present one.

    Raises JobProblems where one does not read, is not what its folder says, or contradicts the present record.
    """
    found: list[Earlier] = []
    problems: list[Problem] = []
    for folder in _folders(job):
        within = f"{EARLIER}/{folder.name}"
        if not folder.is_dir() or not folder.name.isdecimal() or str(int(folder.name)) != folder.name:
            remedy = f"Take it out: {EARLIER} holds a folder for each earlier revision, made by  handover reissue ."
            problems.append(Problem(Place(within, 0), "", "is no folder named by a revision's number", remedy))
            continue
        try:
            read = Earlier(int(folder.name), folder, read_job(folder, f"{within}/"))
        except JobProblems as unread:
            problems.extend(unread.problems)
            continue
        problems.extend(_not_an_earlier_one(read, record))
        problems.extend(_used_otherwise(read, record))
        found.append(read)
    if problems:
        raise JobProblems(problems)
    return tuple(sorted(found, key=lambda each: each.number))


def _folders(job: Path) -> list[Path]:
    """What stands in ``earlier``, but for what a computer hides there and what a killed ``reissue`` left."""
    earlier = job / EARLIER
    return sorted(path for path in earlier.iterdir() if not path.name.startswith(".")) if earlier.is_dir() else []


def _not_an_earlier_one(read: Earlier, record: Record) -> Iterator[Problem]:
    """A folder that holds another revision than its name says, another job, or one that is not earlier."""
    own, last = read.record, read.record.revisions[-1]
    place = last.place_of("number")
    if own.job.pack != record.job.pack:
        remedy = "A record keeps its address for good: put back the  pack:  line that the labels were printed with."
        yield Problem(own.job.place_of("pack"), "job, pack", "is another address than the present record's", remedy)
    if last.number != read.number:
        what = f"the record here is revision {last.number}, and its folder is named {read.number}"
        yield Problem(place, "revisions", what, "Give the folder the number of its revision; alter nothing in it.")
    elif last.number == record.revisions[-1].number:
        remedy = "Add the next revision below it in your own record: number, date, by, what."
        what = f"revision {last.number} is frozen in {EARLIER}/{read.number}, so it cannot be the present one too"
        yield Problem(record.revisions[-1].place_of("number"), "revisions", what, remedy)
    elif last.number > record.revisions[-1].number:
        what = f"revision {last.number} is later than the present one, {record.revisions[-1].number}"
        yield Problem(place, "revisions", what, "Take the folder out, or correct the number in your own record.")
    elif (last.number, last.date) not in {(each.number, each.date) for each in record.revisions}:
        what = f"the present record lists no revision {last.number} of {last.date}"
        remedy = "Keep every earlier entry under  revisions:  as it was, and add yours after them."
        yield Problem(record.place_of("revisions"), "revisions", what, remedy)


def _used_otherwise(read: Earlier, record: Record) -> Iterator[Problem]:
    """A code that named another kind of thing, or was retired: a label that still hangs would lead astray."""
    before = kinds_of_codes(read.record)
    for code, (kind, place) in kinds_of_codes(record).items():
        was = before.get(code, (kind, place))[0]
        if _RETIRED != kind != was:
            what = (
                f'the code "{code}" was {with_article(was)} in revision {read.number} and is {with_article(kind)} now'
            )
            remedy = "A code that stood on an earlier label is never used again; give the new thing another."
            yield Problem(place, f"code {code}", what, remedy)
