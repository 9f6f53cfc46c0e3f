"""Rules about the load of the house and of a feeder."""

from __future__ import annotations

import pytest

from handover.checks.feeder_load import feeder_load
from handover.checks.service_load import service_conductors, service_load, service_measured_demand
from handover.units import magnitude
from tests.jobs import result, swap, verdict

LOAD = """
service_load:
  floor_area: 2000 sq ft
  small_appliance_circuits: 2
  laundry_circuits: 1
  appliances:
    - {name: Range, kind: range, power: 12 kW, work: existing}
    - {name: Dryer, kind: dryer, power: 5 kW, work: existing}
    - {name: Water heater, kind: water heater, power: 4.5 kW, work: existing}
    - {name: Air conditioner, kind: cooling, power: 5 kW, work: existing}
    - {name: Charger, kind: car charger, power: 7.68 kW, work: new}
"""


def test_an_existing_house_with_a_new_charger():
    """Our own arithmetic by 220.83; no complete published example could be read.

    6000 + 4500 + 21500 = 32000 VA: 8000 + 0.4 × 24000 = 17600 VA; cooling 5000 and charger 7680 in full: 30280 VA.
    """
    found = result(service_load, LOAD)
    assert found.verdict == "pass"
    assert found.value is not None
    assert magnitude(found.value, "ampere") == 126, "30280 / 240 = 126.17, to the nearest ampere by 220.5(B)"
    spare = next(step for step in found.working if step.formula.startswith("room left"))
    assert spare.value == "17720 VA"


@pytest.mark.parametrize(("rating", "more"), [("200 A", 0), ("150 A", 1), ("130 A", 2)])
def test_the_other_methods_are_told_with_the_one_that_decides(rating, more):
    """Our own arithmetic: by 220.82 10000 + 0.4 × 22000 + 5000 + 7680 = 31480 VA, 131 A; by Part III 5625 + 4500 + 8000
    + 5000 + 5000 + 7680 + 0.25 × 5000 = 37055 VA, 154 A.
    """
    service = f"{{utility: U, volts: 120/240 V single-phase, rating: {rating}, at: P1, disconnect_place: out}}"
    found = result(service_load, f"{LOAD}service: {service}\n")
    assert found.verdict == "pass"
    assert "131 A by the optional one (220.82)" in found.reason
    assert "154 A by the standard one (Part III)" in found.reason
    assert found.reason.count("more than the rating") == more
    assert "so that one decides" in found.reason


def test_the_nameplates_are_added_one_by_one():
    found = result(service_load, LOAD)
    (line,) = [step for step in found.working if step.formula.startswith("nameplates")]
    assert (line.formula.split(": ")[1], line.numbers) == ("S1 + S2 + S3", "12000 + 5000 + 4500")


@pytest.mark.parametrize(("power", "counted"), [("5 kW", "7200 VA"), ("14.4 kW", "14400 VA")])
def test_a_charger_counts_at_no_less_than_7200_va(power, counted):
    """NEC 2023 220.57 as a continuing-education page has it: 5000 VA counts 7200, 14400 VA counts 14400."""
    found = result(service_load, swap(LOAD, "7.68 kW", power))
    assert next(step.value for step in found.working if step.formula.startswith("car charger")) == counted
    before = result(service_load, swap(LOAD, "7.68 kW", power), edition=2020)
    assert not any(step.formula.startswith("car charger") for step in before.working)


def test_too_much_by_any_reading_fails_and_by_one_reading_waits():
    small = LOAD + "service: {utility: U, volts: 120/240 V single-phase, rating: 60 A, at: P1, disconnect_place: out}\n"
    assert verdict(service_load, small) == "fail"
    # The lenient reading: all 44680 VA in one pool, 8000 + 0.4 × 36680 = 22672 VA, 94.5 A; the safe one 126.2 A.
    between = swap(small, "60 A", "100 A")
    found = result(service_load, between)
    assert found.verdict == "undecided"
    assert "disputed" in found.reason


