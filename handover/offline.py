"""The posted pages again without signal: a small script asks the browser for a worker that keeps what was opened.

Only the posted edition has them; the owner's is files, and a page needs neither.  How long a browser keeps things is
its own affair, which the first page says.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path

from handover.pack import Page
from handover.pages.contents import folder_in
from handover.resources import shipped
from handover.words import languages

KEEP = "keep.js"
WORKER = "worker.js"
_ALWAYS = ("index.html", "trouble.html", "switch-off.html", "directory.html")
"""Kept as soon as any page was opened: what somebody in the dark asks for first."""
_STYLES = "site.css"


def keeping() -> dict[str, bytes]:
    """The script that each posted page sends for, by its path below the site's root."""
    return {KEEP: shipped("site_templates", "offline", KEEP).read_bytes()}


def write_worker(site: Path, pages: Iterable[Page]) -> None:
    """Write the worker into a finished site.  It holds a digest of all else there: a changed pack is a new version."""
    there = {page.path for page in pages}
    wanted = (f"{folder_in(language)}{name}" for language in languages() for name in _ALWAYS)
    core = [_STYLES, KEEP, *(path for path in wanted if path in there)]
    text = shipped("site_templates", "offline", WORKER).read_text(encoding="utf-8")
    text = text.replace("@VERSION@", _version(site)).replace("@CORE@", json.dumps(core))
    (site / WORKER).write_text(text, encoding="utf-8", newline="\n")


def _version(site: Path) -> str:
    reckoned = hashlib.sha256()
    for path in sorted(filter(Path.is_file, site.rglob("*")), key=Path.as_posix):
        with path.open("rb") as file:
            reckoned.update(f"{path.relative_to(site).as_posix()}\0".encode())
            reckoned.update(hashlib.file_digest(file, "sha256").digest())
    return reckoned.hexdigest()[:16]
