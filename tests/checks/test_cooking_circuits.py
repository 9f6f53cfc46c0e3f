"""Branch circuits of ranges and clothes dryers."""

from __future__ import annotations

import pytest

from handover.checks.conductors import conductor_after_correction, conductor_before_correction
from handover.checks.cooking_circuits import dryer_circuit, range_circuit
from handover.checks.overcurrent import breaker_protects_conductor, continuous_load
from handover.checks.poles import neutral_size
from handover.units import magnitude
from tests.circuit_job import confirmed, one_appliance, wires
from tests.jobs import result, results, swap, verdict


def cooker(
    power: str = "12 kW",
    breaker: str = "40 A",
    size: str = "8 AWG",
    *,
    kind: str = "range",
    neutral: str | None = "8 AWG",
) -> str:
    hots = wires("hot", size, 2)
    conductors = f"{hots}, {wires('neutral', neutral)}" if neutral else hots
    return one_appliance(
        "range", f"power: {power}, maximum_marked: no, cooking_kind: {kind}", breaker=breaker, conductors=conductors
    )


@pytest.mark.parametrize(("edition", "section"), [(2017, "210.19(A)(3)"), (2020, "210.19(A)(3)"), (2023, "210.19(C)")])
def test_a_range_of_12_kw_on_40_amperes(edition, section):
    """NECA code question of 2015 and a code forum: 8 kW by column C, 33.3 A, and 40 A at least from 8-3/4 kW up."""
    found = result(range_circuit, cooker(), edition)
    assert found.verdict == "pass"
    assert section in found.citation.section
    assert magnitude(found.limit, "ampere") == pytest.approx(40)
    assert verdict(range_circuit, cooker(breaker="35 A"), edition) == "fail"


@pytest.mark.parametrize(
    ("power", "demand"),
    [
        ("16 kW", 9.6 / 0.24),  # note 1: 4 kW above 12, 8 kW × 1.2
        ("12.5 kW", 8 / 0.24),  # half a kW is no major fraction
        ("12.6 kW", 8.4 / 0.24),
        ("12 kW", 8 / 0.24),
        ("8.75 kW", 7 / 0.24),  # column B, 80 %
        ("3 kW", 2.4 / 0.24),  # column A, 80 %
        ("1.5 kW", 1.5 / 0.24),
    ],
)
def test_demand_of_one_range(power, demand):
    """NEC Table 220.55 with notes 1 and 3, as the trade press and Annex D quote it; amperes at 240 V."""
    found = result(conductor_before_correction, cooker(power, breaker="50 A", size="6 AWG"))
    assert magnitude(found.limit, "ampere") == pytest.approx(demand)
    after = result(conductor_after_correction, cooker(power, breaker="50 A", size="6 AWG"))
    assert magnitude(after.limit, "ampere") == pytest.approx(demand)


def test_a_small_range_needs_no_40_amperes():
    """NEC 210.19(A)(3): 40 A from 8-3/4 kW.  8.5 kW × 80 % = 6.8 kW is 28.3 A: a 30 A circuit does."""
    assert verdict(range_circuit, cooker("8.5 kW", "30 A", "10 AWG")) == "pass"
    assert verdict(range_circuit, cooker("8.75 kW", "30 A", "10 AWG")) == "fail"


def test_one_oven_or_cooktop_takes_its_nameplate_and_together_they_are_one_range():
    """NEC Table 220.55 note 4, a code forum: one oven or cooktop by nameplate; a cooktop with ovens as one range."""
    assert verdict(range_circuit, cooker("9.6 kW", kind="oven")) == "pass"  # 40 A
    assert verdict(range_circuit, cooker("9.7 kW", kind="oven")) == "fail"
    oven = """{code: E2, name: B, kind: range, circuit: C1, place: b, work: existing, power: 6 kW,
      maximum_marked: no, cooking_kind: oven}]"""
    both = swap(cooker("6 kW", kind="cooktop"), "cooking_kind: cooktop}]", f"cooking_kind: cooktop}}, {oven}")
    assert verdict(range_circuit, both) == "pass"
    assert verdict(range_circuit, swap(both, "cooking_kind: oven", "cooking_kind: range")) == "undecided"


