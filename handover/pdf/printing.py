"""Documents that are typeset while the site builders run, and written when those are done."""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from handover.pack import Pack, Page
from handover.pdf.book import pack_document
from handover.pdf.typesetting import Document, typeset


class Printing:
    """A context manager: ``begin`` hands over an edition, ``finish`` waits and writes the files."""

    def __init__(self) -> None:
        # One thread: the site builders have the other core, and the library does its work outside Python's lock.
        self._pool = ThreadPoolExecutor(max_workers=1)
        self._begun: list[tuple[Path, Future[bytes]]] = []

    def __enter__(self) -> Printing:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(cancel_futures=True)

    def begin(self, pack: Pack, pages: Iterable[Page], pictures: Path, into: Path) -> None:
        """Have the documents of one edition made: ``pack.pdf``, and ``labels.pdf`` where it has labels."""
        self._set(pack_document(pack, pages, pictures), into / "pack.pdf")

    def _set(self, document: Document, file: Path) -> None:
        self._begun.append((file, self._pool.submit(typeset, document)))

    def finish(self) -> None:
        """Write every document.  Raises what the typesetter raised: a fault of ours."""
        for file, made in self._begun:
            file.write_bytes(made.result())
