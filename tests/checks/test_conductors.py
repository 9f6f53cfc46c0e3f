"""Conductors large enough at their terminals and where they run; insulation for wet places."""

from __future__ import annotations

import pytest

from handover.checks.chargers import charger_gfci
from handover.checks.conductors import conductor_after_correction, conductor_before_correction, wet_location_insulation
from handover.checks.grounding_conductor import equipment_grounding_conductor
from handover.checks.overcurrent import breaker_protects_conductor, continuous_load, small_conductors, standard_rating
from handover.checks.poles import neutral_size, poles_and_wires
from handover.checks.raceways import raceway_fill
from handover.checks.terminals import terminal_temperature
from handover.units import magnitude
from tests.circuit_job import GROUND, HOT, one_circuit, one_feeder
from tests.jobs import result, verdict

CHARGER = """
equipment:
  - {code: E1, name: Car charger, kind: car charger, circuit: C1, place: garage, work: new, current: 48 A}
"""
UNIT = """
equipment:
  - {code: E1, name: Unit, kind: air conditioner, circuit: C1, place: yard, work: new, minimum_circuit_ampacity: 44 A}
"""


def hots(size: str, insulation: str = "THWN-2", count: int = 2, material: str = "copper") -> str:
    return f"{{role: hot, count: {count}, size: {size}, material: {material}, insulation: {insulation}}}"


def amps(found) -> float:
    return magnitude(found.value, "ampere")


def test_worked_example_ev_48():
    """A vehicle owners' forum, quoting 625.42 and Table 310.16: 60 A needed, 6 AWG copper has 65 A at 75 °C."""
    text = one_circuit(breaker="60 A", facts="note: none", conductors=hots("6 AWG"), more=CHARGER)
    found = result(conductor_before_correction, text)
    assert (found.verdict, amps(found), magnitude(found.limit, "ampere")) == ("pass", 65, 60)
    assert str(found.citation) == "NEC 2023 210.19(A)(1), from memory"
    assert verdict(continuous_load, text) == "pass"
    assert verdict(continuous_load, text.replace("breaker: 60 A", "breaker: 50 A")) == "fail"
    assert verdict(equipment_grounding_conductor, text.replace(hots("6 AWG"), f"{hots('6 AWG')}, {GROUND}")) == "pass"
    assert verdict(conductor_before_correction, text.replace("6 AWG", "8 AWG")) == "fail"


def test_car_charger_of_48_amperes_on_cable_held_to_60_degrees():
    """The same forum: 6 AWG NM cable has 55 A (334.80) and is too small."""
    text = one_circuit(
        breaker="60 A", facts="note: none", conductors=hots("6 AWG"), run="method: NM-B, ambient: 30 °C", more=CHARGER
    )
    found = result(conductor_before_correction, text)
    assert (found.verdict, amps(found)) == ("fail", 55)


def test_nameplate_ampacity_of_44_amperes():
    """EC&M Code Q&A: MCA 44 A, 75 °C terminals: 8 AWG copper with 50 A does; the next smaller size does not."""
    good = result(conductor_before_correction, one_circuit(breaker="60 A", conductors=hots("8 AWG"), more=UNIT))
    assert (good.verdict, amps(good), good.citation.section) == ("pass", 50, "440.35, from memory")
    assert verdict(conductor_before_correction, one_circuit(conductors=hots("10 AWG"), more=UNIT)) == "fail"


def test_worked_example_wh_4500_conductors():
    """EC&M Code Q&A by M. Holt, 422.13: 4500 W at 240 V is 18.75 A, and 23.44 A are asked of the circuit."""
    heater = """
equipment:
  - {code: E1, name: Water heater, kind: water heater, circuit: C1, place: hall, work: new, power: 4500 W}
"""
    text = one_circuit(breaker="30 A", facts="note: none", conductors=hots("10 AWG"), more=heater)
    found = result(conductor_before_correction, text)
    assert found.verdict == "pass"
    assert magnitude(found.limit, "ampere") == pytest.approx(23.44, abs=0.005)
    thin = one_circuit(breaker="25 A", facts="note: none", conductors=hots("12 AWG"), more=heater)
    assert verdict(conductor_before_correction, thin) == "pass", "12 AWG copper has 25 A at 75 °C"
    assert verdict(small_conductors, thin) == "fail", "and 240.4(D) holds it to 20 A"


