"""Fault current: published examples, what leaves it undecided, and what has to stand it."""

from __future__ import annotations

import re

import pytest

from handover.checks.fault_current import available_fault_current, interrupting_rating, panel_short_circuit_rating
from handover.units import magnitude
from tests.jobs import result, results, swap, verdict

PANEL = """
panels:
  - code: P1
    name: Main panel
    place: hall
    work: changed
    spaces: 6
    main_kind: main breaker
    main: 200 A
    bus: 200 A
    slots:
      - {spaces: [1, 3], breaker: 40 A, says: range}
      - {spaces: [6], breaker: {rating: 20 A, interrupting: 10 kA}, says: porch lights, work: new}
"""
MARKED = swap(PANEL, "bus: 200 A", "bus: 200 A\n    short_circuit_rating: 42 kA")
SERVICE = """
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, fault_current: 9 kA}
"""


def from_transformer(more: str = "", rating: str = "75 kVA", percent: str = "1.4 %") -> str:
    return swap(SERVICE, "fault_current: 9 kA", f"transformer: {{rating: {rating}, impedance: {percent}}}{more}")


def conductors(feet: int, size: str, metal: str = "copper", sets: int = 1) -> str:
    return f", conductors: {{size: {size}, material: {metal}, length: {feet} ft, sets: {sets}}}"


def stepped(found, kind: str, after: str) -> float:
    """The amperes of one kind after a length of conductor, out of the working."""
    (step,) = (step for step in found.working if step.formula == f"I / (1 + f), {kind}, after {after}")
    return float(step.value.removesuffix(" A"))


def test_worked_example_sc_1ph_ll():
    """A fuse maker's point-to-point example, numbers from memory: 75 kVA, 1.4 %, 25 ft of 500 kcmil copper in steel.

    22322 A at the transformer, f = 0.2096, M = 0.8267, 18453 A line to line; 20555 A to neutral.  The rule takes 0.9
    of the marked impedance and a raceway that may not be steel, so 1.4 % is written here as 0.9 × 1.5556 %, and the
    25 ft are those that have the same f with the C of such a raceway: 25 × 26706 / 22185 = 30.1 ft.
    """
    text = MARKED + from_transformer(conductors(30, "500 kcmil"), percent="1.5556 %")
    text = swap(text, "length: 30 ft", "length: 30.094 ft")
    found = result(available_fault_current, text, subject="P1")
    start = next(step for step in found.working if step.formula.startswith("I = S / V"))
    assert float(start.value.removesuffix(" A")) == pytest.approx(22322, rel=0.002)
    f = next(step for step in found.working if step.formula.startswith("f = ") and "line to line" in step.formula)
    assert float(f.value) == pytest.approx(0.2096, rel=0.002)
    assert stepped(found, "line to line", "the service conductors") == pytest.approx(18453, rel=0.002)
    assert magnitude(found.value, "ampere") == pytest.approx(20555, rel=0.002), "to neutral, the larger one"


STEEL_FEEDER = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     short_circuit_rating: 42 kA, slots: [{spaces: [1, 3], breaker: 100 A, feeds: F1}]}
  - {code: P2, name: Sub, place: shed, work: new, spaces: 4, main_kind: main lugs, short_circuit_rating: 25 kA}
feeders:
  - {code: F1, name: Feeder, work: new, volts: 240 V, to: P2, runs: [R1], conductors: [
       {role: hot, count: 2, size: 500 kcmil, material: copper}]}
runs: [{code: R1, name: Run, work: new, method: RMC, path: [{step: straight, length: 25 ft}]}]
"""


def test_worked_example_sc_1ph_ll_as_a_feeder_in_steel():
    """The same example with its own C of 22185: 25 ft of a feeder in steel after the transformer's 22322 A."""
    text = STEEL_FEEDER + swap(SERVICE, "9 kA", "22322 A")
    found = result(available_fault_current, text, subject="P2")
    assert stepped(found, "line to line", "F1 in R1") == pytest.approx(18453, rel=0.002)
    assert magnitude(found.value, "ampere") == pytest.approx(18453, rel=0.002)
    assert found.verdict == "pass"


