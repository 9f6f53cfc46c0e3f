"""All rules over one record: editions, local amendments, answers, counts, and what is told of them."""

from __future__ import annotations

import json
import pkgutil
from dataclasses import is_dataclass, replace
from importlib import import_module

import pytest

from handover import checks, tables
from handover.checks import run
from handover.checks.case import JobUnderCheck, Rule
from handover.checks.result import CheckResult, Citation, Given, Step, Verdict
from handover.checks.run import (
    EDITIONS,
    all_rules,
    as_json,
    loose_ends,
    report_lines,
    run_checks,
    stops_build,
    summary,
)
from handover.problems import JobProblems
from handover.units import quantity
from tests.jobs import job, swap

PANEL = """
panels:
  - {code: P1, name: Main, place: hall, work: new, spaces: 2, main_kind: main breaker, main: 200 A, bus: 200 A,
     neutral_bonded: no, handle_height: 80 in, working_depth: 40 in,
     slots: [{spaces: [1], blank: yes}, {spaces: [2], blank: yes}]}
"""
CODE = """
code:
  name: NEC
  edition: 2023
  amendments: [{rule: handle_height, effect: relaxed, limit: 82 in, reference: Ordinance 7, text: Higher handles.}]
"""


def one(results: tuple[CheckResult, ...], rule: str) -> CheckResult:
    found = [result for result in results if result.rule == rule]
    assert len(found) == 1
    return found[0]


def test_rules_have_ids_of_their_own_and_a_question():
    rules = all_rules()
    ids = [rule.id for rule in rules]
    assert len(ids) == len(set(ids))
    assert all(rule.question.endswith("?") for rule in rules)


def test_no_rule_is_forgotten_in_the_report():
    """Every rule that any module of the checks defines is run."""
    defined = set()
    for module in pkgutil.iter_modules(checks.__path__):
        held = vars(import_module(f"handover.checks.{module.name}")).values()
        defined |= {value.id for value in held if isinstance(value, Rule)}
    assert defined == {rule.id for rule in all_rules()}


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_result_has_a_reason_and_a_citation_in_every_edition(edition):
    for result in run_checks(job(PANEL), edition):
        assert result.reason
        assert result.citation.section
        if "not confirmed" in result.citation.section:
            assert result.verdict in (Verdict.UNDECIDED, Verdict.NOT_APPLICABLE)


def test_an_edition_that_is_not_held_is_refused_by_name():
    with pytest.raises(JobProblems, match="2014 edition of the NEC is not held"):
        run_checks(job(PANEL), 2014)
    with pytest.raises(JobProblems, match="Editions held: 2017, 2020, 2023, 2026"):
        run_checks(job(PANEL + "code: {name: NEC, edition: 1999}\n"))


def test_the_edition_asked_for_goes_before_the_adopted_one():
    assert {result.citation.edition for result in run_checks(job(PANEL), 2020)} <= {"2020", ""}
    assert "2023" in {result.citation.edition for result in run_checks(job(PANEL))}


@pytest.mark.parametrize(
    ("effect", "limit", "expected"),
    [
        ("relaxed", "82 in", "pass"),
        ("relaxed", "79.5 in", "fail"),
        ("relaxed", "72 in", "undecided"),
        ("relaxed", "as the inspector says", "undecided"),
        ("relaxed", "5 A", "undecided"),
        ("stricter", "72 in", "fail"),
        ("stricter", "as the inspector says", "fail"),
        ("deleted", "none", "not_applicable"),
    ],
)
def test_amendments_of_a_rule_that_fails_the_book(effect, limit, expected):
    """The handle stands at 80 in where the book allows 79."""
    assert one(run_checks(job(PANEL)), "handle_height").verdict == "fail"
    amended = swap(swap(CODE, "effect: relaxed", f"effect: {effect}"), "82 in", limit)
    result = one(run_checks(job(PANEL + amended)), "handle_height")
    assert result.verdict == expected
    assert "Ordinance 7" in result.reason
    assert any("Ordinance 7" in given.source for given in result.inputs)


