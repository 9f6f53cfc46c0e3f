"""The starter folder of each kind reads at once, is checked without a fail, and is never written over anything."""

from __future__ import annotations

import json
from itertools import pairwise

import pytest

from handover.addresses import is_pack_id
from handover.checks.result import Verdict
from handover.checks.run import run_checks
from handover.problems import JobProblems
from handover.record.reader import read_job
from handover.starter import write_starter

KINDS = {
    "car-charger": "car-charger circuit",
    "feeder": "feeder and sub-panel",
    "heat-pump": "heat-pump circuit",
    "other": "other",
}


@pytest.fixture(params=KINDS)
def kind(request):
    return request.param


@pytest.fixture
def starter(tmp_path, kind):
    write_starter(tmp_path / "job", kind)
    return tmp_path / "job"


def test_a_starter_reads_at_once(starter, kind):
    record = read_job(starter)
    assert record.job.kind == KINDS[kind]
    assert is_pack_id(record.job.pack)


def test_a_starter_decides_nothing(starter):
    """A fresh starter holds no fact about the installation, so no number in it may come to a pass or a fail."""
    verdicts = {result.verdict for result in run_checks(read_job(starter))}
    assert Verdict.UNDECIDED in verdicts
    assert verdicts <= {Verdict.UNDECIDED, Verdict.NOT_APPLICABLE}


def test_every_starter_has_its_own_address(tmp_path):
    for name in ("first", "second"):
        write_starter(tmp_path / name, "other")
    assert read_job(tmp_path / "first").job.pack != read_job(tmp_path / "second").job.pack


def test_the_editor_finds_the_schema(starter):
    first = (starter / "job.yaml").read_text(encoding="utf-8").splitlines()[0]
    path = first.removeprefix("# yaml-language-server: $schema=")
    assert json.loads((starter / path).read_text(encoding="utf-8"))["title"] == "Handover job record"


def test_a_starter_shows_the_two_honest_answers_and_the_units(starter):
    text = (starter / "job.yaml").read_text(encoding="utf-8")
    for shown in ("unknown", "not checked", " A ", "AWG", "1-1/4 in", "110 ft 6 in", " V ", "kW", "°C"):
        assert shown in text
    assert "THE-" not in text


def test_every_part_of_a_starter_is_explained(starter):
    """Each top-level key has a comment right above it, or follows a commented one it belongs to."""
    lines = (starter / "job.yaml").read_text(encoding="utf-8").splitlines()
    unexplained = {
        line.split(":")[0] for above, line in pairwise(lines) if line[:1].isalpha() and not above.startswith("#")
    }
    assert unexplained <= {"equipment", "readings"}


def test_lines_fit_an_editor(starter):
    assert max(map(len, (starter / "job.yaml").read_text(encoding="utf-8").splitlines())) <= 125


@pytest.mark.parametrize("there", ["job.yaml", "notes.txt", ".hidden"])
def test_nothing_is_written_over(tmp_path, there):
    (tmp_path / there).write_text("mine", encoding="utf-8")
    with pytest.raises(JobProblems, match="is there already and is not an empty folder"):
        write_starter(tmp_path, "other")
    assert [path.name for path in tmp_path.iterdir()] == [there]


def test_a_file_of_that_name_stays(tmp_path):
    (tmp_path / "job").write_text("mine", encoding="utf-8")
    with pytest.raises(JobProblems):
        write_starter(tmp_path / "job", "other")
    assert (tmp_path / "job").read_text(encoding="utf-8") == "mine"


def test_a_folder_that_cannot_be_made(tmp_path):
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    with pytest.raises(JobProblems, match="cannot be written"):
        write_starter(tmp_path / "file" / "job", "other")


def test_an_empty_folder_may_be_used(tmp_path):
    write_starter(tmp_path, "other")
    assert read_job(tmp_path).job.kind == "other"
