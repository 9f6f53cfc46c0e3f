"""Cables: where each kind may lie, and what holds their ampacity down."""

from __future__ import annotations

import pytest

from handover.checks.cables import cable_limits
from handover.checks.conductors import conductor_after_correction, conductor_before_correction, wet_location_insulation
from handover.units import magnitude
from tests.circuit_job import confirmed, one_circuit, wires
from tests.jobs import result, results, swap, verdict

YES = confirmed("cable_limits", "R1")


def cable(kind: str, *places: str, conductors: str = wires("hot", "6 AWG", 2), run: str = "") -> str:
    path = ", ".join(f"{{step: straight, length: 20 ft, surroundings: {place}}}" for place in places)
    return one_circuit(run=f"method: {kind}, ambient: 30 °C{run}", path=path, conductors=conductors)


@pytest.mark.parametrize(
    ("kind", "place", "section"),
    [
        ("NM-B", "outdoors", "334.12(B)(4)"),
        ("NM-B", "underground", "334.12(B)(4)"),
        ("AC", "outdoors", "320.12"),
        ("SE", "underground", "338.12(A)(2)"),
        ("USE-2", "indoors", "338.12(B)(1)"),
    ],
)
def test_where_a_cable_is_barred(kind, place, section):
    """NEC 334.12, 338.12 as code forums and the trade press quote them; 320.12 from memory."""
    found = result(cable_limits, cable(kind, "indoors" if kind != "USE-2" else "underground", place) + YES)
    assert found.verdict == "fail"
    assert section in found.reason


@pytest.mark.parametrize(
    ("kind", "place"),
    [("UF-B", "underground"), ("SE", "indoors"), ("SE", "outdoors"), ("USE-2", "underground"), ("AC", "attic"),
     ("MC", "in a wall")],
)  # fmt: skip
def test_where_a_cable_may_lie_unasked(kind, place):
    """NEC 340.10, 338.10, 338.12, 320.10, 330.10: as above, 340, 320 and 330 from memory."""
    assert verdict(cable_limits, cable(kind, place)) == "pass"


@pytest.mark.parametrize(
    ("kind", "place", "asks"),
    [
        ("NM-B", "indoors", "concrete"),
        ("NM-B", "crawl space", "dry"),
        ("UF-B", "outdoors", "sunlight"),
        ("UF-B", "indoors", "concrete"),
        ("USE-2", "outdoors", "300.5(D)"),
        ("MC", "roof", "wet places"),
        ("MC", "underground", "direct burial"),
    ],
)
def test_what_only_the_marking_tells_is_asked(kind, place, asks):
    text = cable(kind, place)
    found = result(cable_limits, text)
    assert found.verdict == "undecided"
    assert asks in found.reason
    assert verdict(cable_limits, text + YES) == "pass"
    assert verdict(cable_limits, text + YES.replace("answer: yes", "answer: no")) == "fail"


def test_a_sleeve_outdoors_does_not_make_nm_cable_fit_for_it():
    """NEC 300.9 and 334.12(B)(4), on a maker's code page: the inside of a raceway outdoors is a wet place.

    Past a box the raceway may hold wires of its own; those are judged by their insulation.
    """
    inside = "{step: straight, length: 9 ft, surroundings: indoors}"
    sleeve = "{step: straight, length: 3 ft, surroundings: outdoors, method: PVC schedule 40}"
    text = one_circuit(run="method: NM-B, ambient: 30 °C", path=f"{inside}, {sleeve}")
    assert verdict(cable_limits, text + YES) == "fail"
    assert verdict(cable_limits, swap(text, f"{inside}, ", f"{inside}, {{step: box}}, ") + YES) == "pass"


def test_what_is_missing_is_asked_for_and_raceways_give_no_result():
    bare = one_circuit(run="method: SE", path="{step: straight, length: 9 ft}")
    assert verdict(cable_limits, bare) == "undecided"
    assert verdict(cable_limits, one_circuit(run="method: SE", path="")) == "undecided"
    assert verdict(cable_limits, one_circuit(run="method: SE", path="{step: box}")) == "undecided"
    assert results(cable_limits, one_circuit()) == []
    assert results(cable_limits, swap(cable("SE", "indoors"), "A run, work: new", "A run, work: existing")) == []


