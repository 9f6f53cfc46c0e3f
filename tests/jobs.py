"""Small records for tests: a house with a service panel, and whatever top-level keys a test writes over it."""

from __future__ import annotations

from textwrap import dedent

from handover.checks.case import JobUnderCheck, Rule
from handover.checks.result import CheckResult
from handover.record.marked import MarkedDict
from handover.record.record import Record
from handover.record.yaml_reader import read_yaml
from tests import redone

HOUSE = """
job:
  title: A small job
  kind: other
  number: T-1
  pack: AAAAAAAAAAAAAAAAAAAAAAAAA
  publish_at: https://packs.example
  summary: For tests.
  dates: {finished: 2026-06-12}
revisions: [{number: 1, date: 2026-06-12, by: A tester, what: First issue.}]
contractor: {name: Test Electric, licence: {number: "1", issued_by: A board}, phone: 555-0100}
site: {name: Test house, building: house}
emergency: {call: "911", utility: A utility, utility_line: 555-0101, shutoff: Outside.}
code: {name: NEC, edition: 2023}
service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: outside}
panels:
  - {code: P1, name: Main panel, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A}
"""


def job(text: str = "") -> Record:
    """The house above with the top-level keys of ``text`` in place of its own.  Shape is checked, meaning is not."""
    house, over = read_yaml("house.yaml", HOUSE.encode()), read_yaml("job.yaml", dedent(text).encode() or b"{}")
    merged = MarkedDict({**house, **over}, over.place, {**house.key_places, **over.key_places})
    return Record.model_validate(merged)


def results(rule: Rule, text: str = "", edition: int = 2023) -> list[CheckResult]:
    """All that one rule finds about ``job(text)``.  The working of each is gone over with a calculator."""
    found = list(rule(JobUnderCheck(job(text), edition)))
    for each in found:
        redone.check(each)
    return found


def result(rule: Rule, text: str = "", edition: int = 2023, subject: str | None = None) -> CheckResult:
    """The one result of a rule about ``job(text)``, or the one about ``subject``."""
    found = [each for each in results(rule, text, edition) if subject in (None, each.subject)]
    assert len(found) == 1, [(each.subject, each.verdict) for each in found]
    return found[0]


def verdict(rule: Rule, text: str = "", edition: int = 2023, subject: str | None = None) -> str:
    """The verdict of ``result``."""
    return str(result(rule, text, edition, subject).verdict)


def swap(text: str, old: str, new: str) -> str:
    """``text`` with ``old``, which must be there, replaced."""
    assert old in text, f"{old!r} is not in the text"
    return text.replace(old, new)
