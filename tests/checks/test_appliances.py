"""Branch circuits of water heaters and electric heating."""

from __future__ import annotations

import pytest

from handover.checks.appliances import space_heating_circuit, water_heater
from handover.checks.conductors import conductor_before_correction
from handover.checks.overcurrent import continuous_load
from handover.units import magnitude
from tests.circuit_job import one_appliance, wires
from tests.jobs import result, results, swap, verdict


def heater(
    plate: str = "power: 4500 W, maximum_marked: no, heater_kind: storage to 120 gal",
    breaker: str = "30 A",
    **more: str,
) -> str:
    return one_appliance("water heater", plate, breaker=breaker, **{"conductors": wires("hot", "10 AWG", 2)} | more)


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_worked_example_wh_4500(edition):
    """EC&M Code Q&A, 422.13, 422.10(A), 422.11(E)(3): 18.75 A, at least 23.44 A, at most 30 A (28.1 A, up)."""
    found = result(water_heater, heater(), edition)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 30)
    steps = [step.value for step in found.working]
    assert steps[0] == "18.75 A"
    for breaker, expected in (("20 A", "fail"), ("25 A", "pass"), ("30 A", "pass"), ("35 A", "fail")):
        assert verdict(water_heater, heater(breaker=breaker), edition) == expected
    small = result(water_heater, heater(breaker="20 A"), edition)
    assert magnitude(small.limit, "ampere") == pytest.approx(23.44, abs=0.005)
    assert verdict(conductor_before_correction, heater(), edition) == "pass"


def test_a_heater_that_is_no_storage_takes_its_nameplate():
    """NEC 422.10(A): the marked rating; 422.13 is for storage to 120 gal.  Our own numbers: 9.6 kW is 40 A."""
    text = heater(
        "power: 9.6 kW, maximum_marked: no, heater_kind: instantaneous, continuous: no",
        "40 A",
        conductors=wires("hot", "8 AWG", 2),
        facts="continuous: no",
    )
    assert verdict(water_heater, text) == "pass"
    assert verdict(continuous_load, text) == "pass"  # 40 A, without the quarter
    assert verdict(conductor_before_correction, text) == "pass"
    assert verdict(water_heater, swap(text, "instantaneous", "storage to 120 gal")) == "fail"
    assert (
        verdict(water_heater, swap(text, "instantaneous, continuous: no", "instantaneous, continuous: yes")) == "fail"
    )
    assert verdict(water_heater, swap(text, "heater_kind: instantaneous, ", "")) == "undecided"
    assert verdict(water_heater, swap(text, "instantaneous, continuous: no", "instantaneous")) == "undecided"
    assert verdict(water_heater, swap(text, "breaker: 40 A", "breaker: 35 A")) == "fail"


def test_the_plate_and_the_small_heater_have_their_own_maximum():
    """NEC 422.11(E)(1) and (2): the marked maximum; 20 A where none is marked and the current is 13.3 A or less."""
    assert verdict(water_heater, heater("power: 4500 W, maximum_overcurrent: 25 A")) == "fail"
    assert verdict(water_heater, heater("power: 3000 W, maximum_marked: no", "20 A")) == "pass"  # 12.5 A
    assert verdict(water_heater, heater("power: 3000 W, maximum_marked: no", "25 A")) == "fail"
    assert (
        verdict(water_heater, heater("power: 3200 W, maximum_marked: no", "20 A")) == "pass"
    )  # 13.33 A: 150 % is 20 A
    assert verdict(water_heater, heater("current: 13.4 A, maximum_marked: no", "25 A")) == "pass"  # 20.1 A, up


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("power: 4500 W", "power: unknown"),
        ("maximum_marked: no, ", ""),
        ("maximum_marked: no", "maximum_marked: yes"),
        ("breaker: 30 A", "breaker: unknown"),
        ("circuit: C1", "circuit: C7"),
    ],
)
def test_what_a_water_heater_lacks_is_asked_for(old, new):
    assert verdict(water_heater, swap(heater(), old, new)) == "undecided"


def test_shared_circuits_and_old_heaters():
    more = "{code: E2, name: Two, kind: other, circuit: C1, place: hall, work: new, current: 1 A}]"
    assert verdict(water_heater, swap(heater(), "120 gal}]", "120 gal}, " + more)) == "undecided"
    assert (
        results(water_heater, swap(heater(), "place: hall, work: new, power", "place: hall, work: existing, power"))
        == []
    )


