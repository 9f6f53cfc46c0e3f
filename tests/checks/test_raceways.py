"""Raceways and cables: bends, supports, and growth of plastic pipe."""

from __future__ import annotations

import pytest

from handover.checks.raceways import pvc_expansion, raceway_bends, raceway_support
from handover.checks.supports import pvc_straps_near_ends
from handover.units import magnitude
from tests.circuit_job import one_circuit
from tests.jobs import result, results, verdict


def raceway(method: str, size: str) -> str:
    return f"method: {method}, trade_size: {size} in, ambient: 30 °C"


# Bends


def bends(*steps: str) -> str:
    return one_circuit(path=", ".join(f"{{step: {step}}}" for step in steps))


@pytest.mark.parametrize(
    ("steps", "expected", "most"),
    [
        (("panel", "bend, degrees: 90°", "offset, degrees: 60°", "bend, degrees: 90°", "box"), "pass", 240),
        (("panel", *["bend, degrees: 90°"] * 4, "equipment"), "pass", 360),
        (("panel", *["bend, degrees: 90°"] * 4, "saddle, degrees: 1°", "equipment"), "fail", 361),
        (("panel", *["bend, degrees: 90°"] * 3, "conduit body", *["bend, degrees: 90°"] * 3, "box"), "pass", 270),
        (("bend, degrees: 90°", *["bend, degrees: 90°"] * 4), "fail", 450),
        (("panel", "straight", "box"), "pass", 0),
    ],
)
def test_bends_between_pull_points(steps, expected, most):
    """NEC 358.26: the equal of four quarter bends, 360°, between pull points; boxes and conduit bodies are such."""
    found = result(raceway_bends, bends(*steps))
    assert (str(found.verdict), magnitude(found.value, "degree")) == (expected, pytest.approx(most))
    assert found.citation.section == "358.26"


def test_bends_that_were_not_recorded_are_asked_for():
    found = result(raceway_bends, bends("panel", "bend", "box"))
    assert found.verdict == "undecided"
    assert "step 2 (bend)" in found.reason
    assert verdict(raceway_bends, one_circuit(path="")) == "undecided"


def test_trade_fact_three_quarter_turns_and_a_conduit_body():
    """Common practice, no source: no more than 360° between pull points; a conduit body is one of them."""
    quarter = "bend, degrees: 90°"
    assert verdict(raceway_bends, bends("panel", *[quarter] * 4, "conduit body", *[quarter] * 4, "box")) == "pass"
    assert verdict(raceway_bends, bends("panel", *[quarter] * 5, "box")) == "fail"


# Supports


def held(method: str, size: str, straight: str, *, after: str = "box") -> str:
    path = f"{{step: panel}}, {{step: straight, surroundings: indoors, {straight}}}, {{step: {after}}}"
    return one_circuit(run=raceway(method, size) if size else f"method: {method}", path=path)


@pytest.mark.parametrize(
    ("method", "size", "apart", "end"),
    [("EMT", "3/4", 120, 36), ("PVC schedule 40", "1", 36, 36), ("PVC schedule 80", "1-1/4", 60, 36),
     ("LFNC-B", "1/2", 36, 12), ("NM-B", "", 54, 12), ("LFMC", "1/2", 54, 12)],
)  # fmt: skip
def test_supports_exactly_at_their_limits_and_just_beyond(method, size, apart, end):
    """NEC 358.30, 352.30, 356.30, 334.30, 350.30, as given by a residential-code summary table."""
    straight = "length: 40 ft, support_spacing: {} in, first_support: {} in, last_support: {} in"
    assert verdict(raceway_support, held(method, size, straight.format(apart, end, end))) == "pass"
    assert verdict(raceway_support, held(method, size, straight.format(apart + 1, end, end))) == "fail"


