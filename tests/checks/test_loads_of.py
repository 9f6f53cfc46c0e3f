"""What a circuit carries, item by item: continuous by the text, or by the record of the item or of the circuit."""

from __future__ import annotations

import pytest

from handover.checks.conductors import conductor_before_correction
from handover.checks.feeder_load import feeder_load
from handover.checks.overcurrent import continuous_load
from handover.units import magnitude
from tests.circuit_job import one_circuit, one_feeder
from tests.jobs import result, swap, verdict


def on_one_circuit(*items: str, facts: str = "note: none", breaker: str = "20 A") -> str:
    """C1 with E1, E2 and so on, each given as its kind and facts."""
    entries = ", ".join(
        f"{{code: E{number}, name: Thing {number}, circuit: C1, place: hall, work: new, {item}}}"
        for number, item in enumerate(items, 1)
    )
    return one_circuit(breaker=breaker, facts=facts, more=f"equipment: [{entries}]")


def needed(text: str, edition: int = 2023) -> float:
    return magnitude(result(continuous_load, text, edition).limit, "ampere")


def test_worked_example_continuous_and_other_load_on_one_circuit():
    """NEC 210.20(A): 10 A noncontinuous and 7.5 A continuous are 10 + 1.25 × 7.5 = 19.375 A, so 20 A will do."""
    text = on_one_circuit(
        "kind: other, current: 10 A, continuous: no", "kind: lighting, current: 7.5 A, continuous: yes"
    )
    found = result(continuous_load, text)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", pytest.approx(19.375))
    assert ("I continuous; I other", "7.5 A; 10 A") in [(step.formula, step.value) for step in found.working]
    assert verdict(continuous_load, swap(text, "7.5 A", "8.1 A")) == "fail"
    assert verdict(continuous_load, swap(text, "10 A, continuous: no", "10 A, continuous: yes")) == "fail"
    assert verdict(continuous_load, swap(text, "10 A, continuous: no", "10 A")) == "undecided"
    small = swap(text, "size: 8 AWG", "size: 14 AWG")
    assert magnitude(result(conductor_before_correction, small).limit, "ampere") == pytest.approx(19.375)


@pytest.mark.parametrize(
    ("facts", "amperes", "outcome"),
    [
        ("continuous: yes", 21.5, "fail"),
        ("continuous: no", 19.5, "pass"),
        ("note: none", None, "undecided"),
    ],
)
def test_what_a_circuit_carries_besides_its_equipment(facts, amperes, outcome):
    """Our own numbers: 18 A in all, 10 A of E1 for a short time, 6 A of E2 for hours, so 2 A or 8 A more."""
    text = on_one_circuit(
        "kind: other, current: 4 A, continuous: no",
        "kind: lighting, current: 6 A, continuous: yes",
        facts=f"load: 18 A, {facts}",
    )
    assert verdict(continuous_load, text) == outcome
    if amperes:
        assert needed(text) == pytest.approx(amperes)


def test_the_rest_of_a_circuit_whose_equipment_all_runs_for_hours_does_too():
    text = on_one_circuit("kind: lighting, current: 6 A, continuous: yes", facts="load: 10 A")
    assert needed(text) == pytest.approx(12.5)
    short = swap(text, "continuous: yes", "continuous: no")
    assert verdict(continuous_load, short) == "undecided"
    assert needed(swap(short, "load: 10 A", "load: 10 A, continuous: no")) == pytest.approx(10)


def test_a_circuit_said_to_run_for_hours_is_reckoned_so_though_its_equipment_says_no():
    text = on_one_circuit("kind: kiln, current: 12 A, continuous: no", facts="continuous: yes")
    assert needed(text) == pytest.approx(15)


def test_equipment_without_a_current_of_its_own():
    """Its part is what the circuit's load leaves; where that leaves nothing, one of the two is wrong."""
    text = on_one_circuit(
        "kind: kiln, current: 10 A, continuous: no", "kind: other, continuous: yes", facts="load: 14 A, continuous: no"
    )
    assert needed(text) == pytest.approx(15)
    assert verdict(continuous_load, swap(text, "load: 14 A", "load: 9 A")) == "undecided"
    assert verdict(continuous_load, swap(text, "load: 14 A, ", "")) == "undecided"
    alone = on_one_circuit("kind: kiln, continuous: no", facts="load: 16 A")
    assert needed(alone) == pytest.approx(16)
    assert needed(swap(alone, "continuous: no", "continuous: yes")) == pytest.approx(20)
    assert verdict(continuous_load, swap(alone, ", continuous: no", "")) == "undecided"


