"""How many bytes a copy of a photo may weigh, so that no page with photos is heavy before somebody scrolls.

The budget is that of DEVELOPERS.md, Weight: what a phone of 360 by 740 points with two dots a point loads at first.  A
browser loads lazy pictures long before they come into view, so what counts is how far down a page that reaches, and
how much of the reach a photo takes with its caption: it gets the same share of the bytes.
"""

from __future__ import annotations

from collections.abc import Sequence

from handover.record.evidence import Photo

PHONE = 656
"""Dots across a photo on that phone, which is as wide as the page less its edges: (360 - 2 * 16) * 2."""
LARGE = 500_000
"""Bytes of the copy for wide screens, which none of the budgets counts.  Ordinary photos take 70 to 350 kB there."""
_BYTES = 220_000
"""For the photos of one view: 250 kB less a page and its style sheet, which weigh up to 30 kB."""
_REACH = 740 + 1250 - 150
"""Points from the first photo down to where Chromium still loads at once: screen and margin, less the page's head."""
_MOST = 600
"""Points that count at most of one photo.  The last one that is loaded may stand out of the reach by so much."""
_ROUND, _LINE, _LETTERS = 40, 24, 60
"""Points around a photo without its words; of a line; letters of a line.  No phone's font needs less room."""


def shares(photos: Sequence[Photo], sizes: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    """The bytes that the copy for phones may take, for each of a record's photos.  ``sizes``: width and height of it.

    They hold for any of the photos in any order.  Where a record has few, they share the whole budget.
    """
    takes = [min(_MOST, _points(photo, size)) for photo, size in zip(photos, sizes, strict=True)]
    together = min(_REACH + _MOST, sum(takes))
    return tuple(_BYTES * each // together for each in takes)


def _points(photo: Photo, size: tuple[int, int]) -> int:
    """The least height that a photo and what is told below it take on that phone."""
    told = len(photo.caption) + len(photo.place or "")
    lines = -(-told // _LETTERS) + len(photo.marks)
    return PHONE // 2 * size[1] // size[0] + _ROUND + _LINE * lines
