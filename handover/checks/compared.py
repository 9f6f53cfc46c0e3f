"""What another edition of the code would change: the same record under two editions, rule by rule."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from handover.checks.case import SECTION_UNKNOWN
from handover.checks.result import CheckResult, Verdict
from handover.units import show

_TOLD = {
    Verdict.PASS: "passes",
    Verdict.FAIL: "fails",
    Verdict.UNDECIDED: "cannot be decided",
    Verdict.NOT_APPLICABLE: "does not apply",
    None: "no such question",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One rule about one subject that two editions treat differently.

    ``was`` is its result under the adopted edition and ``now`` under the other; None where the rule has none there.
    At least one of the two is there.
    """

    was: CheckResult | None
    now: CheckResult | None

    @property
    def _either(self) -> CheckResult:
        found = self.now or self.was
        assert found is not None
        return found

    @property
    def rule(self) -> str:
        """The rule's id."""
        return self._either.rule

    @property
    def subject(self) -> str:
        """The code that both results are about."""
        return self._either.subject

    @property
    def verdicts(self) -> tuple[Verdict | None, Verdict | None]:
        """Verdict before and after."""
        was = None if self.was is None else self.was.verdict
        return (was, None if self.now is None else self.now.verdict)

    @property
    def sections(self) -> tuple[str, str]:
        """The section before and after, empty where there is no result."""
        return (self.was.citation.section if self.was else "", self.now.citation.section if self.now else "")

    @property
    def limits(self) -> tuple[str | None, str | None]:
        """The limit before and after as shown, None where nothing was compared."""
        return (_limit(self.was), _limit(self.now))

    @property
    def outcome_differs(self) -> bool:
        """Whether more than the number of the section changes."""
        return self.verdicts[0] is not self.verdicts[1] or self.limits[0] != self.limits[1]


def _limit(result: CheckResult | None) -> str | None:
    return None if result is None or result.limit is None else show(result.limit, digits=8)


def changes(adopted: Iterable[CheckResult], other: Iterable[CheckResult]) -> tuple[Change, ...]:
    """Every result that differs in verdict, limit or section, in the order of the report."""
    before = {(result.rule, result.subject): result for result in adopted}
    after = {(result.rule, result.subject): result for result in other}
    pairs = (Change(before.get(key), after.get(key)) for key in (before | after))
    return tuple(one for one in pairs if one.outcome_differs or one.sections[0] != one.sections[1])


def change_lines(found: Sequence[Change], adopted: int, other: int) -> Iterator[str]:
    """The changes for a terminal: outcomes first, one paragraph for each rule, then what is only numbered anew."""
    if not found:
        yield f"Against the {adopted} edition adopted at the site, the {other} edition changes nothing."
        return
    yield f"Against the {adopted} edition adopted at the site, the {other} edition changes:"
    unread = [one for one in found if one.sections[1] == SECTION_UNKNOWN]
    read = [one for one in found if one not in unread]
    yield from _outcome_lines([one for one in read if one.outcome_differs])
    renumbered: dict[str, tuple[str, str]] = {one.rule: one.sections for one in read if not one.outcome_differs}
    if renumbered:
        yield "    Numbered differently, with the same outcome:"
        for rule, (was, now) in renumbered.items():
            yield f"        {rule}: {was} becomes {now}"
    if unread:
        yield f"    Not confirmed here for {other}; read these in the adopted book, each with what {adopted} says:"
        for rule, was_verdict, section, subjects in _grouped(unread):
            yield f"        {rule} ({subjects}): {_TOLD[was_verdict]} by {section or 'no section'}"


def _grouped(found: Iterable[Change]) -> Iterator[tuple[str, Verdict | None, str, str]]:
    groups: dict[tuple[str, Verdict | None, str], list[str]] = {}
    for one in found:
        groups.setdefault((one.rule, one.verdicts[0], one.sections[0]), []).append(one.subject)
    for (rule, verdict, section), subjects in groups.items():
        yield rule, verdict, section, ", ".join(subjects)


def _outcome_lines(found: Sequence[Change]) -> Iterator[str]:
    groups: dict[tuple[str, tuple[Verdict | None, Verdict | None]], list[Change]] = {}
    for one in found:
        groups.setdefault((one.rule, one.verdicts), []).append(one)
    for (rule, (was, now)), members in groups.items():
        subjects = ", ".join(one.subject for one in members)
        told = f"{_TOLD[was]}, then {_TOLD[now]}" if was is not now else f"{_TOLD[now]} at another limit"
        yield f"    {rule} ({subjects}): {told}"
        first = members[0]
        limits = " to ".join(each or "none" for each in first.limits)
        if first.limits[0] != first.limits[1] and first.limits[1] is not None:
            yield f"        limit of {first.subject}: {limits}"
        if first.now is not None:
            yield f"        {first.now.reason} {first.now.citation}."


def as_json(found: Sequence[Change], adopted: int) -> dict[str, Any]:
    """The changes as plain values, beside the results of ``handover check --json --edition``."""
    return {"edition": adopted, "changes": [_change_as_json(one) for one in found]}


def _change_as_json(one: Change) -> dict[str, Any]:
    sides = zip(one.verdicts, one.limits, one.sections, strict=True)
    was, now = (
        None if verdict is None else {"verdict": str(verdict), "limit": limit, "section": section}
        for verdict, limit, section in sides
    )
    reason = one.now.reason if one.now else ""
    return {"rule": one.rule, "subject": one.subject, "was": was, "now": now, "reason": reason}