def test_heating_or_cooling_added_is_named_with_its_paragraph():
    assert any("220.83(A)" in step.formula for step in result(service_load, LOAD).working)
    added = swap(
        LOAD, "power: 5 kW, work: existing}\n    - {name: Charger", "power: 5 kW, work: new}\n    - {name: Charger"
    )
    assert any("220.83(B)" in step.formula for step in result(service_load, added).working)


@pytest.mark.parametrize("missing", ["floor_area: 2000 sq ft", "small_appliance_circuits: 2", "laundry_circuits: 1"])
def test_a_missing_number_is_undecided(missing):
    assert verdict(service_load, swap(LOAD, missing, missing.split(":")[0] + ": unknown")) == "undecided"
    assert verdict(service_load) == "undecided", "no load recorded at all"
    assert (
        verdict(
            service_load,
            swap(
                LOAD,
                "power: 5 kW, work: existing}\n    - {name: Water",
                "power: unknown, work: existing}\n    - {name: Water",
            ),
        )
        == "undecided"
    )


CHARGER = """
equipment:
  - {code: E1, name: Charger, kind: car charger, circuit: C1, place: carport, work: new, volts: 240 V, current: 48 A,
     set_current: 32 A, setting_access: behind a cover with screws, rating_label: 32 A, connection: hardwired}
"""


def test_a_lowered_setting_counts_only_with_its_evidence():
    """NEC 625.42: access restricted, and a label with the adjusted value."""
    assert verdict(service_load, LOAD + CHARGER) == "pass"
    for missing in (", setting_access: behind a cover with screws", ", rating_label: 32 A", ", current: 48 A"):
        assert verdict(service_load, LOAD + swap(CHARGER, missing, "")) == "undecided"
    plug = swap(CHARGER, "hardwired", "cord and plug")
    assert verdict(service_load, LOAD + plug, edition=2020) == "undecided"
    assert verdict(service_load, LOAD + plug, edition=2023) == "pass"


def test_a_lowered_setting_in_an_edition_that_leaves_it_open():
    """2017 says nothing clear (from memory): 48 A x 240 V is 3840 VA more, 34 120 VA in all, 142 A."""
    found = result(service_load, LOAD + CHARGER, edition=2017)
    assert str(found.verdict) == "pass"
    assert found.value is not None
    assert magnitude(found.value, "ampere") == 142
    tight = (
        LOAD
        + CHARGER
        + ("service: {utility: U, volts: 120/240 V single-phase, rating: 130 A, at: P1, disconnect_place: out}\n")
    )
    assert verdict(service_load, tight, edition=2017) == "undecided"


def test_new_equipment_left_out_of_the_load_is_undecided():
    pump = "equipment: [{code: E3, name: Pump, kind: heat pump, circuit: C3, place: wall, work: new}]\n"
    found = result(service_load, LOAD + pump)
    assert found.verdict == "undecided"
    assert "E3" in found.reason


MEASURED = LOAD + "  measured: {maximum: 60 A, days: 400, interval_minutes: 15}\n"


def test_measured_demand_of_a_year():
    """NEC 220.87: 1.25 × 60 A + 7680 VA / 240 V = 107 A; with the charger at 125 %, 115 A.  Our own arithmetic."""
    found = result(service_measured_demand, MEASURED)
    assert found.verdict == "pass"
    assert found.value is not None
    assert magnitude(found.value, "ampere") == pytest.approx(115)
    assert verdict(service_measured_demand, swap(MEASURED, "60 A", "140 A")) == "fail"
    assert verdict(service_measured_demand, swap(MEASURED, "60 A", "130 A")) == "undecided", "only the 125 % decides"
    assert verdict(service_measured_demand, swap(MEASURED, "60 A", "unknown")) == "undecided"


def test_a_year_needs_short_averages_and_overload_protection():
    """Averages of an hour hide peaks; NEC 220.87(3) asks for overload protection of the service (230.90)."""
    assert verdict(service_measured_demand, swap(MEASURED, "minutes: 15", "minutes: 60")) == "undecided"
    lugs = MEASURED + "panels: [{code: P1, name: M, place: hall, work: existing, spaces: 4, main_kind: main lugs}]\n"
    assert verdict(service_measured_demand, lugs) == "undecided"