def test_a_public_worksheet_from_transformer_to_sub_panel():
    """A single-phase fault worksheet of an inspector's office, its line-to-line column.

    300 kVA, 3 % taken at 90 %: 46296 A; 150 ft of 3/0 copper in plastic (C = 13923): 8978 A; 40 ft of 6 AWG (C = 2430):
    4024 A.  Its line-to-neutral column is not followed: it applies 1.5 after f.
    """
    text = (
        swap(STEEL_FEEDER, "size: 500 kcmil", "size: 6 AWG")
        .replace("RMC", "PVC schedule 40")
        .replace("length: 25 ft", "length: 40 ft")
    )
    service = from_transformer(conductors(150, "3/0 AWG"), rating="300 kVA", percent="3 %")
    found = result(available_fault_current, text + service, subject="P2")
    assert stepped(found, "line to line", "the service conductors") == pytest.approx(8978, rel=0.001)
    assert magnitude(found.value, "ampere") == pytest.approx(4024, rel=0.001)
    two = result(available_fault_current, text + swap(service, "sets: 1", "sets: 2"), subject="P1")
    single = result(available_fault_current, text + service, subject="P1")
    assert two.value > single.value


def test_the_larger_of_line_to_line_and_line_to_neutral_governs():
    """Near a center tap the current to neutral is 1.5 times that from line to line; it falls twice as fast."""
    near = result(available_fault_current, MARKED + from_transformer(conductors(5, "4/0 AWG")), subject="P1")
    far = result(available_fault_current, MARKED + from_transformer(conductors(400, "4/0 AWG")), subject="P1")
    for found, larger in ((near, "line to neutral"), (far, "line to line")):
        after = stepped(found, larger, "the service conductors")
        assert magnitude(found.value, "ampere") == pytest.approx(after, rel=1e-3)


def test_two_legs_of_a_three_phase_bank():
    """Physics: 300 kVA at 208 V, 3 %: 833 A / (0.9 × 3 %) = 30841 A to neutral, √3 / 2 of it from leg to leg."""
    service = from_transformer(rating="300 kVA", percent="3 %").replace("120/240 V", "208Y/120 V")
    found = result(interrupting_rating, PANEL + service)
    values = [step.value for step in found.working if "×" in step.formula]
    assert values == ["30841 A", "26709 A"]


@pytest.mark.parametrize(
    ("old", "new", "asked"),
    [
        ("length: 40 ft", "length: unknown", "the whole length of F1"),
        ("runs: [R1], ", "", "the whole length of F1"),
        ("size: 6 AWG", "size: unknown", "hot conductors of F1"),
        ("length: 150 ft", "length: unknown", "length of the service conductors"),
        (", sets: 1}", "}", "number of sets of the service conductors"),
        ("impedance: 3 %", "impedance: unknown", "kVA and %Z"),
        ("impedance: 3 %", "impedance: 0 %", "nameplate"),
    ],
)
def test_what_is_missing_is_asked_for(old, new, asked):
    text = STEEL_FEEDER.replace("500 kcmil", "6 AWG").replace("25 ft", "40 ft")
    text += from_transformer(conductors(150, "3/0 AWG"), rating="300 kVA", percent="3 %")
    found = results(available_fault_current, swap(text, old, new))
    assert found[-1].verdict == "undecided"
    assert asked in found[-1].reason


def test_nothing_known_of_the_supply_is_said_once():
    text = STEEL_FEEDER + swap(SERVICE, "9 kA", "unknown")
    found = result(available_fault_current, text)
    assert (found.subject, found.verdict, found.advice) == ("P1", "undecided", True)
    assert "Ask the utility" in found.reason


@pytest.mark.parametrize(("rating", "expected"), [("22 kA", "pass"), ("5 kA", "fail"), ("unknown", "undecided")])
def test_a_panel_is_marked_for_what_can_flow(rating, expected):
    panel = swap(PANEL, "bus: 200 A", f"bus: 200 A\n    short_circuit_rating: {rating}")
    assert verdict(available_fault_current, panel + SERVICE) == expected
    if expected == "undecided":
        assert verdict(available_fault_current, panel + swap(SERVICE, "9 kA", "4.9 kA")) == "pass"


