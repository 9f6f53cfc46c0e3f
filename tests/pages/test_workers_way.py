"""The worker's way from any label: by the real links of the pages, without a browser and without the menus.

From each code's page, two links at most lead to the conductors of what it is about (or that they are not recorded),
to the way that they run (or the same), and to what is not known of it.
"""

from __future__ import annotations

import re
from functools import cache
from html.parser import HTMLParser
from pathlib import PurePosixPath

import pytest

from handover.pack import Edition
from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run
from tests.pages.packs import JOBS, pages_of

EVERY = [(job, edition) for job in JOBS for edition in Edition]
TAPS = 2
VOID = {"img", "source", "br", "hr", "path", "meta", "link", "input"}


class _Main(HTMLParser):
    """The links and the text of a page's main part, whole and by each element that has an id."""

    def __init__(self, body: str) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[str] = []
        self.texts: dict[str, list[str]] = {"": []}
        self._open: list[tuple[str, str]] = []
        self._within = False
        self.feed(body)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "main":
            self._within = True
        if not self._within:
            return
        if tag == "a" and given.get("href"):
            self.links.append(given["href"])
        if tag not in VOID:
            self._open.append((tag, given.get("id") or ""))
            self.texts.setdefault(given.get("id") or "", [])

    def handle_endtag(self, tag):
        if self._within and tag not in VOID:
            assert self._open.pop()[0] == tag
        if tag == "main":
            self._within = False

    def handle_data(self, data):
        if self._within:
            for id in {"", *(id for _, id in self._open)}:
                self.texts[id].append(data)

    def text(self, id: str) -> str:
        return " ".join(" ".join(self.texts[id]).split())


@cache
def mains(job: str, edition: Edition) -> dict[str, _Main]:
    return {path: _Main(page.body) for path, page in pages_of(job, edition).items() if not path.startswith("lang-")}


def target(path: str, href: str) -> tuple[str, str]:
    file, _, fragment = href.partition("#")
    if not file:
        return path, fragment
    parts = list(PurePosixPath(path).parent.parts)
    for part in PurePosixPath(file).parts:
        parts = parts[:-1] if part == ".." else [*parts, part]
    return "/".join(parts), fragment


def reached(job: str, edition: Edition, path: str) -> set[tuple[str, str]]:
    """Where the links of a page lead within ``TAPS`` taps: page and fragment."""
    pages = mains(job, edition)
    found, edge = set(), {(path, "")}
    for _ in range(TAPS):
        edge = {
            there
            for page, _ in edge
            for href in pages[page].links
            if not href.startswith("tel:") and (there := target(page, href))[0] in pages
        } - found
        found |= edge
    return found


def owners(house: Installation, thing: object) -> list[str]:
    """The pages on which the wires of a thing are told: of a circuit its own, of a panel its feeder's and so on."""
    if isinstance(thing, Panel):
        ways = [way for way in (house.feeder_to(thing), house.transfer_to(thing)) if way]
        return [f"{way.code}/index.html" for way in ways] or [f"{thing.code}/index.html"]
    if isinstance(thing, Equipment):
        return [f"{thing.circuit}/index.html"]
    if isinstance(thing, Run | Box):
        runs = [thing] if isinstance(thing, Run) else [
            run for run in house.record.runs if any(step.box == thing.code for step in run.path)
        ]  # fmt: skip
        codes = [wiring.code for run in runs for wiring in house.carried_by(run)]
        return [f"{code}/index.html" for code in dict.fromkeys(codes)] or [f"{thing.code}/index.html"]
    return [f"{thing.code}/index.html"]