def test_worked_example_amp_120f():
    """An education provider's article: 10 AWG THHN (40 A at 90 °C) at 120 °F, factor 0.82, leaves 32.8 A."""
    text = one_circuit(
        facts="load: 30 A, continuous: no",
        conductors=hots("10 AWG", "THHN"),
        run="method: EMT, trade_size: 1/2 in, ambient: 120 °F",
    )
    found = result(conductor_after_correction, text)
    assert found.verdict == "pass"
    assert amps(found) == pytest.approx(32.8)


def test_worked_example_amp_nine_12():
    """EC&M Code Q&A: nine current-carrying 12 AWG THHN: 30 A × 70 % = 21 A, so a 20 A breaker is all right."""
    text = one_circuit(breaker="20 A", facts="load: 20 A, continuous: no", conductors=hots("12 AWG", "THHN", 9))
    found = result(conductor_after_correction, text)
    assert found.verdict == "pass"
    assert amps(found) == pytest.approx(21)
    assert verdict(breaker_protects_conductor, text) == "pass"


def test_no_adjustment_in_a_nipple():
    """NEC Chapter 9 Table 1 note 4 and 310.15(C)(1)(b): a raceway to 24 in needs no adjustment; an inch more does."""
    load = "load: 20 A, continuous: no"
    for inches, left in (("24 in", 25.0), ("25 in", 21.0)):
        path = f"{{step: straight, length: {inches}, surroundings: indoors}}"
        text = one_circuit(breaker="20 A", facts=load, conductors=hots("12 AWG", "THHN", 9), path=path)
        assert amps(result(conductor_after_correction, text)) == pytest.approx(left)


def test_the_load_itself_is_compared_after_correction_and_its_quarter_more_before():
    """NEC 210.19(A): two tests, the larger size wins; 8 AWG copper, 75 °C: 50 A.  Our own numbers: 42 A for hours."""
    text = one_circuit(breaker="60 A", facts="load: 42 A, continuous: yes")
    before, after = result(conductor_before_correction, text), result(conductor_after_correction, text)
    assert (before.verdict, magnitude(before.limit, "ampere")) == ("fail", 52.5)
    assert (after.verdict, magnitude(after.limit, "ampere")) == ("pass", 42)


def test_exactly_at_the_limit_passes():
    """1.25 × 40 A = 50 A, the 75 °C ampacity of 8 AWG copper."""
    assert (
        verdict(conductor_before_correction, one_circuit(breaker="50 A", facts="load: 40 A, continuous: yes")) == "pass"
    )


def test_feeder_and_its_sections():
    """NEC 215.2(A)(1), by edition; 6 AWG copper 65 A against 24 × 1.25 + 24 = 54 A (our own numbers)."""
    found = result(conductor_before_correction, one_feeder(), edition=2020)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 54)
    assert str(found.citation) == "NEC 2020 215.2(A)(1)(a)"
    older = result(conductor_before_correction, one_feeder(), edition=2017)
    assert (str(older.citation), older.verdict) == ("NEC 2017 215.2(A)(1)(a), from memory", "pass")


def test_unmarked_terminals_are_read_at_60_degrees_and_asked_for_where_that_is_not_enough():
    """NEC 110.14(C)(1)(a): to 100 A the 60 °C column, unless marked: 8 AWG copper 40 A there and 50 A at 75 °C."""
    enough = one_circuit(terminals="", facts="load: 32 A, continuous: yes")
    found = result(conductor_before_correction, enough)
    assert (found.verdict, amps(found)) == ("pass", 40)
    too_small = result(conductor_before_correction, one_circuit(terminals="", facts="load: 36 A, continuous: yes"))
    assert too_small.verdict == "undecided"
    assert "marked" in too_small.reason


