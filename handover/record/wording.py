"""What pydantic found wrong, as Problems: where in the electrician's words, what is wrong, how to write it right."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from handover.problems import Place, Problem, nearest
from handover.record.facts import Fact, Written
from handover.record.key_meanings import meaning_of
from handover.record.marked import MarkedDict, MarkedText, place_at
from handover.record.record import Record

Path = tuple[str | int, ...]

# Steps that pydantic adds to a path for its own validators: ``function-wrap[_read_fact()]``.
_OWN_STEP = re.compile(r"function-[a-z]+\[.*\]", re.DOTALL)


@dataclass(frozen=True, slots=True)
class _Key:
    """A key of the record's models: the part it belongs to, its name, and what it takes."""

    part: str
    name: str
    field: FieldInfo

    @property
    def fact(self) -> bool:
        return get_origin(self.field.annotation) is Fact

    @property
    def many(self) -> bool:
        return get_origin(self.field.annotation) is tuple

    @property
    def example(self) -> str:
        """An example value; empty where words are wanted."""
        written = next((each for each in self._within() if isinstance(each, Written)), None)
        return written.example if written else ""

    @property
    def choices(self) -> tuple[str, ...]:
        return next((get_args(each) for each in self._within() if get_origin(each) is Literal), ())

    @property
    def model(self) -> type[BaseModel] | None:
        return _model_within(self.field.annotation)

    def _within(self) -> Iterator[Any]:
        yield from self.field.metadata
        yield from _arguments(self.field.annotation)

    def how_to_write(self) -> str:
        """A line as it would stand in the file."""
        if self.model is not None:
            below = "a list under it, each entry after a dash" if self.many else "lines set in under it"
            return f"Add  {self.name}:  with {below}."
        if self.many:
            return f"Write a list, like:  {self.name}: [{self.example or 'first, second'}]"
        if self.choices:
            return f"Write one of: {'; '.join(str(choice) for choice in self.choices)}."
        lawful = " , or  unknown , or  not checked" if self.fact else ""
        if not self.example:
            return f"Write a few words after  {self.name}:{lawful} ."
        return f"Write it like:  {self.name}: {self.example}{lawful}"


def _arguments(annotation: Any) -> Iterator[Any]:
    yield annotation
    for each in (*get_args(annotation), *getattr(annotation, "__metadata__", ())):
        yield from _arguments(each)


def _model_within(annotation: Any) -> type[BaseModel] | None:
    return next(
        (each for each in _arguments(annotation) if isinstance(each, type) and issubclass(each, BaseModel)), None
    )


def problems_of(source: MarkedDict, error: ValidationError) -> list[Problem]:
    """Every fault of shape, each with the line of the very value where there is one."""
    problems = []
    for found in error.errors(include_url=False):
        loc = _without_own_steps(found["loc"], found["type"])
        what, remedy = _wording(found, loc)
        concerned = loc[:-1] if found["type"] == "extra_forbidden" else loc
        problems.append(Problem(_place(source, found, loc), where_in(source, concerned), _one_line(what), remedy))
    return problems


def _without_own_steps(loc: Path, kind: str) -> Path:
    # The last step of an unknown key is the electrician's own text, whatever it looks like.
    own, last = (loc[:-1], loc[-1:]) if kind == "extra_forbidden" else (loc, ())
    return (*(step for step in own if not (isinstance(step, str) and _OWN_STEP.fullmatch(step))), *last)


def _place(source: MarkedDict, found: Any, loc: Path) -> Place:
    given = found["input"]
    return given.place if isinstance(given, MarkedText) else place_at(source, loc)


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _quoted(given: Any) -> str:
    text = _one_line(str(given))
    return f'"{text}"' if len(text) <= 60 else f'"{text[:57]}..."'


