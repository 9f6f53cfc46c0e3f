"""The last look before a pack is published: no file of the posted edition may hold a private value of the record.

Every byte of every file and every file's name is looked through, with what is packed in it, for each private value in
its common spellings (see private_words).  What no scan can tell: a value of fewer than four letters, one that the
record shows openly elsewhere or that is one of the tool's own words, and a secret told in other words.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from handover.private_words import Private, Wanted, own_words, plain, squeezed, squeezed_bytes
from handover.problems import JobProblems, Place, Problem, count_of
from handover.unpacking import CannotLook, Layer, layers, without_pictures

_TAG = re.compile(r"<[^<>]*>")
_FOLD = re.compile(r"\r?\n[ \t]")
"""A long line of a calendar or an address card, folded (RFC 5545, 3.1)."""
_GEOMETRY = re.compile(
    r"""\s(?:d|points|transform|viewbox|x[12]?|y[12]?|d[xy]|[cf][xy]|r[xy]?|width|height)=(["'])[^"']*\1""", re.I
)
"""Attributes of drawings that hold coordinates, where any row of digits can turn up."""
_READABLE = re.compile(rb"[\x20-\x7e]{8,}")
_REMEDY = "Take it out of the open text that says it. If none does, this is a fault of handover: report it, and wait."


@dataclass(frozen=True, slots=True, order=True)
class Leak:
    """A file of the posted edition and the private field whose value stands in it, or what hides its content."""

    file: str
    field: str
    why: str = "holds the private value of this field"


def refuse_leaks(posted: Path, looked_for: Wanted) -> str:
    """Look through the posted edition.  Raises JobProblems naming files and fields; returns what was looked for."""
    found = leaks(posted, looked_for)
    if found:
        raise JobProblems(Problem(Place(f"posted/{leak.file}", 0), leak.field, leak.why, _REMEDY) for leak in found)
    said = f"No private value in the posted edition ({count_of(len(looked_for.private), 'text')} looked for)"
    if looked_for.too_short:
        said += f"; too short to look for: {', '.join(looked_for.too_short)}"
    return said


def leaks(folder: Path, looked_for: Wanted) -> list[Leak]:
    """Every leak in the files of a folder, by name and content."""

    def look(path: Path) -> list[Leak]:
        return list(_in_file(path, path.relative_to(folder).as_posix(), looked_for))

    # A PDF goes first and is read outside Python's lock, so that the other files are looked through meanwhile.
    every = sorted(folder.rglob("*"), key=lambda path: (path.suffix != ".pdf", path))
    with ThreadPoolExecutor(2) as pool:
        return [leak for found in pool.map(look, every) for leak in found]


def _in_file(path: Path, name: str, looked_for: Wanted) -> Iterator[Leak]:
    fields = set(_in_text(name, looked_for))
    if path.is_file():
        try:
            for layer in layers(path.read_bytes()):
                fields |= set(_in_layer(layer, looked_for))
        except CannotLook as why:
            yield Leak(name, "", f"cannot be looked into ({why})")
    yield from (Leak(name, field) for field in sorted(fields))


def _in_layer(layer: Layer, looked_for: Wanted) -> Iterator[str]:
    if layer.inner:
        yield from _in_bytes(layer, looked_for)
        return
    try:
        encoding = "utf-16" if layer.data.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8"
        text = layer.data.decode(encoding)
    except UnicodeDecodeError:
        yield from _in_bytes(layer, looked_for)
        return
    if "\0" in text:
        yield from _in_bytes(layer, looked_for)
    else:
        yield from _in_text(without_pictures(text), looked_for)


def _in_text(text: str, looked_for: Wanted) -> Iterator[str]:
    """The fields whose value stands in a text: as written, and with the tags between its letters taken out."""
    if text.startswith("BEGIN:V"):
        text = _FOLD.sub("", text)
    views = [plain(text)]
    if "<" in text:
        views.append(_TAG.sub(" ", views[0]))
    for simple in views:
        row = squeezed(simple)
        for private in looked_for.private:
            if private.squeezed in row and _confirmed(private, simple):
                yield private.field


def _confirmed(private: Private, simple: str) -> bool:
    if private.number:
        # Numbers in a drawing are looked for in what it says, not in how its lines run.
        found = private.word.search(_GEOMETRY.sub("", simple)) is not None
    else:
        found = private.telling or private.word.search(simple) is not None
    return found and not _own(private.word)


@functools.cache
def _own(word: re.Pattern[str]) -> bool:
    return word.search(own_words()) is not None


def _in_bytes(layer: Layer, looked_for: Wanted) -> Iterator[str]:
    """The fields whose value stands in what is no text, such as a picture with its notes."""
    row = squeezed_bytes(layer.data)
    readable: str | None = None
    for private in looked_for.private:
        if (private.number and layer.inner) or not any(form in row for form in private.raw):
            continue
        if readable is None:
            readable = plain(b"\n".join(_READABLE.findall(layer.data.replace(b"\0", b""))).decode("ascii"))
        if (private.telling or private.word.search(readable)) and not _own(private.word):
            yield private.field
