"""A pack compared with its manifests: whatever is missing, changed or added is named, in a folder and in a zip file."""

from __future__ import annotations

import io
import os
import random
import shutil
import zipfile

import pytest

from handover import verifying
from handover.manifest import sealed
from handover.problems import JobProblems
from handover.verifying import verify
from tests.small_pack import FILES, MANIFESTS, POSTED, small_pack


@pytest.fixture
def pack(tmp_path):
    return small_pack(tmp_path / "pack")


def differences(where):
    return [str(found) for found in verify(where).differences]


def zipped(pack, before=""):
    """The pack as a zip file, its names below a folder ``before``."""
    target = pack.with_suffix(".zip")
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(pack.rglob("*")):
            archive.write(path, before + path.relative_to(pack).as_posix())
    return target


def test_a_pack_as_it_was_made(pack):
    found = verify(pack)
    assert found.differences == []
    assert found.files == len(FILES) + 2  # and the editions' manifests, named by the outermost
    assert [each.file for each in found.manifests] == [
        "manifest.json",
        "owner/manifest.json",
        f"{POSTED}/manifest.json",
    ]


@pytest.mark.parametrize("before", ["", "pack/", "a/b/"])
def test_a_zip_file_of_it(pack, before):
    found = verify(zipped(pack, before))
    assert found.differences == []
    assert found.files == len(FILES) + 2


@pytest.mark.parametrize("part", ["owner", "posted", POSTED])
def test_one_edition_alone(pack, part):
    assert differences(pack / part) == []
    assert differences(zipped(pack / part)) == []


def test_missing_changed_and_added_files_are_named(pack):
    (pack / "owner" / "index.html").unlink()
    (pack / POSTED / "C1" / "index.html").write_text("<h1>C2</h1>")
    (pack / POSTED / "more.html").write_text("")
    (pack / "posted" / "stray.txt").write_text("")
    expected = [
        f"added: {POSTED}/more.html",
        "added: posted/stray.txt",
        f"changed: {POSTED}/C1/index.html",
        "missing: owner/index.html",
    ]
    assert differences(pack) == expected
    assert differences(zipped(pack)) == expected


def test_a_whole_edition_that_is_missing_is_noticed(pack):
    shutil.rmtree(pack / "owner")
    assert differences(pack) == ["missing: owner/manifest.json"]


def test_a_manifest_that_nobody_named_vouches_for_nothing(pack):
    small_pack(pack / "owner" / "more")
    told = differences(pack)
    assert f"added: owner/more/{POSTED}/index.html" in told
    assert all(line.startswith("added: owner/more/") for line in told)


