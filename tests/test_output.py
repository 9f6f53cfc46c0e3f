"""The output folder is swapped in at the end: the old pack or the new one, never half of either."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from handover import output
from handover.exchange import exchange
from handover.output import MARKER, replacing, scratch_beside
from handover.problems import JobProblems


def write(out, text):
    with replacing(out) as fresh:
        (fresh / "index.html").write_text(text)


def write_half(out):
    with replacing(out) as fresh:
        (fresh / "index.html").write_text("two")
        raise RuntimeError("half way")


def test_a_new_folder_is_made_with_its_parents(tmp_path):
    out = tmp_path / "a" / "pack"
    write(out, "one")
    assert (out / "index.html").read_text() == "one"
    assert [path.name for path in out.parent.iterdir()] == ["pack"]


def test_a_pack_is_replaced_whole(tmp_path):
    out = tmp_path / "pack"
    write(out, "one")
    (out / "left-over.html").write_text("old")
    write(out, "two")
    assert (out / "index.html").read_text() == "two"
    assert not (out / "left-over.html").exists()
    assert [path.name for path in tmp_path.iterdir()] == ["pack"]


def test_a_failed_build_leaves_the_old_pack(tmp_path):
    out = tmp_path / "pack"
    write(out, "one")
    with pytest.raises(RuntimeError, match="half way"):
        write_half(out)
    assert (out / "index.html").read_text() == "one"
    assert [path.name for path in tmp_path.iterdir()] == ["pack"]


def test_a_folder_that_is_not_ours_is_refused_and_left(tmp_path):
    out = tmp_path / "letters"
    out.mkdir()
    (out / "letter.txt").write_text("dear")
    with pytest.raises(JobProblems, match="no build of a pack made"):
        write(out, "one")
    assert [path.name for path in out.iterdir()] == ["letter.txt"]


def test_an_empty_folder_is_taken(tmp_path):
    out = tmp_path / "pack"
    out.mkdir()
    write(out, "one")
    assert (out / "index.html").exists()


def test_a_file_in_the_way_is_refused(tmp_path):
    out = tmp_path / "pack"
    out.write_text("a file")
    with pytest.raises(JobProblems, match="is a file"):
        write(out, "one")
    assert out.read_text() == "a file"


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_what_it_is_made_from_stands_beside_it_and_goes_with_the_build(tmp_path):
    with replacing(tmp_path / "pack") as fresh:
        scratch = scratch_beside(fresh)
        (scratch / "tree.md").write_text("half")
        assert scratch.is_relative_to(tmp_path)
        assert not scratch.is_relative_to(fresh)
    assert names(tmp_path) == ["pack"]
    assert names(tmp_path / "pack") == [MARKER]


def test_what_a_killed_build_left_is_cleared_away_by_the_next(tmp_path):
    for marked, name in ((True, ".pack.new-abcd1234"), (False, ".pack.new-_______0")):
        (tmp_path / name).mkdir()
        if marked:
            (tmp_path / name / ".handover-work").touch()
            (tmp_path / name / "pack" / "owner").mkdir(parents=True)
            (tmp_path / name / "pack" / "owner" / "index.html").write_text("half")
    (tmp_path / ".pack.lock").touch()
    write(tmp_path / "pack", "one")
    assert names(tmp_path) == ["pack"]


def test_what_only_looks_like_a_left_over_is_left(tmp_path):
    kept = [".pack.new-letters1", ".pack.new-abcd12345", ".pack.new-", "pack.new-abcd1234", ".other.new-abcd1234"]
    for name in kept:
        (tmp_path / name).mkdir()
        (tmp_path / name / "letter.txt").write_text("dear")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / ".handover-work").touch()
    (tmp_path / ".pack.new-linked00").symlink_to(elsewhere, target_is_directory=True)
    (tmp_path / ".pack.new-file0000").write_text("a file")
    before = names(tmp_path)
    write(tmp_path / "pack", "one")
    assert names(tmp_path) == sorted([*before, "pack"])
    assert names(elsewhere) == [".handover-work"]


def test_a_folder_reached_by_a_link_is_replaced_where_it_stands(tmp_path):
    (tmp_path / "there").mkdir()
    write(tmp_path / "there" / "pack", "one")
    (tmp_path / "link").symlink_to(tmp_path / "there" / "pack", target_is_directory=True)
    write(tmp_path / "link", "two")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "there" / "pack" / "index.html").read_text() == "two"


def test_a_pack_that_holds_the_job_itself_is_not_swept_away(tmp_path):
    write(tmp_path / "pack", "one")
    job = tmp_path / "pack" / "owner" / "downloads" / "record"
    job.mkdir(parents=True)
    with pytest.raises(JobProblems, match="holds the job itself"), replacing(tmp_path / "pack", job=job):
        pass
    assert job.is_dir()


def test_two_folders_are_exchanged_in_one_step(tmp_path):
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    if sys.platform not in ("linux", "darwin"):
        assert not exchange(tmp_path / "one", tmp_path / "two")
        return
    assert exchange(tmp_path / "one", tmp_path / "two")
    assert (names(tmp_path / "one"), names(tmp_path / "two")) == (["two"], ["one"])


def test_an_exchange_with_nothing_is_told(tmp_path):
    (tmp_path / "one").mkdir()
    if sys.platform in ("linux", "darwin"):
        with pytest.raises(FileNotFoundError):
            exchange(tmp_path / "one", tmp_path / "nothing")
    assert names(tmp_path) == ["one"]


@pytest.fixture
def in_two_steps(monkeypatch):
    """A system that cannot exchange two folders in one step."""
    monkeypatch.setattr(output, "exchange", lambda one, other: False)


@pytest.mark.usefixtures("in_two_steps")
def test_without_an_exchange_a_pack_is_replaced_by_two_renames(tmp_path):
    for text in ("one", "two", "three"):
        write(tmp_path / "pack", text)
        assert (tmp_path / "pack" / "index.html").read_text() == text
        assert names(tmp_path) == ["pack"]


@pytest.mark.usefixtures("in_two_steps")
def test_a_second_rename_that_fails_puts_the_old_pack_back(tmp_path, monkeypatch):
    write(tmp_path / "pack", "one")
    rename = Path.rename

    def fails_for_the_new_one(self, target):
        if self.name == "pack" and self.parent != tmp_path:
            raise PermissionError(errno.EACCES, "Permission denied", str(self))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fails_for_the_new_one)
    with pytest.raises(JobProblems, match="could not be written here"):
        write(tmp_path / "pack", "two")
    assert (tmp_path / "pack" / "index.html").read_text() == "one"
    assert names(tmp_path) == ["pack"]


_KILLED_BETWEEN = """
import os, sys
from pathlib import Path
from handover import output
output.exchange = lambda one, other: False
rename = Path.rename
def killed_before_the_second(self, target):
    if self.name == "pack" and ".new-" in self.parent.name:
        os._exit(9)  # as abrupt as a kill: nothing more of this process runs
    return rename(self, target)
