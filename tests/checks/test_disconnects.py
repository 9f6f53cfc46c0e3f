"""Rules about the switches of appliances and motors."""

from __future__ import annotations

import pytest

from handover.checks.disconnects import appliance_disconnect, motor_disconnect
from tests.jobs import results, swap, verdict

HEATER = """
equipment:
  - {code: E1, name: Heater, kind: water heater, circuit: C1, place: basement, work: new, connection: hardwired,
     disconnect: {kind: breaker, place: hall, within_sight: no, lockable: yes}}
"""
SWITCH = swap(HEATER, "within_sight: no, lockable: yes", "within_sight: yes, distance: 50 ft, lockable: no")


def said(rule, answer="yes"):
    return f"confirmed: [{{rule: {rule.id}, subject: E1, answer: {answer}, how: Looked.}}]\n"


def test_in_sight_or_lockable():
    """NEC 422.31, a textbook site: in sight or lockable; Article 100: in sight is to 50 ft."""
    assert verdict(appliance_disconnect, HEATER) == "pass"
    assert verdict(appliance_disconnect, SWITCH) == "pass"
    assert verdict(appliance_disconnect, swap(SWITCH, "50 ft", "51 ft")) == "fail"
    neither = swap(HEATER, "lockable: yes", "lockable: no")
    assert verdict(appliance_disconnect, neither) == "fail"
    assert verdict(appliance_disconnect, neither + said(appliance_disconnect)) == "pass", "a switch of its own"
    assert verdict(appliance_disconnect, swap(HEATER, ", lockable: yes", "")) == "undecided"
    assert verdict(appliance_disconnect, swap(SWITCH, "distance: 50 ft, ", "")) == "undecided"
    assert verdict(appliance_disconnect, swap(HEATER, "connection: hardwired", "connection: unknown")) == "undecided"
    assert verdict(appliance_disconnect, HEATER, 2026) == "undecided"


def test_a_plug_or_none():
    """NEC 422.33, from memory."""
    plug = swap(HEATER, "kind: breaker", "kind: cord and plug, readily_accessible: yes")
    plug = swap(plug, "connection: hardwired", "connection: cord and plug")
    assert verdict(appliance_disconnect, plug) == "pass"
    assert verdict(appliance_disconnect, swap(plug, "accessible: yes", "accessible: no")) == "undecided"
    assert verdict(appliance_disconnect, swap(HEATER, "hardwired", "cord and plug")) == "undecided"
    none = HEATER.split(",\n     disconnect", maxsplit=1)[0] + "}\n"
    assert verdict(appliance_disconnect, none) == "undecided"


@pytest.mark.parametrize(
    ("kind", "asked"), [("kiln", 1), ("dryer", 1), ("car charger", 0), ("heat pump", 0), ("motor", 0)]
)
def test_which_are_appliances(kind, asked):
    assert len(results(appliance_disconnect, swap(HEATER, "water heater", kind))) == asked
    assert results(appliance_disconnect, swap(HEATER, "work: new", "work: existing")) == []


def test_motors():
    """NEC 430.102(B), from memory: in sight; the exception where it is confirmed."""
    motor = swap(SWITCH, "water heater", "motor")
    assert verdict(motor_disconnect, motor) == "pass"
    away = swap(motor, "within_sight: yes", "within_sight: no")
    assert verdict(motor_disconnect, away) == "fail"
    assert verdict(motor_disconnect, away + said(motor_disconnect)) == "pass"
    assert verdict(motor_disconnect, swap(motor, "within_sight: yes, ", "")) == "undecided"
    assert results(motor_disconnect, HEATER) == []
