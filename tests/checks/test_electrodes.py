"""Electrodes and bonding where a supply comes in: the service, and what else belongs there."""

from __future__ import annotations

import pytest

from handover.checks.electrodes import (
    electrode_conductor,
    electrodes_present,
    intersystem_bonding,
    metal_piping_bonding,
)
from handover.units import magnitude
from tests.jobs import result, results, swap, verdict

SERVICE = """
service:
  utility: U
  volts: 120/240 V single-phase
  rating: 200 A
  at: P1
  disconnect_place: out
  replaced_on_this_job: yes
  conductors: {size: 4/0 AWG, material: aluminum, sets: 1}
  grounding:
    conductor: 4 AWG
    conductor_material: copper
    all_present_used: yes
    intersystem_bonding: yes
    electrodes: [ELECTRODES]
"""
RODS = "{kind: ground rod, length: 8 ft, spacing: 6 ft}, {kind: ground rod, length: 8 ft}"
ROD = "{kind: ground rod, length: 8 ft}"
WATER = "{kind: metal water pipe}"
CONCRETE = "{kind: concrete-encased}"
OHMS = "readings: [{of: P1, kind: ground resistance, ohms: 25 Ω}]\n"


def service(electrodes: str, more: str = "") -> str:
    return swap(SERVICE, "ELECTRODES", electrodes) + more


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (service(RODS), "pass"),
        (service(swap(RODS, "spacing: 6 ft", "spacing: 5 ft 11 in")), "fail"),
        (service(swap(RODS, ", spacing: 6 ft", "")), "undecided"),
        (service(swap(RODS, "length: 8 ft, s", "length: 7 ft 11 in, s")), "fail"),
        (service(swap(RODS, "length: 8 ft, s", "length: unknown, s")), "undecided"),
        (service(f"{WATER}, {RODS}"), "pass"),
        (service(f"{WATER}, {CONCRETE}"), "pass"),
        (service(WATER), "fail"),
        (service(ROD), "fail"),
        (service(ROD, OHMS), "pass"),
        (service(ROD, swap(OHMS, "25 Ω", "26 Ω")), "fail"),
        (service(f"{WATER}, {ROD}"), "fail"),
        (service(f"{WATER}, {ROD}", OHMS), "pass"),
        (service("{kind: plate}"), "undecided"),
        (service(""), "undecided"),
        (swap(service(RODS), "present_used: yes", "present_used: no"), "fail"),
        (swap(service(RODS), "present_used: yes", "present_used: not checked"), "undecided"),
        (swap(service(RODS), "this_job: yes", "this_job: no"), "not_applicable"),
        (swap(service(RODS), "this_job: yes", "this_job: unknown"), "undecided"),
        (swap(service(RODS), "this_job: yes", "this_job: no").replace("rod, l", "rod, work: new, l"), "pass"),
        (swap(service(ROD), "this_job: yes", "this_job: no").replace("rod, l", "rod, work: new, l"), "fail"),
    ],
)
@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_electrodes_of_the_service(text, expected, edition):
    """NEC 250.50 and 250.53, from memory: all used; two rods 6 ft apart or one of 25 Ω; more than a water pipe."""
    assert verdict(electrodes_present, text, edition) == expected


def conductor(phase: str, metal: str, electrode: str, electrodes: str = WATER) -> str:
    text = swap(service(electrodes), "size: 4/0 AWG, material: aluminum", f"size: {phase}, material: {metal}")
    return swap(text, "conductor: 4 AWG", f"conductor: {electrode}")


@pytest.mark.parametrize(
    ("phase", "metal", "least", "too_small"),
    [("2 AWG", "copper", "8 AWG", "10 AWG"), ("1/0 AWG", "copper", "6 AWG", "8 AWG"),
     ("2/0 AWG", "copper", "4 AWG", "6 AWG"), ("4/0 AWG", "aluminum", "4 AWG", "6 AWG"),
     ("4/0 AWG", "copper", "2 AWG", "4 AWG")],
)  # fmt: skip
def test_worked_example_lk_250_66(phase, metal, least, too_small):
    """NEC Table 250.66 from a distributor's page; copper electrode conductor."""
    assert verdict(electrode_conductor, conductor(phase, metal, least)) == "pass"
    assert verdict(electrode_conductor, conductor(phase, metal, too_small)) == "fail"


@pytest.mark.parametrize(
    ("electrodes", "least", "too_small"),
    [(RODS, "6 AWG", "8 AWG"), (CONCRETE, "4 AWG", "6 AWG"), (f"{CONCRETE}, {RODS}", "4 AWG", "6 AWG"),
     (f"{CONCRETE}, {WATER}", "2 AWG", "4 AWG")],
)  # fmt: skip
def test_never_larger_than_the_electrode_needs(electrodes, least, too_small):
    """NEC 250.66(A) and (B), study pages: 6 AWG copper to rods, 4 AWG to concrete-encased ones; 4/0 copper asks 2."""
    assert verdict(electrode_conductor, conductor("4/0 AWG", "copper", least, electrodes)) == "pass"
    assert verdict(electrode_conductor, conductor("4/0 AWG", "copper", too_small, electrodes)) == "fail"


