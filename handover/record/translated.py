"""A record in another language, as far as the contractor wrote its texts in it too."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal, TypeVar, get_args, get_origin

from pydantic.fields import FieldInfo

from handover.record.facts import Fact, Part
from handover.record.people import Translation

P = TypeVar("P", bound=Part)
Table = dict[str, str]
"""Texts of a record, white space as one blank, and each one's translation."""


def table_of(translations: tuple[Translation, ...], language: str) -> Table:
    """The translations into one language."""
    return {squeezed(item.text): item.says for item in translations if item.language == language}


def translated(part: P, table: Table) -> P:
    """The same part with each text of ``table`` in its translation, wherever it stands as a whole.

    Words that the program reckons with (kinds, materials) and codes stay; a page tells those by its own catalogue.
    """
    values = {
        name: value if _is_reckoned_with(field) else _within(value, table)
        for name, field in type(part).model_fields.items()
        for value in (getattr(part, name),)
    }
    made = type(part).model_construct(**values)
    made._place = part.written_at
    return made  # type: ignore[return-value]  # model_construct forgets which Part it made


def texts_of(value: Any, key: str = "") -> Iterator[tuple[str, str]]:
    """Every text that ``translated`` would look up, after the key it stands under."""
    if isinstance(value, Part):
        for name, field in type(value).model_fields.items():
            if name != "translations" and not _is_reckoned_with(field):
                yield from texts_of(getattr(value, name), name)
    elif isinstance(value, tuple):
        for item in value:
            yield from texts_of(item, key)
    elif isinstance(value, Fact):
        yield from ((key, text) for text in (value.value, value.note) if isinstance(text, str) and text)
    elif isinstance(value, str) and value:
        yield key, value


def _within(value: Any, table: Table) -> Any:
    if isinstance(value, Part):
        return translated(value, table)
    if isinstance(value, tuple):
        return tuple(_within(item, table) for item in value)
    if isinstance(value, str):
        return table.get(squeezed(value), value)
    if isinstance(value, Fact):
        return _fact(value, table)
    return value


def _fact(fact: Fact[Any], table: Table) -> Fact[Any]:
    note = fact.note and table.get(squeezed(fact.note), fact.note)
    value, written = fact.value, fact.written
    if isinstance(value, str):
        value, written = table.get(squeezed(value), value), table.get(squeezed(written), written)
    return Fact(value, fact.basis, written, note, fact.place)


def _is_reckoned_with(field: FieldInfo) -> bool:
    return any(get_origin(kind) is Literal for kind in _kinds(field.annotation))


def _kinds(annotation: Any) -> list[Any]:
    return [annotation, *(kind for inner in get_args(annotation) for kind in _kinds(inner))]


def squeezed(text: str) -> str:
    """A text as it is looked up: white space as one blank."""
    return " ".join(text.split())
