"""The feeder that carries a whole dwelling, by 83 % of its rating."""

from __future__ import annotations

import pytest

from handover.checks.dwelling_feeder import dwelling_feeder
from handover.checks.overcurrent import breaker_protects_conductor
from handover.checks.service_load import service_conductors
from handover.units import magnitude
from tests.circuit_job import one_feeder, wires
from tests.jobs import job, result, results, swap, verdict


def feeder(size: str = "2/0 AWG", *, breaker: str = "200 A", whole: str = "yes", metal: str = "copper") -> str:
    return one_feeder(
        breaker=breaker,
        facts=f"load: 120 A, continuous: 0 A, whole_dwelling: {whole}",
        conductors=wires("hot", size, 2, metal=metal),
    )


@pytest.mark.parametrize(("edition", "section"), [(2017, "310.15(B)(7)(2)"), (2020, "310.12(B)"), (2023, "310.12(B)")])
def test_worked_example_dw_83_200(edition, section):
    """Code educator blog, 310.15(B)(7), 310.12 from 2020: 200 A needs 166 A; 2/0 AWG copper has 175 A at 75 °C."""
    found = result(dwelling_feeder, feeder(), edition)
    assert (found.verdict, found.citation.section) == ("pass", section)
    assert magnitude(found.limit, "ampere") == pytest.approx(166)
    assert magnitude(found.value, "ampere") == pytest.approx(175)
    assert verdict(dwelling_feeder, feeder("1/0 AWG"), edition) == "fail"
    assert verdict(breaker_protects_conductor, feeder(), edition) == "pass"
    assert verdict(breaker_protects_conductor, feeder("1/0 AWG"), edition) == "fail"


def test_worked_example_dw_83_200_service():
    """The same example at the service itself."""
    house = (
        "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, "
        "conductors: {size: 2/0 AWG, material: copper, insulation: XHHW-2, sets: 1}}"
    )
    found = result(service_conductors, house)
    assert (found.verdict, magnitude(found.value, "ampere")) == ("pass", 175)
    assert magnitude(found.limit, "ampere") == pytest.approx(166)


@pytest.mark.parametrize(
    ("rating", "copper", "aluminum"),
    [(100, "4 AWG", "2 AWG"), (150, "1 AWG", "2/0 AWG"), (400, "400 kcmil", "600 kcmil")],
)
def test_the_sizes_of_the_short_table_pass(rating, copper, aluminum):
    """NEC Table 310.12, two public copies, where nothing needs correction: the rule says the same."""
    for size, metal in ((copper, "copper"), (aluminum, "aluminum")):
        text = feeder(size, breaker=f"{rating} A", metal=metal)
        assert verdict(dwelling_feeder, text) == "pass"
        assert verdict(breaker_protects_conductor, text) == "pass"


@pytest.mark.parametrize("rule", [dwelling_feeder, breaker_protects_conductor])
def test_not_for_a_part_of_the_dwelling_and_asked_for_where_not_recorded(rule):
    """A magazine on 310.12: only the entire load.  2/0 AWG copper has 175 A, a standard rating: 200 A is too much."""
    part = {dwelling_feeder: "not_applicable", breaker_protects_conductor: "undecided"}[rule]
    assert verdict(rule, feeder(whole="unknown")) == "undecided"
    assert verdict(rule, feeder(whole="no")) == part
    shed = swap(feeder(), "place: shed, work: new", "place: shed, work: new, dwelling: no")
    assert verdict(rule, shed) == {dwelling_feeder: "not_applicable", breaker_protects_conductor: "fail"}[rule]


def test_another_load_beside_it_contradicts_the_record():
    """A code forum's case: with a cooling unit on the meter-main the feeder no longer carries all of it."""
    beside = swap(
        feeder(), "slots: [{spaces: [1, 3]", "slots: [{spaces: [2], breaker: 30 A, says: A/C}, {spaces: [1, 3]"
    )
    assert verdict(dwelling_feeder, beside) == "undecided"
    assert verdict(dwelling_feeder, swap(beside, "whole_dwelling: yes", "whole_dwelling: no")) == "not_applicable"
    spare = swap(beside, "says: A/C", "says: spare")
    assert verdict(dwelling_feeder, spare) == "pass"


def test_a_feeder_of_part_of_a_dwelling_no_smaller_than_the_service_needs_is_left_to_the_authority():
    """NEC 310.12(C), in 2017 310.15(B)(7)(3), as code forums read it: no more than the service conductors need."""
    found = result(breaker_protects_conductor, feeder(whole="no"))
    assert found.verdict == "undecided"
    assert "310.12(C)" in found.reason
    assert verdict(breaker_protects_conductor, feeder("1/0 AWG", whole="no")) == "fail"


def test_before_2020_only_at_120_240_volts():
    """Trade magazine: the supply of two legs of 208Y/120 V came with 2020."""
    utility = (
        "service: {utility: A utility, volts: 208Y/120 V single-phase, rating: 200 A, at: P1, disconnect_place: out}"
    )
    text = feeder() + utility
    assert job(text).service.volts.startswith("208Y")
    assert verdict(dwelling_feeder, text, 2017) == "not_applicable"
    assert verdict(dwelling_feeder, text, 2020) == "pass"


def test_outside_the_range_existing_or_from_lugs():
    assert verdict(dwelling_feeder, feeder(breaker="90 A")) == "not_applicable"
    assert verdict(dwelling_feeder, feeder(breaker="450 A")) == "not_applicable"
    assert results(dwelling_feeder, swap(feeder(), "A feeder, work: new", "A feeder, work: existing")) == []
    lugs = swap(feeder(), "slots: [{spaces: [1, 3], feeds: F1, work: new, breaker: 200 A}]", "feed_through_lugs: yes")
    assert verdict(dwelling_feeder, lugs) == "pass", "the main above the lugs is its breaker"
    assert verdict(dwelling_feeder, swap(lugs, "feed_through_lugs: yes", "feed_through_lugs: no")) == "undecided"


@pytest.mark.parametrize(
    ("rating", "expected"), [(99, "not_applicable"), (100, "pass"), (400, "pass"), (401, "not_applicable")]
)
def test_the_range_of_ratings_exactly(rating, expected):
    """NEC 310.12: 100 A through 400 A."""
    assert verdict(dwelling_feeder, feeder("600 kcmil", breaker=f"{rating} A")) == expected
    house = (
        f"service: {{utility: A utility, volts: 120/240 V single-phase, rating: {rating} A, at: P1, "
        "disconnect_place: out, conductors: {size: 600 kcmil, material: copper, insulation: XHHW-2, sets: 1}}"
    )
    assert verdict(service_conductors, house) == expected
