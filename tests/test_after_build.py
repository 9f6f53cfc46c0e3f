"""The closing lines of a build."""

from __future__ import annotations

from pathlib import Path

import pytest
from jobs import job

from handover.after_build import what_to_do_next
from handover.build import Outcome
from handover.checks.run import run_checks

ANSWER = "answers: [{rule: panel_spaces, subject: P9, reason: It is so., by: A tester, date: 2026-06-12}]"


@pytest.mark.parametrize(("text", "told"), [(ANSWER, True), ("", False)])
def test_an_answer_that_meets_no_failing_check_is_told(text, told):
    record = job(text)
    outcome = Outcome(record, run_checks(record), 1, False, Path("pack/posted/X"), Path("pack/owner"), Path("job"))
    assert ("job.yaml:1: answers: no failing result panel_spaces P9" in "\n".join(what_to_do_next(outcome))) is told
