"""Rules about what was measured and tightened."""

from __future__ import annotations

import pytest

from handover.checks.readings import (
    current_in_use,
    fault_loop,
    gfci_trip,
    ground_continuity,
    insulation_resistance,
    neutral_ground_voltage,
    polarity,
    supply_voltage,
)
from handover.checks.torque import instrument_calibrated, terminal_torque
from handover.units import magnitude
from tests.circuit_job import one_feeder
from tests.jobs import result, results, swap, verdict

CIRCUIT = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1], breaker: {rating: 20 A, gfci: yes}, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Bench, work: new, volts: 120 V, runs: [R1], outlets: [
       {what: Duplex, place: bench, area: garage, kind: receptacle}], conductors: [
       {role: hot, size: 12 AWG, material: copper}, {role: neutral, size: 12 AWG, material: copper},
       {role: equipment ground, size: 12 AWG, material: copper}]}
runs:
  - {code: R1, name: Run, work: new, method: EMT, path: [
       {step: panel, code: P1}, {step: straight, length: 60 ft}, {step: bend, degrees: 90°},
       {step: straight, length: 40 ft}]}
"""


def reading(what: str) -> str:
    return CIRCUIT + f"readings: [{{of: C1, {what}}}]\n"


@pytest.mark.parametrize(
    ("kind", "volts", "at_panel", "at_outlet"),
    [
        ("voltage line to neutral", "114 V", "pass", "pass"),
        ("voltage line to neutral", "126 V", "pass", "pass"),
        ("voltage line to neutral", "113 V", "undecided", "pass"),
        ("voltage line to neutral", "109 V", "fail", "pass"),
        ("voltage line to neutral", "107 V", "fail", "undecided"),
        ("voltage line to neutral", "128 V", "fail", "fail"),
        ("voltage line to line", "228 V", "pass", "pass"),
        ("voltage line to line", "252 V", "pass", "pass"),
        ("voltage line to line", "255 V", "fail", "fail"),
    ],
)
def test_voltage_ranges(kind, volts, at_panel, at_outlet):
    """ANSI C84.1, from memory: at the service A 114 to 126 V, B 110 to 127 V; in use A 108 to 126 V, B 104 to 127 V."""
    text = reading(f"kind: {kind}, volts: {volts}")
    assert verdict(supply_voltage, text) == at_outlet
    assert verdict(supply_voltage, swap(text, "of: C1", "of: P1")) == at_panel
    assert "from memory" in result(supply_voltage, text).citation.section


def test_no_voltage_number_is_no_pass():
    assert verdict(supply_voltage, reading("kind: voltage line to line")) == "undecided"
    assert (
        verdict(supply_voltage, reading("kind: voltage line to line, volts: 240 V, beyond_range: yes")) == "undecided"
    )
    new_panel = swap(CIRCUIT, "hall, work: existing", "hall, work: new")
    assert verdict(supply_voltage, new_panel) == "undecided", "a new panel nobody measured"


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ("ohms: 25 MΩ, test_volts: 500 V", "pass"),
        ("ohms: 24.9 MΩ, test_volts: 500 V", "fail"),
        ("ohms: 700 MΩ, test_volts: 250 V", "undecided"),
        ("ohms: 700 MΩ", "undecided"),
        ("test_volts: 500 V", "undecided"),
        ("ohms: 2000 MΩ, test_volts: 500 V, beyond_range: yes", "undecided"),
    ],
)
def test_insulation_resistance(values, expected):
    """ANSI/NETA MTS-2019 Table 100.1: 250 V class, 500 V dc, 25 megohms."""
    assert verdict(insulation_resistance, reading(f"kind: insulation resistance, {values}")) == expected


def test_new_wiring_without_readings_is_undecided():
    for rule in (insulation_resistance, ground_continuity, gfci_trip, polarity):
        assert verdict(rule, CIRCUIT) == "undecided"
        assert results(rule, swap(CIRCUIT, "Bench, work: new", "Bench, work: existing")) == []


def test_ground_continuity_against_the_wire_itself():
    """NEC Chapter 9 Table 8: 12 AWG copper 1.98 ohms per 1000 ft, so 100 ft have 0.198; 0.1 ohms allowance is ours."""
    found = result(ground_continuity, reading("kind: ground continuity, ohms: 0.29 Ω"))
    assert (found.verdict, found.advice) == ("pass", True)
    assert found.limit is not None
    assert found.limit.magnitude == pytest.approx(0.298)
    assert verdict(ground_continuity, reading("kind: ground continuity, ohms: 0.3 Ω")) == "fail"
    short = swap(reading("kind: ground continuity, ohms: 0.3 Ω"), ", length: 40 ft", "")
    assert verdict(ground_continuity, short) == "undecided"
    assert verdict(ground_continuity, swap(short, "runs: [R1], ", "")) == "undecided"


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ("trip_current: 4 mA", "pass"),
        ("trip_current: 6 mA", "pass"),
        ("trip_current: 3.9 mA", "fail"),
        ("trip_current: 6.1 mA", "fail"),
        ("result: as expected", "pass"),
        ("result: not as expected", "fail"),
        ("trip_current: unknown", "undecided"),
        ("trip_current: 5 mA, beyond_range: yes", "undecided"),
    ],
)
def test_gfci_trip(values, expected):
    """UL 943 by an engineering glossary: no trip below 4 mA, trip at 6 mA at the latest."""
    assert verdict(gfci_trip, reading(f"kind: GFCI trip, {values}")) == expected


def test_no_gfci_no_trip():
    assert verdict(gfci_trip, swap(CIRCUIT, "gfci: yes", "gfci: no")) == "not_applicable"


def test_polarity():
    """NEC 200.11, from memory."""
    assert verdict(polarity, reading("kind: polarity, result: as expected")) == "pass"
    assert verdict(polarity, reading("kind: polarity, result: not as expected")) == "fail"
    assert verdict(polarity, reading("kind: polarity")) == "undecided"
    no_neutral = swap(CIRCUIT, "{role: neutral, size: 12 AWG, material: copper},", "")
    assert verdict(polarity, no_neutral) == "not_applicable"


@pytest.mark.parametrize(("ohms", "expected"), [("1.2 Ω", "pass"), ("1.3 Ω", "fail"), ("0 Ω", "undecided")])
def test_fault_loop(ohms, expected):
    """Common practice: 120 V over the loop gives five times the rating; 1.2 ohms give 100 A, exactly 5 × 20 A."""
    found = result(fault_loop, reading(f"kind: ground-fault loop impedance, ohms: {ohms}"))
    assert (found.verdict, found.advice) == (expected, True)
    assert results(fault_loop, CIRCUIT) == []


@pytest.mark.parametrize(("amperes", "expected"), [("20 A", "pass"), ("20.1 A", "fail"), ("unknown", "undecided")])
def test_current_in_use(amperes, expected):
    assert verdict(current_in_use, reading(f"kind: current in use, amperes: {amperes}")) == expected


TORQUE = """
torques: [{of: C1, terminal: "breaker; neutral and ground bars", required: 25 lbf-in, applied: 25 lbf-in, tool: I1}]
"""


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("applied: 25", "applied: 26", "pass"),
        ("applied: 25", "applied: 24", "pass"),
        ("applied: 25", "applied: 26.1", "fail"),
        ("applied: 25", "applied: 20", "fail"),
        ("applied: 25 lbf-in", "applied: not checked", "undecided"),
        ("required: 25 lbf-in", "required: unknown", "undecided"),
        ("required: 25 lbf-in", "required: 0 lbf-in", "undecided"),
        (", tool: I1", "", "undecided"),
    ],
)
def test_torque(old, new, expected):
    """NEC 110.14(D): the maker's value; 4 % is a common tolerance of click-type wrenches, from memory."""
    assert verdict(terminal_torque, CIRCUIT + swap(TORQUE, old, new)) == expected
    assert verdict(terminal_torque, CIRCUIT) == "undecided", "new wiring without any record"