@pytest.mark.parametrize(
    ("effect", "limit", "expected"),
    [("stricter", "42 in", "fail"), ("stricter", "38 in", "pass"), ("stricter", "30 in", "undecided"),
     ("stricter", "see text", "undecided"), ("relaxed", "see text", "pass"), ("relaxed", "30 in", "pass")],
)  # fmt: skip
def test_amendments_of_a_rule_that_passes_the_book(effect, limit, expected):
    """40 in of working depth where the book asks for 36: here the value must be at least the limit."""
    amended = swap(swap(CODE, "effect: relaxed", f"effect: {effect}"), "82 in", limit).replace(
        "handle_height", "working_depth"
    )
    assert one(run_checks(job(PANEL + amended)), "working_depth").verdict == expected


def test_an_amended_rule_whose_fact_is_missing_stays_undecided():
    unknown = swap(PANEL, "handle_height: 80 in", "handle_height: unknown")
    assert one(run_checks(job(unknown + CODE)), "handle_height").verdict == "undecided"


ANSWER = """
answers: [{rule: handle_height, subject: P1, reason: The wall leaves no choice., by: R. Ash, date: 2026-06-12}]
"""


def test_an_answer_is_shown_and_lets_the_build_go_on():
    failing = one(run_checks(job(PANEL)), "handle_height")
    assert stops_build(failing)
    answered = one(run_checks(job(PANEL + ANSWER)), "handle_height")
    assert answered.verdict == "fail"
    assert answered.answered == "The wall leaves no choice. (R. Ash, 2026-06-12)"
    assert not stops_build(answered)
    assert any("The wall leaves no choice." in line for line in report_lines([answered]))


def test_advice_never_stops_the_build():
    failing = one(run_checks(job(PANEL)), "handle_height")
    assert not stops_build(replace(failing, advice=True))
    assert not stops_build(replace(failing, verdict=Verdict.UNDECIDED))


def test_loose_ends_are_named_with_their_place():
    record = job(PANEL + ANSWER + CODE)
    results = run_checks(record)
    (stray,) = loose_ends(record, results)
    assert "no failing result handle_height P1" in str(stray), (
        "the amendment lets it pass, so nothing is to be answered"
    )
    assert str(stray.place).startswith("job.yaml:")
    slips = job(
        PANEL
        + swap(ANSWER, "subject: P1", "subject: P7")
        + swap(CODE, "rule: handle_height", "rule: handle_heigth")
        + "confirmed: [{rule: sources_posted, subject: X1, answer: yes, how: Seen.}]\n"
    )
    told = [str(problem) for problem in loose_ends(slips, run_checks(slips))]
    assert len(told) == 3
    assert any("Did you mean  handle_height ?" in line for line in told)
    assert loose_ends(job(PANEL), run_checks(job(PANEL))) == ()


def test_json_has_exactly_the_agreed_names():
    record = job(PANEL)
    results = run_checks(record)
    told = json.loads(json.dumps(as_json(record, 2023, results)))
    assert list(told) == ["job", "edition", "summary", "results"]
    assert (told["job"], told["edition"]) == ("T-1", 2023)
    assert list(told["summary"]) == ["pass", "fail", "undecided", "not_applicable"]
    assert sum(told["summary"].values()) == len(results)
    for each in told["results"]:
        assert list(each) == [
            "rule", "subject", "question", "inputs", "working", "value", "limit", "margin", "verdict", "reason",
            "citation", "advice", "answered",
        ]  # fmt: skip
        assert list(each["citation"]) == ["code", "edition", "section"]
        assert all(list(given) == ["symbol", "meaning", "value", "source", "basis"] for given in each["inputs"])
        assert all(list(step) == ["formula", "numbers", "value"] for step in each["working"])
    height = next(each for each in told["results"] if each["rule"] == "handle_height")
    assert (height["value"], height["limit"], height["margin"]) == ("80 in", "79 in", "-1 in")


