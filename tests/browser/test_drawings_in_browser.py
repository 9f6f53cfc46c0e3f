"""Real text boxes in a real browser: inside the boxes that the geometry reckoned with, in several fonts."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from itertools import combinations
from pathlib import Path

import pytest
from chromium import chromium
from playwright.sync_api import Page

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT / "tests" / "drawings"))

from drawing_samples import installation, walls  # noqa: E402

from handover.drawings.find_again import hidden_runs, plan_sheet  # noqa: E402
from handover.drawings.geometry import Label, Sheet  # noqa: E402
from handover.drawings.one_line import letter_sheet, one_line_sheet  # noqa: E402
from handover.drawings.panel_face import panel_sheet  # noqa: E402
from handover.drawings.run_map import run_sheet  # noqa: E402
from handover.drawings.svg import standalone, to_drawing  # noqa: E402
from handover.drawings.wall_view import wall_sheet, walls_of  # noqa: E402

CSS = (ROOT / "site_templates" / "css" / "drawings.css").read_text(encoding="utf-8")
BOXES = """() => [...document.querySelectorAll('text')].map(
    text => { const box = text.getBBox(); return [box.x, box.y, box.width, box.height]; })"""
FONTS = ("DejaVu Sans", "Verdana, DejaVu Sans", "Liberation Sans, Arial", "system-ui, sans-serif")
ROUNDED = 1.05  # Chromium rounds a text's box outward to whole pixels of the screen


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with chromium() as browser:
        yield browser.new_page(viewport={"width": 360, "height": 740})


def sheets(numbers: Sequence[int] = (1, 4, 9)) -> list[Sheet]:
    made = []
    for number in numbers:
        house = installation(number)
        made += [one_line_sheet(house), letter_sheet(house), panel_sheet(house, house.record.panels[0])]
        made.append(run_sheet(house, house.record.runs[0]))
        made += [plan_sheet(house, run) for run in hidden_runs(house)[:1]]
        made += [wall_sheet(walls(number), wall) for wall in walls_of(walls(number))[:1]]
    return made


def show(page: Page, svg: str, font: str = "sans-serif") -> None:
    style = f"body {{ margin: 0 16px; font-family: {font} }} {CSS}"
    page.set_content(f"<!doctype html><meta charset=utf-8><style>{style}</style>{svg}")


@pytest.mark.parametrize("font", FONTS)
def test_text_stays_in_the_boxes_reckoned_with(page, font):
    for sheet in sheets():
        labels = [mark for mark in sheet.marks if isinstance(mark, Label)]
        show(page, to_drawing(sheet).svg, font)
        found = page.evaluate(BOXES)
        assert len(found) == len(labels)
        slack = ROUNDED * sheet.width / page.evaluate("document.querySelector('svg').getBoundingClientRect().width")
        for label, (x, y, w, h) in zip(labels, found, strict=True):
            told = (font, sheet.name, label, (x, y, w, h))
            assert x >= label.x - slack, told
            assert x + w <= label.right + slack, told
            assert y >= label.y - slack, told
            assert y + h <= label.bottom + slack, told


SHOWN = """() => { const paper = document.querySelector('svg').getBoundingClientRect();
    return [[paper.x, paper.y, paper.width, paper.height], ...[...document.querySelectorAll('text')].map(
    text => { const box = text.getBoundingClientRect(); return [box.x, box.y, box.width, box.height]; })]; }"""


@pytest.mark.parametrize("number", range(20, 32))
def test_texts_as_shown_stand_apart_and_within_the_drawing(page, number):
    """The boxes of the browser itself, on a phone, less the empty room above and below the letters of each line."""
    for sheet in sheets([number]):
        show(page, to_drawing(sheet).svg)
        (left, top, wide, high), *texts = page.evaluate(SHOWN)
        assert texts
        for x, y, w, h in texts:
            assert left - 1 <= x, sheet.name
            assert x + w <= left + wide + 1, sheet.name
            assert top - 1 <= y, sheet.name
            assert y + h <= top + high + 1, sheet.name
        inked = [(x, y + 0.2 * h, x + w, y + 0.85 * h) for x, y, w, h in texts]
        for one, other in combinations(inked, 2):
            across = one[0] < other[2] - 1 and other[0] < one[2] - 1
            assert not (across and one[1] < other[3] and other[1] < one[3]), (sheet.name, one, other)


def test_text_is_at_least_12_px_on_a_phone_of_360(page):
    for sheet in (sheet for sheet in sheets() if sheet.name != "one-line-paper"):
        show(page, to_drawing(sheet).svg)
        size = page.evaluate(
            "() => Math.min(...[...document.querySelectorAll('text')].map(t =>"
            " parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a))"
        )
        assert size >= 12, sheet.name
        assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("media", [{"color_scheme": "light"}, {"color_scheme": "dark"}, {"forced_colors": "active"}])
def test_ink_is_seen_on_its_paper(page, media):
    page.emulate_media(**media)
    house = installation(4)
    show(page, to_drawing(panel_sheet(house, house.record.panels[0])).svg)
    ink, paper = page.evaluate(
        "() => ['.d-text', '.d-sheet'].map(kind => getComputedStyle(document.querySelector(kind)).fill)"
    )
    page.emulate_media(color_scheme="light", forced_colors="none")
    light, dark = sorted((luminance(ink), luminance(paper)), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= 7, (ink, paper)  # WCAG 2.2, 1.4.6


def luminance(colour: str) -> float:
    """Relative luminance of ``rgb(r, g, b)`` as WCAG 2.2 defines it."""
    channels = [int(part) / 255 for part in colour[colour.index("(") + 1 : -1].split(",")[:3]]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_a_downloaded_file_opens_by_itself(page, tmp_path):
    house = installation(4)
    file = tmp_path / "one-line.svg"
    file.write_text(standalone(to_drawing(one_line_sheet(house)).svg, CSS), encoding="utf-8", newline="\n")
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.tagName") == "svg"
    assert page.evaluate("getComputedStyle(document.querySelector('.d-heavy, .d-thin')).fill") == "none"