def things_of(job: str):
    house = Installation(read_job(JOBS[job]))
    record = house.record
    groups = (record.panels, record.feeders, record.circuits, record.equipment, record.sources, record.transfers,
              record.runs, record.boxes)  # fmt: skip
    return house, [thing for group in groups for thing in group]


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_conductors_are_two_taps_from_every_code(job, edition):
    house, things = things_of(job)
    pages = mains(job, edition)
    for thing in things:
        there = reached(job, edition, f"{thing.code}/index.html")
        for owner in owners(house, thing):
            assert (owner, "wires") in there, (thing.code, owner)
            wiring = house.wirings.get(owner.split("/")[0])
            told = pages[owner].text("wires")
            if wiring is not None and wiring.conductors:
                for conductor in wiring.conductors:
                    size = conductor.size.written or conductor.size.basis.value.capitalize()
                    assert re.search(rf"{conductor.role} {conductor.count} {re.escape(size)}", told), (owner, told)
            elif isinstance(thing, Panel) and thing is house.service_panel:
                assert ("worker.html", "service") in there
                assert "Service conductors" in pages["worker.html"].text("service")
            else:
                assert "Not recorded" in told, (owner, told)


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_the_way_they_run_is_two_taps_from_every_code(job, edition):
    house, things = things_of(job)
    pages = mains(job, edition)
    for thing in things:
        there = reached(job, edition, f"{thing.code}/index.html")
        for owner in owners(house, thing):
            wiring = house.wirings.get(owner.split("/")[0])
            runs = house.runs_of(wiring) if wiring is not None else []
            if runs:
                assert (owner, "route") in there, (thing.code, owner)
                assert all(run.name in pages[owner].text("route") for run in runs)
            else:
                assert (owner, "wires") in there, (thing.code, owner)
                assert re.search(r"ow they run Not recorded", pages[owner].text("wires")), (thing.code, owner)


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_what_is_not_known_is_two_taps_from_every_code(job, edition):
    house, things = things_of(job)
    pages = mains(job, edition)
    for thing in things:
        own = f"{thing.code}/index.html"
        there = reached(job, edition, own)
        for page in {own, *owners(house, thing)}:
            assert (page, "open") in there, (thing.code, page)
            assert len(pages[page].text("open").split()) > 10, page


@pytest.mark.parametrize(("job", "edition"), EVERY)
def test_what_feeds_a_thing_stands_first_among_what_it_is_tied_to(job, edition):
    house, things = things_of(job)
    bodies = pages_of(job, edition)
    for thing in things:
        above = []
        position = house.position(thing.circuit if isinstance(thing, Equipment) else thing.code)
        if isinstance(thing, Panel):
            ways = [way.code for way in (house.feeder_to(thing), house.transfer_to(thing)) if way]
            upstream = house.upstream(thing)
            above = [*ways, *([upstream.code] if upstream else [])]
        elif isinstance(thing, Equipment):
            above = [thing.circuit, position.panel.code]
        elif isinstance(thing, Run | Box):
            above = [path.split("/")[0] for path in owners(house, thing) if path.split("/")[0] != thing.code]
        elif position is not None:
            above = [position.panel.code]
        elif isinstance(thing, Source):
            above = [item.code for item in house.record.transfers if item.source == thing.code]
        elif isinstance(thing, Feeder):
            above = [house.upstream(house.panels[thing.to]).code]
        else:
            assert isinstance(thing, Circuit | Transfer)
        section = re.search(r'<section id="feeds">.*?</ul>', bodies[f"{thing.code}/index.html"].body, re.DOTALL)
        listed = re.findall(r'<a href="\.\./([A-Z]+\d+)/index', section[0] if section else "")
        assert listed[: len(above)] == above, (thing.code, listed, above)


def test_the_worker_s_parts_are_listed_apart_and_after_those_of_who_lives_there():
    for path, page in pages_of("demo", Edition.POSTED).items():
        toc = re.search(r'<nav class="toc".*?</nav>', page.body, re.DOTALL)
        if toc and 'href="#wires"' in toc[0]:
            first, apart, second = toc[0].partition("<p>For the worker</p>")
            assert apart, path
            ids = re.findall(r'href="#(\w+)"', second)
            assert ids[:2] == ["wires", "details"], path
            assert set(ids) <= {"wires", "details", "checks"}, path
            assert re.findall(r'href="#(\w+)"', first)[-1] == "open", path