def test_insulation_below_the_terminals_marking_sets_the_column():
    """NEC 310.16 and 110.14(C): TW is 60 °C wire, so 8 AWG has 40 A whatever the terminals say."""
    assert amps(result(conductor_before_correction, one_circuit(conductors=hots("8 AWG", "TW")))) == 40


def test_wire_in_the_ground_is_read_by_its_wet_rating():
    """NEC 310.15(A) with 300.5(B): XHHW is 75 °C wire where wet; 6 AWG: 65 A, at 40 °C × 0.88 = 57.2 A."""
    path = "{step: straight, length: 40 ft, surroundings: underground}"
    text = one_circuit(
        breaker="50 A",
        conductors=hots("6 AWG", "XHHW"),
        path=path,
        run="method: PVC schedule 40, trade_size: 1 in, ambient: 40 °C",
    )
    assert amps(result(conductor_after_correction, text)) == pytest.approx(57.2)


def test_close_above_a_roof_it_is_hotter():
    """NEC 310.15(B)(2): less than 7/8 in above a roof, 33 °C (60 °F) are added: 63 °C, factor 0.65 at 90 °C."""
    path = "{step: straight, length: 40 ft, surroundings: roof}"
    for height, left in (("1/2 in", 75 * 0.65), ("7/8 in", 65.0)):
        run = f"method: EMT, trade_size: 1 in, ambient: 30 °C, height_above_roof: {height}"
        text = one_circuit(breaker="40 A", conductors=hots("6 AWG"), path=path, run=run)
        assert amps(result(conductor_after_correction, text)) == pytest.approx(left)
    unknown = one_circuit(conductors=hots("6 AWG"), path=path, run="method: EMT, trade_size: 1 in, ambient: 30 °C")
    assert verdict(conductor_after_correction, unknown) == "undecided"


@pytest.mark.parametrize(
    ("hot", "neutral", "service", "counted"),
    [
        (2, "count: 1", "120/240 V single-phase", "2"),
        (1, "count: 1", "120/240 V single-phase", "2"),
        (2, "count: 1", "208Y/120 V single-phase", "3"),
        (2, "count: 1, carries_current: yes", "120/240 V single-phase", "3"),
        (1, "count: 1, carries_current: no", "120/240 V single-phase", "1"),
    ],
)
def test_which_neutrals_count(hot, neutral, service, counted):
    """NEC 310.15(E): not the one that carries only the difference, but the one of a two-wire circuit, or if so said."""
    wires = (
        f"{hots('8 AWG', count=hot)}, {{role: neutral, {neutral}, size: 8 AWG, material: copper, insulation: THWN-2}}"
    )
    utility = f"service: {{utility: A utility, volts: {service}, rating: 200 A, at: P1, disconnect_place: outside}}"
    text = one_circuit(conductors=f"{wires}, {GROUND}", facts="load: 20 A, continuous: no", more=utility)
    found = result(conductor_after_correction, text)
    assert [given.value for given in found.inputs if given.symbol == "n"] == [counted]


