"""The output folder is swapped in at the end: the old pack or the new one, never half of either."""

from __future__ import annotations

import pytest

from handover.output import replacing
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
