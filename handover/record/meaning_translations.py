"""Translations of the record's own texts: of a text that stands there, once, into a language the pages come in."""

from __future__ import annotations

from collections.abc import Iterator

from handover.problems import Problem, nearest
from handover.record.record import Record
from handover.record.said import about, spoken_of
from handover.record.translated import squeezed, texts_of
from handover.words import OWN, languages


def translation_problems(record: Record) -> Iterator[Problem]:
    """A translation of nothing would be lost in silence; so would the second of two."""
    if not record.translations:
        return
    there = {squeezed(text) for _, text in texts_of(record)}
    others = [language for language in languages() if language != OWN]
    seen: set[tuple[str, str]] = set()
    for number, item in enumerate(record.translations):
        where, text = spoken_of("translations", item, number), squeezed(item.text)
        if item.language not in others:
            what = f"there are no pages in {item.language!r}"
            yield about(item, "language", where, what, f"Write one of: {', '.join(others)}.")
        if text not in there:
            near = nearest(text, there)
            remedy = f"Is it  {near} ?" if near else "Copy the whole text as it stands in the record, or take this out."
            yield about(item, "text", where, "is no whole text of this record", remedy)
        if (item.language, text) in seen:
            yield about(item, "text", where, "is translated twice", "Keep one of the two.")
        seen.add((item.language, text))
