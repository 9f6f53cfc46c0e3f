"""One job folder to one record: files read, merged, given their meaning, cross-checked.  All problems at once."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from handover.problems import JobProblems, Place, Problem, one_problem
from handover.record.job_files import REMEDY_UNREADABLE, NotAFile, leads_out, start_of
from handover.record.marked import MarkedDict
from handover.record.meaning import meaning_problems
from handover.record.meaning_evidence import is_plain_file_name
from handover.record.photos_exist import photo_problems
from handover.record.record import Record
from handover.record.wording import problems_of
from handover.record.yaml_reader import MAX_BYTES, merge, read_yaml

_STARTER = "Make a starter folder with:  handover new FOLDER"
_MAIN_FILE = "job.yaml"
MAX_FILES = 50


def read_job(folder: Path, within: str = "") -> Record:
    """The record of the job folder.  Raises JobProblems holding every fault that could be found.

    ``within`` goes before the names of its files wherever they are told of: ``earlier/1/`` for a frozen revision.
    """
    record = _shaped(_read_files(folder, within))
    _raise_any([*meaning_problems(record), *photo_problems(record, folder)])
    return record


def read_record(source: MarkedDict) -> Record:
    """The record written in ``source``: shape first, then meaning; no look at the folder.  Raises JobProblems."""
    record = _shaped(source)
    _raise_any(meaning_problems(record))
    return record


def _read_files(folder: Path, within: str = "") -> MarkedDict:
    try:
        if not folder.exists():
            raise one_problem(str(folder), "there is no such folder", _STARTER)
        if not folder.is_dir():
            raise one_problem(str(folder), "is not a folder", "Give the folder that holds job.yaml.")
        files = yaml_files(folder)
    except OSError as error:
        raise one_problem(str(folder), f"cannot be looked into ({error.strerror})", REMEDY_UNREADABLE) from None
    if not files:
        raise one_problem(str(folder), "holds no .yaml file", _STARTER)
    if len(files) > MAX_FILES:
        what = f"holds {len(files)} .yaml files, and a job has {MAX_FILES} at the most"
        raise one_problem(str(folder), what, "Keep only the files of this job in its folder.")
    parts: list[MarkedDict] = []
    problems = [_no_plain_name(within + file.name) for file in files if not _is_plain_name(file.name)]
    _raise_any(problems)
    # job.yaml first, so that a key written in two files is reported in the other one.
    for file in sorted(files, key=lambda path: (path.name != _MAIN_FILE, path.name)):
        try:
            parts.append(read_yaml(within + file.name, _bytes_of(file, folder, within + file.name)))
        except JobProblems as found:
            problems.extend(found.problems)
    _raise_any(problems)
    merged = merge(parts)
    if not merged:
        raise one_problem(merged.place.file, "is empty", _STARTER)
    return merged


def _is_plain_name(name: str) -> bool:
    return name.isprintable() and is_plain_file_name(name)


def _no_plain_name(name: str) -> Problem:
    # It stands on pages, on terminals and in the owner's pack, which is to be copied to any computer.
    return Problem(Place(name, 0), "", "is not a plain file name", "Give it another, like: wiring.yaml")


def yaml_files(folder: Path) -> list[Path]:
    """What a job folder holds of its record, by name: files, unless the folder has not been read yet."""
    return sorted(path for path in folder.iterdir() if path.suffix.lower() in (".yaml", ".yml"))


def _bytes_of(file: Path, folder: Path, name: str) -> bytes:
    """The file's bytes, and of one that is too large just enough to see that it is."""
    if leads_out(file, folder):
        what = "is a link that leads out of the job's folder, or nowhere"
        raise one_problem(name, what, "Put the file itself there instead of the link.")
    try:
        return start_of(file, MAX_BYTES)
    except NotAFile:
        what = "is not a file but a folder, a pipe or a device"
    except OSError as error:
        if not file.is_dir():  # Windows does not open one at all
            raise one_problem(name, f"cannot be read ({error.strerror})", REMEDY_UNREADABLE) from None
        what = "is not a file but a folder"
    raise one_problem(name, what, "Take it out of the job's folder, or give it a name without .yaml .")


def _shaped(source: MarkedDict) -> Record:
    try:
        return Record.model_validate(source)
    except ValidationError as error:
        raise JobProblems(problems_of(source, error)) from None


def _raise_any(problems: list[Problem]) -> None:
    if problems:
        raise JobProblems(problems)