def test_the_method_that_the_record_names_decides():
    """Named: only that one decides.  Not named: the one for an existing dwelling, and a measured demand too."""
    over = swap(MEASURED, "60 A", "150 A")
    unnamed = result(service_measured_demand, over)
    assert (str(unnamed.verdict), unnamed.advice) == ("fail", False)
    assert not result(service_load, over).advice
    measured = result(service_load, swap(over, "service_load:", "service_load:\n  method: measured demand"))
    assert (str(measured.verdict), measured.advice) == ("pass", True)
    aside = result(service_measured_demand, swap(over, "service_load:", "service_load:\n  method: existing dwelling"))
    assert (str(aside.verdict), aside.advice) == ("not_applicable", True)
    none = swap(LOAD, "service_load:", "service_load:\n  method: measured demand")
    assert verdict(service_measured_demand, none) == "undecided", "goes by a measured demand, and none is recorded"


def test_horsepower_is_no_nameplate_load():
    assert verdict(service_load, swap(LOAD, "power: 4.5 kW", "power: 1/2 hp")) == "undecided"


def test_no_edition_is_decided_by_a_text_that_was_not_read():
    """2026: 120.83's table was not read.  2017: the same numbers as 2020."""
    assert verdict(service_load, LOAD, edition=2026) == "undecided"
    assert verdict(service_load, LOAD, edition=2017) == "pass"
    assert result(service_load, LOAD, edition=2017).value == result(service_load, LOAD, edition=2020).value


def test_thirty_days_need_their_conditions_and_no_solar():
    short = swap(
        MEASURED, "days: 400", "days: 31, both_legs: yes, seasonal_added: 0 W, peak_shaving: no, occupied: yes"
    )
    assert verdict(service_measured_demand, short) == "pass"
    assert verdict(service_measured_demand, swap(short, "days: 31", "days: 20")) == "undecided"
    assert verdict(service_measured_demand, swap(short, "minutes: 15", "minutes: 60")) == "undecided"
    assert verdict(service_measured_demand, swap(short, "legs: yes", "legs: no")) == "undecided"
    for bar in ("peak_shaving: yes", "occupied: no"):
        name = bar.split(":")[0]
        assert verdict(service_measured_demand, swap(short, f"{name}: {'no' if 'yes' in bar else 'yes'}", bar)) == (
            "undecided"
        )
    for fact in (", interval_minutes: 15", ", both_legs: yes", ", peak_shaving: no", ", occupied: yes",
                 ", seasonal_added: 0 W"):  # fmt: skip
        assert verdict(service_measured_demand, swap(short, fact, "")) == "undecided", fact
    solar = short + "sources: [{code: S1, kind: solar, name: Solar, place: roof, work: existing}]\n"
    assert verdict(service_measured_demand, solar) == "undecided"


CONDUCTORS = """
service:
  utility: U
  volts: 120/240 V single-phase
  rating: 200 A
  at: P1
  disconnect_place: outside
  conductors: {size: 2/0 AWG, material: copper, insulation: XHHW-2, sets: 1}
"""


def test_service_conductors_83_percent():
    """Code educator blog on 310.15(B)(7), 310.12 from 2020: 200 A needs 166 A; 2/0 AWG copper has 175 A."""
    found = result(service_conductors, CONDUCTORS)
    assert found.verdict == "pass"
    assert (found.value.magnitude, found.limit.magnitude) == (175, 166)
    assert verdict(service_conductors, swap(CONDUCTORS, "2/0", "1/0")) == "fail"
    assert verdict(service_conductors, swap(CONDUCTORS, "200 A", "60 A")) == "not_applicable"
    assert verdict(service_conductors, swap(CONDUCTORS, "XHHW-2", "unknown")) == "undecided"
    assert verdict(service_conductors, swap(CONDUCTORS, ", sets: 1", "")) == "undecided"
    assert verdict(service_conductors) == "undecided"


