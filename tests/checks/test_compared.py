"""What another edition would change: told rule by rule, by people and as data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from handover.checks.case import SECTION_UNKNOWN
from handover.checks.compared import Change, as_json, change_lines, changes
from handover.checks.result import CheckResult, Citation, Verdict
from handover.cli import main
from handover.units import quantity

SMALL = Path(__file__).parents[1] / "small_job"


def a_result(
    verdict: Verdict, *, edition: int, section: str = "210.20(A)", limit: float | None = None, subject: str = "C1"
) -> CheckResult:
    return CheckResult(
        rule="continuous_load",
        subject=subject,
        question="Can it?",
        verdict=verdict,
        reason=f"By {edition}.",
        citation=Citation(code="NEC", edition=str(edition), section=section),
        limit=None if limit is None else quantity(limit, "ampere"),
        sections=((edition, section),),
    )


def told(before: list[CheckResult], after: list[CheckResult]) -> str:
    return "\n".join(change_lines(changes(before, after), 2023, 2020))


def test_results_that_agree_are_no_change():
    same = [a_result(Verdict.PASS, edition=2023)]
    assert changes(same, [a_result(Verdict.PASS, edition=2020)]) == ()
    assert told(same, same).endswith("changes nothing.")


@pytest.mark.parametrize(
    ("was", "now", "line"),
    [
        (Verdict.PASS, Verdict.FAIL, "continuous_load (C1): passes, then fails"),
        (Verdict.FAIL, Verdict.UNDECIDED, "continuous_load (C1): fails, then cannot be decided"),
        (Verdict.UNDECIDED, Verdict.NOT_APPLICABLE, "continuous_load (C1): cannot be decided, then does not apply"),
    ],
)
def test_another_verdict_is_told_with_its_reason(was, now, line):
    text = told([a_result(was, edition=2023)], [a_result(now, edition=2020)])
    assert line in text
    assert "By 2020. NEC 2020 210.20(A)." in text


def test_another_limit_is_a_change_although_both_pass():
    text = told([a_result(Verdict.PASS, edition=2023, limit=40)], [a_result(Verdict.PASS, edition=2020, limit=50)])
    assert "passes at another limit" in text
    assert "limit of C1: 40 A to 50 A" in text


def test_another_number_of_the_section_is_told_apart_from_the_outcomes():
    (found,) = changes(
        [a_result(Verdict.PASS, edition=2023)], [a_result(Verdict.PASS, edition=2020, section="210.20(B)")]
    )
    assert not found.outcome_differs
    text = "\n".join(change_lines([found], 2023, 2020))
    assert "same outcome:\n        continuous_load: 210.20(A) becomes 210.20(B)" in text


def test_a_question_that_only_one_edition_asks_is_a_change():
    mine = a_result(Verdict.PASS, edition=2023)
    assert changes([mine], []) == (Change(mine, None),)
    assert "passes, then no such question" in told([mine], [])
    assert "no such question, then passes" in told([], [mine])


def test_texts_that_are_not_confirmed_are_listed_with_what_the_adopted_edition_says():
    before = [a_result(Verdict.PASS, edition=2023, subject=code) for code in ("C1", "C2")]
    after = [a_result(Verdict.UNDECIDED, edition=2026, subject=code, section=SECTION_UNKNOWN) for code in ("C1", "C2")]
    assert "continuous_load (C1, C2): passes by 210.20(A)" in told(before, after)
    assert "then cannot be decided" not in told(before, after)


def test_the_changes_as_data_name_both_sides():
    mine = a_result(Verdict.PASS, edition=2023, limit=40)
    data = as_json(changes([mine], [a_result(Verdict.FAIL, edition=2020)]), 2023)
    assert data["edition"] == 2023
    assert data["changes"] == [
        {
            "rule": "continuous_load",
            "subject": "C1",
            "was": {"verdict": "pass", "limit": "40 A", "section": "210.20(A)"},
            "now": {"verdict": "fail", "limit": None, "section": "210.20(A)"},
            "reason": "By 2020.",
        }
    ]


@pytest.mark.parametrize("edition", [2017, 2023, 2026])
def test_the_command_tells_the_changes_and_only_when_another_edition_is_asked_for(edition):
    other = CliRunner().invoke(main, ["check", str(SMALL), "--edition", str(edition)])
    assert f"Against the 2020 edition adopted at the site, the {edition} edition changes" in other.stdout
    as_data = CliRunner().invoke(main, ["check", str(SMALL), "--json", "--edition", str(edition)])
    assert json.loads(as_data.stdout)["compared_with"]["edition"] == 2020
    same = CliRunner().invoke(main, ["check", str(SMALL), "--json", "--edition", "2020"])
    assert set(json.loads(same.stdout)) == {"job", "edition", "summary", "results"}


def test_2026_decides_nothing_whose_text_is_not_confirmed():
    """Published: nothing; the 2026 book was not read, so a result without a confirmed section may not pass or fail."""
    results = json.loads(CliRunner().invoke(main, ["check", str(SMALL), "--json", "--edition", "2026"]).stdout)[
        "results"
    ]
    unread = [each for each in results if each["citation"]["section"] == SECTION_UNKNOWN]
    assert len(unread) > 10
    assert {each["verdict"] for each in unread} <= {"undecided", "not_applicable"}