def heating(current: str = "43 A", breaker: str = "60 A", size: str = "6 AWG") -> str:
    return one_appliance(
        "space heater",
        f"current: {current}",
        breaker=breaker,
        conductors=wires("hot", size, 2),
        terminals="terminals: 60 °C, ",
    )


@pytest.mark.parametrize(
    ("edition", "section"), [(2017, "424.3(A), from memory, and 424.3(B)"), (2020, "424.4(A) and (B), from memory")]
)
def test_electric_heating_at_125_percent(edition, section):
    """EC&M questions of 2019, 424.3(B): 9.6 kW and a 3 A fan at 240 V: 43 A, so 53.75 A: 6 AWG at 60 °C, 60 A."""
    found = result(space_heating_circuit, heating(), edition)
    assert (found.verdict, found.citation.section) == ("pass", section)
    assert magnitude(found.limit, "ampere") == pytest.approx(53.75)
    assert verdict(space_heating_circuit, heating(breaker="50 A"), edition) == "fail"
    thin = result(space_heating_circuit, heating(size="8 AWG"), edition)
    assert (thin.verdict, magnitude(thin.value, "ampere")) == ("fail", 40)


def test_two_heaters_share_no_more_than_30_amperes():
    """NEC 424.3(A), later 424.4(A), from memory: two or more outlets on 30 A at most in a dwelling."""
    two = "{code: E2, name: Two, kind: space heater, circuit: C1, place: hall, work: existing, current: 8 A}]"
    text = swap(heating("8 A", "30 A", "10 AWG"), "current: 8 A}]", f"current: 8 A}}, {two}")
    assert verdict(space_heating_circuit, text) == "pass"
    assert verdict(space_heating_circuit, swap(text, "breaker: 30 A", "breaker: 40 A")) == "fail"
    mixed = swap(text, "name: Two, kind: space heater", "name: Two, kind: other")
    assert verdict(space_heating_circuit, mixed) == "undecided"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("current: 43 A", "current: unknown"),
        ("breaker: 60 A", "breaker: unknown"),
        ("ambient: 30 °C", "ambient: unknown"),
        ("terminals: 60 °C, ", ""),
    ],
)
def test_what_electric_heating_lacks_is_asked_for(old, new):
    size = "8 AWG" if "terminals" in old else "6 AWG"
    assert verdict(space_heating_circuit, swap(heating(size=size), old, new)) == "undecided"
    assert results(space_heating_circuit, heater()) == []


def test_the_shared_heaters_device_exactly():
    """NEC 424.3(A), later 424.4(A), from memory: 30 A at most."""
    two = "{code: E2, name: Two, kind: space heater, circuit: C1, place: hall, work: existing, current: 8 A}]"
    text = swap(heating("8 A", "30 A", "10 AWG"), "current: 8 A}]", f"current: 8 A}}, {two}")
    found = result(space_heating_circuit, text)
    assert (found.verdict, found.limit.magnitude, found.at_least) == ("pass", 30, False)
    assert verdict(space_heating_circuit, swap(text, "breaker: 30 A", "breaker: 31 A")) == "fail"


def test_what_runs_for_hours_is_told_thing_by_thing_and_a_contradiction_takes_the_safe_side():
    """NEC 422.13 is about storage; an instantaneous heater that runs less than three hours counts as it flows."""
    plate = "power: 9.6 kW, maximum_marked: no, heater_kind: instantaneous, continuous: no"
    one = heater(plate, "50 A", conductors=wires("hot", "8 AWG", 2), facts="continuous: no")
    assert magnitude(result(conductor_before_correction, one).limit, "ampere") == 40
    against = swap(one, "continuous: no, terminals", "continuous: yes, terminals")
    assert magnitude(result(conductor_before_correction, against).limit, "ampere") == 50
    two = swap(
        one,
        "continuous: no}]",
        "continuous: no}, {code: E2, name: B, kind: other, circuit: C1, place: b, work: new, current: 2 A}]",
    )
    assert verdict(water_heater, two) == "undecided"
    assert magnitude(result(conductor_before_correction, two).limit, "ampere") == 42
    for kind in ("other", "range"):
        other = swap(one, "kind: water heater", f"kind: {kind}, cooking_kind: oven")
        assert verdict(continuous_load, other) == ("not_applicable" if kind == "range" else "pass")
