"""The path of a fault to ground, calculated: by hand, at its thresholds, and with parts of it unknown."""

from __future__ import annotations

import math

import pytest

from handover.checks.ground_loop import ground_fault_loop
from handover.units import magnitude
from tests.jobs import result, results, swap, verdict

SERVICE = """
service:
  utility: U
  volts: 120/240 V single-phase
  rating: 200 A
  at: P1
  disconnect_place: out
  transformer: {rating: 25 kVA, impedance: 2 %}
  conductors: {size: 4/0 AWG, neutral: 2/0 AWG, material: aluminum, length: 60 ft, sets: 1}
"""
CIRCUIT = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1], breaker: 20 A, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Bench, work: new, volts: 120 V, runs: [R1], conductors: [
       {role: hot, size: 12 AWG, material: copper}, {role: neutral, size: 12 AWG, material: copper},
       {role: equipment ground, size: 12 AWG, material: copper}]}
runs: [{code: R1, name: Run, work: new, method: PVC schedule 40, path: [{step: straight, length: 100 ft}]}]
"""
TEXT = CIRCUIT + SERVICE


FED = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: 60 A, feeds: F1}]}
  - {code: P2, name: Sub, place: shed, work: existing, spaces: 4, main_kind: main lugs,
     slots: [{spaces: [1], breaker: 20 A, feeds: C1, work: new}]}
feeders:
  - {code: F1, name: Feeder, work: existing, volts: 240 V, to: P2, sets: 1, runs: [R2], conductors: [
       {role: hot, count: 2, size: 6 AWG, material: copper},
       {role: equipment ground, size: 10 AWG, material: copper}]}
circuits:
  - {code: C1, name: Bench, work: new, volts: 120 V, runs: [R1], conductors: [
       {role: hot, size: 12 AWG, material: copper}, {role: neutral, size: 12 AWG, material: copper},
       {role: equipment ground, size: 12 AWG, material: copper}]}
runs:
  - {code: R1, name: Run, work: new, method: PVC schedule 40, path: [{step: straight, length: 100 ft}]}
  - {code: R2, name: Feeder, work: existing, method: PVC schedule 40, path: [{step: straight, length: 80 ft}]}
"""


def by_hand(feet: float) -> float:
    """Tables 8 and 9: 12 AWG copper 1.98 and 0.054; aluminum 4/0 0.10 and 0.051, 2/0 0.16 and 0.054, both in steel.

    Z of the transformer 0.02 × 240² / 25000 = 0.04608 Ω line to line, / 2 / 1.33 to neutral.
    """
    r = 2 * 1.98 * feet / 1000 + (0.10 + 0.16) * 0.06
    x = 2 * 0.054 * feet / 1000 + (0.051 + 0.054) * 0.06
    return 120 / (0.02 * 240**2 / 25000 / 2 / 1.33 + math.hypot(r, x))


def test_by_hand():
    found = result(ground_fault_loop, TEXT)
    assert magnitude(found.value, "ampere") == pytest.approx(by_hand(100))
    assert (found.verdict, found.advice, found.citation.code) == ("pass", True, "common practice")
    assert magnitude(found.limit, "ampere") == 200


@pytest.mark.parametrize(("feet", "expected"), [(130, "pass"), (145, "undecided"), (270, "undecided"), (310, "fail")])
def test_ten_times_passes_less_than_five_fails_and_between_is_for_the_trip_curve(feet, expected):
    """Common practice; the code gives no number.  20 A: 200 A passes, less than 100 A fails."""
    amperes = by_hand(feet)
    assert expected == ("pass" if amperes >= 200 else "fail" if amperes < 100 else "undecided")
    found = result(ground_fault_loop, swap(TEXT, "length: 100 ft", f"length: {feet} ft"))
    assert found.verdict == expected
    if expected == "undecided":
        assert "trip curve" in found.reason


