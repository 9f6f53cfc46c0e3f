"""Motors on branch circuits."""

from __future__ import annotations

import pytest

from handover.checks.motors import motor_circuit
from handover.checks.overcurrent import breaker_protects_conductor, small_conductors
from handover.units import magnitude
from tests.circuit_job import confirmed, one_appliance, wires
from tests.jobs import result, results, swap, verdict


def motor(
    breaker: str = "30 A", current: str = "12 A", size: str = "14 AWG", *, facts: str = "", volts: str = "240 V"
) -> str:
    """A pump of 2 hp at 230 V takes 12 A by the code's table (from memory)."""
    return one_appliance(
        "motor",
        f"current: 10 A, maximum_marked: no, table_current: {current}{facts}",
        breaker=breaker,
        volts=volts,
        conductors=wires("hot", size, 2),
    )


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_wires_at_125_and_breaker_at_250_percent(edition):
    """NEC 430.22 and 430.52(C)(1), from memory: 12 A: 15 A of wire, 14 AWG; 30 A of breaker, itself standard."""
    found = result(motor_circuit, motor(), edition)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 30)
    assert "from memory" in found.citation.section
    thin = result(motor_circuit, motor(current="17 A"), edition)
    assert (thin.verdict, magnitude(thin.limit, "ampere")) == ("fail", 21.25)


def test_next_rating_up_and_400_percent_where_it_does_not_start():
    """NEC 430.52(C)(1) exceptions 1 and 2(c), from memory: 11 A: 27.5 A, up to 30 A; 44 A at the most."""
    said = confirmed("motor_circuit", "E1")
    assert verdict(motor_circuit, motor(current="11 A")) == "pass"
    forty = motor("40 A", "11 A")
    assert verdict(motor_circuit, forty) == "undecided"
    assert verdict(motor_circuit, forty + said) == "pass"
    assert verdict(motor_circuit, forty + confirmed("motor_circuit", "E1", "no")) == "fail"
    assert verdict(motor_circuit, motor("45 A", "11 A") + said) == "fail"


def test_small_motors_on_a_common_circuit():
    """NEC 430.53(A), from memory: to 6 A at 120 V on 20 A at most; above 6 A by percentage: 7 A: 17.5 A, up to 20 A."""
    assert verdict(motor_circuit, motor("20 A", "1.5 A", "12 AWG", volts="120 V")) == "pass"
    assert verdict(motor_circuit, motor("25 A", "1.5 A", "12 AWG", volts="120 V")) == "fail"
    assert verdict(motor_circuit, motor("20 A", "1.5 A", "12 AWG")) == "fail", "at 240 V by percentage: 15 A"
    assert verdict(motor_circuit, motor("20 A", "7 A", "12 AWG", volts="120 V")) == "pass"


def test_several_loads_on_the_circuit():
    """NEC 430.24, from memory: 125 % of the largest motor and the rest: 5 A and 10 A: 16.25 A on 14 AWG with 20 A."""
    other = "}, {code: E2, name: B, kind: other, circuit: C1, place: b, work: existing, current: 10 A}]"
    text = swap(motor("20 A", "5 A", volts="120 V"), "table_current: 5 A}]", f"table_current: 5 A{other}")
    assert verdict(motor_circuit, text) == "pass"
    assert verdict(motor_circuit, swap(text, "existing, current: 10 A", "existing, current: 14 A")) == "fail"
    assert verdict(motor_circuit, swap(text, "volts: 120 V", "volts: 240 V")) == "undecided", "430.53(B) and (C)"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("table_current: 12 A", "table_current: unknown"),
        ("maximum_marked: no, ", ""),
        ("breaker: 30 A", "breaker: unknown"),
        ("circuit: C1", "circuit: C7"),
        ("ambient: 30 °C", "ambient: unknown"),
        ("volts: 240 V", "volts: unknown"),
    ],
)
def test_what_is_missing_is_asked_for(old, new):
    assert verdict(motor_circuit, swap(motor(), old, new)) == "undecided"


def test_the_plate_and_the_rules_that_leave_the_breaker_to_this_one():
    """NEC 240.4(G): 30 A over 14 AWG is right for this motor."""
    assert verdict(motor_circuit, motor(facts=", maximum_overcurrent: 25 A")) == "fail"
    for rule in (breaker_protects_conductor, small_conductors):
        assert verdict(rule, motor()) == "not_applicable"
        assert verdict(rule, swap(motor(), "table_current: 12 A", "table_current: unknown")) == "undecided"
    assert results(motor_circuit, swap(motor(), "hall, work: new, current", "hall, work: existing, current")) == []


@pytest.mark.parametrize(
    ("current", "breaker", "volts", "expected"),
    [
        ("6 A", "20 A", "125 V", "pass"), ("1 A", "20 A", "126 V", "fail"), ("1 A", "21 A", "125 V", "fail"),
        ("6.1 A", "20 A", "120 V", "pass"),
        ("5 A", "20 A", "240 V", "undecided"), ("4.9 A", "20 A", "240 V", "fail"),
        ("5.9 A", "20 A", "120 V", "pass"),
    ],
)  # fmt: skip
def test_small_motors_to_their_limits(current, breaker, volts, expected):
    """NEC 430.53(A), from memory: to 6 A, 20 A and 120 V; beyond that 250 % and the next rating up."""
    assert verdict(motor_circuit, motor(breaker, current, "12 AWG", volts=volts)) == expected


def test_several_motors_beyond_six_amperes_are_left_to_a_person():
    """NEC 430.53(B) and (C)."""
    other = "}, {code: E2, name: B, kind: other, circuit: C1, place: b, work: existing, current: 1 A}]"
    for current, expected in (("6 A", "pass"), ("7 A", "undecided")):
        text = swap(
            motor("20 A", current, "12 AWG", volts="120 V"),
            f"table_current: {current}}}]",
            f"table_current: {current}{other}",
        )
        assert verdict(motor_circuit, text) == expected


@pytest.mark.parametrize(
    ("breaker", "expected"), [("250 A", "pass"), ("251 A", "undecided"), ("400 A", "undecided"), ("401 A", "fail")]
)
def test_a_motor_of_100_amperes(breaker, expected):
    """NEC 430.52(C)(1) exception 2(c), from memory: 400 % to 100 A of motor current, above it less, not judged here."""
    text = motor(breaker, "100 A", "2/0 AWG")
    assert verdict(motor_circuit, text) == expected
    bigger = motor("310 A", "101 A", "2/0 AWG")
    assert verdict(motor_circuit, bigger) == "fail"