@pytest.mark.parametrize("name", [*FILES, *MANIFESTS])
def test_any_flipped_bit_is_found(pack, name):
    """Twelve bits of each file, drawn; test_finished_pack.py does it to a whole demo pack."""
    whole = (pack / name).read_bytes()
    drawn = random.Random(1).sample(range(len(whole) * 8), min(12, len(whole) * 8))
    for bit in drawn:
        spoilt = bytearray(whole)
        spoilt[bit // 8] ^= 1 << bit % 8
        (pack / name).write_bytes(spoilt)
        assert any(name in line for line in differences(pack)), bit


def test_a_manifest_written_anew_to_match_is_noticed_by_the_one_around_it(pack):
    manifest = pack / "owner" / "manifest.json"
    content = dict(verify(pack / "owner").manifests[0].content)
    (pack / "owner" / "more.html").write_text("")
    content["files"] = content["files"] | {
        "more.html": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"  # FIPS 180-4: of nothing
    }
    manifest.write_bytes(sealed(content))
    assert differences(pack / "owner") == []  # only a signature could tell
    assert differences(pack) == ["changed: owner/manifest.json"]


@pytest.mark.parametrize(
    "content",
    [{"files": {"../outside": "0"}}, {"files": {"/etc/hostname": "0"}}, {"files": {"a\\b": "0"}}, {"files": {"": "0"}},
     {"files": {"a": 3}}, {"files": {}}, {"files": []}, {}],
)  # fmt: skip
def test_a_manifest_that_is_none_is_not_believed(tmp_path, content):
    (tmp_path / "manifest.json").write_bytes(sealed(content))
    (found,) = verify(tmp_path).differences
    assert (found.kind, found.file) == ("changed", "manifest.json")


@pytest.mark.parametrize("written", [b"", b"null", b"[" * 100_000, b"\xff\xfe", b'{"files": {}} '])
def test_a_manifest_that_cannot_be_read_is_told(tmp_path, written):
    (tmp_path / "manifest.json").write_bytes(written)
    assert differences(tmp_path) == ["changed: manifest.json (not as a build writes it)"]


def test_links_and_pipes_are_told_and_never_opened(pack):
    (pack / "owner" / "index.html").rename(pack / "owner" / "kept.html")
    (pack / "owner" / "index.html").symlink_to("kept.html")
    (pack / "owner" / "loop").symlink_to(pack, target_is_directory=True)
    os.mkfifo(pack / "owner" / "pipe")
    assert differences(pack) == [
        "added: owner/kept.html",
        "added: owner/loop",
        "added: owner/pipe",
        "changed: owner/index.html (a link, not a file)",
    ]


def test_a_name_that_commands_a_terminal_is_made_harmless(pack):
    (pack / "owner" / "a\x1b[2Jb").write_text("")
    assert differences(pack) == ["added: owner/a?[2Jb"]


def test_names_in_a_zip_file_lead_nowhere(pack, tmp_path):
    archive = zipped(pack)
    with zipfile.ZipFile(archive, "a") as more:
        more.writestr("../outside.html", "text")
        more.writestr("/tmp-outside.html", "text")
    before = sorted(path.name for path in tmp_path.iterdir())
    assert len(differences(archive)) == 2
    assert all(line.startswith("added: ") for line in differences(archive))
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_two_files_of_one_name_in_a_zip_file_are_refused(pack):
    archive = zipped(pack)
    with zipfile.ZipFile(archive, "a") as more, pytest.warns(UserWarning, match="Duplicate"):
        more.writestr("owner/index.html", "text")
    with pytest.raises(JobProblems, match="two files of one name"):
        verify(archive)


def test_a_zip_file_that_is_damaged_is_told_file_by_file(pack):
    archive = zipped(pack)
    data = bytearray(archive.read_bytes())
    with zipfile.ZipFile(io.BytesIO(data)) as opened:
        info = opened.getinfo("owner/index.html")
    data[info.header_offset + 30 + len(info.filename) + 2] ^= 4
    archive.write_bytes(data)
    (line,) = differences(archive)
    assert line.startswith("changed: owner/index.html")


def test_a_zip_file_that_unfolds_without_end_is_refused(pack, monkeypatch):
    monkeypatch.setattr(verifying, "MOST_BYTES", 1000)
    (pack / "owner" / "zeros").write_bytes(bytes(2000))
    with pytest.raises(JobProblems, match="holds more than"):
        verify(zipped(pack))
    with pytest.raises(JobProblems, match="holds more than"):
        verify(pack)


@pytest.mark.parametrize(
    ("content", "said"),
    [(None, "there is no such"), (b"text", "cannot be read as a zip file"),
     (b"PK\x05\x06" + bytes(18), "no manifest")],
)  # fmt: skip
def test_what_is_no_pack_is_told(tmp_path, content, said):
    where = tmp_path / "pack.zip"
    if content is not None:
        where.write_bytes(content)
    with pytest.raises(JobProblems, match=said):
        verify(where)


def test_a_folder_without_manifest_is_told(tmp_path):
    with pytest.raises(JobProblems, match="holds no manifest"):
        verify(tmp_path)
