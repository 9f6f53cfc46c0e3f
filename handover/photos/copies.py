"""A published copy of a photo made smaller still, for the record in one file."""

from __future__ import annotations

import io

from PIL import Image

from handover.photos.encoding import WEBP_METHOD, WEBP_QUALITY


def smaller(encoded: bytes, width: int) -> bytes:
    """One of our own WebP copies at most ``width`` dots wide; the same bytes where it is no wider."""
    with Image.open(io.BytesIO(encoded)) as picture:
        if picture.width <= width:
            return encoded
        size = (width, max(1, round(picture.height * width / picture.width)))
        made = io.BytesIO()
        picture.convert("RGB").resize(size, Image.Resampling.LANCZOS).save(
            made, "WEBP", quality=WEBP_QUALITY, method=WEBP_METHOD
        )
    return made.getvalue()
