"""Labels on self-adhesive sheets, each within its place as measured on the page; codes read before handing out."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from pdf_tools import dark_box, opened, picture

from handover.cli import main
from handover.labels import all_labels
from handover.pack import Edition, Label
from handover.pdf.label_document import stock_document
from handover.pdf.label_stock import stocks, stuck_on
from handover.pdf.read_back import refuse_unreadable, unreadable
from handover.pdf.typesetting import typeset
from handover.problems import JobProblems
from handover.record.reader import read_job
from tests.pages.packs import pack_of

DEMO = Path(__file__).parent.parent / "demo_property"
DAY = dt.date(2026, 6, 12)
FINE = 600
BORDER = 0.3  # outer edge of the line round a label, from the label's own edge
UNPRINTED = 4.2  # millimetres that a laser printer does not reach: 1/6 in, common practice


@pytest.fixture(scope="module")
def labels():
    return all_labels(read_job(DEMO))


def label(width: float, height: float) -> Label:
    return Label(
        name=f"{width:g}x{height:g}", code="P1", title="A label", svg="", width_mm=width, height_mm=height,
        address=None, goes="On the wall.", material="Paper.",
    )  # fmt: skip


@pytest.mark.parametrize("stock", stocks().values(), ids=list(stocks()))
def test_places_lie_apart_and_in_the_middle_of_their_sheet(stock):
    places = list(stock.places())
    assert len(places) == stock.columns * stock.rows
    assert stock.across >= stock.width
    assert stock.down >= stock.height
    right, bottom = places[-1][0] + stock.width, places[-1][1] + stock.height
    assert stock.page_width - right == pytest.approx(stock.left, abs=0.06)
    assert stock.page_height - bottom == pytest.approx(stock.top, abs=0.06)


@pytest.mark.parametrize("stock", stocks().values(), ids=list(stocks()))
def test_each_label_is_in_a_place_of_its_own_or_named_as_too_large(stock, labels):
    mixed = (*labels, *(label(width, height) for width in (20, 60, 99, 130) for height in (15, 49, 83, 120)))
    fits, too_large = stuck_on(stock, mixed)
    assert len(fits) + len(too_large) == len(mixed)
    assert [each.label.name for each in fits if each.label in labels] == [
        each.name for each in labels if each not in too_large
    ]
    places = list(stock.places())
    taken = set()
    for number, one in enumerate(fits):
        x, y = places[number % len(places)]
        (w, h), at = one.size, (one.sheet, number % len(places))
        assert at not in taken
        taken.add(at)
        assert x - 0.01 <= one.x <= one.x + w <= x + stock.width + 0.01
        assert y - 0.01 <= one.y <= one.y + h <= y + stock.height + 0.01
        assert min(one.x, one.y) >= UNPRINTED - 0.01
        assert max(one.x + w - stock.page_width, one.y + h - stock.page_height) <= 0.05 - UNPRINTED
    for each in too_large:
        across, down = stock.width, stock.height
        either_way = [(each.width_mm, each.height_mm), (each.height_mm, each.width_mm)]
        margins = (stock.left, stock.top)
        assert not [
            1
            for w, h in either_way
            if w <= across and h <= down
            and all(m + (s - own) / 2 >= UNPRINTED for m, s, own in zip(margins, (across, down), (w, h), strict=True))
        ]  # fmt: skip


@pytest.mark.parametrize("name", ["letter-6", "letter-4", "a4-4"])
def test_places_and_pitch_as_printed(name):
    """Measured at 600 dots an inch, within 0.2 mm; the title names the sheet."""
    pack = pack_of(read_job(DEMO), Edition.OWNER)
    stock = stocks()[name]
    fits, _ = stuck_on(stock, pack.labels)
    assert len(fits) > 4
    with opened(typeset(stock_document(pack, stock))) as document:
        assert len(document) == fits[-1].sheet + 1
        for number, page in enumerate(document):
            assert page.get_size() == pytest.approx(
                (stock.page_width * 72 / 25.4, stock.page_height * 72 / 25.4), abs=0.1
            )
            shot = picture(page, FINE)
            for one in fits:
                if one.sheet == number:
                    w, h = one.size
                    around = (one.x - 0.1, one.y - 0.1, one.x + w + 0.1, one.y + h + 0.1)
                    asked = (one.x + BORDER, one.y + BORDER, one.x + w - BORDER, one.y + h - BORDER)
                    assert dark_box(shot, around, FINE) == pytest.approx(asked, abs=0.2), one.label.name


def test_a_sheet_that_nobody_knows_is_refused_with_those_known(tmp_path):
    done = CliRunner().invoke(main, ["build", str(DEMO), "--out", str(tmp_path / "pack"), "--label-sheet", "letter-7"])
    assert done.exit_code == 2
    assert "no sheet of labels is called 'letter-7'" in done.output
    assert "letter-6 (Letter, 6 labels of 4 x 3-1/3 in)" in done.output
    assert not (tmp_path / "pack").exists()


def test_every_code_of_the_example_reads_as_printed(labels):
    coded = [each for each in labels if each.held]
    assert len(coded) == 29
    assert all(each.quiet_box for each in coded)
    assert unreadable(labels, DAY) == []


def test_a_code_that_does_not_read_or_reads_otherwise_is_refused(labels):
    first, second, *_ = (each for each in labels if each.address)
    job = read_job(DEMO).job
    covered = first.svg.replace("</svg>", f'<rect width="{first.width_mm}" height="{first.height_mm}"/></svg>')
    other = replace(second, address=f"{second.address}X")
    bad = [replace(first, svg=covered), other]
    assert unreadable([*bad, *labels[2:]], DAY) == bad
    with pytest.raises(JobProblems) as caught:
        refuse_unreadable(bad, job, DAY)
    assert [problem.where for problem in caught.value.problems] == [f"label {first.name}", f"label {second.name}"]
    refuse_unreadable(labels[:2], job, DAY)
