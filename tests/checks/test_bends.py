"""Radius of bends, and plastic pipe outdoors."""

from __future__ import annotations

import pytest

from handover.checks.bends import cable_bend_radius, raceway_bend_radius, raceway_bends
from handover.checks.raceways import raceway_exposed
from tests.circuit_job import INDOORS, one_circuit
from tests.jobs import result, results, verdict


def bent(method: str, size: str, *radii: str) -> str:
    bends = "".join(f", {{step: bend, degrees: 90°, radius: {radius}}}" for radius in radii)
    return one_circuit(run=f"method: {method}, trade_size: {size} in, ambient: 30 °C", path=INDOORS + bends)


@pytest.mark.parametrize(
    ("method", "size", "radii", "expected"),
    [
        ("EMT", "3/4", ["4-1/2 in"], "pass"),
        ("EMT", "3/4", ["4.4 in"], "fail"),
        ("EMT", "3/4", ["6 in", "4 in"], "fail"),
        ("LFMC", "3/4", ["4-1/2 in"], "fail"),
        ("LFMC", "3/4", ["5 in"], "pass"),
        ("PVC schedule 40", "1-1/4", ["8 in"], "pass"),
        ("PVC schedule 40", "1-1/4", ["7.5 in"], "undecided"),
        ("PVC schedule 40", "1-1/4", ["7 in"], "fail"),
        ("EMT", "3/4", ["unknown"], "undecided"),
        ("EMT", "3/4", ["5 in", "not checked"], "undecided"),
        ("EMT", "3/4", ["unknown", "4 in"], "fail"),
        ("EMT", "3/4", [], "not_applicable"),
    ],
)
def test_radius_by_the_table(method, size, radii, expected):
    """NEC Chapter 9 Table 2: 3/4 in 4.5 and 5 in; 1-1/4 in 7.25 and 8 in.  Which column: from memory."""
    assert verdict(raceway_bend_radius, bent(method, size, *radii)) == expected


def test_radius_needs_the_path_and_the_size_and_is_cited_by_the_raceway():
    assert verdict(raceway_bend_radius, one_circuit(path="")) == "undecided"
    assert verdict(raceway_bend_radius, bent("EMT", "3/4", "5 in").replace("3/4 in", "unknown")) == "undecided"
    sections = [
        result(raceway_bend_radius, bent("EMT", "3/4", "5 in"), edition).citation.section for edition in (2020, 2023)
    ]
    assert sections == ["358.24 and Chapter 9 Table 2, from memory"] * 2
    assert results(raceway_bend_radius, one_circuit(run="method: NM-B")) == []


def outside(method: str, confirmed: str = "", where: str = "outdoors") -> str:
    path = f"{{step: straight, length: 9 ft, surroundings: {where}}}"
    more = (
        f"confirmed: [{{rule: raceway_exposed, subject: R1, answer: {confirmed}, how: Looked.}}]" if confirmed else ""
    )
    return one_circuit(run=f"method: {method}, trade_size: 1 in", path=path, more=more)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (outside("PVC schedule 40"), "undecided"),
        (outside("PVC schedule 40", "yes"), "pass"),
        (outside("PVC schedule 40", "no"), "fail"),
        (outside("PVC schedule 40", where="indoors"), "not_applicable"),
        (outside("PVC schedule 80"), "pass"),
        (outside("EMT"), "not_applicable"),
        (outside("LFNC-B"), "undecided"),
        (outside("LFMC"), "not_applicable"),
        (one_circuit(path=""), "undecided"),
    ],
)
@pytest.mark.parametrize("edition", [2020, 2023])
def test_thin_walled_plastic_pipe_outdoors_has_to_be_looked_at(text, expected, edition):
    """NEC 352.10(F) and 300.5(D)(4), from memory: schedule 80 where subject to physical damage."""
    assert verdict(raceway_exposed, text, edition) == expected


def test_one_piece_of_schedule_40_is_enough_to_ask():
    path = "{step: straight, length: 9 ft, surroundings: outdoors, method: PVC schedule 80}, "
    path += "{step: bend, degrees: 90°, surroundings: outdoors}"
    text = one_circuit(run="method: PVC schedule 40, trade_size: 1 in", path=path)
    assert verdict(raceway_exposed, text) == "undecided"


