"""Pulling through boxes and conduit bodies: length for thick wires, cross-section and marks for thin ones."""

from __future__ import annotations

import pytest

from handover.checks.boxes import conduit_body_size, pull_box_size
from handover.units import magnitude
from tests.jobs import result, results, swap, verdict

PULL = """
boxes:
  - code: B1
    name: A box
    place: hall
    work: new
    kind: pull box
    largest_raceway: 1-1/4 in
    dimension: 10 in
    pull: straight
    conductors: [{role: hot, count: 3, size: 4 AWG, material: copper}]
"""


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("10 in", "10 in"), "pass"),
        (("10 in", "9-1/2 in"), "fail"),
        (("pull: straight", "pull: angle"), "undecided"),
        (("dimension: 10 in\n    pull: straight", "dimension: 7 in\n    pull: angle"), "fail"),
        (("pull: straight", "pull: none"), "undecided"),
        (("pull: straight", "pull: unknown"), "undecided"),
        (("dimension: 10 in", "dimension: unknown"), "undecided"),
        (("1-1/4 in", "unknown"), "undecided"),
        (("pull box", "conduit body"), "undecided"),
        (("4 AWG", "6 AWG"), "not_applicable"),
        (("[{role: hot, count: 3, size: 4 AWG, material: copper}]", "[]"), "undecided"),
    ],
)
@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_pull_boxes(change, expected, edition):
    """NEC 314.28(A)(1) and (2), from memory: 8 x 1-1/4 in = 10 in; in an angle 6 x 1-1/4 in = 7-1/2 in at least."""
    assert verdict(pull_box_size, swap(PULL, *change), edition) == expected
    assert results(pull_box_size, swap(PULL, "work: new", "work: existing"), edition) == []


def angle(rows: str, apart: str = "raceways_apart: 18 in") -> str:
    return swap(PULL, "pull: straight", f"pull: angle\n    rows: [{rows}]\n    {apart}")


def test_worked_example_pb_3in():
    """A how-to page on 314.28: straight 3 in asks 24 in; 3 and 2 in in one wall 20 in; raceways 18 in apart."""
    straight = swap(swap(PULL, "1-1/4 in", "3 in"), "dimension: 10 in", "dimension: 24 in")
    found = result(pull_box_size, straight)
    assert (found.verdict, magnitude(found.limit, "inch")) == ("pass", pytest.approx(24))
    assert verdict(pull_box_size, swap(straight, "dimension: 24 in", "dimension: 23.9 in")) == "fail"

    row = '{raceways: "3 in, 2 in", to_opposite: 20 in}'
    found = result(pull_box_size, angle(row))
    assert (found.verdict, magnitude(found.limit, "inch")) == ("pass", pytest.approx(20))
    assert verdict(pull_box_size, angle(swap(row, "20 in", "19.9 in"))) == "fail"

    found = result(pull_box_size, angle(row, "raceways_apart: 11.9 in"))
    assert (found.verdict, magnitude(found.limit, "inch")) == ("fail", pytest.approx(18))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (angle('{raceways: "3 in, 2 in", to_opposite: 20 in}', "raceways_apart: 17 in"), "undecided"),
        (angle('{raceways: "3 in, 2 in", to_opposite: 20 in}', "raceways_apart: unknown"), "undecided"),
        (angle('{raceways: "3 in, 2 in", to_opposite: unknown}'), "undecided"),
        (angle("{raceways: unknown, to_opposite: 20 in}"), "undecided"),
        (angle('{raceways: "3 in, 2 in", to_opposite: 20 in, opposite_cover: yes}'), "undecided"),
        (angle("{raceways: 2 in, to_opposite: 12 in}, {raceways: 3 in, to_opposite: 18 in}"), "pass"),
        (angle("{raceways: 2 in, to_opposite: 11 in}, {raceways: 3 in, to_opposite: 18 in}"), "fail"),
        (angle("{raceways: 2 in, to_opposite: 12 in}", "note: A cable leaves it."), "pass"),
        (angle('{raceways: "3 in, 2 in", to_opposite: 20 in}').replace("angle", "none"), "pass"),
    ],
)
def test_rows_of_raceways(text, expected):
    """NEC 314.28(A)(2): each row by itself, splices as an angle pull; a row opposite the cover goes by 312.6."""
    assert verdict(pull_box_size, text) == expected


