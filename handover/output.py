"""The output folder: built beside the old one and swapped in at the end, so that nothing published is lost."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from handover.problems import one_problem

_MARKER = ".handover-pack"
"""A file that says a folder was made by ``handover build``, and may be made again."""
_MARKER_TEXT = "This folder is written by: handover build. Anything added here is lost at the next build.\n"


@contextlib.contextmanager
def replacing(out: Path) -> Iterator[Path]:
    """A fresh folder to build in.  It takes the place of ``out`` when the block ends well; else ``out`` stays.

    Raises JobProblems where ``out`` holds something that no build made.
    """
    _refuse_strangers(out)
    out.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{out.name}.new-", dir=out.parent))
    try:
        # mkdtemp makes folders for the user alone; what is published should be readable like any other folder.
        fresh.chmod(0o755)
        (fresh / _MARKER).write_text(_MARKER_TEXT, encoding="utf-8", newline="\n")
        yield fresh
        _swap(fresh, out)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _refuse_strangers(out: Path) -> None:
    if not out.exists():
        return
    if not out.is_dir():
        raise one_problem(str(out), "is a file, not a folder", "Name another folder with --out.")
    if any(out.iterdir()) and not (out / _MARKER).is_file():
        what = "holds files that no build of a pack made"
        raise one_problem(str(out), what, "Name an empty or new folder with --out; nothing here was touched.")


def _swap(fresh: Path, out: Path) -> None:
    if not out.exists():
        fresh.rename(out)
        return
    old = out.with_name(f".{out.name}.old-{os.getpid()}")
    out.rename(old)
    try:
        fresh.rename(out)
    except OSError:
        old.rename(out)
        raise
    shutil.rmtree(old, ignore_errors=True)
