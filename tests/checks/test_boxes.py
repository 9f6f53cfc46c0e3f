"""Boxes: volume for wires and devices, length for pulling."""

from __future__ import annotations

import pytest

from handover.checks.boxes import box_fill, pull_box_size
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
        (("devices: 0", "devices: 1"), 15 * 2.25),
        (("copper}]", "copper}, {role: equipment ground, count: 4, size: 14 AWG, material: copper}]"), 13 * 2.25 + 2),
        (("copper}]", "copper}, {role: equipment ground, count: 6, size: 14 AWG, material: copper}]"), 13 * 2.25 + 3),
    ],
)
def test_allowances(more, needed):
    """NEC 314.16(B): clamps 1, each yoke 2, ground wires 1 to four of them and 1/4 for each more (2020, 2023)."""
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


PULL = swap(BOX, "12 AWG", "4 AWG") + "    largest_raceway: 1-1/4 in\n    dimension: 10 in\n    pull: straight\n"


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
        (("junction box", "conduit body"), "undecided"),
        (("4 AWG", "6 AWG"), "not_applicable"),
    ],
)
def test_pull_boxes(change, expected):
    """NEC 314.28(A)(1) and (2), from memory: 8 x 1-1/4 in = 10 in; in an angle 6 x 1-1/4 in = 7-1/2 in at least."""
    assert verdict(pull_box_size, swap(PULL, *change)) == expected
