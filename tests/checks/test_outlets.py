"""Rules about all outlets: arc-fault protection indoors, ground-fault protection of what is wired in outdoors."""

from __future__ import annotations

import pytest

from handover.checks.outlets import afci, outdoor_outlet_gfci
from tests.jobs import result, results, swap, verdict

ROOM = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1], breaker: {rating: 20 A, gfci: no, afci: no}, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Room, work: new, volts: 120 V, outlets: [
      {what: Duplex, place: wall, area: living area, kind: receptacle, rating: 15 A, afci: none}]}
"""


def yes(rule, answer="yes"):
    return f"confirmed: [{{rule: {rule.id}, subject: C1, answer: {answer}, how: Looked.}}]\n"


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_rooms_to_live_in_need_afci(edition):
    """NEC 210.12(A) in 2017 and 2020, 210.12(B) in 2023; the rooms from memory."""
    assert verdict(afci, ROOM, edition) == "fail"
    assert verdict(afci, swap(ROOM, "afci: no}", "afci: yes}"), edition) == "pass"
    assert verdict(afci, swap(ROOM, "afci: no}", "afci: unknown}"), edition) == "undecided"
    assert verdict(afci, swap(ROOM, ", afci: none", ""), edition) == "undecided"
    assert verdict(afci, swap(ROOM, "afci: none", "afci: in the breaker"), edition) == "undecided"
    for area in ("outdoors", "garage", "bathroom", "crawl space", "accessory building"):
        assert verdict(afci, swap(ROOM, "living area", area), edition) == "not_applicable"
    assert results(afci, swap(ROOM, "volts: 120 V", "volts: 240 V"), edition) == []
    assert results(afci, swap(ROOM, "name: Room, work: new", "name: Room, work: existing"), edition) == []
    assert verdict(afci, ROOM, 2026) == "undecided"


def test_rooms_that_may_be_lived_in():
    basement = swap(ROOM, "living area", "basement")
    assert verdict(afci, basement) == "undecided"
    assert verdict(afci, swap(basement, "afci: none", "afci: none, habitable: yes")) == "fail"
    assert verdict(afci, swap(basement, "afci: none", "afci: none, habitable: no")) == "not_applicable"
    cottage = swap(ROOM, "main: 200 A", "main: 200 A, separate_building: yes, dwelling: yes")
    assert verdict(afci, swap(cottage, "living area", "accessory building")) == "undecided"


def test_circuits_by_size():
    """10 A circuits from 2023, from memory."""
    ten = swap(ROOM, "rating: 20 A, gfci", "rating: 10 A, gfci")
    assert [verdict(afci, ten, edition) for edition in (2017, 2020, 2023)] == ["not_applicable"] * 2 + ["fail"]
    assert verdict(afci, swap(ROOM, "rating: 20 A, gfci", "rating: 30 A, gfci")) == "not_applicable"
    assert verdict(afci, swap(ROOM, "volts: 120 V", "volts: unknown")) == "undecided"


def test_an_afci_receptacle_is_a_question():
    """NEC 210.12: only with wiring of some kinds ahead of it."""
    device = swap(ROOM, "afci: none", "afci: in this receptacle")
    assert verdict(afci, device) == "undecided"
    assert verdict(afci, device + yes(afci)) == "pass"
    assert verdict(afci, device + yes(afci, "no")) == "fail"
    assert verdict(afci, ROOM + yes(afci)) == "pass", "an exception, confirmed"


def test_a_changed_circuit():
    """NEC 210.12(D) in 2017, (E) in 2023, as continuing education and a forum quote it: 6 ft and no new outlet."""
    changed = swap(ROOM, "name: Room, work: new", "name: Room, work: changed")
    assert "6 ft" in result(afci, changed).reason
    assert verdict(afci, changed) == "undecided"
    assert verdict(afci, changed + yes(afci)) == "pass"
    assert verdict(afci, changed + yes(afci, "no")) == "fail"
    device = swap(changed, "afci: none", "afci: in this receptacle")
    assert "was there before" in result(afci, device).reason


PUMP = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: {rating: 50 A, gfci: no}, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Pump, work: new, volts: 240 V, outlets: [
      {what: Pump, place: yard, area: outdoors, kind: hardwired, gfci: none}]}
"""


def test_wired_in_outdoors_by_edition():
    """NEC 210.8(F): none in 2017, to 50 A in 2020 and 2023, to 60 A in 2026 (continuing education)."""
    editions = (2017, 2020, 2023, 2026)
    assert [verdict(outdoor_outlet_gfci, PUMP, each) for each in editions] == ["not_applicable", "fail", "fail", "fail"]
    sixty = swap(PUMP, "rating: 50 A", "rating: 60 A")
    assert [verdict(outdoor_outlet_gfci, sixty, each) for each in editions] == ["not_applicable"] * 3 + ["fail"]
    assert verdict(outdoor_outlet_gfci, swap(sixty, "60 A", "70 A"), 2026) == "not_applicable"
    protected = swap(PUMP, "gfci: no}", "gfci: yes}")
    assert [verdict(outdoor_outlet_gfci, protected, each) for each in editions[1:]] == ["pass"] * 3