BRANCH = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1], breaker: 20 A, feeds: C1, work: new}]}
circuits:
  - {code: C1, name: Bench, work: new, volts: 120 V, runs: [R1], conductors: [
       {role: hot, size: 12 AWG, material: copper}, {role: neutral, size: 12 AWG, material: copper}]}
runs: [{code: R1, name: Run, work: new, method: NM-B, path: [{step: straight, length: 50 ft}]}]
"""


def test_the_end_of_a_branch_circuit_on_one_hot_wire_has_the_current_to_neutral_alone():
    """Ours, by hand: f = 2 × 50 × 9000 / (617 × 120) = 12.16; 9000 / 13.16 = 684 A."""
    found = result(available_fault_current, BRANCH + SERVICE, subject="C1")
    assert magnitude(found.value, "ampere") == pytest.approx(9000 / (1 + 2 * 50 * 9000 / (617 * 120)))
    assert found.verdict == "pass"
    assert not any("line to line" in step.formula for step in found.working)
    two = swap(BRANCH, "{role: hot, size", "{role: hot, count: 2, size")
    assert result(available_fault_current, two + SERVICE, subject="C1").value > found.value


@pytest.mark.parametrize(("answer", "expected"), [("", "undecided"), ("yes", "pass"), ("no", "fail")])
def test_above_5_kiloamperes_a_person_says_what_stands_at_the_end(answer, expected):
    text = swap(BRANCH, "50 ft", "1 ft") + SERVICE
    if answer:
        text += (
            f"confirmed: [{{rule: available_fault_current, subject: C1, answer: {answer}, how: Read both labels.}}]\n"
        )
    assert verdict(available_fault_current, text, subject="C1") == expected


def test_a_circuit_that_no_space_feeds_is_undecided():
    lost = swap(BRANCH, "feeds: C1", "says: other")
    assert verdict(available_fault_current, lost + SERVICE, subject="C1") == "undecided"


def test_interrupting_rating_against_the_utilitys_figure():
    """NEC 110.9: at least the current available."""
    assert verdict(interrupting_rating, PANEL + SERVICE) == "pass"
    assert verdict(interrupting_rating, PANEL + swap(SERVICE, "9 kA", "10 kA")) == "pass"
    assert verdict(interrupting_rating, PANEL + swap(SERVICE, "9 kA", "10.1 kA")) == "fail"
    assert verdict(interrupting_rating, PANEL + swap(SERVICE, "9 kA", "unknown")) == "undecided"
    assert verdict(interrupting_rating, swap(PANEL, ", interrupting: 10 kA", "") + SERVICE) == "undecided"


@pytest.mark.parametrize(("answer", "expected"), [("", "undecided"), ("yes", "pass"), ("no", "fail")])
def test_a_series_combination_is_for_a_person_to_read(answer, expected):
    """NEC 240.86, from memory: a lower breaker may lean on the one ahead where the panel is marked for the two."""
    text = swap(PANEL, "bus: 200 A", "bus: 200 A\n    short_circuit_rating: 22 kA") + swap(SERVICE, "9 kA", "12 kA")
    if answer:
        text += (
            f"confirmed: [{{rule: interrupting_rating, subject: P1, answer: {answer}, how: Read the door label.}}]\n"
        )
    assert verdict(interrupting_rating, text) == expected
    assert verdict(interrupting_rating, swap(text, "22 kA", "11 kA")) == "fail", "the panel itself is not marked for it"


def test_fault_current_from_the_transformer_alone_is_the_most_it_can_be():
    """Point-to-point handbook, 75 kVA, 240 V, 1.4 %: 312.5 A × 71.43 = 22322 A (numbers from memory).

    With the 10 % tolerance of the nameplate and 1.5 to neutral it becomes 22322 / 0.9 × 1.5 = 37202 A (ours).  Without
    the length of the service conductors that is only a bound: it passes what reaches it and fails nothing.
    """
    found = result(interrupting_rating, PANEL + from_transformer())
    assert found.verdict == "undecided"
    (bound,) = re.findall(r"than the (\d+) A", found.reason)
    assert float(bound) == pytest.approx(37202, rel=0.002)
    strong = swap(PANEL, "interrupting: 10 kA", "interrupting: 42 kA")
    assert verdict(interrupting_rating, strong + from_transformer()) == "pass"
    assert verdict(interrupting_rating, PANEL + from_transformer(conductors(30, "4/0 AWG"))) == "fail"


SUB = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: 100 A, feeds: F1}]}
  - {code: P2, name: Sub, place: shed, work: new, spaces: 4, main_kind: main lugs, short_circuit_rating: 5 kA}
feeders: [{code: F1, name: Feeder, work: existing, volts: 240 V, to: P2, conductors: [
  {role: hot, count: 2, size: 3 AWG, material: copper}]}]
"""


