"""Rules about neutrals, and about separate buildings."""

from __future__ import annotations

import pytest

from handover.checks.buildings import (
    electrode_conductor,
    neutral_bond,
    separate_building_disconnect,
    separate_building_electrodes,
    separate_building_neutral,
    separate_building_rating,
    separate_building_supply,
)
from tests.jobs import result, results, swap, verdict

STUDIO = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     neutral_bonded: yes, slots: [{spaces: [1, 3], breaker: 60 A, feeds: F1, work: new}]}
  - code: P3
    name: Studio
    place: studio
    work: new
    spaces: 4
    main_kind: main breaker
    main: 60 A
    neutral_bonded: no
    separate_building: yes
    dwelling: no
    grounding:
      conductor: 6 AWG
      conductor_material: copper
      all_present_used: yes
      electrodes:
        - {kind: ground rod, length: 8 ft, spacing: 6 ft}
        - {kind: ground rod, length: 10 ft}
    slots:
      - {spaces: [1], breaker: 20 A, says: a}
      - {spaces: [2], breaker: 20 A, says: b}
      - {spaces: [3], breaker: 20 A, says: c}
feeders:
  - {code: F1, name: Feeder, work: new, volts: 240 V, to: P3, conductors: [
      {role: hot, count: 2, size: 6 AWG, material: copper}, {role: neutral, size: 6 AWG, material: copper},
      {role: equipment ground, size: 10 AWG, material: copper}]}
"""


def test_bond_at_the_service_and_nowhere_else():
    """NEC 250.24(A)(5), 250.142(B)."""
    assert verdict(neutral_bond, STUDIO, subject="P1") == "pass"
    assert verdict(neutral_bond, swap(STUDIO, "neutral_bonded: yes", "neutral_bonded: no"), subject="P1") == "fail"
    assert verdict(neutral_bond, swap(STUDIO, "neutral_bonded: yes", "neutral_bonded: not checked")) == "undecided"
    inside = swap(STUDIO, "    separate_building: yes\n", "")
    assert verdict(neutral_bond, inside, subject="P3") == "pass"
    assert verdict(neutral_bond, swap(inside, "neutral_bonded: no", "neutral_bonded: yes"), subject="P3") == "fail"


def test_neutral_apart_in_the_separate_building():
    """NEC 250.32(B)."""
    assert verdict(separate_building_neutral, STUDIO) == "pass"
    assert verdict(separate_building_neutral, swap(STUDIO, "neutral_bonded: no", "neutral_bonded: yes")) == "fail"
    assert verdict(separate_building_neutral, swap(STUDIO, "    neutral_bonded: no\n", "")) == "undecided"
    assert results(separate_building_neutral, swap(STUDIO, "work: new\n    spaces", "work: existing\n    spaces")) == []


def test_one_supply_with_a_ground_wire():
    """NEC 225.30, 250.32(B): the old three-wire feeder is no choice for new work."""
    assert verdict(separate_building_supply, STUDIO) == "pass"
    three_wire = swap(STUDIO, "role: equipment ground", "role: neutral")
    assert verdict(separate_building_supply, three_wire) == "fail"
    second = STUDIO + "  - {code: F2, name: Other, work: new, volts: 240 V, to: P3}\n"
    assert verdict(separate_building_supply, second) == "fail"
    assert verdict(separate_building_supply, swap(STUDIO, "to: P3", "to: P1")) == "undecided"
    bare = STUDIO[: STUDIO.index(", conductors")] + "}\n"
    assert verdict(separate_building_supply, bare) == "undecided"


def test_a_feeder_in_metal_pipe_has_its_ground_in_the_pipe():
    """NEC 250.118, to which 250.32(B) sends: EMT, RMC or IMC all the way; plastic pipe is none."""
    bare = swap(swap(STUDIO, "role: equipment ground", "role: neutral"), "conductors:", "runs: [R1], conductors:")
    pipe = "runs: [{code: R1, name: Pipe, work: new, method: IMC, path: [{step: straight, length: 9 ft}]}]\n"
    assert verdict(separate_building_supply, bare + pipe) == "pass"
    assert verdict(separate_building_supply, bare + swap(pipe, "IMC", "PVC schedule 40")) == "fail"


def test_disconnect_is_a_question_for_a_person():
    """NEC 225.31, 225.32."""
    assert verdict(separate_building_disconnect, STUDIO) == "undecided"
    said = "confirmed: [{rule: separate_building_disconnect, subject: P3, answer: yes, how: By the door.}]\n"
    assert verdict(separate_building_disconnect, STUDIO + said) == "pass"
    assert verdict(separate_building_disconnect, STUDIO + swap(said, "answer: yes", "answer: no")) == "fail"
    lugs = swap(STUDIO, "main_kind: main breaker\n", "main_kind: main lugs\n")
    assert verdict(separate_building_disconnect, lugs + said) == "undecided"


def test_rating_by_kind_of_building():
    """NEC 225.39, from memory but for the 60 A: one circuit 15 A, two 30 A, a dwelling 100 A, all others 60 A."""
    assert verdict(separate_building_rating, STUDIO) == "pass"
    assert verdict(separate_building_rating, swap(STUDIO, "main: 60 A", "main: 50 A")) == "fail"
    assert verdict(separate_building_rating, swap(STUDIO, "main: 60 A", "main: unknown")) == "undecided"
    assert verdict(separate_building_rating, swap(STUDIO, "dwelling: no", "dwelling: yes")) == "fail"
    assert verdict(separate_building_rating, swap(STUDIO, "    dwelling: no\n", "")) == "undecided"
    big = swap(swap(STUDIO, "    dwelling: no\n", ""), "main: 60 A", "main: 100 A")
    assert verdict(separate_building_rating, big) == "pass"
    two = swap(swap(STUDIO, "      - {spaces: [3], breaker: 20 A, says: c}\n", ""), "main: 60 A", "main: 30 A")
    assert verdict(separate_building_rating, two) == "pass"


def test_two_rods_six_feet_apart():
    """NEC 250.53(A)(2) and (3), from memory; rods of 8 ft by 250.53(G)."""
    assert verdict(separate_building_electrodes, STUDIO) == "pass"
    assert verdict(separate_building_electrodes, swap(STUDIO, "spacing: 6 ft", "spacing: 5 ft 11 in")) == "fail"
    assert verdict(separate_building_electrodes, swap(STUDIO, "length: 8 ft", "length: 7 ft 11 in")) == "fail"
    assert verdict(separate_building_electrodes, swap(STUDIO, "present_used: yes", "present_used: no")) == "fail"
    for known in (", spacing: 6 ft", ", length: 8 ft", "      all_present_used: yes\n"):
        assert verdict(separate_building_electrodes, swap(STUDIO, known, "")) == "undecided"


ROD_2 = "        - {kind: ground rod, length: 10 ft}\n"
READING = "readings: [{of: P3, kind: ground resistance, ohms: 25 Ω}]\n"


def test_one_rod_needs_a_reading():
    """NEC 250.53(A)(2), exception, from memory: 25 ohms or less; without such a reading a second rod is asked."""
    one = swap(STUDIO, ROD_2, "")
    assert verdict(separate_building_electrodes, one) == "fail"
    assert verdict(separate_building_electrodes, one + READING) == "pass"
    assert verdict(separate_building_electrodes, one + swap(READING, "25 Ω", "26 Ω")) == "fail"
    assert verdict(separate_building_electrodes, one + swap(READING, "25 Ω}", "25 Ω, beyond_range: yes}")) == "fail"
    assert verdict(separate_building_electrodes, one + swap(READING, "25 Ω", "unknown")) == "undecided"


@pytest.mark.parametrize(
    ("kind", "expected"),
    [("concrete-encased", "pass"), ("ground ring", "pass"), ("metal water pipe", "fail"), ("plate", "undecided")],
)
def test_other_electrodes(kind, expected):
    text = swap(swap(STUDIO, ROD_2, ""), "ground rod, length: 8 ft, spacing: 6 ft", kind)
    assert verdict(separate_building_electrodes, text) == expected


@pytest.mark.parametrize(
    ("feeder", "conductor", "expected"),
    [
        ("6 AWG", "8 AWG", "pass"),
        ("6 AWG", "10 AWG", "fail"),
        ("2/0 AWG", "6 AWG", "pass"),
        ("2/0 AWG", "8 AWG", "fail"),
        ("6 AWG", "unknown", "undecided"),
    ],
)
def test_electrode_conductor(feeder, conductor, expected):
    """NEC Table 250.66 from a distributor's page: 2 AWG copper and less asks 8 AWG, 2/0 asks 4; rods alone 6 AWG."""
    text = swap(STUDIO, "role: hot, count: 2, size: 6 AWG", f"role: hot, count: 2, size: {feeder}")
    text = swap(text, "conductor: 6 AWG\n", f"conductor: {conductor}\n")
    assert verdict(electrode_conductor, text) == expected


