"""Rules about receptacles."""

from __future__ import annotations

import pytest

from handover.checks.receptacles import (
    cord_and_plug_load,
    gfci_accessible,
    gfci_receptacles,
    receptacle_cover,
    receptacle_rating,
    tamper_resistant,
)
from tests.circuit_job import one_appliance
from tests.jobs import result, results, swap, verdict

SHED = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1], breaker: {rating: 20 A, gfci: no}, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Shed, work: new, volts: 120 V, outlets: [
      {what: Duplex, place: bench, area: accessory building, kind: receptacle, rating: 15 A, gfci: none,
       tamper_resistant: yes, single: no, near_sink: no, near_tub: no, habitable: no}]}
"""


@pytest.mark.parametrize(
    "area", ["outdoors", "garage", "accessory building", "basement", "crawl space", "bathroom", "laundry area"]
)
@pytest.mark.parametrize("edition", [2020, 2023])
def test_places_that_always_ask_for_gfci(area, edition):
    """NEC 210.8(A), 2020 and 2023."""
    text = swap(SHED, "accessory building", area)
    assert verdict(gfci_receptacles, text, edition) == "fail"
    assert verdict(gfci_receptacles, swap(text, "gfci: none", "gfci: in this receptacle"), edition) == "pass"
    assert verdict(gfci_receptacles, swap(text, "gfci: no}", "gfci: yes}"), edition) == "pass"
    assert verdict(gfci_receptacles, swap(text, "gfci: none,", ""), edition) == "undecided"


def test_the_kitchen_by_edition():
    """NEC 210.8(A)(6): countertops in 2017 and 2020, every receptacle in 2023."""
    kitchen = swap(SHED, "accessory building", "kitchen")
    assert verdict(gfci_receptacles, kitchen, 2023) == "fail"
    for edition in (2017, 2020):
        assert verdict(gfci_receptacles, kitchen, edition) == "undecided"
        assert verdict(gfci_receptacles, swap(kitchen, "single: no", "serves_countertop: yes"), edition) == "fail"
        assert verdict(gfci_receptacles, swap(kitchen, "single: no", "serves_countertop: no"), edition) == "pass"
    bar = swap(SHED, "accessory building", "food or beverage area")
    assert [verdict(gfci_receptacles, bar, edition) for edition in (2017, 2020, 2023)] == ["pass", "pass", "fail"]


def test_2017_asks_for_125_v_to_20_a_only_and_2020_for_all_to_250_v():
    """NEC 210.8(A): 2017 from memory, 2020 as a forum quotes it."""
    outdoors = swap(SHED, "accessory building", "outdoors")
    assert verdict(gfci_receptacles, outdoors, 2017) == "fail"
    big = swap(outdoors, "rating: 15 A", "rating: 30 A")
    assert [verdict(gfci_receptacles, big, edition) for edition in (2017, 2020, 2023)] == ["pass", "fail", "fail"]
    high = swap(outdoors, "volts: 120 V", "volts: 240 V")
    assert [verdict(gfci_receptacles, high, edition) for edition in (2017, 2020)] == ["pass", "fail"]
    assert verdict(gfci_receptacles, swap(outdoors, "volts: 120 V", "volts: unknown"), 2017) == "undecided"


def test_basements_and_accessory_buildings_by_edition():
    """NEC 210.8(A): basements not for living in 2017, all from 2020; accessory buildings that are not lived in."""
    finished = swap(swap(SHED, "accessory building", "basement"), "habitable: no", "habitable: yes")
    assert verdict(gfci_receptacles, finished, 2017) == "pass"
    assert verdict(gfci_receptacles, finished, 2020) == "fail"
    assert verdict(gfci_receptacles, swap(finished, "habitable: yes", "habitable: unknown"), 2017) == "undecided"
    office = swap(SHED, "habitable: no", "habitable: yes, exposure: dry")
    assert verdict(gfci_receptacles, office) == "pass"
    assert verdict(gfci_receptacles, swap(SHED, "habitable: no", "habitable: unknown")) == "undecided"


def test_indoor_damp_places_from_2020():
    """NEC 210.8(A)(11), as a vendor's summary tells it."""
    room = swap(SHED, "accessory building", "utility room")
    assert verdict(gfci_receptacles, room, 2017) == "pass"
    assert verdict(gfci_receptacles, room, 2020) == "undecided"
    assert verdict(gfci_receptacles, swap(room, "single: no", "exposure: damp"), 2020) == "fail"
    assert verdict(gfci_receptacles, swap(room, "single: no", "exposure: dry"), 2020) == "pass"


