"""One compressor whose plate gives no minimum circuit ampacity."""

from __future__ import annotations

import pytest

from handover.checks.compressors import compressor_circuit
from handover.checks.conductors import conductor_after_correction, conductor_before_correction
from handover.checks.heat_pumps import heat_pump_conductor, heat_pump_overcurrent
from handover.checks.overcurrent import breaker_protects_conductor, continuous_load, small_conductors
from handover.units import magnitude
from tests.circuit_job import confirmed, one_appliance, wires
from tests.jobs import result, results, swap, verdict


def compressor(breaker: str = "40 A", current: str = "24 A", size: str = "10 AWG", facts: str = "") -> str:
    return one_appliance(
        "air conditioner",
        f"maximum_marked: no, marked_with_ampacity: no, rated_load_current: {current}{facts}",
        breaker=breaker,
        conductors=wires("hot", size, 2),
        terminals="terminals: 60 °C, ",
    )


NO_START = confirmed("compressor_circuit", "E1")


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_worked_example_ac_24a(edition):
    """EC&M Code Q&A, 440.32 and 440.22(A): 24 A: wires for 30 A, 10 AWG; 42 A and 54 A, down to 40 and 50 A."""
    found = result(compressor_circuit, compressor(), edition)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 40)
    wire = result(conductor_before_correction, compressor(), edition)
    assert (wire.verdict, magnitude(wire.limit, "ampere"), magnitude(wire.value, "ampere")) == ("pass", 30, 30)
    assert wire.citation.section == "440.32"
    assert verdict(conductor_before_correction, compressor(size="12 AWG"), edition) == "fail"
    assert verdict(compressor_circuit, compressor(size="12 AWG"), edition) == "fail"
    assert verdict(compressor_circuit, compressor("45 A"), edition) == "undecided"
    assert verdict(compressor_circuit, compressor("50 A") + NO_START, edition) == "pass"
    assert (
        verdict(compressor_circuit, compressor("50 A") + confirmed("compressor_circuit", "E1", "no"), edition) == "fail"
    )
    assert verdict(compressor_circuit, compressor("60 A") + NO_START, edition) == "fail"


def test_a_small_compressor_may_have_15_amperes():
    """NEC 440.22(A), exception, from memory: the device need not be smaller than 15 A."""
    assert verdict(compressor_circuit, compressor("15 A", "5 A")) == "pass"


def test_the_other_rules_leave_it_to_this_one():
    """NEC 240.4(G): 40 A over 10 AWG is right here."""
    text = compressor()
    for rule in (
        continuous_load,
        breaker_protects_conductor,
        small_conductors,
        heat_pump_conductor,
        heat_pump_overcurrent,
    ):
        assert verdict(rule, text) == "not_applicable"
    assert verdict(conductor_after_correction, text) == "pass"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("marked_with_ampacity: no, ", ""),
        ("maximum_marked: no, ", ""),
        ("rated_load_current: 24 A", "rated_load_current: unknown"),
        ("breaker: 40 A", "breaker: unknown"),
        ("circuit: C1", "circuit: C7"),
        ("ambient: 30 °C", "ambient: unknown"),
        ("24 A}]", "24 A}, {code: E2, name: B, kind: other, circuit: C1, place: b, work: new}]"),
    ],
)
def test_what_is_missing_is_asked_for(old, new):
    assert verdict(compressor_circuit, swap(compressor(), old, new)) == "undecided"


def test_a_plate_with_an_ampacity_or_a_maximum_governs():
    assert verdict(compressor_circuit, compressor(facts=", minimum_circuit_ampacity: 31 A")) == "not_applicable"
    marked = swap(compressor(), "marked_with_ampacity: no", "marked_with_ampacity: yes")
    assert verdict(compressor_circuit, marked) == "not_applicable"
    assert verdict(compressor_circuit, compressor(facts=", maximum_overcurrent: 35 A")) == "fail"
    assert (
        results(compressor_circuit, swap(compressor(), "hall, work: new, maximum", "hall, work: existing, maximum"))
        == []
    )
