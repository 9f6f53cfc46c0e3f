"""Freeze a record as it was handed over, before new work is written into it."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from handover.photos import check_photos, original
from handover.problems import JobProblems, one_problem
from handover.record.earlier import EARLIER, read_earlier
from handover.record.photos_exist import PHOTOS
from handover.record.reader import read_job, yaml_files
from handover.record.record import Record


@dataclass(frozen=True, slots=True)
class Frozen:
    """A revision that now stands in ``folder`` as well: nothing of the job itself was altered."""

    record: Record
    folder: Path

    @property
    def number(self) -> int:
        """The revision's number."""
        return self.record.revisions[-1].number


def reissue(job: Path) -> Frozen:
    """Copy the job's YAML files and the photos that they name into ``earlier/N``, N being its present revision.

    Raises JobProblems where that revision is frozen already, where the record does not read, or where the folder
    cannot be written.  ``earlier/N`` is there whole or not at all, also where the process is killed.
    """
    record = read_job(job)
    number = record.revisions[-1].number
    folder = job / EARLIER / str(number)
    if folder.exists():
        what = f"is there already: revision {number} was frozen before"
        remedy = "Go on with your record: add the next revision under  revisions:  and build. Nothing was altered."
        raise one_problem(f"{EARLIER}/{number}", what, remedy)
    unfit = check_photos(record.photos, job)
    if unfit:
        raise JobProblems(unfit)
    read_earlier(job, record)
    try:
        _freeze(job, record, folder)
    except OSError as error:
        what = f"cannot be written ({error.strerror})"
        raise one_problem(f"{EARLIER}/{number}", what, "See that you may write there and have room.") from None
    return Frozen(record, folder)


def _freeze(job: Path, record: Record, folder: Path) -> None:
    folder.parent.mkdir(exist_ok=True)
    being_written = Path(tempfile.mkdtemp(prefix=f".{folder.name}.new-", dir=folder.parent))
    try:
        being_written.chmod(0o755)
        for file in yaml_files(job):
            (being_written / file.name).write_bytes(file.read_bytes())
        for photo in record.photos:
            (being_written / PHOTOS).mkdir(exist_ok=True)
            (being_written / PHOTOS / photo.file).write_bytes(original(photo, job))
        being_written.rename(folder)
    except BaseException:
        shutil.rmtree(being_written, ignore_errors=True)
        raise


def what_to_do_next(frozen: Frozen) -> Iterator[str]:
    """What the electrician does now, in a few lines."""
    last = frozen.record.revisions[-1]
    yield f"Frozen: revision {last.number} of {last.date}, in {frozen.folder}. Leave that folder as it is."
    yield "It holds what your files say today. If you had already begun to change them, delete it, put back the files"
    yield "from  owner/downloads/record  of the pack that you handed over, and run this again."
    yield ""
    yield "Now write down the new work in your own files:"
    yield f"  1. Under  revisions:  add after the last entry:  {{number: {last.number + 1}, date: , by: , what: }}"
    yield "  2. Keep  pack:  and  publish_at:  so that every label goes on leading to its page."
    yield "  3. Keep each thing's code. What is gone you take out; the page of its code then says so by itself. To say"
    yield "     what to look at now, add under  retired_codes:"
    yield "       - {code: C5, now: Taken out when the kitchen was rewired., instead: [C9]}"
    yield "  4. handover build"