def test_the_report_puts_what_needs_attention_first_and_counts_last():
    results = run_checks(job(PANEL))
    lines = list(report_lines(results))
    verdicts = [
        line.split(":")[0].split(",")[0].strip() for line in lines if line.startswith("    ") and line[4] != " "
    ]
    assert verdicts[0] == "fails"
    counts = summary(results)
    assert f"{counts['pass']} pass" in lines[-2]
    assert lines[-1].endswith("before a pack can be built.")


def test_nothing_to_tell_of_nothing():
    assert list(report_lines([])) == ["0 fail, 0 cannot be decided, 0 pass, 0 do not apply."]


def test_counts_read_as_words():
    passed = CheckResult(
        rule="r",
        subject="P1",
        question="Q?",
        verdict=Verdict.PASS,
        reason="Yes.",
        citation=Citation(code="C", edition="", section="1"),
    )
    assert list(run.report_lines([passed]))[-1] == "0 fail, 0 cannot be decided, 1 passes, 0 do not apply."


def test_what_is_found_cannot_be_altered_afterwards():
    """Every dataclass of checks and tables is frozen, and but for the job itself takes no other attributes."""
    found = []
    for package in (checks, tables):
        for module in pkgutil.iter_modules(package.__path__):
            held = vars(import_module(f"{package.__name__}.{module.name}")).values()
            found += [each for each in held if isinstance(each, type) and is_dataclass(each)]
    ours = {each for each in found if each.__module__.startswith(("handover.checks", "handover.tables"))}
    assert {"CheckResult", "Table", "Looked", "JobUnderCheck", "Bus"} <= {each.__name__ for each in ours}
    for each in ours:
        assert each.__dataclass_params__.frozen, each
        assert "__slots__" in vars(each) or each.__name__ == "JobUnderCheck", each


def test_results_are_made_by_names_alone():
    for each in (CheckResult, Citation, Given, Step):
        with pytest.raises(TypeError):
            each("one", "two", "three")


def test_margins_beside_the_limit_by_the_last_bits_pass_and_a_millionth_fails():
    """1.25 × 32 A is 40 A whatever binary arithmetic makes of it; the tolerance is far below what can be measured."""
    handle = swap(CODE, "effect: relaxed, limit: 82 in", "effect: relaxed, limit: {}")
    for limit, expected in (("80 in", "pass"), ("79.999999 in", "fail"), ("80.000001 in", "pass")):
        assert one(run_checks(job(PANEL + handle.replace("{}", limit))), "handle_height").verdict == expected


@pytest.mark.parametrize("size", [0.001, 0.5, 1.0, 40.0, 4000.0])
@pytest.mark.parametrize("at_least", [True, False])
def test_a_comparison_forgives_a_billionth_and_no_more(size, at_least):
    """The forgiven part is 1e-9 of the limit, and of 1 where the limit is smaller."""
    forgiven = 1e-9 * max(1.0, size)
    wrong = -1 if at_least else 1
    for share, expected in ((0.0, "pass"), (0.9, "pass"), (1.5, "fail"), (-1.5, "pass")):
        case = JobUnderCheck(job(), 2023).case(all_rules()[0], "P1", section="1")
        with case:
            case.compare(
                value=quantity(size + wrong * share * forgiven, "ampere"),
                limit=quantity(size, "ampere"),
                at_least=at_least,
            )
        assert case.result.verdict == expected, share


def test_an_edition_that_was_not_read_says_what_the_last_one_came_to():
    """2026 of a rule that was read to 2023: undecided, with what was found by the text before."""
    found = one(run_checks(job(PANEL), 2026), "handle_height")
    assert found.verdict == "undecided"
    assert found.reason.startswith("The 2026 text of this rule is not confirmed here; read it in the adopted book. ")
    assert "By the last text that was: " in found.reason
    unknown = one(run_checks(job(swap(PANEL, "handle_height: 80 in, ", "")), 2026), "handle_height")
    assert "Also: " in unknown.reason
    assert "By the last text" not in unknown.reason
