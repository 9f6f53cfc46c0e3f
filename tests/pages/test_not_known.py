"""What a page says of what nobody knows: what is left out as loudly as what is unknown, and nothing open in a line."""

from __future__ import annotations

import re

import pytest

from handover.editions import record_for
from handover.pack import Edition
from handover.pages import render_pages
from handover.pages.numbers import why_not_checked
from handover.record.reader import read_job
from tests.jobs import job
from tests.pages.packs import JOBS, pack_of, pages_of

WIRES = "size, material, insulation, raceway and terminals"
OPEN = re.compile(r'<section id="open">(.*?)</section>', re.DOTALL)


def told(body):
    """The section of what is not known, as text in one line."""
    (section,) = OPEN.findall(body)
    return " ".join(re.sub(r"<[^>]*>", " ", section).replace("&#39;", "'").split())


def demo(code, language=""):
    return told(pages_of("demo", Edition.POSTED)[f"{language}{code}/index.html"].body)


def small(text):
    pages = render_pages(pack_of(job(text), Edition.POSTED))
    return {page.path.removesuffix("/index.html"): page.body for page in pages}


@pytest.mark.parametrize("language", ["", "lang-es/"])
@pytest.mark.parametrize("edition", Edition)
def test_every_page_of_a_code_has_the_section(edition, language):
    pages = pages_of("demo", edition)
    record = record_for(edition, read_job(JOBS["demo"]))
    groups = (record.panels, record.feeders, record.circuits, record.equipment, record.sources, record.transfers,
              record.runs, record.boxes)  # fmt: skip
    for group in groups:
        for thing in group:
            body = pages[f"{language}{thing.code}/index.html"].body
            assert len(told(body).split()) > 10, thing.code
            assert 'href="#open"' in body, thing.code


def test_where_nothing_is_open_a_line_says_so_and_leads_to_the_list_of_the_house():
    for code in ("C1", "R1", "B1", "P3"):
        assert "Nothing open was recorded for this. The list of the whole house: What stayed unknown" in demo(code)
        assert "No se anotó nada pendiente de esto." in demo(code, "lang-es/")
        assert (
            'href="../findings.html">What stayed unknown' in pages_of("demo", Edition.POSTED)[f"{code}/index.html"].body
        )
    for code in ("T1", "F2", "R10", "P1", "M1"):
        assert "Nothing open" not in demo(code)
        assert "nada pendiente" not in demo(code, "lang-es/")


@pytest.mark.parametrize(
    ("code", "wires"),
    [
        ("T1", "Wires from M1, spaces 1 and 3, to T1"),
        ("T1", "Wires from G1 to T1"),
        ("T1", "Wires from T1 to P2"),
        ("G1", "Wires from G1 to T1"),
        ("P2", "Wires from T1 to P2"),
        ("S1", "Wires from P1, spaces 40 and 42, to S1"),
    ],
)
def test_wires_that_the_record_does_not_describe_are_told_as_missing(code, wires):
    """As the one-line drawing says "Conductors not recorded" of each."""
    assert f"{wires}: {WIRES} Not recorded" in demo(code)
    findings = pages_of("demo", Edition.POSTED)["findings.html"].body
    assert f"{wires}: {WIRES}" in findings[findings.index('id="facts"') :]


def test_a_source_s_own_breaker_is_missing_where_nobody_recorded_it():
    assert "G1 Standby generator: Rating of its own breaker or fuse Not recorded" in demo("G1")
    assert "own breaker" not in demo("S1"), "it stands in the panel"
    source = "sources: [{code: G1, kind: generator, name: Set, place: yard, work: existing%s}]"
    assert "Rating of its own breaker or fuse Not recorded" in told(small(source % "")["G1"])
    known = small(source % ", own_breaker: 60 A")["G1"]
    assert "own breaker" not in told(known)
    assert "Rating of its own breaker or fuse</dt><dd>60 A" in known
    assert "Rating of its own breaker or fuse Unknown" in told(small(source % ", own_breaker: unknown")["G1"])


def test_a_way_that_nobody_saw_is_not_recorded():
    way = "How it runs between its ends Not recorded its length was only worked out: taped along the walls"
    assert f"R10 Meter-main to main panel: {way}" in demo("R10")
    assert f"R10 Meter-main to main panel: {way}" in demo("F2")
    run = "runs: [{code: R1, name: Pipe, work: existing, method: EMT%s}]"
    for path in ("", ", path: [{step: straight, length: unknown}]", ", path: [{step: panel, code: P1}]"):
        assert "How it runs between its ends Not recorded" in told(small(run % path)["R1"]), path
    assert "How it runs" not in told(small(run % ", path: [{step: straight, length: 4 ft}]")["R1"])


def test_an_open_size_says_of_which_conductor():
    assert "F2 Feeder to the main panel, conductors (equipment ground): Size Not checked" in demo("F2")
    assert "Insulation of conductors (hot, neutral, equipment ground) Not recorded" in demo("F2")


def test_a_circuit_of_which_nothing_is_recorded_says_what_is_missing():
    page = told(small("circuits: [{code: C1, name: Well, work: existing, volts: 240 V}]")["C1"])
    for label in ("Its breaker", "Conductors: number, size, material and insulation", "How it runs"):
        assert f"C1 Well: {label} Not recorded" in page


def test_rods_alike_are_told_apart_by_number():
    rods = "{kind: ground rod, length: unknown}, {kind: ground rod, length: unknown}, {kind: plate, length: unknown}"
    service = (
        "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, "
        f"disconnect_place: outside, grounding: {{electrodes: [{rods}]}}}}"
    )
    page = told(small(service)["P1"])
    for which in ("ground rod 1", "ground rod 2", "plate"):
        assert f"electrodes ({which}): Length Unknown" in page


@pytest.mark.parametrize("edition", Edition)
def test_where_no_rule_said_anything_the_page_says_so_and_why(edition):
    pages = pages_of("demo", edition)
    results = {result.subject.split("/")[0] for result in pack_of(read_job(JOBS["demo"]), edition).results}
    unchecked = set()
    for path, page in pages.items():
        part = re.search(r'<section id="checks">(.*?)</section>', page.body, re.DOTALL)
        if part:
            code = path.split("/")[0]
            assert ("Nothing was checked here." in part[1]) is (code not in results), path
            unchecked |= {code} - results
    assert unchecked == {"F2", "G1", "R10"}
    feeder = pages["F2/index.html"].body
    assert "It was here before this job, and the checks judge what a job makes or changes." in feeder
    size = "F2 Feeder to the main panel, conductors (equipment ground): Size, not checked;"
    assert f"Facts that a check would need are missing too: {size}" in feeder
    assert "Insulation of conductors (hot, neutral, equipment ground), not recorded" in feeder
    listed = re.search(r'<section id="unchecked">(.*?)</section>', pages["numbers.html"].body, re.DOTALL)[1]
    assert set(re.findall(r'href="(\w+)/index.html"', listed)) == unchecked
    assert 'href="#unchecked"' in pages["numbers.html"].body
    assert 'href="../F2/index.html"' in pages["P1/index.html"].body


def test_what_is_of_the_job_and_no_rule_asks_about_says_so():
    (run,) = job("runs: [{code: R1, name: Pipe, work: new, method: FMC}]").runs
    assert why_not_checked(run, ()) == ("Nothing was checked here.", "No rule of this program asks about it.")