@pytest.mark.parametrize(
    ("terminals", "missing"),
    [
        (("breaker", "neutral bar", "ground bar"), ""),
        (("breaker, hot and neutral", "EGC at the bar"), ""),
        (("breaker", "neutral bar"), "ground wire in P1"),
        (("breaker",), "neutral in P1; ground wire in P1"),
        (("screws of the receptacle",), "hot wires in P1; neutral in P1; ground wire in P1"),
    ],
)
def test_an_end_without_a_torque_record_is_named_and_never_passed(terminals, missing):
    listed = ", ".join(
        f"{{of: C1, terminal: '{each}', required: 25 lbf-in, applied: 25 lbf-in, tool: I1}}" for each in terminals
    )
    found = result(terminal_torque, f"{CIRCUIT}torques: [{listed}]\n")
    assert found.verdict == ("undecided" if missing else "pass")
    assert (f"No torque is recorded for the {missing}." in found.reason) == bool(missing)
    wrong = listed.replace("applied: 25", "applied: 20", 1)
    assert verdict(terminal_torque, f"{CIRCUIT}torques: [{wrong}]\n") == "fail", "what is wrong fails all the same"


def test_a_panels_record_that_names_the_circuit_counts_and_old_wiring_misses_no_end():
    panel = "{of: P1, terminal: ground bar with C1, required: 25 lbf-in, applied: 25 lbf-in, tool: I1}"
    text = CIRCUIT + swap(TORQUE, "neutral and ground bars", "neutral bar")
    assert verdict(terminal_torque, text) == "undecided"
    assert verdict(terminal_torque, swap(text, "torques: [", f"torques: [{panel}, "), subject="C1") == "pass"
    assert verdict(terminal_torque, swap(text, "name: Bench, work: new", "name: Bench, work: existing")) == "pass"