def cable(method: str, diameter: str, *radii: str) -> str:
    bends = "".join(f", {{step: bend, degrees: 90°, radius: {radius}}}" for radius in radii)
    return one_circuit(run=f"method: {method}, cable_diameter: {diameter}", path=INDOORS + bends)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (cable("NM-B", "0.6 in", "3 in"), "pass"),
        (cable("NM-B", "0.6 in", "2.9 in"), "fail"),
        (cable("SE", "1 in", "6 in", "5 in"), "pass"),
        (cable("SE", "1 in", "6 in", "4 in"), "fail"),
        (cable("UF-B", "0.5 in", "2.5 in"), "pass"),
        (cable("MC", "0.5 in", "3.4 in"), "fail"),
        (cable("MC", "0.5 in", "3.5 in"), "undecided"),
        (cable("MC", "0.5 in", "5 in"), "pass"),
        (cable("NM-B", "unknown", "3 in"), "undecided"),
        (cable("NM-B", "0.6 in", "unknown"), "undecided"),
        (cable("NM-B", "0.6 in", "3 in", "not checked"), "undecided"),
        (cable("NM-B", "0.6 in", "2 in", "not checked"), "fail"),
        (cable("NM-B", "0.6 in"), "not_applicable"),
        (one_circuit(run="method: NM-B", path=""), "undecided"),
    ],
)
def test_radius_of_cables(text, expected):
    """NEC 334.24, 338.24, 340.24: 5 times the diameter; 330.24: MC 7 times, with a smooth sheath to 3/4 in 10 times."""
    assert verdict(cable_bend_radius, text) == expected


@pytest.mark.parametrize(("edition", "expected"), [(2017, "undecided"), (2020, "undecided"), (2023, "fail")])
def test_flat_cable_by_its_wider_side_from_2023(edition, expected):
    """NEC 334.24 of 2023, a continuing-education page; before, the text names only a diameter."""
    assert verdict(cable_bend_radius, cable("NM-B", "0.6 in", "2.9 in"), edition) == expected
    assert verdict(cable_bend_radius, cable("NM-B", "0.6 in", "3 in"), edition) == "pass"


def test_raceways_have_their_own_rule():
    assert results(cable_bend_radius, bent("EMT", "3/4", "5 in")) == []


def test_the_tightest_bend_is_judged_whichever_stands_first():
    """NEC Chapter 9 Table 2, 1-1/4 in: 7.25 in by a bender, 8 in otherwise."""
    for radii in (("9 in", "7.5 in"), ("7.5 in", "9 in")):
        found = result(raceway_bend_radius, bent("PVC schedule 40", "1-1/4", *radii))
        assert found.verdict == "undecided"
        assert "7-1/2 in, is enough only" in found.reason or "7.5 in, is enough only" in found.reason
    found = result(raceway_bend_radius, bent("PVC schedule 40", "1-1/4", "9 in", "8 in"))
    assert (found.verdict, found.value.magnitude, found.limit.magnitude) == ("pass", 8, 8)
    tight = result(raceway_bend_radius, bent("PVC schedule 40", "1-1/4", "9 in", "7 in"))
    assert (tight.verdict, tight.value.magnitude, tight.limit.magnitude) == ("fail", 7, 7.25)


def test_the_bends_are_written_out_as_a_sum():
    path = "{step: panel}, {step: bend, degrees: 90°}, {step: offset, degrees: 60°}, {step: box}"
    found = result(raceway_bends, one_circuit(path=f"{path}, {{step: straight}}, {{step: box}}"))
    assert [(step.numbers, step.value) for step in found.working] == [("90 + 60", "150°"), ("none", "0°")]


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_only_flat_cable_waits_for_its_narrower_side_before_2023(edition):
    """NEC 334.24: 2023 names the wider side; of other cable (UF 340.24, from memory) every edition fails alike."""
    path = INDOORS + ", {step: bend, degrees: 90°, radius: 2 in}"
    nm = one_circuit(run="method: NM-B, cable_diameter: 0.6 in", path=path)
    assert verdict(cable_bend_radius, nm, edition) == ("fail" if edition == 2023 else "undecided")
    assert verdict(cable_bend_radius, nm.replace("NM-B", "UF-B"), edition) == "fail"
