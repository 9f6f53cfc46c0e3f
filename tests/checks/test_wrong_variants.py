"""The example job with one thing done wrong at a time fails exactly the rules it should, and no other."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from handover.checks.result import Verdict
from handover.checks.run import run_checks
from handover.record.reader import read_job

DEMO = Path(__file__).parents[2] / "demo_property"
VARIANTS: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("wrong_variants.yaml").read_text(encoding="utf-8")
)


def job_folder(folder: Path, swaps: dict[str, str]) -> Path:
    """A copy of the example job with each ``old`` text, which must be there once, replaced."""
    # Without the translations: a swapped text has none, and a translation of nothing is refused.
    named = (path for path in DEMO.glob("*.yaml") if path.name != "spanish.yaml")
    texts = {path.name: path.read_text(encoding="utf-8") for path in named}
    for old, new in swaps.items():
        homes = [name for name, text in texts.items() if old in text]
        assert len(homes) == 1, f"{old!r} is in {homes}"
        (home,) = homes
        assert texts[home].count(old) == 1, f"{old!r} is in {home} {texts[home].count(old)} times"
        texts[home] = texts[home].replace(old, new)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "photos").symlink_to(DEMO / "photos")
    return folder


def failing(folder: Path) -> set[str]:
    return {f"{each.rule} {each.subject}" for each in run_checks(read_job(folder)) if each.verdict is Verdict.FAIL}


def test_the_example_as_it_is_fails_nothing(tmp_path):
    assert failing(job_folder(tmp_path, {})) == set()


@pytest.mark.parametrize("variant", VARIANTS, ids=[variant["wrong"] for variant in VARIANTS])
def test_a_wrong_job_fails_exactly_what_is_wrong_with_it(variant, tmp_path):
    assert failing(job_folder(tmp_path, variant["swap"])) == set(variant["fails"])


def test_there_are_enough_of_them_and_each_is_wrong_in_another_way():
    assert len(VARIANTS) >= 95
    assert len({tuple(variant["swap"].items()) for variant in VARIANTS}) == len(VARIANTS)
    assert all(variant["fails"] for variant in VARIANTS)
