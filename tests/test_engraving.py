"""Art for an engraver: no letter is left as text, and the outlines stand where the printer sets the letters."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import cv2
import numpy as np
import pytest
import zxingcpp

from handover.drawings.text import width
from handover.labels import all_labels
from handover.labels.engraving import advance, is_plate, outlined
from handover.pack import Label
from handover.pdf.ink import label_on_paper
from handover.pdf.typesetting import Document, pictures
from handover.record.reader import read_job

DEMO = Path(__file__).parent.parent / "demo_property"
SVG = "{http://www.w3.org/2000/svg}"
DAY = dt.date(2026, 6, 12)
A_LINE = '<text x="3.5" y="9" font-size="4.4" font-weight="bold">{}</text>'


@pytest.fixture(scope="module")
def every():
    return {label.name: label for label in all_labels(read_job(DEMO))}


@pytest.fixture(scope="module")
def plates(every):
    return {name: label for name, label in every.items() if is_plate(label)}


def test_black_and_white_labels_are_plates_and_coloured_signs_and_cards_are_not(every, plates):
    assert {"E1", "M1", "fed-from-P3", "rating-E1", "text-E1"} <= set(plates)
    others = {"door-card", "directory-P1", "sign-several-sources-M1", "route-R1"}
    assert others <= set(every) - set(plates)


def test_no_text_is_left_and_the_title_and_the_code_stay(plates):
    for label in plates.values():
        art = outlined(label.svg)
        assert "<text" not in art, label.name
        assert art.count("<title>") == 1
        if label.held:
            assert label.svg.rpartition("<path")[2] in art


def test_a_line_with_a_letter_that_the_font_lacks_stays_text():
    line = A_LINE.format("Pump 泵")
    assert outlined(line) == line


def test_what_stands_for_a_sign_becomes_that_sign():
    """``&amp;`` is one letter; a blank has no outline but takes its room."""
    assert outlined(A_LINE.format("&amp;")).count("<path") == 1
    assert outlined(A_LINE.format("a b")).count("<path") == 2


def drawn(svg: str, label: Label) -> np.ndarray:
    """The art as the printer gets it, at 300 dots an inch."""
    whole = {"x": 0, "y": 0, "side": max(label.width_mm, label.height_mm)}
    art = {"name": label.name, "file": "art.svg", "width": label.width_mm, "height": label.height_mm} | whole
    files = {"art.svg": label_on_paper(svg)}
    page = Document(template="codes.typ", title="Art", day=DAY, data={"codes": [art]}, files=files)
    (picture,) = pictures(page, 300)
    return cv2.imdecode(np.frombuffer(picture, np.uint8), cv2.IMREAD_GRAYSCALE)


def test_outlines_cover_what_the_printed_letters_cover(plates):
    """Letters that this font does not kern, set by another program: what differs is edges only, and no letter moves."""
    lines = (("Hammond mnu 0123456789", ""), ("hidden Minimum &lt;HIM&gt; 8", ' font-weight="bold"'))
    texts = "".join(
        f'<text x="5" y="{15 + 15 * place}" font-size="7"{bold}>{line}</text>'
        for place, (line, bold) in enumerate(lines)
    )
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="110mm" height="40mm" viewBox="0 0 110 40">'
        f'<rect width="110" height="40" fill="#fff"/><g font-family="Arial">{texts}</g></svg>'
    )
    label = replace(plates["E1"], width_mm=110.0, height_mm=40.0)
    text, outlines = (drawn(each, label) < 128 for each in (svg, outlined(svg)))
    assert text.sum() > 10_000
    assert (text ^ outlines).sum() < 0.02 * text.sum()


def test_an_outlined_line_takes_no_more_room_than_was_planned(plates):
    lines = 0
    for label in plates.values():
        for text in ET.fromstring(label.svg).iter(f"{SVG}text"):
            size, bold = float(text.get("font-size")), text.get("font-weight") == "bold"
            assert advance(text.text, bold) * size <= width(text.text, size, bold=bold) + 0.01, (label.name, text.text)
            lines += 1
    assert lines > 300


def test_the_code_of_a_plate_reads(plates):
    label = plates["E1"]
    (read,) = zxingcpp.read_barcodes(drawn(outlined(label.svg), label))
    assert read.text == label.address


def test_moved_outlines_would_be_noticed(plates):
    """The position comes from the line itself."""
    moved = replace(plates["E1"], svg=plates["E1"].svg.replace('<text x="3.5"', '<text x="4.5"', 1))
    assert outlined(moved.svg) != outlined(plates["E1"].svg)
    assert "translate(4.5 " in outlined(moved.svg)
