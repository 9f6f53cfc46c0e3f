"""Voltage drop: published examples, the sum over feeders, and that it never fails a job."""

from __future__ import annotations

import math

import pytest

from handover.checks.voltage_drop import voltage_drop, voltage_drop_total
from handover.record.facts import WireSize
from handover.tables.lookups import dc_resistance
from handover.units import magnitude
from tests.circuit_job import one_circuit, one_feeder
from tests.jobs import result, results, verdict

PVC = "method: PVC schedule 40, trade_size: 1/2 in, ambient: 30 °C"


def wire(size: str) -> str:
    return f"{{role: hot, count: 2, size: {size}, material: copper, insulation: THWN-2}}"


def feet(length: int) -> str:
    return f"{{step: straight, length: {length} ft, surroundings: indoors}}"


@pytest.mark.parametrize(("volts", "published"), [("120 V", 6.6), ("240 V", 3.3)])
def test_twenty_amperes_over_a_hundred_feet_of_twelve_gauge(volts, published):
    """A licence-exam lesson (K = 12.9) and an exam study guide (1.98 Ω): 7.9 V, 6.6 % of 120 V, 3.3 % of 240 V.

    They use Table 8; the rule uses Table 9, which prints 2.0 Ω, so it may differ by 1 % and the rounding.
    """
    text = one_circuit(
        volts=volts, facts="load: 20 A, continuous: no", conductors=wire("12 AWG"), run=PVC, path=feet(100)
    )
    found = result(voltage_drop, text)
    assert magnitude(found.value, "percent") == pytest.approx(published, abs=0.05 + 0.011 * published)
    assert found.verdict == "fail"
    assert found.advice


def test_the_study_guides_own_way():
    """An exam study guide: 2 × 20 A × 1.98 Ω × 100 ft / 1000 = 7.92 V, with Chapter 9 Table 8."""
    ohms = magnitude(dc_resistance(WireSize("12", "AWG"), "copper", 2023).value, "ohm")
    assert 2 * 20 * ohms * 100 / 1000 == pytest.approx(7.92)


@pytest.mark.parametrize(
    ("size", "method", "published"),
    [("8 AWG", "PVC schedule 40", 0.69), ("6 AWG", "PVC schedule 40", 0.44), ("4 AWG", "PVC schedule 40", 0.29),
     ("2 AWG", "PVC schedule 40", 0.19), ("1/0 AWG", "PVC schedule 40", 0.13), ("4/0 AWG", "PVC schedule 40", 0.074),
     ("4 AWG", "EMT", 0.30), ("250 kcmil", "RMC", 0.073)],
)  # fmt: skip
def test_effective_impedance_at_power_factor_085(size, method, published):
    """NEC Chapter 9 Table 9, effective Z at 0.85 power factor, in three public reprints; half a unit of the last digit.

    Worked back from the drop of 10 A over 1000 ft: Z = drop / (2 × 10 A).
    """
    run = f"method: {method}, trade_size: 2 in, ambient: 30 °C, power_factor: 0.85"
    text = one_circuit(facts="load: 10 A, continuous: no", conductors=wire(size), run=run, path=feet(1000))
    impedance = magnitude(result(voltage_drop, text).value, "percent") / 100 * 240 / 20
    assert impedance == pytest.approx(published, abs=0.5 * 10 ** -len(str(published).partition(".")[2]) + 1e-9)


def test_without_a_power_factor_the_most_is_taken():
    """Our own: |Z| = √(R² + X²), Table 9, 8 AWG copper in plastic: √(0.78² + 0.052²) Ω."""
    text = one_circuit(facts="load: 10 A, continuous: no", run=PVC, path=feet(1000))
    volts = 2 * 10 * math.hypot(0.78, 0.052)
    assert magnitude(result(voltage_drop, text).value, "percent") == pytest.approx(100 * volts / 240)
    for factor in ("0.8", "0.9", "1"):
        told = text.replace("ambient: 30 °C", f"ambient: 30 °C, power_factor: {factor}")
        assert result(voltage_drop, told).value < result(voltage_drop, text).value
    assert verdict(voltage_drop, text.replace("ambient: 30 °C", "power_factor: 85")) == "undecided"


def test_the_load_is_taken_as_it_flows():
    """Not at 125 %: a load for hours drops no more than the same load for a while."""
    long = result(voltage_drop, one_circuit(facts="load: 32 A, continuous: yes"))
    short = result(voltage_drop, one_circuit(facts="load: 32 A, continuous: no"))
    assert long.value == short.value
    assert long.verdict == "pass"


def test_twice_the_length_twice_the_drop():
    near, far = (result(voltage_drop, one_circuit(path=feet(length))).value for length in (50, 100))
    assert magnitude(far, "percent") == pytest.approx(2 * magnitude(near, "percent"))


@pytest.mark.parametrize(
    "text",
    [
        one_circuit(path="{step: straight, surroundings: indoors}"),
        one_circuit(path=""),
        one_circuit(volts="unknown"),
        one_circuit(facts="continuous: yes"),
        one_circuit(conductors=""),
        one_circuit().replace("runs: [R1], ", ""),
        one_feeder(facts="load: unknown"),
    ],
)
def test_a_missing_fact_is_asked_for(text):
    assert verdict(voltage_drop, text) == "undecided"


def both(feeder: str = "load: 48 A, continuous: 0 A") -> str:
    """F1 from P1 to P2, and C1 from there."""
    return (
        one_feeder(facts=feeder).replace(
            "main_kind: main lugs}",
            "main_kind: main lugs, slots: [{spaces: [1, 3], feeds: C1, work: new, breaker: 40 A}]}",
        )
        + """
circuits:
  - {code: C1, name: A circuit, work: new, volts: 240 V, load: 32 A, continuous: no, terminals: 75 °C, runs: [R1],
     conductors: [{role: hot, count: 2, size: 8 AWG, material: copper, insulation: THWN-2}]}
"""
    )


def test_the_total_is_the_sum_of_circuit_and_feeder():
    parts = [magnitude(found.value, "percent") for found in results(voltage_drop, both())]
    total = result(voltage_drop_total, both())
    assert len(parts) == 2
    assert magnitude(total.value, "percent") == pytest.approx(sum(parts))
    assert (total.verdict, magnitude(total.limit, "percent")) == ("pass", 5)


def test_the_total_is_undecided_where_a_feeder_above_is_not_known_and_can_be_too_much():
    assert verdict(voltage_drop_total, both("load: unknown")) == "undecided"
    assert verdict(voltage_drop_total, both().replace("length: 20 ft", "length: 300 ft")) == "fail"
    assert verdict(voltage_drop_total, one_circuit()) == "pass"
    assert verdict(voltage_drop_total, one_circuit().replace("feeds: C1", "says: other")) == "undecided"
