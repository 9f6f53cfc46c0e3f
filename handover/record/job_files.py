"""A file of the job folder, opened with care: only a file, only so many bytes of it, never a wait."""

from __future__ import annotations

import os
import stat
import unicodedata
from collections.abc import Iterable
from pathlib import Path

REMEDY_UNREADABLE = "Let yourself read it (see its permissions), or put a fresh copy in its place."


class NotAFile(Exception):
    """A folder, a pipe or a device stands where a file is wanted."""


def start_of(path: Path, most: int) -> bytes:
    """The file's bytes, and of a file with more than ``most`` bytes one byte more than that.

    Raises NotAFile, and OSError where the file cannot be read.
    """
    # A pipe with nobody at its other end would be waited for, and a device never ends: so without waiting, and what was
    # really opened is looked at, not what stood there a moment before.
    opened = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    if not stat.S_ISREG(os.fstat(opened).st_mode):
        os.close(opened)
        raise NotAFile
    with os.fdopen(opened, "rb") as file:
        return file.read(most + 1)


def leads_out(path: Path, folder: Path) -> bool:
    """Whether ``path`` is a link, or goes through one, that ends outside of ``folder``, or nowhere at all."""
    try:
        return not path.resolve(strict=True).is_relative_to(folder.resolve())
    except (OSError, RuntimeError):  # RuntimeError: a link that leads back to itself
        return True


def same_name(name: str, there: Iterable[str]) -> str | None:
    """The name in ``there`` that reads like ``name``: itself, or with its accents stored the other way (NFC, NFD)."""
    listed = sorted(there)
    if name in listed:
        return name
    wanted = unicodedata.normalize("NFC", name)
    return next((each for each in listed if unicodedata.normalize("NFC", each) == wanted), None)
