"""Metal raceways and boxes joined to the equipment ground."""

from __future__ import annotations

import pytest

from handover.checks.bonding import metal_bonding
from tests.circuit_job import one_circuit
from tests.jobs import results, verdict


def box(facts: str, more: str = "") -> str:
    return f"boxes: [{{code: B1, name: A box, place: hall, work: new, kind: junction box{facts}}}]\n{more}"


def test_a_plastic_box_is_never_told_to_be_joined_itself():
    (found,) = results(metal_bonding, box(", bonded: yes, metal: no"))
    assert found.reason == "B1 is not of metal: it has nothing to join."
    (found,) = results(metal_bonding, box(", bonded: yes, metal: no, spliced: yes"))
    assert found.reason == "The ground wires in B1 are recorded as joined to the equipment ground."


def said(subject: str, answer: str) -> str:
    return f"confirmed: [{{rule: metal_bonding, subject: {subject}, answer: {answer}, how: Looked.}}]\n"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (box(", bonded: yes"), "pass"),
        (box(", bonded: no, metal: yes"), "fail"),
        (box(", bonded: no, metal: no"), "not_applicable"),
        (box(", bonded: yes, metal: no"), "not_applicable"),
        (box(", bonded: yes, metal: no, spliced: no"), "not_applicable"),
        (box(", metal: no, spliced: not checked"), "not_applicable"),
        (box(", bonded: yes, metal: no, spliced: yes"), "pass"),
        (box(", metal: no, spliced: yes"), "undecided"),
        (box(", bonded: yes, metal: not checked"), "pass"),
        (box(", bonded: no"), "undecided"),
        (box(", bonded: not checked, metal: yes"), "undecided"),
        (box("", said("B1", "yes")), "pass"),
        (box("", said("B1", "no")), "fail"),
    ],
)
@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_boxes(text, expected, edition):
    """NEC 250.148 and 314.4, from memory."""
    assert verdict(metal_bonding, text, edition) == expected
    assert results(metal_bonding, text.replace("work: new", "work: existing"), edition) == []


def run(facts: str, method: str = "EMT", more: str = "") -> str:
    return one_circuit(run=f"method: {method}, trade_size: 1 in{facts}", more=more)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (run(", bonded: yes"), "pass"),
        (run(", bonded: no"), "fail"),
        (run(", bonded: unknown"), "undecided"),
        (run(""), "undecided"),
        (run("", more=said("R1", "yes")), "pass"),
        (run("", more=said("R1", "no")), "fail"),
    ],
)
def test_raceways(text, expected):
    """NEC 250.86 and 250.96, from memory."""
    assert verdict(metal_bonding, text) == expected


def test_plastic_pipe_and_cable_have_no_metal_to_join():
    assert results(metal_bonding, run("", "PVC schedule 40")) == []
    assert results(metal_bonding, run("", "NM-B")) == []
    whip = one_circuit(
        run="method: PVC schedule 40, trade_size: 1 in", path="{step: straight, length: 3 ft, method: LFMC}"
    )
    assert verdict(metal_bonding, whip) == "undecided"