@pytest.mark.parametrize(("insulation", "expected"), [("XHHW-2", "pass"), ("bare", "fail"), ("unknown", "undecided")])
def test_se_cable_with_a_bare_neutral(insulation, expected):
    """NEC 338.10(B)(2) as a code site quotes it: the bare conductor is for grounding, existing circuits excepted."""
    neutral = f"{{role: neutral, size: 6 AWG, material: copper, insulation: {insulation}}}"
    text = cable("SE", "indoors", conductors=f"{wires('hot', '6 AWG', 2)}, {neutral}")
    assert verdict(cable_limits, text) == expected
    if expected == "fail":
        assert verdict(cable_limits, swap(text, "A run, work: new", "A run, work: changed")) == "undecided"


@pytest.mark.parametrize(("bundled", "left"), [("2", 20.0), ("6", 20.0), ("9", 20.0), ("12", 15.0)])
def test_nm_cables_in_one_bundle(bundled, left):
    """NEC 334.80 and Table 310.15(C)(1): 12 AWG, 30 A at 90 °C: nine conductors 21 A, held to 20 A; twelve 15 A."""
    text = cable("NM-B", "indoors", conductors=wires("hot", "12 AWG", 2), run=f", bundled_conductors: {bundled}")
    text = swap(text, "load: 32 A", "load: 12 A")
    assert magnitude(result(conductor_after_correction, text).value, "ampere") == pytest.approx(left)
    unknown = swap(text, f", bundled_conductors: {bundled}", "")
    assert verdict(conductor_after_correction, unknown) == "undecided"


def test_ac_cable_of_12_awg_in_a_bundle_is_left_to_a_look_at_its_jacket():
    """NEC 310.15(C)(1)(d), from memory."""
    text = cable("AC", "indoors", conductors=wires("hot", "12 AWG", 2), run=", bundled_conductors: 8")
    assert "jacket" in result(conductor_after_correction, swap(text, "load: 32 A", "load: 12 A")).reason


@pytest.mark.parametrize(
    ("kind", "size", "insulated", "ampacity"),
    [("SE", "10 AWG", "yes", 30), ("SE", "10 AWG", "no", 35), ("SE", "8 AWG", None, 50), ("AC", "8 AWG", "yes", 40)],
)
def test_cables_in_thermal_insulation(kind, size, insulated, ampacity):
    """NEC 338.10(B)(4)(a) for 10 AWG and smaller, 320.80(A), both from memory; Table 310.16 at 60 and 75 °C."""
    run = "" if insulated is None else f", in_thermal_insulation: {insulated}"
    text = cable(kind, "attic", conductors=wires("hot", size, 2), run=run)
    assert magnitude(result(conductor_before_correction, text).value, "ampere") == ampacity
    if run:
        assert verdict(conductor_before_correction, swap(text, run, "")) == "undecided"


@pytest.mark.parametrize(("kind", "expected"), [("MC", "pass"), ("SE", "pass")])
def test_a_cable_marked_for_wet_places_is_asked_about_once_and_then_decided(kind, expected):
    text = cable(kind, "outdoors")
    assert verdict(wet_location_insulation, text) == "undecided"
    assert verdict(wet_location_insulation, text + confirmed("wet_location_insulation", "R1")) == expected
    assert verdict(wet_location_insulation, text + confirmed("wet_location_insulation", "R1", "no")) == "fail"


def test_a_straight_piece_has_to_say_where_it_lies_and_a_bend_not():
    straight = "{step: straight, length: 20 ft, surroundings: indoors}"
    silent, bend = "{step: straight, length: 20 ft}", "{step: bend, degrees: 90°}"
    run = "method: UF-B, ambient: 30 °C"
    assert verdict(cable_limits, one_circuit(run=run, path=f"{straight}, {silent}")) == "undecided"
    assert verdict(cable_limits, one_circuit(run="method: AC, ambient: 30 °C", path=f"{straight}, {bend}")) == "pass"
    wet = "{step: straight, length: 20 ft, surroundings: outdoors}"
    for path in (f"{straight}, {bend}, {wet}", f"{wet}, {bend}, {straight}"):
        assert verdict(cable_limits, one_circuit(run="method: NM-B, ambient: 30 °C", path=path) + YES) == "fail"