def test_an_end_too_far_from_its_support():
    """NEC 350.30(A), 334.30: 12 in.  Beyond 36 in EMT may have 60 in where there is nothing to fasten to (358.30)."""
    nm = held("NM-B", "", "length: 20 ft, support_spacing: 4 ft, first_support: 13 in, last_support: 8 in")
    assert verdict(raceway_support, nm) == "fail"
    emt = "length: 20 ft, support_spacing: 9 ft, first_support: {}, last_support: 8 in"
    found = result(raceway_support, held("EMT", "3/4", emt.format("40 in")))
    assert found.verdict == "undecided"
    assert "nothing to fasten to" in found.reason
    assert verdict(raceway_support, held("EMT", "3/4", emt.format("61 in"))) == "fail"


def test_longer_spans_of_rigid_conduit_ask_for_a_person():
    """NEC Table 344.30(B)(2): 14 ft for 1-1/4 in rigid metal conduit, straight and threaded."""
    text = "length: 40 ft, support_spacing: {} ft, first_support: 12 in, last_support: 12 in"
    assert verdict(raceway_support, held("RMC", "1-1/4", text.format(10))) == "pass"
    assert "threaded" in result(raceway_support, held("RMC", "1-1/4", text.format(14))).reason
    assert verdict(raceway_support, held("RMC", "1-1/4", text.format(15))) == "fail"


def test_a_loose_whip_at_equipment():
    """NEC 350.30(A) exception: 36 in of 1/2 in LFMC may stay loose where it has to move with the equipment."""
    assert verdict(raceway_support, held("LFMC", "1/2", "length: 36 in", after="equipment")) == "pass"
    assert verdict(raceway_support, held("LFMC", "1/2", "length: 37 in", after="equipment")) == "undecided"
    assert verdict(raceway_support, held("LFMC", "1/2", "length: 36 in", after="box")) == "undecided"


def test_pipe_in_the_ground_needs_no_support_and_a_middle_piece_no_end():
    path = """{step: panel}, {step: straight, length: 3 ft, surroundings: outdoors, first_support: 12 in},
        {step: bend}, {step: straight, length: 40 ft, surroundings: underground}, {step: bend},
        {step: straight, length: 3 ft, surroundings: outdoors, last_support: 12 in}, {step: box}"""
    assert verdict(raceway_support, one_circuit(run=raceway("PVC schedule 40", "1"), path=path)) == "pass"
    buried = "{step: straight, length: 40 ft, surroundings: underground}"
    assert verdict(raceway_support, one_circuit(run=raceway("PVC schedule 40", "1"), path=buried)) == "pass"


@pytest.mark.parametrize(("size", "expected"), [("10 AWG", "fail"), ("8 AWG", "pass"), ("unknown", "undecided")])
def test_mc_cable_is_held_near_its_ends_only_to_ten_gauge(size, expected):
    """NEC 330.30(B): 12 in for cables of conductors to 10 AWG; 330.30(A): 6 ft for all."""
    straight = "length: 20 ft, support_spacing: 6 ft, first_support: 20 in, last_support: 12 in"
    path = f"{{step: panel}}, {{step: straight, surroundings: indoors, {straight}}}, {{step: box}}"
    conductors = f"{{role: hot, count: 2, size: {size}, material: copper}}"
    assert verdict(raceway_support, one_circuit(run="method: MC", path=path, conductors=conductors)) == expected


@pytest.mark.parametrize("straight", ["length: 20 ft", "support_spacing: 8 ft, first_support: 12 in", "note: none"])
def test_supports_that_were_not_recorded_are_asked_for(straight):
    found = result(raceway_support, held("EMT", "3/4", straight))
    assert found.verdict == "undecided"
    assert "step 2 (straight)" in found.reason
    assert verdict(raceway_support, one_circuit(path="")) == "undecided"


def plastic(spacing: str, first: str, size: str = "3/4") -> str:
    straight = f"length: 20 ft, support_spacing: {spacing}, first_support: {first}, last_support: 12 in"
    return held("PVC schedule 40", size, straight)


