"""Circuits that share a neutral."""

from __future__ import annotations

import pytest

from handover.checks.multiwire import multiwire_circuit
from tests.circuit_job import confirmed
from tests.jobs import result, results, swap, verdict

SHARED = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 8, main_kind: main breaker, main: 200 A, slots: [
      {spaces: [1], feeds: C1, work: new, breaker: {rating: 20 A, common_trip: yes}},
      {spaces: [3], feeds: C2, work: new, breaker: {rating: 20 A, common_trip: yes}}]}
  - {code: P2, name: Other, place: shed, work: existing, spaces: 8, main_kind: main lugs, slots: []}
circuits:
  - {code: C1, name: One, work: new, volts: 120 V, multiwire_with: C2, runs: [R1]}
  - {code: C2, name: Two, work: existing, volts: 120 V, runs: [R1]}
runs: [{code: R1, name: Run, work: new, method: EMT}]
"""


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_different_legs_off_together_and_alone_in_their_raceway(edition):
    """NEC 210.4(B), (D) with its exception: trade press.  Spaces 1 and 3 stab on different legs, 1 and 5 on one."""
    assert verdict(multiwire_circuit, SHARED, edition) == "pass"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("spaces: [3]", "spaces: [5]", "fail"),
        ("spaces: [3], feeds: C2, work: new, breaker: {rating: 20 A, common_trip: yes}",
         "spaces: [3], feeds: C2, work: new, breaker: {rating: 20 A, common_trip: no}", "fail"),
        ("{rating: 20 A, common_trip: yes}},\n", "{rating: 20 A}},\n", "undecided"),
        ("feeds: C2", "says: old", "undecided"),
        ("multiwire_with: C2", "multiwire_with: C9", "undecided"),
    ],
)  # fmt: skip
def test_one_leg_or_apart_fails_and_what_is_missing_is_asked_for(old, new, expected):
    assert verdict(multiwire_circuit, swap(SHARED, old, new), subject="C1") == expected


def test_from_two_panels():
    """NEC 210.4(A): all conductors originate from the same panelboard (a continuing-education newsletter)."""
    slot = "{spaces: [3], feeds: C2, work: new, breaker: {rating: 20 A, common_trip: yes}}"
    apart = swap(swap(SHARED, f",\n      {slot}", ""), "slots: []", f"slots: [{slot}]")
    assert verdict(multiwire_circuit, apart) == "fail"


def test_one_breaker_of_two_poles_may_feed_both():
    both = swap(SHARED, "spaces: [1]", "spaces: [1, 3]")
    both = swap(both, ",\n      {spaces: [3], feeds: C2, work: new, breaker: {rating: 20 A, common_trip: yes}}", "")
    assert verdict(multiwire_circuit, both) == "pass"


def test_grouping_is_asked_where_others_share_the_raceway():
    third = swap(
        SHARED, "runs: [{code", "  - {code: C3, name: Three, work: new, volts: 120 V, runs: [R1]}\nruns: [{code"
    )
    found = result(multiwire_circuit, third)
    assert found.verdict == "undecided"
    assert "210.4(D)" in found.reason
    assert verdict(multiwire_circuit, third + confirmed("multiwire_circuit", "C1")) == "pass"
    assert verdict(multiwire_circuit, third + confirmed("multiwire_circuit", "C1", "no")) == "fail"


def test_the_other_of_the_two_is_judged_as_well_where_it_is_new_and_others_are_not():
    new = swap(SHARED, "Two, work: existing", "Two, work: new")
    assert [found.subject for found in results(multiwire_circuit, new)] == ["C1", "C2"]
    assert results(multiwire_circuit, swap(SHARED, "multiwire_with: C2, ", "")) == []


def test_a_pair_on_one_pole_of_one_breaker():
    """NEC 210.4: one breaker of one pole for both puts both on one leg."""
    one = swap(SHARED, ",\n      {spaces: [3], feeds: C2, work: new, breaker: {rating: 20 A, common_trip: yes}}", "")
    assert verdict(multiwire_circuit, swap(one, "spaces: [1]", "spaces: [1, 3]")) == "pass"
    found = result(multiwire_circuit, swap(one, "spaces: [1]", "spaces: [1, 5]"))
    assert (found.verdict, "one breaker of one leg" in found.reason) == ("fail", True)
    assert verdict(multiwire_circuit, one) == "undecided"


def test_each_circuit_is_told_with_its_breaker_and_leg():
    told = [given.value for given in result(multiwire_circuit, SHARED).inputs if given.symbol == "leg"]
    assert told == ["P1, space 1, leg A", "P1, space 3, leg B"]
    swapped = swap(swap(SHARED, "spaces: [1]", "spaces: [2]"), "spaces: [3]", "spaces: [4]")
    told = [given.value for given in result(multiwire_circuit, swapped).inputs if given.symbol == "leg"]
    assert told == ["P1, space 2, leg A", "P1, space 4, leg B"]


def test_only_the_run_at_the_panel_says_how_the_wires_come_in():
    """NEC 210.4(D) exception: the raceway or cable by which they enter the panel, which is the first one recorded."""
    more = "\n  - {code: R2, name: Run, work: new, method: EMT}\n  - {code: R3, name: Run, work: new, method: EMT}"
    text = swap(
        SHARED,
        "runs: [{code: R1, name: Run, work: new, method: EMT}]",
        f"runs:\n  - {{code: R1, name: Run, work: new, method: EMT}}{more}",
    )
    shared_later = swap(
        swap(text, "C2, runs: [R1]", "C2, runs: [R2, R1]"), "120 V, runs: [R1]}\nruns", "120 V, runs: [R3, R1]}\nruns"
    )
    assert verdict(multiwire_circuit, shared_later) == "undecided"
    shared_first = swap(text, "C2, runs: [R1]", "C2, runs: [R1, R2]")
    found = result(multiwire_circuit, shared_first)
    assert found.verdict == "pass"
    assert [given.meaning for given in found.inputs if "circuits and feeders" in given.meaning] == [
        "circuits and feeders in R1"
    ]