STUDIO = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: 60 A, feeds: F1, work: new}]}
  - code: P3
    name: Studio
    place: studio
    work: new
    spaces: 6
    main_kind: main breaker
    main: 60 A
    slots:
      - {spaces: [1, 3], breaker: 30 A, feeds: C2}
      - {spaces: [2, 4], breaker: 20 A, feeds: C3}
      - {spaces: [5], breaker: 20 A, feeds: C4}
      - {spaces: [6], breaker: 20 A, says: spare}
feeders: [{code: F1, name: Feeder, work: new, volts: 240 V, to: P3, load: 48 A}]
circuits:
  - {code: C2, name: Kiln, work: new, volts: 240 V, load: 24 A, continuous: yes}
  - {code: C3, name: Heat pump, work: new, volts: 240 V}
  - {code: C4, name: Bench, work: new, volts: 120 V, load: 2 A, continuous: no, outlets: [
       {what: Duplex, place: bench, area: other indoor area, kind: receptacle},
       {what: Duplex, place: bench, area: other indoor area, kind: receptacle}]}
equipment:
  - {code: E3, name: Pump, kind: heat pump, circuit: C3, place: wall, work: new, minimum_circuit_ampacity: 14.2 A}
"""


def test_feeder_load_sums_the_heavier_leg():
    """Our own arithmetic: 1.25 × 24 A + 14.2 A + two receptacles at 180 VA (3 A, more than the recorded 2 A)."""
    found = result(feeder_load, STUDIO)
    assert found.verdict == "pass"
    assert found.value is not None
    assert magnitude(found.value, "ampere") == pytest.approx(47.2)
    legs = {step.formula[:5]: step.value for step in found.working if step.formula.startswith("leg")}
    assert legs == {"leg A": "47.2 A", "leg B": "44.2 A"}


def test_feeder_load_fails_and_waits():
    assert verdict(feeder_load, swap(STUDIO, "14.2 A", "31 A")) == "fail"
    assert verdict(feeder_load, swap(STUDIO, ", minimum_circuit_ampacity: 14.2 A", "")) == "undecided"
    assert verdict(feeder_load, swap(STUDIO, "load: 24 A, ", "")) == "undecided"
    assert verdict(feeder_load, swap(STUDIO, ", says: spare", "")) == "undecided"
    assert verdict(feeder_load, swap(STUDIO, "breaker: 60 A, ", "")) == "undecided"


def test_a_compressor_whose_plate_gives_no_ampacity_counts_by_its_rated_load_current():
    """NEC 440.32: 125 % of 12 A; our own numbers otherwise."""
    text = swap(STUDIO, "minimum_circuit_ampacity: 14.2 A", "marked_with_ampacity: no, rated_load_current: 12 A")
    found = result(feeder_load, text)
    assert found.value is not None
    assert magnitude(found.value, "ampere") == pytest.approx(1.25 * 24 + 1.25 * 12 + 3)


def test_outlets_besides_the_equipment_need_the_circuits_load():
    """A fan of 1.5 A says nothing about the receptacles on the same circuit."""
    fan = (
        "  - {code: E4, name: Fan, kind: motor, circuit: C4, place: bench, work: new, current: 1.5 A, continuous: no}\n"
    )
    assert verdict(feeder_load, STUDIO + fan) == "pass"
    assert verdict(feeder_load, swap(STUDIO, "load: 2 A, ", "") + fan) == "undecided"


KILN = """
circuits:
  - {code: C2, name: Kiln, work: new, volts: 240 V, load: 24 A, continuous: yes, individual: yes,
     outlets: [{what: Kiln, place: shed, area: accessory building, kind: receptacle}]}
  - {code: C3, name: Hall, work: new, volts: 120 V, outlets: [
     {what: Duplex, place: hall, area: living area, kind: receptacle}]}
