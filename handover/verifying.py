"""Is a pack still what it was?  A folder or a zip file compared with its manifests; nothing is unpacked or altered."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import IO, Any, Protocol

from handover.manifest import NAME, SIGNATURE, sealed
from handover.problems import harmless, one_problem

MOST_FILES = 100_000
MOST_BYTES = 8_000_000_000
"""Far more than a pack of a big job with all its photos; a zip file that claims more is not one of ours."""
_MOST_OF_A_MANIFEST = 50_000_000
_CHUNK = 1 << 20


class Unreadable(Exception):
    """A file that is there and cannot be read as one; the text says why."""


class Held(Protocol):
    """Files by name, from wherever they are held."""

    def names(self) -> Mapping[str, int]:
        """Every file's name, with forward slashes, and its size in bytes."""

    def chunks(self, name: str) -> Iterator[bytes]:
        """The content of one file, in pieces.  Raises Unreadable."""


@dataclass(frozen=True, slots=True, order=True)
class Difference:
    """One file that is not as its manifest says: missing, changed, added, or unreadable (with the reason)."""

    kind: str
    file: str
    why: str = ""

    def __str__(self) -> str:
        return harmless(f"{self.kind}: {self.file.replace(chr(10), '?')}" + (f" ({self.why})" if self.why else ""))


@dataclass(frozen=True, slots=True)
class Sealed:
    """A manifest that was found sound: where it stands, its bytes, what it says, and the signature beside it."""

    file: str
    written: bytes
    content: dict[str, Any]
    signature: bytes | None


@dataclass(slots=True)
class Verified:
    """What a comparison came to.  ``files`` counts those that are as they were."""

    manifests: list[Sealed] = field(default_factory=list)
    differences: list[Difference] = field(default_factory=list)
    files: int = 0


def verify(where: Path) -> Verified:
    """Compare the pack, or one edition of it, in a folder or a zip file with its manifests.

    Raises JobProblems where there is nothing to compare: no such place, neither folder nor zip, no manifest, too much.
    """
    if where.is_dir():
        return _compared(_Folder(where), where)
    if not where.exists():
        raise one_problem(str(where), "there is no such folder or file", "Name a pack's folder, or a zip file of it.")
    try:
        with zipfile.ZipFile(where) as archive:
            return _compared(_Zip(archive, where), where)
    except (zipfile.BadZipFile, OSError) as error:
        what = f"cannot be read as a zip file ({error})"
        raise one_problem(str(where), what, "Copy it again, or name the pack's folder.") from None


def _compared(held: Held, where: Path) -> Verified:
    names = held.names()
    if len(names) > MOST_FILES or sum(names.values()) > MOST_BYTES:
        what = f"holds more than {MOST_FILES} files or {MOST_BYTES // 1_000_000_000} GB"
        raise one_problem(str(where), what, "That is no pack; name the pack's own folder or zip file.")
    found = Verified()
    left = set(names)
    tops = _tops(names)
    if not tops:
        what = f"holds no {NAME}, so there is nothing to compare it with"
        raise one_problem(str(where), what, "Name the folder of a pack, or build the pack again with this version.")
    for top in tops:
        _compare(held, top, left, found)
    found.differences += [Difference("added", name) for name in left]
    found.differences.sort()
    return found


def _tops(names: Mapping[str, int]) -> list[str]:
    """The manifests that stand in no other manifest's folder."""
    folders = {PurePosixPath(name).parent for name in names if PurePosixPath(name).name == NAME}
    return [str(folder / NAME) for folder in sorted(folders) if folders.isdisjoint(folder.parents)]


def _compare(held: Held, manifest: str, left: set[str], found: Verified) -> None:
    """Compare what one manifest names, and what the manifests named by it name.  Takes what it sees out of ``left``."""
    folder = PurePosixPath(manifest).parent
    left.discard(manifest)
    try:
        written = _whole(held, manifest)
        content = _sound(written)
    except Unreadable as why:
        found.differences.append(Difference("changed", manifest, str(why)))
        return
    signature = str(folder / SIGNATURE)
    signed = _whole(held, signature) if signature in left else None
    left.discard(signature)
    found.manifests.append(Sealed(manifest, written, content, signed))
    for name, digest in content["files"].items():
        file = str(folder / name)
        if file not in left:
            found.differences.append(Difference("missing", file))
            continue
        left.discard(file)
        _compare_file(held, file, digest, found)
        if PurePosixPath(file).name == NAME:
            _compare(held, file, left, found)


