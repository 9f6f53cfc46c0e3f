"""WCAG 2.2 AA beyond what axe can see: keyboard, order of reading, zoom, forced colours, calm, paper, languages."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
from chromium import chromium
from playwright.sync_api import Browser, Page

ROOT = Path(__file__).parent.parent.parent
PHONE = {"width": 360, "height": 740}
KINDS = (
    "index.html", "trouble.html", "switch-off.html", "care.html", "directory.html", "findings.html", "C1/index.html",
    "P1/index.html", "G1/index.html", "R1/index.html", "T1/index.html", "B1/index.html",
)  # fmt: skip
SPANISH = tuple(f"lang-es/{path}" for path in KINDS)
ENGLISH_ONLY = ("photos.html", "worker.html", "numbers.html", "numbers-C1.html", "about.html", "drawing-one-line.html")
ALL = (*KINDS, *SPANISH, *ENGLISH_ONLY)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as started:
        yield started


@pytest.fixture
def site(demo_pack) -> Path:
    return next((demo_pack / "posted").iterdir())


def opened(browser: Browser, file: Path, **media: object) -> Page:
    page = browser.new_context(**{"viewport": PHONE, **media}).new_page()
    page.goto(file.as_uri())
    return page


FOCUSED = """() => { const item = document.activeElement, style = getComputedStyle(item);
    if (item === document.body) return null;
    const all = [...document.querySelectorAll('a[href], summary, [tabindex]')].filter(each => each.checkVisibility());
    const box = item.getBoundingClientRect();
    return { place: all.indexOf(item), of: all.length, text: item.textContent.trim(),
             outline: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
             seen: box.bottom > 0 && box.top < innerHeight && box.left >= 0 && box.right <= innerWidth + 1 }; }"""


@pytest.mark.parametrize("path", ["C1/index.html", "lang-es/C1/index.html", "index.html", "lang-es/directory.html"])
def test_the_tab_key_goes_through_a_page_in_order_and_out_again(browser, site, path):
    page = opened(browser, site / path)
    visited = []
    while True:
        page.keyboard.press("Tab")
        focused = page.evaluate(FOCUSED)
        if focused is None:
            break
        visited.append(focused["place"])
        assert len(visited) <= focused["of"], f"caught at {focused['text']}"
        assert focused["outline"], focused
        assert focused["seen"], focused
    assert visited == list(range(len(visited)))
    assert len(visited) > 10


@pytest.mark.parametrize("path", ["C1/index.html", "lang-es/C1/index.html"])
def test_the_first_stop_leads_past_the_links(browser, site, path):
    page = opened(browser, site / path)
    assert page.locator(".skip").bounding_box()["y"] < 0
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    assert page.locator(".skip").bounding_box()["y"] >= 0
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


@pytest.mark.parametrize("path", ALL)
def test_a_screen_reader_meets_landmarks_with_names_and_the_title_first(browser, site, path):
    page = opened(browser, site / path)
    tree = page.locator("body").aria_snapshot()
    landmarks = re.findall(r"^\s*- (banner|main|contentinfo|navigation|complementary)\b", tree, re.MULTILINE)
    assert [each for each in landmarks if each != "navigation"] == ["banner", "main", "contentinfo"]
    names = re.findall(r'^\s*- navigation(?: "([^"]+)")?:', tree, re.MULTILINE)
    assert all(names), names
    assert len(set(names)) == len(names) >= 2, names
    levels = [int(level) for level in re.findall(r"heading .*\[level=(\d)\]", tree)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels)), levels


CUT = """() => { const cut = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode, over = text.parentElement;
        if (!text.data.trim() || !over.checkVisibility() || over.closest('.skip, thead, title, desc')) continue;
        const range = document.createRange(); range.selectNodeContents(text);
        for (const box of range.getClientRects())
            if (box.left < -0.5 || box.right > innerWidth + 0.5) cut.push(text.data.trim().slice(0, 40));
        for (let each = over; each !== document.body; each = each.parentElement) {
            const style = getComputedStyle(each), inner = style.overflowX + style.overflowY;
            if (/hidden|clip/.test(inner) && each.scrollWidth > each.clientWidth + 1) cut.push(each.className);
        }
    }
    if (document.documentElement.scrollWidth > innerWidth) cut.push('the page scrolls sideways');
    return cut; }"""
# WCAG 2.2, 1.4.12: what a reader may set without losing anything.
SPACED = (
    "* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important }"
    "p { margin-bottom: 2em !important } svg * { letter-spacing: 0 !important; word-spacing: 0 !important }"
)


@pytest.mark.parametrize("path", ALL)
def test_nothing_is_cut_at_four_times_the_size_or_with_wider_spacing(browser, site, path):
    """A window of 1280 points at 400 % is 320 points wide (WCAG 2.2, 1.4.10)."""
    page = opened(browser, site / path, viewport={"width": 320, "height": 256}, bypass_csp=True)
    assert page.evaluate(CUT) == []
    page.add_style_tag(content=SPACED)
    assert page.evaluate(CUT) == []


INKS = """() => { const of = (selector, what) => [...document.querySelectorAll(selector)].map(
        each => getComputedStyle(each)[what]);
    return { text: of('h1, p:not(.signal), dt, dd, li, td', 'color'),
        paper: getComputedStyle(document.body).backgroundColor,
        links: of('main a', 'color'), ink: of('.d-text:not(.d-reverse)', 'fill'),
        sheet: of('.d-sheet', 'fill'), lines: of('.d-thin, .d-heavy, .d-marked, .d-dashed, .d-faint', 'stroke'),
        frames: of('.hazard, .verdict, .plate, .code', 'borderTopStyle'),
        signals: [...document.querySelectorAll('.signal')].map(
            each => [getComputedStyle(each).color, getComputedStyle(each).backgroundColor]) }; }"""


def contrast(one: str, other: str) -> float:
    """The ratio of two colours ``rgb(r, g, b)`` as WCAG 2.2 defines it."""

    def luminance(colour: str) -> float:
        channels = [float(part) / 255 for part in re.findall(r"[\d.]+", colour)[:3]]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["C1/index.html", "lang-es/P1/index.html", "switch-off.html", "numbers-C1.html"])
def test_forced_colours_leave_text_lines_and_frames(browser, site, path, scheme):
    page = opened(browser, site / path, forced_colors="active", color_scheme=scheme)
    inks = page.evaluate(INKS)
    assert inks["text"]
    for ink in {*inks["text"], *inks["links"]}:
        assert contrast(ink, inks["paper"]) >= 4.5, ink
    for ink in {*inks["ink"], *inks["lines"]}:
        assert contrast(ink, inks["sheet"][0]) >= 4.5, ink
    assert inks["frames"]
    assert set(inks["frames"]) == {"solid"} | ({"dashed"} & set(inks["frames"]))
    for ink, ground in inks["signals"]:
        assert contrast(ink, ground) >= 4.5, (ink, ground)


def test_nothing_moves_by_itself():
    """Nothing to switch off for a reader who wants calm: the sheets move nothing, and there are no scripts."""
    for name in ("site.css", "drawings.css"):
        css = (ROOT / "site_templates" / "css" / name).read_text(encoding="utf-8")
        assert not re.search(r"transition|animation|@keyframes|scroll-behavior|marquee", css)


PRINTED = """() => { const faults = [];
    for (const name of ['.top', '.all', '.toc'])
        for (const each of document.querySelectorAll(name))
            if (each.checkVisibility()) faults.push(name + ' is printed');
    for (const name of ['h1', '.emergency', '.foot', '.print-foot'])
        for (const each of document.querySelectorAll(name))
            if (!each.checkVisibility()) faults.push(name + ' is not printed');
    for (const each of document.querySelectorAll('body, body *')) {
        if (each.closest('.signal, svg, img') || !each.checkVisibility()) continue;
        const style = getComputedStyle(each), ground = style.backgroundColor;
        if (style.color !== 'rgb(0, 0, 0)') faults.push(`${each.tagName}.${each.className} ${style.color}`);
        if (!['rgba(0, 0, 0, 0)', 'rgb(255, 255, 255)'].includes(ground)) faults.push(`${each.className} on ${ground}`);
    }
    if (document.documentElement.scrollWidth > innerWidth) faults.push('wider than the sheet');
    return faults; }"""
LETTER_INSIDE_MARGINS = 702  # 215.9 mm less two margins of 15 mm, at 96 points an inch


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ALL)
def test_paper_is_black_on_white_without_navigation(browser, site, path, scheme):
    page = opened(browser, site / path, viewport={"width": LETTER_INSIDE_MARGINS, "height": 900}, color_scheme=scheme)
    page.emulate_media(media="print", color_scheme=scheme)
    assert page.evaluate(PRINTED) == []


def words_of(text: str) -> Counter[str]:
    return Counter(re.findall(r"\w+", text))


@pytest.mark.parametrize("path", ["C1/index.html", "lang-es/C1/index.html", "care.html", "lang-es/trouble.html"])
def test_every_word_of_a_page_comes_out_on_paper(browser, site, path, tmp_path):
    page = opened(browser, site / path)
    page.emulate_media(media="print")
    told = words_of(page.locator("main").inner_text())
    page.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
    with pypdfium2.PdfDocument(tmp_path / "page.pdf") as printed:
        text = " ".join(sheet.get_textpage().get_text_range() for sheet in printed)
    assert told.total() > 100
    assert told - words_of(text) == Counter()


class Spoken(HTMLParser):
    """The language of a page, and each of its links with what it says about languages."""

    def __init__(self, file: Path) -> None:
        super().__init__()
        self.language = ""
        self.links: list[dict[str, str | None]] = []
        self.feed(file.read_text(encoding="utf-8"))

    def handle_starttag(self, tag, attrs):
        if tag == "html":
            self.language = dict(attrs)["lang"] or ""
        elif tag == "a" and dict(attrs).get("href"):
            self.links.append(dict(attrs))


def test_every_page_says_its_language_and_links_say_where_another_begins(site):
    pages = {file.resolve(): Spoken(file) for file in site.rglob("*.html") if file.name != "pack.html"}
    for file, page in pages.items():
        language = "es" if "lang-es" in file.parts else "en"
        assert page.language == language, file
        for link in page.links:
            target = pages.get((file.parent / link["href"].partition("#")[0]).resolve())
            if target is None or not link["href"].partition("#")[0]:
                continue
            told = link.get("hreflang")
            assert told == target.language if target.language != language else told in (None, language), (file, link)
        switch = [link for link in page.links if link.get("lang")]
        assert [link["lang"] for link in switch] == ["en" if language == "es" else "es"], file
