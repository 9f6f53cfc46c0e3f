"""Every file of a pack besides its pages: drawings, calendar, results, manifest, PDFs, names."""

from __future__ import annotations

import ctypes
import json
import re
import unicodedata
from bisect import bisect_left
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.etree import ElementTree

import icalendar
import pypdfium2
import pypdfium2.raw as pdfium

from tests.injection.jobs import Job

_SAFE_NAME = re.compile(r"[A-Za-z0-9.][A-Za-z0-9._-]*")
_SVG = "{http://www.w3.org/2000/svg}"
_NEVER_DRAWN = ("script", "foreignObject", "iframe", "image", "use", "a", "animate", "set", "handler")
RECORD = "owner/downloads/record"


def name_faults(pack: Path, job: Job) -> Iterator[str]:
    """Names of files outside a safe alphabet: only the picture's own, which the record names so, may be another."""
    for path in sorted(pack.rglob("*")):
        known = path.name == job.photo and path.parent == pack / RECORD / "photos"
        if not (_SAFE_NAME.fullmatch(path.name) or known):
            yield f"a file is called {path.relative_to(pack)!s}"


def record_faults(pack: Path, folder: Path) -> Iterator[str]:
    """The owner's copy of the job is the job, byte for byte."""
    for file in (path for path in folder.rglob("*") if path.is_file()):
        copy = pack / RECORD / file.relative_to(folder)
        if not copy.is_file() or copy.read_bytes() != file.read_bytes():
            yield f"{file.name} was not carried over as it is"


def drawing_faults(pack: Path, control: Path) -> Iterator[str]:
    """SVG files that are no XML, or are drawn with other kinds of elements than those of the control."""
    drawings = sorted(pack.rglob("*.svg"))
    if [path.relative_to(pack) for path in drawings] != sorted(
        path.relative_to(control) for path in control.rglob("*.svg")
    ):
        yield "other drawings than the control's"
    assert len(drawings) > 10, "hardly a drawing to look at"
    usual = {kind for path in control.rglob("*.svg") for kind in _kinds(path)}
    for path in drawings:
        if "<!DOCTYPE" in (text := path.read_text(encoding="utf-8")) or "<!ENTITY" in text or text.count("<?") > 1:
            yield f"{path.name} declares something"
        for tag, names in _kinds(path):
            bare = tag.removeprefix(_SVG)
            if bare in _NEVER_DRAWN or any(name.lower().startswith("on") or "href" in name for name in names):
                yield f"{path.name} holds {bare} {names}"
            elif (tag, names) not in usual:
                yield f"{path.name} holds {bare} {names}, which no drawing of the control does"


def _kinds(path: Path) -> set[tuple[str, tuple[str, ...]]]:
    root = ElementTree.fromstring(path.read_bytes())
    return {(str(element.tag), tuple(sorted(element.attrib))) for element in root.iter()}


def data_faults(pack: Path, control: Path, job: Job) -> Iterator[str]:
    """Calendars, results and manifests: read by another program, as many entries as the control's, texts as written."""
    for path in sorted(pack.rglob("*.ics")):
        found = icalendar.Calendar.from_ical(path.read_bytes())
        other = icalendar.Calendar.from_ical((control / path.relative_to(pack)).read_bytes())
        shapes = [[(part.name, sorted(part.keys())) for part in calendar.walk()] for calendar in (found, other)]
        if shapes[0] != shapes[1]:
            yield f"{path.name}: other entries than the control's"
        own = next(event for event in found.walk("VEVENT") if str(event["UID"]).endswith("-M1@handover"))
        texts = {placed.path: placed.text for placed in job.placed}
        if str(own["SUMMARY"]) != texts["reminders.what"]:
            yield f"{path.name}: the summary is {own['SUMMARY']!s}"
        if not str(own["DESCRIPTION"]).startswith(texts["reminders.how"]):
            yield f"{path.name}: the description is {own['DESCRIPTION']!s}"
    for path in sorted(pack.rglob("*.json")):
        found, other = (json.loads(file.read_bytes()) for file in (path, control / path.relative_to(pack)))
        if _shape(found) != _shape(other):
            yield f"{path.name}: other keys than the control's"


