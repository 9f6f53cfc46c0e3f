"""What could still be added, as numbers: service, panel spaces, feeder, raceway."""

from __future__ import annotations

import pytest

from handover.checks.spare_capacity import spare_feeder, spare_raceway, spare_service, spare_spaces
from handover.units import magnitude
from tests.checks.test_load_methods import D1A, D2A, D3000, house, service
from tests.checks.test_service_load import LOAD, MEASURED, STUDIO
from tests.circuit_job import GROUND, HOT, one_circuit
from tests.jobs import result, results, swap, verdict


def left(rule, text: str, unit: str, edition: int = 2023, subject: str | None = None) -> float:
    found = result(rule, text, edition, subject)
    assert found.advice
    assert found.value is not None
    return magnitude(found.value, unit)


def test_room_of_the_service_by_the_method_that_decides():
    """Our own arithmetic: the rating times 240 V, less each method's load in its own test."""
    assert left(spare_service, LOAD, "volt_ampere") == 48000 - 30280
    assert left(spare_service, D1A, "volt_ampere") == 24000 - 18600
    assert left(spare_service, D2A, "volt_ampere") == 24000 - 21480
    measured = swap(MEASURED, "service_load:", "service_load:\n  method: measured demand")
    assert left(spare_service, measured, "volt_ampere") == pytest.approx(48000 - 115 * 240)
    found = result(spare_service, LOAD)
    steps = {step.formula: step.value for step in found.working}
    assert steps["in amperes"] == "73.83 A"
    assert next(value for formula, value in steps.items() if formula.startswith("other appliances")) == "44300 VA"


def test_a_charger_needs_7200_va_of_room_in_2023():
    """NEC 2023 220.57."""
    found = result(spare_service, D1A)
    assert any(step.value == "no room for one" for step in found.working)
    assert not any(step.value == "no room for one" for step in result(spare_service, D1A, 2020).working)


def test_room_of_the_service_fails_and_waits():
    assert left(spare_service, D3000, "volt_ampere") == 48000 - 48825
    assert verdict(spare_service, D3000) == "fail"
    assert verdict(spare_service, swap(LOAD, "power: 12 kW", "power: unknown")) == "undecided"
    assert verdict(spare_service) == "undecided"
    assert verdict(spare_service, LOAD, 2026) == "undecided"


PANEL = """
panels:
  - code: P1
    name: Main
    place: hall
    work: existing
    spaces: 8
    main_kind: main breaker
    slots:
      - {spaces: [1, 3], breaker: 30 A, feeds: C2}
      - {spaces: [2], breaker: 20 A, says: spare}
      - {spaces: [4, 6, 8], blank: yes}
      - {spaces: [5], blank: yes}
      - {spaces: [7], breaker: 20 A, says: hall}
"""


def test_free_spaces_and_where_two_poles_fit():
    """4, 5, 6 and 8 are free; 4 and 6 lie together, then 8 and 5 are single."""
    found = result(spare_spaces, PANEL)
    assert found.value is not None
    assert found.value.magnitude == 4
    assert found.reason == "4 of 8 spaces free, room for 1 breaker of two poles; 1 spare breaker."


def test_spaces_fail_and_wait():
    assert verdict(spare_spaces, swap(PANEL, "spaces: [5], blank: yes", "spaces: [5], breaker: 20 A")) == "pass"
    assert verdict(spare_spaces, swap(PANEL, "      - {spaces: [5], blank: yes}\n", "")) == "undecided"
    too_many = swap(PANEL, "spaces: 8", "spaces: 3")
    assert verdict(spare_spaces, too_many) == "fail"
    assert verdict(spare_spaces, PANEL, 2026) == "undecided"


def test_room_of_the_feeder():
    """Our own arithmetic: 60 A less 47.2 A on leg A (test_feeder_load_sums_the_heavier_leg)."""
    assert left(spare_feeder, STUDIO, "ampere") == pytest.approx(60 - 48), "48 A were calculated by the contractor"
    assert left(spare_feeder, swap(STUDIO, "load: 48 A", "load: 40 A"), "ampere") == pytest.approx(60 - 47.2)
    assert verdict(spare_feeder, swap(STUDIO, "14.2 A", "31 A")) == "fail"
    assert verdict(spare_feeder, swap(STUDIO, "14.2 A", "unknown")) == "undecided"
    assert results(spare_feeder, swap(STUDIO, "name: Feeder, work: new", "name: Feeder, work: existing")) == []


def test_room_of_the_raceway():
    """NEC Chapter 9 Tables 4 and 5: 3/4 in EMT 0.213 in²; two 8 AWG THWN-2 of 0.0366 and one 10 AWG of 0.0211 in²."""
    area = 0.213 - 2 * 0.0366 - 0.0211
    found = result(spare_raceway, one_circuit())
    assert left(spare_raceway, one_circuit(), "square_inch") == pytest.approx(area)
    assert "3 more wires of 8 AWG" in found.reason
    full = one_circuit(run="method: EMT, trade_size: 1/2 in, ambient: 30 °C", conductors=f"{HOT}, {HOT}, {GROUND}")
    assert verdict(spare_raceway, full) == "fail"
    assert verdict(spare_raceway, one_circuit(run="method: EMT, ambient: 30 °C")) == "undecided"
    assert results(spare_raceway, one_circuit(run="method: NM-B")) == []