def test_trade_fact_small_plastic_pipe():
    """Common practice, no source: 3/4 in PVC strapped every 3 ft at most, and within 12 in of its ends out of care."""
    assert verdict(raceway_support, plastic("3 ft", "36 in")) == "pass"
    assert verdict(raceway_support, plastic("37 in", "12 in")) == "fail"
    careful = result(pvc_straps_near_ends, plastic("3 ft", "12 in"))
    assert (str(careful.verdict), careful.advice, str(careful.citation)) == (
        "pass", True, "common practice straps near the ends",
    )  # fmt: skip
    careless = result(pvc_straps_near_ends, plastic("3 ft", "13 in"))
    assert (str(careless.verdict), careless.advice) == ("fail", True)


def test_straps_near_ends_are_asked_for_and_only_of_small_plastic_pipe():
    assert verdict(pvc_straps_near_ends, plastic("3 ft", "unknown")) == "undecided"
    assert verdict(pvc_straps_near_ends, plastic("3 ft", "12 in").replace("trade_size: 3/4 in, ", "")) == "undecided"
    assert results(pvc_straps_near_ends, plastic("3 ft", "12 in", "1-1/4")) == []
    assert results(pvc_straps_near_ends, held("EMT", "3/4", "length: 20 ft, first_support: 20 in")) == []


@pytest.mark.parametrize("method", ["LFNC-A", "LFNC-B"])
def test_both_kinds_of_flexible_plastic_conduit_are_held_alike(method):
    """NEC 356.30: 3 ft, and 12 in from the ends."""
    straight = "length: 20 ft, support_spacing: {} in, first_support: 12 in, last_support: 12 in"
    assert verdict(raceway_support, held(method, "1-1/4", straight.format(36))) == "pass"
    assert verdict(raceway_support, held(method, "1-1/4", straight.format(37))) == "fail"


# Growth of plastic pipe


def outdoors(length: str, low: str, high: str, fitting: str = "") -> str:
    run = f"method: PVC schedule 40, trade_size: 1 in, temperature_low: {low}, temperature_high: {high}"
    straight = f"{{step: straight, length: {length}, surroundings: outdoors}}"
    return one_circuit(run=run, path=f"{{step: box}}, {straight}{fitting}, {{step: box}}")


def test_worked_example_pvc_90ft():
    """PVC conduit maker's instructions, example 1: 90 ft, -10 to 110 °F: 4.38 in, so a fitting is needed.

    One of 8 in travel does, and of 4 in travel two.
    """
    found = result(pvc_expansion, outdoors("90 ft", "-10 °F", "110 °F"))
    assert found.verdict == "fail"
    assert "4.38" in found.reason
    four, eight = (f", {{step: expansion fitting, travel: {travel} in}}" for travel in (4, 8))
    told = {fittings: result(pvc_expansion, outdoors("90 ft", "-10 °F", "110 °F", fittings)) for fittings in (
        eight, four, four * 2)}  # fmt: skip
    assert [str(each.verdict) for each in told.values()] == ["pass", "fail", "pass"]
    assert all(magnitude(each.limit, "inch") == pytest.approx(4.38, rel=0.001) for each in told.values())


def test_a_fitting_of_unknown_travel_is_no_pass():
    """NEC 352.44: the fitting has to take up the change; where none is needed its travel does not matter."""
    fitting = ", {step: expansion fitting}"
    assert verdict(pvc_expansion, outdoors("90 ft", "-10 °F", "110 °F", fitting)) == "undecided"
    assert verdict(pvc_expansion, outdoors("5 ft", "0 °F", "100 °F", fitting)) == "pass"


@pytest.mark.parametrize(("change", "published"), [(10, 0.4056), (100, 4.056)])
def test_worked_example_pvc_unit(change, published):
    """PVC conduit maker's instructions: "about 3/8 in" for 10 °F and "more than 4 in" for 100 °F, over 100 ft."""
    found = result(pvc_expansion, outdoors("100 ft", "0 °F", f"{change} °F"))
    assert float(found.working[-1].value.split()[0]) == pytest.approx(published, rel=0.001)


