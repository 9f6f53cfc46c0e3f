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
    charger_receptacle,
    charger_supply_cord,
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
    two = CHARGER + "  - {code: E2, name: Other, kind: car charger, circuit: C1, place: yard, work: existing}\n"
    assert verdict(charger_individual_circuit, two) == "undecided"
    managed = swap(two, "current: 48 A,", "current: 48 A, load_managed: yes,")
    other = "place: yard, work: existing"
    assert verdict(charger_individual_circuit, swap(managed, other, f"{other}, load_managed: yes")) == "pass"
    assert verdict(charger_individual_circuit, swap(managed, other, f"{other}, load_managed: no")) == "fail"


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


def test_charger_gfci_by_edition():
    """The cases by edition: 2017 receptacles to 50 A (from memory); 2026 outdoors to 60 A (continuing education).

    What 625.54 of 2026 asks of the rest was contested: undecided.
    """
    plug = swap(swap(CHARGER, "connection: hardwired", "connection: cord and plug"), "rating: 60 A", "rating: 50 A")
    assert [verdict(charger_gfci, plug, each) for each in (2017, 2020, 2023, 2026)] == [
        "fail", "fail", "fail", "undecided",
    ]  # fmt: skip
    assert verdict(charger_gfci, swap(plug, "rating: 50 A", "rating: 60 A"), 2017) == "not_applicable"
    sixty = [verdict(charger_gfci, CHARGER, each) for each in (2017, 2020, 2023, 2026)]
    assert sixty == ["not_applicable", "not_applicable", "not_applicable", "fail"]
    inside = swap(swap(CHARGER, "outdoors: yes", "outdoors: no"), "area: outdoors", "area: utility room")
    assert verdict(charger_gfci, inside, 2026) == "undecided"
    assert verdict(charger_gfci, swap(CHARGER, "gfci: no", "gfci: yes"), 2026) == "pass"


WITH_ONE = swap(
    CHARGER,
    "cable_length",
    "disconnect: {place: wall, readily_accessible: yes, lockable: yes, within_sight: yes}, cable_length",
)


def test_disconnect_of_2026():
    """NEC 625.43 of 2026, continuing education and a magazine: all that are wired in; a plaque if it is elsewhere."""
    assert verdict(charger_disconnect, CHARGER, 2026) == "undecided"
    assert verdict(charger_disconnect, WITH_ONE, 2026) == "pass"
    assert verdict(charger_disconnect, swap(WITH_ONE, "accessible: yes", "accessible: no"), 2026) == "fail"
    assert verdict(charger_disconnect, swap(WITH_ONE, "lockable: yes", "lockable: no"), 2026) == "undecided"
    away = swap(WITH_ONE, "within_sight: yes", "within_sight: no")
    assert verdict(charger_disconnect, away, 2026) == "undecided"
    said = "confirmed: [{rule: charger_disconnect, subject: E1, answer: yes, how: Engraved plaque.}]\n"
    assert verdict(charger_disconnect, away + said, 2026) == "pass"
    assert verdict(charger_disconnect, away + swap(said, "yes", "no"), 2026) == "fail"
    plug = swap(WITH_ONE, "connection: hardwired", "connection: cord and plug")
    assert verdict(charger_disconnect, plug, 2026) == "not_applicable"


PLUG = swap(
    swap(swap(CHARGER, "connection: hardwired", "connection: cord and plug, mounting: portable"), "48 A", "40 A"),
    "kind: hardwired}",
    "kind: receptacle, rating: 50 A, listed_for_ev: yes}",
).replace("rating: 60 A, gfci", "rating: 50 A, gfci")


def test_charging_receptacles_by_edition():
    """NEC 625.44: vendor's guide (2017, 2020), forum (2023), EC&M and continuing education (2026)."""
    editions = (2017, 2020, 2023, 2026)
    assert [verdict(charger_receptacle, PLUG, each) for each in editions] == ["fail", "pass", "pass", "pass"]
    fixed = swap(PLUG, "mounting: portable", "mounting: fastened in place")
    assert [verdict(charger_receptacle, fixed, each) for each in editions] == ["pass"] * 4
    small = swap(swap(PLUG, "rating: 50 A, listed", "rating: 20 A, listed"), "current: 40 A", "current: 16 A")
    assert verdict(charger_receptacle, small, 2017) == "fail", "at 240 V"
    low = swap(small, "volts: 240 V, individual", "volts: 120 V, individual")
    assert verdict(charger_receptacle, low, 2017) == "pass"
    sixty = swap(PLUG, "rating: 50 A, listed", "rating: 60 A, listed")
    assert [verdict(charger_receptacle, sixty, each) for each in editions] == ["fail", "fail", "undecided", "pass"]
    assert verdict(charger_receptacle, swap(PLUG, "listed_for_ev: yes", "listed_for_ev: no"), 2026) == "fail"
    assert verdict(charger_receptacle, swap(PLUG, ", listed_for_ev: yes", ""), 2026) == "undecided"
    assert verdict(charger_receptacle, swap(PLUG, "rating: 50 A, gfci", "rating: 40 A, gfci"), 2026) == "fail"
    assert verdict(charger_receptacle, CHARGER) == "not_applicable"
    assert verdict(charger_receptacle, swap(PLUG, ", mounting: portable", "")) == "undecided"


