"""A job with a payload in every text field, and its control: the same job with harmless text of the same length."""

from __future__ import annotations

import itertools
import json
import re
import typing
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from PIL import Image
from pydantic import BeforeValidator

from handover.record.facts import Fact, Part, Written, _one_line, _unmarked
from handover.record.meaning_evidence import is_plain_file_name
from handover.record.record import Record
from tests.injection.payloads import ACCEPTED, MARK

HERE = Path(__file__).parent
EMPTY = "x"
"""What stands in the job of ``every_field`` where a text is to be put."""

CONSTRAINED = {
    "job.pack": "25 signs of the alphabet of secret addresses, nothing else",
    "job.publish_at": "an https address of letters, digits, dots, dashes and folders in capitals",
    "photos.file": "the name of a picture in the folder: a payload that can name a file does",
    "markings.photo": "the same name again",
    "code.amendments.rule": "any text, but only an amendment of a known rule is shown beside a result",
    "translations.text": "a whole text of the record: the title with its payloads",
    "translations.language": "a language that the pages come in",
    "answers.rule": "any text, but only an answer to a failing check is shown",
    "answers.subject": "any text, but only an answer to a failing check is shown",
}
"""Texts of which some stand as they are in the job, each with the reason."""


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the models: its path, whether it takes any text, one line only, or is a fact with a note."""

    path: str
    free: bool
    one_line: bool
    fact: bool


@cache
def fields() -> dict[str, Field]:
    """Every field of the record's models that holds no part, by path."""
    return {found.path: found for found in _fields(Record, "")}


def _fields(model: type[Part], above: str) -> Iterator[Field]:
    for name, info in model.model_fields.items():
        kinds = [*info.metadata, *_kinds(info.annotation)]
        part = part_of(info.annotation)
        if part is not None:
            yield from _fields(part, f"{above}{name}.")
            continue
        free = any(isinstance(kind, BeforeValidator) and kind.func is _unmarked for kind in kinds)
        single = any(getattr(kind, "func", None) is _one_line for kind in kinds)
        yield Field(f"{above}{name}", free, single, typing.get_origin(info.annotation) is Fact)
        if not free:
            known = any(isinstance(kind, Written) or typing.get_origin(kind) is typing.Literal for kind in kinds)
            assert known, f"{above}{name} takes texts of a kind that this walk does not know"


def _kinds(annotation: Any) -> Iterator[Any]:
    yield annotation
    for inner in (*typing.get_args(annotation), *getattr(annotation, "__metadata__", ())):
        yield from _kinds(inner)


def part_of(annotation: Any) -> type[Part] | None:
    """The kind of part that a field holds, None for a field of values."""
    classes = (kind for kind in _kinds(annotation) if isinstance(kind, type) and typing.get_origin(kind) is None)
    return next((kind for kind in classes if issubclass(kind, Part)), None)


_NOT_AS_IT_IS = re.compile("[\x7f-\x9f\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\U000e0000-\U000e007f]")


@dataclass(frozen=True, slots=True)
class Placed:
    """A text put into one place of the job: path of the field, the word that marks it, its payloads, the text."""

    path: str
    mark: str
    payloads: tuple[str, ...]
    text: str


@dataclass(slots=True)
class Job:
    """A filled job as a tree, and what was put where.  ``spoilt`` counts the places of values that are no text."""

    tree: dict[str, Any]
    placed: list[Placed] = field(default_factory=list)
    photo: str = "panel.png"

    def write(self, folder: Path) -> Path:
        """The job as a folder: each value on a line of its own, and the one picture."""
        (folder / "photos").mkdir(parents=True)
        (folder / "job.yaml").write_bytes(self.written())
        Image.new("RGB", (900, 700), "gray").save(folder / "photos" / self.photo, "PNG")
        return folder

    def written(self) -> bytes:
        """JSON is YAML, and quotes any text; what YAML may not hold as it is stands escaped."""
        told = json.dumps(self.tree, ensure_ascii=False, indent=1)
        return _NOT_AS_IT_IS.sub(lambda sign: f"\\U{ord(sign[0]):08x}", told).encode()


