"""The path of a run: parallel sets in runs of their own are ways beside one another, not one after the other."""

from __future__ import annotations

import pytest

from handover.checks.case import JobUnderCheck
from handover.checks.fault_current import available_fault_current
from handover.checks.runs_of import in_series
from handover.checks.voltage_drop import voltage_drop
from handover.units import magnitude
from tests.circuit_job import one_circuit
from tests.jobs import job, result, swap

TWO_WAYS = swap(
    one_circuit(facts="load: 32 A, continuous: yes", path="{step: straight, length: 20 ft, surroundings: indoors}"),
    "runs: [R1]",
    "runs: [R1, R2]",
) + (
    "  - {code: R2, name: Another, work: new, method: EMT, trade_size: 3/4 in, ambient: 30 °C, "
    "path: [{step: straight, length: 30 ft, surroundings: indoors}]}\n"
)


def with_sets(sets: int, in_each: str) -> str:
    return swap(TWO_WAYS, "load: 32 A, continuous: yes", f"load: 32 A, continuous: yes, sets: {sets}{in_each}")


def drop(text: str) -> float:
    return magnitude(result(voltage_drop, text).value, "percent")


def test_one_set_goes_through_all_its_runs():
    """Physics: 20 ft and then 30 ft are 50 ft."""
    whole = swap(one_circuit(facts="load: 32 A, continuous: yes"), "length: 20 ft", "length: 50 ft")
    assert drop(TWO_WAYS) == pytest.approx(drop(whole))


def test_sets_in_runs_of_their_own_go_side_by_side_and_the_longest_counts_for_the_drop():
    """Physics: each of two equal sets takes half the current; the farther way is 30 ft, the other runs 20 ft."""
    alone = swap(one_circuit(facts="load: 16 A, continuous: yes"), "length: 20 ft", "length: 30 ft")
    assert drop(with_sets(2, ", sets_in_each_run: 1")) == pytest.approx(drop(alone))


def test_sets_that_lie_together_go_through_all_runs():
    assert drop(with_sets(2, ", sets_in_each_run: 2")) == pytest.approx(drop(TWO_WAYS) / 2)


def test_a_fault_takes_the_shortest_way():
    """The larger current is what a breaker has to break, so the way with the least impedance is reckoned with."""
    service = (
        "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1,\n"
        "  disconnect_place: outside, fault_current: 8000 A}\n"
    )
    beside = result(available_fault_current, with_sets(2, ", sets_in_each_run: 1") + service, subject="C1")
    short = one_circuit(facts="load: 32 A, continuous: yes, sets: 2")
    assert beside.value == result(available_fault_current, short + service, subject="C1").value


@pytest.mark.parametrize("in_each", ["", ", sets_in_each_run: 1"])
def test_runs_that_cannot_be_told_apart_are_asked_for(in_each):
    """Three sets, one in each run, and two runs: the third is missing.  How many lie in each may be missing, too."""
    found = result(voltage_drop, with_sets(3, in_each))
    assert found.verdict == "undecided"
    assert "C1" in found.reason


def test_a_single_run_is_its_own_way_whatever_lies_in_it():
    record = job(one_circuit(facts="load: 32 A, continuous: yes, sets: 2"))
    under = JobUnderCheck(record, 2023)
    with under.case(voltage_drop, "C1", section="") as case:
        assert [run.code for run in in_series(case, record.circuits[0])] == ["R1"]
        case.holds(True, "Looked at.")
