"""Documents that are typeset while the site builders run, and written when those are done."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from pathlib import Path

from handover.pack import Pack, Page
from handover.pdf.book import pack_document
from handover.pdf.label_document import labels_document, stock_document
from handover.pdf.label_stock import Stock
from handover.pdf.read_back import refuse_unreadable
from handover.pdf.typesetting import Document, typeset


class Printing:
    """A context manager: ``begin`` hands over an edition, ``finish`` waits and writes the files.

    ``scratch``: an existing folder of the build's own, for what the documents are made from.
    """

    def __init__(self, scratch: Path) -> None:
        self._scratch = scratch
        # Threads do: the library works outside Python's lock.
        self._pool = ThreadPoolExecutor(max_workers=2)
        self._reading: list[Future[None]] = []
        self._begun: list[tuple[Path, Future[bytes]]] = []

    def __enter__(self) -> Printing:
        return self

    def __exit__(self, *_: object) -> None:
        self._pool.shutdown(cancel_futures=True)

    def begin(
        self, pack: Pack, pages: tuple[Page, ...], pictures: Path, into: Path, stocks: Sequence[Stock] = ()
    ) -> None:
        """Have the documents of one edition made: ``pack.pdf``, and where it has labels the sheets with them.

        The codes of the labels are read back on the way.
        """
        self._set(into / "pack.pdf", lambda: pack_document(pack, pages, pictures))
        if pack.labels:
            job, day = pack.record.job, pack.record.revisions[-1].date
            self._reading.append(self._pool.submit(refuse_unreadable, pack.labels, job, day, self._scratch))
            self._set(into / "labels.pdf", lambda: labels_document(pack, pages))
            for stock in stocks:
                self._set(into / f"labels-{stock.name}.pdf", partial(stock_document, pack, stock))

    def _set(self, file: Path, document: Callable[[], Document]) -> None:
        self._begun.append((file, self._pool.submit(lambda: typeset(document(), self._scratch))))

    def finish(self) -> None:
        """Write every document.  Raises JobProblems where a code does not read, or a fault of ours."""
        for reading in self._reading:
            reading.result()
        for file, done in self._begun:
            file.write_bytes(done.result())