def marks() -> Iterator[str]:
    """Words that stand nowhere else, of letters alone: ``zqbbbbb``, ``zqbbbbc`` ..."""
    for letters in itertools.product("bcdfghjklm", repeat=5):
        yield "zq" + "".join(letters)


def harmless_twin(text: str) -> str:
    """The same length, letters, digits and spaces; every other sign one that means nothing anywhere."""
    # Not the middle dot, which drawings set between parts of a line and their sentences read out as a comma.
    return "".join(sign if sign.isalnum() or sign.isspace() else "¤" for sign in text)


def base() -> dict[str, Any]:
    """The job of ``every_field`` as a tree of texts."""
    text = (HERE / "every_field" / "job.yaml").read_text(encoding="utf-8")
    tree: dict[str, Any] = yaml.load(text, Loader=yaml.BaseLoader)
    return tree


def filled(groups: Sequence[Sequence[str]], turn: int, *, harmless: bool = False) -> Job:
    """The job in which field number n holds the payloads of group n + ``turn``, those of several lines where it may.

    ``harmless``: the control of the same job.
    """
    job = Job({})
    words = marks()
    order = {path: place for place, path in enumerate(sorted(fields()))}
    names = [text for group in groups for text in group if _names_a_file(text)]

    def text_for(path: str, one_line: bool) -> str:
        group = groups[(order[path] + turn) % len(groups)]
        chosen = tuple(payload for payload in group if not one_line or "\n" not in payload)
        mark = next(words)
        text = " ".join(chosen).replace(MARK, mark)
        # As the reader takes it; and a phone number without any digit could not be dialled in either job.
        text = "\n".join(text.split("\r\n")).strip()
        text = harmless_twin(text) if harmless else text
        job.placed.append(Placed(path, mark, chosen, text))
        return text

    job.tree = _filled(Record, base(), "", text_for)
    job.tree["translations"][0]["text"] = job.tree["job"]["title"]
    name = names[turn % len(names)].replace(MARK, "zqphoto")
    job.photo = f"{harmless_twin(name) if harmless else name}.png"
    job.tree["photos"][0]["file"] = job.tree["markings"][0]["photo"] = job.photo
    return job


def _names_a_file(payload: str) -> bool:
    return "\n" not in payload and len(payload.encode()) < 200 and is_plain_file_name(payload)


def _filled(model: type[Part], data: dict[str, Any], above: str, text_for: Any) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for name, value in data.items():
        path = f"{above}{name}"
        part = part_of(model.model_fields[name].annotation)
        if part is not None:
            inner = value if isinstance(value, list) else [value]
            done = [_filled(part, each, f"{path}.", text_for) if isinstance(each, dict) else each for each in inner]
            made[name] = done if isinstance(value, list) else done[0]
            continue
        known = fields()[path]
        many = isinstance(value, list)
        values = [
            text_for(path, known.one_line) if known.free and each == EMPTY else each
            for each in (value if many else [value])
        ]
        made[name] = values if many else values[0]
        if known.fact and not many:
            made[name] = {"value": values[0], "basis": "measured", "note": text_for(path, False)}
    return made


def every(tree: Any, path: str = "") -> Iterator[tuple[Any, Any, str]]:
    """Every value of a tree that is no mapping or list: what holds it, its key there, its path without numbers."""
    for key in list(tree) if isinstance(tree, dict) else range(len(tree)):
        below = path if isinstance(tree, list) else f"{path}.{key}".lstrip(".")
        if isinstance(tree[key], dict | list):
            yield from every(tree[key], below)
        else:
            yield tree, key, below


def groups_of(size: int, payloads: Iterable[str] = ACCEPTED) -> list[tuple[str, ...]]:
    """The payloads in groups, dealt out so that each group has some of every kind."""
    dealt = list(payloads)
    count = -(-len(dealt) // size)
    return [tuple(dealt[place::count]) for place in range(count)]
