"""Beside the free spaces of a panel stands what its feeders and the service have left, from the checks' own results."""

from __future__ import annotations

import re

import pytest

from handover.pack import Edition
from handover.pages import render_pages
from handover.record.reader import read_job
from tests.jobs import job
from tests.pages.packs import JOBS, pack_of, pages_of


def rows_of(body):
    """Label and value of every row of a page."""
    return {
        " ".join(re.sub(r"<[^>]*>", "", label).split()): " ".join(re.sub(r"<[^>]*>", " ", value).split())
        for label, value in re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", body, re.DOTALL)
    }


def demo(path, edition=Edition.POSTED):
    return pages_of("demo", edition)[path].body


FEEDER = ("Studio feeder (F1) can still carry", "Up to 3 A of 60 A by the sum. Ask an electrician.")
SUPPLY = ("The supply of the house can still carry", "Up to 40 A of 200 A by the sum. Ask an electrician.")
NOT_SUMMED = "Cannot be said: no sum was made for it. It was here before this job. Ask an electrician."


@pytest.mark.parametrize("path", ["P3/index.html", "directory.html", "worker.html", "numbers-P3.html"])
def test_a_panel_says_what_its_feeder_and_the_supply_have_left(path):
    """F1: 60 A less 56.7 A on the heavier leg; the service: 9824 VA at 240 V.  See ``test_spare_capacity``."""
    body = demo(path)
    assert {FEEDER, SUPPLY} <= rows_of(body).items()
    assert 'href="../numbers-F1.html#spare-feeder-F1"' in body or 'href="numbers-F1.html#spare-feeder-F1"' in body
    assert "numbers-M1.html#spare-service-M1" in body


def test_a_feeder_that_no_check_summed_cannot_be_said():
    main = rows_of(demo("P1/index.html"))
    assert main["Spaces with no breaker"] == "6 of 42: 31, 34, 36, 38, 39 and 41"
    assert main["Feeder to the main panel (F2) can still carry"] == f"{NOT_SUMMED} Load on record: 159 A"
    assert main[SUPPLY[0]] == SUPPLY[1]
    standby = rows_of(demo("P2/index.html"))
    assert standby["Automatic transfer switch (T1) can still carry"].startswith("Cannot be said: no sum was made")


def test_the_working_stands_in_english_alone():
    body = demo("lang-es/P3/index.html")
    assert "Hasta 3 A de 60 A según la cuenta." in body
    assert "numbers-F1" not in body


def test_the_same_figures_as_among_the_everyday_questions():
    asked = rows_of(demo("questions.html"))
    assert asked["Studio feeder (F1)"].startswith("Up to 3 A by the sum")
    assert asked["The supply of the house"].startswith("Up to 40 A by the sum")


def test_a_supply_that_cannot_be_decided_says_why_and_is_no_room():
    pages = {page.path: page.body for page in render_pages(pack_of(job(), Edition.POSTED))}
    told = rows_of(pages["P1/index.html"])["The supply of the house can still carry"]
    assert told.startswith("Cannot be said: facts are missing. Ask an electrician.")
    assert len(told) > len("Cannot be said: facts are missing. Ask an electrician.") + 20
    assert '<strong class="open"><a href="../numbers-P1.html#spare-service-P1">Cannot be said' in pages["P1/index.html"]
    assert "by the sum" not in pages["P1/index.html"]


def test_a_sum_that_is_more_than_the_rating_leaves_none():
    record = read_job(JOBS["demo"])
    feeders = tuple(
        feeder.model_copy(update={"load": type(feeder.load)(feeder.load.value * 2, feeder.load.basis, "96 A")})
        if feeder.code == "F1"
        else feeder
        for feeder in record.feeders
    )
    pack = pack_of(record.model_copy(update={"feeders": feeders}), Edition.POSTED)
    body = next(page.body for page in render_pages(pack) if page.path == "P3/index.html")
    assert rows_of(body)[FEEDER[0]].startswith("None: the sum is more than it is made for.")
