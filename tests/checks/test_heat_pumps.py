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
     conductors: [{role: hot, count: 2, size: 8 AWG, material: copper}]}
equipment:
  - {code: E3, name: Unit, kind: heat pump, circuit: C3, place: yard, work: new, outdoors: yes, listed: yes,
     minimum_circuit_ampacity: 44 A, maximum_overcurrent: 60 A, overcurrent_kind: fuse or breaker,
     service_receptacle: 9 ft,
     disconnect: {place: wall, within_sight: yes, readily_accessible: yes, distance: 3 ft, rating: 60 A}}
"""


def test_nameplate_of_44_a_and_60_a():
    """EC&M code Q&A, 110.3(B), 240.4(G), Table 310.16: 8 AWG copper (50 A at 75 °C) for 44 A, and a 60 A breaker."""
    found = result(heat_pump_conductor, UNIT)
    assert (found.verdict, found.value.magnitude) == ("pass", 50)
    assert verdict(heat_pump_overcurrent, UNIT) == "pass"
    assert verdict(heat_pump_conductor, swap(UNIT, "8 AWG", "10 AWG")) == "fail"
    assert verdict(heat_pump_conductor, swap(UNIT, "terminals: 75 °C", "terminals: 60 °C")) == "fail", "40 A at 60 °C"
    assert verdict(heat_pump_overcurrent, swap(UNIT, "rating: 60 A, gfci", "rating: 70 A, gfci")) == "fail"


@pytest.mark.parametrize(
    ("rule", "missing"),
    [
        (heat_pump_conductor, "minimum_circuit_ampacity: 44 A, "),
        (heat_pump_conductor, ", terminals: 75 °C"),
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
    assert verdict(heat_pump_disconnect, swap(UNIT, "rating: 60 A}", "rating: 40 A}")) == "undecided"


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
    assert verdict(heat_pump_gfci, swap(small, "gfci: no", "gfci: yes"), edition=2020) == "pass"
    assert verdict(heat_pump_gfci, swap(small, "outdoors: yes", "outdoors: no")) == "not_applicable"
    assert verdict(heat_pump_gfci, UNIT) == "not_applicable", "a 60 A circuit is outside the text"


def test_service_receptacle():
    """NEC 210.63: within 25 ft."""
    assert verdict(heat_pump_service_receptacle, swap(UNIT, "9 ft", "25 ft")) == "pass"
    assert verdict(heat_pump_service_receptacle, swap(UNIT, "9 ft", "26 ft")) == "fail"
