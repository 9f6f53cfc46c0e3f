"""Measurements beside the calculation of the same thing."""

from __future__ import annotations

import pytest

from handover.checks.measured import measured_drop, measured_loop
from handover.units import magnitude
from tests.checks.test_ground_loop import TEXT, by_hand
from tests.jobs import result, results, swap, verdict


def loop(ohms: str, more: str = "") -> str:
    return TEXT + f"readings: [{{of: C1, kind: ground-fault loop impedance, ohms: {ohms}{more}}}]\n"


def test_a_loop_measures_no_more_than_its_hot_wires_and_the_allowance():
    """Calculated as in ground_fault_loop (Chapter 9 Tables 8 and 9); 0.1 Ω allowance is ours."""
    calculated = 120 / by_hand(100)
    found = result(measured_loop, loop("0.3 Ω"))
    assert magnitude(found.limit, "ohm") == pytest.approx(calculated + 0.1)
    assert (found.verdict, found.advice) == ("pass", True)
    assert verdict(measured_loop, loop(f"{calculated + 0.101:.4f} Ω")) == "fail"


@pytest.mark.parametrize("ohms", ["unknown", "0 Ω", "0.3 Ω, beyond_range: yes"])
def test_no_number_is_no_loop(ohms):
    assert verdict(measured_loop, loop(ohms)) == "undecided"


def test_a_reading_within_the_known_part_of_the_path_needs_no_more():
    unknown = swap(loop("0.3 Ω"), "impedance: 2 %", "impedance: unknown")
    assert verdict(measured_loop, unknown) == "pass"
    found = result(measured_loop, swap(unknown, "0.3 Ω", "0.9 Ω"))
    assert found.verdict == "undecided"
    assert "kVA and %Z" in found.reason
    assert results(measured_loop, TEXT) == [], "nothing was measured"


END = "{of: C1, kind: voltage line to neutral, volts: 117 V, load_current: 10 A}"
START = "{of: P1, kind: voltage line to neutral, volts: 121 V, load_current: 10 A, load_of: C1}"


def drop(end: str = END, start: str = START) -> str:
    return TEXT + f"readings: [{end}, {start}]\n"


def test_a_drop_is_measured_against_the_wires_at_the_same_load():
    """Chapter 9 Tables 8 and 9: 2 × 10 A × √(1.98² + 0.054²) Ω × 100 ft / 1000 = 3.961 V; 0.5 % of 121 V is ours."""
    found = result(measured_drop, drop())
    assert (found.verdict, found.advice) == ("pass", True)
    assert magnitude(found.value, "volt") == pytest.approx(4)
    assert magnitude(found.limit, "volt") == pytest.approx(2 * 10 * (1.98**2 + 0.054**2) ** 0.5 * 0.1 + 0.605)
    assert verdict(measured_drop, drop(swap(END, "117 V", "116.3 V"))) == "fail"


@pytest.mark.parametrize(
    ("end", "start", "asked"),
    [
        (swap(END, ", load_current: 10 A", ""), START, "what current flowed"),
        (swap(END, "load_current: 10 A", "load_current: unknown"), START, "what current flowed"),
        (END, swap(START, ", load_of: C1", ""), "measured at P1"),
        (END, swap(START, "load_current: 10 A", "load_current: unknown"), "measured at P1"),
        (END, swap(START, "line to neutral", "line to line"), "measured at P1"),
        (END, swap(START, "load_current: 10 A", "load_current: 11 A"), "too different"),
        (swap(END, "117 V", "121.5 V"), START, "moved between"),
        (swap(END, "10 A", "0 A"), swap(START, "10 A", "0 A"), "without load"),
        (swap(END, "10 A", "10 A, beyond_range: yes"), START, "range"),
        (swap(END, "117 V", "unknown"), START, "line to neutral"),
    ],
)
def test_readings_that_cannot_be_compared_are_not(end, start, asked):
    found = result(measured_drop, drop(end, start))
    assert found.verdict == "undecided"
    assert asked in found.reason


def test_a_reading_at_the_equipment_is_one_at_the_end_of_its_circuit_and_one_at_a_sub_panel_is_of_its_feeder():
    text = drop(swap(END, "of: C1", "of: E1")) + (
        "equipment: [{code: E1, name: Heater, kind: other, circuit: C1, place: hall, work: new}]\n"
    )
    assert verdict(measured_drop, text) == "pass"
    from tests.circuit_job import one_feeder

    end = "{of: P2, kind: voltage line to line, volts: 239 V, load_current: 40 A, load_of: F1}"
    start = "{of: P1, kind: voltage line to line, volts: 240 V, load_current: 40 A, load_of: F1}"
    assert verdict(measured_drop, one_feeder() + f"readings: [{end}, {start}]\n") == "pass"
    assert results(measured_drop, one_feeder() + f"readings: [{swap(end, 'load_of: F1', 'load_of: C9')}]\n") == []


def test_nothing_measured_at_the_far_end_asks_nothing():
    assert results(measured_drop, TEXT + f"readings: [{START}]\n") == []
    assert verdict(measured_drop, swap(drop(), "feeds: C1", "says: other")) == "undecided"


@pytest.mark.parametrize("edition", [2017, 2026])
def test_the_edition_does_not_matter(edition):
    assert verdict(measured_drop, drop(), edition) == "pass"
    assert verdict(measured_loop, loop("0.3 Ω"), edition) == "pass"