def test_a_neutral_shared_by_two_circuits_is_not_counted_for_either():
    """NEC 310.15(E)(1): the neutral of a multiwire circuit of 120/240 V carries only the difference."""
    neutral = "{role: neutral, size: 12 AWG, material: copper, insulation: THWN-2}"
    text = one_circuit(
        volts="120 V",
        breaker="20 A",
        facts="load: 10 A, continuous: no, multiwire_with: C2",
        conductors=f"{hots('12 AWG', count=1)}, {neutral}",
    )
    found = result(conductor_after_correction, text)
    assert [given.value for given in found.inputs if given.symbol == "n"] == ["1"]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        (one_circuit(facts="continuous: yes"), "current in use"),
        (one_circuit(conductors=""), "hot conductors"),
        (one_circuit(conductors="{role: hot, count: 2, size: unknown, material: copper}"), "size"),
        (one_circuit(conductors="{role: hot, count: 2, size: 8 AWG, material: copper}"), "insulation"),
        (one_circuit(run="method: EMT, trade_size: 3/4 in"), "warmest"),
        (one_circuit(conductors=hots("8 AWG", "cotton")), "insulation"),
        (one_circuit(run="method: EMT, trade_size: 3/4 in, ambient: 95 °C"), "no row"),
        (one_circuit(more=UNIT.replace(", minimum_circuit_ampacity: 44 A", "")), "Minimum circuit ampacity of E1"),
        (one_circuit(breaker="unknown"), "rating of the breaker"),
        (one_circuit(facts="load: 32 A, continuous: yes, sets: 2"), "parallel sets"),
    ],
)
def test_a_missing_fact_is_asked_for(text, asks):
    found = result(conductor_after_correction, text)
    assert found.verdict == "undecided"
    assert asks in found.reason


def test_existing_wiring_gives_no_result():
    text = one_circuit().replace("name: A circuit, work: new", "name: A circuit, work: existing")
    with pytest.raises(AssertionError):
        result(conductor_before_correction, text)


def test_a_circuit_for_general_use_is_sized_for_its_breaker():
    """NEC 210.19: receptacles for anything; 12 AWG copper, 25 A at 75 °C, on 20 A."""
    outlets = "outlets: [{what: two receptacles, place: hall, area: living area, kind: receptacle}]"
    text = one_circuit(breaker="20 A", volts="120 V", facts=outlets, conductors=hots("12 AWG", count=1))
    found = result(conductor_before_correction, text)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 20)


OUTDOORS = "{step: straight, length: 20 ft, surroundings: outdoors}"


@pytest.mark.parametrize(
    ("insulation", "expected"),
    [("THWN-2", "pass"), ("THHN", "fail"), ("THHN/THWN-2", "pass"), ("unknown", "undecided")],
)
def test_wire_outdoors_is_made_for_wet_places(insulation, expected):
    """NEC 310.10(C), 300.9: inside of a raceway outdoors is a wet place; THHN alone is for dry and damp ones."""
    text = one_circuit(conductors=hots("8 AWG", insulation), path=OUTDOORS)
    assert verdict(wet_location_insulation, text) == expected


@pytest.mark.parametrize(
    ("cable", "expected"), [("NM-B", "fail"), ("AC", "fail"), ("UF-B", "pass"), ("MC", "undecided")]
)
def test_cable_in_the_ground(cable, expected):
    """NEC 334.12(B) bars NM cable from wet places, 320.12 AC cable; UF cable is made for them (340.10)."""
    path = "{step: straight, length: 20 ft, surroundings: underground}"
    assert verdict(wet_location_insulation, one_circuit(run=f"method: {cable}", path=path)) == expected


def test_a_bare_ground_wire_may_lie_wet_and_dry_runs_give_no_result():
    ground = "{role: equipment ground, size: 10 AWG, material: copper, insulation: bare}"
    assert verdict(wet_location_insulation, one_circuit(conductors=f"{HOT}, {ground}", path=OUTDOORS)) == "pass"
    with pytest.raises(AssertionError):
        verdict(wet_location_insulation, one_circuit())


def test_a_feeder_carries_the_larger_of_the_written_load_and_the_sum():
    """Our own numbers: written 10 A, and a kiln of 66 A on the panel; 6 AWG copper has 65 A (NEC Table 310.16)."""
    slots = "slots: [{spaces: [1, 3], breaker: 80 A, feeds: C2}]"
    text = one_feeder(breaker="70 A", facts="load: 10 A, continuous: 0 A")
    text = text.replace("main_kind: main lugs", f"main_kind: main lugs, {slots}")
    kiln = text + "circuits: [{code: C2, name: Kiln, work: new, volts: 240 V, load: 66 A, continuous: no}]"
    for rule in (conductor_before_correction, conductor_after_correction):
        assert verdict(rule, text.replace("feeds: C2", "says: kiln"), subject="F1") == "pass"
        assert verdict(rule, kiln, subject="F1") == "fail"