def test_an_exception_counts_only_where_somebody_confirmed_it():
    said = "confirmed: [{rule: gfci_receptacles, subject: C1, answer: yes, how: Deicing cable on its own circuit.}]\n"
    found = result(gfci_receptacles, SHED + said)
    assert found.verdict == "pass"
    assert "Deicing cable" in found.reason
    assert verdict(gfci_receptacles, SHED + swap(said, "answer: yes", "answer: no")) == "fail"
    assert verdict(gfci_receptacles, SHED, 2026) == "undecided", "not read"


def test_protection_that_can_be_reached():
    """NEC 210.8: readily accessible."""
    there = swap(SHED, "gfci: none", "gfci: in this receptacle, gfci_accessible: yes")
    assert verdict(gfci_accessible, there) == "pass"
    assert verdict(gfci_accessible, swap(there, "gfci_accessible: yes", "gfci_accessible: no")) == "fail"
    assert verdict(gfci_accessible, swap(there, ", gfci_accessible: yes", "")) == "undecided"
    assert results(gfci_accessible, SHED) == []
    second = swap(there, "habitable: no}]}", "habitable: no},\n" + swap(OTHER, "gfci: in this receptacle,", ""))
    assert verdict(gfci_accessible, second) == "undecided", "whether the second is protected was not recorded"


def test_near_a_sink_anywhere():
    """NEC 210.8(A): within 6 ft of a sink."""
    living = swap(SHED, "accessory building", "living area")
    assert verdict(gfci_receptacles, living) == "pass"
    assert verdict(gfci_receptacles, swap(living, "near_sink: no", "near_sink: yes")) == "fail"
    assert verdict(gfci_receptacles, swap(living, "near_sink: no", "near_sink: unknown")) == "undecided"
    assert verdict(gfci_receptacles, swap(living, "near_tub: no", "near_tub: yes")) == "fail"
    assert verdict(gfci_receptacles, swap(living, "near_tub: no", "near_tub: unknown")) == "undecided"


def test_a_breaker_that_is_said_to_protect_has_to_be_recorded_so():
    said = swap(SHED, "gfci: none", "gfci: in the breaker")
    assert verdict(gfci_receptacles, said) == "undecided"
    assert verdict(gfci_receptacles, swap(said, "gfci: no}", "gfci: yes}")) == "pass"
    assert results(gfci_receptacles, swap(SHED, "Shed, work: new", "Shed, work: existing")) == []


def test_tamper_resistant():
    """NEC 406.12, from memory: 15 A and 20 A, not above 5.5 ft."""
    assert verdict(tamper_resistant, SHED) == "pass"
    plain = swap(SHED, "tamper_resistant: yes", "tamper_resistant: no")
    assert verdict(tamper_resistant, plain) == "fail"
    assert verdict(tamper_resistant, swap(plain, "single: no", "height: 67 in")) == "not_applicable"
    assert verdict(tamper_resistant, swap(plain, "single: no", "height: 66 in")) == "fail"
    assert verdict(tamper_resistant, swap(plain, "rating: 15 A", "rating: 30 A")) == "not_applicable"
    assert verdict(tamper_resistant, swap(SHED, "tamper_resistant: yes", "tamper_resistant: unknown")) == "undecided"
    said = "confirmed: [{rule: tamper_resistant, subject: C1, answer: yes, how: Behind the freezer.}]\n"
    assert verdict(tamper_resistant, plain + said) == "pass"