def test_two_wires_more_are_judged_by_the_share_for_many():
    """NEC Chapter 9 Table 1: two wires may fill 31 %, three and more 40 %: room is that of 40 %."""
    two = one_circuit(conductors=HOT)
    assert left(spare_raceway, two, "square_inch") == pytest.approx(0.213 - 2 * 0.0366)


def test_wires_all_alike_that_fill_the_pipe_leave_no_number():
    """NEC Chapter 9 note 7 counts a rest of 0.8 or more as one wire more."""
    alike = "{role: hot, count: 6, size: 8 AWG, material: copper, insulation: THWN-2}"
    assert verdict(spare_raceway, one_circuit(conductors=alike)) == "not_applicable", "0.213 / 0.0366 is 5.82: six"


def test_what_is_said_of_the_room_in_words():
    """Our own numbers: 17 720 VA at 240 V are 73.83 A; 825 VA too much are 3.438 A."""
    assert result(spare_service, LOAD).reason == "17720 VA, 73.83 A, are left for what counts in full."
    assert result(spare_service, D3000).reason == "The load is 825 VA, 3.438 A, above the rating."
    assert not any("40 %" in step.formula for step in result(spare_service, D3000).working)
    assert result(spare_feeder, STUDIO).reason == "12 A of 60 A are left on the heavier leg."
    over = result(spare_feeder, swap(STUDIO, "14.2 A", "31 A"))
    assert over.reason == "-4 A is less than 0 A."
    full = swap(STUDIO, "load: 48 A", "load: 60 A")
    assert result(spare_feeder, full).reason == "0 A of 60 A are left on the heavier leg."
    wires = f"{HOT}, {HOT}, {GROUND}"
    tight = result(spare_raceway, one_circuit(run="method: EMT, trade_size: 1/2 in, ambient: 30 °C", conductors=wires))
    assert tight.reason.endswith("is less than 0 in².")
    assert tight.working[-1].value == "0"


BOTH_SIDES = "odd left, even right"


@pytest.mark.parametrize(
    ("free", "numbering", "pairs"),
    [
        ([2, 4], BOTH_SIDES, 1), ([1, 2], BOTH_SIDES, 0), ([1, 3, 5, 7], BOTH_SIDES, 2), ([3, 5, 7], BOTH_SIDES, 1),
        ([1, 2, 3, 4, 5, 6, 7, 8], BOTH_SIDES, 4),
        ([1, 2], "down one side", 1), ([2, 4], "down one side", 0), ([6, 7, 8], "down one side", 1),
    ],
)  # fmt: skip
def test_pairs_counted_by_hand(free, numbering, pairs):
    """Two poles stand on neighbouring rows of one side: 2 and 4; where spaces go down one side, 1 and 2."""
    slots = ", ".join(f"{{spaces: [{n}], {'blank: yes' if n in free else 'breaker: 20 A'}}}" for n in range(1, 9))
    panel = f'{{code: P1, name: M, place: h, work: new, spaces: 8, main_kind: main lugs, numbering: "{numbering}"'
    found = result(spare_spaces, f"panels: [{panel}, slots: [{slots}]}}]")
    assert [step.value for step in found.working] == [str(len(free)), str(pairs), "0"]


def test_the_largest_of_several_wires_is_the_one_counted_and_unknown_ones_end_it():
    small = "{role: neutral, size: 14 AWG, material: copper, insulation: THWN-2}"
    for wires in (f"{HOT}, {small}", f"{small}, {HOT}"):
        assert "more wires of 8 AWG" in result(spare_raceway, one_circuit(conductors=wires)).reason
    bare = one_circuit(conductors=f"{HOT}, {{role: neutral, size: 14 AWG, material: copper}}")
    assert verdict(spare_raceway, bare) == "undecided"


@pytest.mark.parametrize(("watts", "left_over", "room"), [(4261, 7199, False), (4260, 7200, True), (4259, 7201, True)])
def test_the_last_room_for_a_charger_exactly(watts, left_over, room):
    """NEC 2023 220.57: at least 7200 VA a charger.  69 A × 240 V less 5100 VA of lighting and the appliance."""
    text = house(f"other, {watts} W", facts="floor_area: 1500 sq ft, laundry_circuits: 1") + service("69 A")
    steps = result(spare_service, text).working
    told = next(step.value for step in steps if step.formula == "In × V - S")
    assert (told, not any("no room" in step.value for step in steps)) == (f"{left_over} VA", room)


def test_nothing_recorded_for_the_last_space_is_undecided():
    assert verdict(spare_spaces, swap(PANEL, "spaces: 8", "spaces: 9")) == "undecided"


def test_a_full_panel_and_a_full_feeder_in_words():
    """None left is no fault: 0 is at least 0."""
    full = PANEL
    for blank in ("[4, 6, 8], blank: yes", "[5], blank: yes"):
        full = swap(full, blank, blank.replace("blank: yes", "breaker: 20 A"))
    found = result(spare_spaces, full)
    told = "0 of 8 spaces free, room for 0 breakers of two poles; 1 spare breaker."
    assert (found.verdict, found.reason) == ("pass", told)
