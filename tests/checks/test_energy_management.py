"""Energy management: what it must show before its set point counts, and where it then counts."""

from __future__ import annotations

import pytest

from handover.checks.energy_management import energy_management
from handover.checks.feeder_load import feeder_load
from handover.checks.service_load import service_load
from handover.checks.service_standard import service_load_standard
from handover.checks.spare_capacity import spare_feeder, spare_service
from handover.units import magnitude
from tests.checks.test_service_load import STUDIO
from tests.jobs import result, results, swap, verdict

EVIDENCE = {
    "set_point": "24 A", "measures": "current of both legs at the service", "on_failure": "stops charging",
    "setting_access": "behind a sealed cover", "label": "24 A", "listed": "yes",
}  # fmt: skip


def load(limits: str = "car chargers", *, without: str = "", method: str = "standard", **over: str) -> str:
    facts = {**EVIDENCE, **over}
    told = "".join(f", {key}: {value}" for key, value in facts.items() if key != without)
    return f"""
service_load:
  method: {method}
  floor_area: 1500 sq ft
  small_appliance_circuits: 2
  laundry_circuits: 1
  energy_management: {{limits: {limits}{told}}}
  appliances:
    - {{name: Charger, kind: car charger, power: 9.6 kW, units: 2, work: existing}}
"""


def counted(text: str, rule=service_load_standard, edition: int = 2023) -> str:
    steps = result(rule, text, edition).working
    return next(each.value for each in steps if each.formula.startswith("S = "))


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_chargers_held_together_count_the_set_point(edition):
    """NEC 625.42(A), our own numbers: 24 A at 240 V is 5760 VA in place of two nameplates of 9600 VA."""
    assert verdict(energy_management, load(), edition) == "pass"
    assert counted(load(), edition=edition) == "10860 VA"


@pytest.mark.parametrize("missing", EVIDENCE)
def test_without_any_part_of_the_evidence_the_nameplates_count(missing):
    text = load(without=missing)
    assert verdict(energy_management, text) == "undecided"
    assert counted(text) == "24300 VA"


def test_what_is_not_listed_counts_for_nothing():
    text = load(listed="no")
    assert verdict(energy_management, text) == "fail"
    assert counted(text) == "24300 VA"


def test_a_load_too_large_only_without_the_evidence_waits_for_it():
    """24 300 VA are 101 A; 10 860 VA are 45 A."""
    small = "service: {utility: U, volts: 120/240 V single-phase, rating: 100 A, at: P1, disconnect_place: out}\n"
    assert verdict(service_load_standard, load() + small) == "pass"
    found = result(service_load_standard, load(without="label") + small)
    assert str(found.verdict) == "undecided"
    assert "evidence is not complete" in found.reason
    assert verdict(service_load_standard, load(listed="no") + small) == "fail"


def test_management_of_chargers_without_chargers_does_not_apply():
    text = load()
    assert verdict(energy_management, swap(text, "kind: car charger", "kind: other")) == "not_applicable"
    assert results(energy_management, swap(text, "energy_management", "note: none #")) == []
    assert results(energy_management) == []


BIG = "service: {utility: U, volts: 120/240 V single-phase, rating: 60 A, at: P1, disconnect_place: out}\n"


def test_a_service_under_management_counts_125_percent_of_the_set_point():
    """NEC 220.70 (continuing-education page): the set point counts as continuous; 48 A is 60 A."""
    held = load("service", set_point="48 A", method="existing dwelling") + BIG
    assert magnitude(result(energy_management, held).value, "ampere") == 60
    assert verdict(energy_management, held) == "pass"
    assert verdict(energy_management, swap(held, "48 A", "49 A")) == "fail"
    found = result(service_load, held)
    assert str(found.verdict) == "pass"
    assert "Energy management" in found.reason
    assert verdict(service_load, swap(held, "48 A", "49 A")) == "fail"
    assert verdict(service_load, swap(held, "listed: yes", "listed: no")) == "fail"
    assert verdict(
        service_load, load("service", set_point="48 A", method="existing dwelling", without="label") + BIG
    ) == ("undecided")
    assert verdict(spare_service, held) == "not_applicable"


@pytest.mark.parametrize("edition", [2017, 2020])
def test_before_2023_no_set_point_counts_for_a_whole_service(edition):
    """220.70 is of 2023."""
    assert verdict(energy_management, load("service"), edition) == "undecided"


def test_2026_is_not_decided():
    """120.7 and Article 130 were not read."""
    assert verdict(energy_management, load(), 2026) == "undecided"


def test_a_feeder_under_management():
    """NEC 220.70 with 215.3; our own numbers: 125 % of 48 A on the 60 A breaker, where 62.4 A would hang on it."""
    text = swap(STUDIO, "14.2 A", "31 A")
    assert verdict(feeder_load, text) == "fail"
    told = "".join(f", {key}: {value}" for key, value in {**EVIDENCE, "set_point": "48 A"}.items())
    held = text + f"service_load: {{energy_management: {{limits: feeder, feeder: F1{told}}}}}\n"
    assert verdict(feeder_load, held) == "pass"
    assert verdict(energy_management, held) == "pass"
    assert result(energy_management, held).subject == "F1"
    assert verdict(feeder_load, swap(held, "set_point: 48 A", "set_point: 49 A")) == "fail"
    assert verdict(feeder_load, swap(held, ", label: 24 A", "")) == "undecided"
    assert verdict(spare_feeder, held) == "not_applicable"
    nameless = swap(held, "feeder: F1, ", "")
    assert verdict(feeder_load, nameless) == "fail"
    assert verdict(energy_management, nameless) == "undecided"


def test_what_it_limits_by_edition():
    """NEC 625.42 for chargers in every edition; 220.70 for a service or a feeder from 2023 on."""
    for limits in ("car chargers", "service", "feeder"):
        for edition in (2017, 2020, 2023):
            expected = "undecided" if limits == "feeder" or (limits == "service" and edition < 2023) else "pass"
            assert verdict(energy_management, load(limits), edition) == expected, (limits, edition)
        assert verdict(energy_management, load(limits), 2026) == "undecided"


@pytest.mark.parametrize(("set_point", "expected"), [("160 A", "pass"), ("161 A", "fail")])
def test_the_set_point_of_the_whole_service(set_point, expected):
    """NEC 2023 220.70: 1.25 × 160 A is 200 A, the service's rating."""
    assert verdict(energy_management, load("service", set_point=set_point)) == expected


def test_the_result_is_about_what_is_limited():
    """A feeder by its code, the service and the chargers by the service's panel."""
    for limits, subject in (("feeder", "F1"), ("service", "P1"), ("car chargers", "P1")):
        text = swap(load(limits), "energy_management: {", "energy_management: {feeder: F1, ")
        assert result(energy_management, text).subject == subject
    assert result(energy_management, load("feeder")).subject == "P1"