def _compare_file(held: Held, file: str, digest: str, found: Verified) -> None:
    reckoned = hashlib.sha256()
    try:
        for chunk in held.chunks(file):
            reckoned.update(chunk)
    except Unreadable as why:
        found.differences.append(Difference("changed", file, str(why)))
        return
    if reckoned.hexdigest() == digest:
        found.files += 1
    else:
        found.differences.append(Difference("changed", file))


def _whole(held: Held, name: str) -> bytes:
    if held.names()[name] > _MOST_OF_A_MANIFEST:
        raise Unreadable("far too large")
    return b"".join(held.chunks(name))


def _sound(written: bytes) -> dict[str, Any]:
    """What a manifest says, if it is to the letter as a build wrote it.  Raises Unreadable."""
    try:
        content = json.loads(written)
    except (ValueError, RecursionError):
        raise Unreadable("not as a build writes it") from None
    files = content.get("files") if isinstance(content, dict) else None
    if not isinstance(files, dict) or sealed(content) != written:
        raise Unreadable("not as a build writes it")
    if not all(isinstance(digest, str) and _stays_inside(name) for name, digest in files.items()):
        raise Unreadable("names a file outside its folder")
    if not _tells_its_origin(content):
        raise Unreadable("does not say what it was made from")
    return dict(content)


def _tells_its_origin(content: dict[str, Any]) -> bool:
    record, tables = content.get("record"), content.get("tables")
    if not isinstance(record, dict) or not isinstance(tables, dict):
        return False
    try:
        dt.date.fromisoformat(str(record.get("date")))
    except ValueError:
        return False
    named = (content.get("job"), content.get("tool"), *tables)
    return isinstance(record.get("revision"), int) and all(isinstance(name, str) for name in named)


def _stays_inside(name: str) -> bool:
    parts = PurePosixPath(name).parts
    return bool(parts) and not name.startswith("/") and ".." not in parts and "\\" not in name


class _Folder:
    """The files below a folder.  A link, or anything else that is no plain file, is told of and never opened."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._sizes: dict[str, int] = {}
        self._odd: dict[str, str] = {}
        self._look(folder, "")

    def _look(self, folder: Path, before: str) -> None:
        try:
            entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
        except OSError as error:
            self._note(before.rstrip("/"), f"cannot be read: {error.strerror}")
            return
        for entry in entries:
            name = before + entry.name
            if entry.is_symlink():
                self._note(name, "a link, not a file")
            elif entry.is_dir():
                self._look(Path(entry.path), f"{name}/")
            elif entry.is_file():
                self._sizes[name] = entry.stat(follow_symlinks=False).st_size
            else:
                self._note(name, "not a plain file")

    def _note(self, name: str, why: str) -> None:
        self._sizes[name], self._odd[name] = 0, why

    def names(self) -> Mapping[str, int]:
        return self._sizes

    def chunks(self, name: str) -> Iterator[bytes]:
        if name in self._odd:
            raise Unreadable(self._odd[name])
        try:
            with (self._folder / name).open("rb") as file:
                yield from iter(lambda: file.read(_CHUNK), b"")
        except OSError as error:
            raise Unreadable(f"cannot be read: {error.strerror}") from None


class _Zip:
    """The files of a zip file, read in place: nothing is unpacked, so no name in it can lead anywhere."""

    def __init__(self, archive: zipfile.ZipFile, where: Path) -> None:
        self._archive = archive
        members = [info for info in archive.infolist() if not info.is_dir()]
        self._members = {info.filename: info for info in members}
        if len(self._members) != len(members):
            what = "holds two files of one name, so that it can be read in two ways"
            raise one_problem(str(where), what, "Make the zip file again from the pack's folder.")

    def names(self) -> Mapping[str, int]:
        return {name: info.file_size for name, info in self._members.items()}

    def chunks(self, name: str) -> Iterator[bytes]:
        info = self._members[name]
        room = info.file_size
        try:
            with self._archive.open(info) as file:
                yield from self._bounded(file, room)
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError) as error:
            raise Unreadable(f"damaged in the zip file: {error}") from None
        except (RuntimeError, NotImplementedError):
            raise Unreadable("packed with a password, or in a way that is not known here") from None

    @staticmethod
    def _bounded(file: IO[bytes], room: int) -> Iterator[bytes]:
        """Never more than the zip file says there is: that is what was looked at beforehand."""
        while chunk := file.read(_CHUNK):
            room -= len(chunk)
            if room < 0:
                raise Unreadable("larger than the zip file says")
            yield chunk
