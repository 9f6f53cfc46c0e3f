"""Breakers: large enough for the load, small enough for the wire, of a standard rating."""

from __future__ import annotations

import pytest

from handover.checks.overcurrent import breaker_protects_conductor, continuous_load, small_conductors, standard_rating
from handover.units import magnitude
from tests.circuit_job import one_circuit, one_feeder
from tests.jobs import result, results, verdict

TWO_RECEPTACLES = """outlets: [{what: one, place: hall, area: living area, kind: receptacle},
    {what: two, place: hall, area: living area, kind: receptacle}]"""


def equipment(kind: str, facts: str) -> str:
    return f"equipment: [{{code: E1, name: A thing, kind: {kind}, circuit: C1, place: hall, work: new, {facts}}}]"


def hots(size: str, material: str = "copper") -> str:
    return f"{{role: hot, count: 2, size: {size}, material: {material}, insulation: THWN-2}}"


@pytest.mark.parametrize(
    ("current", "breaker"), [(16, 20), (24, 30), (32, 40), (40, 50), (48, 60), (64, 80), (80, 100)]
)
def test_car_chargers_and_their_breakers(current, breaker):
    """NEC 625.41 and 625.42, with a trade magazine's list of pairs: 125 % of the charger's current, exactly met."""
    charger = equipment("car charger", f"current: {current} A")
    text = one_circuit(breaker=f"{breaker} A", facts="note: none", more=charger)
    assert verdict(continuous_load, text) == "pass"
    above = text.replace(f"current: {current} A", f"current: {current}.1 A")
    assert verdict(continuous_load, above) == "fail"


def test_a_setting_counts_only_where_it_cannot_be_turned_up():
    """NEC 625.42 (2020 and 2023): an adjusted rating holds only with restricted access to the setting."""
    told = "current: 48 A, set_current: 32 A"
    text = one_circuit(breaker="40 A", facts="note: none", more=equipment("car charger", told))
    assert verdict(continuous_load, text) == "fail"
    kept = equipment("car charger", f"{told}, setting_access: behind a cover")
    assert verdict(continuous_load, one_circuit(facts="note: none", more=kept)) == "pass"
    only_set = equipment("car charger", "set_current: 32 A")
    assert verdict(continuous_load, one_circuit(facts="note: none", more=only_set)) == "undecided"


def test_water_heater_of_4500_watts():
    """EC&M Code Q&A by M. Holt: 18.75 A, so 23.44 A: a 25 A breaker does, a 20 A one does not."""
    heater = equipment("water heater", "power: 4500 W")
    for breaker, expected in (("25 A", "pass"), ("20 A", "fail")):
        found = result(continuous_load, one_circuit(breaker=breaker, facts="note: none", more=heater))
        assert found.verdict == expected
        assert magnitude(found.limit, "ampere") == pytest.approx(23.44, abs=0.005)


def test_feeder_load_is_not_taken_at_125_percent_twice():
    """NEC 215.3: 1.25 × 24 + 24 = 54 A on 60 A (our own numbers)."""
    found = result(continuous_load, one_feeder())
    assert (found.verdict, magnitude(found.limit, "ampere"), str(found.citation)) == (
        "pass",
        54,
        "NEC 2023 215.3, from memory",
    )
    assert verdict(continuous_load, one_feeder(breaker="50 A")) == "fail"
    assert verdict(continuous_load, one_feeder(facts="load: 48 A")) == "undecided"
    assert verdict(continuous_load, one_feeder(facts="load: unknown")) == "undecided"


@pytest.mark.parametrize(
    ("facts", "asks"),
    [
        ("continuous: yes", "current in use"),
        ("load: 32 A", "three hours"),
        ("load: unknown, continuous: no", "unknown"),
    ],
)
def test_a_load_that_is_not_recorded_is_asked_for(facts, asks):
    found = result(continuous_load, one_circuit(facts=facts))
    assert found.verdict == "undecided"
    assert asks in found.reason


def test_load_rule_leaves_nameplates_and_general_use_alone():
    """NEC 440.4(B): minimum circuit ampacity holds the 125 % already.  General receptacles have no fixed load."""
    plate = equipment("heat pump", "minimum_circuit_ampacity: 14.2 A, current: 11.5 A")
    assert verdict(continuous_load, one_circuit(more=plate)) == "not_applicable"
    assert verdict(continuous_load, one_circuit(more=equipment("heat pump", "current: 11.5 A"))) == "undecided"
    general = one_circuit(breaker="20 A", volts="120 V", facts=TWO_RECEPTACLES)
    assert verdict(continuous_load, general) == "not_applicable"


def test_a_circuit_without_a_breaker_is_undecided():
    text = one_circuit().replace("feeds: C1", "says: other")
    assert verdict(continuous_load, text) == "undecided"
    assert verdict(breaker_protects_conductor, text) == "undecided"


