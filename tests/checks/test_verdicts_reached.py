"""Every rule passes some job, fails another, cannot decide a third, and has nothing to say of a fourth.

Jobs: the example and the other house, each in all editions, as they are, with one thing wrong at a time, and spoiled at
random from a fixed seed.  A rule that never fails, or never passes, checks nothing.
"""

from __future__ import annotations

import random
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from handover.checks.case import SECTION_UNKNOWN, JobUnderCheck, Rule
from handover.checks.result import CheckResult, Verdict
from handover.checks.run import all_rules, run_checks
from handover.record.evidence import Confirmed
from handover.record.people import EDITIONS
from handover.record.reader import read_job
from handover.record.record import Record
from tests.checks.spoiling import all_there_before, spoiled, spoiled_in_places
from tests.checks.test_wrong_variants import DEMO, VARIANTS, job_folder

OTHER_HOUSE = Path(__file__).parents[1] / "other_house"
NOTHING = "nothing"
"""What a rule says that has no result about a record, or one that does not apply."""
WANTED = frozenset((str(Verdict.PASS), str(Verdict.FAIL), str(Verdict.UNDECIDED), NOTHING))
NEVER = {
    ("panel_spaces", NOTHING): "it is about every panel, new or old, and every job has one",
    ("spare_spaces", NOTHING): "it is about every panel, new or old, and every job has one",
}
SEED, MOST_DRAWS = 1, 6000
_ADVISES = re.compile(
    r"\b(add|ask|calculate|count|compare|find|get|judge|look|measure|mend|read|record|say|trace|work|write)\b",
    re.IGNORECASE,
)
_LACKS = re.compile(r"\b(is|are|was|were|[Nn]ot) (not )?recorded\b")
"""What a result that cannot decide tells a person to do, or the fact that it lacks."""


@dataclass
class Seen:
    """What each rule came to so far, and what is wrong with how a result tells it."""

    said: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    faults: set[str] = field(default_factory=set)
    draws: int = 0

    def take(self, record: Record, edition: int, rules: Iterable[Rule]) -> list[CheckResult]:
        """Run rules over a record.  One that raises anything fails the test with its own traceback."""
        job = JobUnderCheck(record, edition)
        found: list[CheckResult] = []
        for rule in rules:
            results = list(rule(job))
            self.said[rule.id] |= {_said(result) for result in results} or {NOTHING}
            self.faults |= {f"{result.rule} {result.subject}: {fault}" for result in results for fault in told(result)}
            found += results
        return found

    def open(self) -> list[Rule]:
        """The rules that have not come to everything yet."""
        return [rule for rule in all_rules() if self.missing(rule)]

    def missing(self, rule: Rule) -> set[str]:
        """What a rule has not come to yet."""
        return {verdict for verdict in WANTED - self.said[rule.id] if (rule.id, verdict) not in NEVER}


def _said(result: CheckResult) -> str:
    return NOTHING if result.verdict is Verdict.NOT_APPLICABLE else str(result.verdict)


def told(result: CheckResult) -> Iterator[str]:
    """What is wrong with how a result tells what it came to."""
    if not (result.citation.code and result.citation.section):
        yield "no citation"
    if not result.reason.endswith((".", "?")):
        yield f"no full sentence: {result.reason}"
    if result.verdict is Verdict.UNDECIDED and not (_ADVISES.search(result.reason) or _LACKS.search(result.reason)):
        yield f"does not say what to find out or whom to ask: {result.reason}"
    decided = result.citation.edition == "2026" and result.verdict in (Verdict.PASS, Verdict.FAIL)
    if decided and (result.citation.section == SECTION_UNKNOWN or 2026 not in dict(result.sections)):
        yield "decides 2026 without a confirmed section"


def answered(record: Record, results: list[CheckResult], dice: random.Random) -> Record:
    """The record with an answer to each question that only a person can answer."""
    asked = [result for result in results if "record the answer under confirmed" in result.reason]
    answers = tuple(
        Confirmed(rule=each.rule, subject=each.subject, answer=dice.choice(("yes", "no")), how="Looked.")
        for each in asked
    )
    return record.model_copy(update={"confirmed": (*record.confirmed, *answers)})


def with_load(record: Record, method: str, limits: str) -> Record:
    """The record with its service load found by another method, and its energy management over something else."""
    load = record.service_load
    assert load is not None
    assert load.energy_management is not None
    managed = load.energy_management.model_copy(update={"limits": limits})
    changed = load.model_copy(update={"method": method, "energy_management": managed})
    return record.model_copy(update={"service_load": changed})


@pytest.fixture(scope="module")
def seen(tmp_path_factory) -> Seen:
    collected, dice, answers = Seen(), random.Random(SEED), random.Random(SEED)
    jobs = [read_job(DEMO), read_job(OTHER_HOUSE)]
    for job in jobs:
        bare = all_there_before(job).model_copy(update={"readings": (), "torques": (), "instruments": ()})
        for edition in EDITIONS:
            for record in (job, bare, spoiled(job, 0.02, dice), spoiled(job, 0.2, dice)):
                collected.take(record, edition, all_rules())
    for number, variant in enumerate(VARIANTS):
        folder = job_folder(tmp_path_factory.mktemp("wrong"), variant["swap"])
        collected.take(read_job(folder), EDITIONS[number % len(EDITIONS)], collected.open())
    jobs += [with_load(jobs[1], "standard", "car chargers"), with_load(jobs[1], "measured demand", "service"), bare]
    while (rules := collected.open()) and collected.draws < MOST_DRAWS:
        collected.draws += 1
        record, edition = spoiled_in_places(dice.choice(jobs), dice), dice.choice(EDITIONS)
        results = collected.take(record, edition, rules)
        collected.take(answered(record, results, answers), edition, rules)
    return collected


def test_every_rule_passes_fails_cannot_decide_has_nothing_to_say_and_tells_it_well(seen):
    """One test, so that test processes beside each other do not draw the same records."""
    assert {rule.id: seen.missing(rule) for rule in seen.open()} == {}, f"never, in {seen.draws} spoiled records"
    assert [(rule, verdict) for rule, verdict in NEVER if verdict in seen.said[rule]] == [], "reached after all"
    assert sorted(seen.faults) == []


def test_the_other_house_is_right():
    failing = [
        (result.rule, result.subject) for result in run_checks(read_job(OTHER_HOUSE)) if result.verdict == "fail"
    ]
    assert failing == []