def _shape(data: object) -> object:
    """The keys of JSON without its values; a name of a picture is a value, too."""
    if isinstance(data, dict):
        return {("photo" if "record/photos/" in key else key): _shape(value) for key, value in data.items()}
    return [_shape(value) for value in data] if isinstance(data, list) else type(data).__name__


def paper_faults(pack: Path) -> Iterator[str]:
    """PDFs: no link but to a page of the same document, no action, nothing attached, no script."""
    for path in sorted(pack.rglob("*.pdf")):
        document = pypdfium2.PdfDocument(path)
        if pdfium.FPDFDoc_GetJavaScriptActionCount(document) or pdfium.FPDFDoc_GetAttachmentCount(document):
            yield f"{path.name} holds a script or a file"
        for number, page in enumerate(document, 1):
            place, link = ctypes.c_int(0), pdfium.FPDF_LINK()
            while pdfium.FPDFLink_Enumerate(page, place, link):
                action = pdfium.FPDFLink_GetAction(link)
                kind = pdfium.FPDFAction_GetType(action) if action else pdfium.PDFACTION_GOTO
                if kind != pdfium.PDFACTION_GOTO:
                    yield f"{path.name}, page {number}: a link that leaves the document (kind {kind})"
        document.close()


def paper_text(file: Path, job: Job) -> str:
    """All text of a PDF as ``bare`` leaves it, without the foot that stands between the parts of a broken paragraph."""
    document = pypdfium2.PdfDocument(file)
    told = bare("".join(page.get_textpage().get_text_bounded() for page in document))
    document.close()
    number = bare(next(placed.text for placed in job.placed if placed.path == "job.number"))
    begin = re.escape(f"Record{number[:12]}")
    # From the last such words before the number of the page: a page may say them elsewhere, too.
    return re.sub(rf"{begin}(?:(?!{begin}).){{0,2000}}?Page\d+of\d+", "", told)


def up_to_what_turns(text: str) -> str:
    """The text as ``bare`` leaves it, up to its first letter of a writing from right to left: those are set in turn."""
    turning = (place for place, sign in enumerate(text) if unicodedata.bidirectional(sign) in ("R", "AL"))
    return bare(text[: next(turning, len(text))])


def bare(text: str) -> str:
    """A text without what paper may leave out or show otherwise.

    White space, hyphens, dashes, signs that are not seen, signs beyond the fonts' usual plane, and the lines below
    letters that stand between the words of a rule's name.
    """
    kept = (sign for sign in text if ord(sign) <= 0xFFFF)
    return re.sub(r"[\s\x00-\x1f\xad\u200b-\u200f\u2010-\u2015\ufffe\uffff_-]", "", "".join(kept))


def missing(
    job: Job,
    control: Job,
    told: str,
    told_by_control: str,
    form: Callable[[str], str],
    *,
    pieces: int = 1,
    cut: bool = False,
) -> tuple[int, list[str]]:
    """How many texts stand in full in the control, and which of them do not stand here, in so many pieces at the most.

    On paper the heads of a table stand between two pieces of a cell where a page ends.  ``cut``: a text may end in
    three dots where its control does not, because its letters are wider.
    """
    pairs = [pair for pair in zip(job.placed, control.placed, strict=True) if form(pair[1].text) in told_by_control]
    lost = (one for one, _ in pairs if not stands_in(form(one.text), told, pieces))
    return len(pairs), [f"{one.path}: {one.text}" for one in lost if not (cut and is_cut(form(one.text), told))]


def is_cut(text: str, told: str) -> bool:
    """Whether so much of a text as a label has room for stands there, and three dots after it."""
    length = bisect_left(range(len(text)), 1, key=lambda end: text[:end] not in told) - 1
    return any(f"{text[:end]}…" in told for end in range(length, max(length - 3, _SHORTEST_CUT), -1))


_SHORTEST_CUT = 40
"""Letters of a text that a label shows at the least before it cuts it."""


def stands_in(text: str, told: str, pieces: int = 1) -> bool:
    """Whether a text stands there in full, in so many pieces at the most."""
    for _ in range(pieces):
        if text in told:
            return True
        length = bisect_left(range(len(text)), 1, key=lambda end: text[:end] not in told) - 1
        text = text[max(length, 0) :]
    return False