def test_48_a_are_too_much_for_a_50_a_receptacle():
    """Arithmetic of 625.41: 1.25 × 48 A = 60 A."""
    found = result(charger_receptacle, swap(PLUG, "current: 40 A", "current: 48 A"))
    assert found.verdict == "fail"
    assert found.limit is not None
    assert found.limit.magnitude == 60


@pytest.mark.parametrize(
    ("cord", "expected"),
    [
        ("12 in", "pass"),
        ("13 in", "undecided"),
        ("15 ft", "undecided"),
        ("15 ft 1 in", "fail"),
        ("unknown", "undecided"),
    ],
)
def test_supply_cord(cord, expected):
    """NEC 625.17(A), from memory: 12 in in every reading, 15 ft the most in any."""
    text = swap(PLUG, "cable_length", f"supply_cord_length: {cord}, cable_length")
    assert verdict(charger_supply_cord, text) == expected
    assert verdict(charger_supply_cord, CHARGER) == "not_applicable"


def test_a_lower_height_that_is_marked():
    """NEC 625.50, from memory: unless listed and marked for another height."""
    low = swap(CHARGER, "46 in", "20 in")
    said = "confirmed: [{rule: charger_height, subject: E1, answer: yes, how: On its plate.}]\n"
    assert verdict(charger_height, low + said) == "pass"
    assert verdict(charger_height, low + swap(said, "yes", "no")) == "fail"


@pytest.mark.parametrize(
    ("amperes", "volts", "expected"),
    [("16 A", "125 V", "pass"), ("17 A", "125 V", "fail"), ("16 A", "126 V", "fail"), ("16.5 A", "120 V", "fail")],
)
def test_the_small_charger_that_may_share(amperes, volts, expected):
    """NEC 625.40: to 16 A and 120 V; the nominal 120 V reaches to 125 V."""
    shared = CHARGER + "  - {code: E2, name: Pump, kind: motor, circuit: C1, place: yard, work: existing}\n"
    text = swap(
        swap(shared, "current: 48 A", f"current: {amperes}"), "new, volts: 240 V, cur", f"new, volts: {volts}, cur"
    )
    assert verdict(charger_individual_circuit, text) == expected


def test_two_outlets_are_one_too_many_for_an_individual_circuit():
    """NEC 625.40: the outlet of the charger and nothing else."""
    outlet = "{what: Charger, place: carport, area: outdoors, kind: hardwired}"
    text = swap(CHARGER, outlet, f"{outlet}, {outlet}")
    assert verdict(charger_individual_circuit, text) == "fail"
    assert verdict(charger_individual_circuit, swap(CHARGER, f"[\n      {outlet}]", "[]")) == "pass"


def test_the_receptacles_of_each_edition_one_by_one():
    """NEC 625.44: 2017 15 and 20 A at 125 V; 2020 and 2023 15, 20, 30, 50 A; 2026 60 A too, listed from 30 A on."""
    named = {2017: {15, 20}, 2020: {15, 20, 30, 50}, 2023: {15, 20, 30, 50}, 2026: {15, 20, 30, 50, 60}}
    low = swap(swap(PLUG, "current: 40 A", "current: 12 A"), "volts: 240 V, individual", "volts: 125 V, individual")
    for edition, sizes in named.items():
        for amperes in (14, 15, 16, 19, 20, 21, 29, 30, 31, 49, 50, 51, 59, 61, *sizes):
            text = swap(low, "rating: 50 A, listed", f"rating: {amperes} A, listed")
            expected = "pass" if amperes in sizes else "fail"
            assert verdict(charger_receptacle, text, edition) == expected, (edition, amperes)
    assert verdict(charger_receptacle, swap(low, "volts: 125 V", "volts: 126 V"), 2017) == "fail"
    unlisted = swap(low, "listed_for_ev: yes", "listed_for_ev: no")
    for amperes, expected in ((15, "pass"), (20, "pass"), (30, "fail"), (50, "fail"), (60, "fail")):
        text = swap(unlisted, "rating: 50 A, listed", f"rating: {amperes} A, listed")
        assert verdict(charger_receptacle, text, 2026) == expected
    fixed = swap(low, "mounting: portable", "mounting: fastened in place")
    assert verdict(charger_receptacle, swap(fixed, "rating: 50 A, listed", "rating: 51 A, listed"), 2020) == "fail"


