"""A pocket calculator: works the steps of a result again from the numbers that it shows."""

from __future__ import annotations

import math
import re
from pathlib import Path

import yaml

from handover.checks.case import SECTION_UNKNOWN
from handover.checks.result import CheckResult, Step, Verdict
from handover.record.people import ALIKE_EDITIONS

_UNITS = "kVA|VA|V|kW|W|A|in²|in³|in|ft|Ω|°C|°F|°|cmil"
_NUMBER = r"\d+-\d+/\d+|\d+/\d+(?= in)|\d+(?:\.\d+)?(?:e[+-]?\d+)?"
_TOKEN = re.compile(rf"\s*(?:(?P<number>{_NUMBER})\s*(?P<unit>%|(?:{_UNITS})(?![a-zA-Z²³]))?(?P<square>²)?"
                    r"|(?P<sign>[×/+()√-]))")  # fmt: skip
CITATIONS: dict[str, list[dict[int, str] | str]] = yaml.safe_load(
    Path(__file__).with_name("citations.yaml").read_text(encoding="utf-8")
)
_SIGNS = {"×": "*", "√": "math.sqrt"}
_SHOWN = 2e-3
"""Numbers are shown with four digits; a few of them multiplied leave so much open."""


def calculated(text: str) -> float | None:
    """What a calculator makes of ``75 A × 0.82 × 100%``; None where there are words, or nothing to calculate."""
    sum_of_parts, position, numbers = "", 0, 0
    while position < len(text.rstrip()):
        found = _TOKEN.match(text, position)
        if found is None:
            return None
        if found["sign"]:
            sum_of_parts += _SIGNS.get(found["sign"], found["sign"])
        else:
            whole, _, rest = found["number"].rpartition("-") if "/" in found["number"] else ("", "", found["number"])
            scale = {"%": "/100", "kVA": "*1000", "kW": "*1000"}.get(found["unit"] or "", "")
            sum_of_parts += f"(({whole or 0}+{rest}){'**2' if found['square'] else ''}{scale})"
            numbers += 1
        position = found.end()
    return float(eval(sum_of_parts, {"math": math})) if numbers else None


def _chosen(step: Step) -> float | None:
    """What comes of ``8000; 2400`` where the formula says that the larger, or the smaller, of the two counts."""
    two = [calculated(each) for each in step.numbers.split("; ")]
    if len(two) != 2 or None in two or "units" in step.formula:
        return None
    low, high = sorted(each for each in two if each is not None)
    if "the larger" in step.formula:
        return high
    return low if "the lower" in step.formula or "the smaller" in step.formula else None


def _agrees(step: Step) -> bool:
    mine, told = _chosen(step) or calculated(step.numbers), calculated(step.value)
    if mine is None or told is None:
        return True
    if step.value.endswith("%") and "%" not in step.numbers:
        told *= 100  # 100 × drop / V is in percent already
    if "from 0.8 up" in step.formula:
        mine = math.floor(mine + 0.2)
    whole = "to the nearest ampere" in step.formula or "a fraction below 0.5 A" in step.formula
    near = 0.51 if whole else 1e-6
    return math.isclose(mine, told, rel_tol=0.0 if near > 0.1 else _SHOWN, abs_tol=near)


def check(result: CheckResult) -> None:
    """A result can be redone: its steps, its verdict by value and limit, and what it cites agree."""
    wrong = [step for step in result.working if not _agrees(step)]
    assert not wrong, (result.rule, result.subject, wrong)
    _cites_what_is_written(result)
    if result.value is None or result.limit is None or result.margin is None:
        return
    room = result.value - result.limit if result.at_least else result.limit - result.value
    assert abs((room - result.margin).magnitude) < 1e-9, (result.rule, "margin")
    if result.verdict in (Verdict.PASS, Verdict.FAIL):
        assert (result.verdict is Verdict.PASS) == (room.magnitude >= -1e-6), (result.rule, result.value, result.limit)


def cited(result: CheckResult) -> dict[int, str] | str:
    """What a result cites, as ``citations.yaml`` writes it."""
    if not result.sections:
        return f"{result.citation.code} {result.citation.section}"
    by_edition = dict(result.sections)
    alike = set(by_edition) == set(ALIKE_EDITIONS) and len(set(by_edition.values())) == 1
    return by_edition[ALIKE_EDITIONS[0]] if alike else by_edition


def _cites_what_is_written(result: CheckResult) -> None:
    if result.rule in CITATIONS:  # that each rule is there, tests/checks/test_citations.py watches
        assert cited(result) in CITATIONS[result.rule], (result.rule, "tests/citations.yaml")
    if result.sections:
        edition = int(result.citation.edition)
        assert result.citation.section == dict(result.sections).get(edition, SECTION_UNKNOWN), result.rule
        decided = result.verdict in (Verdict.PASS, Verdict.FAIL)
        assert not (decided and edition not in dict(result.sections)), (result.rule, "decided without a section")