def test_below_the_service_a_small_rating_waits_for_the_length_of_the_feeder():
    assert verdict(panel_short_circuit_rating, SUB + SERVICE) == "undecided"
    assert verdict(panel_short_circuit_rating, swap(SUB, "5 kA", "10 kA") + SERVICE) == "pass"
    run = "runs: [{code: R1, name: Run, work: existing, method: EMT, path: [{step: straight, length: 60 ft}]}]\n"
    known = swap(SUB, "to: P2,", "to: P2, runs: [R1],") + run + SERVICE
    assert verdict(panel_short_circuit_rating, known) == "pass"
    assert verdict(panel_short_circuit_rating, swap(known, "60 ft", "6 ft")) == "fail"
    assert verdict(panel_short_circuit_rating, swap(known, "short_circuit_rating: 5 kA", "bus: 100 A")) == "undecided"
    main = swap(PANEL, "bus: 200 A", "bus: 200 A\n    short_circuit_rating: 5 kA")
    assert verdict(panel_short_circuit_rating, main + SERVICE) == "fail"


def test_transfer_equipment_without_recorded_conductors_leaves_a_bound():
    text = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: 60 A, feeds: T1}]}
  - {code: P2, name: Standby, place: hall, work: new, spaces: 4, main_kind: main lugs, short_circuit_rating: 10 kA}
sources: [{code: G1, kind: generator, name: Generator, place: yard, work: existing}]
transfers: [{code: T1, name: Switch, place: hall, work: existing, kind: manual, source: G1, feeds: P2}]
"""
    assert verdict(panel_short_circuit_rating, text + SERVICE) == "pass"
    weak = swap(text, "short_circuit_rating: 10 kA", "short_circuit_rating: 5 kA")
    found = result(panel_short_circuit_rating, weak + SERVICE)
    assert found.verdict == "undecided"
    assert "conductors that feed P2" in found.reason


@pytest.mark.parametrize("edition", [2017, 2020, 2023, 2026])
def test_the_method_does_not_depend_on_the_edition_and_the_code_rules_do(edition):
    panel = swap(PANEL, "bus: 200 A", "bus: 200 A\n    short_circuit_rating: 10 kA") + SERVICE
    assert verdict(available_fault_current, panel, edition) == "pass"
    assert verdict(interrupting_rating, panel, edition) == ("undecided" if edition == 2026 else "pass")


def test_touching_no_panel_asks_nothing():
    untouched = swap(swap(PANEL, "work: changed", "work: existing"), ", work: new", "")
    for rule in (available_fault_current, interrupting_rating, panel_short_circuit_rating):
        assert results(rule, untouched + SERVICE) == []


def test_a_changed_panel_without_a_breaker_of_this_job_has_no_rating_to_judge():
    text = swap(PANEL, ", work: new}", "}") + SERVICE
    assert verdict(interrupting_rating, text) == "not_applicable"


UNASKED = """
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out,
          transformer: {rating: 25 kVA, impedance: unknown}, fault_current: unknown}
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 8, main_kind: main breaker, main: 200 A,
     main_interrupting: 22 kA, slots: [
       {spaces: [1], breaker: {rating: 20 A, interrupting: 10 kA}, feeds: C1, work: new},
       {spaces: [2], breaker: 20 A, says: hall}, {spaces: [4, 6], breaker: 30 A, says: dryer}]}
