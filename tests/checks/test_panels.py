"""Rules about panelboards."""

from __future__ import annotations

import pytest

from handover.checks.panels import (
    panel_directory,
    panel_protected,
    panel_size,
    panel_spaces,
)
from tests.jobs import result, results, swap, verdict

PANEL = """
panels:
  - code: P1
    name: Main panel
    place: hall
    work: changed
    spaces: 6
    main_kind: main breaker
    main: 200 A
    bus: 200 A
    directory: typed
    slots:
      - {spaces: [1, 3], breaker: 40 A, says: range, traced: yes}
      - {spaces: [2], breaker: 20 A, says: hall receptacles, traced: yes}
      - {spaces: [4], blank: yes}
      - {spaces: [5], breaker: 15 A, says: spare, traced: yes}
      - {spaces: [6], breaker: {rating: 20 A, interrupting: 10 kA}, says: porch lights, work: new}
"""


def test_every_space_once_passes_and_is_counted():
    found = result(panel_spaces, PANEL)
    assert found.verdict == "pass"
    assert [step.value for step in found.working] == ["4", "1", "1"], "breakers, spares, blank plates"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("[5], breaker", "[2], breaker", "more than once: space 2"),
        ("[6], breaker", "[8], breaker", "no space 8"),
        ("[1, 3]", "[1, 2]", "not on both legs"),
        ("[1, 3]", "[1, 5]", "not on both legs"),
    ],
)
def test_spaces_that_cannot_be(old, new, says):
    """Rows alternate between the legs, so a two-pole breaker stands on 1/3, never across the bus on 1/2."""
    found = result(panel_spaces, swap(PANEL, old, new))
    assert found.verdict == "fail"
    assert says in found.reason


def test_numbers_down_one_side_put_two_poles_side_by_side():
    down = swap(PANEL, "spaces: 6", "spaces: 6\n    numbering: down one side")
    assert verdict(panel_spaces, down) == "fail"
    down = swap(swap(down, "[1, 3]", "[1, 2]"), "[2], breaker", "[3], breaker")
    assert verdict(panel_spaces, down) == "pass"


def test_a_space_nobody_wrote_down_is_undecided_and_named():
    found = result(panel_spaces, swap(PANEL, "      - {spaces: [4], blank: yes}\n", ""))
    assert found.verdict == "undecided"
    assert "space 4" in found.reason


@pytest.mark.parametrize(
    ("bus", "expected"),
    [("bus: 200 A", "pass"), ("bus: 225 A", "pass"), ("bus: 125 A", "fail"), ("bus: unknown", "undecided")],
)
def test_bus_and_main(bus, expected):
    """NEC 408.36: no larger than the rating; exactly at it passes."""
    assert verdict(panel_protected, swap(PANEL, "bus: 200 A", bus)) == expected


def test_a_panel_with_lugs_is_protected_by_the_breaker_that_feeds_it():
    sub = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A, bus: 200 A,
         slots: [{spaces: [1, 3], breaker: 100 A, feeds: F1}]}
      - {code: P2, name: Sub, place: shed, work: new, spaces: 4, main_kind: main lugs, bus: 125 A}
    feeders: [{code: F1, name: Feeder, work: new, volts: 240 V, to: P2}]
    """
    assert verdict(panel_protected, sub, subject="P2") == "pass"
    assert verdict(panel_protected, swap(sub, "breaker: 100 A", "breaker: 150 A"), subject="P2") == "fail"
    assert verdict(panel_protected, swap(sub, "breaker: 100 A, ", ""), subject="P2") == "undecided"
    untouched = results(panel_protected, swap(sub, "work: new", "work: existing"))
    assert untouched == [], "nothing of this job hangs on it"


def test_a_directory_that_tells_all_apart():
    assert verdict(panel_directory, PANEL) == "pass"
    assert verdict(panel_directory, swap(PANEL, "    directory: typed\n", "")) == "undecided"


@pytest.mark.parametrize(
    ("says", "fault"),
    [
        ("lights", "Does not say which"),
        ("hall receptacles", "Reads like another"),
        ("Mia's room", "Seems to name an occupant"),
        ("kids bedroom", "Seems to name an occupant"),
        ("den ?", "Not traced"),
    ],
)
def test_doubtful_entries_fail_when_new_and_wait_when_old(says, fault):
    """NEC 408.4(A): specific, distinct, nothing that depends on who lives there.  The tests of wording are ours."""
    new = result(panel_directory, swap(PANEL, "says: porch lights", f'says: "{says}"'))
    assert fault in new.reason
    assert new.verdict == "fail"
    assert says not in new.reason, "results quote no free text"
    old = result(panel_directory, swap(PANEL, "says: range, traced: yes", f'says: "{says}"'))
    assert fault in old.reason
    assert old.verdict == "undecided"


def test_an_old_breaker_without_entry_is_undecided_and_a_resident_is_not_an_entry():
    untraced = result(panel_directory, swap(PANEL, "says: range, traced: yes", "says: range"))
    assert (untraced.verdict, "Not traced: spaces 1/3." in untraced.reason) == ("undecided", True)
    blank = result(panel_directory, swap(PANEL, ", says: range", ""))
    assert (blank.verdict, "No entry: spaces 1/3." in blank.reason) == ("undecided", True)
    named = (
        swap(PANEL, "says: porch lights", "says: Osric bedroom")
        + "site: {name: H, building: b, people: [{name: Osric Vane}]}\n"
    )
    assert verdict(panel_directory, named) == "fail"


@pytest.mark.parametrize("says", ["wtr htr", "A/C", "liv rm", "bath GFI", "pump *", "bed 2 + hall"])
def test_abbreviations_of_2023_are_explained(says):
    """NEC 408.4(A) of 2023, a maker's page and continuing education.  What looks like one is our own test."""
    new = swap(PANEL, "says: porch lights", f'says: "{says}"')
    assert verdict(panel_directory, new, 2020) == "pass"
    assert verdict(panel_directory, new) == "undecided"
    explained = swap(new, "directory: typed", "directory: typed\n    directory_explains: yes")
    assert verdict(panel_directory, explained) == "pass"
    unexplained = swap(explained, "directory_explains: yes", "directory_explains: no")
    assert verdict(panel_directory, unexplained) == "fail"
    said = "confirmed: [{rule: panel_directory, subject: P1, answer: yes, how: A plain word.}]\n"
    assert verdict(panel_directory, unexplained + said) == "pass"
    old = swap(PANEL, "says: range", f'says: "{says}"')
    old = swap(old, "directory: typed", "directory: typed\n    directory_explains: no")
    assert verdict(panel_directory, old) == "undecided", "not of this job"


