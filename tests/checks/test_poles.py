"""Poles, hot conductors and neutrals."""

from __future__ import annotations

import pytest

from handover.checks.poles import neutral_size, poles_and_wires
from tests.circuit_job import GROUND, HOT, one_circuit, one_feeder
from tests.jobs import result, results, swap, verdict

TRIPS = "{rating: 40 A, common_trip: yes}"
LINE = one_circuit(breaker=TRIPS)


def wire(role: str, size: str = "12 AWG", count: int = 1, metal: str = "copper") -> str:
    return f"{{role: {role}, count: {count}, size: {size}, material: {metal}, insulation: THWN-2}}"


def lights(conductors: str, *, poles: str = "[1]", facts: str = "load: 5 A, continuous: no", more: str = "") -> str:
    text = one_circuit(breaker="20 A", volts="120 V", facts=facts, conductors=conductors, more=more)
    return swap(text, "spaces: [1, 3]", f"spaces: {poles}")


TWO_WIRE = f"{wire('hot')}, {wire('neutral')}, {wire('equipment ground')}"


@pytest.mark.parametrize("edition", [2020, 2023])
def test_two_poles_and_two_hots_from_line_to_line(edition):
    """NEC 240.15(B), from memory."""
    found = result(poles_and_wires, LINE, edition)
    assert found.verdict == "pass"
    assert "from memory" in found.citation.section
    assert verdict(poles_and_wires, swap(LINE, "[1, 3]", "[1]"), edition) == "fail"
    assert verdict(poles_and_wires, swap(LINE, "hot, count: 2", "hot, count: 1"), edition) == "fail"
    assert verdict(poles_and_wires, swap(LINE, "hot, count: 2", "hot, count: 3"), edition) == "undecided"


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("common_trip: yes", "common_trip: no"), "fail"),
        ((", common_trip: yes", ""), "undecided"),
        (("volts: 240 V", "volts: unknown"), "undecided"),
        ((f"conductors: [{HOT}, {GROUND}]", "conductors: []"), "undecided"),
        (("feeds: C1", "says: other"), "undecided"),
    ],
)
def test_poles_go_off_together_and_what_is_missing_is_asked_for(change, expected):
    assert verdict(poles_and_wires, swap(LINE, *change)) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (lights(TWO_WIRE), "pass"),
        (lights(TWO_WIRE, poles="[1, 3]"), "fail"),
        (lights(f"{wire('hot')}, {wire('equipment ground')}"), "fail"),
        (lights(f"{wire('neutral')}, {wire('equipment ground')}"), "fail"),
        (lights(f"{wire('hot', count=2)}, {wire('neutral')}"), "undecided"),
    ],
)
def test_one_pole_one_hot_and_a_neutral_at_120_volts(text, expected):
    """NEC 300.3(B), from memory: all conductors of a circuit, the neutral too."""
    assert verdict(poles_and_wires, text) == expected


def test_a_shared_neutral_is_found_at_the_other_circuit_and_its_breakers_go_off_together():
    """NEC 210.4(B), from memory."""
    text = lights(wire("hot"), facts="load: 5 A, continuous: no, multiwire_with: C2")
    wires = f"{wire('hot')}, {wire('neutral')}"
    partner = f"  - {{code: C2, name: Other, work: existing, volts: 120 V, conductors: [{wires}]}}\n"
    shared = swap(text, "runs:\n", partner + "runs:\n")
    assert verdict(poles_and_wires, shared) == "undecided", "common trip or handle ties not recorded"
    assert (
        verdict(poles_and_wires, swap(shared, "breaker: 20 A", "breaker: {rating: 20 A, common_trip: yes}")) == "pass"
    )
    assert verdict(poles_and_wires, text) == "fail", "no neutral anywhere"
    assert verdict(neutral_size, shared) == "pass"


def feeder(*wires: str, panel: str = "slots: [{spaces: [1], breaker: 20 A, says: bench}]") -> str:
    text = one_feeder(breaker="{rating: 60 A, common_trip: yes}", conductors=", ".join(wires))
    return swap(text, "spaces: 8, main_kind: main lugs", f"spaces: 8, main_kind: main lugs, {panel}")


SIX = wire("hot", "6 AWG", 2)


def test_a_feeder_needs_a_neutral_for_anything_at_120_volts():
    assert verdict(poles_and_wires, feeder(SIX, wire("neutral", "6 AWG"), GROUND)) == "pass"
    assert verdict(poles_and_wires, feeder(SIX, GROUND)) == "fail"
    two_poles = "slots: [{spaces: [1, 3], breaker: 20 A, says: kiln}, {spaces: [5], breaker: 20 A, says: spare}]"
    assert verdict(poles_and_wires, feeder(SIX, GROUND, panel=two_poles)) == "pass"
    assert verdict(poles_and_wires, feeder(SIX, GROUND, panel="slots: []")) == "undecided"


def test_existing_wiring_is_not_judged():
    text = swap(LINE, "A circuit, work: new", "A circuit, work: existing")
    assert results(poles_and_wires, text) == results(neutral_size, text) == []


