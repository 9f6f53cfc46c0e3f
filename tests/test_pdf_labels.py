"""labels.pdf: sizes and places measured from pictures of its pages, codes read, everything said."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
import pytest
import zxingcpp
from pdf_tools import dark_box, opened, picture, squeezed, text_of

from handover.labels import all_labels
from handover.pack import Label
from handover.pdf.label_pages import BOTTOM, LEFT, PAGE_HEIGHT, PAGE_WIDTH, RIGHT, TOP, plain_pages
from handover.qr import QUIET_ZONE
from handover.record.reader import read_job
from handover.words import languages

DEMO = Path(__file__).parent.parent / "demo_property"
FINE, COARSE = 600, 200
WITHIN = 0.2
"""Millimetres by which a size or place may be off."""
BORDER = 0.3
"""Outer edge of the line round a label, from the label's own edge."""
CODE = re.compile(r'transform="translate\(([\d.]+) ([\d.]+)\) scale\(([\d.]+)\)" d="M')


@pytest.fixture(scope="module")
def labels():
    record = read_job(DEMO)
    return all_labels(record)


@pytest.fixture(scope="module")
def document(demo_pack):
    with opened(demo_pack / "owner" / "labels.pdf") as document:
        yield document


@pytest.fixture(scope="module")
def sheets(labels, document):
    """Each planned page of labels with the page of the document that shows it."""
    planned = plain_pages(labels)
    first = len(document) - len(planned)
    assert 1 <= first <= 2
    return [(sheet, document[first + place]) for place, sheet in enumerate(planned)]


def code_of(label: Label) -> tuple[float, float, float, float] | None:
    """Left and top of a label's code with its quiet zone, its side and the side of a module, in mm."""
    found = CODE.search(label.svg)
    if not label.address or found is None:
        return None
    x, y, module = map(float, found.groups())
    outline = label.svg[found.end() :].partition('"')[0]
    modules = max(map(int, re.findall(r"\d+", outline)))
    return x, y, (modules + QUIET_ZONE) * module, module


def test_every_page_is_letter(document):
    for page in document:
        assert page.get_size() == pytest.approx((PAGE_WIDTH * 72 / 25.4, PAGE_HEIGHT * 72 / 25.4), abs=0.1)


def test_every_label_stands_once(labels, sheets):
    shown = [art.label.name for sheet, _ in sheets for art in sheet.arts]
    assert shown == [label.name for label in labels]
    assert sorted(caption.name for sheet, _ in sheets for caption in sheet.captions) == sorted(shown)


@pytest.fixture(scope="module")
def measured(sheets):
    """What was measured at 600 dots an inch: each label's line, each code's dark part, the measuring line of a page."""
    borders, codes, lines = {}, {}, []
    for sheet, page in sheets:
        shot = picture(page, FINE)
        lines.append(dark_box(shot, (LEFT - 3, 16.8, LEFT + 103, 17.2), FINE))
        for art in sheet.arts:
            right, bottom = art.x + art.label.width_mm, art.y + art.label.height_mm
            around = (art.x - 0.4, art.y - 0.4, right + 0.4, bottom + 0.4)
            borders[art.label.name] = dark_box(shot, around, FINE)
            if (placed := code_of(art.label)) is not None:
                x, y, side, _ = placed
                with_quiet_zone = (art.x + x, art.y + y, art.x + x + side, art.y + y + side)
                codes[art.label.name] = dark_box(shot, with_quiet_zone, FINE)
    return borders, codes, lines


def test_size_place_and_pitch_of_every_label(sheets, measured):
    """The line round each label, and the distance from one label to the next on its page."""
    borders, _, _ = measured
    assert len(borders) > 25
    several = 0
    for sheet, _ in sheets:
        for art in sheet.arts:
            right, bottom = art.x + art.label.width_mm, art.y + art.label.height_mm
            asked = (art.x + BORDER, art.y + BORDER, right - BORDER, bottom - BORDER)
            assert borders[art.label.name] == pytest.approx(asked, abs=WITHIN), art.label.name
        for art, following in pairwise(sheet.arts):
            pitch = borders[following.label.name][1] - borders[art.label.name][1]
            assert pitch == pytest.approx(following.y - art.y, abs=WITHIN)
            several += 1
    assert several > 5


def test_side_and_quiet_zone_of_every_code(sheets, measured):
    """What is dark within the quiet zone's outer edge begins a whole quiet zone further in: so that zone is blank."""
    _, codes, _ = measured
    assert len(codes) > 13
    arts = [art for sheet, _ in sheets for art in sheet.arts if art.label.name in codes]
    for art in arts:
        x, y, side, module = code_of(art.label)
        left, top, quiet = art.x + x, art.y + y, QUIET_ZONE * module
        seen = codes[art.label.name]
        asked = (left + quiet, top + quiet, left + side - quiet, top + side - quiet)
        assert seen == pytest.approx(asked, abs=WITHIN), art.label.name
        assert seen[2] - seen[0] == pytest.approx(side - 2 * quiet, abs=WITHIN)


def test_the_measuring_line_is_100_mm(sheets, measured):
    for (_, page), (left, _, right, _) in zip(sheets, measured[2], strict=True):
        assert right - left == pytest.approx(100, abs=WITHIN)
        assert "100 mm, if printed at 100 %" in text_of(page)


