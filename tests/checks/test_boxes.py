"""Boxes: volume for wires and devices."""

from __future__ import annotations

import pytest

from handover.checks.boxes import box_fill
from tests.jobs import result, results, swap, verdict

BOX = """
boxes:
  - code: B1
    name: A box
    place: hall
    work: new
    kind: junction box
    volume: 30.3 cu in
    devices: 0
    internal_clamps: no
    support_fittings: 0
    terminal_blocks: 0
    spliced: yes
    conductors: [{role: hot, count: 13, size: 12 AWG, material: copper}]
"""


@pytest.mark.parametrize(
    ("count", "size", "volume"),
    [(9, "14 AWG", "18 in3"), (13, "12 AWG", "30.3 in3"), (16, "10 AWG", "42 in3"), (8, "6 AWG", "42 in3")],
)
def test_the_printed_counts_of_standard_boxes(count, size, volume):
    """NEC Table 314.16(A): the most conductors of one size in 4 x 1-1/4, 4 x 2-1/8 and 4-11/16 x 2-1/8 square boxes."""
    text = swap(swap(swap(BOX, "count: 13", f"count: {count}"), "12 AWG", size), "30.3 cu in", volume)
    assert verdict(box_fill, text) == "pass"
    assert verdict(box_fill, swap(text, f"count: {count}", f"count: {count + 1}")) == "fail"


@pytest.mark.parametrize(
    ("more", "needed"),
    [
        (("internal_clamps: no", "internal_clamps: yes"), 14 * 2.25),
        (("support_fittings: 0", "support_fittings: 2"), 15 * 2.25),
        (("terminal_blocks: 0", "terminal_blocks: 1"), 14 * 2.25),
        (("devices: 0", "devices: 1"), 15 * 2.25),
        (("copper}]", "copper}, {role: equipment ground, count: 4, size: 14 AWG, material: copper}]"), 13 * 2.25 + 2),
        (("copper}]", "copper}, {role: equipment ground, count: 6, size: 14 AWG, material: copper}]"), 13 * 2.25 + 3),
    ],
)
def test_allowances(more, needed):
    """NEC 314.16(B): clamps 1, each kind of stud 1, each terminal block 1, each yoke 2, ground wires 1 and 1/4."""
    found = result(box_fill, swap(swap(BOX, "30.3", "60"), *more))
    assert found.verdict == "pass"
    assert found.limit.magnitude == pytest.approx(needed)
    assert verdict(box_fill, swap(BOX, *more)) == "fail"


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (("30.3 cu in", "unknown"), "undecided"),
        (("devices: 0", "devices: unknown"), "undecided"),
        (("internal_clamps: no", "internal_clamps: unknown"), "undecided"),
        (("support_fittings: 0", "support_fittings: not checked"), "undecided"),
        (("    terminal_blocks: 0\n", ""), "undecided"),
        (("12 AWG", "unknown"), "undecided"),
        (("[{role: hot, count: 13, size: 12 AWG, material: copper}]", "[]"), "undecided"),
        (("12 AWG", "4 AWG"), "not_applicable"),
        (("spliced: yes", "spliced: no"), "pass"),
    ],
)
def test_what_is_missing_is_asked_for(change, expected):
    assert verdict(box_fill, swap(BOX, *change)) == expected
    assert results(box_fill, swap(BOX, "work: new", "work: existing")) == []


def test_a_conduit_body_is_sized_by_volume_only_with_splices():
    """NEC 314.16(C)."""
    body = swap(BOX, "junction box", "conduit body")
    assert verdict(box_fill, body) == "pass"
    assert verdict(box_fill, swap(body, "spliced: yes", "spliced: no")) == "not_applicable"
    assert verdict(box_fill, swap(body, "spliced: yes", "spliced: unknown")) == "undecided"


def test_a_device_is_undecided_where_its_wire_decides():
    """A 12 AWG on the device asks 2 x 2.25, a 14 AWG 2 x 2.00 (NEC 314.16(B)(4)); our own numbers."""
    two = (
        "[{role: hot, count: 2, size: 12 AWG, material: copper}, {role: hot, count: 2, size: 14 AWG, material: copper}]"
    )
    text = swap(BOX, "[{role: hot, count: 13, size: 12 AWG, material: copper}]", two).replace(
        "devices: 0", "devices: 1"
    )
    assert verdict(box_fill, text.replace("30.3", "13")) == "pass"
    assert verdict(box_fill, text.replace("30.3", "12.6")) == "undecided"
    assert verdict(box_fill, text.replace("30.3", "12.4")) == "fail"


@pytest.mark.parametrize(("edition", "grounds"), [(2017, 2.0), (2020, 3.0), (2023, 3.0)])
def test_ground_wires_by_edition(edition, grounds):
    """NEC 314.16(B)(5): all ground wires together once in 2017; from 2020 a quarter more for each beyond four."""
    six = "copper}, {role: equipment ground, count: 6, size: 14 AWG, material: copper}]"
    found = result(box_fill, swap(swap(BOX, "30.3", "60"), "copper}]", six), edition)
    assert found.limit.magnitude == pytest.approx(13 * 2.25 + grounds)


@pytest.mark.parametrize(("edition", "expected"), [(2017, "pass"), (2020, "pass"), (2023, "fail")])
def test_terminal_blocks_count_from_2023_on(edition, expected):
    """NEC 314.16(B)(6) of 2023, in trade press: 13 wires of 12 AWG fill a box of 30.3 in³; a block is one more."""
    assert verdict(box_fill, swap(BOX, "terminal_blocks: 0", "terminal_blocks: 1"), edition) == expected


def test_an_edition_without_confirmed_table_is_undecided():
    assert verdict(box_fill, BOX, 2026) == "undecided"


def wires_14(hots: int, volume: str) -> str:
    wires = f"{{role: hot, count: {hots}, size: 14 AWG, material: copper}}, "
    wires += "{role: equipment ground, count: 3, size: 14 AWG, material: copper}"
    text = swap(BOX, "{role: hot, count: 13, size: 12 AWG, material: copper}", wires)
    return swap(swap(text, "devices: 0", "devices: 1"), "30.3 cu in", volume)


def test_worked_example_bf_14_22():
    """A general article on home wiring: six 14 AWG, a switch, grounds to four: 18 in³ of 22."""
    found = result(box_fill, wires_14(6, "22 in3"))
    assert (found.verdict, found.limit.magnitude) == ("pass", pytest.approx(18))
    assert verdict(box_fill, wires_14(6, "17.9 in3")) == "fail"


def test_worked_example_bf_14_min():
    """An exam quiz: four 14 AWG, a device, grounds: 14 in³ at least."""
    found = result(box_fill, wires_14(4, "14 in3"))
    assert (found.verdict, found.limit.magnitude) == ("pass", pytest.approx(14))


@pytest.mark.parametrize(("size", "most"), [("12 AWG", 2), ("14 AWG", 3)])
def test_worked_example_cb_6in3(size, most):
    """A code forum on 314.16(C): a conduit body marked 6 in³ takes two spliced 12 AWG or three 14 AWG."""
    body = swap(swap(swap(BOX, "junction box", "conduit body"), "30.3 cu in", "6 in3"), "12 AWG", size)
    assert verdict(box_fill, swap(body, "count: 13", f"count: {most}")) == "pass"
    assert verdict(box_fill, swap(body, "count: 13", f"count: {most + 1}")) == "fail"