def test_what_is_not_said_of_it():
    assert verdict(outdoor_outlet_gfci, swap(PUMP, ", gfci: none", "")) == "undecided"
    assert verdict(outdoor_outlet_gfci, swap(PUMP, "gfci: none", "gfci: in the breaker")) == "undecided"
    assert verdict(outdoor_outlet_gfci, swap(PUMP, "gfci: none", "gfci: in another receptacle")) == "undecided"
    assert verdict(outdoor_outlet_gfci, swap(PUMP, "rating: 50 A", "rating: unknown")) == "undecided"
    assert verdict(outdoor_outlet_gfci, PUMP + yes(outdoor_outlet_gfci)) == "pass", "deicing, confirmed"
    assert verdict(outdoor_outlet_gfci, swap(PUMP, "area: outdoors", "area: attic")) == "not_applicable"
    assert results(outdoor_outlet_gfci, swap(PUMP, "kind: hardwired", "kind: lighting")) == []


AHEAD = "      {what: R, place: wall, area: garage, kind: receptacle, rating: 20 A, gfci: in this receptacle}"


def test_inside_garages_2023_is_disputed():
    """Readers disagree about 210.8(F) of 2023; 2026 is explained as outdoor outlets only."""
    garage = swap(PUMP, "area: outdoors", "area: garage")
    assert [verdict(outdoor_outlet_gfci, garage, each) for each in (2020, 2023, 2026)] == [
        "not_applicable", "undecided", "not_applicable",
    ]  # fmt: skip
    ahead = swap(garage, "gfci: none}", "gfci: in another receptacle},\n" + AHEAD)
    assert verdict(outdoor_outlet_gfci, ahead) == "pass"


def test_chargers_and_heat_pumps_have_their_own_rules():
    charger = PUMP + "equipment: [{code: E1, name: C, kind: car charger, circuit: C1, place: yard, work: new}]\n"
    assert results(outdoor_outlet_gfci, charger) == []
    assert verdict(outdoor_outlet_gfci, swap(charger, "car charger", "other")) == "fail"


def test_the_limits_of_volts_and_rating_exactly():
    """NEC 210.12: circuits of 120 V nominal, read here to 125 V, of 15 and 20 A (10 A from 2023)."""
    assert verdict(afci, swap(ROOM, "volts: 120 V", "volts: 125 V")) == "fail"
    assert results(afci, swap(ROOM, "volts: 120 V", "volts: 126 V")) == []
    for rating, edition, expected in (
        (20, 2020, "fail"), (21, 2020, "not_applicable"), (15, 2020, "fail"), (14, 2020, "not_applicable"),
        (14, 2023, "fail"), (15, 2017, "fail"), (21, 2023, "not_applicable"),
    ):  # fmt: skip
        assert verdict(afci, swap(ROOM, "rating: 20 A, gfci", f"rating: {rating} A, gfci"), edition) == expected


def test_each_area_by_name():
    """NEC 210.12, rooms from memory: those to live in fail, those not listed do not concern it, the rest are asked."""
    for area, expected in (
        ("kitchen", "fail"), ("laundry area", "fail"), ("living area", "fail"), ("food or beverage area", "fail"),
        ("outdoors", "not_applicable"), ("garage", "not_applicable"), ("bathroom", "not_applicable"),
        ("crawl space", "not_applicable"), ("attic", "not_applicable"), ("accessory building", "not_applicable"),
        ("basement", "undecided"), ("utility room", "undecided"),
    ):  # fmt: skip
        assert verdict(afci, swap(ROOM, "living area", area)) == expected, area


def test_a_changed_circuit_is_asked_another_question_than_a_new_one():
    """NEC 210.12(D), from 2023 (E): wiring lengthened by 6 ft at most; a device first on the circuit."""
    device = swap(ROOM, "afci: none", "afci: in another receptacle")
    for text, words in (
        (device, "of a kind that 210.12 allows"),
        (swap(device, "Room, work: new", "Room, work: changed"), "of the circuit that was there before"),
        (swap(ROOM, "Room, work: new", "Room, work: changed"), "no more than 6 ft"),
    ):
        found = result(afci, text)
        assert (found.verdict, words in found.reason) == ("undecided", True)


def test_the_first_outlet_in_a_room_is_the_one_named():
    porch = "{what: Porch, place: wall, area: outdoors, kind: lighting},\n      "
    text = swap(ROOM, "[\n      {what: Duplex", f"[\n      {porch}{{what: Duplex")
    assert result(afci, text).reason.startswith("Outlet 2 is in a room")


@pytest.mark.parametrize("area", ["attic", "basement", "kitchen", "other indoor area", "utility room", "living area"])
@pytest.mark.parametrize("edition", [2020, 2023, 2026])
def test_nothing_indoors_is_asked_for(area, edition):
    """NEC 210.8(F) is about outlets outdoors."""
    assert verdict(outdoor_outlet_gfci, swap(PUMP, "area: outdoors", f"area: {area}"), edition) == "not_applicable"