@pytest.mark.parametrize(
    ("height", "insulation", "expected"),
    [
        ("1/2 in", "THWN-2", "fail"),
        ("13/16 in", "THWN-2", "undecided"),
        ("7/8 in", "THWN-2", "pass"),
        ("1/2 in", "XHHW-2", "undecided"),
    ],
)
def test_where_two_readings_of_the_heat_above_a_roof_differ_nothing_fails(height, insulation, expected):
    """NEC 310.15(B)(2): 7/8 in, or from memory 3/4 in with XHHW-2 excepted; 75 A x 0.65 = 48.75 A, else 65 A."""
    path = "{step: straight, length: 40 ft, surroundings: roof}"
    run = f"method: EMT, trade_size: 1 in, ambient: 30 °C, height_above_roof: {height}"
    facts = "load: 60 A, continuous: no"
    text = one_circuit(breaker="60 A", facts=facts, conductors=hots("6 AWG", insulation), path=path, run=run)
    assert verdict(conductor_after_correction, text) == expected
    assert verdict(breaker_protects_conductor, text) == expected
    little = text.replace("load: 60 A", "load: 40 A")
    assert verdict(conductor_after_correction, little) == "pass", "enough by either reading"


def test_a_short_hot_section_does_not_count():
    """NEC 310.14(A)(2) exception (2017: 310.15(A)(2)), a magazine on it: at most 10 ft and 10 % of the rest.

    6 AWG copper close above a roof 75 A × 0.65 = 48.75 A, elsewhere 75 A × 1.00, held to 65 A by the terminals.
    """
    run = "method: EMT, trade_size: 1 in, ambient: 30 °C, height_above_roof: 1/2 in"
    for cool, hot, left in (("90 ft", "9 ft", 65.0), ("90 ft", "10 ft", 48.75), ("200 ft", "11 ft", 48.75)):
        path = (
            f"{{step: straight, length: {cool}, surroundings: indoors}}, "
            f"{{step: straight, length: {hot}, surroundings: roof}}"
        )
        found = result(conductor_after_correction, one_circuit(conductors=hots("6 AWG"), path=path, run=run))
        assert amps(found) == pytest.approx(left)
    unknown = one_circuit(conductors=hots("6 AWG"), path=path.replace("11 ft", "unknown"), run=run)
    assert amps(result(conductor_after_correction, unknown)) == pytest.approx(48.75)


@pytest.mark.parametrize(("hot", "left"), [("9 ft", 65.0), ("11 ft", 61.5), ("unknown", 61.5)])
def test_a_short_run_that_is_warmer_does_not_count(hot, left):
    """The same exception; 6 AWG copper at 49 °C: 75 A × 0.82 = 61.5 A."""
    second = (
        f"  - {{code: R2, name: B, work: new, method: EMT, ambient: 49 °C, path: [{{step: straight, length: {hot}}}]}}"
    )
    path = "{step: straight, length: 90 ft, surroundings: indoors}"
    text = one_circuit(conductors=hots("6 AWG"), path=path, more=second).replace("runs: [R1]", "runs: [R1, R2]")
    assert amps(result(conductor_after_correction, text)) == pytest.approx(left)


