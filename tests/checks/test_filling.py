"""How full raceways are: mixed conductors by area, conductors all alike by count."""

from __future__ import annotations

import pytest

from handover.checks.filling import raceway_fill
from handover.tables.raceway_lookups import raceway_area
from handover.units import magnitude
from tests.circuit_job import one_circuit
from tests.jobs import result, results, verdict


def hots(count: int, size: str = "12 AWG", insulation: str = "THHN") -> str:
    return f"{{role: hot, count: {count}, size: {size}, material: copper, insulation: {insulation}}}"


def raceway(method: str, size: str) -> str:
    return f"method: {method}, trade_size: {size} in, ambient: 30 °C"


@pytest.mark.parametrize(("count", "expected"), [(26, "pass"), (27, "fail")])
def test_worked_example_cf_emt_12(count, expected):
    """A code forum's exam question: 0.346 / 0.0133, so 26 conductors of 12 AWG THHN in 1 in EMT."""
    text = one_circuit(conductors=hots(count), run=raceway("EMT", "1"))
    assert verdict(raceway_fill, text) == expected


def test_a_rest_of_eight_tenths_counts_as_one_more_where_all_are_alike():
    """NEC Chapter 9 note 7; Tables 4 and 5: 8 AWG THHN in 3/4 in EMT, 0.213 / 0.0366 = 5.82, so six and not seven."""
    six = result(raceway_fill, one_circuit(conductors=hots(6, "8 AWG"), run=raceway("EMT", "3/4")))
    assert six.verdict == "pass"
    assert "note 7" in six.reason
    assert verdict(raceway_fill, one_circuit(conductors=hots(7, "8 AWG"), run=raceway("EMT", "3/4"))) == "fail"
    mixed = hots(5, "8 AWG") + ", " + hots(2, "12 AWG")
    assert verdict(raceway_fill, one_circuit(conductors=mixed, run=raceway("EMT", "3/4"))) == "pass"
    mixed = hots(5, "8 AWG") + ", " + hots(3, "12 AWG")
    assert verdict(raceway_fill, one_circuit(conductors=mixed, run=raceway("EMT", "3/4"))) == "fail"


def test_the_share_depends_on_the_count_and_the_length():
    """NEC Chapter 9 Table 1: 53 % for one, 31 % for two, 40 % above; note 4: 60 % in a nipple to 24 in.  EMT 1/2 in."""
    limits = [
        magnitude(result(raceway_fill, one_circuit(conductors=hots(count), run=raceway("EMT", "1/2"))).limit, "inch**2")
        for count in (1, 2, 3)
    ]
    assert limits == [0.161, 0.094, 0.122]
    for length, limit in (("24 in", 0.182), ("25 in", 0.122)):
        path = f"{{step: straight, length: {length}, surroundings: indoors}}"
        text = one_circuit(conductors=hots(3), run=raceway("EMT", "1/2"), path=path)
        assert magnitude(result(raceway_fill, text).limit, "inch**2") == limit


def test_ground_wires_count_and_bare_ones_are_measured_bare():
    """NEC Chapter 9 notes 3 and 8: 0.0133 × 2 + 0.006 in² (12 AWG stranded, Table 8)."""
    bare = "{role: equipment ground, size: 12 AWG, material: copper, insulation: bare}"
    found = result(raceway_fill, one_circuit(conductors=f"{hots(2)}, {bare}", run=raceway("EMT", "1/2")))
    assert magnitude(found.value, "inch**2") == pytest.approx(0.0326)


def test_a_path_of_two_kinds_is_judged_by_the_narrower():
    """NEC Chapter 9 Table 4: 1 in schedule 80 has less room than schedule 40."""
    path = "{step: straight, length: 9 ft, method: PVC schedule 80}, {step: straight, length: 9 ft}"
    found = result(raceway_fill, one_circuit(conductors=hots(3), run=raceway("PVC schedule 40", "1"), path=path))
    assert any("PVC schedule 80 1 in" in given.source for given in found.inputs)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        (one_circuit(run="method: EMT, ambient: 30 °C"), "trade size"),
        (one_circuit(conductors=""), "conductors of C1"),
        (one_circuit().replace("runs: [R1], ", ""), "No circuit or feeder"),
        (one_circuit(conductors="{role: hot, count: 2, size: 8 AWG, material: copper}"), "insulation"),
        (one_circuit(run=raceway("ENT", "4")), "no row for ENT 4 in"),
        (one_circuit(facts="sets: 2"), "parallel sets of C1 in each"),
    ],
)
def test_fill_asks_for_what_is_missing(text, asks):
    found = result(raceway_fill, text)
    assert found.verdict == "undecided"
    assert asks in found.reason


def test_cables_and_existing_runs_are_not_filled():
    assert results(raceway_fill, one_circuit(run="method: NM-B")) == []
    assert results(raceway_fill, one_circuit().replace("name: A run, work: new", "name: A run, work: existing")) == []


def test_worked_example_cf_lfnc_4():
    """A data set built on NEC 2023: 4 AWG THWN-2 in 1-1/4 in LFNC-A, 0.601 / 0.0824 = 7.29, so seven."""
    for count, expected in ((7, "pass"), (8, "fail")):
        text = one_circuit(conductors=hots(count, "4 AWG", "THWN-2"), run=raceway("LFNC-A", "1-1/4"))
        found = result(raceway_fill, text)
        assert (str(found.verdict), magnitude(found.limit, "inch**2")) == (expected, 0.601)


