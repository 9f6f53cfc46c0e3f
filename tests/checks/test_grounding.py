"""The equipment grounding conductor: by the breaker, and in proportion to enlarged hot conductors."""

from __future__ import annotations

import pytest

from handover.checks.grounding_conductor import equipment_grounding_conductor
from handover.units import magnitude
from tests.circuit_job import one_circuit, one_feeder
from tests.jobs import result, verdict


def wires(hot: str, ground: str, metal: str = "copper") -> str:
    return (
        f"{{role: hot, count: 2, size: {hot}, material: copper, insulation: THWN-2}}, "
        f"{{role: equipment ground, size: {ground}, material: {metal}, insulation: THWN-2}}"
    )


@pytest.mark.parametrize(
    ("breaker", "hot", "least", "too_small"),
    [("15 A", "14 AWG", "14 AWG", None), ("20 A", "12 AWG", "12 AWG", "14 AWG"), ("30 A", "10 AWG", "10 AWG", "12 AWG"),
     ("60 A", "6 AWG", "10 AWG", "12 AWG"), ("100 A", "3 AWG", "8 AWG", "10 AWG"), ("150 A", "1 AWG", "6 AWG", "8 AWG"),
     ("200 A", "3/0 AWG", "6 AWG", "8 AWG"), ("400 A", "500 kcmil", "3 AWG", "4 AWG")],
)  # fmt: skip
def test_worked_example_lk_250_122(breaker, hot, least, too_small):
    """NEC Table 250.122, as printed in two public copies."""
    facts = "load: 10 A, continuous: no"
    good = one_circuit(breaker=breaker, facts=facts, conductors=wires(hot, least))
    assert verdict(equipment_grounding_conductor, good) == "pass"
    if too_small:
        small = one_circuit(breaker=breaker, facts=facts, conductors=wires(hot, too_small))
        assert verdict(equipment_grounding_conductor, small) == "fail"


def test_aluminum_ground_wire_is_read_in_its_own_column():
    """NEC Table 250.122: behind 60 A, 8 AWG aluminum."""
    good = one_feeder(conductors=wires("6 AWG", "8 AWG", "aluminum"))
    assert verdict(equipment_grounding_conductor, good) == "pass"
    assert verdict(equipment_grounding_conductor, one_feeder(conductors=wires("6 AWG", "10 AWG", "aluminum"))) == "fail"


def test_worked_example_egc_300a():
    """NEC Handbook example to 250.122(B), on a training provider's page: 250 to 350 kcmil, 4 AWG becomes 2 AWG.

    41740 cmil × 350 / 250 = 58436 cmil.
    """
    facts = "load: 240 A, continuous: 0 A, upsized_for_voltage_drop_from: 250 kcmil"
    small = result(
        equipment_grounding_conductor,
        one_feeder(breaker="300 A", facts=facts, conductors=wires("350 kcmil", "4 AWG")),
    )
    assert small.verdict == "fail"
    assert magnitude(small.limit, "circular_mil") == pytest.approx(58436)
    assert "2 AWG" in small.reason
    good = one_feeder(breaker="300 A", facts=facts, conductors=wires("350 kcmil", "2 AWG"))
    assert verdict(equipment_grounding_conductor, good) == "pass"
    assert verdict(equipment_grounding_conductor, good.replace("size: 2 AWG", "size: 3 AWG")) == "fail"


def test_worked_example_egc_20a_6():
    """ELECTRICAL CONTRACTOR code questions (2013, 2021): 12 AWG enlarged to 6 AWG asks for a 6 AWG ground wire."""
    facts = "load: 10 A, continuous: no, upsized_for_voltage_drop_from: 12 AWG"
    for ground, expected in (("6 AWG", "pass"), ("8 AWG", "fail")):
        text = one_circuit(breaker="20 A", facts=facts, conductors=wires("6 AWG", ground))
        assert verdict(equipment_grounding_conductor, text) == expected


def test_two_sizes_up_asks_for_two_sizes_up():
    """NEC 250.122(B), Chapter 9 Table 8: 6 to 4 AWG; 10380 × 41740 / 26240 = 16511 cmil, and 8 AWG is printed 16510.

    The wire gauges are a geometric series, so the two are one area in truth: 8 AWG does.
    """
    facts = "load: 48 A, continuous: 0 A, upsized_for_voltage_drop_from: 6 AWG"
    assert verdict(equipment_grounding_conductor, one_feeder(facts=facts, conductors=wires("4 AWG", "8 AWG"))) == "pass"
    assert (
        verdict(equipment_grounding_conductor, one_feeder(facts=facts, conductors=wires("4 AWG", "10 AWG"))) == "fail"
    )


