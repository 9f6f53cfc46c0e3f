"""Which of a record's own texts stand in English on the pages in another language."""

from __future__ import annotations

import html
import json
import re

from handover.editions import record_for
from handover.in_languages import told_in
from handover.pack import Edition, Pack
from handover.record.installation import Installation
from handover.record.record import Record
from handover.record.translated import squeezed, table_of, texts_of

_NAMES = frozenset({
    "name", "name_posted", "says", "says_posted", "utility", "call", "utility_line", "phone", "operator_phone",
    "number", "pack", "photo", "publish_at", "issued_by", "by", "decided_by", "maker", "model", "serial", "file",
    "code", "of", "edition", "authority", "looking", "reference", "insulation",
})  # fmt: skip
"""Keys of names, numbers and codes: they stay as they stand on panels, plates and papers."""
_NOT_READ = re.compile(r"<svg.*?</svg>|<[^>]*>", re.DOTALL)


def untranslated(language: str, record: Record) -> tuple[str, ...]:
    """The texts of the owner's edition that its pages in ``language`` show and the record does not translate."""
    shown = record_for(Edition.OWNER, record)
    pack = Pack(
        edition=Edition.OWNER,
        record=shown,
        installation=Installation(shown),
        results=(),
        drawings={},
        photos=(),
        labels=(),
        notes=(),
        reminders=(),
    )
    pages = told_in(language, pack, record).pages
    read = " ".join(squeezed(html.unescape(_NOT_READ.sub(" ", page.body))).lower() for page in pages)
    captions = [text for photo in shown.photos for _, text in texts_of(photo)]
    table = table_of(record.translations, language)
    own = [(key, squeezed(text)) for key, text in texts_of(shown) if re.search("[^\\W\\d]{3}", text)]
    # A material called as the thing it is: its translation would rename the thing as well.
    names = {text for key, text in own if key in _NAMES}
    # What a mark on a photo points out is no wording of a panel's directory, though its key is the same.
    names -= {squeezed(mark.says) for photo in shown.photos for mark in photo.marks}
    wanted = (text for key, text in own if text not in names)
    return tuple(dict.fromkeys(
        text for text in wanted
        if text not in table and (text.rstrip(".").lower() in read or text in map(squeezed, captions))
    ))  # fmt: skip


def to_fill_in(language: str, texts: tuple[str, ...]) -> str:
    """Lines of YAML for the record in which only the translation is missing."""
    entries = (
        f"  - text: {json.dumps(text, ensure_ascii=False)}\n    language: {language}\n    says: \n" for text in texts
    )
    return "translations:\n" + "".join(entries)
