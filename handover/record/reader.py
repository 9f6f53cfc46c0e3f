"""One job folder to one record: files read, merged, given their meaning, cross-checked.  All problems at once."""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from handover.problems import JobProblems, Place, Problem, one_problem
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


def read_job(folder: Path) -> Record:
    """The record of the job folder.  Raises JobProblems holding every fault that could be found."""
    record = _shaped(_read_files(folder))
    _raise_any([*meaning_problems(record), *photo_problems(record, folder)])
    return record


def read_record(source: MarkedDict) -> Record:
    """The record written in ``source``: shape first, then meaning; no look at the folder.  Raises JobProblems."""
    record = _shaped(source)
    _raise_any(meaning_problems(record))
    return record


def _read_files(folder: Path) -> MarkedDict:
    if not folder.exists():
        raise one_problem(str(folder), "there is no such folder", _STARTER)
    if not folder.is_dir():
        raise one_problem(str(folder), "is not a folder", "Give the folder that holds job.yaml.")
    files = [path for path in folder.iterdir() if path.suffix.lower() in (".yaml", ".yml") and path.is_file()]
    if not files:
        raise one_problem(str(folder), "holds no .yaml file", _STARTER)
    if len(files) > MAX_FILES:
        what = f"holds {len(files)} .yaml files, and a job has {MAX_FILES} at the most"
        raise one_problem(str(folder), what, "Keep only the files of this job in its folder.")
    parts: list[MarkedDict] = []
    problems = [_no_plain_name(file.name) for file in files if not _is_plain_name(file.name)]
    _raise_any(problems)
    # job.yaml first, so that a key written in two files is reported in the other one.
    for file in sorted(files, key=lambda path: (path.name != _MAIN_FILE, path.name)):
        try:
            parts.append(read_yaml(file.name, _start_of(file)))
        except JobProblems as found:
            problems.extend(found.problems)
        except OSError as error:
            problems.append(Problem(Place(file.name, 0), "", f"cannot be read ({error.strerror})", "Check the file."))
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


def _start_of(file: Path) -> bytes:
    """The file's bytes, and of one that is too large just enough to see that it is."""
    with file.open("rb") as opened:
        return opened.read(MAX_BYTES + 1)


def _shaped(source: MarkedDict) -> Record:
    try:
        return Record.model_validate(source)
    except ValidationError as error:
        raise JobProblems(problems_of(source, error)) from None


def _raise_any(problems: list[Problem]) -> None:
    if problems:
        raise JobProblems(problems)