def test_a_conduit_body_for_thick_wires_is_asked_about():
    """NEC 314.28(A)(3)."""
    body = swap(PULL, "pull box", "conduit body")
    said = "confirmed: [{rule: pull_box_size, subject: B1, answer: yes, how: Read on it.}]\n"
    assert verdict(pull_box_size, body + said) == "pass"
    assert verdict(pull_box_size, body + swap(said, "yes", "no")) == "fail"


BODY = """
boxes:
  - code: B1
    name: A body
    place: hall
    work: new
    kind: conduit body
    spliced: no
    volume: 6 in3
    area: 0.608 in2
    largest_raceway: 1/2 in
    conductors: [{role: hot, count: 6, size: 10 AWG, material: copper, insulation: THHN}]
runs:
  - {code: R1, name: A run, work: new, method: EMT, path: [{step: straight, length: 9 ft}, {step: box, box: B1},
     {step: straight, length: 9 ft}]}
"""


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("0.608", "0.608"), "pass"),
        (("0.608", "0.607"), "fail"),
        (("area: 0.608 in2", "area: unknown"), "undecided"),
        (("count: 6", "count: 5"), "pass"),
        (("count: 6", "count: 7"), "fail"),
        (("1/2 in", "unknown"), "undecided"),
        (("THHN", "unknown"), "undecided"),
        (("box: B1}", "box: B2}"), "undecided"),
        (("spliced: no", "spliced: unknown"), "undecided"),
        (("size: 10 AWG", "size: 4 AWG"), "not_applicable"),
        (("spliced: no", "spliced: yes"), "undecided"),
    ],
)
@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_a_conduit_body_without_splices(change, expected, edition):
    """NEC 314.16(C)(1), in a trade magazine: twice the pipe's cross-section, and no more wires than the pipe may hold.

    Chapter 9 Table 4: 1/2 in EMT 0.304 in², of that 0.122 in² to fill; 10 AWG THHN 0.0211 in² (5 and not 6 by area).
    """
    text = swap(BODY, "count: 6", "count: 5") if change[0] != "count: 6" else BODY
    expected = "fail" if change == ("count: 6", "count: 6") else expected
    assert verdict(conduit_body_size, swap(text, *change), edition) == expected


@pytest.mark.parametrize("answer", ["yes", "no"])
def test_what_a_person_says_of_a_conduit_body(answer):
    said = f"confirmed: [{{rule: conduit_body_size, subject: B1, answer: {answer}, how: Looked.}}]\n"
    expected = "pass" if answer == "yes" else "fail"
    few = swap(BODY, "count: 6", "count: 5")
    assert verdict(conduit_body_size, swap(few, "    area: 0.608 in2\n", "") + said) == expected
    assert verdict(conduit_body_size, swap(few, "spliced: no", "spliced: yes") + said) == expected


def test_as_many_wires_as_the_pipe_may_hold():
    """A trade magazine on 314.16(C)(1): six 10 AWG THHN in a body on 1/2 in rigid conduit (0.125 / 0.0211 = 5.92)."""
    rigid = swap(swap(BODY, "method: EMT", "method: RMC"), "0.608", "0.7")
    assert verdict(conduit_body_size, rigid) == "pass"
    assert verdict(conduit_body_size, swap(rigid, "count: 6", "count: 7")) == "fail"


