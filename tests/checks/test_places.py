"""Rules about where things stand."""

from __future__ import annotations

import pytest

from handover.checks.places import (
    emergency_disconnect,
    gfci_receptacles,
    handle_height,
    headroom,
    receptacle_rating,
    service_surge_protection,
    tamper_resistant,
    working_depth,
    working_width,
)
from tests.jobs import result, results, swap, verdict

SHED = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1], breaker: {rating: 20 A, gfci: no}, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Shed, work: new, volts: 120 V, outlets: [
      {what: Duplex, place: bench, area: accessory building, kind: receptacle, rating: 15 A, gfci: none,
       tamper_resistant: yes, single: no, near_sink: no}]}
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
    """NEC 210.8(A)(6): countertops in 2020, every receptacle in 2023."""
    kitchen = swap(SHED, "accessory building", "kitchen")
    assert verdict(gfci_receptacles, kitchen, 2023) == "fail"
    assert verdict(gfci_receptacles, kitchen, 2020) == "undecided"


def test_near_a_sink_anywhere():
    """NEC 210.8(A): within 6 ft of a sink."""
    living = swap(SHED, "accessory building", "living area")
    assert verdict(gfci_receptacles, living) == "pass"
    assert verdict(gfci_receptacles, swap(living, "near_sink: no", "near_sink: yes")) == "fail"
    assert verdict(gfci_receptacles, swap(living, "near_sink: no", "near_sink: unknown")) == "undecided"


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


PANEL = """
panels:
  - {code: P1, name: Main, place: hall, work: new, spaces: 4, main_kind: main breaker, main: 200 A,
     working_depth: 36 in, working_width: 30 in, width: 16 in, headroom: 78 in, handle_height: 79 in}
"""


@pytest.mark.parametrize(
    ("rule", "exact", "short"),
    [
        (working_depth, "depth: 36 in", "depth: 35-1/2 in"),
        (working_width, "working_width: 30 in", "working_width: 29 in"),
        (headroom, "headroom: 78 in", "headroom: 77 in"),
        (handle_height, "height: 79 in", "height: 80 in"),
    ],
)
def test_room_at_the_panel(rule, exact, short):
    """ELECTRICAL CONTRACTOR, 110.26(A), part XIX: a 16 in panel needs 30 in; 3 ft; 6.5 ft.  240.24(A): 79 in."""
    assert verdict(rule, PANEL) == "pass"
    assert verdict(rule, swap(PANEL, exact, short)) == "fail"
    assert verdict(rule, swap(PANEL, exact, exact.split(":")[0] + ": not checked")) == "undecided"
    assert results(rule, swap(PANEL, "work: new", "work: existing")) == []


def test_a_wide_panel_needs_its_own_width():
    """NEC 110.26(A)(2)."""
    assert verdict(working_width, swap(PANEL, "width: 16 in", "width: 32 in")) == "fail"


SERVICE = """
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out,
  replaced_on_this_job: yes, disconnect_outdoors: yes, disconnect_marked: "EMERGENCY DISCONNECT, SERVICE DISCONNECT",
  surge_protection: Type 2 in the panel}
"""


def test_only_a_replaced_service_is_judged():
    for rule in (emergency_disconnect, service_surge_protection):
        assert verdict(rule, SERVICE) == "pass"
        assert verdict(rule, swap(SERVICE, "job: yes", "job: no")) == "not_applicable"
        assert verdict(rule, swap(SERVICE, "job: yes", "job: unknown")) == "undecided"
        assert verdict(rule) == "undecided"


def test_emergency_disconnect_and_surge_protection():
    """NEC 230.85 (outdoors and marked), 230.67 (Type 1 or 2)."""
    assert verdict(emergency_disconnect, swap(SERVICE, "outdoors: yes", "outdoors: no")) == "fail"
    assert verdict(emergency_disconnect, swap(SERVICE, "EMERGENCY DISCONNECT, ", "")) == "fail"
    assert verdict(emergency_disconnect, swap(SERVICE, "disconnect_outdoors: yes, ", "")) == "undecided"
    assert verdict(service_surge_protection, swap(SERVICE, "Type 2 in the panel", "none")) == "fail"
    vague = result(service_surge_protection, swap(SERVICE, "Type 2 in the panel", "some box"))
    assert vague.verdict == "undecided"
    assert "some box" not in str(vague), "results quote no free text"


OTHER = """      {what: First, place: bench, area: accessory building, kind: receptacle, rating: 15 A,
       gfci: in this receptacle, tamper_resistant: yes, single: no, near_sink: no}]}
"""


def test_protection_in_another_receptacle_needs_that_receptacle():
    """NEC 210.8(A): the one ahead has to be there, on the same circuit."""
    alone = swap(SHED, "gfci: none", "gfci: in another receptacle")
    found = result(gfci_receptacles, alone)
    assert found.verdict == "undecided"
    assert "another receptacle" in found.reason
    both = swap(alone, "near_sink: no}]}\n", "near_sink: no},\n" + OTHER)
    assert verdict(gfci_receptacles, both) == "pass"
    assert verdict(gfci_receptacles, swap(alone, "gfci: no}", "gfci: yes}")) == "pass", "the breaker protects it"
