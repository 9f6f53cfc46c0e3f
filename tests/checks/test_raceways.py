"""Raceways and cables: fill, bends, supports, cover, and growth of plastic pipe."""

from __future__ import annotations

import pytest

from handover.checks.raceways import burial_cover, pvc_expansion, raceway_bends, raceway_fill, raceway_support
from handover.units import magnitude
from tests.circuit_job import one_circuit, one_feeder
from tests.jobs import result, results, verdict


def hots(count: int, size: str = "12 AWG", insulation: str = "THHN") -> str:
    return f"{{role: hot, count: {count}, size: {size}, material: copper, insulation: {insulation}}}"


def raceway(method: str, size: str) -> str:
    return f"method: {method}, trade_size: {size} in, ambient: 30 °C"


# Fill


@pytest.mark.parametrize(("count", "expected"), [(26, "pass"), (27, "fail")])
def test_twelve_gauge_in_one_inch_emt(count, expected):
    """A code forum's exam question: 0.346 / 0.0133, so 26 conductors of 12 AWG THHN in 1 in EMT."""
    text = one_circuit(conductors=hots(count), run=raceway("EMT", "1"))
    assert verdict(raceway_fill, text) == expected


def test_a_rest_of_eight_tenths_counts_as_one_more_where_all_are_alike():
    """NEC Chapter 9 note 7; Tables 4 and 5: 8 AWG THHN in 3/4 in EMT, 0.213 / 0.0366 = 5.82, so six and not seven."""
    six = result(raceway_fill, one_circuit(conductors=hots(6, "8 AWG"), run=raceway("EMT", "3/4")))
    assert six.verdict == "pass"
    assert "note 7" in six.reason
    assert verdict(raceway_fill, one_circuit(conductors=hots(7, "8 AWG"), run=raceway("EMT", "3/4"))) == "fail"
    mixed = hots(5, "8 AWG") + ", " + hots(2, "12 AWG")
    assert verdict(raceway_fill, one_circuit(conductors=mixed, run=raceway("EMT", "3/4"))) == "pass"
    mixed = hots(5, "8 AWG") + ", " + hots(3, "12 AWG")
    assert verdict(raceway_fill, one_circuit(conductors=mixed, run=raceway("EMT", "3/4"))) == "fail"


def test_the_share_depends_on_the_count_and_the_length():
    """NEC Chapter 9 Table 1: 53 % for one, 31 % for two, 40 % above; note 4: 60 % in a nipple to 24 in.  EMT 1/2 in."""
    limits = [
        magnitude(result(raceway_fill, one_circuit(conductors=hots(count), run=raceway("EMT", "1/2"))).limit, "inch**2")
        for count in (1, 2, 3)
    ]
    assert limits == [0.161, 0.094, 0.122]
    for length, limit in (("24 in", 0.182), ("25 in", 0.122)):
        path = f"{{step: straight, length: {length}, surroundings: indoors}}"
        text = one_circuit(conductors=hots(3), run=raceway("EMT", "1/2"), path=path)
        assert magnitude(result(raceway_fill, text).limit, "inch**2") == limit


def test_ground_wires_count_and_bare_ones_are_measured_bare():
    """NEC Chapter 9 notes 3 and 8: 0.0133 × 2 + 0.006 in² (12 AWG stranded, Table 8)."""
    bare = "{role: equipment ground, size: 12 AWG, material: copper, insulation: bare}"
    found = result(raceway_fill, one_circuit(conductors=f"{hots(2)}, {bare}", run=raceway("EMT", "1/2")))
    assert magnitude(found.value, "inch**2") == pytest.approx(0.0326)


def test_a_path_of_two_kinds_is_judged_by_the_narrower():
    """NEC Chapter 9 Table 4: 1 in schedule 80 has less room than schedule 40."""
    path = "{step: straight, length: 9 ft, method: PVC schedule 80}, {step: straight, length: 9 ft}"
    found = result(raceway_fill, one_circuit(conductors=hots(3), run=raceway("PVC schedule 40", "1"), path=path))
    assert any("PVC schedule 80 1 in" in given.source for given in found.inputs)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        (one_circuit(run="method: EMT, ambient: 30 °C"), "trade size"),
        (one_circuit(conductors=""), "conductors of C1"),
        (one_circuit().replace("runs: [R1], ", ""), "No circuit or feeder"),
        (one_circuit(conductors="{role: hot, count: 2, size: 8 AWG, material: copper}"), "insulation"),
        (one_circuit(run=raceway("ENT", "4")), "no row for ENT 4 in"),
        (one_circuit(facts="sets: 2"), "parallel sets"),
    ],
)
def test_fill_asks_for_what_is_missing(text, asks):
    found = result(raceway_fill, text)
    assert found.verdict == "undecided"
    assert asks in found.reason