def test_codes_read_back_with_two_decoders(sheets):
    read = 0
    for sheet, page in sheets:
        shot = picture(page, COARSE)
        for art in sheet.arts:
            if (placed := code_of(art.label)) is not None:
                x, y, side, _ = placed
                code = cut_out(shot, art.x + x, art.y + y, side, side)
                assert [each.text for each in zxingcpp.read_barcodes(code)] == [art.label.address]
                assert art.label.address in set(by_opencv(code)), art.label.name
                read += 1
    assert read > 13


def cut_out(shot, x, y, width, height):
    scale = COARSE / 25.4
    return shot[round(y * scale) : round((y + height) * scale), round(x * scale) : round((x + width) * scale)]


def by_opencv(shot):
    """OpenCV finds a code better in some sizes than in others, so it gets a few."""
    for scale in (1.0, 0.75, 0.5, 0.4):
        seen = cv2.resize(shot, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        yield cv2.QRCodeDetector().detectAndDecode(seen)[0]


def test_black_only_print_is_legible(sheets):
    """In grey, what is printed and what it stands on differ by 4.5 to 1 (WCAG 2.2, 1.4.3), on coloured bands too."""
    bands = 0
    for sheet, page in sheets:
        shot = picture(page, COARSE)
        for art in sheet.arts:
            label = art.label
            coloured = any(f'fill="{ground}"' in label.svg for ground in ("#c8102e", "#ff8200", "#ffd100", "#005eb8"))
            top = 20 if coloured else 0  # below the band
            body = cut_out(shot, art.x, art.y + top, label.width_mm, label.height_mm - top)
            # A sign may be white on red all over, as the code asks of some; any other is black on white.
            assert contrast(body) >= (4.5 if 'fill="#c8102e"' in label.svg else 15), label.name
            if coloured:
                assert contrast(cut_out(shot, art.x + 1, art.y + 1, label.width_mm - 2, 16)) >= 4.5, label.name
                bands += 1
    assert bands > 5


def contrast(shot):
    """Between the two greys that cover most."""
    values, counts = np.unique(shot, return_counts=True)
    dark, light = sorted(luminance(values[place]) for place in np.argsort(counts)[-2:])
    return (light + 0.05) / (dark + 0.05)


def luminance(grey):
    """Relative luminance of a grey of sRGB (WCAG 2.2)."""
    part = float(grey) / 255
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def test_what_goes_where_is_said_beside_each_label(sheets, labels):
    every = squeezed(" ".join(text_of(page) for _, page in sheets))
    for label in labels:
        for said in (label.title, label.goes, label.material, label.why, label.state, label.address or ""):
            assert squeezed(said) in every, label.name


def test_the_first_page_names_every_label_with_its_page(document, sheets, labels):
    front = " ".join(text_of(document[place]) for place in range(len(document) - len(sheets)))
    first = len(document) - len(sheets) + 1
    pages = {art.label.name: first + place for place, (sheet, _) in enumerate(sheets) for art in sheet.arts}
    for label in labels:
        assert f"{label.title} {label.width_mm:g} × {label.height_mm:g} mm page {pages[label.name]}" in front


def label(name: str, width: float, height: float, words: str = "On the wall.") -> Label:
    return Label(
        name=name, code="P1", title=f"Label {name}", svg="", width_mm=width, height_mm=height, address=None,
        goes=words, material="Paper.",
    )  # fmt: skip


@pytest.mark.parametrize("width", [45.0, 100.0, 115.0, 140.0, 176.0])
@pytest.mark.parametrize("height", [11.0, 60.0, 140.0, 220.8])
@pytest.mark.parametrize("words", ["On the wall.", "A long way of saying where it goes, and why there. " * 12])
def test_nothing_overlaps_or_leaves_the_page(width, height, words):
    made = [label(str(number), width, height, words) for number in range(7)]
    pages = plain_pages(made)
    assert [art.label.name for page in pages for art in page.arts] == [each.name for each in made]
    for page in pages:
        boxes = [(art.x, art.y, art.x + art.label.width_mm, art.y + art.label.height_mm) for art in page.arts]
        boxes += [(each.x, each.y, each.x + each.width, each.bottom) for each in page.captions]
        assert boxes
        for place, (left, top, right, bottom) in enumerate(boxes):
            assert LEFT <= left < right <= RIGHT
            assert TOP <= top < bottom <= BOTTOM
            for other in boxes[:place]:
                assert right <= other[0] or left >= other[2] or bottom <= other[1] or top >= other[3]


def test_a_label_longer_than_letter_is_not_cut():
    (page,) = [page for page in plain_pages([label("long", 100.0, 300.0)]) if page.arts]
    assert page.height >= TOP + 300 + PAGE_HEIGHT - BOTTOM


def test_a_card_for_the_door_leaves_room_for_what_is_told_below_it(labels):
    """In whatever language: a page that only says where a card goes is lost paper."""
    cards = [label for label in labels if label.name.startswith("door-card")]
    assert len(cards) == len(languages())
    for page in plain_pages(labels):
        if any(art.label in cards for art in page.arts):
            assert [caption for caption in page.captions if "Door card" in str(caption)]