def test_breaker_above_nine_bundled_conductors():
    """EC&M Code Q&A: nine 12 AWG THHN have 21 A left, and a 20 A breaker protects them."""
    nine = "{role: hot, count: 9, size: 12 AWG, material: copper, insulation: THHN}"
    found = result(breaker_protects_conductor, one_circuit(breaker="20 A", conductors=nine))
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", pytest.approx(21))


def test_next_standard_rating_up():
    """NEC 240.4(B), Table 310.16: 6 AWG copper at 60 °C has 55 A, no standard rating: 60 A may stand, 70 A may not."""
    sixty = one_circuit(breaker="60 A", conductors=hots("6 AWG"), terminals="terminals: 60 °C, ")
    found = result(breaker_protects_conductor, sixty)
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 60)
    assert any(given.source == "NEC Table 240.6(A), 60 A" for given in found.inputs)
    seventy = one_circuit(breaker="70 A", conductors=hots("6 AWG"), terminals="terminals: 60 °C, ")
    assert verdict(breaker_protects_conductor, seventy) == "fail"


def test_no_rating_up_from_a_standard_one():
    """NEC 240.4(B)(2): 8 AWG copper at 75 °C has 50 A, which is a standard rating; 60 A is too much."""
    assert verdict(breaker_protects_conductor, one_circuit(breaker="50 A")) == "pass"
    assert verdict(breaker_protects_conductor, one_circuit(breaker="60 A")) == "fail"


def test_no_rating_up_for_several_receptacles():
    """NEC 240.4(B)(1): not for a branch circuit with more than one receptacle for portable loads."""
    facts = "load: 20 A, continuous: no, "
    aluminum = {"conductors": hots("8 AWG", "aluminum"), "terminals": "terminals: 60 °C, "}
    assert (
        verdict(breaker_protects_conductor, one_circuit(breaker="40 A", facts=facts + "note: none", **aluminum))
        == "fail"
    )
    six = {"conductors": hots("6 AWG"), "terminals": "terminals: 60 °C, ", "breaker": "60 A"}
    assert verdict(breaker_protects_conductor, one_circuit(facts=facts + "note: none", **six)) == "pass"
    assert verdict(breaker_protects_conductor, one_circuit(facts=facts + TWO_RECEPTACLES, **six)) == "fail"


def test_unmarked_terminals_leave_a_failing_breaker_undecided():
    """NEC 110.14(C)(1): 8 AWG copper has 40 A at 60 °C and 50 A at 75 °C."""
    assert verdict(breaker_protects_conductor, one_circuit(breaker="50 A", terminals="")) == "undecided"
    assert verdict(breaker_protects_conductor, one_circuit(breaker="40 A", terminals="")) == "pass"


def test_breaker_above_the_wire_is_right_for_marked_cooling_equipment():
    """EC&M Code Q&A, 240.4(G): MCA 44 A, breaker 60 A over 8 AWG copper with 50 A is allowed."""
    plate = equipment("air conditioner", "minimum_circuit_ampacity: 44 A, maximum_overcurrent: 60 A")
    text = one_circuit(breaker="60 A", more=plate)
    assert verdict(breaker_protects_conductor, text) == "not_applicable"
    assert verdict(small_conductors, text) == "not_applicable"


def test_motor_circuits_are_left_to_article_430():
    """NEC 430.52 allows a breaker above the conductor's ampacity; nothing is decided here where it is above."""
    motor = equipment("motor", "current: 12 A")
    text = one_circuit(breaker="40 A", facts="note: none", conductors=hots("12 AWG"), more=motor)
    assert verdict(breaker_protects_conductor, text) == "undecided"
    assert verdict(small_conductors, text) == "undecided"


@pytest.mark.parametrize(
    ("size", "material", "breaker", "expected"),
    [
        ("14 AWG", "copper", "15 A", "pass"),
        ("14 AWG", "copper", "20 A", "fail"),
        ("12 AWG", "copper", "20 A", "pass"),
        ("12 AWG", "copper", "25 A", "fail"),
        ("10 AWG", "copper", "30 A", "pass"),
        ("10 AWG", "copper", "35 A", "fail"),
        ("12 AWG", "aluminum", "15 A", "pass"),
        ("10 AWG", "aluminum", "30 A", "fail"),
        ("8 AWG", "copper", "60 A", "not_applicable"),
        ("14 AWG", "copper-clad aluminum", "10 A", "undecided"),
        ("unknown", "copper", "15 A", "undecided"),
    ],
)
def test_fixed_limits_for_small_wire(size, material, breaker, expected):
    """NEC 240.4(D), as quoted on a code forum; 12 AWG at 75 °C has 25 A, and still 20 A is the limit."""
    assert verdict(small_conductors, one_circuit(breaker=breaker, conductors=hots(size, material))) == expected


def test_ten_ampere_breakers_came_with_2023():
    """NEC Table 240.6(A), 2023 (a continuing-education page); fuses of 10 A are older."""
    text = one_circuit(breaker="10 A")
    assert verdict(standard_rating, text, edition=2023) == "pass"
    assert verdict(standard_rating, text, edition=2020) == "fail"


