"""The pages of numbers: what was checked, what it came to, and the working for each subject."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from handover.checks.result import CheckResult, Given, Verdict
from handover.pages.contents import Here, Thing
from handover.pages.shown import sentence
from handover.pages.views import Link, Row, Said
from handover.record.facts import Basis
from handover.record.people import EDITIONS
from handover.record.wiring import Run, Wiring
from handover.units import show


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One result as a page shows it.  ``kind`` styles the verdict; the verdict itself is always words.

    ``also``: what else limits it, from other results.
    """

    id: str
    question: str
    subject: str
    verdict: str
    kind: str
    advice: bool
    reason: str
    answered: str
    citation: str
    by_edition: str
    value: str
    limit: str
    margin: str
    inputs: tuple[Row, ...]
    working: tuple[tuple[str, str, str], ...]
    href: str
    also: tuple[Row, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Count:
    """How many results came to one verdict."""

    number: int
    verdict: str
    kind: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SubjectChecks:
    """The results about one code, counted, and where their working stands."""

    code: str
    name: str
    counts: tuple[Count, ...]
    href: str
    questions: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class NumbersPage:
    """The summary by verdict."""

    counts: tuple[Count, ...]
    edition: str
    fails: tuple[Finding, ...]
    undecided: tuple[Finding, ...]
    subjects: tuple[SubjectChecks, ...]
    unchecked: tuple[Link, ...]
    amendments: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkingPage:
    """All results about one code, with their working."""

    code: str
    name: str
    back: Link
    home: Link
    counts: tuple[Count, ...]
    findings: tuple[Finding, ...]


_MISSING = (Basis.UNKNOWN, Basis.NOT_CHECKED, Basis.NOT_RECORDED)
_ORDER = ("fails", "answered", "undecided", "advice", "passes", "apart")
_WORDS = {
    "fails": "Does not pass",
    "answered": "Does not pass, and answered",
    "undecided": "Cannot be decided yet",
    "advice": "Falls short of advice",
    "passes": "Passes",
    "apart": "Does not apply",
}


def kind_of(result: CheckResult) -> str:
    """The kind of a result, as pages sort and style it."""
    if result.verdict is Verdict.FAIL:
        if result.answered is not None:
            return "answered"
        return "advice" if result.advice else "fails"
    return {Verdict.PASS: "passes", Verdict.UNDECIDED: "undecided", Verdict.NOT_APPLICABLE: "apart"}[result.verdict]


def verdict_words(result: CheckResult) -> str:
    """What a result came to, in the words of every page."""
    return _WORDS[kind_of(result)]


def counts_of(results: tuple[CheckResult, ...]) -> tuple[Count, ...]:
    """Results counted by kind, what needs attention first; kinds that did not occur are left out."""
    found = Counter(kind_of(result) for result in results)
    return tuple(Count(number=found[kind], verdict=_WORDS[kind], kind=kind) for kind in _ORDER if found[kind])


def counts_in_words(results: tuple[CheckResult, ...]) -> tuple[str, ...]:
    """The same for somebody who does not know the rules: one sentence for each kind that occurred."""
    found = Counter(kind_of(result) for result in results)
    failed = found["fails"] + found["answered"]
    told = [
        f"{found['passes']} passed",
        f"{found['undecided']} could not be checked: a fact is missing, or a person must judge",
        f"{failed} failed" + (f", {found['answered']} of them answered by the contractor" if found["answered"] else ""),
        f"{found['advice']} fell short of advice that is no rule",
        f"{found['apart']} do not apply here",
    ]
    numbers = (found["passes"], found["undecided"], True, found["advice"], found["apart"])
    return tuple(text.replace("0 failed", "none failed", 1) if text == "0 failed" else text
                 for text, number in zip(told, numbers, strict=True) if number)  # fmt: skip


def subject_checks(here: Here, code: str) -> SubjectChecks | None:
    """The results about one code in short.  None where no rule said anything about it."""
    results = here.book.results_by_code.get(code)
    if not results:
        return None
    return SubjectChecks(
        code=code,
        name=_name_beside(here, code),
        counts=counts_of(results),
        href=here.to(here.book.numbers_path(code)),
        questions=tuple(dict.fromkeys(result.question for result in results if result.verdict is Verdict.PASS)),
    )


def why_not_checked(thing: Thing, missing: Iterable[Row]) -> tuple[str, ...]:
    """Why no rule said anything about a thing, so that silence is no pass.  ``missing``: its open facts."""
    told = ["Nothing was checked here."]
    if thing.work == "existing":
        told.append("It was here before this job, and the checks judge what a job makes or changes.")
    else:
        told.append("No rule of this program asks about it.")
    facts = "; ".join(f"{row.label}, {row.said.text.lower()}" for row in missing)
    if facts and isinstance(thing, Wiring | Run):
        told.append(f"Facts that a check would need are missing too: {facts}.")
    return tuple(told)


def _name_beside(here: Here, code: str) -> str:
    """The name to stand beside a code; nothing where the code is all that there is."""
    name = here.book.installation.name_of(code)
    return "" if name == code else name


def numbers_page(here: Here) -> NumbersPage:
    """Everything that was checked, by verdict: what does not pass, what is open, and then the rest by subject."""
    book = here.book
    every = book.pack.results
    adopted = book.record.code
    return NumbersPage(
        counts=counts_of(every),
        edition=f"{adopted.name} {adopted.edition}",
        fails=tuple(_short(here, result) for result in every if result.verdict is Verdict.FAIL),
        undecided=tuple(_short(here, result) for result in every if result.verdict is Verdict.UNDECIDED),
        subjects=tuple(filter(None, (subject_checks(here, code) for code in book.results_by_code))),
        unchecked=tuple(here.link(code) for code in book.things if code not in book.results_by_code),
        amendments=tuple(f"{item.reference}: {item.text}" for item in adopted.amendments),
    )


def working_page(here: Here, code: str, room: tuple[Row, ...] = ()) -> WorkingPage:
    """The working of every result about one code.  ``room``: what feeds a panel has left, beside its free spaces."""
    results = here.book.results_by_code[code]
    ordered = sorted(enumerate(results), key=lambda pair: (_ORDER.index(kind_of(pair[1])), pair[0]))
    return WorkingPage(
        code=code,
        name=_name_beside(here, code),
        back=here.entry("numbers.html"),
        home=here.link(code),
        counts=counts_of(results),
        findings=tuple(
            replace(_whole(here, result), also=room if result.rule == "spare_spaces" else ()) for _, result in ordered
        ),
    )


def anchor(result: CheckResult) -> str:
    """The result's element id: rule and subject are unique together."""
    return f"{result.rule}-{result.subject}".replace("/", "-").replace("_", "-")


def _short(here: Here, result: CheckResult) -> Finding:
    code = result.subject.split("/")[0]
    return _finding(here, result, href=f"{here.to(here.book.numbers_path(code))}#{anchor(result)}", working=False)


def _whole(here: Here, result: CheckResult) -> Finding:
    return _finding(here, result, href="", working=True)


def _given_value(given: Given) -> Said:
    missing = given.basis in _MISSING
    return Said(
        text=given.value,
        tag="" if missing or given.basis == Basis.RECORDED else given.basis,
        open=missing,
        note=_IN_RECORD.sub(r"\1, line \2", given.source),
    )


_IN_RECORD = re.compile(r"\b([\w-]+\.yaml):(\d+)")
_APPLIANCE = re.compile(r"\bappliance (\d+)")


def _meaning(here: Here, given: Given) -> str:
    """What an input is, with an appliance of the load calculation by its name.

    A result holds no text of the record, so its number stands there; the name is the one this edition may show.
    """
    load = here.book.record.service_load

    def named(found: re.Match[str]) -> str:
        number = int(found[1])
        known = load is not None and 1 <= number <= len(load.appliances)
        return f"{found[0]}, {load.appliances[number - 1].name}" if load is not None and known else found[0]

    meaning = _APPLIANCE.sub(named, given.meaning)
    return sentence(f"{meaning} ({given.symbol})" if given.symbol else meaning)


def _by_edition(result: CheckResult) -> str:
    """Where the rule stands in the other editions, for an inspector with another book; empty for other codes."""
    known = dict(result.sections)
    if not known:
        return ""
    here = result.citation.section
    others: dict[str, list[str]] = {}
    for edition in EDITIONS:
        if str(edition) != result.citation.edition:
            others.setdefault(known.get(edition, "not confirmed here"), []).append(str(edition))
    told = [f"{' and '.join(years)} {'the same' if section == here else section}" for section, years in others.items()]
    return "; ".join(told)


def _finding(here: Here, result: CheckResult, *, href: str, working: bool) -> Finding:
    kind = kind_of(result)
    inputs = [
        Row(
            label=_meaning(here, given),
            said=_given_value(given),
        )
        for given in result.inputs
    ]
    return Finding(
        id=anchor(result),
        question=result.question,
        subject=here.book.subject_name(result.subject),
        verdict=_WORDS[kind],
        kind=kind,
        advice=result.advice,
        reason=sentence(result.reason),
        answered=result.answered or "",
        citation=str(result.citation),
        by_edition=_by_edition(result) if working else "",
        value="" if result.value is None else show(result.value),
        limit="" if result.limit is None else show(result.limit),
        margin="" if result.margin is None else show(result.margin),
        inputs=tuple(inputs) if working else (),
        working=tuple((step.formula, step.numbers, step.value) for step in result.working) if working else (),
        href=href,
    )
