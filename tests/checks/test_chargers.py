"""Rules about car chargers."""

from __future__ import annotations

import pytest

from handover.checks.chargers import (
    charger_cable_length,
    charger_continuous,
    charger_disconnect,
    charger_gfci,
    charger_height,
    charger_individual_circuit,
)
from tests.jobs import result, swap, verdict

CHARGER = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: {rating: 60 A, gfci: no}, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Charger, work: new, volts: 240 V, individual: yes, outlets: [
      {what: Charger, place: carport, area: outdoors, kind: hardwired}]}
equipment:
  - {code: E1, name: Charger, kind: car charger, circuit: C1, place: carport, work: new, volts: 240 V, current: 48 A,
     connection: hardwired, outdoors: yes, cable_length: 23 ft, height: 46 in}
"""


def test_48_a_needs_a_60_a_breaker():
    """Arithmetic of 625.41 and 625.42, same numbers in a vehicle owners' forum: 48 A needs 60 A."""
    assert verdict(charger_continuous, CHARGER) == "pass"
    assert verdict(charger_continuous, swap(CHARGER, "rating: 60 A", "rating: 50 A")) == "fail"
    assert verdict(charger_continuous, swap(CHARGER, "current: 48 A", "current: unknown")) == "undecided"
    assert verdict(charger_continuous, swap(CHARGER, "rating: 60 A", "rating: unknown")) == "undecided"
    assert verdict(charger_continuous, swap(CHARGER, "circuit: C1", "circuit: C9")) == "undecided"


@pytest.mark.parametrize(("amperes", "breaker"), [(16, 20), (24, 30), (32, 40), (40, 50), (64, 80), (80, 100)])
def test_breakers_by_125_percent(amperes, breaker):
    """The examples under 625.41: 16 to 20, 24 to 30, 32 to 40, 40 to 50, 64 to 80, 80 to 100 A."""
    text = swap(swap(CHARGER, "current: 48 A", f"current: {amperes} A"), "rating: 60 A", f"rating: {breaker} A")
    assert verdict(charger_continuous, text) == "pass"
    assert verdict(charger_continuous, swap(text, f"rating: {breaker} A", f"rating: {breaker - 1} A")) == "fail"


def test_a_setting_needs_its_evidence():
    """NEC 625.42: access to the setting restricted, adjusted value on a label; in 2020 fixed equipment only."""
    text = swap(swap(CHARGER, "rating: 60 A", "rating: 40 A"), "current: 48 A,", "current: 48 A, set_current: 32 A,")
    assert verdict(charger_continuous, text) == "undecided"
    access = swap(text, "set_current: 32 A,", "set_current: 32 A, setting_access: screws,")
    assert verdict(charger_continuous, access) == "undecided"
    both = swap(access, "setting_access: screws,", "setting_access: screws, rating_label: 32 A,")
    assert verdict(charger_continuous, both) == "pass"
    assert verdict(charger_continuous, swap(both, "set_current: 32 A", "set_current: 40 A")) == "fail"
    assert verdict(charger_continuous, swap(both, "hardwired, out", "cord and plug, out"), edition=2020) == "undecided"


def test_a_setting_that_does_not_matter_needs_no_evidence():
    text = swap(CHARGER, "current: 48 A,", "current: 48 A, set_current: 32 A,")
    assert result(charger_continuous, text).limit.magnitude == 60


def test_alone_on_its_circuit():
    """NEC 625.40."""
    assert verdict(charger_individual_circuit, CHARGER) == "pass"
    assert verdict(charger_individual_circuit, swap(CHARGER, "individual: yes", "individual: no")) == "fail"
    assert verdict(charger_individual_circuit, swap(CHARGER, "individual: yes, ", "")) == "undecided"
    shared = CHARGER + "  - {code: E2, name: Pump, kind: motor, circuit: C1, place: yard, work: existing}\n"
    assert verdict(charger_individual_circuit, shared) == "fail"
    small = swap(swap(shared, "current: 48 A", "current: 12 A"), "volts: 240 V, current", "volts: 120 V, current")
    assert verdict(charger_individual_circuit, small) == "pass"