def test_a_feeder_has_ends_in_two_panels():
    ends = ["breaker and ground bar at P1", "P2 main lugs; ground bar"]
    for count, expected in ((1, "undecided"), (2, "pass")):
        listed = ", ".join(
            f"{{of: F1, terminal: '{each}', required: 45 lbf-in, applied: 45 lbf-in, tool: I1}}"
            for each in ends[:count]
        )
        found = result(terminal_torque, f"{one_feeder()}torques: [{listed}]\n", subject="F1")
        assert found.verdict == expected
        assert ("in P2" in found.reason) == (count == 1)
        assert "in P1" not in found.reason


TOOL = (
    TORQUE
    + """
instruments: [{code: I1, name: Wrench, calibrated: 2026-01-20}]
readings: [{of: C1, kind: polarity, result: as expected, instrument: I1, date: 2026-06-11}]
"""
)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("2026-01-20", "2026-06-11", "pass"),
        ("2026-01-20", "2026-06-12", "fail"),
        ("2026-01-20", "2025-06-10", "pass"),
        ("2026-01-20", "2025-06-01", "fail"),
        ("2026-01-20", "unknown", "undecided"),
        ("code: I1, name", "code: I2, name", "not_applicable"),
    ],
)
def test_calibration(old, new, expected):
    """Common practice: before the first use, not more than a year before the last."""
    found = result(instrument_calibrated, swap(TOOL, old, new))
    assert (found.verdict, found.advice) == (expected, True)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        ("volts: 0.3 V", "pass"),
        ("volts: 2 V", "pass"),
        ("volts: 2.1 V", "fail"),
        ("volts: unknown", "undecided"),
        ("volts: 0.3 V, beyond_range: yes", "undecided"),
    ],
)
def test_voltage_between_neutral_and_ground(value, expected):
    """Common practice: about 2 V with loads running; no code gives a number, so it is advice."""
    found = result(neutral_ground_voltage, reading(f"kind: voltage neutral to ground, {value}"))
    assert (found.verdict, found.advice, found.citation.code) == (expected, True, "common practice")


def test_voltage_between_neutral_and_ground_tells_nothing_where_they_are_joined():
    text = swap(reading("kind: voltage neutral to ground, volts: 0 V"), "of: C1", "of: P1")
    bonded = "main: 200 A, neutral_bonded: "
    assert verdict(neutral_ground_voltage, swap(text, "main: 200 A", bonded + "yes")) == "not_applicable"
    assert verdict(neutral_ground_voltage, swap(text, "main: 200 A", bonded + "no")) == "pass"
    assert verdict(neutral_ground_voltage, text) == "undecided"
    assert results(neutral_ground_voltage, CIRCUIT) == []


@pytest.mark.parametrize(
    ("wires", "volts", "test_volts", "megohms"), [("120 V", 250, 500, 25), ("480 V", 600, 1000, 100)]
)
def test_worked_example_ft_ir(wires, volts, test_volts, megohms):
    """ANSI/NETA MTS-2019 Table 100.1: 250 V class 500 V dc and 25 megohms, 600 V class 1000 V dc and 100 megohms.

    The 1 megohm at 500 V of IEC 60364-6 (a rail authority's specification) is no American limit: it is told besides.
    """
    text = swap(
        reading("kind: insulation resistance, ohms: OHMS, test_volts: VOLTS"), "volts: 120 V", f"volts: {wires}"
    )

    def judged(ohms: float, at: float) -> str:
        return verdict(insulation_resistance, text.replace("OHMS", f"{ohms} MΩ").replace("VOLTS", f"{at} V"))

    assert (judged(megohms, test_volts), judged(megohms - 0.1, test_volts)) == ("pass", "fail")
    assert judged(megohms * 9, test_volts / 2) == "undecided"
    found = result(insulation_resistance, text.replace("OHMS", "500 MΩ").replace("VOLTS", f"{test_volts} V"))
    assert magnitude(found.limit, "megaohm") == megohms
    assert any("IEC 60364-6" in given.source and given.value == "1 MΩ" for given in found.inputs)