@pytest.mark.parametrize(
    ("kind", "edition", "told"),
    [
        ("car charger", 2023, "NEC 625.42"),
        ("space heater", 2017, "NEC 424.3(B)"),
        ("space heater", 2020, "NEC 424.4(B)"),
        ("water heater", 2023, "NEC 422.13, its kind not recorded: taken for storage to 120 gal, the safe side"),
        ("water heater, heater_kind: storage to 120 gal", 2023, "NEC 422.13"),
        ("motor", 2023, "NEC 430.22 and 430.24"),
    ],
)
def test_what_is_continuous_by_the_text_itself(kind, edition, told):
    """NEC 625.42, 424.3(B) and 424.4(B), 422.13, 430.22: 125 % whatever the record says of three hours."""
    found = result(continuous_load, on_one_circuit(f"kind: {kind}, current: 12 A, continuous: no"), edition)
    assert magnitude(found.limit, "ampere") == pytest.approx(15)
    assert told in [given.source for given in found.inputs]


@pytest.mark.parametrize("kind", ["instantaneous", "storage above 120 gal"])
def test_water_heaters_beyond_422_13(kind):
    """NEC 422.13 is for storage to 120 gal; of others the record has to say whether they run for hours."""
    text = on_one_circuit(f"kind: water heater, heater_kind: {kind}, current: 12 A, continuous: no")
    assert needed(text) == pytest.approx(12)
    assert needed(swap(text, "continuous: no", "continuous: yes")) == pytest.approx(15)
    assert verdict(continuous_load, swap(text, ", continuous: no", "")) == "undecided"


def test_a_heater_that_is_carried_about_is_not_fixed():
    text = on_one_circuit("kind: space heater, current: 12 A, mounting: portable, continuous: no")
    assert needed(text) == pytest.approx(12)


def test_of_several_motors_the_largest_alone_has_the_quarter():
    """NEC 430.24: 125 % of the largest motor and 100 % of the others."""
    text = on_one_circuit("kind: motor, current: 6 A, continuous: no", "kind: motor, current: 4 A, continuous: no")
    assert needed(text) == pytest.approx(11.5)


def test_a_nameplate_does_not_speak_for_its_neighbour():
    """NEC 440.35 is about one unit: two on a circuit need more than the plate of either."""
    two = on_one_circuit(
        "kind: heat pump, minimum_circuit_ampacity: 14 A", "kind: heat pump, minimum_circuit_ampacity: 14 A"
    )
    for rule in (continuous_load, conductor_before_correction):
        assert verdict(rule, two) == "undecided"


def test_a_feeder_counts_a_compressor_by_its_rated_load():
    """NEC 440.32: where the plate gives no circuit ampacity, 125 % of the rated-load current: 1.25 × 16 A is 20 A."""
    plate = "marked_with_ampacity: no, rated_load_current: 16 A"
    text = (
        swap(
            one_feeder(),
            "work: new, spaces: 8",
            "work: new, spaces: 8, slots: [{spaces: [1, 3], feeds: C2, work: new, breaker: 30 A}]",
        )
        + "circuits: [{code: C2, name: Cooling, work: new, volts: 240 V}]\n"
        + f"equipment: [{{code: E1, name: AC, kind: air conditioner, circuit: C2, place: yard, work: new, {plate}}}]\n"
    )
    assert magnitude(result(feeder_load, text).value, "ampere") == pytest.approx(20)
    lamp = text.replace(
        "equipment: [", "equipment: [{code: E2, name: Lamp, kind: lighting, circuit: C2, place: yard, work: new}, "
    )
    assert verdict(feeder_load, lamp) == "undecided"


def sub_panel(*circuits: str, equipment: str = "", panel: str = "", breaker: str = "60 A") -> str:
    """F1 to P2 with C2, C3 and so on, each on two poles and given by its facts."""
    numbers = range(2, 2 + len(circuits))
    slots = ", ".join(f"{{spaces: [{4 * n - 7}, {4 * n - 5}], feeds: C{n}, work: new, breaker: 50 A}}" for n in numbers)
    entries = ", ".join(
        f"{{code: C{n}, name: Circuit {n}, work: new, volts: 240 V, {facts}}}"
        for n, facts in zip(numbers, circuits, strict=True)
    )
    feeder = swap(
        one_feeder(breaker=breaker), "work: new, spaces: 8", f"work: new, {panel}spaces: 24, slots: [{slots}]"
    )
    return f"{feeder}circuits: [{entries}]\nequipment: [{equipment}]\n"


