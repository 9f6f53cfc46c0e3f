"""Bad job folders, one fault each: what the electrician reads is exactly what ``expected.txt`` says.

A folder below ``tests/bad_jobs`` holds ``expected.txt`` and either a whole job (``job.yaml`` or others), or
``change.yaml``: pieces of text to find in the good job (``_good/job.yaml``) and what to put there instead.  Files that
stand beside a change are added to the good job.  ``_good`` itself reads without a problem.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml

from handover.problems import JobProblems
from handover.record import yaml_reader
from handover.record.reader import read_job

BAD_JOBS = Path(__file__).parent.parent / "bad_jobs"
GOOD = BAD_JOBS / "_good"
CASES = sorted(path for path in BAD_JOBS.iterdir() if path.is_dir() and path != GOOD)
OURS = ("expected.txt", "change.yaml")


def materialised(case: Path, into: Path) -> Path:
    """The case as a real job folder."""
    change = case / "change.yaml"
    if change.exists():
        shutil.copytree(GOOD, into)
        text = (GOOD / "job.yaml").read_text(encoding="utf-8")
        for each in yaml.safe_load(change.read_text(encoding="utf-8")):
            assert text.count(each["find"]) == 1, f"{case.name}: {each['find']!r} is not there exactly once"
            text = text.replace(each["find"], each["put"])
        (into / "job.yaml").write_text(text, encoding="utf-8", newline="\n")
    else:
        into.mkdir()
    for path in case.iterdir():
        if path.name not in OURS:
            shutil.copy(path, into / path.name)
    return into


def said_about(folder: Path) -> str:
    """The problems of a job folder as the command line shows them."""
    with pytest.raises(JobProblems) as found:
        read_job(folder)
    return str(found.value).replace(str(folder), "JOB")


def test_the_good_job_reads():
    assert read_job(GOOD).job.title == "Car charger circuit"


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.name)
def test_bad_job(case, tmp_path):
    expected = (case / "expected.txt").read_text(encoding="utf-8").rstrip("\n")
    assert said_about(materialised(case, tmp_path / "job")) == expected


def not_yaml(case: Path) -> bool:
    return "YAML" in (case / "expected.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("case", list(filter(not_yaml, CASES)), ids=lambda path: path.name)
def test_both_yaml_parsers_say_the_same(case, tmp_path, monkeypatch):
    """PyYAML with and without libyaml word faults differently; the electrician reads one text."""
    monkeypatch.setattr(yaml_reader, "_Loader", yaml.SafeLoader)
    expected = (case / "expected.txt").read_text(encoding="utf-8").rstrip("\n")
    assert said_about(materialised(case, tmp_path / "job")) == expected


def test_no_such_folder(tmp_path):
    assert said_about(tmp_path / "nothing") == (
        "JOB: there is no such folder\n    Make a starter folder with:  handover new FOLDER"
    )


def test_a_folder_without_yaml(tmp_path):
    (tmp_path / "photos").mkdir()
    assert said_about(tmp_path) == "JOB: holds no .yaml file\n    Make a starter folder with:  handover new FOLDER"


def test_a_file_instead_of_a_folder():
    assert said_about(GOOD / "job.yaml") == "JOB: is not a folder\n    Give the folder that holds job.yaml."
