"""A PDF as tests look at it: its pages as pictures, its text, everything that is written in it."""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

try:
    import pypdfium2
except ModuleNotFoundError as missing:
    raise ModuleNotFoundError("pypdfium2 is missing. Install it:  pip install -e '.[test]'") from missing

MM = 25.4
_PACKED = re.compile(rb"/Filter\s*\[?\s*/FlateDecode[^>]*>>\s*stream\r?\n", re.DOTALL)


@contextmanager
def opened(file: Path | bytes) -> Iterator[pypdfium2.PdfDocument]:
    document = pypdfium2.PdfDocument(file)
    yield document
    document.close()


def texts_of(file: Path | bytes) -> list[str]:
    """The text of each page, as it is copied or read aloud, on one line a page."""
    with opened(file) as document:
        return [text_of(page) for page in document]


def picture(page: pypdfium2.PdfPage, dots_an_inch: int) -> np.ndarray:
    """A page in grey, as a black-only printer sees it."""
    shot = page.render(scale=dots_an_inch / 72, grayscale=True).to_numpy()
    return shot.reshape(shot.shape[:2]).copy()


def dark_box(shot: np.ndarray, box: tuple[float, float, float, float], dots_an_inch: int) -> tuple[float, ...]:
    """Left, top, right, bottom in mm of what is dark within ``box`` (mm, from the page's upper left corner)."""
    scale = dots_an_inch / MM
    left, top, right, bottom = (round(side * scale) for side in box)
    rows, columns = np.where(shot[top:bottom, left:right] < 128)
    assert rows.size, f"nothing is printed within {box}"
    edges = (columns.min() + left, rows.min() + top, columns.max() + 1 + left, rows.max() + 1 + top)
    return tuple(float(edge / scale) for edge in edges)


def text_of(page: pypdfium2.PdfPage) -> str:
    """A page's text on one line."""
    return " ".join(page.get_textpage().get_text_bounded().split())


def squeezed(text: str) -> str:
    """A text without white space and dashes: what is copied from a page loses some where lines end."""
    return re.sub(r"[\s\x02\xad-]", "", text).lower()


def everything_in(data: bytes) -> bytes:
    """The file as it is, followed by every stream of it unpacked."""
    unpacked = [zlib.decompressobj().decompress(data[found.end() :]) for found in _PACKED.finditer(data)]
    assert len(unpacked) > 3
    return b"\n".join((data, *unpacked))


def objects_in(data: bytes) -> bytes:
    """The file's objects without the content of its streams, which may hold any few letters by chance.

    Streams that hold objects themselves (ISO 32000-1, 7.5.7) come unpacked.
    """
    held = [
        zlib.decompressobj().decompress(data[found.end() :])
        for found in re.finditer(rb"<<[^>]*/ObjStm[^>]*>>\s*stream\r?\n", data)
    ]
    return b"\n".join((re.sub(rb"stream\r?\n.*?endstream", b"", data, flags=re.DOTALL), *held))