def test_tamper_resistant_in_2017():
    """NEC 406.12, from memory: whether 2017 means garages and accessory buildings was not read."""
    plain = swap(SHED, "tamper_resistant: yes", "tamper_resistant: no")
    assert verdict(tamper_resistant, plain, 2017) == "undecided"
    assert verdict(tamper_resistant, swap(plain, "accessory building", "bathroom"), 2017) == "fail"
    assert verdict(tamper_resistant, SHED, 2017) == "pass"


@pytest.mark.parametrize(
    ("breaker", "receptacle", "single", "expected"),
    [
        (20, 15, "no", "pass"),
        (20, 20, "no", "pass"),
        (20, 15, "yes", "fail"),
        (15, 20, "no", "fail"),
        (30, 30, "yes", "pass"),
        (30, 50, "yes", "pass"),
        (40, 50, "no", "pass"),
        (40, 30, "no", "fail"),
        (60, 60, "no", "undecided"),
        (20, 15, "unknown", "undecided"),
        (20, 20, "unknown", "pass"),
    ],
)
def test_receptacle_and_breaker(breaker, receptacle, single, expected):
    """NEC 210.21(B)(1) and Table 210.21(B)(3), from memory."""
    text = swap(SHED, "kind: receptacle, rating: 15 A", f"kind: receptacle, rating: {receptacle} A")
    text = swap(text, "breaker: {rating: 20 A", f"breaker: {{rating: {breaker} A")
    assert verdict(receptacle_rating, swap(text, "single: no", f"single: {single}")) == expected


OTHER = """      {what: First, place: bench, area: accessory building, kind: receptacle, rating: 15 A,
       gfci: in this receptacle, tamper_resistant: yes, single: no, near_sink: no}]}
"""


def test_protection_in_another_receptacle_needs_that_receptacle():
    """NEC 210.8(A): the one ahead has to be there, on the same circuit."""
    alone = swap(SHED, "gfci: none", "gfci: in another receptacle")
    found = result(gfci_receptacles, alone)
    assert found.verdict == "undecided"
    assert "another receptacle" in found.reason
    both = swap(alone, "habitable: no}]}\n", "habitable: no},\n" + OTHER)
    assert verdict(gfci_receptacles, both) == "pass"
    assert verdict(gfci_receptacles, swap(alone, "gfci: no}", "gfci: yes}")) == "pass", "the breaker protects it"


OUTSIDE = swap(
    SHED,
    "accessory building, kind: receptacle,",
    "outdoors, exposure: wet, cover: extra-duty in-use hood, weather_resistant: yes, kind: receptacle,",
)


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_receptacles_outdoors_are_covered(edition):
    """NEC 406.9(A) and (B), EC&M of 2015 and 2025: closed with the plug in; hoods extra-duty; weather-resistant."""
    assert verdict(receptacle_cover, OUTSIDE, edition) == "pass"
    assert verdict(receptacle_cover, swap(OUTSIDE, "extra-duty in-use hood", "closing cover"), edition) == "fail"
    assert verdict(receptacle_cover, swap(OUTSIDE, "extra-duty in-use hood", "none"), edition) == "fail"
    assert verdict(receptacle_cover, swap(OUTSIDE, "extra-duty in-use hood", "in-use hood"), edition) == "undecided"
    assert verdict(receptacle_cover, swap(OUTSIDE, "extra-duty in-use hood", "other in-use enclosure")) == "pass"
    assert verdict(receptacle_cover, swap(OUTSIDE, "weather_resistant: yes", "weather_resistant: no")) == "fail"
    assert verdict(receptacle_cover, OUTSIDE, 2026) == "undecided"