def test_a_quarter_inch_is_the_trigger():
    """NEC 352.44: 1/4 in or more.  Over 100 °F: 6 ft grow 0.243 in and 6 ft 3 in grow 0.2535 in."""
    assert verdict(pvc_expansion, outdoors("6 ft", "0 °F", "100 °F")) == "pass"
    assert verdict(pvc_expansion, outdoors("6 ft 3 in", "0 °F", "100 °F")) == "fail"


@pytest.mark.parametrize(
    "text",
    [
        outdoors("9 ft", "unknown", "100 °F"),
        outdoors("9 ft", "0 °F", "not checked"),
        outdoors("unknown", "0 °F", "100 °F"),
        outdoors("9 ft", "100 °F", "0 °F"),
    ],
)
def test_growth_asks_for_what_is_missing(text):
    assert verdict(pvc_expansion, text) == "undecided"


def test_growth_is_cited_by_edition():
    """The 2023 edition moved the rule into 352.44(A) (from memory)."""
    text = outdoors("9 ft", "0 °F", "50 °F")
    assert [result(pvc_expansion, text, edition).citation.section for edition in (2017, 2020, 2023)] == [
        "352.44",
        "352.44",
        "352.44(A), from memory",
    ]


# Supports over a bend or a coupling


def joined(last: str, first: str, joint: str = "{step: bend, degrees: 90°, radius: 8 in}", method: str = "EMT") -> str:
    one = f"{{step: straight, length: 9 ft, surroundings: indoors, support_spacing: 3 ft, first_support: 12 in{last}}}"
    two = f"{{step: straight, length: 9 ft, surroundings: indoors, support_spacing: 3 ft, last_support: 12 in{first}}}"
    return one_circuit(run=raceway(method, "1"), path=f"{{step: panel}}, {one}, {joint}, {two}, {{step: box}}")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (joined(", last_support: 5 ft", ", first_support: 47 in"), "pass"),  # 60 + 12.6 + 47 = 119.6 in
        (joined(", last_support: 5 ft", ", first_support: 48 in"), "fail"),  # 120.6 in, more than 10 ft
        (joined(", last_support: 5 ft", ", first_support: 60 in", "{step: coupling}"), "pass"),
        (joined(", last_support: 5 ft", ", first_support: 61 in", "{step: coupling}"), "fail"),
        (joined(", last_support: 5 ft", ", first_support: 60 in", "{step: bend, degrees: 90°}"), "pass"),
        (joined(", last_support: 5 ft", ", first_support: 61 in", "{step: bend, degrees: 90°}"), "fail"),
        (joined("", ", first_support: 12 in"), "undecided"),
        (joined(", last_support: 12 in", ""), "undecided"),
        (joined(", last_support: 20 in", ", first_support: 20 in", "{step: coupling}", "PVC schedule 40"), "fail"),
        (joined(", last_support: 30 in", ", first_support: 30 in", "{step: conduit body}", "PVC schedule 40"), "pass"),
        (joined(", last_support: 30 in", ", first_support: 30 in", "{step: box}", "PVC schedule 40"), "pass"),
    ],
)
def test_the_distance_over_a_bend_or_coupling(text, expected):
    """NEC 358.30 (EMT 10 ft) and 352.30 (1 in PVC 3 ft): π/2 x 8 in = 12.6 in for the bend; boxes and bodies end it."""
    assert verdict(raceway_support, text) == expected


def test_the_distance_over_a_joint_of_two_kinds_goes_by_the_closer_supports():
    """NEC 358.30 (EMT 10 ft) and 352.30 (1 in PVC 3 ft)."""
    text = joined(", last_support: 20 in", ", first_support: 20 in, method: PVC schedule 40", "{step: coupling}")
    assert verdict(raceway_support, text) == "fail"
    text = joined(", last_support: 18 in", ", first_support: 18 in, method: PVC schedule 40", "{step: coupling}")
    assert verdict(raceway_support, text) == "pass"
    text = joined(", last_support: 20 in", ", first_support: 20 in, method: LFMC", "{step: coupling}")
    assert "over the joint" not in result(raceway_support, text).reason


