"""Where to test that a thing is dead: at the ends of its wires as recorded, for electricians alone."""

from __future__ import annotations

import re

import pytest

from handover.pack import Edition
from handover.pages.contents import Book
from handover.pages.verify_dead import points_to_test
from handover.record.reader import read_job
from tests.jobs import job
from tests.pages.packs import JOBS, pack_of, pages_of

FOLD = re.compile(r'<details class="trade">(.*?)</details>', re.DOTALL)
HEADING = "<h3>Where to test that it is dead</h3>"


def points(text, code):
    book = Book(pack_of(job(text), Edition.POSTED))
    return points_to_test(book, book.things[code])


def demo(code):
    (fold,) = FOLD.findall(pages_of("demo", Edition.POSTED)[f"{code}/index.html"].body)
    return [re.sub(r"<[^>]*>", "", line).replace("&#39;", "'") for line in
            re.findall(r"<li>(.*?)</li>", fold.partition(HEADING)[2], re.DOTALL)]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("F1", ["P1, spaces 14 and 16: the terminals of the breaker.", "P3: the line side of its main breaker."]),
        ("F2", ["M1: its feed-through lugs.", "P1: the line side of its main breaker."]),
        ("C1", ["P1, spaces 18 and 20: the terminals of the breaker.", "E1, carport, house wall: the terminals."]),
        (
            "E3",
            [
                "P3, spaces 2 and 4: the terminals of the breaker.",
                "The pull-out of E3, on the wall, right of the unit: line side and load side.",
                "E3, studio, outside the north wall: the terminals.",
            ],
        ),
        (
            "T1",
            [
                "T1, all three sets of terminals: the utility's side from M1, spaces 1 and 3; the side of G1;"
                " the load side to P2."
            ],
        ),
        (
            "P1",
            [
                "P1: the line side of its main breaker.",
                "P1: the load side of its main breaker.",
                "P1, spaces 40 and 42: the terminals of the breaker for S1.",
            ],
        ),
        ("P2", ["P2: its main lugs. No main breaker is here."]),
        (
            "R1",
            [
                "F1: P1, spaces 14 and 16: the terminals of the breaker. P3: the line side of its main breaker.",
                "B2: no splice in it, so no point to test.",
                "B1: no splice in it, so no point to test.",
            ],
        ),
    ],
)
def test_the_ends_of_the_wires_on_record(code, said):
    assert demo(code) == said


@pytest.mark.parametrize(
    ("box", "said"),
    [
        ("spliced: no", "B1: no splice in it, so no point to test."),
        ("spliced: no, devices: 0", "B1: no splice in it, so no point to test."),
        ("spliced: no, devices: 1", "B1: the terminals of the devices in it; no splice."),
        ("spliced: yes", "B1: the splices in it."),
        ("spliced: yes, devices: 2", "B1: the splices in it, and the terminals of the devices in it."),
        ("spliced: unknown", "B1: whether it holds splices is unknown."),
        ("devices: 1", "B1: the terminals of the devices in it; whether it holds splices is not recorded."),
    ],
)
def test_a_box_offers_a_point_only_where_it_is_recorded_to_hold_one(box, said):
    text = f"boxes: [{{code: B1, name: Box, place: hall, work: existing, kind: junction box, {box}}}]"
    assert points(text, "B1") == ("Where the wires in it end is not on record.", said)


def test_a_source_ahead_of_the_main_is_tested_there():
    text = """
    sources: [{code: S1, kind: solar, name: Roof, place: roof, work: existing,
               bus_end: supply side of the main, disconnect: beside the meter}]
    """
    assert points(text, "S1") == (
        "Its disconnect (beside the meter): both sides.",
        "P1: the line side of its main, where it joins.",
    )


def test_what_shares_a_neutral_is_tested_too():
    text = "circuits: [{code: C1, name: A, work: existing, volts: 120 V, multiwire_with: C2}]"
    assert points(text, "C1") == ("The wires of C2 too: both share a neutral.",)


@pytest.mark.parametrize("edition", Edition)
def test_every_code_has_the_block_within_the_fold_and_no_spanish_page_has_it(edition):
    pages = pages_of("demo", edition)
    for code in Book(pack_of(read_job(JOBS["demo"]), edition)).things:
        body = pages[f"{code}/index.html"].body
        (fold,) = FOLD.findall(body)
        assert body.count(HEADING) == fold.count(HEADING) == 1, code
        assert "A label or a page is no proof that a wire is dead." in fold, code
        assert "dead</h3>" not in pages[f"lang-es/{code}/index.html"].body
        assert "Dónde comprobar" not in pages[f"lang-es/{code}/index.html"].body
