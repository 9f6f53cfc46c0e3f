"""One job folder to one record: files read, merged, given their meaning, cross-checked.  All problems at once."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from handover.problems import JobProblems, Place, Problem, nearest, one_problem
from handover.record.meaning import meaning_problems
from handover.record.record import Record
from handover.record.yaml_reader import MarkedDict, merge, place_at, read_yaml

_STARTER = "Make a starter folder with:  handover new FOLDER"
_SHAPES = {
    "model_type": ("should hold named values", "Write  name: value  lines under it, set in by two spaces."),
    "tuple_type": ("should be a list", "Begin each entry on its own line with a dash."),
    "string_type": ("should be plain text", "Write the words after the colon."),
    "missing": ("is missing", "Add it; every job record needs it."),
}


def read_job(folder: Path) -> Record:
    """The record of the job folder.  Raises JobProblems holding every fault that could be found."""
    return read_record(_read_files(folder))


def _read_files(folder: Path) -> MarkedDict:
    if not folder.exists():
        raise one_problem(str(folder), "there is no such folder", _STARTER)
    if not folder.is_dir():
        raise one_problem(str(folder), "is not a folder", "Give the folder that holds job.yaml.")
    files = sorted(path for path in folder.iterdir() if path.suffix.lower() in (".yaml", ".yml") and path.is_file())
    if not files:
        raise one_problem(str(folder), "holds no .yaml file", _STARTER)
    parts: list[MarkedDict] = []
    problems: list[Problem] = []
    for file in files:
        try:
            parts.append(read_yaml(file.name, file.read_bytes()))
        except JobProblems as found:
            problems.extend(found.problems)
        except OSError as error:
            problems.append(Problem(Place(file.name, 0), "", f"cannot be read ({error.strerror})", "Check the file."))
    if problems:
        raise JobProblems(problems)
    return merge(parts)


def read_record(source: MarkedDict) -> Record:
    """The record written in ``source``: shape first, then meaning.  Raises JobProblems."""
    try:
        record = Record.model_validate(source)
    except ValidationError as error:
        raise JobProblems(_in_our_words(source, error)) from None
    problems = meaning_problems(record)
    if problems:
        raise JobProblems(problems)
    return record


def _in_our_words(source: MarkedDict, error: ValidationError) -> list[Problem]:
    problems = []
    for found in error.errors(include_url=False):
        loc = tuple(step for step in found["loc"] if not _is_pydantic_step(step))
        what, remedy = _wording(found, loc)
        problems.append(Problem(place_at(source, loc), _where(source, loc), what, remedy))
    return problems


def _is_pydantic_step(step: str | int) -> bool:
    """Steps that pydantic adds to a path for its own validators, such as ``function-wrap[...]``."""
    return isinstance(step, str) and ("[" in step or "(" in step)


def _wording(found: Any, loc: tuple[str | int, ...]) -> tuple[str, str]:
    context = found.get("ctx") or {}
    kind = found["type"]
    if kind == "record":
        return context["what"], context["remedy"]
    if kind == "extra_forbidden":
        return _unknown_key(loc)
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", context["expected"])
        given = str(found["input"])
        near = nearest(given, choices)
        hint = f" Did you mean  {near} ?" if near else ""
        return f'"{given}" is not one of the choices', f"Write one of: {'; '.join(choices)}.{hint}"
    if kind in _SHAPES:
        if found["input"] is None and kind != "missing":
            return "is left empty", "Write a value, or delete the line."
        return _SHAPES[kind]
    return str(found["msg"]).lower(), "See the record's reference:  handover schema"


def _unknown_key(loc: tuple[str | int, ...]) -> tuple[str, str]:
    known = _keys_at(Record, loc[:-1])
    near = nearest(str(loc[-1]), known)
    remedy = f"Did you mean  {near} ?" if near else f"Known here: {', '.join(sorted(known))}."
    return f'"{loc[-1]}" is not a key this record knows', remedy


def _keys_at(model: type[BaseModel], path: tuple[str | int, ...]) -> list[str]:
    for step in path:
        if isinstance(step, str) and step in model.model_fields:
            inner = _model_within(model.model_fields[step].annotation)
            if inner is None:
                return []
            model = inner
    return list(model.model_fields)


def _model_within(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _model_within(argument)
        if found is not None:
            return found
    return None


def _where(source: MarkedDict, loc: tuple[str | int, ...]) -> str:
    """The thing concerned, in the electrician's words: ``circuits C1 "Car charger", load``."""
    here: Any = source
    words: list[str] = []
    for step in loc:
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            here = None
        if isinstance(step, int):
            words[-1] += f" {_called(here, step)}" if words else _called(here, step)
        else:
            words.append(str(step))
    return ", ".join(words)


def _called(entry: Any, position: int) -> str:
    if isinstance(entry, dict):
        code, name = entry.get("code"), entry.get("name") or entry.get("file") or entry.get("step")
        told = " ".join(part for part in (code, f'"{name}"' if name else "") if part)
        if told:
            return told
        if isinstance(entry.get("spaces"), list):
            return f"at space {', '.join(str(space) for space in entry['spaces'])}"
    return f"entry {position + 1}"