def test_what_lies_in_the_ground_is_held_by_it():
    below = "{step: straight, length: 9 ft, surroundings: underground}"
    path = (
        "{step: box}, {step: straight, length: 3 ft, surroundings: outdoors, first_support: 12 in, last_support: 20 in}"
    )
    text = one_circuit(run=raceway("PVC schedule 40", "1"), path=f"{path}, {{step: bend, degrees: 90°}}, {below}")
    assert verdict(raceway_support, text) == "pass"


def test_lines_end_where_the_pipe_bends_and_the_least_room_is_told():
    """NEC 352.44: each straight line by itself.  Over 100 °F 10 ft grow 0.4056 in, 20 ft 0.8112 in."""
    line = "{{step: straight, length: {} ft, surroundings: outdoors}}, {{step: expansion fitting, travel: {} in}}"
    bend = "{step: bend, degrees: 90°, radius: 8 in}"

    def read(*parts: str):
        run = (
            "method: PVC schedule 40, trade_size: 1 in, ambient: 30 °C, temperature_low: 0 °F, temperature_high: 100 °F"
        )
        return result(pvc_expansion, one_circuit(run=run, path=", ".join(parts)))

    for parts in ((line.format(10, 2), bend, line.format(20, 1)), (line.format(20, 1), bend, line.format(10, 2))):
        found = read(*parts)
        assert (found.verdict, found.value.magnitude) == ("pass", 1)
        assert found.limit.magnitude == pytest.approx(0.8112)
    narrow = read(line.format(10, 0.3), bend, line.format(20, 4))
    assert (narrow.verdict, narrow.value.magnitude) == ("fail", 0.3)
    assert narrow.limit.magnitude == pytest.approx(0.4056)
    plain = "{step: straight, length: 20 ft, surroundings: outdoors}"
    assert read(line.format(10, 2), bend, plain).verdict == "fail", "the second line has no fitting"
    assert read(plain, bend, line.format(10, 2)).verdict == "fail", "nor has the first here"
    inside = "{step: straight, length: 20 ft, surroundings: indoors}"
    found = read(line.format(10, 2), bend, inside)
    assert (found.verdict, found.limit.magnitude) == ("pass", pytest.approx(0.4056))


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [("50 °F", "50 °F", "pass"), ("51 °F", "50 °F", "undecided"), ("50.5 °F", "50 °F", "undecided")],
)
def test_the_coldest_is_no_warmer_than_the_warmest(low, high, expected):
    assert verdict(pvc_expansion, outdoors("90 ft", low, high)) == expected


def test_the_tightest_of_several_pieces_is_told():
    """NEC 358.30: EMT 10 ft apart, 3 ft from an end; what uses most of its limit is the tightest."""

    def piece(spacing: str, first: str, last: str) -> str:
        return (
            f"{{step: straight, surroundings: indoors, length: 40 ft, support_spacing: {spacing}, "
            f"first_support: {first}, last_support: {last}}}"
        )

    def read(*path: str):
        return result(raceway_support, one_circuit(run=raceway("EMT", "3/4"), path=", ".join(path)))

    panel, box = "{step: panel}", "{step: box}"
    found = read(panel, piece("9 ft", "12 in", "24 in"), box, piece("8 ft", "33 in", "12 in"), box)
    assert found.verdict == "pass"
    told = "Tightest: distance from the end to the first support at step 4 (straight), 33 in where 36 in is allowed."
    assert found.reason == told
    found = read(panel, piece("9 ft 11 in", "12 in", "24 in"), box, piece("8 ft", "33 in", "12 in"), box)
    assert "distance between supports at step 2 (straight)" in found.reason
    found = read(panel, piece("8 ft", "12 in", "35 in"), box, piece("8 ft", "33 in", "12 in"), box)
    assert "the last support at step 2 (straight), 35 in where 36 in" in found.reason
    bend = "{step: bend, degrees: 90°, radius: 8 in}"
    through = read(panel, bend, piece("8 ft", "34 in", "12 in"), bend, box)
    assert "the first support at step 3 (straight), 34 in" in through.reason
    far = read(panel, piece("8 ft", "12 in", "12 in"), bend, piece("8 ft", "12 in", "35 in"), bend, bend, box)
    assert "the last support at step 4 (straight), 35 in" in far.reason
    middle = read(panel, piece("8 ft", "12 in", "60 in"), "{step: coupling}", piece("8 ft", "59 in", "12 in"), box)
    assert "distance over the joint from the last support at step 2 (straight) to the first at step 4" in middle.reason
    assert (middle.value.magnitude, middle.verdict) == (119, "pass")


