"""An edition in another language: the homeowner's pages, the faces of the panels, the calendar."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from handover.drawings.draw_all import draw_faces
from handover.editions import record_for, record_in
from handover.pack import Drawing, Pack, Page, PreparedPhoto
from handover.pages import render_pages
from handover.pages.contents import folder_in, name_in
from handover.pages.parts_in_own import in_own_language, wordings
from handover.record.installation import Installation
from handover.record.record import Record
from handover.record.translated import squeezed, table_of, texts_of
from handover.reminders import calendar_bytes, reminders
from handover.safety_notes import safety_notes
from handover.words import speaking

_IN_NO_LANGUAGE = frozenset({
    "phone", "operator_phone", "utility_line", "number", "pack", "photo", "publish_at", "by", "issued_by",
    "decided_by", "maker", "model", "serial", "file", "code", "of", "edition", "reference", "insulation",
})  # fmt: skip
"""Keys of numbers, files, people and markings: said the same way in every language."""


@dataclass(frozen=True, slots=True)
class Told:
    """What an edition holds in one other language: pages, the drawings that they name, files by path."""

    pages: tuple[Page, ...]
    drawings: dict[str, Drawing]
    files: dict[str, bytes]


def told_in(language: str, pack: Pack, record: Record) -> Told:
    """One edition's pack, ``pack``, in another language.  ``record``: all of it, with its translations."""
    with speaking(language):
        shown = record_in(language, pack.edition, record)
        installation = Installation(shown)
        to_do = reminders(installation)
        faces = draw_faces(installation)
        there = replace(
            pack,
            record=shown,
            installation=installation,
            drawings=faces,
            photos=photos_in(shown, pack.photos),
            notes=safety_notes(installation),
            reminders=to_do,
        )
        drawings = {name_in(language, name): drawing for name, drawing in faces.items()}
        calendar = {f"{folder_in(language)}reminders.ics": calendar_bytes(installation, to_do)}
        own = wordings(_left_in_own(language, record_for(pack.edition, record), record))
        pages = (replace(page, body=in_own_language(page.body, own)) for page in render_pages(there))
        return Told(tuple(pages), drawings, calendar)


def _left_in_own(language: str, shown: Record, record: Record) -> Iterator[str]:
    """The texts of a record that its pages in ``language`` show as they were written."""
    table = table_of(record.translations, language)
    for key, text in texts_of(shown):
        says = table.get(squeezed(text))
        # A marking is told as it stands on the thing, with its meaning in brackets.
        if key not in _IN_NO_LANGUAGE and (says is None or says.startswith(f"{text} (")):
            yield text


def photos_in(shown: Record, prepared: Iterable[PreparedPhoto]) -> tuple[PreparedPhoto, ...]:
    """Those of the prepared photos that a record shows, each with what that record says about it."""
    by_file = {photo.file: photo for photo in shown.photos}
    return tuple(replace(each, photo=by_file[each.photo.file]) for each in prepared if each.photo.file in by_file)
