"""Documents that are typeset while the site builders run, and written when those are done."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path

from handover.pack import Pack, Page
from handover.pdf.book import pack_document
from handover.pdf.label_document import labels_document
from handover.pdf.typesetting import Document, typeset


class Printing:
    """A context manager: ``begin`` hands over an edition, ``finish`` waits and writes the files."""

    def __init__(self) -> None:
        # Threads do: the library works outside Python's lock.
        self._pool = ThreadPoolExecutor(max_workers=2)
        self._begun: list[tuple[Path, Future[bytes]]] = []

    def __enter__(self) -> Printing:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(cancel_futures=True)

    def begin(self, pack: Pack, pages: tuple[Page, ...], pictures: Path, into: Path) -> None:
        """Have the documents of one edition made: ``pack.pdf``, and ``labels.pdf`` where it has labels."""
        self._set(into / "pack.pdf", lambda: pack_document(pack, pages, pictures))
        if pack.labels:
            self._set(into / "labels.pdf", lambda: labels_document(pack, pages))

    def _set(self, file: Path, document: Callable[[], Document]) -> None:
        self._begun.append((file, self._pool.submit(lambda: typeset(document()))))

    def finish(self) -> None:
        """Write every document.  Raises what went wrong with one: a fault of ours."""
        for file, done in self._begun:
            file.write_bytes(done.result())
