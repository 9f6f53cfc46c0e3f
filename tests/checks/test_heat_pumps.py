"""Rules about heat pumps and air conditioners."""

from __future__ import annotations

import pytest

from handover.checks.heat_pumps import (
    heat_pump_conductor,
    heat_pump_disconnect,
    heat_pump_gfci,
    heat_pump_overcurrent,
    heat_pump_service_receptacle,
)
from tests.jobs import HOUSE, result, swap, verdict

UNIT = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: {rating: 60 A, gfci: no}, feeds: C3, work: new}]}
circuits:
  - {code: C3, name: Unit, work: new, volts: 240 V, terminals: 75 °C,
     conductors: [{role: hot, count: 2, size: 8 AWG, material: copper, insulation: THHN}]}
equipment:
  - {code: E3, name: Unit, kind: heat pump, circuit: C3, place: yard, work: new, outdoors: yes, listed: yes,
     minimum_circuit_ampacity: 44 A, maximum_overcurrent: 60 A, overcurrent_kind: fuse or breaker,
     service_receptacle: 9 ft,
     disconnect: {place: wall, within_sight: yes, readily_accessible: yes, distance: 3 ft, rating: 60 A}}
"""


def test_worked_example_ac_mca44():
    """EC&M code Q&A, 110.3(B), 240.4(G), Table 310.16: 8 AWG copper (50 A at 75 °C) for 44 A, and a 60 A breaker."""
    found = result(heat_pump_conductor, UNIT)
    assert (found.verdict, found.value.magnitude) == ("pass", 50)
    assert verdict(heat_pump_overcurrent, UNIT) == "pass"
    assert verdict(heat_pump_conductor, swap(UNIT, "8 AWG", "10 AWG")) == "fail"
    assert verdict(heat_pump_conductor, swap(UNIT, "terminals: 75 °C", "terminals: 60 °C")) == "fail", "40 A at 60 °C"
    assert verdict(heat_pump_conductor, swap(UNIT, ", insulation: THHN", "")) == "undecided"
    assert verdict(heat_pump_overcurrent, swap(UNIT, "rating: 60 A, gfci", "rating: 70 A, gfci")) == "fail"


@pytest.mark.parametrize(
    ("rule", "missing"),
    [
        (heat_pump_conductor, "minimum_circuit_ampacity: 44 A, "),
        (heat_pump_overcurrent, "maximum_overcurrent: 60 A, "),
        (heat_pump_overcurrent, "overcurrent_kind: fuse or breaker,"),
        (heat_pump_disconnect, "within_sight: yes, "),
        (heat_pump_disconnect, "distance: 3 ft, "),
        (heat_pump_disconnect, ", rating: 60 A}"),
        (heat_pump_gfci, "outdoors: yes, "),
        (heat_pump_gfci, "listed: yes,"),
        (heat_pump_service_receptacle, "service_receptacle: 9 ft,"),
    ],
)
def test_a_missing_fact_is_undecided(rule, missing):
    text = swap(UNIT, "rating: 60 A, gfci", "rating: 50 A, gfci")
    assert verdict(rule, text) == "pass"
    assert verdict(rule, swap(text, missing, "}" if missing.endswith("}") else "")) == "undecided"


def test_a_plate_that_says_fuse_takes_no_breaker_alone():
    fuse = swap(UNIT, "fuse or breaker", "fuse only")
    assert verdict(heat_pump_overcurrent, fuse) == "fail"
    assert verdict(heat_pump_overcurrent, swap(fuse, "disconnect: {", "disconnect: {kind: fused switch, ")) == "pass"


def test_disconnect_in_sight_near_and_large_enough():
    """NEC 440.14 and Article 100, from memory: visible and not more than 50 ft away."""
    assert verdict(heat_pump_disconnect, swap(UNIT, "distance: 3 ft", "distance: 50 ft")) == "pass"
    assert verdict(heat_pump_disconnect, swap(UNIT, "distance: 3 ft", "distance: 51 ft")) == "fail"
    assert verdict(heat_pump_disconnect, swap(UNIT, "within_sight: yes", "within_sight: no")) == "fail"
    small = swap(UNIT, "rating: 60 A}", "rating: 40 A}")
    assert verdict(heat_pump_disconnect, small) == "undecided"
    for current, expected in (("34 A", "pass"), ("35 A", "fail")):  # 115 % of it: 39.1 A and 40.25 A
        known = swap(small, "service_receptacle:", f"rated_load_current: {current}, service_receptacle:")
        assert verdict(heat_pump_disconnect, known) == expected


def test_gfci_by_date_and_edition():
    """Trade press on 210.8(F) of 2023: listed equipment is exempt until 1 September 2026."""
    small = swap(UNIT, "rating: 60 A, gfci", "rating: 50 A, gfci")
    found = result(heat_pump_gfci, small)
    assert found.verdict == "pass"
    assert "not read in the book" in found.reason
    house = next(line for line in HOUSE.splitlines() if "dates" in line)
    assert "2026-06-12" in house
    job_part = HOUSE[HOUSE.index("job:") : HOUSE.index("revisions")]
    assert verdict(heat_pump_gfci, small + swap(job_part, "2026-06-12", "2026-08-31")) == "pass"
    assert verdict(heat_pump_gfci, small + swap(job_part, "2026-06-12", "2026-09-01")) == "fail"
    assert verdict(heat_pump_gfci, small, edition=2020) == "undecided"
    assert verdict(heat_pump_gfci, small, edition=2017) == "not_applicable", "210.8(F) came with 2020"
    assert verdict(heat_pump_gfci, swap(small, "gfci: no", "gfci: yes"), edition=2020) == "pass"
    assert verdict(heat_pump_gfci, swap(small, "outdoors: yes", "outdoors: no")) == "not_applicable"
    assert verdict(heat_pump_gfci, UNIT) == "not_applicable", "a 60 A circuit is outside the text"


def test_gfci_by_the_2026_edition():
    """A continuing-education page on 2026: 210.8(F) takes in circuits to 60 A.  Its exemptions were not read."""
    assert verdict(heat_pump_gfci, UNIT, edition=2026) == "undecided"
    assert verdict(heat_pump_gfci, swap(UNIT, "gfci: no", "gfci: yes"), edition=2026) == "pass"
    larger = swap(UNIT, "rating: 60 A, gfci", "rating: 70 A, gfci")
    assert verdict(heat_pump_gfci, larger, edition=2026) == "not_applicable"


def test_conductors_without_marked_terminals_are_read_at_60_degrees():
    """NEC 110.14(C)(1)(a): 8 AWG copper 40 A there, less than 44 A; 6 AWG 55 A.  NM cable is held to it (334.80)."""
    unmarked = swap(UNIT, ", terminals: 75 °C", "")
    assert verdict(heat_pump_conductor, unmarked) == "undecided"
    assert verdict(heat_pump_conductor, swap(unmarked, "8 AWG", "6 AWG")) == "pass"
    cable = UNIT + "runs: [{code: R1, name: Run, work: new, method: NM-B}]"
    assert verdict(heat_pump_conductor, swap(cable, "volts: 240 V,", "volts: 240 V, runs: [R1],")) == "fail"


def test_service_receptacle():
    """NEC 210.63: within 25 ft."""
    assert verdict(heat_pump_service_receptacle, swap(UNIT, "9 ft", "25 ft")) == "pass"
    assert verdict(heat_pump_service_receptacle, swap(UNIT, "9 ft", "26 ft")) == "fail"
