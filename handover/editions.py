"""Two editions from one record.  Redaction happens here, once, on the record; no page decides for itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, TypeVar

from pydantic.fields import FieldInfo

from handover.pack import Edition
from handover.record.facts import NOT_SHOWN, Fact, Part, Shown, mark_of
from handover.record.record import Record
from handover.record.translated import table_of, translated

P = TypeVar("P", bound=Part)


def record_for(edition: Edition, record: Record) -> Record:
    """The record as an edition may show it: whole for the owner, redacted for what hangs on the wall."""
    return record if edition is Edition.OWNER else _redacted(record)


def record_in(language: str, edition: Edition, record: Record) -> Record:
    """The same with its texts in another language, as far as ``record`` has them translated."""
    return translated(record_for(edition, record), table_of(record.translations, language))


def _redacted(part: P) -> P:
    values: dict[str, Any] = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        mark = mark_of(field)
        if mark is Shown.POSTED:
            values[name] = _within(value)
        elif mark is Shown.NEUTRAL:
            values[name] = getattr(part, f"{name}_posted") or value
        else:
            values[name] = _blank(field, value)
    made = type(part).model_construct(**values)
    made._place = part.written_at
    return made  # type: ignore[return-value]  # model_construct forgets which Part it made


def _within(value: Any) -> Any:
    if isinstance(value, Part):
        return _redacted(value)
    if isinstance(value, tuple):
        return tuple(_within(item) for item in value if not getattr(item, "owner_only", False))
    return value


def _blank(field: FieldInfo, value: Any) -> Any:
    """What stands for a private value: nothing that a page could mistake for a fact of the record."""
    if isinstance(value, Fact):
        return NOT_SHOWN
    if not field.is_required():
        return field.get_default(call_default_factory=True)
    return ""


def private_values(part: Part, path: str = "") -> Iterator[tuple[str, str]]:
    """Every text of the record that the posted edition must not hold, with the field it stands in.

    Values that the same record also shows openly (a private field that happens to say "no") are for the caller to
    leave out.
    """
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        mark = mark_of(field)
        here = f"{path}.{name}" if path else name
        if mark is Shown.POSTED:
            for inner, item in _parts(value, here):
                yield from _texts(item, inner) if getattr(item, "owner_only", False) else private_values(item, inner)
        elif mark is Shown.OWNER:
            yield from _texts(value, here)
        elif getattr(part, f"{name}_posted"):
            yield here, str(value)


def _parts(value: Any, path: str) -> Iterator[tuple[str, Part]]:
    if isinstance(value, Part):
        yield path, value
    elif isinstance(value, tuple):
        for position, item in enumerate(value):
            yield from _parts(item, f"{path}[{position}]")


def _texts(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Part):
        for name in type(value).model_fields:
            yield from _texts(getattr(value, name), f"{path}.{name}")
    elif isinstance(value, tuple):
        for position, item in enumerate(value):
            yield from _texts(item, f"{path}[{position}]")
    elif isinstance(value, Fact):
        if value.known:
            yield path, value.written
        if value.note:
            yield path, value.note
    elif isinstance(value, str) and value:
        yield path, value
