"""What a finished pack is made of: every file's SHA-256, the record's revision, the tool's and the tables' editions.

Each edition carries ``manifest.json``, and so does the folder around both.  A manifest names the manifests of the
folders below it and leaves their files to them, so the outermost one holds the whole pack together.  Nothing in it is
private, and nothing comes from the clock: the same record gives the same bytes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from importlib import metadata, resources
from pathlib import Path
from typing import Any

from handover import __version__
from handover.record.record import Record
from handover.tables.reader import read_table

NAME = "manifest.json"
SIGNATURE = "manifest.sig"
"""The signature of the manifest beside it, 64 bytes.  Made after the build, so no manifest names it."""
_ABOUT = (
    "What this folder held when it was made: the SHA-256 of every file. Check it with:  handover verify FOLDER  "
    "That nothing was altered since does not say that the record is right, and is no approval of the installation."
)
_BYTES_DEPEND_ON = (
    "icalendar", "jinja2", "mkdocs", "mkdocs-material", "pillow", "pint", "pydantic", "segno", "typst",
)  # fmt: skip
"""Libraries whose version may show in the bytes of a pack: to make one again, take these."""


def write_manifests(pack: Path, record: Record, then: Callable[[], object] = lambda: None) -> None:
    """Write the manifests of both editions, then the one around them.  It must be the last change to ``pack``.

    ``then``: what is made of the editions once they have theirs, and is itself in the one around them.
    """
    made_from = _made_from(record)
    editions = (pack / "posted" / record.job.pack, pack / "owner")
    for edition in editions:
        _write(edition, made_from, ())
    then()
    _write(pack, made_from, editions)


def kept_unaltered(pack: Path, folder: str) -> Iterator[tuple[Path, bytes]]:
    """The files of a folder of an earlier pack that still are what that pack's manifest says, with their content."""
    try:
        files = json.loads((pack / NAME).read_bytes())["files"]
        named = {pack / name: digest for name, digest in files.items() if name.startswith(f"{folder}/")}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return  # an earlier version's pack, or a damaged manifest: nothing is taken over
    for path, digest in named.items():
        if path.is_file() and hashlib.sha256(content := path.read_bytes()).hexdigest() == digest:
            yield path, content


def sealed(content: dict[str, Any]) -> bytes:
    """A manifest as it is written: keys in order, and a digest so that a changed letter in it shows."""
    bare = {key: value for key, value in content.items() if key != "digest"}
    return _as_bytes(bare | {"digest": hashlib.sha256(_as_bytes(bare)).hexdigest()})


def _as_bytes(content: dict[str, Any]) -> bytes:
    return (json.dumps(content, indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode()


def _write(folder: Path, made_from: dict[str, Any], inner: tuple[Path, ...]) -> None:
    files = {path.relative_to(folder).as_posix(): _digest(path) for path in _files(folder, inner)}
    (folder / NAME).write_bytes(sealed({"about": _ABOUT, "files": files, **made_from}))


def _files(folder: Path, inner: tuple[Path, ...]) -> Iterator[Path]:
    """Every file of the folder, and of the folders that have a manifest of their own, that manifest alone."""
    for path in sorted(folder.iterdir()):
        if path in inner:
            yield path / NAME
        elif path.is_dir():
            yield from _files(path, inner)
        else:
            yield path


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _made_from(record: Record) -> dict[str, Any]:
    """What a pack was made from.  All of it may be read by anybody."""
    last = record.revisions[-1]
    return {
        "job": record.job.number,
        "libraries": dict(_libraries()),
        "record": {"revision": last.number, "date": last.date.isoformat()},
        "tables": {name: _table(name) for name in _table_names()},
        "tool": f"handover {__version__}",
    }


def changed_since(content: dict[str, Any]) -> Iterator[str]:
    """In what this program differs from the one that made a manifest, so that a build today may come out otherwise."""
    if content["tool"] != f"handover {__version__}":
        yield f"This is handover {__version__}: a pack built today may come out otherwise."
    now = {name: _table(name) for name in _table_names()}
    other = sorted(name for name, table in content["tables"].items() if table != now.get(name))
    if other:
        yield f"Tables that have changed since, so that a check may come out otherwise: {', '.join(other)}."


def _libraries() -> Iterator[tuple[str, str]]:
    for name in _BYTES_DEPEND_ON:
        try:
            yield name, metadata.version(name)
        except metadata.PackageNotFoundError:
            continue  # one that this release does not use


def _tables() -> Any:
    return resources.files("handover.tables")


def _table_names() -> list[str]:
    return sorted(path.name.removesuffix(".csv") for path in _tables().iterdir() if path.name.endswith(".csv"))


def _table(name: str) -> dict[str, str]:
    """A table's title and editions as its heading tells them, and the digest of its rows as stored."""
    stored = _tables().joinpath(f"{name}.csv").read_bytes().replace(b"\r\n", b"\n")
    heading = read_table(name).heading
    digest = hashlib.sha256(stored).hexdigest()
    return {"title": heading["title"], "editions": heading["editions"], "checked": heading["checked"], "sha256": digest}
