"""What a worried person sees without scrolling, on every page a code leads to, in every language.

Measured by the boxes of a real browser, on a phone of 360 by 740 points.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from chromium import chromium
from playwright.sync_api import Page

ROOT = Path(__file__).parent.parent.parent
PHONE = {"width": 360, "height": 740}
LANGUAGES = {
    "": (("Where", "Other power", "To switch off"), "revision", "get out, call"),
    "lang-es": (("Dónde", "Otra corriente", "Para apagar"), "revisión", "salga y llame"),
}
# "12 de junio de 2026", "June 12, 2026"
DATE = re.compile(r"\d{1,2} de [a-z]+ de \d{4}|[A-Z][a-z]+ \d{1,2}, \d{4}")
AMPERES = re.compile(r"\d (amperes|amperios|A)\b")
# A breaker stands in a numbered space, of a panel that has a code.
SPACE = re.compile(r"\((?:P|M)\d+\)?, (?:space|espacio)s? \d|[PM]\d+, (?:space|espacio)s? \d")

SEEN = """() => {
    const box = item => { const b = item.getBoundingClientRect(); return [b.top, b.bottom, b.left, b.right]; };
    const plate = document.querySelector('.plate');
    return { title: box(document.querySelector('h1')), plate: box(plate),
             stamp: box(plate.querySelector('.stamp')), emergency: box(plate.querySelector('.emergency')),
             dials: [...plate.querySelectorAll('a[href^="tel:"]')].map(a => a.getAttribute('href')),
             heads: [...plate.querySelectorAll('dt')].map(dt => dt.innerText.trim()) }; }"""

SMALLEST = """() => { let least = [Infinity, ''];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
        const text = walk.currentNode, over = text.parentElement;
        if (!text.data.trim() || over.closest('svg') || !over.checkVisibility()) continue;
        const size = parseFloat(getComputedStyle(over).fontSize);
        if (size < least[0]) least = [size, text.data.trim().slice(0, 40)];
    } return least; }"""

TARGETS = """() => [...document.querySelectorAll('a[href], summary')].filter(item => item.checkVisibility()
        && !item.classList.contains('skip')).map(item => { const box = item.getBoundingClientRect();
    const inText = getComputedStyle(item).display === 'inline' || item.closest('td');
    return [item.textContent.trim().slice(0, 40), !!inText, box.width, box.height]; })
    .filter(([text, inText, width, height]) => height < (inText ? 24 : 48) || width < 24)"""


def pages_of_codes(pack: Path, language: str) -> list[Path]:
    """The page of every code, as the posted edition has it in a language."""
    site = next((pack / "posted").iterdir()) / language
    found = sorted(
        path for path in site.glob("*/index.html") if not path.parent.name.startswith(("lang-", "revision-"))
    )
    assert len(found) > 15, f"only {len(found)} pages in {site}"
    return found


def faults_of(page: Page, file: Path, language: str) -> list[str]:
    """What a page's first screen lacks."""
    page.goto(file.as_uri())
    heads, revision, fire = LANGUAGES[language]
    seen, plate = page.evaluate(SEEN), page.locator(".plate").inner_text()
    faults = [
        f"{name} lies between {seen[name][0]:.0f} and {seen[name][1]:.0f}"
        for name in ("title", "plate", "stamp", "emergency")
        if seen[name][0] < 0 or seen[name][1] > PHONE["height"] or seen[name][2] < 0 or seen[name][3] > PHONE["width"]
    ]
    if tuple(seen["heads"][:3]) != heads:
        faults.append(f"answers {seen['heads']}")
    if file.parent.name not in page.locator("h1").inner_text():
        faults.append("its title lacks the code")
    if not AMPERES.search(plate):
        faults.append(f"no amperes: {plate}")
    if fire not in plate or len(set(seen["dials"])) < 3:
        faults.append(f"emergency line: {seen['dials']}")
    stamp = page.locator(".stamp").inner_text()
    if revision not in stamp or not DATE.search(stamp):
        faults.append(f"stamp: {stamp}")
    return faults


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("house", ["demo_pack", "crowded_pack"])
def test_every_answer_stands_above_the_fold(request, house, language, scheme):
    """Name, where, amperes, other power, how to switch off, whom to call, date and revision: all without scrolling."""
    pack = request.getfixturevalue(house)
    with chromium() as browser:
        page = browser.new_page(viewport=PHONE, color_scheme=scheme)
        faults = [
            f"{file.parent.name}: {fault}"
            for file in pages_of_codes(pack, language)
            for fault in faults_of(page, file, language)
        ]
    assert faults == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_has_a_breaker_names_its_panel_and_space(demo_pack, language):
    with chromium() as browser:
        page = browser.new_page(viewport=PHONE)
        for file in pages_of_codes(demo_pack, language):
            if file.parent.name[0] in "CEFRBST":
                page.goto(file.as_uri())
                plate = " ".join(page.locator(".plate").inner_text().split())
                straight = re.search(r"no breaker of its own|the main of|sin interruptor propio|el principal de", plate)
                assert SPACE.search(plate) or straight, (file.parent.name, plate)


@pytest.mark.parametrize("language", LANGUAGES)
def test_letters_are_read_at_arms_length_and_links_are_hit_by_a_thumb(demo_pack, language):
    """16 px, 18 px for the answers; links of 48 px, of 24 px within a sentence or a table (WCAG 2.2, 2.5.8)."""
    with chromium() as browser:
        page = browser.new_page(viewport=PHONE)
        site = next((demo_pack / "posted").iterdir()) / language
        faults = []
        for file in [
            *pages_of_codes(demo_pack, language),
            *sorted(file for file in site.glob("*.html") if file.name != "pack.html"),
        ]:
            page.goto(file.as_uri())
            size, text = page.evaluate(SMALLEST)
            if size < 16:
                faults.append(f"{file.relative_to(site)}: {size} px: {text}")
            answers = page.evaluate(
                "() => [...document.querySelectorAll('.plate dd')].map(dd => parseFloat(getComputedStyle(dd).fontSize))"
            )
            if any(size < 18 for size in answers):
                faults.append(f"{file.relative_to(site)}: answers of {min(answers)} px")
            faults.extend(f"{file.relative_to(site)}: target {target}" for target in page.evaluate(TARGETS))
    assert faults == []


def test_nothing_waits_for_a_pointer_to_hover():
    """What :hover changes is the line under a link, which a thumb never sees and never needs."""
    css = (ROOT / "site_templates" / "css" / "site.css").read_text(encoding="utf-8")
    rules = re.findall(r"([^{}]*:hover[^{}]*)\{([^}]*)\}", css)
    assert rules
    for selector, body in rules:
        assert {part.split(":")[0].strip() for part in body.split(";") if part.strip()} <= {
            "text-decoration",
            "text-decoration-thickness",
        }, selector