@pytest.mark.parametrize("edition", [2020, 2023])
def test_outdoors_hardwired_to_50_a_needs_gfci(edition):
    """NEC 210.8(F), 2020 and 2023: dwelling outlets outdoors to 50 A; a 60 A circuit is outside."""
    forty = swap(CHARGER, "rating: 60 A", "rating: 40 A")
    assert verdict(charger_gfci, forty, edition) == "fail"
    assert verdict(charger_gfci, swap(forty, "gfci: no", "gfci: yes"), edition) == "pass"
    assert verdict(charger_gfci, CHARGER, edition) == "not_applicable"
    assert verdict(charger_gfci, swap(forty, "outdoors: yes", "outdoors: unknown"), edition) == "undecided"
    inside = swap(swap(forty, "outdoors: yes", "outdoors: no"), "area: outdoors", "area: utility room")
    assert verdict(charger_gfci, inside, edition) == "not_applicable"


def test_a_charging_receptacle_needs_gfci_and_a_garage_of_2023_is_disputed():
    """NEC 625.54 for receptacles; readers disagree about outlets inside garages under the 2023 text of 210.8(F)."""
    plug = swap(CHARGER, "connection: hardwired", "connection: cord and plug")
    assert verdict(charger_gfci, plug) == "fail"
    assert (
        verdict(charger_gfci, swap(plug, "kind: hardwired}", "kind: receptacle, gfci: in this receptacle}")) == "pass"
    )
    assert verdict(charger_gfci, swap(CHARGER, "connection: hardwired, ", "")) == "undecided"
    garage = swap(swap(CHARGER, "outdoors: yes", "outdoors: no"), "area: outdoors", "area: garage")
    assert verdict(charger_gfci, garage, 2023) == "undecided"
    assert verdict(charger_gfci, garage, 2020) == "not_applicable"


def test_disconnect_above_60_a():
    """NEC 625.43, 2020 and 2023: more than 60 A or more than 150 V to ground."""
    assert verdict(charger_disconnect, CHARGER) == "not_applicable"
    big = swap(CHARGER, "current: 48 A", "current: 64 A")
    assert verdict(charger_disconnect, big) == "undecided"
    with_one = swap(
        big, "cable_length", "disconnect: {place: wall, readily_accessible: yes, lockable: yes}, cable_length"
    )
    assert verdict(charger_disconnect, with_one) == "pass"
    assert verdict(charger_disconnect, swap(with_one, "lockable: yes", "lockable: no")) == "fail"
    assert verdict(charger_disconnect, swap(CHARGER, "current: 48 A", "current: unknown")) == "undecided"


@pytest.mark.parametrize(
    ("length", "expected"), [("25 ft", "pass"), ("25 ft 1 in", "undecided"), ("unknown", "undecided")]
)
def test_cable_length(length, expected):
    """NEC 625.17(C), from memory: 25 ft unless managed."""
    text = swap(CHARGER, "cable_length: 23 ft", f"cable_length: {length}")
    assert verdict(charger_cable_length, text) == expected
    if expected == "undecided" and "ft" in length:
        assert verdict(charger_cable_length, swap(text, "height", "cable_managed: yes, height")) == "pass"
        assert verdict(charger_cable_length, swap(text, "height", "cable_managed: no, height")) == "fail"


def test_height():
    """NEC 625.50, from memory: 24 in outdoors, 18 in indoors."""
    assert verdict(charger_height, CHARGER) == "pass"
    low = swap(CHARGER, "46 in", "20 in")
    assert verdict(charger_height, low) == "fail"
    assert verdict(charger_height, swap(low, "outdoors: yes", "outdoors: no")) == "pass"
    assert verdict(charger_height, swap(low, "outdoors: yes, ", "")) == "undecided"
    assert "from memory" in result(charger_height, low).citation.section


def test_a_charging_receptacle_protected_in_another_one_needs_that_one():
    """NEC 625.54: the receptacle ahead has to be recorded on the same circuit."""
    plug = swap(CHARGER, "connection: hardwired", "connection: cord and plug")
    said = swap(plug, "kind: hardwired}", "kind: receptacle, gfci: in another receptacle}")
    assert verdict(charger_gfci, said) == "undecided"
