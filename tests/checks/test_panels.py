"""Rules about panelboards."""

from __future__ import annotations

import pytest

from handover.checks.panels import (
    interrupting_rating,
    panel_directory,
    panel_protected,
    panel_short_circuit_rating,
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
    assert (untraced.verdict, "Not traced: P1/1/3." in untraced.reason) == ("undecided", True)
    blank = result(panel_directory, swap(PANEL, ", says: range", ""))
    assert (blank.verdict, "No entry: P1/1/3." in blank.reason) == ("undecided", True)
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


SERVICE = """
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, fault_current: 9 kA}
"""


def test_interrupting_rating_against_the_utilitys_figure():
    """NEC 110.9: at least the current available."""
    assert verdict(interrupting_rating, PANEL + SERVICE) == "pass"
    assert verdict(interrupting_rating, PANEL + swap(SERVICE, "9 kA", "10 kA")) == "pass"
    assert verdict(interrupting_rating, PANEL + swap(SERVICE, "9 kA", "10.1 kA")) == "fail"
    assert verdict(interrupting_rating, PANEL + swap(SERVICE, "9 kA", "unknown")) == "undecided"
    assert verdict(interrupting_rating, swap(PANEL, ", interrupting: 10 kA", "") + SERVICE) == "undecided"


def test_fault_current_from_the_transformer():
    """Point-to-point handbook, 75 kVA, 240 V, 1.4 %: 312.5 A × 71.43 = 22322 A (numbers from memory).

    With the 10 % tolerance of the nameplate and 1.5 to neutral it becomes 22322 / 0.9 × 1.5 = 37202 A (ours).
    """
    transformer = swap(SERVICE, "fault_current: 9 kA", "transformer: {rating: 75 kVA, impedance: 1.4 %}")
    found = result(interrupting_rating, PANEL + transformer)
    assert found.verdict == "fail"
    assert found.limit is not None
    assert found.limit.to("ampere").magnitude == pytest.approx(37202, rel=0.002)


def test_below_the_service_a_small_rating_waits_for_a_calculation():
    sub = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
         slots: [{spaces: [1, 3], breaker: 100 A, feeds: F1}]}
      - {code: P2, name: Sub, place: shed, work: new, spaces: 4, main_kind: main lugs, short_circuit_rating: 5 kA}
    feeders: [{code: F1, name: Feeder, work: existing, volts: 240 V, to: P2}]
    """
    assert verdict(panel_short_circuit_rating, sub + SERVICE.replace("\nservice", "\n    service")) == "undecided"
    strong = swap(sub, "5 kA", "10 kA") + SERVICE.replace("\nservice", "\n    service")
    assert verdict(panel_short_circuit_rating, strong) == "pass"
    main = swap(PANEL, "bus: 200 A", "bus: 200 A\n    short_circuit_rating: 5 kA")
    assert verdict(panel_short_circuit_rating, main + SERVICE) == "fail"


def test_the_panel_of_200_amperes_exactly():
    """Common practice: 40 spaces at a bus of 200 A; of 199 A and 201 A nothing is said."""
    new = swap(PANEL, "work: changed", "work: new")
    for bus, spaces, expected in (
        (200, 39, "fail"), (200, 40, "pass"), (200, 41, "pass"), (199, 39, "not_applicable"),
        (201, 39, "not_applicable"),
    ):  # fmt: skip
        text = swap(swap(new, "bus: 200 A", f"bus: {bus} A"), "spaces: 6\n", f"spaces: {spaces}\n")
        assert verdict(panel_size, text) == expected


@pytest.mark.parametrize(
    ("volts", "amperes"), [("120/240 V single-phase", 208.33), ("208Y/120 V single-phase", 240.38)]
)
def test_the_transformers_full_load_at_each_service_voltage(volts, amperes):
    """S / V: 50 kVA at 240 V is 208.3 A, at 208 V 240.4 A; with 2 % and a tenth less of it: × 100 / 1.8, × 1.5."""
    service = f"""
service: {{utility: U, volts: {volts}, rating: 200 A, at: P1, disconnect_place: outside,
  transformer: {{rating: 50 kVA, impedance: 2%}}}}
"""
    found = result(interrupting_rating, PANEL + service)
    steps = [step.value for step in found.working]
    for told, times in zip(steps, (1, 1.5), strict=True):
        assert float(told.split()[0]) == pytest.approx(amperes * 100 / 1.8 * times, rel=1e-4)


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


def test_a_panel_of_this_job_is_judged_by_its_main_and_its_new_breakers_only():
    """NEC 110.9: the lowest of what this job put in; existing breakers of an existing panel do not count."""
    house = "volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, fault_current: 9 kA"
    service = f"service: {{utility: U, {house}}}\n"

    def kiloamperes(text: str) -> tuple[str, float]:
        found = result(interrupting_rating, text + service)
        return str(found.verdict), found.value.to("kiloampere").magnitude

    assert kiloamperes(PANEL) == ("pass", 10)
    new = swap(PANEL, "work: changed", "work: new\n    main_interrupting: 8 kA")
    for rating in (40, 15):
        new = swap(new, f"breaker: {rating} A", f"breaker: {{rating: {rating} A, interrupting: 22 kA}}")
    new = swap(new, "breaker: 20 A, says: hall", "breaker: {rating: 20 A, interrupting: 22 kA}, says: hall")
    assert kiloamperes(new) == ("fail", 8)
    assert kiloamperes(swap(new, "main_kind: main breaker", "main_kind: main lugs")) == ("pass", 10)


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
    assert result(panel_spaces, late).reason.startswith("The breaker at P1/3/4 does not stand")
