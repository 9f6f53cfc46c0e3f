"""The example job altered in a way that is lawful all the same fails nothing, and is decided as before."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from handover.checks.result import Verdict
from handover.checks.run import run_checks
from handover.record.reader import read_job
from tests.checks.test_wrong_variants import job_folder

VARIANTS: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("right_variants.yaml").read_text(encoding="utf-8")
)


def by_verdict(folder: Path) -> dict[Verdict, set[str]]:
    """What came to each verdict, rule and subject."""
    found: dict[Verdict, set[str]] = {verdict: set() for verdict in Verdict}
    for each in run_checks(read_job(folder)):
        found[each.verdict].add(f"{each.rule} {each.subject}")
    return found


@pytest.fixture(scope="module")
def undecided_before(tmp_path_factory) -> set[str]:
    return by_verdict(job_folder(tmp_path_factory.mktemp("example"), {}))[Verdict.UNDECIDED]


@pytest.mark.parametrize("variant", VARIANTS, ids=[variant["right"] for variant in VARIANTS])
def test_a_right_job_fails_nothing(variant, tmp_path, undecided_before):
    found = by_verdict(job_folder(tmp_path, variant["swap"]))
    assert found[Verdict.FAIL] == set()
    assert found[Verdict.UNDECIDED] - undecided_before == set(variant.get("undecided", ()))


def test_there_are_enough_of_them_and_each_is_another():
    assert len(VARIANTS) >= 30
    assert len({tuple(variant["swap"].items()) for variant in VARIANTS}) == len(VARIANTS)