def test_the_limits_of_disconnect_and_gfci_exactly():
    """NEC 625.43: over 60 A; 625.54 in 2017, from memory: to 50 A."""
    sixty = swap(CHARGER, "current: 48 A", "current: 60 A")
    assert verdict(charger_disconnect, sixty) == "not_applicable"
    assert verdict(charger_disconnect, swap(sixty, "60 A,", "61 A,")) == "undecided"
    plug = swap(CHARGER, "connection: hardwired", "connection: cord and plug")
    for amperes, expected in ((50, "fail"), (51, "not_applicable")):
        assert verdict(charger_gfci, swap(plug, "rating: 60 A", f"rating: {amperes} A"), 2017) == expected
    for edition, most in ((2020, 50), (2023, 50), (2026, 60)):
        at, above = (swap(CHARGER, "rating: 60 A", f"rating: {each} A") for each in (most, most + 1))
        assert verdict(charger_gfci, at, edition) == "fail"
        assert verdict(charger_gfci, above, edition) != "fail"


def test_the_heights_exactly():
    """NEC 625.50, from memory: 24 in outdoors, 18 in indoors."""
    inside = swap(CHARGER, "outdoors: yes", "outdoors: no")
    for text, least in ((CHARGER, 24), (inside, 18)):
        assert verdict(charger_height, swap(text, "46 in", f"{least} in")) == "pass"
        assert verdict(charger_height, swap(text, "46 in", f"{least - 1} in")) == "fail"
        assert result(charger_height, swap(text, "46 in", f"{least} in")).limit.magnitude == least


@pytest.mark.parametrize(
    ("receptacle", "breaker", "expected"),
    [(50, 49, "fail"), (50, 50, "pass"), (60, 40, "pass"), (30, 20, "pass"), (50, 60, "pass")],
)
def test_only_a_receptacle_of_50_amperes_binds_its_circuit_in_2026(receptacle, breaker, expected):
    """NEC 625.44 of 2026, trade press: a receptacle of 50 A stands on no smaller circuit."""
    text = swap(swap(PLUG, "current: 40 A", "current: 12 A"), "rating: 50 A, listed", f"rating: {receptacle} A, listed")
    assert verdict(charger_receptacle, swap(text, "rating: 50 A, gfci", f"rating: {breaker} A, gfci"), 2026) == expected


def test_what_is_wired_in_beside_the_receptacle_is_not_taken_for_it():
    """The rule asks for the receptacle, whichever outlet is recorded first."""
    fan = "{what: Fan, place: carport, area: outdoors, kind: hardwired, rating: 99 A}"
    lamp = "{what: Lamp, place: carport, area: outdoors, kind: lighting}"
    first = swap(PLUG, "outlets: [", f"outlets: [{fan}, {lamp}, ")
    assert verdict(charger_receptacle, first) == "pass"
    none = swap(first, "kind: receptacle", "kind: hardwired")
    assert verdict(charger_receptacle, none) == "undecided"


@pytest.mark.parametrize(("length", "at_most"), [("11 in", 12), ("12 in", 12), ("181 in", 180)])
def test_the_cord_is_told_against_the_limit_that_decides(length, at_most):
    """NEC 625.17(A), from memory: 12 in in every reading, 15 ft the most in any."""
    found = result(charger_supply_cord, swap(PLUG, "cable_length", f"supply_cord_length: {length}, cable_length"))
    assert (found.limit.magnitude, found.at_least) == (at_most, False)


def test_several_chargers_in_words():
    other = "{code: E2, name: Other, kind: car charger, circuit: C1, place: yard, work: existing, load_managed: yes}"
    two = f"{CHARGER}  - {other}\n"
    good = result(charger_individual_circuit, swap(two, "current: 48 A,", "current: 48 A, load_managed: yes,"))
    assert good.reason == "Several chargers share the circuit, all of them under automatic load management."
    bad = result(charger_individual_circuit, swap(two, "current: 48 A,", "current: 48 A, load_managed: no,"))
    assert bad.reason == "Several chargers share the circuit, not all of them under automatic load management."