@pytest.mark.parametrize(("milliamperes", "seconds"), [(6, 5.59), (264, 0.025)])
def test_worked_example_ft_gfci(milliamperes, seconds):
    """UL 943 Class A: (20 / I)^1.43 seconds; 5.59 s at 6 mA and 0.025 s at 264 mA, by the formula, within 2 %."""
    kind = f"kind: GFCI trip, result: as expected, test_current: {milliamperes} mA, trip_time"
    assert verdict(gfci_trip, reading(f"{kind}: {seconds * 0.98:.4f} s")) == "pass"
    assert verdict(gfci_trip, reading(f"{kind}: {seconds * 1.02:.4f} s")) == "fail"
    found = result(gfci_trip, reading(f"{kind}: 1 ms"))
    (step,) = found.working
    assert float(step.value.removesuffix(" s")) == pytest.approx(seconds, rel=0.02)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ("test_current: 6 mA", "undecided"),
        ("trip_time: 20 ms", "undecided"),
        ("test_current: 5 mA, trip_time: 20 ms", "undecided"),
        ("trip_current: 5 mA, test_current: 6 mA, trip_time: 20 ms", "pass"),
        ("trip_current: 8 mA, test_current: 6 mA, trip_time: 20 ms", "fail"),
        ("trip_current: 5 mA, test_current: 6 mA, trip_time: 6 s", "fail"),
        ("trip_current: 5 mA, result: not as expected", "fail"),
    ],
)
def test_a_trip_in_time(values, expected):
    assert verdict(gfci_trip, reading(f"kind: GFCI trip, {values}")) == expected


@pytest.mark.parametrize("edition", [2017, 2026])
def test_the_ground_wires_resistance_does_not_depend_on_the_edition(edition):
    text = reading("kind: ground continuity, ohms: 0.29 Ω")
    assert result(ground_continuity, text, edition).limit == result(ground_continuity, text).limit


def test_a_torque_tool_is_calibrated_by_the_2017_edition():
    """NEC 110.14(D): 2017 a calibrated torque tool, 2020 and 2023 an approved means (course provider, maker)."""
    text = CIRCUIT + TORQUE
    assert (verdict(terminal_torque, text), verdict(terminal_torque, text, 2017)) == ("pass", "undecided")
    tool = text + "instruments: [{code: I1, name: Wrench, calibrated: 2026-01-20}]\n"
    assert verdict(terminal_torque, tool, 2017) == "pass"
    assert verdict(terminal_torque, swap(tool, "2026-01-20", "unknown"), 2017) == "undecided"


@pytest.mark.parametrize(
    ("kind", "factor"), [("voltage line to neutral", 1.0), ("voltage line to line", 2.0), ("wye", 3**0.5)]
)
def test_the_ends_of_the_voltage_ranges_a_tenth_to_each_side(kind, factor):
    """ANSI C84.1 on a 120 V base, from memory; line to line twice that, in a 208Y/120 V system √3 times."""
    wye = "service: {utility: U, volts: 208Y/120 V single-phase, rating: 200 A, at: P1, disconnect_place: out}\n"
    for of, a_low, b_low in (("P1", 114, 110), ("C1", 108, 104)):
        for base, expected in (
            (a_low + 0.1, "pass"), (a_low - 0.1, "undecided"), (b_low + 0.1, "undecided"), (b_low - 0.1, "fail"),
            (125.9, "pass"), (126.1, "undecided"), (126.9, "undecided"), (127.1, "fail"),
        ):  # fmt: skip
            told = "voltage line to line" if kind == "wye" else kind
            text = swap(reading(f"kind: {told}, volts: {base * factor:.3f} V"), "of: C1", f"of: {of}")
            assert verdict(supply_voltage, text + (wye if kind == "wye" else "")) == expected, (of, base)


