"""Free text that gives away what its own field keeps private: a name, a number or the address within an open note."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handover.problems import Problem
from handover.record.facts import Fact, Part, Shown, mark_of
from handover.record.record import Record
from handover.record.said import about, spoken_of

_SHORTEST = 4  # fewer letters stand in too many words to tell anything


def private_text_problems(record: Record) -> list[Problem]:
    """Texts of the posted edition that hold a resident's name, phone or mail, the address, or the permit's number.

    Whole names only: a family name alone may be a colour, a town, or a kind of room.
    """
    private = [(what, _pattern(text)) for what, text in _private(record) if len(text) >= _SHORTEST]
    remedy = "Take it out here, or move the sentence to  private_notes: , which only the owner reads."
    return [
        about(part, key, where, f"tells whoever scans the code {what}", remedy)
        for part, key, where, text in _open_texts(record)
        for what in dict.fromkeys(what for what, pattern in private if pattern.search(text))
    ]


def _private(record: Record) -> Iterator[tuple[str, str]]:
    for person in record.site.people:
        yield "a resident's name", person.name
        yield "a resident's phone number", person.phone or ""
        yield "a resident's mail address", person.email or ""
    # The town alone may be told; street and number may not.
    yield "the address", re.split(r"[,\n]", record.site.address or "")[0]
    if record.permit is not None:
        yield "the permit's number, which leads to the address", record.permit.number.written
    yield "the meter's number", record.service.meter or ""


def _pattern(text: str) -> re.Pattern[str]:
    words = r"\s+".join(map(re.escape, text.split()))
    return re.compile(rf"(?<!\w){words}(?!\w)", re.IGNORECASE)


def _open_texts(record: Record) -> Iterator[tuple[Part, str, str, str]]:
    """Every text that the posted edition shows: the part and key it stands at, the thing it is about, the text."""
    for key in type(record).model_fields:
        value = getattr(record, key)
        if isinstance(value, tuple):
            for number, part in enumerate(value):
                yield from _within(part, spoken_of(key, part, number))
        elif isinstance(value, Part):
            yield from _within(value, key)


def _within(part: Part, where: str) -> Iterator[tuple[Part, str, str, str]]:
    if getattr(part, "owner_only", False):
        return
    for key, field in type(part).model_fields.items():
        mark = mark_of(field)
        if mark is Shown.POSTED or (mark is Shown.NEUTRAL and getattr(part, f"{key}_posted") is None):
            for each in _pieces(getattr(part, key)):
                if isinstance(each, Part):
                    yield from _within(each, where)
                else:
                    yield part, key, where, each


def _pieces(value: object) -> Iterator[Part | str]:
    if isinstance(value, tuple):
        for item in value:
            yield from _pieces(item)
    elif isinstance(value, Fact):
        yield from (text for text in (value.written, value.note) if text)
    elif isinstance(value, Part | str):
        yield value
