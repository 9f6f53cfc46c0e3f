"""A pack of a few small files with its manifests, for tests of what is done with a finished pack."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from handover.manifest import write_manifests
from handover.output import MARKER, MARKER_TEXT
from tests.jobs import job

POSTED = "posted/AAAAAAAAAAAAAAAAAAAAAAAAA"
FILES = {
    MARKER: MARKER_TEXT,
    ".photo-cache/ab-768.jpg": "picture",
    f"{POSTED}/index.html": "<h1>posted</h1>",
    f"{POSTED}/C1/index.html": "<h1>C1</h1>",
    "owner/index.html": "<h1>owner</h1>",
    "owner/downloads/record/job.yaml": "job: {}",
}
MANIFESTS = ("manifest.json", f"{POSTED}/manifest.json", "owner/manifest.json")


def small_pack(folder: Path, over: Mapping[str, str] | None = None) -> Path:
    """The pack, written into ``folder``, with other texts in the files that ``over`` names."""
    for name, text in (FILES | dict(over or {})).items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8", newline="\n")
    write_manifests(folder, job())
    return folder