def test_aluminum_to_concrete_has_no_cap_and_a_ring_may_have_one():
    """NEC 250.66(B) gives no aluminum size; (C), from memory: no larger than the ring, which is 2 AWG at least."""
    aluminum = swap(conductor("4/0 AWG", "copper", "1/0 AWG", CONCRETE), "material: copper\n", "material: aluminum\n")
    assert verdict(electrode_conductor, aluminum) == "pass"
    assert verdict(electrode_conductor, swap(aluminum, "conductor: 1/0 AWG", "conductor: 1 AWG")) == "fail"
    ring = "{kind: ground ring}"
    found = [
        verdict(electrode_conductor, conductor("500 kcmil", "copper", size, ring))
        for size in ("1/0 AWG", "2 AWG", "4 AWG")
    ]
    assert found == ["pass", "undecided", "fail"]


def test_parallel_sets_count_by_their_areas_together():
    """NEC Table 250.66, note 1: two of 3/0 AWG copper, 335600 cmil, are read as 350 kcmil, so 2 AWG; one of them 4."""
    two = swap(conductor("3/0 AWG", "copper", "2 AWG"), "sets: 1", "sets: 2")
    assert verdict(electrode_conductor, two) == "pass"
    assert verdict(electrode_conductor, swap(two, "conductor: 2 AWG", "conductor: 4 AWG")) == "fail"
    assert (
        verdict(electrode_conductor, swap(swap(two, "conductor: 2 AWG", "conductor: 4 AWG"), "s: 2", "s: 1")) == "pass"
    )
    assert verdict(electrode_conductor, swap(two, "sets: 2", "sets: unknown")) == "undecided"


def test_the_electrode_conductor_of_a_service_that_was_there_is_not_judged():
    assert results(electrode_conductor, swap(service(RODS), "this_job: yes", "this_job: no")) == []


STUDIO = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A}
  - {code: P3, name: Studio, place: studio, work: new, spaces: 4, main_kind: main breaker, main: 60 A,
     separate_building: yes, grounding: {intersystem_bonding: no}}
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out,
  replaced_on_this_job: no}
