"""pack.pdf: all of the record, on numbered pages, with nothing private, nothing that runs, and equal bytes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from pdf_tools import MM, everything_in, objects_in, opened, picture, squeezed, texts_of
from test_demo_pack import posted_record, shown_openly

from handover.editions import private_values
from handover.record.reader import read_job

COARSE = 36
DEMO = Path(__file__).parent.parent / "demo_property"


@pytest.fixture(scope="module")
def files(demo_pack):
    """Both packs, and the labels."""
    return {
        "posted": next((demo_pack / "posted").rglob("pack.pdf")),
        "owner": demo_pack / "owner" / "pack.pdf",
        "labels": demo_pack / "owner" / "labels.pdf",
    }


@pytest.fixture(scope="module")
def texts(files):
    """The text of each page of each file."""
    return {name: texts_of(file) for name, file in files.items()}


@pytest.fixture(scope="module")
def record():
    return read_job(DEMO)


def test_every_page_says_which_record_and_which_page(texts, record):
    revision = record.revisions[-1]
    for name, pages in texts.items():
        assert len(pages) > 20
        for number, text in enumerate(pages, 1):
            assert f"Record {record.job.number} · revision {revision.number} · June 12, 2026" in text, name
            assert f"Page {number} of {len(pages)}" in text, name


def test_nothing_runs_into_the_margins(files):
    """No text, drawing or photo of any page: right and left, above, and between it and the foot."""
    with opened(files["owner"]) as document:
        for number, page in enumerate(document, 1):
            shot = picture(page, COARSE)
            right, left, top = (round(mm / MM * COARSE) for mm in (215.9 - 15, 19, 15))
            bottom, foot = (round(mm / MM * COARSE) for mm in (279.4 - 20.5, 279.4 - 18.5))
            for margin in (shot[:, right:], shot[:, :left], shot[:top], shot[bottom:foot]):
                assert margin.min() > 230, number


def test_the_contents_lead_to_the_pages_that_they_name(files, texts):
    """The printed numbers, in order, are the pages that the file's own bookmarks lead to."""
    with opened(files["owner"]) as document:
        marks = [(mark.get_title(), mark.get_dest().get_index()) for mark in document.get_toc()]
    contents = " ".join(texts["owner"][1:4]).partition(" Contents ")[2]
    printed = re.findall(r"(?:\. ?)+ *(\d+)(?= |$)", contents)
    assert [int(number) for number in printed] == [page + 1 for _, page in marks]
    assert len(marks) > 100
    for title, page in marks:
        assert squeezed(title) in squeezed(texts["owner"][page])


@pytest.mark.parametrize("edition", ["posted", "owner"])
def test_every_code_and_name_of_the_record_is_told(edition, texts, record):
    shown = posted_record(record) if edition == "posted" else record
    every = squeezed(" ".join(texts[edition]))
    things = (
        *shown.circuits, *shown.panels, *shown.feeders, *shown.sources, *shown.transfers, *shown.runs, *shown.boxes,
        *shown.equipment,
    )  # fmt: skip
    assert len(things) > 30
    for thing in things:
        assert squeezed(f"{thing.code} {thing.name}") in every
    for finding in (*shown.findings, *shown.unknowns):
        assert squeezed(finding.what) in every


def test_every_check_is_told_with_its_question(texts, demo_pack):
    results = json.loads((demo_pack / "owner" / "downloads" / "checks.json").read_text("utf-8"))["results"]
    every = squeezed(" ".join(texts["owner"]))
    assert len(results) > 300
    for result in results:
        assert squeezed(result["reason"]) in every, result["rule"]


def test_the_owner_has_the_door_card(texts):
    assert any("POWER OFF, AND WHO TO CALL" in text for text in texts["owner"])
    assert not any("POWER OFF, AND WHO TO CALL" in text for text in texts["posted"])


@pytest.mark.parametrize(("edition", "told"), [("posted", False), ("owner", True)])
def test_private_values(edition, told, files, texts, record):
    """Looked for in the text, in the file's bytes and in every unpacked stream, in both ways a PDF writes letters."""
    open_texts = squeezed(shown_openly(record))
    private = {
        path: value for path, value in private_values(record) if len(value) >= 4 and squeezed(value) not in open_texts
    }
    assert len(private) > 10
    written = squeezed(" ".join(texts[edition]))
    raw = everything_in(files[edition].read_bytes()).lower()
    found = {
        path
        for path, value in private.items()
        if squeezed(value) in written
        or any(value.lower().encode(code) in raw for code in ("utf-8", "utf-16-be", "latin-1"))
        if value.isascii() or squeezed(value) in written
    }
    assert (len(found) > 10) if told else (found == set())


def test_what_the_file_says_of_itself(files, record):
    for name, file in files.items():
        with opened(file) as document:
            told = document.get_metadata_dict()
        kind = "Labels of record" if name == "labels" else "Electrical record"
        assert told["Title"] == f"{kind} {record.job.number}, revision {record.revisions[-1].number}"
        assert told["Author"] == told["Subject"] == told["Keywords"] == ""
        assert told["CreationDate"] == told["ModDate"] == "D:20260612000000Z"


def test_nothing_runs_and_nothing_leads_outside(files):
    for file in files.values():
        raw = objects_in(file.read_bytes())
        for word in (b"/JavaScript", b"/JS", b"/Launch", b"/OpenAction", b"/URI", b"/SubmitForm", b"/EmbeddedFile"):
            assert word not in raw, f"{file.name}: {word!r}"


def test_fonts_are_inside(files):
    for file in files.values():
        raw = everything_in(file.read_bytes())
        described = re.findall(rb"/Type ?/FontDescriptor.*?endobj", raw, re.DOTALL)
        assert len(described) == 2
        assert all(re.search(rb"/FontFile[23] \d+ 0 R", one) for one in described)
        assert {name.split(b"+")[1] for name in re.findall(rb"/BaseFont ?/([A-Za-z+-]+)", raw)} == {
            b"DejaVuSans",
            b"DejaVuSans-Bold",
        }


def test_it_can_be_read_aloud_and_kept(files):
    """Tagged, with its language and an alternative for each picture (PDF/UA-1), and made to be archived (PDF/A-2a)."""
    for file in files.values():
        raw = everything_in(file.read_bytes())
        assert b"/Marked true" in raw
        assert re.search(rb"/Lang ?\(en-US\)", raw)
        pictures, told = len(re.findall(rb"/S ?/Figure", raw)), len(re.findall(rb"/Alt ?[(<]", raw))
        assert 10 < pictures <= told
        assert b"<pdfaid:part>2</pdfaid:part>" in raw
        assert b"<pdfuaid:part>1</pdfuaid:part>" in raw


def test_the_site_leads_to_it(demo_pack):
    for home in (demo_pack / "owner" / "index.html", next((demo_pack / "posted").iterdir()) / "index.html"):
        assert 'href="pack.pdf"' in home.read_text("utf-8")
        assert (home.parent / "pack.pdf").stat().st_size > 100_000
    assert 'href="labels.pdf"' in (demo_pack / "owner" / "labels.html").read_text("utf-8")
    assert list((demo_pack / "posted").rglob("labels.pdf")) == []
