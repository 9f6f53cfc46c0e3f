"""Names of folders, files and words of a command line never reach a terminal as anything but text."""

from __future__ import annotations

import json
import re
import shutil
from html import unescape
from urllib.parse import unquote

import pytest

from tests.injection.jobs import filled, groups_of
from tests.injection.payloads import REFUSED
from tests.injection.terminal import ROOT, commands_in, run

NAME = "a\x1b[31m\x1b]52;c;eA==\x07\x9b2J\N{RIGHT-TO-LEFT OVERRIDE}\N{ZERO WIDTH SPACE}\nb"
"""A name that a disk holds and that a terminal must not be told as it is."""

SECOND_FILE = "a b#%2e'.yaml"


def told(*words, status):
    """What a command tells, judged."""
    ended, said = run(*words)
    assert ended == status, said
    assert commands_in(said) == []
    return said


@pytest.fixture(scope="module")
def pack(tmp_path_factory):
    """A pack built from and into folders of such names, and a key of such a name."""
    folder = tmp_path_factory.mktemp("terminal") / NAME
    folder.mkdir()
    shutil.copytree(ROOT / "tests" / "small_job", folder / "job")
    (folder / "job" / SECOND_FILE).write_text("private_notes: A note.", encoding="utf-8")
    assert "Publish" in told("build", folder / "job", "--out", folder / NAME, status=0)
    return folder / NAME


def test_a_pack_in_a_folder_of_such_a_name_is_signed_and_verified(pack):
    key = pack.parent / f"{NAME}.key"
    assert "private key" in told("new-key", "--no-passphrase", key, status=0)
    assert "Signed:" in told("sign", pack, "--key", key, status=0)
    assert "Signed with the key given." in told("verify", pack, "--key", f"{key}.pub", status=0)
    assert "there" in told("new-key", "--no-passphrase", key, status=2)


def test_every_file_of_the_record_is_led_to_by_its_own_name(pack):
    page = (pack / "owner" / "labels.html").read_text(encoding="utf-8")
    led_to = {unquote(unescape(found)) for found in re.findall(r'href="(downloads/record/[^"]*)"', page)}
    assert led_to == {"downloads/record/job.yaml", f"downloads/record/{SECOND_FILE}"}
    assert all((pack / "owner" / path).is_file() for path in led_to)


def test_a_file_of_such_a_name_in_a_pack_is_told_harmlessly(pack, tmp_path):
    copy = tmp_path / "copy"
    shutil.copytree(pack, copy)
    (copy / "owner" / NAME).touch()
    (copy / "owner" / b"\xff\xfe".decode("utf-8", "surrogateescape")).touch()
    assert "added" in told("verify", copy, status=1)


@pytest.mark.parametrize(
    "words",
    [
        ("check", NAME),
        ("check", "tests/small_job", "--edition", NAME),
        ("check", "tests/small_job", "--edition", "1900"),
        ("check", b"\xff\x1b[31m"),
        ("build", NAME, "--out", NAME),
        ("build", "tests/small_job", "--label-sheet", NAME, "--out", NAME),
        ("verify", NAME),
        ("sign", NAME, "--key", NAME),
        ("new-key", "--no-passphrase", f"{NAME}/x/y"),
        ("serve", NAME, "--port", "0"),
        ("new", "tests", "--kind", NAME),
        (NAME,),
        (f"--{NAME}",),
        ("check", f"--{NAME}"),
        ("completion", NAME),
        ("check", "tests/small_job", NAME),
    ],
    ids=ascii,
)
def test_words_of_a_command_line_are_told_harmlessly(words):
    told(*words, status=2)


def test_a_new_folder_of_such_a_name_is_told_harmlessly(tmp_path):
    assert "Written:" in told("new", tmp_path / NAME, status=0)


def test_a_job_file_of_such_a_name_is_refused(tmp_path):
    """Its name would stand in results, on pages and in the owner's pack."""
    shutil.copytree(ROOT / "tests" / "small_job", tmp_path, dirs_exist_ok=True)
    (tmp_path / f"{NAME}.yaml").write_text("private_notes: x", encoding="utf-8")
    said = told("check", tmp_path, status=2)
    assert "is not a plain file name" in said
    (tmp_path / f"{NAME}.yaml").rename(tmp_path / SECOND_FILE)
    told("check", tmp_path, status=0)


def test_a_photo_that_is_missing_is_told_harmlessly(tmp_path):
    job = filled(groups_of(3), 0)
    job.write(tmp_path / "job")
    (tmp_path / "job" / "photos" / job.photo).rename(tmp_path / "job" / "photos" / f"{job.photo}\x1b[31m.png")
    assert "the picture is not in the folder" in told("check", tmp_path / "job", status=2)


def test_keys_and_values_with_such_signs_are_told_harmlessly(tmp_path):
    whole = (ROOT / "tests" / "small_job" / "job.yaml").read_text(encoding="utf-8")
    for number, payload in enumerate(REFUSED):
        folder = tmp_path / str(number)
        folder.mkdir()
        quoted = json.dumps(payload)  # what YAML takes for an escape, too
        (folder / "job.yaml").write_text(f"{whole}\n{quoted}: 1\nx{number}: {payload}\n", encoding="utf-8")
    for number in range(0, len(REFUSED), 5):
        told("check", tmp_path / str(number), status=2)


@pytest.mark.parametrize("words", [(), ("--json",), ("--edition", "2020"), ("--edition", "2020", "--json")])
def test_a_record_of_payloads_is_checked_and_told_harmlessly(tmp_path, words):
    job = filled(groups_of(10), 0)
    folder = job.write(tmp_path / "job")
    said = told("check", folder, *words, status=0)
    if "--json" in words:
        json.loads(said[: said.rindex("\n}\n") + 2])