circuits: [{code: C1, name: Bench, work: new, volts: 120 V}]
"""


def test_what_follows_from_the_transformers_kva_is_told_while_its_impedance_is_waited_for():
    """Our own arithmetic: 25000 / 240 = 104.17 A; 1.5 × 104.17 × 100 / (0.9 × 10000) = 1.736 %, so 1.74 % marked.

    The branch breaker of 10 kA decides, not the main of 22 kA; old breakers without a recorded rating are named.
    """
    found = result(interrupting_rating, UNASKED)
    assert found.verdict == "undecided"
    assert "lowest interrupting rating recorded of what was put into P1 is 10000 A" in found.reason
    # The old breakers without a mark break 5000 A: 25000 / 240 × 1.5 × 100 / (0.9 × 5000) = 3.472 %.
    assert "25 kVA gives no more than 10000 A at 1.74 %, or 5000 A at 3.48 % of marked impedance" in found.reason
    assert "An estimate, which decides nothing" in found.reason
    assert "no rating is recorded for the breakers in spaces 2, 4/6: each counts as 5000 A" in found.reason
    wye = swap(UNASKED, "120/240 V single-phase", "208Y/120 V single-phase")
    # 25000 / (√3 × 208) = 69.39 A; 69.39 × 100 / (0.9 × 10000) = 0.771 %, so 0.78 %.
    assert "10000 A at 0.78 %" in result(interrupting_rating, wye).reason
    silent = swap(UNASKED, "rating: 25 kVA", "rating: unknown")
    assert "An estimate" not in result(interrupting_rating, silent).reason


def test_the_bound_told_is_the_bound_that_the_rule_draws():
    """With the impedance told at the bound the breaker passes, and a little below it does not."""
    for percent, expected in (("1.74%", "pass"), ("1.73%", "undecided")):
        assert verdict(interrupting_rating, swap(UNASKED, "impedance: unknown", f"impedance: {percent}")) == expected


FED = """
service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out,
          fault_current: unknown}
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 8, main_kind: main breaker, main: 200 A, slots: [
       {spaces: [1, 3], breaker: {rating: 60 A, interrupting: 10 kA}, feeds: F1, work: new}]}
  - {code: P2, name: Shed, place: shed, work: new, spaces: 8, main_kind: main lugs,
     short_circuit_rating: 10 kA, slots: [
       {spaces: [1], breaker: {rating: 20 A, interrupting: 10 kA}, feeds: C1, work: new}]}
feeders:
  - {code: F1, name: To the shed, work: new, volts: 240 V, to: P2, runs: [R1], conductors: [
       {role: hot, count: 2, size: 6 AWG, material: copper}]}
runs: [{code: R1, name: Way, work: new, method: PVC schedule 40, path: [{step: panel, code: P1},
        {step: straight, length: 110 ft}, {step: panel, code: P2}]}]
circuits: [{code: C1, name: Bench, work: new, volts: 120 V}]
"""


def test_a_long_feeder_settles_it_whatever_the_utility_gives():
    """Our own arithmetic: C × V / (2 × L) with the C of 6 AWG copper, not in steel, 2430 of the makers' tables."""
    rule = interrupting_rating
    (far,) = (found for found in results(rule, FED) if found.subject == "P2")
    assert (far.verdict, "Whatever the utility's supply gives" in far.reason) == ("pass", True)
    (most,) = (step for step in far.working if "endless supply" in step.formula and "line to line" in step.formula)
    assert float(most.value.removesuffix(" A")) == pytest.approx(2430 * 240 / (2 * 110), rel=0.01)
    (near,) = (found for found in results(rule, FED) if found.subject == "P1")
    assert near.verdict == "undecided"
    short = swap(FED, "length: 110 ft", "length: 20 ft")
    assert {found.subject: found.verdict for found in results(rule, short)} == {"P1": "undecided", "P2": "undecided"}
    assert verdict(panel_short_circuit_rating, FED, subject="P2") == "pass"
    unread = swap(FED, "length: 110 ft", "length: unknown")
    assert {found.verdict for found in results(rule, unread)} == {"undecided"}
