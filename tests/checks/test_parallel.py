"""Conductors in parallel: the rule about them, and how the sets are reckoned elsewhere."""

from __future__ import annotations

import pytest

from handover.checks.conductors import conductor_after_correction
from handover.checks.grounding_conductor import equipment_grounding_conductor
from handover.checks.parallel import parallel_conductors
from handover.checks.poles import neutral_size, poles_and_wires
from handover.units import magnitude
from tests.circuit_job import confirmed, one_circuit, one_feeder, wires
from tests.jobs import result, results, swap, verdict


def sets(size: str = "1/0 AWG", *, in_each: str = "sets_in_each_run: 1, ", more: str = "") -> str:
    """A circuit of two sets behind 200 A; our own numbers."""
    return one_circuit(
        breaker="{rating: 200 A, common_trip: yes}",
        facts=f"load: 190 A, continuous: no, sets: 2, {in_each}note: none",
        conductors=f"{wires('hot', size, 2)}{more}",
    )


@pytest.mark.parametrize(("edition", "section"), [(2017, "310.10(H)"), (2023, "310.10(G), from memory")])
def test_from_1_0_up_and_alike(edition, section):
    """NEC 310.10(H)(1), (2) of 2017 on a code forum: 1/0 AWG and larger; length, material, size, insulation, ends."""
    found = result(parallel_conductors, sets() + confirmed("parallel_conductors", "C1"), edition)
    assert (found.verdict, found.citation.section) == ("pass", section)
    assert verdict(parallel_conductors, sets() + confirmed("parallel_conductors", "C1", "no"), edition) == "fail"
    assert verdict(parallel_conductors, sets("1 AWG") + confirmed("parallel_conductors", "C1"), edition) == "fail"


def test_a_thin_neutral_may_not_be_joined_either_and_a_ground_wire_may():
    """NEC 310.10(G)(1) names neutrals; 250.122(F) says of ground wires that they may be smaller."""
    said = confirmed("parallel_conductors", "C1")
    assert verdict(parallel_conductors, sets(more=f", {wires('neutral', '2 AWG')}") + said) == "fail"
    assert verdict(parallel_conductors, sets(more=f", {wires('equipment ground', '6 AWG')}") + said) == "pass"


@pytest.mark.parametrize(
    ("old", "new"),
    [("sets_in_each_run: 1, ", ""), ("size: 1/0 AWG", "size: unknown"), ("sets_in_each_run: 1", "sets_in_each_run: 3")],
)
def test_what_is_missing_or_cannot_be_is_asked_for(old, new):
    text = swap(sets() + confirmed("parallel_conductors", "C1"), old, new)
    assert verdict(parallel_conductors, text) == "undecided"
    assert verdict(parallel_conductors, sets()) == "undecided", "nobody has answered"


def test_one_set_gives_no_result():
    assert results(parallel_conductors, one_circuit()) == []


@pytest.mark.parametrize(("in_each", "left", "expected"), [("1", 300.0, "pass"), ("2", 272.0, "pass")])
def test_the_sets_add_up_and_share_a_raceway_only_where_they_do(in_each, left, expected):
    """NEC Table 310.16: 1/0 AWG copper 150 A at 75 °C, 170 A at 90 °C; Table 310.15(C)(1): four conductors, 80 %.

    Two sets: 2 × 170 A = 340 A, held to 2 × 150 A by the terminals; all four in one raceway: 340 A × 80 % = 272 A.
    """
    found = result(conductor_after_correction, swap(sets(), "sets_in_each_run: 1", f"sets_in_each_run: {in_each}"))
    assert (found.verdict, magnitude(found.value, "ampere")) == (expected, pytest.approx(left))


def test_conductors_are_those_of_one_set():
    """Counted twice, four hot conductors in a set of two would hide a mistake in the record."""
    text = sets()
    assert verdict(poles_and_wires, text) == "pass"
    assert verdict(poles_and_wires, swap(text, "role: hot, count: 2", "role: hot, count: 4")) == "undecided"


def test_neutrals_of_parallel_sets_count_together():
    """NEC 215.2(A)(2), from memory, and Table 250.122: 400 A asks 3 AWG copper, 52620 cmil; two of 6 AWG have 52480."""
    for neutral, expected in (("6 AWG", "fail"), ("4 AWG", "pass")):
        text = one_feeder(
            breaker="400 A",
            facts="load: 100 A, continuous: 0 A, sets: 2, sets_in_each_run: 1",
            conductors=f"{wires('hot', '3/0 AWG', 2)}, {wires('neutral', neutral)}",
        )
        assert verdict(neutral_size, text) == expected


def test_wires_no_smaller_than_parallel_ones_may_be_are_no_enlarged_wires():
    """NEC 310.10(G) with 250.122(B): two sets of 3 AWG would carry 200 A, and may not be joined; 1/0 AWG is the least.

    NEC Table 250.122: 6 AWG copper behind 200 A.
    """
    text = sets(more=f", {wires('equipment ground', '6 AWG')}")
    assert verdict(equipment_grounding_conductor, text) == "pass"
    assert verdict(equipment_grounding_conductor, text.replace("1/0 AWG", "2/0 AWG")) == "undecided"