@pytest.mark.parametrize(
    ("old", "new", "asked"),
    [
        ("length: 100 ft", "length: unknown", "the whole length of C1"),
        ("{role: equipment ground, size: 12 AWG, material: copper}", "", "ground wire"),
        ("breaker: 20 A", "breaker: unknown", "rating of the breaker"),
        ("feeds: C1", "says: other", "No breaker in a panel"),
    ],
)
def test_what_is_missing_of_a_circuit_is_asked_for(old, new, asked):
    found = result(ground_fault_loop, swap(TEXT, old, new).replace("breaker: unknown", "breaker: {rating: unknown}"))
    assert found.verdict == "undecided"
    assert asked in found.reason


@pytest.mark.parametrize(
    ("old", "new", "asked"),
    [
        ("impedance: 2 %", "impedance: unknown", "kVA and %Z"),
        ("neutral: 2/0 AWG", "neutral: unknown", "size of the neutral of the service"),
        ("length: 60 ft", "length: unknown", "length of the service"),
    ],
)
def test_an_unknown_supply_is_said_once_and_hides_no_fault(old, new, asked):
    found = result(ground_fault_loop, swap(TEXT, old, new))
    assert (found.subject, found.verdict) == ("P1", "undecided")
    assert asked in found.reason
    long = swap(swap(TEXT, old, new), "length: 100 ft", "length: 400 ft")
    assert verdict(ground_fault_loop, long, subject="C1") == "fail", "whatever the supply may be"


def test_feeders_above_are_in_the_path_and_parallel_sets_halve_the_hot_wires():
    text = FED + SERVICE
    r = 2 * 1.98 * 0.1 + (0.10 + 0.16) * 0.06 + (0.491 + 1.24) * 0.08
    x = 2 * 0.054 * 0.1 + (0.051 + 0.054) * 0.06 + (0.051 + 0.050) * 0.08
    loop = 0.02 * 240**2 / 25000 / 2 / 1.33
    found = result(ground_fault_loop, text)
    assert magnitude(found.value, "ampere") == pytest.approx(120 / (loop + math.hypot(r, x)))
    sets = result(ground_fault_loop, swap(text, "sets: 1, runs: [R2]", "sets: 2, runs: [R2]"))
    assert magnitude(sets.value, "ampere") == pytest.approx(
        120 / (loop + math.hypot(r - 0.491 * 0.04, x - 0.051 * 0.04))
    )
    lost = swap(text, "{role: equipment ground, size: 10 AWG, material: copper}", "")
    assert verdict(ground_fault_loop, lost) == "undecided"


def test_a_three_phase_bank_has_its_own_impedance():
    found = result(ground_fault_loop, swap(TEXT, "120/240 V single-phase", "208Y/120 V single-phase"))
    r, x = 2 * 1.98 * 0.1 + 0.26 * 0.06, 2 * 0.054 * 0.1 + 0.105 * 0.06
    assert magnitude(found.value, "ampere") == pytest.approx(120 / (0.02 * 208**2 / 25000 + math.hypot(r, x)))


@pytest.mark.parametrize("edition", [2017, 2026])
def test_physics_does_not_depend_on_the_edition_and_an_unread_print_is_named(edition):
    found = result(ground_fault_loop, TEXT, edition)
    assert magnitude(found.value, "ampere") == pytest.approx(by_hand(100))
    assert any("as printed in 2023" in given.source for given in found.inputs) is (edition == 2026)


def test_wiring_that_was_there_before_asks_nothing():
    assert results(ground_fault_loop, swap(TEXT, "Bench, work: new", "Bench, work: existing")) == []


def test_impossible_supplies_are_no_result():
    assert verdict(ground_fault_loop, swap(TEXT, "sets: 1}", "sets: 0}"), subject="P1") == "undecided"
    assert verdict(ground_fault_loop, swap(TEXT, "rating: 25 kVA", "rating: 0 kVA"), subject="P1") == "undecided"