Path.rename = killed_before_the_second
with output.replacing(Path(sys.argv[1])) as fresh:
    (fresh / "index.html").write_text("two")
"""


def test_killed_between_two_renames_the_next_build_finds_the_old_pack(tmp_path):
    write(tmp_path / "pack", "one")
    killed = subprocess.run([sys.executable, "-c", _KILLED_BETWEEN, str(tmp_path / "pack")], check=False)
    assert killed.returncode == 9
    assert "pack" not in names(tmp_path)
    with pytest.raises(RuntimeError, match="half way"):
        write_half(tmp_path / "pack")  # a next build that fails: what it found first stays
    assert (tmp_path / "pack" / "index.html").read_text() == "one"
    assert names(tmp_path) == ["pack"]


_AT_WORK = """
import sys
from pathlib import Path
from handover.output import replacing
with replacing(Path(sys.argv[1])) as fresh:
    (fresh / "index.html").write_text("the first")
    print("ready", flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def a_build_at_work(tmp_path):
    """Another process that is building into ``pack``; it ends well when its standard input is closed."""
    command = [sys.executable, "-c", _AT_WORK, str(tmp_path / "pack")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout.readline() == b"ready\n"
        yield process


def test_a_second_build_waits_for_the_first_and_says_so(tmp_path, a_build_at_work):
    said = []

    def heard(text):
        said.append(text)
        a_build_at_work.stdin.close()

    with replacing(tmp_path / "pack", say=heard) as fresh:
        assert (tmp_path / "pack" / "index.html").read_text() == "the first"
        (fresh / "index.html").write_text("the second")
    assert said == ["Another build of this pack is at work; waiting for it"]
    assert (tmp_path / "pack" / "index.html").read_text() == "the second"
    a_build_at_work.wait(20)
    assert names(tmp_path) == ["pack"]


@pytest.mark.usefixtures("a_build_at_work")
def test_a_second_build_does_not_wait_for_ever(tmp_path, monkeypatch):
    monkeypatch.setattr(output, "_WAIT_SECONDS", 0.1)
    with pytest.raises(JobProblems, match="another build has been writing this pack"):
        write(tmp_path / "pack", "the second")


def test_the_lock_of_a_killed_build_holds_nobody_up(tmp_path, a_build_at_work):
    a_build_at_work.kill()
    a_build_at_work.wait(20)
    begun = time.monotonic()
    write(tmp_path / "pack", "the second")
    assert time.monotonic() - begun < 5
    assert names(tmp_path) == ["pack"]


@pytest.mark.parametrize(
    ("number", "remedy"),
    [(errno.ENOSPC, "free some space"), (errno.EDQUOT, "free some space"), (errno.EROFS, "can only be read"),
     (errno.EFBIG, "larger than the system allows"), (errno.EIO, "reports a fault")],
)  # fmt: skip
def test_trouble_with_the_disk_is_told_with_its_remedy(tmp_path, number, remedy):
    write(tmp_path / "pack", "one")

    def fails():
        with replacing(tmp_path / "pack"):
            raise OSError(number, os.strerror(number))

    with pytest.raises(JobProblems, match=remedy) as found:
        fails()
    assert os.strerror(number) in str(found.value)
    assert (tmp_path / "pack" / "index.html").read_text() == "one"
    assert names(tmp_path) == ["pack"]


def test_leave_to_write_that_is_lost_is_told(tmp_path):
    def fails():
        with replacing(tmp_path / "pack") as fresh:
            raise PermissionError(errno.EACCES, "Permission denied", str(fresh / "index.html"))

    with pytest.raises(JobProblems, match="You may not write there"):
        fails()


def test_trouble_with_something_else_is_shown_as_it_is(tmp_path):
    def fails():
        with replacing(tmp_path / "a" / "pack"):
            raise FileNotFoundError(errno.ENOENT, "No such file", str(tmp_path / "a" / "template.html"))

    with pytest.raises(FileNotFoundError):
        fails()


def test_every_file_and_folder_is_brought_to_the_disk_before_the_swap(tmp_path, monkeypatch):
    settled = []
    monkeypatch.setattr(output, "_to_disk", settled.append)
    with replacing(tmp_path / "pack") as fresh:
        (fresh / "a").mkdir()
        (fresh / "a" / "b.html").write_text("text")
        assert settled == []
    assert {fresh, fresh / "a", fresh / "a" / "b.html", fresh / MARKER, tmp_path} == set(settled)
    assert settled[-1] == tmp_path  # the swap itself
