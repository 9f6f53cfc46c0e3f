"""The demo job with a canary in every private field: a text that stands nowhere else, so that any leak of it shows."""

from __future__ import annotations

import json
import shutil
import types
import typing
from pathlib import Path
from typing import Any

from handover.record import reader
from handover.record.facts import Part, Shown, mark_of
from handover.record.record import Record

DEMO = Path(__file__).parent.parent / "demo_property"


class Canaries:
    """Fills the private fields of a job.  ``placed`` tells what went where: (model, field) to the canaries there."""

    def __init__(self) -> None:
        self.placed: dict[tuple[str, str], list[str]] = {}

    def in_part(self, model: type[Part], data: dict[str, Any]) -> dict[str, Any]:
        """The data of one part, with a canary in each of its private fields and in those of all parts below it."""
        filled = dict(data)
        for name, field in model.model_fields.items():
            mark = mark_of(field)
            if mark is Shown.OWNER:
                filled[name] = self._value(model, name, field.annotation)
            elif mark is Shown.NEUTRAL and name in data:
                filled[name] = self._text(model, name)
                filled.setdefault(f"{name}_posted", "a room")
            elif name in data:
                filled[name] = self._below(field.annotation, data[name])
        return filled

    def _below(self, annotation: Any, value: Any) -> Any:
        part = _part_in(annotation)
        if part is None:
            return value
        if isinstance(value, list):
            return [self._below(part, item) for item in value]
        return self.in_part(part, value) if isinstance(value, dict) else value  # a part may have a short way of writing

    def _value(self, model: type[Part], name: str, annotation: Any) -> Any:
        part = _part_in(annotation)
        inner = self.in_part(part, {}) if part else self._text(model, name)
        return [inner] if _is_list(annotation) else inner

    def _text(self, model: type[Part], name: str) -> str:
        number = sum(map(len, self.placed.values()))
        text = f"271-555-{number:04d}" if name == "phone" else f"zyqx{number:03d}v kestrel{number:03d}ford"
        self.placed.setdefault((model.__name__, name), []).append(text)
        return text


def _kinds(annotation: Any) -> list[Any]:
    return [annotation, *(kind for inner in typing.get_args(annotation) for kind in _kinds(inner))]


def _part_in(annotation: Any) -> type[Part] | None:
    kinds = [kind for kind in _kinds(annotation) if isinstance(kind, type)]
    parts = [kind for kind in kinds if not isinstance(kind, types.GenericAlias) and issubclass(kind, Part)]
    return parts[0] if parts else None


def _is_list(annotation: Any) -> bool:
    return any(typing.get_origin(kind) is tuple for kind in _kinds(annotation))


def job_of_canaries(folder: Path) -> Canaries:
    """Write the demo job with its canaries into a new folder, in one file; JSON is YAML."""
    canaries = Canaries()
    filled = canaries.in_part(Record, reader._read_files(DEMO))
    # Only a text of the record can be translated: here one that is private, so that its translation is too.
    translation, secret = filled["translations"][-1], filled["private_notes"]
    translation["text"] = secret
    canaries.placed["Translation", "text"] = [secret]
    shutil.copytree(DEMO / "photos", folder / "photos")
    (folder / "job.yaml").write_text(json.dumps(filled, ensure_ascii=False, indent=1), encoding="utf-8")
    return canaries


def private_fields(models: list[type[Part]]) -> set[tuple[str, str]]:
    """Every private field of the models, by model and name: marked so, or not marked at all.

    A field that holds parts has its canaries in them; a model that others are made from has them there.
    """
    return {
        (model.__name__, name)
        for model in models
        if not model.__subclasses__()
        for name, field in model.model_fields.items()
        if mark_of(field) in (Shown.OWNER, Shown.NEUTRAL) and _part_in(field.annotation) is None
    }
