"""Every page of both editions of the demo, as a phone sees it: headless Chromium, opened from disk."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag, urlparse

import pytest
from axe_playwright_python.sync_playwright import Axe
from chromium import chromium

EDITIONS = ("posted", "owner")
# The sheet is laid out in millimetres for paper, so it is wider than a phone; it is printed, never posted.
PRINT_ONLY = {"labels.html"}
SINGLE = "pack.html"


def site_of(pack: Path, edition: str) -> Path:
    return pack / "owner" if edition == "owner" else next((pack / "posted").iterdir())


def pages_of(site: Path) -> list[Path]:
    found = sorted(site.rglob("*.html"))
    assert len(found) > 15, f"only {len(found)} pages in {site}"
    return found


class Links(HTMLParser):
    """Every address a page names, and every id it has."""

    def __init__(self, file: Path) -> None:
        super().__init__()
        self.named: list[str] = []
        self.ids: set[str] = set()
        self.feed(file.read_text(encoding="utf-8"))

    def handle_starttag(self, tag, attrs):
        for name, value in attrs:
            if name == "id":
                assert value not in self.ids, f"id {value} twice"
                self.ids.add(value)
            elif name in ("href", "src") and value is not None:
                self.named.append(value)
            elif name == "srcset":
                self.named.extend(part.split()[0] for part in value.split(","))


@pytest.mark.parametrize("edition", EDITIONS)
def test_all_links_and_fragments_resolve(demo_pack, edition):
    site = site_of(demo_pack, edition)
    links = {page: Links(page) for page in pages_of(site)}
    broken = []
    for page, found in links.items():
        for address in found.named:
            path, fragment = urldefrag(address)
            if urlparse(path).scheme in ("tel", "mailto", "data"):
                continue
            assert not urlparse(path).scheme, f"{page.name} names another host: {address}"
            target = (page.parent / unquote(path)).resolve() if path else page
            if not target.is_file() or (fragment and fragment not in links[target].ids):
                broken.append(f"{page.relative_to(site)} -> {address}")
    assert broken == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_page_is_reached_by_links_from_home(demo_pack, edition):
    site = site_of(demo_pack, edition)
    home, reached = site / "index.html", set()
    waiting = [home]
    while waiting:
        page = waiting.pop()
        if page in reached:
            continue
        reached.add(page)
        for address in Links(page).named:
            target = (page.parent / unquote(urldefrag(address)[0])).resolve()
            if target.suffix == ".html" and target.is_file():
                waiting.append(target)
    assert {page.relative_to(site).as_posix() for page in pages_of(site)} == {
        page.relative_to(site).as_posix() for page in reached
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("edition", EDITIONS)
def test_pages_hold_on_a_phone(demo_pack, edition, scheme):
    """No sideways scroll at 320 and 360 px, nothing from another host, no console error, no axe violation."""
    site = site_of(demo_pack, edition)
    faults, foreign = [], []
    with chromium() as browser:
        context = browser.new_context(viewport={"width": 320, "height": 740}, color_scheme=scheme)
        page = context.new_page()
        page.on(
            "request",
            lambda request: None if request.url.startswith(("file:", "data:")) else foreign.append(request.url),
        )
        said: list[str] = []
        page.on("console", lambda line: said.append(line.text) if line.type in ("error", "warning") else None)
        for file in pages_of(site):
            name = file.relative_to(site).as_posix()
            if name == SINGLE:
                continue  # test_offline.py looks at it: axe judges only what is laid out
            said.clear()
            page.goto(file.as_uri())
            # Only what the page itself says: axe's own preloading then meets the page's content security policy.
            faults.extend(f"{name}: {line}" for line in said)
            if name not in PRINT_ONLY:
                for width in (360, 320):
                    page.set_viewport_size({"width": width, "height": 740})
                    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
                    if wide > 0:
                        faults.append(f"{name}: scrolls sideways by {wide} px at {width}")
            for violation in Axe().run(page).response["violations"]:
                where = violation["nodes"][0]["html"][:120]
                faults.append(f"{name}: {violation['id']}: {where}")
    assert faults == []
    assert foreign == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_scripts_are_not_needed(demo_pack, edition):
    """With scripts off every page shows its main text and links that can be seen."""
    site = site_of(demo_pack, edition)
    with chromium() as browser:
        page = browser.new_context(java_script_enabled=False, viewport={"width": 360, "height": 740}).new_page()
        for file in pages_of(site):
            page.goto(file.as_uri())
            assert len(page.locator("main").inner_text()) > 100, file
            seen = [link for link in page.locator("a[href]").all()[:60] if link.is_visible()]
            assert len(seen) >= 4, file
    scripts = {file: re.findall("<script[^>]*>", file.read_text(encoding="utf-8")) for file in pages_of(site)}
    assert scripts.pop(site / SINGLE) == []
    for file, found in scripts.items():
        up = "../" * (len(file.relative_to(site).parts) - 1)
        assert found == ([f'<script src="{up}keep.js" defer>'] if edition == "posted" else []), file
