"""What every rule says of the example job, subject by subject, as ``example_verdicts.yaml`` keeps it approved.

    python -m tests.checks.test_example_verdicts

writes the file anew after a change of the example or a rule.  Read the difference before it is kept: each line says
verdict, value and limit, and can be redone from the working that ``handover check`` prints.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from handover.checks.result import CheckResult
from handover.checks.run import run_checks
from handover.record.people import EDITIONS
from handover.record.reader import read_job
from handover.record.record import Record
from handover.units import show

DEMO = Path(__file__).parents[2] / "demo_property"
KEPT = Path(__file__).with_name("example_verdicts.yaml")
NOTHING = "no result"
LISTS = ("panels", "feeders", "circuits", "runs", "boxes", "equipment", "sources", "transfers", "readings", "markings")


@pytest.fixture(scope="module")
def demo() -> Record:
    return read_job(DEMO)


def told(result: CheckResult, *, reason: bool) -> str:
    """``pass, 65 A, at least 60 A``, or ``pass: Two rods.`` where no numbers are compared and the reason is wanted."""
    words = [str(result.verdict) + (" (advice)" if result.advice else "")]
    if result.value is not None and result.limit is not None:
        words += [show(result.value), f"at {'least' if result.at_least else 'most'} {show(result.limit)}"]
    elif reason:
        return f"{words[0]}: {result.reason}"
    return ", ".join(words)


def verdicts(record: Record, edition: int, *, reasons: bool = False) -> dict[str, dict[str, str]]:
    """By rule and subject, what comes out."""
    found: dict[str, dict[str, str]] = {}
    for each in run_checks(record, edition):
        assert each.subject not in found.setdefault(each.rule, {}), (each.rule, each.subject, "twice")
        found[each.rule][each.subject] = told(each, reason=reasons)
    return found


def _differing(rule: str, adopted: dict[str, dict[str, str]], now: dict[str, dict[str, str]]) -> dict[str, str]:
    """The subjects of a rule of which another edition says something else, or nothing."""
    before, after = adopted[rule], now.get(rule, {})
    names = [*before, *(name for name in after if name not in before)]
    return {name: after.get(name, NOTHING) for name in names if before.get(name) != after.get(name)}


def written() -> str:
    """The file as it should be: the adopted edition in full, of the others what differs."""
    record = read_job(DEMO)
    adopted = verdicts(record, record.code.edition)
    kept: dict[int, dict[str, dict[str, str]]] = {
        record.code.edition: verdicts(record, record.code.edition, reasons=True)
    }
    for edition in EDITIONS:
        if edition not in kept:
            now = verdicts(record, edition)
            kept[edition] = {rule: differing for rule in adopted if (differing := _differing(rule, adopted, now))}
    return yaml.safe_dump(kept, allow_unicode=True, sort_keys=False, width=200)


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_example_comes_out_as_approved(demo, edition):
    kept = yaml.safe_load(KEPT.read_text(encoding="utf-8"))
    expected = {rule: dict(subjects) for rule, subjects in kept[demo.code.edition].items()}
    if edition != demo.code.edition:
        for rule, subjects in expected.items():
            plain = {name: what.partition(":")[0] for name, what in subjects.items()}
            expected[rule] = plain | kept[edition].get(rule, {})
    said = {rule: {name: what for name, what in each.items() if what != NOTHING} for rule, each in expected.items()}
    found = verdicts(demo, edition, reasons=edition == demo.code.edition)
    if edition == demo.code.edition:
        assert list(found) == list(said), "the rules in the order of the report"
    assert found.keys() <= said.keys()
    for rule, subjects in said.items():
        assert found.get(rule, {}) == subjects, rule


def test_the_order_of_things_in_the_record_changes_nothing(demo):
    """Each list of the record read backwards: the same is said of the same things."""
    there = {name: tuple(reversed(getattr(demo, name))) for name in LISTS if hasattr(demo, name) and name != "readings"}
    assert len(there) >= 7
    backwards = verdicts(demo.model_copy(update=there), demo.code.edition)
    forwards = verdicts(demo, demo.code.edition)
    for rule, subjects in forwards.items():
        assert backwards[rule] == subjects, rule


if __name__ == "__main__":
    KEPT.write_text(written(), encoding="utf-8")
