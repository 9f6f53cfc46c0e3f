"""The manifests of a pack: what they name, what they say it was made from, and what is taken over from one."""

from __future__ import annotations

import hashlib
import json

import pytest

from handover import __version__, manifest
from handover.manifest import changed_since, kept_unaltered, sealed
from tests.small_pack import FILES, MANIFESTS, POSTED, small_pack


@pytest.fixture
def pack(tmp_path):
    return small_pack(tmp_path / "pack")


def content(pack, name="manifest.json"):
    return json.loads((pack / name).read_bytes())


def test_together_the_manifests_name_every_file_but_the_outermost_manifest(pack):
    owner, posted, outer = (set(content(pack, name)["files"]) for name in (MANIFESTS[2], MANIFESTS[1], MANIFESTS[0]))
    assert owner == {"index.html", "downloads/record/job.yaml"}
    assert posted == {"index.html", "C1/index.html"}
    assert outer == {".handover-pack", ".photo-cache/ab-768.jpg", "owner/manifest.json", f"{POSTED}/manifest.json"}


def test_a_digest_is_the_sha256_of_the_file(pack):
    """FIPS 180-4; reckoned here by hashlib over the text as written."""
    expected = hashlib.sha256(FILES["owner/index.html"].encode()).hexdigest()
    assert content(pack, "owner/manifest.json")["files"]["index.html"] == expected


def test_it_tells_revision_tool_and_the_editions_of_each_table(pack):
    told = content(pack)
    assert told["record"] == {"revision": 1, "date": "2026-06-12"}
    assert told["tool"] == f"handover {__version__}"
    assert told["job"] == "T-1"
    assert told["tables"]["ampacity_310_16"]["editions"].startswith("2017 Table 310.15(B)(16); 2020 Table 310.16")
    assert {"mkdocs", "pillow", "typst"} <= set(told["libraries"])


def test_keys_stand_in_order_and_the_same_pack_gives_the_same_bytes(pack, tmp_path):
    again = small_pack(tmp_path / "again")
    for name in MANIFESTS:
        assert (pack / name).read_bytes() == (again / name).read_bytes()
        assert list(content(pack, name)) == sorted(content(pack, name))
        assert sealed(content(pack, name)) == (pack / name).read_bytes()


def test_the_posted_manifest_says_nothing_private(pack):
    told = content(pack, f"{POSTED}/manifest.json")
    assert set(told) == {"about", "digest", "files", "job", "libraries", "record", "tables", "tool"}


def test_only_unaltered_files_are_taken_over(pack):
    (cached,) = kept_unaltered(pack, ".photo-cache")
    assert cached == (pack / ".photo-cache" / "ab-768.jpg", b"picture")
    (pack / ".photo-cache" / "ab-768.jpg").write_bytes(b"pictuse")
    assert list(kept_unaltered(pack, ".photo-cache")) == []


@pytest.mark.parametrize(
    "spoilt", [b"", b"[]", b"{}", b'{"files": 3}', b"\xff", b'{"files": {".photo-cache/x": "00"}}']
)
def test_nothing_is_taken_over_on_the_word_of_a_damaged_manifest(pack, spoilt):
    (pack / "manifest.json").write_bytes(spoilt)
    assert list(kept_unaltered(pack, ".photo-cache")) == []


def test_what_has_changed_in_the_tool_since_is_told(pack, monkeypatch):
    told = content(pack)
    assert list(changed_since(told)) == []
    monkeypatch.setattr(manifest, "__version__", "9.9.9")
    told["tables"]["ampacity_310_16"]["sha256"] = "0"
    version, tables = changed_since(told)
    assert "handover 9.9.9" in version
    assert "ampacity_310_16" in tables
