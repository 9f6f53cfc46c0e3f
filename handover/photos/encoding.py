"""A published copy as bytes: as good as it can be within what it may weigh."""

from __future__ import annotations

import io
from collections.abc import Sequence

from PIL import Image

from handover.photos.marks import with_marks
from handover.record.evidence import PhotoMark

WEBP_QUALITY, WEBP_METHOD = 70, 4
JPEG_QUALITY = 72
_SOFT_QUALITY = 34
_STEPS = (
    *((quality, 1.0) for quality in (WEBP_QUALITY, 60, 50, 42, 34, 27)),
    *((_SOFT_QUALITY, detail) for detail in (0.8, 0.64, 0.5, 0.4, 0.3, 0.2, 0.12, 0.07, 0.03)),
)
"""Quality, and share of the width that is left of the detail; each step lighter than the one before."""
SETTINGS = f"webp {_STEPS} {WEBP_METHOD}; jpeg {JPEG_QUALITY}"
"""What the bytes depend on besides picture, size, marks and ceiling."""


def as_webp(picture: Image.Image, marks: Sequence[PhotoMark], most: int) -> bytes:
    """The best of the steps that weighs no more than ``most`` bytes, or the lightest.

    First the quality goes down.  At a quality below the last it would show blocks: from there on the picture is made
    narrower, and then as wide again as it was.  A file that is narrower itself would make some browsers take the large
    copy instead.  Marks are drawn at the end, so that they stay sharp.
    """
    best = _step(picture, marks, 0)
    if len(best) <= most:
        return best
    too_heavy, fits = 0, len(_STEPS) - 1
    best = _step(picture, marks, fits)
    while fits - too_heavy > 1:
        middle = (too_heavy + fits) // 2
        tried = _step(picture, marks, middle)
        if len(tried) <= most:
            best, fits = tried, middle
        else:
            too_heavy = middle
    return best


def _step(picture: Image.Image, marks: Sequence[PhotoMark], number: int) -> bytes:
    quality, detail = _STEPS[number]
    if detail < 1:
        fewer = (max(1, round(picture.width * detail)), max(1, round(picture.height * detail)))
        picture = picture.resize(fewer, Image.Resampling.LANCZOS).resize(picture.size, Image.Resampling.BICUBIC)
    made = io.BytesIO()
    with_marks(picture, marks).save(made, "WEBP", quality=quality, method=WEBP_METHOD)
    return made.getvalue()


def as_jpeg(picture: Image.Image, marks: Sequence[PhotoMark]) -> bytes:
    """For paper, and for browsers too old for WebP, which also are too old to wait with a picture: in full quality."""
    made = io.BytesIO()
    with_marks(picture, marks).save(made, "JPEG", quality=JPEG_QUALITY, optimize=True, progressive=True)
    return made.getvalue()