@pytest.mark.parametrize(("spaces", "expected"), [(40, "pass"), (42, "pass"), (38, "fail")])
def test_spaces_of_a_200_a_panel(spaces, expected):
    """Common practice: 40 spaces are the least expected of a 200 A panel.  Advice, no code."""
    text = f"""
    panels:
      - {{code: P1, name: Main, place: hall, work: new, spaces: {spaces}, main_kind: main breaker, bus: 200 A}}
    """
    found = result(panel_size, text)
    assert (found.verdict, found.advice, str(found.citation)) == (expected, True, "common practice panel size")
    assert verdict(panel_size, swap(text, "bus: 200 A", "bus: 125 A")) == "not_applicable"
    assert verdict(panel_size, swap(text, ", bus: 200 A", "")) == "undecided"
    assert results(panel_size, swap(text, "work: new", "work: existing")) == []


def test_nothing_but_a_feeder_leaves_a_meter_main_so_it_needs_no_40_spaces():
    text = """
    panels:
      - {code: P1, name: Meter-main, place: outside, work: new, spaces: 4, main_kind: main breaker, bus: 200 A,
         slots: [{spaces: [1, 3], breaker: 200 A, feeds: F1}]}
      - {code: P2, name: House panel, place: hall, work: new, spaces: 20, main_kind: main lugs, bus: 200 A}
    feeders: [{code: F1, name: Feeder, work: new, to: P2, volts: 240 V}]
    """
    assert verdict(panel_size, text, subject="P1") == "not_applicable"
    assert verdict(panel_size, text, subject="P2") == "fail"
    assert verdict(panel_size, swap(text, "feeds: F1", "says: heater"), subject="P1") == "fail"


def test_the_panel_of_200_amperes_exactly():
    """Common practice: 40 spaces at a bus of 200 A; of 199 A and 201 A nothing is said."""
    new = swap(PANEL, "work: changed", "work: new")
    for bus, spaces, expected in (
        (200, 39, "fail"), (200, 40, "pass"), (200, 41, "pass"), (199, 39, "not_applicable"),
        (201, 39, "not_applicable"),
    ):  # fmt: skip
        text = swap(swap(new, "bus: 200 A", f"bus: {bus} A"), "spaces: 6\n", f"spaces: {spaces}\n")
        assert verdict(panel_size, text) == expected


def test_a_three_pole_breaker_needs_neighbouring_rows_all_the_way():
    """Geometry: 1/3/5 are neighbours on one side, 1/3/7 leave a row out."""
    wide = swap(
        swap(PANEL, "spaces: 6\n", "spaces: 8\n"),
        "{spaces: [5], breaker: 15 A, says: spare, traced: yes}",
        "{spaces: [7, 8], blank: yes}",
    )
    good = swap(wide, "[1, 3]", "[1, 3, 5]")
    assert verdict(panel_spaces, good) == "pass"
    bad = swap(swap(wide, "[1, 3]", "[1, 3, 7]"), "[7, 8]", "[5, 8]")
    assert "not on both legs" in result(panel_spaces, bad).reason


@pytest.mark.parametrize(
    ("short", "edition", "expected"),
    [("rcpt hall", 2020, "pass"), ("rcpt hall", 2023, "undecided"), ("hall receptacles", 2023, "pass")],
)
def test_abbreviations_matter_from_2023_on(short, edition, expected):
    """NEC 408.4(A) of 2023, as a trade page tells it: abbreviations and symbols are explained."""
    text = swap(PANEL, "says: hall receptacles", f"says: {short}")
    assert verdict(panel_directory, text, edition) == expected


def test_the_last_space_and_a_breaker_after_one_of_a_single_pole_are_looked_at():
    short = result(panel_spaces, swap(PANEL, "spaces: 6\n", "spaces: 7\n"))
    assert (short.verdict, "space 7" in short.reason) == ("undecided", True)
    late = swap(swap(PANEL, "[1, 3]", "[1]"), "{spaces: [4], blank: yes}", "{spaces: [3, 4], breaker: 20 A, says: x}")
    assert "not on both legs" in result(panel_spaces, late).reason


def test_a_breaker_of_two_poles_is_looked_at_after_one_of_a_single_pole():
    """Each slot by itself, in whichever order they are recorded."""
    wrong = "{spaces: [3, 4], breaker: 20 A, says: x}"
    late = swap(swap(PANEL, "[1, 3]", "[1]"), "{spaces: [4], blank: yes}", wrong)
    assert result(panel_spaces, late).reason.startswith("The breaker at P1, spaces 3/4 does not stand")