@pytest.mark.parametrize(
    ("conductors", "expected"),
    [
        (TWO_WIRE, "pass"),
        (f"{wire('hot')}, {wire('neutral', '10 AWG')}", "pass"),
        (f"{wire('hot')}, {wire('neutral', '14 AWG')}", "fail"),
        (f"{wire('hot')}, {wire('neutral', 'unknown')}", "undecided"),
        (f"{wire('hot')}, {wire('neutral', '10 AWG', metal='aluminum')}", "pass"),
        (f"{wire('hot')}, {wire('neutral', '12 AWG', metal='aluminum')}", "pass"),
        (wire("hot"), "not_applicable"),
        (wire("neutral"), "undecided"),
    ],
)
def test_the_neutral_of_a_two_wire_circuit(conductors, expected):
    """It takes back all the current.  Of another metal: by NEC Table 310.16, 12 AWG aluminum 20 A at 75 °C."""
    assert verdict(neutral_size, lights(conductors)) == expected


def test_an_aluminum_neutral_too_weak_for_the_breaker_fails():
    """NEC Table 310.16: 12 AWG aluminum has 20 A at 75 °C, less than a breaker of 25 A."""
    text = swap(
        lights(f"{wire('hot', '10 AWG')}, {wire('neutral', metal='aluminum')}"), "breaker: 20 A", "breaker: 25 A"
    )
    assert verdict(neutral_size, text) == "fail"


@pytest.mark.parametrize(
    ("neutral", "load", "expected"),
    [
        ("6 AWG", "48 A", "pass"),
        ("8 AWG", "48 A", "pass"),  # 50 A at 75 °C
        ("8 AWG", "52 A", "undecided"),
        ("8 AWG", "unknown", "undecided"),
        ("10 AWG", "48 A", "undecided"),
        ("12 AWG", "48 A", "fail"),  # behind 60 A the ground wire is 10 AWG
    ],
)
@pytest.mark.parametrize("edition", [2020, 2023])
def test_the_neutral_of_a_feeder(neutral, load, expected, edition):
    """NEC 215.2 and Table 250.122 (60 A: 10 AWG copper), 220.61; Table 310.16 at 75 °C."""
    text = swap(feeder(SIX, wire("neutral", neutral), GROUND), "load: 48 A", f"load: {load}")
    assert verdict(neutral_size, text, edition) == expected


def test_a_feeders_neutral_carries_what_takes_a_neutral():
    """NEC 220.61: the 20 A at 240 V need none, so 30 A come back at most; 10 AWG has 35 A at 75 °C (Table 310.16)."""
    text = swap(feeder(SIX, wire("neutral", "10 AWG"), GROUND, panel=SUB_PANEL), "load: 48 A", "load: 52 A")
    found = result(neutral_size, text + SUB_CIRCUITS, subject="F1")
    assert (found.verdict, str(found.limit)) == ("pass", "30.0 ampere")
    assert verdict(neutral_size, text + swap(SUB_CIRCUITS, "load: 30 A", "load: 36 A"), subject="F1") == "undecided"
    assert verdict(neutral_size, text + swap(SUB_CIRCUITS, "load: 30 A", "load: unknown"), subject="F1") == "undecided"


SUB_PANEL = (
    "slots: [{spaces: [1, 3], feeds: C2, work: new, breaker: 30 A}, "
    "{spaces: [2], feeds: C3, work: new, breaker: 40 A}, {spaces: [4], feeds: C4, work: new, breaker: 20 A}]"
)
SUB_CIRCUITS = """
circuits:
  - {code: C2, name: Kiln, work: new, volts: 240 V, load: 20 A, continuous: no}
  - {code: C3, name: Lights, work: new, volts: 120 V, load: 30 A, continuous: no}
  - {code: C4, name: More lights, work: new, volts: 120 V, load: 10 A, continuous: no}
"""


def test_neutral_size_is_cited_by_edition():
    text = feeder(SIX, wire("neutral", "6 AWG"), GROUND)
    sections = [result(neutral_size, text, edition).citation.section for edition in (2020, 2023)]
    assert sections == ["215.2(A)(2) and 220.61, from memory", "215.2(B) and 220.61, from memory"]


@pytest.mark.parametrize(("volts", "expected"), [("150 V", "pass"), ("151 V", "fail")])
def test_one_pole_to_150_volts_exactly(volts, expected):
    """Our own bound between 120 V and 208 V: one pole below, two above."""
    text = swap(lights(TWO_WIRE), "volts: 120 V", f"volts: {volts}")
    assert verdict(poles_and_wires, text) == expected


def test_how_many_poles_in_words():
    assert (
        result(poles_and_wires, swap(LINE, "[1, 3]", "[1]")).reason
        == "At 240 V the breaker has 2 poles; this one has 1."
    )
    two = result(poles_and_wires, lights(TWO_WIRE, poles="[1, 3]"))
    assert two.reason == "At 120 V the breaker has 1 pole; this one has 2."


def test_half_of_a_shared_circuit_may_stand_on_two_poles_and_no_more():
    """NEC 210.4: one two-pole breaker for both halves."""
    facts = "load: 5 A, continuous: no, multiwire_with: C2"
    for poles, expected in (("[1, 3]", "pass"), ("[1, 3, 5]", "fail")):
        text = swap(
            lights(TWO_WIRE, poles=poles, facts=facts), "breaker: 20 A", "breaker: {rating: 20 A, common_trip: yes}"
        )
        assert verdict(poles_and_wires, text, subject="C1") == expected
