"""The one place that knows the typesetting library: a template, its data and its pictures to the bytes of a PDF.

Nothing of a record is ever a part of a template: all of it is handed over as JSON, where text is text.
"""

from __future__ import annotations

import datetime as dt
import json
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import typst

from handover.resources import shipped

FONT = "DejaVu Sans"
"""The font that travels with the program.  The drawings' and labels' widths are this font's own, with a margin."""
_STANDARDS: list[typst.PDFStandard] = ["a-2a", "ua-1"]
"""PDF/A-2a, made to be kept (all fonts inside, no scripts, nothing from outside), and PDF/UA-1, to be read aloud."""
_BEYOND_THE_STANDARDS = ("could not be displayed", "PDF string is longer than")
"""What typst tells where a document cannot keep the standards and can be set without: a letter that our font lacks, or
what a picture, heading or title is called takes more than 32 767 bytes.
"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Document:
    """What one PDF is made from.  ``files`` are the pictures that ``data`` names, by path below the document's root.

    ``day``, a date of the record, stands as the day of making: the clock is never asked.
    """

    template: str
    title: str
    day: dt.date
    data: Mapping[str, Any]
    files: Mapping[str, bytes] = field(default_factory=dict)


def typeset(document: Document, within: Path | None = None) -> bytes:
    """The document as a PDF.  The same document gives the same bytes.

    What it is set from, the record among it, lies meanwhile in a folder of its own ``within`` the one given: a build
    gives its workspace, which the next one clears away if this one is killed.

    Where the record holds a letter that our font lacks, it is set in a font of this machine instead, and the two
    standards, which are strict about fonts, are not promised; nor are they where a text is too long for them.
    Raises typst.TypstError: a fault of ours.
    """
    with tempfile.TemporaryDirectory(prefix="handover-pdf-", dir=within) as scratch:
        main = _written(document, Path(scratch))
        try:
            return _compiled(document, main, own_font=True)
        except typst.TypstError as fault:
            if not any(reason in str(fault) for reason in _BEYOND_THE_STANDARDS):
                raise
            return _compiled(document, main, own_font=False)


def pictures(document: Document, dots_an_inch: int, within: Path | None = None) -> list[bytes]:
    """Each page of the document as a PNG, as it would be printed.  Raises typst.TypstError: a fault of ours."""
    with tempfile.TemporaryDirectory(prefix="handover-pdf-", dir=within) as scratch:
        main = _written(document, Path(scratch))
        fonts = [shipped("site_templates", "pdf", "fonts")]
        made = typst.compile(main, root=main.parent, font_paths=fonts, format="png", ppi=dots_an_inch)
    return made if isinstance(made, list) else [made]


def _written(document: Document, root: Path) -> Path:
    """Template, data and pictures written below ``root``, and where the template is then."""
    for path, content in document.files.items():
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
    told = {"title": document.title, "day": [document.day.year, document.day.month, document.day.day]}
    (root / "data.json").write_text(json.dumps({**told, **document.data}, ensure_ascii=False), encoding="utf-8")
    for name in ("shared.typ", document.template):
        (root / name).write_bytes(shipped("site_templates", "pdf", name).read_bytes())
    return root / document.template


def _compiled(document: Document, main: Path, *, own_font: bool) -> bytes:
    return typst.compile(
        main,
        root=main.parent,
        font_paths=[shipped("site_templates", "pdf", "fonts")],
        ignore_system_fonts=own_font,
        format="pdf",
        pdf_standards=_STANDARDS if own_font else [],
        timestamp=dt.datetime.combine(document.day, dt.time(), dt.UTC),
    )
