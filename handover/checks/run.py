"""All rules over one record: local amendments and the contractor's answers applied, then counted and told.

The stage of the journey between the record and everything that is drawn or written from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, replace
from importlib import import_module
from typing import Any

from handover.checks.case import JobUnderCheck, Rule
from handover.checks.result import CheckResult, Given, Verdict
from handover.problems import Place, Problem, count_of, nearest, one_problem
from handover.record.people import EDITIONS, Amendment, Answer
from handover.record.record import Record
from handover.units import Quantity, UnitProblem, read_quantity, show

_MODULES = (
    "service_load", "panels", "fault_current", "poles", "multiwire", "conductors", "parallel", "terminals", "cables",
    "dwelling_feeder", "overcurrent", "grounding_conductor", "voltage_drop", "ground_loop", "raceways", "boxes",
    "listing", "chargers", "heat_pumps", "compressors", "appliances", "cooking_circuits", "motors", "disconnects",
    "buildings", "receptacles", "outlets", "places", "service_equipment", "busbars", "sources", "markings", "readings",
    "measured", "spare_capacity",
)  # fmt: skip
"""The modules of rules, in the order of the report.  Each has a tuple ``RULES``."""


def all_rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the report."""
    return tuple(rule for module in _MODULES for rule in import_module(f"handover.checks.{module}").RULES)


def run_checks(record: Record, edition: int | None = None) -> tuple[CheckResult, ...]:
    """Every rule's results about ``record``, judged by ``edition`` (by default the one adopted at the site).

    Raises JobProblems for an edition whose sections are not held here.
    """
    edition = edition or record.code.edition
    if edition not in EDITIONS:
        raise one_problem(
            record.code.written_at.file or "job.yaml",
            f"the {edition} edition of the NEC is not held here",
            f"Editions held: {', '.join(str(known) for known in EDITIONS)}.",
            line=record.code.written_at.line,
            where="code, edition",
        )
    job = JobUnderCheck(record, edition)
    found = (result for rule in all_rules() for result in job.results_of(rule))
    return tuple(_answered(record.answers, _amended(record.code.amendments, result)) for result in found)


def _amended(amendments: Iterable[Amendment], result: CheckResult) -> CheckResult:
    for amendment in amendments:
        if amendment.rule == result.rule:
            result = _amended_once(amendment, result)
    return result


def _amended_once(amendment: Amendment, result: CheckResult) -> CheckResult:
    """The result under a local change of its rule.  A number it cannot compare with is left to a person to read."""
    told = Given(
        symbol="",
        meaning=f"local amendment ({amendment.effect})",
        value=amendment.limit or "no number given",
        source=f"{amendment.reference}, {amendment.written_at}",
    )
    result = replace(result, inputs=(*result.inputs, told))
    if amendment.effect == "deleted":
        return replace(
            result,
            verdict=Verdict.NOT_APPLICABLE,
            reason=f"Deleted by local amendment: {amendment.reference}.",
        )
    if result.verdict not in (Verdict.PASS, Verdict.FAIL):
        return result
    limit = _local_limit(amendment, result)
    if limit is None or result.value is None or result.limit is None:
        settled = Verdict.FAIL if amendment.effect == "stricter" else Verdict.PASS
        if result.verdict is settled:  # what fails the book fails a stricter rule too, and the other way round
            return replace(result, reason=f"{result.reason} The local amendment {amendment.reference} alters nothing.")
        return _left_to_read(amendment, result, "gives no number that can be compared here")
    margin = result.value - limit if result.at_least else limit - result.value
    asks_more = (limit > result.limit) if result.at_least else (limit < result.limit)
    if limit != result.limit and asks_more is not (amendment.effect == "stricter"):
        return _left_to_read(amendment, result, f"is called {amendment.effect}, and its number says the opposite")
    good = margin.magnitude >= -1e-9 * max(1.0, abs(limit.magnitude))
    return replace(
        result,
        limit=limit,
        margin=margin,
        verdict=Verdict.PASS if good else Verdict.FAIL,
        reason=f"{show(result.value)} against the local limit of {show(limit)}: {amendment.reference}.",
    )


def _left_to_read(amendment: Amendment, result: CheckResult, why: str) -> CheckResult:
    return replace(
        result,
        verdict=Verdict.UNDECIDED,
        reason=f"Local amendment, read it: {amendment.reference} {why}. By the book alone: {result.reason}",
    )


def _local_limit(amendment: Amendment, result: CheckResult) -> Quantity | None:
    if amendment.limit is None or result.limit is None or result.at_least is None:
        return None
    try:
        return read_quantity(amendment.limit, str(result.limit.units), show(result.limit))
    except UnitProblem:
        return None


def _answered(answers: Iterable[Answer], result: CheckResult) -> CheckResult:
    if result.verdict is not Verdict.FAIL:
        return result
    for answer in answers:
        if (answer.rule, answer.subject) == (result.rule, result.subject):
            return replace(result, answered=f"{answer.reason} ({answer.by}, {answer.date.isoformat()})")
    return result