def _wording(found: Any, loc: Path) -> tuple[str, str]:
    context = found.get("ctx") or {}
    kind, given = found["type"], found["input"]
    key = _key_at(loc)
    if kind == "record":
        return context["what"], context["remedy"]
    if kind == "extra_forbidden":
        return _unknown_key(loc)
    if kind == "missing" and key is not None:
        meaning = meaning_of(key.part, key.name)
        return f"is missing ({meaning})" if meaning else "is missing", key.how_to_write()
    if given is None and loc and isinstance(loc[-1], int):
        return "is left empty", "Write the entry after its dash, or delete the dash."
    if given is None:
        required = key is not None and key.field.is_required()
        how = key.how_to_write() if key is not None else "Write a value."
        return "is left empty", how if required else f"{how}   or delete the line."
    if kind == "literal_error":
        return _not_a_choice(given, key)
    if kind == "tuple_type":
        return f"{_kind_of(given)} where a list belongs", _as_list(key)
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"{_kind_of(given)} where named values belong", "Write  name: value  lines under it, set in."
    if kind == "string_type":
        return f"{_kind_of(given)} where plain text belongs", "Write the words after the colon."
    return _one_line(str(found["msg"])).lower(), "See the record's reference:  handover schema"


def _as_list(key: _Key | None) -> str:
    return key.how_to_write() if key and key.model is None else "Begin each entry on its own line with a dash."


def _kind_of(given: Any) -> str:
    if isinstance(given, list):
        return "a list"
    return "named values" if isinstance(given, dict) else f"the text {_quoted(given)}"


def _not_a_choice(given: Any, key: _Key | None) -> tuple[str, str]:
    choices = [str(choice) for choice in key.choices] if key is not None else []
    remedy = f"Write one of: {'; '.join(choices)}."
    if isinstance(given, list | dict):
        return f"{_kind_of(given)} where one of the choices belongs", remedy
    near = nearest(str(given), choices)
    hint = f" Did you mean  {near} ?" if near else ""
    return f"{_quoted(given)} is not one of the choices", remedy + hint


def _unknown_key(loc: Path) -> tuple[str, str]:
    model = _model_at(loc[:-1])
    known = list(model.model_fields) if model is not None else []
    near = nearest(str(loc[-1]), known)
    remedy = f"Did you mean  {near} ?" if near else f"Known here: {', '.join(sorted(known))}."
    return f"{_quoted(loc[-1])} is not a key this record knows", remedy


def _key_at(loc: Path) -> _Key | None:
    """The key that the path ends in (an entry of a list belongs to the list's key); None where there is none."""
    while loc and isinstance(loc[-1], int):
        loc = loc[:-1]
    model = _model_at(loc[:-1]) if loc else None
    name = str(loc[-1]) if loc else ""
    if model is None or name not in model.model_fields:
        return None
    return _Key(model.__name__, name, model.model_fields[name])


def _model_at(path: Path) -> type[BaseModel] | None:
    model: type[BaseModel] | None = Record
    for step in path:
        if isinstance(step, str) and model is not None:
            field = model.model_fields.get(step)
            model = None if field is None else _model_within(field.annotation)
    return model


def where_in(source: MarkedDict, loc: Path) -> str:
    """The thing concerned, in the electrician's words: ``circuits C1 "Car charger", load``."""
    here: Any = source
    words: list[str] = []
    for step in loc:
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            here = None
        if isinstance(step, int):
            words[-1] += f" {called(here, step)}" if words else called(here, step)
        else:
            words.append(_one_line(step)[:60])
    return ", ".join(words)


def called(entry: Any, position: int) -> str:
    """How an entry of a list is spoken of: by code and name, file, space, or its number in the list."""
    if isinstance(entry, dict):
        words = {key: str(value)[:60] for key, value in entry.items() if isinstance(value, str)}
        name = words.get("name") or words.get("file")
        told = " ".join(part for part in (words.get("code"), f'"{name}"' if name else "") if part)
        if told:
            return _one_line(told)
        if "step" in words:
            return _one_line(f"entry {position + 1} ({words['step']})")
        spaces = entry.get("spaces")
        if isinstance(spaces, list) and spaces:
            return _one_line(f"at space {'/'.join(str(space) for space in spaces)}"[:60])
    return f"entry {position + 1}"
