"""Rules about where panels stand."""

from __future__ import annotations

import pytest

from handover.checks.places import (
    dedicated_space_kept,
    handle_height,
    headroom,
    panel_location,
    working_depth,
    working_width,
)
from tests.jobs import result, results, swap, verdict

PANEL = """
panels:
  - {code: P1, name: Main, place: hall, work: new, spaces: 4, main_kind: main breaker, main: 200 A,
     bus: 225 A, working_depth: 36 in, working_width: 30 in, width: 16 in, headroom: 78 in, handle_height: 79 in}
"""


@pytest.mark.parametrize(
    ("rule", "exact", "short"),
    [
        (working_depth, "depth: 36 in", "depth: 35-1/2 in"),
        (working_width, "working_width: 30 in", "working_width: 29 in"),
        (headroom, "headroom: 78 in", "headroom: 77 in"),
        (handle_height, "height: 79 in", "height: 80 in"),
    ],
)
def test_room_at_the_panel(rule, exact, short):
    """ELECTRICAL CONTRACTOR, 110.26(A), part XIX: a 16 in panel needs 30 in; 3 ft; 6.5 ft.  240.24(A): 79 in."""
    assert verdict(rule, PANEL) == "pass"
    assert verdict(rule, swap(PANEL, exact, short)) == "fail"
    assert verdict(rule, swap(PANEL, exact, exact.split(":")[0] + ": not checked")) == "undecided"
    assert results(rule, swap(PANEL, "work: new", "work: existing")) == []


def test_worked_example_ws_16():
    """ELECTRICAL CONTRACTOR, "General Installation Requirements, Part XIX", 110.26(A)(2): a 16 in panel needs 30 in."""
    found = result(working_width, PANEL)
    assert found.limit is not None
    assert found.limit.to("inch").magnitude == 30
    assert found.verdict == "pass"


def test_less_headroom_may_do_in_an_old_house():
    """NEC 110.26(A)(3), exception: dwellings that were there, panels to 200 A."""
    low = swap(swap(PANEL, "headroom: 78 in", "headroom: 70 in"), "bus: 225 A", "bus: 200 A")
    assert verdict(headroom, low) == "undecided"
    said = "confirmed: [{rule: headroom, subject: P1, answer: yes, how: House of 1950.}]\n"
    assert verdict(headroom, low + said) == "pass"
    assert verdict(headroom, low + swap(said, "answer: yes", "answer: no")) == "fail"
    assert verdict(headroom, swap(low, "bus: 200 A", "bus: 225 A") + said) == "fail"
    assert verdict(headroom, swap(low, "bus: 200 A, ", "")) == "undecided"


def test_less_headroom_is_for_dwellings_alone():
    """NEC 110.26(A)(3), exception: a studio or workshop that is recorded as no dwelling has none."""
    low = swap(swap(PANEL, "headroom: 78 in", "headroom: 70 in"), "bus: 225 A", "bus: 100 A")
    apart = swap(low, "headroom: 70 in", "headroom: 70 in, separate_building: yes")
    assert verdict(headroom, apart) == "undecided", "what the building is was not recorded"
    assert verdict(headroom, swap(apart, "separate_building: yes", "separate_building: yes, dwelling: no")) == "fail"
    assert verdict(headroom, swap(apart, "separate_building: yes", "separate_building: yes, dwelling: yes")) != "fail"


@pytest.mark.parametrize("rule", [panel_location, dedicated_space_kept])
def test_questions_about_the_place(rule):
    """NEC 240.24(D) to (F), 110.26(E)."""
    assert verdict(rule, PANEL) == "undecided"
    said = f"confirmed: [{{rule: {rule.id}, subject: P1, answer: yes, how: Seen.}}]\n"
    assert verdict(rule, PANEL + said, 2017) == "pass"
    assert verdict(rule, PANEL + swap(said, "answer: yes", "answer: no")) == "fail"
    assert verdict(rule, PANEL + said, 2026) == "undecided", "not read"
    assert results(rule, swap(PANEL, "work: new", "work: existing")) == []


def test_a_wide_panel_needs_its_own_width():
    """NEC 110.26(A)(2)."""
    assert verdict(working_width, swap(PANEL, "width: 16 in", "width: 32 in")) == "fail"


@pytest.mark.parametrize(("bus", "expected"), [("100 A", "undecided"), ("200 A", "undecided"), ("201 A", "fail")])
def test_less_headroom_to_200_amperes_exactly(bus, expected):
    """NEC 110.26(A)(3), exception: panels not over 200 A."""
    low = swap(PANEL, "headroom: 78 in", "headroom: 70 in")
    assert verdict(headroom, swap(low, "bus: 225 A", f"bus: {bus}")) == expected