def test_a_spliced_conduit_body_is_marked_with_its_volume():
    """NEC 314.16(C)(2): durably marked by its maker with its volume."""
    spliced = swap(BODY, "spliced: no", "spliced: yes")
    marked = swap(spliced, "volume: 6 in3", "volume: {value: 6 in3, basis: nameplate}")
    assert verdict(conduit_body_size, marked) == "pass"
    assert verdict(conduit_body_size, swap(spliced, "volume: 6 in3", "volume: unknown")) == "undecided"
    assert results(conduit_body_size, swap(BODY, "conduit body", "junction box")) == []


def test_the_raceways_beside_a_body_are_the_step_before_and_the_step_after():
    """The pipe on either side counts, not one two steps away: 1/2 in EMT has 0.304 in², PVC schedule 80 less."""

    def read(path: str):
        return result(conduit_body_size, swap(BODY, BODY[BODY.index("path:") :], f"path: [{path}]}}\n"))

    emt, pvc = "{step: straight, length: 9 ft}", "{step: straight, length: 9 ft, method: PVC schedule 80}"
    box, bend = "{step: box, box: B1}", "{step: bend, degrees: 90°}"

    def raceways(path: str) -> list[str]:
        return [given.value for given in read(path).inputs if given.meaning == "raceways at B1"]

    assert raceways(f"{emt}, {box}, {emt}") == ["EMT"]
    assert raceways(f"{pvc}, {box}, {emt}") == ["EMT, PVC schedule 80"]
    assert raceways(f"{emt}, {box}, {pvc}") == ["EMT, PVC schedule 80"]
    assert raceways(f"{pvc}, {bend}, {box}, {bend}, {pvc}") == ["EMT"]
    assert raceways(f"{box}, {pvc}") == ["PVC schedule 80"]
    assert raceways(f"{pvc}, {box}") == ["PVC schedule 80"]
    assert raceways(f"{box}, {emt}, {pvc}") == ["EMT"]
    assert raceways(box) == ["EMT"]


@pytest.mark.parametrize(
    ("rows", "value", "limit"),
    [
        ((("2 in", 13), ("3 in", 18)), 18, 18),
        ((("3 in", 20), ("2 in", 12.5)), 12.5, 12),
        ((("3 in", 17), ("2 in", 11.5)), 17, 18),
    ],
)
def test_the_row_with_the_least_room_is_told(rows, value, limit):
    """NEC 314.28(A)(2): 6 × 2 in is 12 in, 6 × 3 in is 18 in; room is distance less what is asked."""
    text = angle(", ".join(f"{{raceways: {size}, to_opposite: {far} in}}" for size, far in rows))
    found = result(pull_box_size, text)
    assert (found.value.magnitude, found.limit.magnitude) == (value, limit)
    assert [given.symbol for given in found.inputs if given.symbol[:1] == "L"] == ["L1", "L2"]


@pytest.mark.parametrize(("count", "share"), [(1, "53%"), (2, "31%"), (3, "40%")])
def test_the_share_of_the_pipe_by_the_number_of_wires(count, share):
    """NEC Chapter 9 Table 1."""
    found = result(conduit_body_size, swap(BODY, "count: 6", f"count: {count}"))
    assert any(share in given.meaning for given in found.inputs if given.symbol == "A allowed")


def test_the_conductors_of_a_body_are_named_by_their_number():
    found = result(conduit_body_size, BODY)
    named = [given.meaning for given in found.inputs if given.symbol in ("size", "insulation")]
    assert "size, hot, entry 1 of B1" in named
    assert all("entry 1" in each for each in named)


def test_the_largest_of_three_raceways_says_how_far_apart():
    """NEC 314.28(A)(2): 6 × the largest, in whichever order they are named."""
    for row in ("3 in, 1 in, 2 in", "1 in, 2 in, 3 in"):
        found = result(pull_box_size, angle(f'{{raceways: "{row}", to_opposite: 40 in}}', "raceways_apart: 5 in"))
        assert (found.verdict, magnitude(found.limit, "inch")) == ("fail", 18)