"""


def said(rule: str, subject: str, answer: str) -> str:
    return f"confirmed: [{{rule: {rule}, subject: {subject}, answer: {answer}, how: Asked.}}]\n"


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_a_bonding_point_for_other_systems(edition):
    """NEC 250.94; its exception of 2017 where no such line is likely to come (a continuing-education page)."""
    house = service(RODS)
    assert verdict(intersystem_bonding, house, edition) == "pass"
    none = swap(house, "intersystem_bonding: yes", "intersystem_bonding: no")
    assert verdict(intersystem_bonding, none, edition) == "undecided"
    assert verdict(intersystem_bonding, none + said("intersystem_bonding", "P1", "yes"), edition) == "pass"
    assert verdict(intersystem_bonding, none + said("intersystem_bonding", "P1", "no"), edition) == "fail"
    assert verdict(intersystem_bonding, swap(house, "    intersystem_bonding: yes\n", ""), edition) == "undecided"
    found = {each.subject: str(each.verdict) for each in results(intersystem_bonding, STUDIO, edition)}
    assert found == {"P3": "undecided", "P1": "not_applicable"}
    assert verdict(intersystem_bonding, swap(STUDIO, "bonding: no", "bonding: yes"), edition, "P3") == "pass"


@pytest.mark.parametrize(("answer", "expected"), [("yes", "pass"), ("no", "fail")])
def test_metal_pipes_are_a_question_for_a_person(answer, expected):
    """NEC 250.104(A) and (B), from memory."""
    asked = said("metal_piping_bonding", "P3", answer)
    assert verdict(metal_piping_bonding, STUDIO + asked, subject="P3") == expected
    assert verdict(metal_piping_bonding, STUDIO, subject="P3") == "undecided"
    assert verdict(metal_piping_bonding, STUDIO, subject="P1") == "not_applicable"
    assert verdict(metal_piping_bonding, service(RODS) + said("metal_piping_bonding", "P1", answer)) == expected


def test_the_result_shows_the_distance_between_the_rods():
    found = result(electrodes_present, service(RODS))
    assert (magnitude(found.value, "foot"), magnitude(found.limit, "foot")) == (6, 6)


def test_which_rod_and_which_distance_is_told():
    """NEC 250.53(A)(3) and (G), from memory: 6 ft apart, 8 ft long; the rods by their number in the record."""

    def three(first: tuple[float, float], second: tuple[float, float]) -> str:
        rods = (f"{{kind: ground rod, length: {long} ft, spacing: {apart} ft}}" for long, apart in (first, second))
        return service(f"{', '.join(rods)}, {ROD}")

    for first, second in ((7, 9), (9, 7)):
        found = result(electrodes_present, three((8, first), (8, second)))
        assert (found.verdict, magnitude(found.value, "foot")) == ("pass", 7)
    near = result(electrodes_present, three((8, 0.5), (8, 9)))
    assert (near.verdict, magnitude(near.value, "foot")) == ("fail", 0.5)
    assert result(electrodes_present, three((7, 9), (8, 9))).reason == "Rod 1 is shorter than 8 ft."
    assert result(electrodes_present, three((8, 9), (7, 9))).reason == "Rod 2 is shorter than 8 ft."
    symbols = [given.symbol for given in result(electrodes_present, three((8, 9), (8, 9))).inputs]
    assert [each for each in symbols if each[:1] == "L"] == ["L1", "L2", "L3"]


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        ("{of: P1, kind: ground resistance, ohms: 25 Ω}", "pass"),
        ("{of: P1, kind: ground resistance, ohms: 25.1 Ω}", "fail"),
        ("{of: P1, kind: ground resistance, ohms: 25 Ω, beyond_range: yes}", "fail"),
        ("{of: P1, kind: ground continuity, ohms: 5 Ω}", "fail"),
        ("{of: P2, kind: ground resistance, ohms: 5 Ω}", "fail"),
        ("{of: A1, kind: ground resistance, ohms: 5 Ω}", "fail"),
        ("{of: A1, kind: ground resistance, ohms: 5 Ω}, {of: P1, kind: ground resistance, ohms: 24 Ω}", "pass"),
    ],
)
def test_the_reading_is_of_this_rod_and_of_its_resistance_to_earth(reading, expected):
    """NEC 250.53(A)(2) exception, from memory: 25 ohms or less."""
    assert verdict(electrodes_present, service(ROD, f"readings: [{reading}]\n")) == expected


def test_no_electrode_at_all_is_not_judged():
    assert verdict(electrodes_present, service("")) == "undecided"
    bare = SERVICE[: SERVICE.index("  grounding:")]
    assert verdict(electrodes_present, bare) == "undecided"
    assert verdict(electrode_conductor, bare) == "undecided"


@pytest.mark.parametrize(
    ("electrodes", "least"),
    [
        ("{kind: plate}", "6 AWG"), (f"{ROD}, {{kind: plate}}", "6 AWG"),
        (f"{ROD}, {{kind: plate}}, {CONCRETE}", "4 AWG"),
        ("{kind: metal water pipe}", "2 AWG"), (f"{ROD}, {WATER}", "2 AWG"),
    ],
)  # fmt: skip
def test_every_set_of_electrodes_by_its_cap(electrodes, least):
    """NEC 250.66(A) and (B): rods and plates 6 AWG copper, concrete-encased 4; 4/0 copper asks 2 by the table."""
    sizes = ["8 AWG", "6 AWG", "4 AWG", "2 AWG"]
    for size in sizes:
        expected = "pass" if sizes.index(size) >= sizes.index(least) else "fail"
        assert verdict(electrode_conductor, conductor("4/0 AWG", "copper", size, electrodes)) == expected, size


@pytest.mark.parametrize(
    ("size", "expected"),
    [("3 AWG", "fail"), ("2 AWG", "undecided"), ("1 AWG", "undecided"), ("1/0 AWG", "pass"), ("2/0 AWG", "pass")],
)
@pytest.mark.parametrize("more", ["", f", {ROD}", f", {ROD}, {{kind: plate}}, {CONCRETE}"])
def test_a_ring_with_other_electrodes(size, expected, more):
    """NEC 250.66(C), from memory; 500 kcmil copper asks 1/0 by the table."""
    assert (
        verdict(electrode_conductor, conductor("500 kcmil", "copper", size, "{kind: ground ring}" + more)) == expected
    )
    with_water = conductor("500 kcmil", "copper", "1 AWG", "{kind: ground ring}, {kind: metal water pipe}")
    assert verdict(electrode_conductor, with_water) == "fail"


def test_a_rod_with_a_plate_is_not_judged_and_one_with_a_water_pipe_is_a_single_rod():
    """NEC 250.53(A)(2) and (D)(2), from memory."""
    assert verdict(electrodes_present, service(f"{ROD}, {{kind: plate}}", OHMS)) == "undecided"
    assert verdict(electrodes_present, service(f"{ROD}, {WATER}", OHMS)) == "pass"
    assert verdict(electrodes_present, service(f"{ROD}, {WATER}")) == "fail"


def test_one_set_is_read_as_it_is_and_two_by_their_areas():
    one = result(electrode_conductor, conductor("2/0 AWG", "copper", "4 AWG"))
    assert [step.formula for step in one.working] == ["least size"]
    two = result(electrode_conductor, swap(conductor("2/0 AWG", "copper", "4 AWG"), "sets: 1", "sets: 2"))
    assert two.working[0].numbers == "2 sets"


def test_either_missing_part_of_the_service_leaves_its_conductor_undecided():
    text = conductor("2/0 AWG", "copper", "4 AWG")
    assert verdict(electrode_conductor, text[: text.index("  grounding:")]) == "undecided"
    assert (
        verdict(electrode_conductor, swap(text, "  conductors: {size: 2/0 AWG, material: copper, sets: 1}\n", ""))
        == "undecided"
    )
