"""Every rule cites the sections that ``tests/citations.yaml`` writes for it a second time, in every edition."""

from __future__ import annotations

from pathlib import Path

import pytest

from handover.checks.run import all_rules, run_checks
from handover.record.people import EDITIONS
from handover.record.reader import read_job
from handover.record.record import Record
from tests import redone

DEMO = Path(__file__).parents[2] / "demo_property"


@pytest.fixture(scope="module")
def demo() -> Record:
    return read_job(DEMO)


def test_every_rule_is_written_there_and_nothing_else():
    assert set(redone.CITATIONS) == {rule.id for rule in all_rules()}, "write its sections into tests/citations.yaml"


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_example_can_be_redone_and_cites_rightly_in_every_edition(demo, edition):
    found = run_checks(demo, edition)
    assert len(found) > 200
    for each in found:
        redone.check(each)


def test_the_calculator_itself_can_calculate():
    """By hand; and words are no sum."""
    assert redone.calculated("75 A × 0.82 × 100%") == pytest.approx(61.5)
    assert redone.calculated("√(1.2² + 0.05²)") == pytest.approx(1.2010412)
    assert redone.calculated("8 kVA × (1 + 0.05 × 4)") == pytest.approx(9600)
    assert redone.calculated("6 × 1-1/4 in") == pytest.approx(7.5)
    assert redone.calculated("110 °F - -10 °F") == pytest.approx(120)
    assert redone.calculated("8000; 2400") is None
    assert redone.calculated("the larger of two") is None