def test_larger_hot_wires_without_a_recorded_reason_are_asked_about():
    """NEC 250.122(B): an increase only for heat or crowding asks nothing of the ground wire."""
    text = one_feeder(conductors=wires("4 AWG", "10 AWG"))
    found = result(equipment_grounding_conductor, text)
    assert found.verdict == "undecided"
    assert "6 AWG would do" in found.reason
    assert "at least 8 AWG" in found.reason


def test_hot_wires_that_the_load_asks_for_are_no_increase():
    """64 A, 125 % of it for hours 80 A: 4 AWG copper (85 A at 75 °C) is the least."""
    facts = "load: 64 A, continuous: 64 A"
    text = one_feeder(breaker="80 A", facts=facts, conductors=wires("4 AWG", "8 AWG"))
    assert verdict(equipment_grounding_conductor, text) == "pass"


def test_never_larger_than_the_hot_wires():
    """NEC 250.122(A): on marked cooling equipment, 12 AWG hot wires behind 30 A need no 10 AWG ground wire."""
    plate = """
equipment:
  - {code: E1, name: Unit, kind: heat pump, circuit: C1, place: yard, work: new, minimum_circuit_ampacity: 18 A}
"""
    text = one_circuit(breaker="30 A", conductors=wires("12 AWG", "12 AWG"), more=plate)
    assert verdict(equipment_grounding_conductor, text) == "pass"
    assert verdict(equipment_grounding_conductor, text.replace("ground, size: 12", "ground, size: 14")) == "fail"


def test_metal_raceway_as_the_ground_path():
    """NEC 250.118: EMT is an equipment grounding conductor; plastic is not."""
    hot = "{role: hot, count: 2, size: 8 AWG, material: copper, insulation: THWN-2}"
    assert verdict(equipment_grounding_conductor, one_circuit(conductors=hot)) == "pass"
    plastic = one_circuit(conductors=hot, run="method: PVC schedule 40, ambient: 30 °C")
    assert verdict(equipment_grounding_conductor, plastic) == "undecided"
    partly = one_circuit(conductors=hot, path="{step: straight, length: 3 ft, method: LFMC}")
    assert verdict(equipment_grounding_conductor, partly) == "undecided"


@pytest.mark.parametrize("ground", ["unknown", "not checked"])
def test_a_size_that_was_not_found_out_is_undecided(ground):
    assert verdict(equipment_grounding_conductor, one_circuit(conductors=wires("8 AWG", ground))) == "undecided"


def test_past_the_end_of_the_table_is_undecided():
    """NEC Table 250.122 ends at 6000 A."""
    found = result(equipment_grounding_conductor, one_circuit(breaker="6001 A"))
    assert found.verdict == "undecided"
    assert "Table 250.122 has no row" in found.reason


@pytest.mark.parametrize(("edition", "expected"), [(2017, "fail"), (2020, "pass"), (2023, "pass"), (2026, "undecided")])
def test_a_qualified_person_may_size_it_otherwise_from_2020_on(edition, expected):
    """NEC 250.122(B), exception of 2020, as a maker's guide quotes it: 12 AWG enlarged to 6 AWG, ground wire 8 AWG."""
    facts = "load: 10 A, continuous: no, upsized_for_voltage_drop_from: 12 AWG"
    said = "confirmed: [{rule: equipment_grounding_conductor, subject: C1, answer: yes, how: Worked out.}]"
    text = one_circuit(breaker="20 A", facts=facts, conductors=wires("6 AWG", "8 AWG"), more=said)
    assert verdict(equipment_grounding_conductor, text, edition) == expected
    assert verdict(equipment_grounding_conductor, text.replace("answer: yes", "answer: no"), edition) != "pass"
    below_the_table = text.replace("ground, size: 8", "ground, size: 14")
    assert verdict(equipment_grounding_conductor, below_the_table, edition) != "pass"


def test_with_parallel_sets_each_ground_wire_has_the_full_size():
    """NEC 250.122(F), from memory; Table 250.122: 3 AWG behind 400 A with each of two sets of 3/0 AWG (2 × 200 A)."""
    facts = "load: 300 A, continuous: no, sets: 2"
    for ground, expected in (("3 AWG", "pass"), ("4 AWG", "fail")):
        text = one_circuit(breaker="400 A", facts=facts, conductors=wires("3/0 AWG", ground))
        assert verdict(equipment_grounding_conductor, text) == expected
