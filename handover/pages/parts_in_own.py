"""Parts of a page in another language that stand in ``OWN`` all the same, marked as such for who hears the page.

Names stay as they are on the panels, and a text that the record does not translate is shown as it was written: a
screen reader would say both by the rules of the page's language (WCAG 2.2, 3.1.2 Language of Parts).  Marked on the
finished page, so that no place is forgotten where a text of the record comes through.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Sequence
from itertools import accumulate

from handover.record.translated import squeezed
from handover.words import OWN

_TAG = re.compile(r"(<!--.*?-->|<svg\b.*?</svg>|<[^>]*>)", re.DOTALL)
_WITHIN_A_LINE = re.compile(r"</?(?:a|strong|b|em)\b")
_ENDS = "\0"
"""Stands for a tag that ends a line, where no text of the record goes on."""
_PICTURE = re.compile(r"<img (?=[^>]*\balt=\"([^\"]*)\")")
_BEGINS_ITEM = re.compile(rf"(?:^|{_ENDS}|[:,(]|(?<!&amp)(?<!&lt)(?<!&gt)(?<!&#39);|(?<!\w)[A-Z][A-Z0-9]{{0,6}}) *$")
"""Before an item of a list, or behind a code.  A semicolon counts, also that of a quotation mark (``&#34;``), but not
that of another escaped sign."""
_ENDS_ITEM = re.compile(rf" *(?:$|{_ENDS}|[:;,.()]|&#34;)")


def wordings(texts: Iterable[str]) -> tuple[str, ...]:
    """What of the record's texts may stand on a page: each whole, line by line, and by its sentences; longest first."""
    found = {part for text in texts for part in _parts(text) if re.search(r"[^\W\d_]{3}", part)}
    return tuple(sorted(found, key=lambda part: (-len(part), part)))


def _parts(text: str) -> Iterable[str]:
    yield squeezed(text)
    yield from (squeezed(line) for line in text.splitlines())
    yield from (sentence.rstrip(".") for sentence in re.split(r"(?<=[.!?])\s", squeezed(text)))


def in_own_language(body: str, own: Sequence[str]) -> str:
    """A page body with each of ``own`` (from ``wordings``) in an element that says its language.

    A text of one word is marked where it stands alone, in a list or behind its code: in a sentence it may be a word of
    the page.
    """
    body = _PICTURE.sub(lambda found: _marked_picture(found, own), body)
    pieces = _TAG.split(body)
    shown = [
        piece if not place % 2 else "" if _WITHIN_A_LINE.match(piece) else _ENDS for place, piece in enumerate(pieces)
    ]
    line = "".join(shown)
    spans = _found(line, own)
    if not spans:
        return body
    begins = list(accumulate(map(len, shown), initial=0))
    return "".join(
        piece if place % 2 else _with_spans(piece, begins[place], spans) for place, piece in enumerate(pieces)
    )


def _escaped(text: str) -> str:
    """A text as the templates write it."""
    return html.escape(text, quote=False).replace('"', "&#34;").replace("'", "&#39;")


def _marked_picture(found: re.Match[str], own: Sequence[str]) -> str:
    return f'<img lang="{OWN}" ' if found[1] in {_escaped(text) for text in own} else found[0]


def _found(line: str, own: Sequence[str]) -> list[tuple[int, int]]:
    """Where texts of ``own`` stand: begin and end of each, in order, none within another."""
    # A sentence's first letter may be made a capital, and a line is broken anywhere: neither makes it another text.
    flat = re.sub(r"[ \t\n]", " ", line)
    taken = bytearray(len(flat))
    spans = []
    for text in own:
        written = _escaped(text)
        for way in dict.fromkeys((written, written[0].upper() + written[1:])):
            begin = flat.find(way)
            while begin >= 0:
                end = begin + len(way)
                if not any(taken[begin:end]) and _stands_alone(flat, begin, end, " " in text):
                    taken[begin:end] = b"\1" * len(way)
                    spans.append((begin, end))
                begin = flat.find(way, end)
    return sorted(spans)


def _stands_alone(flat: str, begin: int, end: int, several: bool) -> bool:
    before, after = flat[max(begin - 12, 0) : begin], flat[end : end + 12]
    if several:
        return not (before[-1:].isalnum() or after[:1].isalnum())
    return _BEGINS_ITEM.search(before) is not None and _ENDS_ITEM.match(after) is not None


def _with_spans(piece: str, begins: int, spans: Sequence[tuple[int, int]]) -> str:
    """A piece of text between two tags with the part of each span that lies in it marked."""
    made, done = [], 0
    for begin, end in spans:
        first, last = max(begin - begins, done), min(end - begins, len(piece))
        if first < last and piece[first:last].strip():
            made += [piece[done:first], f'<span lang="{OWN}">', piece[first:last], "</span>"]
            done = last
    return "".join((*made, piece[done:]))
