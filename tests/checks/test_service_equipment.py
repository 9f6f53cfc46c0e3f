"""Rules about the supply's end: emergency disconnect and surge protection."""

from __future__ import annotations

from handover.checks.service_equipment import emergency_disconnect, feeder_surge_protection, service_surge_protection
from tests.jobs import result, results, swap, verdict

SERVICE = """
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out,
  replaced_on_this_job: yes, disconnect_outdoors: yes, disconnect_readily_accessible: yes,
  disconnect_near_house: yes, disconnect_marking_red: yes, surge_discharge_current: 10 kA,
  disconnect_marked: "EMERGENCY DISCONNECT, SERVICE DISCONNECT",
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
    assert verdict(emergency_disconnect, swap(SERVICE, "accessible: yes", "accessible: no")) == "fail"
    for fact in ("disconnect_near_house: yes", "disconnect_marking_red: yes"):
        assert verdict(emergency_disconnect, swap(SERVICE, fact, fact.replace("yes", "no"))) == "fail"
        assert verdict(emergency_disconnect, swap(SERVICE, fact, fact.replace("yes", "no")), 2020) == "pass"
        assert verdict(emergency_disconnect, swap(SERVICE, fact, fact.replace("yes", "unknown"))) == "undecided"
    assert verdict(emergency_disconnect, swap(SERVICE, "outdoors: yes", "outdoors: no")) == "fail"
    assert verdict(emergency_disconnect, swap(SERVICE, "EMERGENCY DISCONNECT, ", "")) == "fail"
    assert verdict(emergency_disconnect, swap(SERVICE, "disconnect_outdoors: yes, ", "")) == "undecided"
    assert verdict(service_surge_protection, swap(SERVICE, "Type 2 in the panel", "none")) == "fail"
    vague = result(service_surge_protection, swap(SERVICE, "Type 2 in the panel", "some box"))
    assert vague.verdict == "undecided"
    assert "some box" not in str(vague), "results quote no free text"


def test_by_edition():
    """230.85 and 230.67 came in 2020; 2026 moved the first to 230.70(A)(1), as a continuing-education page tells."""
    verdicts = [verdict(emergency_disconnect, SERVICE, edition) for edition in (2017, 2020, 2023, 2026)]
    assert verdicts == ["not_applicable", "pass", "pass", "pass"]
    inside = swap(SERVICE, "outdoors: yes", "outdoors: no")
    assert [verdict(emergency_disconnect, inside, edition) for edition in (2020, 2023, 2026)] == ["fail"] * 3
    plain = swap(SERVICE, "EMERGENCY DISCONNECT, ", "")
    assert verdict(emergency_disconnect, plain, 2026) == "undecided", "its marking was not read"
    surge = [verdict(service_surge_protection, SERVICE, edition) for edition in (2017, 2020, 2023, 2026)]
    assert surge == ["not_applicable", "pass", "pass", "undecided"]


def test_a_surge_device_of_2023_discharges_10_ka():
    """NEC 230.67 of 2023, a maker's page."""
    weak = swap(SERVICE, "discharge_current: 10 kA", "discharge_current: 5 kA")
    assert [verdict(service_surge_protection, weak, edition) for edition in (2020, 2023)] == ["pass", "fail"]
    assert verdict(service_surge_protection, swap(SERVICE, "surge_discharge_current: 10 kA,\n", "")) == "undecided"
    assert verdict(service_surge_protection, swap(SERVICE, "Type 2 in the panel", "none seen")) == "undecided"


SEPARATE = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: 60 A, feeds: F1}]}
  - {code: P2, name: Cottage, place: cottage, work: new, spaces: 4, main_kind: main breaker, separate_building: yes,
     dwelling: yes, surge_protection: Type 2, surge_discharge_current: 20 kA}
feeders: [{code: F1, name: Feeder, work: new, to: P2, volts: 240 V}]
"""


def test_a_dwelling_on_a_feeder():
    """NEC 225.41, 225.42 and 215.18 of 2023, maker's pages and continuing education."""
    assert verdict(feeder_surge_protection, SEPARATE) == "pass"
    assert verdict(feeder_surge_protection, SEPARATE, 2020) == "not_applicable"
    assert verdict(feeder_surge_protection, swap(SEPARATE, "20 kA", "5 kA")) == "fail"
    none = swap(SEPARATE, "Type 2", "none")
    assert verdict(feeder_surge_protection, none) == "fail"
    assert (
        verdict(feeder_surge_protection, swap(none, "separate_building: yes", "separate_building: no")) == "undecided"
    )
    assert verdict(feeder_surge_protection, swap(SEPARATE, "dwelling: yes", "dwelling: no")) == "not_applicable"
    assert verdict(feeder_surge_protection, swap(SEPARATE, "dwelling: yes, ", "")) == "undecided"
    assert results(feeder_surge_protection, swap(SEPARATE, "work: new, to", "work: existing, to")) == []

    assert verdict(emergency_disconnect, SEPARATE, subject="P2") == "undecided"
    said = "confirmed: [{rule: emergency_disconnect, subject: P2, answer: yes, how: Seen.}]\n"
    assert verdict(emergency_disconnect, SEPARATE + said, subject="P2") == "pass"
    assert verdict(emergency_disconnect, SEPARATE + swap(said, "yes", "no"), subject="P2") == "fail"
    assert verdict(emergency_disconnect, SEPARATE, 2020, subject="P2") == "not_applicable"
    workshop = swap(SEPARATE, "dwelling: yes", "dwelling: no")
    assert verdict(emergency_disconnect, workshop, subject="P2") == "not_applicable"


def test_what_2023_asks_is_left_open_in_2026():
    """In sight of the house and red by 2023; what 2026 asks of these was not read."""
    for fact in ("disconnect_near_house: yes", "disconnect_marking_red: yes"):
        missing = swap(SERVICE, fact, fact.replace("yes", "no"))
        assert [verdict(emergency_disconnect, missing, each) for each in (2020, 2023, 2026)] == [
            "pass", "fail", "undecided",
        ]  # fmt: skip