def test_supports_on_a_short_piece_are_no_further_apart_than_it_is_long():
    """Every 12 ft on a piece of 2 ft is no distance of 12 ft."""
    short = "length: 2 ft, support_spacing: 12 ft, first_support: 12 in, last_support: 12 in"
    assert verdict(raceway_support, held("EMT", "3/4", short)) == "pass"
    assert verdict(raceway_support, held("EMT", "3/4", short.replace("length: 2 ft", "length: 12 ft"))) == "fail"
    unsaid = "length: {}, first_support: 12 in, last_support: 12 in"
    assert verdict(raceway_support, held("EMT", "3/4", unsaid.format("10 ft"))) == "pass"
    assert verdict(raceway_support, held("EMT", "3/4", unsaid.format("10 ft 1 in"))) == "undecided"


@pytest.mark.parametrize(("size", "count"), [("3/4", 1), ("1", 1), ("1-1/4", 0)])
def test_small_plastic_pipe_is_that_to_one_inch(size, count):
    """Common practice, for the sizes strapped every 3 ft by Table 352.30."""
    found = results(pvc_straps_near_ends, plastic("3 ft", "12 in", size))
    assert len(found) == count
    path = "{step: straight, length: 9 ft, surroundings: underground, first_support: 20 in}"
    assert results(pvc_straps_near_ends, one_circuit(run=raceway("PVC schedule 40", "3/4"), path=path)) == []


def test_the_farther_of_two_straps_is_told():
    for first, last in (("5 in", "9 in"), ("9 in", "5 in")):
        text = plastic("3 ft", first).replace("last_support: 12 in", f"last_support: {last}")
        assert result(pvc_straps_near_ends, text).value.magnitude == 9


def test_both_ends_of_plastic_pipe_are_named_and_ends_that_go_on_are_not():
    straight = "{{step: straight, length: 9 ft, surroundings: indoors, first_support: {} in, last_support: {} in}}"
    path = f"{{step: box}}, {straight.format(5, 40)}, {{step: coupling}}, {straight.format(40, 6)}, {{step: box}}"
    found = result(pvc_straps_near_ends, one_circuit(run=raceway("PVC schedule 40", "3/4"), path=path))
    assert [given.meaning for given in found.inputs if given.symbol == "e"] == [
        "distance from the end to the first support at step 2 (straight)",
        "distance from the end to the last support at step 4 (straight)",
    ]
    assert (found.verdict, found.value.magnitude) == ("pass", 6)


def test_a_flexible_piece_after_rigid_pipe_is_not_measured_over_the_joint_either_way():
    """The fitting between holds both; our own reading of NEC 350.30 and 358.30."""

    def joints(first: str, second: str) -> list[str]:
        held_at = "support_spacing: 3 ft, first_support: 12 in, last_support: 12 in"
        one, two = (
            f"{{step: straight, surroundings: indoors, length: 4 ft, method: {method}, {held_at}}}"
            for method in (first, second)
        )
        path = f"{{step: box}}, {one}, {{step: coupling}}, {two}, {{step: box}}"
        found = result(raceway_support, one_circuit(run=raceway("EMT", "3/4"), path=path))
        return [step.numbers for step in found.working if "over the joint" in step.formula]

    assert joints("EMT", "LFMC") == joints("LFMC", "EMT") == []
    assert joints("EMT", "EMT") == ["12 in + 12 in"]
