"""The short form of the fuzzers: the same inputs and judges, fewer of them.  The long form: see DEVELOPERS.md."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.fuzzing.mutants import altered_bytes, altered_job, seeds
from tests.fuzzing.targets import FoundFault, read_or_refuse, told_well, whole_journey


@pytest.mark.parametrize("tenth", range(10))
def test_altered_files_are_read_or_refused(tenth):
    ended = Counter(read_or_refuse(altered_bytes(number, seeds())) for number in range(tenth * 60, tenth * 60 + 60))
    assert ended[False] > 0


def test_a_whole_small_file_is_among_the_seeds():
    """Otherwise no input would get past the shape of a record to its meaning."""
    assert sum(read_or_refuse(data) for data in seeds()) >= 1


@pytest.mark.parametrize("first", range(0, 24, 4))
def test_altered_jobs_go_through_check_or_are_refused(first):
    ended = {whole_journey(altered_job(number), pages=number % 12 == 1) for number in range(first, first + 4)}
    assert ended <= {"refused", "checked", "made"}


def test_the_judge_itself_is_no_pushover():
    """A refusal without words, with a control character, or with no problem at all, is a fault."""
    from handover.problems import NOWHERE, Problem

    told_well((Problem(NOWHERE, "here", "what", "remedy"),))
    for bad in ((), (Problem(NOWHERE, "", "", "remedy"),), (Problem(NOWHERE, "", "what", ""),)):
        with pytest.raises(FoundFault):
            told_well(bad)