def charging(connection: str, conductors: str, gfci: str) -> str:
    """A charger of 40 A on a 50 A breaker of two poles, in 3/4 in plastic pipe in a garage; terminals not read."""
    kind = "hardwired" if connection == "hardwired" else "receptacle"
    outlet = f"outlets: [{{what: charging, place: garage, area: garage, kind: {kind}, single: yes}}]"
    charger = f"""
equipment:
  - {{code: E1, name: Car charger, kind: car charger, circuit: C1, place: garage, work: new, current: 40 A,
     outdoors: no, connection: {connection}}}
"""
    return one_circuit(
        breaker=f"{{rating: 50 A, common_trip: yes, gfci: {gfci}}}",
        facts=f"individual: yes, {outlet}",
        conductors=conductors,
        terminals="",
        run="method: PVC schedule 40, trade_size: 3/4 in, ambient: 30 °C",
        more=charger,
    )


THREE = f"{hots('6 AWG', 'THHN')}, {GROUND}"
FOUR = f"{THREE}, {{role: neutral, size: 6 AWG, material: copper, insulation: THHN}}"
AS_WIRED = (
    conductor_before_correction, conductor_after_correction, continuous_load, breaker_protects_conductor,
    standard_rating, terminal_temperature, poles_and_wires, equipment_grounding_conductor, raceway_fill,
)  # fmt: skip


@pytest.mark.parametrize("rule", AS_WIRED, ids=lambda rule: rule.id)
def test_a_hardwired_charger_as_the_trade_wires_it(rule):
    """Common practice, no source: two 6 AWG THHN and a 10 AWG ground wire in 3/4 in PVC on 50 A, without a neutral."""
    assert verdict(rule, charging("hardwired", THREE, "no")) == "pass"
    assert verdict(neutral_size, charging("hardwired", THREE, "no")) == "not_applicable"


@pytest.mark.parametrize("rule", [*AS_WIRED, neutral_size, charger_gfci], ids=lambda rule: rule.id)
def test_a_charging_receptacle_as_the_trade_wires_it(rule):
    """Common practice, no source: four wires to the receptacle, and a GFCI breaker; without that it fails (625.54)."""
    assert verdict(rule, charging("cord and plug", FOUR, "yes")) == "pass"
    assert verdict(charger_gfci, charging("cord and plug", FOUR, "no")) == "fail"


def test_an_inner_limit_of_the_terminals_column_is_the_lower_of_two():
    """NEC 110.14(C): terminals of 60 °C hold 90 °C wire to 40 A (8 AWG); at 75 °C to 50 A."""
    for terminals, column in (("60 °C", 40), ("75 °C", 50)):
        found = result(conductor_before_correction, one_circuit(terminals=f"terminals: {terminals}, "))
        assert amps(found) == column
        assert [step for step in found.inputs if step.meaning == f"ampacity in the {terminals} column"]


def test_cable_in_insulation_is_asked_for_only_where_it_can_matter():
    """NEC 320.80(A) and 338.10(B)(4)(a): AC cable, and SE cable of 10 AWG and smaller, 60 °C in insulation."""

    def read(cable: str, size: str, fact: str, terminals: str = "75 °C"):
        return result(
            conductor_before_correction,
            one_circuit(breaker="20 A", facts="load: 10 A, continuous: no", conductors=hots(size),
                        run=f"method: {cable}, ambient: 30 °C{fact}", terminals=f"terminals: {terminals}, "),
        )  # fmt: skip

    yes, no = ", in_thermal_insulation: yes", ", in_thermal_insulation: no"
    for cable, size, inside, outside in (("AC", "8 AWG", 40, 50), ("SE", "10 AWG", 30, 35), ("SE", "12 AWG", 20, 25)):
        assert amps(read(cable, size, yes)) == inside
        assert amps(read(cable, size, no)) == outside
        assert read(cable, size, "").verdict == "undecided"
        assert amps(read(cable, size, "", "60 °C")) == inside
    assert amps(read("SE", "8 AWG", "")) == 50, "larger than 10 AWG"
    assert amps(read("SE", "1/0 AWG", "")) == 150
    assert amps(read("SE", "250 kcmil", "")) == 255
    assert amps(read("MC", "8 AWG", "")) == 50


