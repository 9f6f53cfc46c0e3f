"""Terminals: temperature, and aluminum."""

from __future__ import annotations

import pytest

from handover.checks.terminals import aluminum_terminals, terminal_temperature
from tests.circuit_job import confirmed, one_circuit, wires
from tests.jobs import result, results, swap, verdict


@pytest.mark.parametrize(
    ("breaker", "insulation", "column"),
    [("100 A", "THHN", 75), ("100 A", "TW", 60), ("125 A", "THW", 75)],
)
@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_the_lower_of_wire_and_terminals(breaker, insulation, column, edition):
    """NEC 110.14(C)(1) as the trade press tells it: to 100 A wire of 60 °C may serve by its own column."""
    text = one_circuit(breaker=breaker, conductors=wires("hot", "1 AWG", 2, insulation=insulation))
    found = result(terminal_temperature, text, edition)
    assert found.verdict == "pass"
    assert f"column of {column} °C" in found.reason


def test_above_100_amperes_wire_of_60_degrees_fails():
    """NEC 110.14(C)(1)(b): conductors rated 75 °C."""
    text = one_circuit(breaker="110 A", conductors=wires("hot", "1/0 AWG", 2, insulation="TW"))
    assert verdict(terminal_temperature, text) == "fail"


def test_terminals_nobody_read_are_taken_at_60_degrees_to_100_amperes():
    assert "column of 60 °C" in result(terminal_temperature, one_circuit(terminals="")).reason


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (", insulation: THWN-2", ""),
        ("breaker: 40 A", "breaker: unknown"),
        ("    main: 200 A\n", "    main: 200 A\n    terminals: 60 °C\n"),
    ],
)
def test_what_is_missing_or_contradicted_is_undecided(old, new):
    assert verdict(terminal_temperature, one_circuit()) == "pass"
    assert verdict(terminal_temperature, swap(one_circuit(), old, new)) == "undecided"


def test_existing_wiring_and_copper_give_no_result():
    old = swap(one_circuit(), "A circuit, work: new", "A circuit, work: existing")
    assert results(terminal_temperature, old) == results(aluminum_terminals, old) == []
    assert results(aluminum_terminals, one_circuit()) == []


@pytest.mark.parametrize("metal", ["aluminum", "copper-clad aluminum"])
def test_aluminum_is_asked_about(metal):
    """NEC 110.14(A) and (B), from memory: terminals identified for the metal; copper and aluminum not intermixed."""
    text = one_circuit(conductors=wires("hot", "6 AWG", 2, metal=metal))
    assert verdict(aluminum_terminals, text) == "undecided"
    assert verdict(aluminum_terminals, text + confirmed("aluminum_terminals", "C1")) == "pass"
    assert verdict(aluminum_terminals, text + confirmed("aluminum_terminals", "C1", "no")) == "fail"
    unknown = swap(text, f"material: {metal}", "material: unknown") + confirmed("aluminum_terminals", "C1")
    assert verdict(aluminum_terminals, unknown) == "undecided"


def test_receptacles_on_aluminum_are_asked_about_by_their_mark():
    """NEC 406.3(C), from memory: receptacles to 20 A on aluminum are marked CO/ALR."""
    outlet = "outlets: [{what: one, place: hall, area: garage, kind: receptacle, rating: 20 A}]"
    text = one_circuit(
        facts=f"load: 5 A, continuous: no, {outlet}", conductors=wires("hot", "10 AWG", 2, metal="aluminum")
    )
    assert "CO/ALR" in result(aluminum_terminals, text).reason
    assert "CO/ALR" not in result(aluminum_terminals, swap(text, "rating: 20 A", "rating: 30 A")).reason


@pytest.mark.parametrize(("breaker", "expected"), [("100 A", "pass"), ("101 A", "fail"), ("110 A", "fail")])
def test_wire_of_60_degrees_to_100_amperes_exactly(breaker, expected):
    """NEC 110.14(C)(1): circuits of 100 A or less may have it; above 100 A 75 °C."""
    text = one_circuit(breaker=breaker, conductors=wires("hot", "1/0 AWG", 2, insulation="TW"))
    assert verdict(terminal_temperature, text) == expected
    good = one_circuit(breaker=breaker, conductors=wires("hot", "1/0 AWG", 2, insulation="THW"))
    assert verdict(terminal_temperature, good) == "pass"


@pytest.mark.parametrize(("breaker", "column"), [("100 A", 60), ("101 A", 75)])
def test_the_column_where_nothing_is_marked(breaker, column):
    """NEC 110.14(C)(1)(a) and (b): 60 °C to 100 A, 75 °C above."""
    text = one_circuit(breaker=breaker, terminals="", conductors=wires("hot", "1/0 AWG", 2))
    assert f"column of {column} °C" in result(terminal_temperature, text).reason


@pytest.mark.parametrize(("rating", "asked"), [("15 A", True), ("20 A", True), ("21 A", False), ("30 A", False)])
def test_co_alr_is_asked_of_receptacles_to_20_amperes(rating, asked):
    """NEC 406.3(C): receptacles of 20 A or less on aluminum are CO/ALR."""
    outlet = f"outlets: [{{what: R, place: hall, area: living area, kind: receptacle, rating: {rating}}}]"
    text = one_circuit(facts=outlet, conductors=wires("hot", "6 AWG", 2, metal="aluminum"))
    assert ("CO/ALR" in result(aluminum_terminals, text).reason) == asked
    lamp = swap(text, "kind: receptacle", "kind: lighting")
    assert "CO/ALR" not in result(aluminum_terminals, lamp).reason