def test_wires_no_less_than_the_breaker():
    """NEC 210.19(A)(3): ampacity no less than the circuit's rating; 8 AWG copper has 50 A at 75 °C, 40 A at 60."""
    assert verdict(range_circuit, cooker(breaker="50 A")) == "pass"
    cold = swap(cooker(breaker="50 A"), "terminals: 75 °C", "terminals: 60 °C")
    found = result(range_circuit, cold)
    assert (found.verdict, magnitude(found.value, "ampere")) == ("fail", 40)
    assert verdict(range_circuit, swap(cooker(breaker="50 A"), "terminals: 75 °C, ", "")) == "undecided"


def test_general_rules_leave_a_range_to_its_demand():
    """A 12 kW range is 50 A by nameplate and right on 40 A."""
    assert verdict(continuous_load, cooker()) == "not_applicable"
    for rule in (conductor_before_correction, conductor_after_correction, breaker_protects_conductor):
        assert verdict(rule, cooker()) == "pass"
    assert result(conductor_before_correction, cooker()).citation.section == "210.19(C)"


def test_a_new_range_circuit_has_a_neutral_unless_the_appliance_takes_none():
    """NEC 250.140, a NECA code question: the frame on the neutral survives on existing circuits only."""
    bare = cooker(neutral=None)
    assert verdict(range_circuit, bare) == "undecided"
    assert verdict(range_circuit, bare + confirmed("range_circuit", "E1")) == "pass"
    assert verdict(range_circuit, bare + confirmed("range_circuit", "E1", "no")) == "fail"


def test_a_ranges_neutral_of_70_percent():
    """NEC 210.19(A)(3) exception 2, from memory: 70 % of the rating, 10 AWG at least.  10 AWG copper 35 A at 75 °C."""
    assert verdict(neutral_size, cooker(breaker="50 A", neutral="10 AWG")) == "pass"
    assert verdict(neutral_size, cooker("16 kW", "60 A", "6 AWG", neutral="10 AWG")) == "fail"  # 42 A
    assert verdict(neutral_size, cooker("3 kW", "30 A", "10 AWG", neutral="12 AWG")) == "undecided"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("power: 12 kW", "power: unknown"),
        (", cooking_kind: range", ""),
        ("maximum_marked: no, ", ""),
        ("breaker: 40 A", "breaker: unknown"),
        ("circuit: C1", "circuit: C7"),
        ("power: 12 kW", "power: 28 kW"),
        (
            "cooking_kind: range}]",
            "cooking_kind: range}, {code: E2, name: B, kind: other, circuit: C1, place: b, work: new}]",
        ),
    ],
)
def test_what_a_range_lacks_is_asked_for(old, new):
    assert verdict(range_circuit, swap(cooker(), old, new)) == "undecided"


def test_the_nameplates_maximum_and_old_ranges():
    marked = swap(cooker(breaker="50 A"), "power: 12 kW", "power: 12 kW, maximum_overcurrent: 40 A")
    assert verdict(range_circuit, marked) == "fail"
    assert (
        results(range_circuit, swap(cooker(), "place: hall, work: new, power", "place: hall, work: existing, power"))
        == []
    )


def dryer(power: str = "5.4 kW", breaker: str = "30 A", *, neutral: bool = True) -> str:
    conductors = wires("hot", "10 AWG", 2) + (f", {wires('neutral', '10 AWG')}" if neutral else "")
    return one_appliance("dryer", f"power: {power}, maximum_marked: no", breaker=breaker, conductors=conductors)


def test_a_dryer_on_its_usual_30_amperes():
    """NEC 422.10(A), from memory: no less than the nameplate, 5.4 kW / 240 V = 22.5 A.  30 A is common practice."""
    found = result(dryer_circuit, dryer())
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("pass", 22.5)
    assert verdict(dryer_circuit, dryer(breaker="20 A")) == "fail"
    assert verdict(dryer_circuit, dryer("3 kW", "20 A")) == "pass", "a small one, right on 20 A"
    assert verdict(dryer_circuit, swap(dryer(), "power: 5.4 kW", "power: unknown")) == "undecided"
    assert verdict(dryer_circuit, swap(dryer(), "power: 5.4 kW", "power: 5.4 kW, maximum_overcurrent: 25 A")) == "fail"
    assert verdict(dryer_circuit, swap(dryer("1 kW"), "volts: 240 V", "volts: 120 V")) == "not_applicable"