def test_damp_places_and_large_receptacles():
    """NEC 406.9(A): a cover that closes is enough under a roof; 406.9(B)(2): a large one may be attended."""
    porch = swap(swap(OUTSIDE, "exposure: wet", "exposure: damp"), "extra-duty in-use hood", "closing cover")
    assert verdict(receptacle_cover, porch) == "pass"
    assert verdict(receptacle_cover, swap(porch, "exposure: damp", "exposure: dry")) == "undecided"
    large = swap(swap(OUTSIDE, "extra-duty in-use hood", "closing cover"), "rating: 15 A", "rating: 30 A")
    assert verdict(receptacle_cover, large) == "undecided"
    assert verdict(receptacle_cover, swap(large, "closing cover", "in-use hood")) == "pass"
    for fact in ("exposure: wet, ", "cover: extra-duty in-use hood, ", "weather_resistant: yes, "):
        assert verdict(receptacle_cover, swap(OUTSIDE, fact, "")) == "undecided"
    assert results(receptacle_cover, SHED) == []


PLUGGED = (
    SHED
    + """
equipment: [{code: E1, name: Freezer, kind: other, circuit: C1, place: shed, work: new, connection: cord and plug,
  current: 12 A}]
"""
)


def test_what_is_plugged_in():
    """NEC Table 210.21(B)(2), from memory: 12 A on 15 A and 16 A on 20 A, where there are several receptacles."""
    assert verdict(cord_and_plug_load, PLUGGED) == "pass"
    more = swap(PLUGGED, "current: 12 A", "current: 13 A")
    assert verdict(cord_and_plug_load, more) == "fail"
    twenty = swap(more, "kind: receptacle, rating: 15 A", "kind: receptacle, rating: 20 A")
    assert verdict(cord_and_plug_load, twenty) == "pass"
    assert verdict(cord_and_plug_load, swap(more, "single: no", "single: yes")) == "pass", "alone, to its own rating"
    assert verdict(cord_and_plug_load, swap(PLUGGED, "current: 12 A", "current: unknown")) == "undecided"
    assert verdict(cord_and_plug_load, swap(PLUGGED, "receptacle, rating: 15 A", "receptacle")) == "undecided"
    assert results(cord_and_plug_load, swap(PLUGGED, "cord and plug", "hardwired")) == []


@pytest.mark.parametrize(("power", "expected"), [("14 kW", "pass"), ("27 kW", "fail")])
def test_a_ranges_receptacle_goes_by_its_demand(power, expected):
    """NEC 210.21(B)(4), Table 220.55: 14 kW count 8.8 kW, 36.7 A; 27 kW count 14 kW, 58.3 A; the plug has 50 A."""
    outlet = "{what: range, place: kitchen, area: kitchen, kind: receptacle, rating: 50 A, single: yes}"
    text = one_appliance(
        "range",
        f"power: {power}, cooking_kind: range, connection: cord and plug",
        breaker="50 A",
        facts=f"outlets: [{outlet}]",
    )
    assert verdict(cord_and_plug_load, text) == expected


def test_what_2017_counts_as_small_exactly():
    """NEC 210.8(A), 2017 from memory: to 125 V, 15 and 20 A."""
    outdoors = swap(SHED, "accessory building", "outdoors")
    for old, at, above in (
        ("volts: 120 V", "volts: 125 V", "volts: 126 V"),
        ("rating: 15 A", "rating: 20 A", "rating: 21 A"),
    ):
        assert verdict(gfci_receptacles, swap(outdoors, old, at), 2017) == "fail"
        assert verdict(gfci_receptacles, swap(outdoors, old, above), 2017) == "pass"


def test_tamper_resistance_is_asked_to_20_amperes_exactly():
    """NEC 406.12, from memory: 15 A and 20 A."""
    plain = swap(SHED, "tamper_resistant: yes", "tamper_resistant: no")
    assert verdict(tamper_resistant, swap(plain, "rating: 15 A", "rating: 20 A")) == "fail"
    assert verdict(tamper_resistant, swap(plain, "rating: 15 A", "rating: 21 A")) == "not_applicable"