@pytest.mark.parametrize(
    ("volts", "test", "ohms", "expected"),
    [
        ("250 V", "500 V", "25 MΩ", "pass"), ("251 V", "500 V", "25 MΩ", "undecided"),
        ("251 V", "1000 V", "99 MΩ", "fail"),
        ("251 V", "1000 V", "100 MΩ", "pass"), ("600 V", "1000 V", "100 MΩ", "pass"),
        ("250 V", "499 V", "25 MΩ", "undecided"),
        ("601 V", "1000 V", "100 MΩ", "undecided"), ("250 V", "500 V", "24 MΩ", "fail"),
    ],
)  # fmt: skip
def test_insulation_by_the_class_of_the_wiring(volts, test, ohms, expected):
    """ANSI/NETA MTS-2019 Table 100.1: 250 V class 500 V and 25 megohms; 600 V class 1000 V and 100 megohms."""
    text = reading(f"kind: insulation resistance, ohms: {ohms}, test_volts: {test}")
    assert verdict(insulation_resistance, swap(text, "volts: 120 V, runs", f"volts: {volts}, runs")) == expected


def test_the_first_reading_amiss_is_named():
    good, bad = "{of: C1, kind: GFCI trip, trip_current: 5 mA}", "{of: C1, kind: GFCI trip, trip_current: 9 mA}"
    assert result(gfci_trip, CIRCUIT + f"readings: [{good}, {bad}, {bad}]").reason.startswith("Reading 2 ")
    assert result(gfci_trip, CIRCUIT + f"readings: [{bad}, {bad}]").reason.startswith("Reading 1 ")
    right, wrong = (f"{{of: C1, kind: polarity, result: {each}}}" for each in ("as expected", "not as expected"))
    assert result(polarity, CIRCUIT + f"readings: [{right}, {wrong}, {wrong}]").reason.startswith("Reading 2 ")
    assert result(polarity, CIRCUIT + f"readings: [{right}]").reason == "All tests were as expected."


@pytest.mark.parametrize(
    ("ohms", "expected"), [("1.2 Ω", "pass"), ("1.21 Ω", "fail"), ("0.5 Ω", "pass"), ("0 Ω", "undecided")]
)
def test_the_loop_at_five_times_the_breaker(ohms, expected):
    """Common practice: 120 V / 1.2 Ω is 100 A, five times 20 A."""
    assert verdict(fault_loop, reading(f"kind: ground-fault loop impedance, ohms: {ohms}")) == expected


def test_the_ground_wire_is_the_one_reckoned_and_only_straight_pieces_count():
    """NEC Chapter 9 Table 8: 14 AWG copper 3.14 ohms per 1000 ft, 100 ft of it; the hot conductors do not matter."""
    text = reading("kind: ground continuity, ohms: 0.3 Ω")
    text = swap(text, "{role: equipment ground, size: 12 AWG", "{role: equipment ground, size: 14 AWG")
    found = result(ground_continuity, text)
    assert found.limit is not None
    assert found.limit.magnitude == pytest.approx(0.314 + 0.1)
    bent = swap(text, "{step: bend, degrees: 90°}", "{step: bend, degrees: 90°, length: 9 ft}")
    assert result(ground_continuity, bent).limit.magnitude == pytest.approx(0.414)


def test_the_steps_name_the_readings_outside_each_range():
    found = result(supply_voltage, swap(reading("kind: voltage line to neutral, volts: 100 V"), "of: C1", "of: P1"))
    assert [step.value for step in found.working] == ["outside: [1]", "outside: [1]"]
    found = result(supply_voltage, reading("kind: voltage line to neutral, volts: 120 V"))
    assert [step.value for step in found.working] == ["outside: none", "outside: none"]


def test_lengths_are_named_by_the_step_of_the_record():
    inputs = result(ground_continuity, reading("kind: ground continuity, ohms: 0.2 Ω")).inputs
    assert [given.meaning for given in inputs if given.symbol == "L"] == [
        "length of R1, step 2",
        "length of R1, step 4",
    ]


@pytest.mark.parametrize(("calibrated", "expected"), [("2025-06-11", "pass"), ("2025-06-10", "fail")])
def test_a_calibration_holds_a_year_and_a_leap_day(calibrated, expected):
    """Common practice: yearly; 366 days before the work was finished, and one more."""
    text = f"instruments: [{{code: I1, name: Meter, calibrated: {calibrated}}}]\n"
    used = "readings: [{of: C1, kind: polarity, result: as expected, instrument: I1, date: 2026-06-12}]\n"
    assert verdict(instrument_calibrated, CIRCUIT + used + text) == expected
