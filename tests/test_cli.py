"""The command line as a user types it: status, words, and that nothing is lost when something is wrong."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from handover.cli import main

TESTS = Path(__file__).parent
DEMO = TESTS.parent / "demo_property"
SMALL = TESTS / "small_job"


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


@pytest.fixture
def job(tmp_path):
    return Path(shutil.copytree(SMALL, tmp_path / "job"))


def test_help_tells_the_commands_and_the_status():
    told = run("--help")
    assert told.exit_code == 0
    for word in ("new", "check", "build", "serve", "schema", "completion", "Exit status: 0 all well"):
        assert word in told.output


def test_check_of_a_sound_record_ends_with_status_0():
    told = run("check", DEMO)
    assert told.exit_code == 0, told.output
    assert "cannot be decided" in told.output


def test_check_as_data_has_exactly_the_agreed_shape():
    told = json.loads(run("check", DEMO, "--json").output)
    assert list(told) == ["job", "edition", "summary", "results"]
    assert told["edition"] == 2023
    assert list(told["summary"]) == ["pass", "fail", "undecided", "not_applicable"]
    names = ["rule", "subject", "question", "inputs", "working", "value", "limit", "margin", "verdict", "reason",
             "citation", "advice", "answered"]  # fmt: skip
    for result in told["results"]:
        assert list(result) == names
        assert list(result["citation"]) == ["code", "edition", "section"]
        assert result["citation"]["section"]
        assert result["reason"]
    assert sum(told["summary"].values()) == len(told["results"])
    assert len({result["rule"] for result in told["results"]}) >= 17
    assert told["summary"]["fail"] == 0
    assert told["summary"]["undecided"] >= 1


def test_another_edition_can_be_asked_for_and_an_unknown_one_is_named():
    assert json.loads(run("check", DEMO, "--json", "--edition", "2020").output)["edition"] == 2020
    told = run("check", DEMO, "--edition", "1999")
    assert told.exit_code == 2
    assert "1999" in told.stderr


def test_a_record_that_needs_mending_ends_with_status_2_and_no_traceback(job):
    text = (job / "job.yaml").read_text("utf-8").replace("title:", "titel:", 1)
    (job / "job.yaml").write_text(text, encoding="utf-8")
    told = run("check", job)
    assert told.exit_code == 2
    assert "Did you mean  title ?" in told.stderr
    assert "Traceback" not in told.output


@pytest.mark.parametrize("command", ["check", "build", "serve"])
def test_a_folder_that_is_not_there_is_said(tmp_path, command):
    told = run(command, tmp_path / "nowhere")
    assert told.exit_code == 2
    assert "there is no such folder" in told.stderr
    assert "handover new" in told.stderr


def test_a_small_job_builds_and_a_later_fault_leaves_it_standing(job):
    told = run("build", job)
    assert told.exit_code == 0, told.output
    assert "Print the labels" in told.output
    home = job / "pack" / "owner" / "index.html"
    before = home.read_bytes()
    (job / "job.yaml").write_text("job: [", encoding="utf-8")
    told = run("build", job)
    assert told.exit_code == 2
    assert "not valid YAML" in told.stderr
    assert home.read_bytes() == before


def test_two_builds_are_alike_to_the_byte(job, tmp_path):
    for name in ("one", "two"):
        assert run("build", job, "--out", tmp_path / name, "--quiet").exit_code == 0
    one, two = (sorted(path for path in (tmp_path / name).rglob("*") if path.is_file()) for name in ("one", "two"))
    assert [path.relative_to(tmp_path / "one") for path in one] == [path.relative_to(tmp_path / "two") for path in two]
    assert len(one) > 20
    for first, second in zip(one, two, strict=True):
        assert first.read_bytes() == second.read_bytes(), first


def test_folders_may_be_named_from_here(job, monkeypatch):
    monkeypatch.chdir(job.parent)
    assert run("build", job.name, "--out", "pack", "--quiet").exit_code == 0
    assert (job.parent / "pack" / "owner" / "index.html").is_file()


def test_the_tree_is_kept_when_asked(job, tmp_path):
    assert run("build", job, "--out", tmp_path / "out", "--keep-tree", "--quiet").exit_code == 0
    assert (tmp_path / "out" / "tree" / "posted" / "docs" / "index.md").is_file()
    assert (tmp_path / "out" / "tree" / "owner" / "mkdocs.yml").is_file()


def test_new_makes_a_folder_that_checks(tmp_path):
    made = run("new", tmp_path / "job", "--kind", "car-charger")
    assert made.exit_code == 0, made.output
    assert run("check", tmp_path / "job").exit_code == 0
    again = run("new", tmp_path / "job")
    assert again.exit_code == 2


def test_schema_is_json():
    assert json.loads(run("schema").output)["$schema"].startswith("https://json-schema.org/")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_prints_lines_for_the_shell(shell):
    told = run("completion", shell)
    assert told.exit_code == 0
    assert "_HANDOVER_COMPLETE" in told.output