def test_electrode_conductor_to_more_than_rods_has_no_cap():
    """Same table: 2/0 AWG copper asks 4 AWG where a concrete-encased electrode is there too."""
    text = swap(STUDIO, "role: hot, count: 2, size: 6 AWG", "role: hot, count: 2, size: 2/0 AWG")
    text = swap(text, ROD_2, "        - {kind: concrete-encased}\n")
    assert verdict(electrode_conductor, text) == "fail"
    assert verdict(electrode_conductor, swap(text, "conductor: 6 AWG\n", "conductor: 4 AWG\n")) == "pass"


@pytest.mark.parametrize(
    ("circuits", "dwelling", "least"), [(1, "no", 15), (2, "no", 30), (3, "no", 60), (2, "yes", 100)]
)
def test_the_least_rating_exactly(circuits, dwelling, least):
    """NEC 225.39, from memory but for the 60 A."""
    text = swap(STUDIO, "dwelling: no", f"dwelling: {dwelling}")
    for number, name in ((3, "c"), (2, "b"))[: 3 - circuits]:
        text = swap(text, f"      - {{spaces: [{number}], breaker: 20 A, says: {name}}}\n", "")
    for main, expected in ((least, "pass"), (least - 1, "fail")):
        found = result(separate_building_rating, swap(text, "main: 60 A", f"main: {main} A"))
        assert (found.verdict, found.limit.magnitude) == (expected, least)


def test_a_dwelling_or_not_matters_only_below_100_amperes():
    unsaid = swap(STUDIO, "    dwelling: no\n", "")
    assert verdict(separate_building_rating, swap(unsaid, "main: 60 A", "main: 99 A")) == "undecided"
    found = result(separate_building_rating, swap(unsaid, "main: 60 A", "main: 100 A"))
    assert (found.verdict, found.limit.magnitude) == ("pass", 100)


def test_transfer_equipment_that_feeds_the_building_is_a_second_supply():
    """NEC 225.30: a generator's transfer switch feeding the same panel is another supply."""
    transfer = "transfers: [{{code: T1, name: T, place: hall, work: new, kind: manual, source: G1, feeds: {}}}]\n"
    source = "sources: [{code: G1, kind: generator, name: G, place: yard, work: new}]\n"
    assert verdict(separate_building_supply, STUDIO + source + transfer.format("P3")) == "fail"
    assert verdict(separate_building_supply, STUDIO + source + transfer.format("P1")) == "pass"
