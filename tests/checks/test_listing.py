"""Listing of equipment and of breakers."""

from __future__ import annotations

import re

import pytest

from handover.checks.heat_pumps import heat_pump_disconnect_closed, heat_pump_gfci
from handover.checks.listing import breaker_listed_for_panel, equipment_listed
from tests.jobs import result, results, swap, verdict

UNIT = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: {rating: 30 A, gfci: no, listed_for_panel: yes}, feeds: C3, work: new},
             {spaces: [2], breaker: 20 A, says: old}]}
circuits: [{code: C3, name: Unit, work: new, volts: 240 V}]
equipment:
  - {code: E3, name: Unit, kind: heat pump, circuit: C3, place: yard, work: new, outdoors: yes, listed: yes,
     disconnect: {kind: pull-out, place: wall, needs_tool_to_open: yes}}
"""


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("yes", "pass"),
        ("mark of a test laboratory on the plate", "pass"),
        ("no", "fail"),
        ("No.", "fail"),
        ("not listed", "fail"),
        ("none", "fail"),
        ("no mark found yet", "undecided"),
        ("not sure", "undecided"),
        ("unknown", "undecided"),
        ("not checked", "undecided"),
    ],
)
@pytest.mark.parametrize("edition", [2020, 2023])
def test_words_that_say_no_do_not_count_as_a_listing(words, expected, edition):
    """NEC 110.3(B), from memory."""
    said = swap(UNIT, "listed: yes,", f"listed: {words},")
    assert verdict(equipment_listed, said, edition) == expected
    if edition == 2023:
        assert verdict(heat_pump_gfci, said) == expected, "the exemption until 2026-09-01 is for listed equipment"


def test_a_listing_that_was_not_recorded_is_asked_for_and_chargers_cite_their_article():
    assert verdict(equipment_listed, swap(UNIT, "listed: yes,", "")) == "undecided"
    assert result(equipment_listed, UNIT).citation.section == "110.3(B), from memory"
    charger = swap(UNIT, "kind: heat pump", "kind: car charger")
    assert result(equipment_listed, charger).citation.section == "110.3(B) and 625.6, from memory"
    assert results(equipment_listed, swap(UNIT, "yard, work: new", "yard, work: existing")) == []


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("for_panel: yes", "for_panel: yes"), "pass"),
        (("for_panel: yes", "for_panel: no"), "fail"),
        (("for_panel: yes", "for_panel: unknown"), "undecided"),
        ((", listed_for_panel: yes", ""), "undecided"),
    ],
)
def test_breakers_are_listed_for_their_panel(change, expected):
    """NEC 110.3(B): a panel's label names the types of breakers that may stand in it.  Old breakers are left alone."""
    found = result(breaker_listed_for_panel, swap(UNIT, *change))
    assert found.verdict == expected
    assert not re.search(r"spaces? 2\b", found.reason)
    old = swap(swap(UNIT, "C3, work: new", "C3"), "name: Unit, work: new", "name: Unit, work: existing")
    assert verdict(breaker_listed_for_panel, old) == "not_applicable"


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("open: yes", "open: yes"), "pass"),
        (("open: yes", "open: no"), "fail"),
        ((", needs_tool_to_open: yes", ""), "undecided"),
        (("kind: pull-out, ", ""), "undecided"),
        (("kind: pull-out", "kind: breaker"), "not_applicable"),
        (("outdoors: yes", "outdoors: no"), "not_applicable"),
        (("outdoors: yes", "outdoors: unknown"), "undecided"),
    ],
)
def test_an_outdoor_disconnect_opens_only_with_a_tool_from_2023_on(change, expected):
    """NEC 2023 440.11, from memory."""
    text = swap(UNIT, *change)
    assert verdict(heat_pump_disconnect_closed, text, 2023) == expected
    assert verdict(heat_pump_disconnect_closed, text, 2020) == "not_applicable"