@pytest.mark.parametrize(("method", "size", "count"), [("LFNC-A", "1-1/4", 2), ("LFNC-A", "1", 3)])
def test_cells_of_lfnc_a_that_nobody_has_seen_are_refused(method, size, count):
    found = result(raceway_fill, one_circuit(conductors=hots(count), run=raceway(method, size)))
    assert found.verdict == "undecided"
    assert "LFNC-A" in found.reason


@pytest.mark.parametrize(
    ("method", "size", "wire", "count", "expected"),
    [
        ("EMT", "1-1/4", "6 AWG", 11, "pass"),  # 0.598 / 0.0507 = 11.795
        ("EMT", "1-1/4", "6 AWG", 12, "undecided"),  # 40 % of π/4 × 1.380² = 0.5983: 11.8005
        ("EMT", "1-1/4", "6 AWG", 13, "fail"),
        ("PVC schedule 80", "2-1/2", "14 AWG", 169, "pass"),  # 1.647 / 0.0097 = 169.79
        ("PVC schedule 80", "2-1/2", "14 AWG", 170, "undecided"),  # 169.84
        ("PVC schedule 80", "2-1/2", "14 AWG", 171, "fail"),
    ],
)
def test_cells_near_eight_tenths(method, size, wire, count, expected):
    """Chapter 9 Tables 4 and 5, THHN: the printed area decides; where the diameter counts otherwise, Annex C has to."""
    found = result(raceway_fill, one_circuit(conductors=hots(count, wire), run=raceway(method, size)))
    assert str(found.verdict) == expected
    assert ("Annex C" in found.reason) is (expected == "undecided")


def test_note_7_is_only_for_conductors_all_alike():
    """Chapter 9 note 7: five 8 AWG THHN and a ground of another size are compared by area, not counted."""
    mixed = hots(5, "8 AWG") + ", {role: equipment ground, size: 6 AWG, material: copper, insulation: THHN}"
    found = result(raceway_fill, one_circuit(conductors=mixed, run=raceway("EMT", "3/4")))
    assert (str(found.verdict), magnitude(found.value, "inch**2")) == ("fail", pytest.approx(5 * 0.0366 + 0.0507))


def bent(radius: str) -> str:
    bend = f"{{step: bend, degrees: 90°{radius}, surroundings: indoors}}"
    path = f"{{step: straight, length: 20 in, surroundings: indoors}}, {bend}"
    return one_circuit(conductors=hots(9, "10 AWG"), run=raceway("EMT", "1/2"), path=path)


def test_a_bend_counts_into_the_length_of_a_nipple():
    """Note 4: 24 in.  20 in and a quarter turn of radius 2.5 in (3.93 in) are a nipple, of 4 in (6.28 in) none.

    Nine 10 AWG THHN take 0.1899 in²; 1/2 in EMT may be filled to 0.122 in², as a nipple to 0.182 in²: 8.6, so eight.
    """
    eight = {
        radius: bent(radius).replace("count: 9", "count: 8") for radius in (", radius: 2.5 in", ", radius: 4 in", "")
    }
    assert [verdict(raceway_fill, text) for text in eight.values()] == ["pass", "fail", "undecided"]
    assert verdict(raceway_fill, bent("")) == "fail", "too full even for a nipple"


def parallel(each: str, size: str = "2") -> str:
    wires = "{role: hot, count: 2, size: 3/0 AWG, material: copper, insulation: THHN}, "
    wires += "{role: equipment ground, size: 6 AWG, material: copper, insulation: THHN}"
    return one_circuit(facts=f"sets: 2{each}", conductors=wires, run=raceway("PVC schedule 40", size))


def test_parallel_sets_count_as_often_as_they_lie_in_the_raceway():
    """Chapter 9 Tables 4 and 5: 2 × 0.2679 + 0.0507 in² for one set of 3/0 AWG THHN and its 6 AWG ground wire."""
    one = result(raceway_fill, parallel(", sets_in_each_run: 1"))
    two = result(raceway_fill, parallel(", sets_in_each_run: 2"))
    assert magnitude(one.value, "inch**2") == pytest.approx(2 * 0.2679 + 0.0507)
    assert magnitude(two.value, "inch**2") == pytest.approx(2 * (2 * 0.2679 + 0.0507))
    assert [str(each.verdict) for each in (one, two)] == ["pass", "pass"]
    assert verdict(raceway_fill, parallel(", sets_in_each_run: 2", "1-1/2")) == "fail"
    assert verdict(raceway_fill, parallel(", sets_in_each_run: unknown")) == "undecided"
    assert verdict(raceway_fill, parallel(", sets_in_each_run: 3")) == "undecided"


@pytest.mark.parametrize(("edition", "expected"), [(2017, "pass"), (2020, "pass"), (2023, "pass"), (2026, "undecided")])
def test_fill_by_edition(edition, expected):
    """Chapter 9 Tables 1, 4 and 5 carry the same numbers in 2017, 2020 and 2023; 2026 was not seen."""
    assert verdict(raceway_fill, one_circuit(), edition) == expected


def test_the_refusal_names_table_and_cell():
    from handover.tables.reader import NoRow

    with pytest.raises(NoRow, match="LFNC-A 1-1/4 in, two"):
        raceway_area("LFNC-A", "1-1/4", "two", 2023)