def test_outlets_are_named_by_their_number_in_the_record():
    """The first outlet is number 1, so that the reader finds it."""
    lamp = "{what: Lamp, place: bench, area: accessory building, kind: lighting},\n      "
    second = swap(SHED, "[\n      {what: Duplex", f"[\n      {lamp}{{what: Duplex")
    assert "Outlet 1 " in result(tamper_resistant, swap(SHED, "tamper_resistant: yes", "tamper_resistant: no")).reason
    assert "Outlet 2 " in result(tamper_resistant, swap(second, "tamper_resistant: yes", "tamper_resistant: no")).reason
    there = swap(second, "gfci: none", "gfci: in this receptacle, gfci_accessible: no")
    assert result(gfci_accessible, there).reason == "The protection of outlet 2 is not readily accessible."
    assert [given.meaning for given in result(gfci_accessible, there).inputs] == [
        "protection of outlet 2 readily accessible"
    ]
    both = swap(there, "kind: lighting}", "kind: receptacle}")
    unknown = result(gfci_accessible, both)
    assert unknown.reason.startswith("protection of outlet 1: ")
    assert "area of outlet 2" in [given.meaning for given in result(gfci_receptacles, second).inputs]


@pytest.mark.parametrize(
    ("rating", "expected"), [("14 A", "fail"), ("15 A", "pass"), ("16 A", "fail"), ("20 A", "pass"), ("21 A", "fail")]
)
def test_receptacles_of_a_shared_20_ampere_circuit_one_ampere_off(rating, expected):
    """NEC Table 210.21(B)(3), from memory: 15 or 20 A and nothing between or beside."""
    text = swap(SHED, "kind: receptacle, rating: 15 A", f"kind: receptacle, rating: {rating}")
    assert verdict(receptacle_rating, text) == expected


@pytest.mark.parametrize("rating", ["20.5 A", "21 A", "25 A"])
def test_an_odd_receptacle_of_which_nobody_said_whether_it_is_single(rating):
    """Single it would do, as one of two it is not in the table: it has to be known."""
    text = swap(
        swap(SHED, "kind: receptacle, rating: 15 A", f"kind: receptacle, rating: {rating}"),
        "single: no",
        "single: unknown",
    )
    assert verdict(receptacle_rating, text) == "undecided"


@pytest.mark.parametrize("rating", ["30 A", "40 A", "45 A", "60 A"])
def test_a_receptacle_twice_as_large_is_no_fit(rating):
    """NEC Table 210.21(B)(3), from memory: 15 or 20 A on 20 A, not a multiple of them."""
    assert verdict(receptacle_rating, swap(SHED, "receptacle, rating: 15 A", f"receptacle, rating: {rating}")) == "fail"


@pytest.mark.parametrize(
    ("rating", "cover", "expected"),
    [
        ("20 A", "closing cover", "fail"),
        ("21 A", "closing cover", "undecided"),
        ("20 A", "in-use hood", "undecided"),
        ("21 A", "in-use hood", "pass"),
    ],
)
def test_covers_by_size_exactly(rating, cover, expected):
    """NEC 406.9(B)(1) and (2): 15 A and 20 A receptacles in wet places, and the others."""
    text = swap(
        swap(OUTSIDE, "extra-duty in-use hood", cover), "receptacle, rating: 15 A", f"receptacle, rating: {rating}"
    )
    assert verdict(receptacle_cover, text) == expected


def test_a_second_plug_is_judged_after_a_hardwired_thing_and_an_old_one():
    fixed = (
        "{code: E2, name: Fan, kind: other, circuit: C1, place: shed, work: new, connection: hardwired, current: 1 A}"
    )
    old = "{code: E3, name: Old, kind: other, circuit: C1, place: shed, work: existing, connection: cord and plug}"
    text = swap(PLUGGED, "equipment: [", f"equipment: [{fixed}, {old}, ")
    assert [each.subject for each in results(cord_and_plug_load, text)] == ["E1"]