def test_a_new_dryer_circuit_has_a_neutral_too():
    """NEC 250.140, as above."""
    assert verdict(dryer_circuit, dryer(neutral=False)) == "undecided"
    assert verdict(dryer_circuit, dryer(neutral=False) + confirmed("dryer_circuit", "E1")) == "pass"
    assert verdict(dryer_circuit, dryer(neutral=False) + confirmed("dryer_circuit", "E1", "no")) == "fail"
    shared = "maximum_marked: no}, {code: E2, name: B, kind: other, circuit: C1, place: b, work: new}"
    assert verdict(dryer_circuit, swap(dryer(), "maximum_marked: no}", shared)) == "undecided"


@pytest.mark.parametrize(
    ("watts", "demand", "says"),
    [
        (1750, 1750, ""), (1751, 1400.8, "column A"), (3499, 2799.2, "column A"), (3500, 2800, "column B"),
        (8749, 6999.2, "column B"), (8750, 7000, "column B"), (8751, 8000, ""), (12000, 8000, ""),
        (12500, 8000, "× (1 + 5 %"),
        (12501, 8400, "× (1 + 5 %"), (13500, 8400, "× (1 + 5 %"), (13501, 8800, "× (1 + 5 %"), (27000, 14000, "× (1"),
    ],
)  # fmt: skip
def test_one_range_watt_by_watt(watts, demand, says):
    """NEC Table 220.55 with notes 1 and 3: *over* 1-3/4 kW at 80 %; over 8-3/4 kW column C; major fractions."""
    found = result(conductor_before_correction, cooker(f"{watts} W", breaker="60 A", size="6 AWG"))
    assert magnitude(found.limit, "ampere") == pytest.approx(demand / 240)
    formulas = [step.formula for step in found.working if "220.55" in step.formula or "note" in step.formula]
    assert (says in formulas[0]) if says else not formulas
    over = result(conductor_before_correction, cooker("27001 W", breaker="60 A", size="6 AWG"))
    assert over.verdict == "undecided"


@pytest.mark.parametrize(("watts", "least"), [(8749, 6999.2 / 240), (8750, 40), (8751, 40)])
def test_forty_amperes_from_eight_and_three_quarters(watts, least):
    """NEC 210.19(A)(3), from 2023 on 210.19(C): 40 A for ranges of 8-3/4 kW or more."""
    found = result(range_circuit, cooker(f"{watts} W", breaker="20 A", size="6 AWG"))
    assert (found.verdict, magnitude(found.limit, "ampere")) == ("fail", pytest.approx(least))


def test_a_cooktop_with_ovens_up_to_two():
    """NEC Table 220.55, note 4: one cooktop and one or two ovens; not three, not two cooktops, not an oven first."""

    def kitchen(*kinds: str) -> str:
        more = "".join(
            f", {{code: E{n}, name: B, kind: range, circuit: C1, place: b, work: existing, power: 3 kW, "
            f"maximum_marked: no, cooking_kind: {kind}}}"
            for n, kind in enumerate(kinds[1:], 2)
        )
        return swap(cooker("3 kW", kind=kinds[0]), f"cooking_kind: {kinds[0]}}}]", f"cooking_kind: {kinds[0]}}}{more}]")

    assert verdict(range_circuit, kitchen("cooktop", "oven")) == "pass"
    assert verdict(range_circuit, kitchen("oven", "cooktop")) == "pass"
    two = result(range_circuit, kitchen("cooktop", "oven", "oven"))
    assert (two.verdict, magnitude(two.limit, "ampere")) == ("pass", 40)
    assert next(step.numbers for step in two.working if step.formula == "P, added") == "E1 + E2 + E3"
    for wrong in (("cooktop", "oven", "oven", "oven"), ("cooktop", "cooktop"), ("oven", "oven"), ("cooktop", "range")):
        assert verdict(range_circuit, kitchen(*wrong)) == "undecided"


@pytest.mark.parametrize(("volts", "expected"), [("150 V", "not_applicable"), ("151 V", "pass")])
def test_the_gas_dryers_circuit_ends_at_150_volts(volts, expected):
    assert verdict(dryer_circuit, swap(dryer("4 kW"), "volts: 240 V", f"volts: {volts}")) == expected