@pytest.mark.parametrize(
    ("count", "own", "expected"),
    [(3, 2, "pass"), (4, 2, "undecided"), (20, 2, "undecided"), (21, 2, "pass"), (20, 3, "undecided"), (20, 4, "pass")],
)
def test_armored_cable_that_may_be_spared(count, own, expected):
    """NEC 310.15(C)(1)(d): 12 AWG copper, no more than three of its own, up to 20 in the bundle; the jacket unknown."""
    text = one_circuit(
        breaker="20 A", facts="load: 5 A, continuous: no", conductors=hots("12 AWG", "THHN", own),
        run=f"method: MC, ambient: 30 °C, bundled_conductors: {count}",
    )  # fmt: skip
    assert verdict(conductor_after_correction, text) == expected
    for other in (
        text.replace("12 AWG", "14 AWG"),
        text.replace("12 AWG", "10 AWG"),
        text.replace("material: copper", "material: aluminum"),
    ):
        assert verdict(conductor_after_correction, other) != "undecided"
    assert verdict(conductor_after_correction, text.replace("method: MC", "method: NM-B")) == "pass"


def test_the_least_size_of_several_entries_counts_and_the_first_of_alike():
    """Two entries of hot conductors: the smaller is judged, whichever stands first."""
    for pair in ((hots("6 AWG", count=1), hots("8 AWG", count=1)), (hots("8 AWG", count=1), hots("6 AWG", count=1))):
        assert amps(result(conductor_before_correction, one_circuit(conductors=", ".join(pair)))) == 50
    big = (hots("250 kcmil", count=1), hots("1/0 AWG", count=1))
    assert amps(result(conductor_before_correction, one_circuit(conductors=", ".join(big)))) == 150


@pytest.mark.parametrize(
    ("cool", "hot", "left"), [(100, 10, 65.0), (99, 10, 48.75), (101, 10, 65.0), (150, 10.5, 48.75)]
)
def test_a_short_section_to_its_ten_feet_and_its_tenth(cool, hot, left):
    """NEC 310.14(A)(2) exception: 10 ft and 10 % of the rest, both at most."""
    path = (
        f"{{step: straight, length: {cool} ft, surroundings: indoors}}, "
        f"{{step: straight, length: {hot} ft, surroundings: roof}}"
    )
    run = "method: EMT, trade_size: 1 in, ambient: 30 °C, height_above_roof: 1/2 in"
    found = result(conductor_after_correction, one_circuit(conductors=hots("6 AWG"), path=path, run=run))
    assert amps(found) == pytest.approx(left)


def test_by_terminals_of_60_degrees_the_insulation_need_not_be_known():
    """NEC 110.14(C): no insulation is rated for less than the 60 °C column."""
    bare = "{role: hot, count: 2, size: 8 AWG, material: copper}"
    found = result(conductor_before_correction, one_circuit(conductors=bare, terminals="terminals: 60 °C, "))
    assert (found.verdict, amps(found)) == ("pass", 40)
    assert verdict(conductor_before_correction, one_circuit(conductors=bare)) == "undecided"


def test_a_bare_ground_wire_named_first_spares_no_other_wire():
    """NEC 310.10(C): each conductor in the wet by itself."""
    bare = "{role: equipment ground, size: 10 AWG, material: copper, insulation: bare}"
    wet = one_circuit(conductors=f"{bare}, {hots('8 AWG', 'THHN')}", path=OUTDOORS)
    assert verdict(wet_location_insulation, wet) == "fail"


def test_two_single_receptacles_are_several():
    """NEC 240.4(B)(1): the next rating up is not for a circuit of more than one receptacle."""
    single = "{what: one, place: hall, area: living area, kind: receptacle, single: yes}"
    for count, expected in ((1, "pass"), (2, "fail")):
        facts = f"load: 30 A, continuous: no, outlets: [{', '.join([single] * count)}]"
        text = one_circuit(breaker="70 A", facts=facts, conductors=hots("6 AWG"))  # 65 A, and 70 A is the next
        assert verdict(breaker_protects_conductor, text) == expected
