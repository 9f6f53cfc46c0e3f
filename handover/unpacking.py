"""What a finished file holds beneath its bytes: unpacked streams, zip members, embedded data, the text of a PDF.

For the leak scan only.  Anything that looks packed is tried; what then turns out not to be is passed over.
"""

from __future__ import annotations

import base64
import binascii
import io
import re
import threading
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

_DEEPEST = 4
_MOST = 64 << 20
"""Bytes unpacked from one stream at most: ours are far smaller, and a damaged one must not fill the memory."""
_PACKED = re.compile(rb"\x78[\x01\x5e\x9c\xda]|\x1f\x8b\x08")
"""How streams begin: zlib (RFC 1950; in PDF and PNG) and gzip (RFC 1952)."""
_EMBEDDED = re.compile(rb";base64,([A-Za-z0-9+/=\s]{8,})")
"""Data that stands in a page or drawing (RFC 2397)."""
_EMBEDDED_TEXT = re.compile(r";base64,([A-Za-z0-9+/]{8,}=*)")
_PICTURES = (b"RIFF", b"\xff\xd8\xff", b"\x89PNG")
"""How WebP, JPEG and PNG files begin."""
_ONE_AT_A_TIME = threading.Lock()
"""PDFium keeps its state for the whole process."""
_AUTOMATIC = 15 + 32  # zlib: the largest window, and whichever of the two headings is there


class CannotLook(Exception):
    """A file that cannot be looked into, so that nobody can say what it holds."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Bytes to look through.

    ``inner``: a stream out of a PDF, full of coordinates, in which any number can be found; what the PDF says to its
    reader comes as a layer of its own.
    """

    data: bytes
    inner: bool = False


def layers(data: bytes, depth: int = 0) -> Iterator[Layer]:
    """The bytes themselves, then all that is packed in them, to the bottom.  Raises CannotLook."""
    is_pdf = data.startswith(b"%PDF")
    yield Layer(data)
    if depth == _DEEPEST:
        return
    if is_pdf:
        yield Layer(_pdf_text(data).encode())
    if data.startswith(b"PK\x03\x04"):
        for member in _members(data):
            yield from layers(member, depth + 1)
        return
    for inner in [*_streams(data), *_embedded(data)]:
        for layer in layers(inner, depth + 1):
            yield Layer(layer.data, inner=layer.inner or is_pdf)


def _streams(data: bytes) -> Iterator[bytes]:
    if data.isascii():
        return  # no packed stream is
    view = memoryview(data)
    for found in _PACKED.finditer(data):
        try:
            inner = zlib.decompressobj(_AUTOMATIC).decompress(view[found.start() :], _MOST)
        except zlib.error:
            continue
        if inner:
            yield inner


def _embedded(data: bytes) -> Iterator[bytes]:
    for found in _EMBEDDED.finditer(data):
        try:
            yield base64.b64decode(found[1])
        except binascii.Error:
            continue


def without_pictures(text: str) -> str:
    """A text without the letters that stand for embedded pictures, in which any short word can turn up by chance.

    What the letters hold comes as a layer of its own.  Anything but a sound picture stays in the text.
    """
    return _EMBEDDED_TEXT.sub(lambda found: ";base64," if _is_picture(found[1]) else found[0], text)


def _is_picture(letters: str) -> bool:
    try:
        return base64.b64decode(letters, validate=True).startswith(_PICTURES)
    except binascii.Error:
        return False


def _members(data: bytes) -> Iterator[bytes]:
    """Names and contents of a zip file."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for info in archive.infolist():
                if info.file_size > _MOST:
                    raise CannotLook("a zip file with a member too large to look into")
                yield info.filename.encode()
                yield archive.read(info)
    except (zipfile.BadZipFile, zlib.error, RuntimeError, NotImplementedError) as error:
        raise CannotLook(f"a zip file that cannot be read: {error}") from None


def _pdf_text(data: bytes) -> str:
    """All that a PDF says, about itself and on its pages.  Its letters are numbers of its fonts' glyphs otherwise."""
    import pypdfium2  # noqa: PLC0415 - loads a library of 7 MB, and not every folder holds a PDF

    with _ONE_AT_A_TIME:
        return _all_text(pypdfium2, data)


def _all_text(pypdfium2: Any, data: bytes) -> str:
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        raise CannotLook(f"a PDF that cannot be read: {error}") from None
    try:
        texts = [text for pair in document.get_metadata_dict().items() for text in pair]
        for page in document:
            texts.append(page.get_textpage().get_text_range())
            page.close()
    finally:
        document.close()
    return "\n".join(texts)