def thing(number: int, circuit: int, facts: str) -> str:
    return f"{{code: E{number}, name: Thing {number}, circuit: C{circuit}, place: hall, work: new, {facts}}}"


def test_a_range_on_a_feeder_counts_by_its_demand():
    """NEC Table 220.55, column C: 12 kW counts 8 kW, 33.3 A at 240 V, not 50 A."""
    cooker = thing(1, 2, "kind: range, power: 12 kW, cooking_kind: range")
    text = sub_panel("note: none", "load: 26 A, continuous: no", equipment=cooker)
    found = result(feeder_load, text)
    assert (found.verdict, magnitude(found.value, "ampere")) == ("pass", pytest.approx(8000 / 240 + 26))


def test_a_fraction_of_an_ampere_may_be_dropped_from_a_feeders_load():
    """NEC 220.5(B): a fraction below 0.5 A may be dropped; 60.4 A are 60 A, and 60.5 A are not."""
    for load, outcome in (("60.4 A", "pass"), ("60.5 A", "fail"), ("61 A", "fail")):
        text = sub_panel(f"load: {load}, continuous: no")
        assert verdict(feeder_load, text) == outcome
        assert verdict(continuous_load, text, subject="F1") == outcome
    assert verdict(feeder_load, sub_panel("load: 60.4 A, continuous: no"), 2026) == "undecided"


def test_heating_and_cooling_added_up_do_not_fail_a_feeder():
    """NEC 220.60: loads that never run together count with the larger alone; our sum takes both."""
    pair = ", ".join(
        [
            thing(1, 2, "kind: space heater, current: 30 A"),
            thing(2, 3, "kind: air conditioner, minimum_circuit_ampacity: 30 A"),
        ]
    )
    text = sub_panel("note: none", "note: none", equipment=pair)
    assert verdict(feeder_load, text) == "undecided"
    assert verdict(continuous_load, text, subject="F1") == "undecided"
    assert verdict(feeder_load, swap(text, "kind: space heater", "kind: kiln, continuous: yes")) == "fail"
    assert verdict(feeder_load, swap(text, "breaker: 60 A", "breaker: 70 A")) == "pass"


def test_four_appliances_of_a_dwelling_do_not_fail_a_feeder():
    """NEC 220.53: four or more appliances fixed in place count at 75 % in a dwelling."""
    four = ", ".join(thing(n, n + 1, "kind: other, current: 16 A, continuous: no") for n in range(1, 5))
    text = sub_panel(*["note: none"] * 4, equipment=four)
    assert verdict(feeder_load, text) == "undecided"
    assert verdict(feeder_load, swap(text, "work: new, spaces: 24", "work: new, dwelling: no, spaces: 24")) == "fail"


@pytest.mark.parametrize(("load", "told"), [("5 A", "in its stead"), ("24 A", "compared with its load of 24 A")])
def test_a_feeders_sum_adds_as_printed_and_each_line_names_its_circuit(load, told):
    """Twenty outlets at 180 VA on 240 V are 15 A.  The line of a leg adds its circuits' own lines."""
    outlets = ", ".join(
        f"{{what: outlet {n}, place: hall, area: other indoor area, kind: receptacle, gfci: none}}" for n in range(20)
    )
    text = sub_panel(f"load: {load}, continuous: no, outlets: [{outlets}]", "load: 9 A, continuous: yes")
    found = result(feeder_load, text)
    lines = {step.formula: step for step in found.working}
    (compared,) = [formula for formula in lines if "180 VA" in formula]
    assert compared.startswith("C2: 180 VA × receptacles / V: ")
    assert told in compared
    counted = [lines[f"{code} on leg A and B"].value for code in ("C2", "C3")]
    assert lines["leg A: C2 + C3, each as counted above"].numbers == " + ".join(counted)
    assert magnitude(found.value, "ampere") == pytest.approx(max(15, float(load[:-2])) + 1.25 * 9)
    assert all("C2" in given.meaning or "C3" in given.meaning for given in found.inputs if given.symbol == "I")