def loose_ends(record: Record, results: Sequence[CheckResult]) -> tuple[Problem, ...]:
    """Answers, confirmations and amendments of the record that changed nothing: likely slips of the pen.

    An answer must meet a failing result, a confirmation a result of that rule and subject, an amendment a known rule.
    """
    failing = {(result.rule, result.subject) for result in results if result.verdict is Verdict.FAIL}
    asked = {(result.rule, result.subject) for result in results}
    known = [rule.id for rule in all_rules()]
    return tuple(_loose_ends(record, failing, asked, known))


def _loose_ends(
    record: Record, failing: set[tuple[str, str]], asked: set[tuple[str, str]], known: list[str]
) -> Iterator[Problem]:
    remedy = "Name rule and subject as  handover check  prints them, or delete the entry."
    for answer in record.answers:
        if (answer.rule, answer.subject) not in failing:
            yield Problem(answer.written_at, "answers", f"no failing result {answer.rule} {answer.subject}", remedy)
    for said in record.confirmed:
        if (said.rule, said.subject) not in asked:
            yield Problem(said.written_at, "confirmed", f"no result {said.rule} {said.subject}", remedy)
    for amendment in record.code.amendments:
        if amendment.rule not in known:
            yield _unknown_rule(amendment.rule, amendment.written_at, known)


def _unknown_rule(name: str, place: Place, known: list[str]) -> Problem:
    near = nearest(name, known)
    remedy = f"Did you mean  {near} ?" if near else "See the rules' names in:  handover check JOB"
    return Problem(place, "code, amendments", f'there is no rule "{name}"', remedy)


def stops_build(result: CheckResult) -> bool:
    """Whether a result keeps the pack from being built: it fails, is no advice, and nobody answered for it."""
    return result.verdict is Verdict.FAIL and not result.advice and result.answered is None


def summary(results: Iterable[CheckResult]) -> dict[str, int]:
    """How many results came to each verdict."""
    counts = {str(verdict): 0 for verdict in Verdict}
    for result in results:
        counts[str(result.verdict)] += 1
    return counts


def as_json(record: Record, edition: int, results: Sequence[CheckResult]) -> dict[str, Any]:
    """The results as plain values for ``handover check --json``; quantities as text with their unit."""
    return {
        "job": record.job.number,
        "edition": edition,
        "summary": summary(results),
        "results": [_result_as_json(result) for result in results],
    }


def _result_as_json(result: CheckResult) -> dict[str, Any]:
    return {
        "rule": result.rule,
        "subject": result.subject,
        "question": result.question,
        "inputs": [asdict(given) for given in result.inputs],
        "working": [asdict(step) for step in result.working],
        "value": _exact(result.value),
        "limit": _exact(result.limit),
        "margin": _exact(result.margin),
        "verdict": str(result.verdict),
        "reason": result.reason,
        "citation": asdict(result.citation),
        "advice": result.advice,
        "answered": result.answered,
    }


def _exact(value: Quantity | None) -> str | None:
    """A quantity with digits enough to compare again, not only to read."""
    return None if value is None else show(value, digits=8)


_TOLD = {
    Verdict.FAIL: "fails",
    Verdict.UNDECIDED: "cannot be decided",
    Verdict.PASS: "passes",
    Verdict.NOT_APPLICABLE: "does not apply",
}
_ORDER = tuple(_TOLD)


def report_lines(results: Sequence[CheckResult]) -> Iterator[str]:
    """The results for a terminal: a paragraph a subject, what needs somebody's attention first, counts last."""
    subjects = list(dict.fromkeys(result.subject for result in results))
    by_subject = {name: [result for result in results if result.subject == name] for name in subjects}
    for name in sorted(subjects, key=lambda name: min(_ORDER.index(result.verdict) for result in by_subject[name])):
        yield name
        for result in sorted(by_subject[name], key=lambda result: _ORDER.index(result.verdict)):
            yield from _told(result)
        yield ""
    counts = summary(results)
    yield ", ".join(f"{counts[str(verdict)]} {words}" for verdict, words in _plural(counts)) + "."
    stopping = sum(stops_build(result) for result in results)
    if stopping:
        yield f"{count_of(stopping, 'result')} must be mended, or answered in the record, before a pack can be built."


def _plural(counts: dict[str, int]) -> Iterator[tuple[Verdict, str]]:
    for verdict, words in _TOLD.items():
        many = {"fails": "fail", "passes": "pass", "does not apply": "do not apply"}.get(words, words)
        yield verdict, words if counts[str(verdict)] == 1 else many


def _told(result: CheckResult) -> Iterator[str]:
    advice = ", advice only" if result.advice else ""
    if result.verdict is Verdict.NOT_APPLICABLE:
        yield f"    does not apply: [{result.rule}] {result.reason}"
        return
    yield f"    {_TOLD[result.verdict]}{advice}: {result.question} [{result.rule}]"
    yield f"        {result.reason} {result.citation}."
    if result.answered:
        yield f"        Answered: {result.answered}"