def test_cables_and_existing_runs_are_not_filled():
    assert results(raceway_fill, one_circuit(run="method: NM-B")) == []
    assert results(raceway_fill, one_circuit().replace("name: A run, work: new", "name: A run, work: existing")) == []


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


# Cover

ALL = "all locations not listed below"
DRIVE = "under a driveway of this dwelling"
STREET = "under a street, road or shared driveway"


def buried(method: str, cover: str, where: str, *, breaker: str = "40 A", volts: str = "240 V") -> str:
    path = f'{{step: straight, length: 40 ft, surroundings: underground, cover: {cover}, cover_location: "{where}"}}'
    return one_circuit(breaker=breaker, volts=volts, run=f"method: {method}, trade_size: 1 in", path=path)


SHALLOW = {"breaker": "{rating: 20 A, gfci: yes}", "volts": "120 V"}


@pytest.mark.parametrize(
    ("method", "where", "other", "inches"),
    [
        ("UF-B", ALL, {}, 24),
        ("RMC", ALL, {}, 6),
        ("PVC schedule 40", ALL, {}, 18),
        ("PVC schedule 40", ALL, SHALLOW, 12),
        ("UF-B", DRIVE, {}, 18),
        ("PVC schedule 80", DRIVE, {}, 18),
        ("UF-B", DRIVE, SHALLOW, 12),
        ("PVC schedule 40", STREET, {}, 24),
        ("PVC schedule 40", STREET, SHALLOW, 24),
    ],
)
def test_least_cover(method, where, other, inches):
    """NEC Table 300.5 on a code library's page; exactly at the figure passes, an inch less fails."""
    found = result(burial_cover, buried(method, f"{inches} in", where, **other))
    assert (found.verdict, magnitude(found.limit, "inch")) == ("pass", inches)
    assert verdict(burial_cover, buried(method, f"{inches - 1} in", where, **other)) == "fail"


@pytest.mark.parametrize(
    "other",
    [
        {"breaker": "{rating: 20 A, gfci: yes}"},
        {"breaker": "{rating: 30 A, gfci: yes}", "volts": "120 V"},
        {"breaker": "{rating: 20 A, gfci: no}", "volts": "120 V"},
        {"breaker": "20 A", "volts": "120 V"},
    ],
)
def test_the_shallow_column_is_only_for_protected_small_circuits(other):
    """NEC Table 300.5, column 4: branch circuits of 120 V or less, GFCI, not over 20 A."""
    assert magnitude(result(burial_cover, buried("PVC schedule 40", "12 in", ALL, **other)).limit, "inch") == 18


def test_a_feeder_never_has_the_shallow_column():
    path = f'{{step: straight, length: 9 ft, surroundings: underground, cover: 12 in, cover_location: "{ALL}"}}'
    text = one_feeder(breaker="{rating: 20 A, gfci: yes}", path=path).replace("volts: 240 V", "volts: 120 V")
    assert verdict(burial_cover, text) == "fail"


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        (buried("PVC schedule 40", "unknown", ALL), "cover of R1"),
        (buried("EMT", "18 in", ALL), "no column for EMT"),
        (buried("UF-B", "0 in", "under a building"), "raceway"),
        (one_circuit(path="{step: straight, surroundings: underground, cover: 18 in}"), "what lies over"),
        (one_circuit(path="{step: bend, surroundings: underground, degrees: 90°}"), "No straight piece"),
    ],
)
def test_cover_asks_for_what_is_missing(text, asks):
    found = result(burial_cover, text)
    assert found.verdict == "undecided"
    assert asks in found.reason


def test_no_result_above_ground():
    assert results(burial_cover, one_circuit()) == []
    assert results(pvc_expansion, one_circuit()) == []


# Growth of plastic pipe


def outdoors(length: str, low: str, high: str, fitting: str = "") -> str:
    run = f"method: PVC schedule 40, trade_size: 1 in, temperature_low: {low}, temperature_high: {high}"
    straight = f"{{step: straight, length: {length}, surroundings: outdoors}}"
    return one_circuit(run=run, path=f"{{step: box}}, {straight}{fitting}, {{step: box}}")


def test_ninety_feet_between_minus_ten_and_a_hundred_and_ten():
    """PVC conduit maker's instructions, example 1: 90 ft, -10 to 110 °F: 4.38 in, so a fitting is needed."""
    found = result(pvc_expansion, outdoors("90 ft", "-10 °F", "110 °F"))
    assert found.verdict == "fail"
    assert "4.38" in found.reason
    assert verdict(pvc_expansion, outdoors("90 ft", "-10 °F", "110 °F", ", {step: expansion fitting}")) == "pass"


@pytest.mark.parametrize(("change", "published"), [(10, 0.4056), (100, 4.056)])
def test_a_hundred_feet(change, published):
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
    assert [result(pvc_expansion, text, edition).citation.section for edition in (2020, 2023)] == [
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