"""


def test_new_circuits_have_to_be_in_the_recorded_load():
    """Our own numbers: 24 A x 240 V = 5760 VA; general receptacles are in the 3 VA a square foot (NEC 220.14(J))."""
    assert verdict(service_load, LOAD + KILN) == "pass", "the new charger of 7680 VA is no smaller"
    without = swap(LOAD, "    - {name: Charger, kind: car charger, power: 7.68 kW, work: new}\n", "")
    found = result(service_load, without + KILN)
    assert found.verdict == "undecided"
    assert "C2 5760 VA" in found.reason
    assert "C3" not in found.reason
    held = without + "    - {name: Kiln, kind: other, power: 5.76 kW, work: new}\n"
    assert verdict(service_load, held + KILN) == "pass"
    assert verdict(service_load, held + swap(KILN, "load: 24 A", "load: 30 A")) == "undecided"
    assert verdict(service_load, held + swap(KILN, "load: 24 A", "load: unknown")) == "undecided"
    assert verdict(service_load, without + swap(KILN, "Kiln, work: new", "Kiln, work: existing")) == "pass"


@pytest.mark.parametrize(
    ("load", "receptacles", "counted"),
    [("2 A", 2, 3.0), ("3 A", 2, 3.0), ("4 A", 2, 4.0), ("2 A", 3, 4.5), ("1 A", 1, 1.0)],
)
def test_receptacles_count_180_va_each_where_that_is_more(load, receptacles, counted):
    """NEC 220.14(I): 180 VA a receptacle, at 120 V 1.5 A each; a single one stands for its appliance."""
    duplex = "       {what: Duplex, place: bench, area: other indoor area, kind: receptacle}"
    text = swap(STUDIO, f"{duplex},\n{duplex}", ",\n".join([duplex] * receptacles))
    found = result(feeder_load, swap(text, "volts: 120 V, load: 2 A", f"volts: 120 V, load: {load}"))
    told = next(step.value for step in found.working if step.formula == "C4 on leg A")
    assert told == f"{counted:g} A"


@pytest.mark.parametrize(
    ("days", "minutes", "expected"),
    [
        (364, 15, "peaks are shaved"),
        (365, 15, "pass"),
        (366, 15, "pass"),
        (365, 14, "pass"),
        (365, 16, "shorter peaks"),
    ],
)
def test_a_year_has_365_days_and_its_averages_15_minutes(days, minutes, expected):
    """NEC 220.87: the maximum of a year; less than that needs more to be known of the season."""
    text = swap(MEASURED, "days: 400, interval_minutes: 15", f"days: {days}, interval_minutes: {minutes}")
    found = result(service_measured_demand, text)
    assert expected == found.verdict or (found.verdict == "undecided" and expected in found.reason)


@pytest.mark.parametrize(("rating", "sets", "verdict_of"), [(100, 1, "pass"), (200, 2, "pass"), (400, 2, "fail")])
def test_parallel_service_conductors_add_up(rating, sets, verdict_of):
    """NEC 310.12: 2/0 AWG copper has 175 A each at 75 °C; 83 % of the rating is asked of all together."""
    house = (
        f"service: {{utility: U, volts: 120/240 V single-phase, rating: {rating} A, at: P1, disconnect_place: out, "
        f"conductors: {{size: 1/0 AWG, material: copper, insulation: XHHW-2, sets: {sets}}}}}\n"
    )
    found = result(service_conductors, house)
    assert (found.verdict, found.value.magnitude, found.limit.magnitude) == (
        verdict_of, 150 * sets, pytest.approx(0.83 * rating),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("insulation", "expected"), [("TW", "undecided"), ("THW", "pass"), ("XHHW-2", "pass"), ("THHN", "pass")]
)
def test_service_conductors_of_75_degrees_at_least(insulation, expected):
    """NEC Table 310.12 is for conductors of 75 °C."""
    house = (
        "service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, "
        f"conductors: {{size: 2/0 AWG, material: copper, insulation: {insulation}, sets: 1}}}}\n"
    )
    assert verdict(service_conductors, house) == expected


@pytest.mark.parametrize(("edition", "expected"), [(2017, "undecided"), (2020, "pass"), (2023, "pass")])
def test_the_83_percent_on_a_wye_by_edition(edition, expected):
    """NEC 310.15(B)(7) of 2017 is for 120/240 V alone; 310.12 from 2020 for 208Y/120 V too."""
    house = (
        "service: {utility: U, volts: 208Y/120 V single-phase, rating: 200 A, at: P1, disconnect_place: out, "
        "conductors: {size: 2/0 AWG, material: copper, insulation: XHHW-2, sets: 1}}\n"
    )
    assert verdict(service_conductors, house, edition) == expected


def test_what_the_other_readings_of_an_existing_house_come_to():
    """220.83: leniently 8000 + 0.4 × (32 000 + 12 680 - 8000) = 22 672 VA; 125 % of the charger 30 280 + 1920 VA."""
    steps = {each.formula: (each.numbers, each.value) for each in result(service_load, LOAD).working}
    lenient = next(value for formula, value in steps.items() if formula.startswith("the other reading"))
    assert lenient == ("8000 + 0.4 × 36680 + 0", "22672 VA")
    quarter = next(value for formula, value in steps.items() if "125 %" in formula)
    assert quarter == ("(30280 + 0.25 × 7680) / 240", "134.2 A")


@pytest.mark.parametrize(("controls", "beside"), [(3, "5000"), (4, "0"), (5, "0")])
def test_four_heaters_of_an_existing_house_are_pooled_leniently(controls, beside):
    """220.83(B), from memory: four or more separately controlled heaters count with all other loads."""
    added = swap(
        LOAD, "power: 5 kW, work: existing}\n    - {name: Charger", "power: 5 kW, work: new}\n    - {name: Charger"
    )
    text = swap(added, "laundry_circuits: 1", f"laundry_circuits: 1\n  heating_controls: {controls}")
    steps = result(service_load, text).working
    assert next(each.numbers for each in steps if each.formula.startswith("the other reading")).endswith(f"+ {beside}")


def test_the_nearest_ampere_is_a_step_only_where_something_is_dropped():
    """NEC 220.5(B)."""
    exact = swap(LOAD, "power: 7.68 kW", "power: 7.4 kW")  # 30 000 VA at 240 V: 125 A
    assert not any("nearest ampere" in each.formula for each in result(service_load, exact).working)
    assert any("nearest ampere" in each.formula for each in result(service_load, LOAD).working)


@pytest.mark.parametrize(("days", "expected"), [(29, "too few"), (30, ""), (31, "")])
def test_thirty_days_of_measurement_at_least(days, expected):
    """NEC 220.87, exception."""
    facts = "seasonal_added: 0 VA, peak_shaving: no, both_legs: yes, occupied: yes"
    text = swap(MEASURED, "days: 400, interval_minutes: 15", f"days: {days}, interval_minutes: 15, {facts}")
    found = result(service_measured_demand, text)
    assert (found.verdict, expected in found.reason) == ("undecided" if expected else "pass", True)


def test_the_83_percent_on_240_volts_in_2017():
    """NEC 310.15(B)(7) of 2017: 120/240 V, single-phase."""
    house = (
        "service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, "
        "conductors: {size: 2/0 AWG, material: copper, insulation: XHHW-2, sets: 1}}\n"
    )
    assert verdict(service_conductors, house, 2017) == "pass"


@pytest.mark.parametrize(
    ("old", "new", "left_out"),
    [
        ("area: living area", "area: living area", False),
        ("area: living area", "area: accessory building", True),
        ("kind: receptacle}]}\n", "kind: hardwired}]}\n", True),
        ("volts: 120 V", "volts: 125 V", False),
        ("volts: 120 V", "volts: 126 V", True),
        ("volts: 120 V", "volts: 120 V, individual: yes", True),
    ],
)
def test_what_the_floor_area_stands_for(old, new, left_out):
    """NEC 220.14(J): receptacles and lights of the dwelling itself, on circuits of 120 V."""
    hall = """
circuits:
  - {code: C3, name: Hall, work: new, volts: 120 V, load: 10 A, outlets: [
     {what: Duplex, place: hall, area: living area, kind: receptacle}]}
"""
    without = swap(LOAD, "    - {name: Charger, kind: car charger, power: 7.68 kW, work: new}\n", "")
    found = result(service_load, without + swap(hall, old, new))
    assert (found.verdict, "C3" in found.reason) == (("undecided", True) if left_out else ("pass", False))