def test_standard_rating_names_the_next_one_up_and_asks_for_an_unknown_one():
    """NEC Table 240.6(A): 60 and 70 A, and nothing between."""
    found = result(standard_rating, one_circuit(breaker="65 A"))
    assert found.verdict == "fail"
    assert "70 A" in found.reason
    assert verdict(standard_rating, one_circuit(breaker="unknown")) == "undecided"


def test_new_panels_and_unnamed_new_breakers_are_looked_at_and_old_ones_are_not():
    text = """
panels:
  - code: P1
    name: Panel
    place: hall
    work: new
    spaces: 8
    main_kind: main breaker
    main: 100 A
    slots:
      - {spaces: [1], breaker: 20 A, work: new, says: pump}
      - {spaces: [3], breaker: 22 A, says: old}
"""
    assert [(found.subject, str(found.verdict)) for found in results(standard_rating, text)] == [
        ("P1", "pass"),
        ("P1/1", "pass"),
    ]


@pytest.mark.parametrize(
    ("outlet", "expected"), [("single: yes", "pass"), ("single: no", "fail"), ("single: unknown", "fail")]
)
def test_a_duplex_is_two_receptacles_and_one_not_said_to_be_single_is_taken_for_one(outlet, expected):
    """NEC 240.4(B)(1), Article 100 "receptacle": 6 AWG at 60 °C has 55 A; 60 A only for a single receptacle."""
    facts = f"load: 20 A, continuous: no, outlets: [{{what: a, place: b, area: garage, kind: receptacle, {outlet}}}]"
    text = one_circuit(breaker="60 A", facts=facts, conductors=hots("6 AWG"), terminals="terminals: 60 °C, ")
    assert verdict(breaker_protects_conductor, text) == expected


HEAVY = """
  - {code: C2, name: Kiln, work: new, volts: 240 V, load: 46 A, continuous: no}
"""


def test_a_feeder_is_judged_by_the_larger_of_the_written_load_and_the_sum():
    """Our own numbers: written 10 A, while a circuit of 46 A hangs on the panel: 60 A carries it, 45 A does not."""
    slots = "slots: [{spaces: [1, 3], breaker: 50 A, feeds: C2}]"
    text = one_feeder(facts="load: 10 A, continuous: 0 A").replace(
        "main_kind: main lugs", f"main_kind: main lugs, {slots}"
    )
    text += "circuits:" + HEAVY
    found = result(continuous_load, text, subject="F1")
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 46)
    assert any("larger" in step.formula for step in found.working)
    assert verdict(continuous_load, text.replace("breaker: 60 A", "breaker: 45 A"), subject="F1") == "fail"
    assert verdict(continuous_load, text.replace("load: 46 A", "load: unknown"), subject="F1") == "undecided"
    assert verdict(continuous_load, text.replace("feeds: C2", "says: old"), subject="F1") == "pass", (
        "only the written load is known"
    )


@pytest.mark.parametrize(
    ("breaker", "expected"), [("800 A", "pass"), ("801 A", "fail"), ("900 A", "fail"), ("1000 A", "fail")]
)
def test_the_next_rating_up_to_800_amperes_exactly(breaker, expected):
    """NEC 240.4(B) and (C): two sets of 500 kcmil copper have 760 A at 75 °C, and 800 A is the next rating."""
    text = one_feeder(
        breaker=breaker,
        facts="load: 100 A, continuous: 0 A, sets: 2, sets_in_each_run: 1",
        conductors="{role: hot, count: 2, size: 500 kcmil, material: copper, insulation: THWN-2}",
        run="method: EMT, trade_size: 4 in, ambient: 30 °C",
    )
    assert verdict(breaker_protects_conductor, text) == expected


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("yes", "no", "fail"),
        ("no", "yes", "fail"),
        ("no", "no", "pass"),
        ("no", "unknown", "undecided"),
        ("unknown", "no", "undecided"),
    ],
)
def test_every_load_of_the_circuit_has_to_say_whether_it_runs_for_hours(first, second, expected):
    """Our own numbers: 36 A together on 40 A; as a continuous load 45 A are asked."""
    things = ", ".join(
        f"{{code: E{n}, name: A thing, kind: other, circuit: C1, place: hall, work: new, current: 18 A, "
        f"continuous: {said}}}"
        for n, said in enumerate((first, second), 1)
    )
    text = one_circuit(breaker="40 A", facts="note: none", more=f"equipment: [{things}]")
    assert verdict(continuous_load, text) == expected


@pytest.mark.parametrize(
    ("work", "kind", "subjects"),
    [
        ("new", "main breaker", ["P1", "C1"]),
        ("new", "main lugs", ["C1"]),
        ("existing", "main breaker", ["C1"]),
        ("changed", "main breaker", ["C1"]),
    ],
)
def test_only_a_new_panels_own_main_is_fitted_by_this_job(work, kind, subjects):
    text = one_circuit().replace("    work: existing\n", f"    work: {work}\n").replace("main breaker", kind)
    assert [found.subject for found in results(standard_rating, text)] == subjects
