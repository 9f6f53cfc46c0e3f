"""The typesetter: equal bytes, text that stays text, letters that our font lacks; and the font itself."""

from __future__ import annotations

import datetime as dt

import pytest
from pdf_tools import everything_in, texts_of
from PIL import ImageFont

from handover.drawings import text as drawn_text
from handover.labels.art import CAPITAL
from handover.pdf.typesetting import Document, typeset
from handover.resources import shipped

DAY = dt.date(2026, 6, 12)
EVIL = (
    "#panic(1) $x^2$ *bold* _it_ `raw` <label> @ref // comment /* open [ ] { } \\ \\u{41} -- --- ~ \"quoted\" 'q' = h"
    ' #image("/etc/passwd") #read("data.json") https://evil.example <script>alert(1)</script> %PDF endstream endobj'
)


def document(*words: str, template: str = "pack.typ") -> Document:
    blocks = [
        {"is": "heading", "level": 0, "pieces": ["Front"]},
        *({"is": "para", "look": "", "pieces": [said]} for said in words),
        {"is": "rows", "rows": [[[said], [said]] for said in words]},
        {
            "is": "table",
            "caption": ["A table"],
            "columns": [["One"], ["Two"]],
            "rows": [[[said], [said]] for said in words],
        },
    ]
    chapter = {"id": "a.html", "title": words[0], "new_page": False, "blocks": blocks[1:]}
    parts = [{"title": "A part", "pages": [chapter]}]
    return Document(
        template=template, title=words[0], day=DAY, data={"foot": words[0], "front": blocks, "parts": parts}
    )


@pytest.fixture(scope="module")
def evil():
    return typeset(document(EVIL))


def test_the_same_document_gives_the_same_bytes(evil):
    assert typeset(document(EVIL)) == evil


def test_text_of_the_record_stays_text(evil):
    """Whatever it holds, it is printed as it stands: as a heading, a paragraph, in rows, a table, the foot."""
    (first, *_) = texts_of(evil)
    assert "".join(first.split()).count("".join(EVIL.split())) >= 6
    raw = everything_in(evil)
    assert b"/URI" not in raw
    assert b"root:" not in raw


def test_a_letter_that_our_font_lacks_does_not_stop_a_build():
    """It is set in a font of the machine that has it; the rest is set as ever."""
    assert "Studio panel" in texts_of(typeset(document("Studio panel 工房 ខ")))[0]


def test_a_heading_too_long_for_the_standards_does_not_stop_a_build():
    """PDF/A-2 (ISO 19005-2, 6.1.13, from memory): no string beyond 32 767 bytes; a record may hold 20 000 letters."""
    assert typeset(document("Ж" * 20_000)).startswith(b"%PDF")


def test_spanish_and_the_symbols_of_the_drawings_are_in_our_font():
    said = "¿Dónde está el interruptor? ¡Peligro! niño, pingüino, ÁÉÍÓÚÑÜ · × – — ’ “ ” ≥ ≤ → ° Ω ½ ² … ± µ ⚠ √ ∆"
    made = typeset(document(said))
    assert "".join(said.split()) in "".join(texts_of(made)[0].split())
    assert b"pdfuaid" in everything_in(made)  # the strict standards, which refuse a letter without a font


@pytest.mark.parametrize("bold", [False, True])
def test_no_letter_is_wider_than_drawings_and_labels_reckon(bold):
    """So no text laid out by ``drawings.text`` leaves its place in the PDF."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    units = 2048  # of the em in this font: at that size a length is exact
    font = ImageFont.truetype(str(shipped("site_templates", "pdf", "fonts", name)), units)
    letters = [chr(place) for place in range(32, 127)] + list("°·×–—’“”≥→½¼¾²éíóúñÑ¿¡Ω…")
    for letter in letters:
        assert font.getlength(letter) / units <= drawn_text.width(letter, 1.0, bold=bold), letter


@pytest.mark.parametrize("name", ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"])
def test_capitals_are_as_high_as_signs_reckon(name):
    """Letter heights are asked of signs; they are reckoned with capitals of 0.716 of the size."""
    font = ImageFont.truetype(str(shipped("site_templates", "pdf", "fonts", name)), 2048)
    _, top, _, bottom = font.getbbox("H")
    assert (bottom - top) / 2048 >= CAPITAL


def test_the_font_travels_with_its_licence():
    told = shipped("site_templates", "pdf", "fonts", "LICENSE").read_text("utf-8")
    assert "Permission is hereby granted, free of charge" in told
