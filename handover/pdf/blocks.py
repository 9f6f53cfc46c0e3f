"""A page's HTML as a list of blocks for the typesetter.

The pages are our own templates, so only what they use is known here; what a screen needs and paper does not (ways
round the site, folded parts, a drawing's sentences) is left out or unfolded.  Everything is plain JSON in the end.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote, urlsplit
from xml.etree.ElementTree import XML, Element

Block = dict[str, Any]
Piece = str | dict[str, str]
"""Running text: plain, or with its look (``strong``, ``open``, ``tag``, ``break``) and where it leads (``to``)."""

_DRAWING = re.compile(r"<!-- drawing ([A-Za-z0-9-]+) -->")
_COMMENT = re.compile(r"<!--.*?-->", re.DOTALL)
_VOID = re.compile(r"<(br|img|source|path|hr)\b([^>]*?)/?>")
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_LEFT_OUT_TAGS = {"header", "nav", "footer", "svg"}
_LEFT_OUT = {"doors", "kicker", "no-print", "print-foot"}
_INLINE = {"a", "b", "strong", "span", "br", "small"}
_LOOKS = {"strong": "strong", "b": "strong"}
_LOOKS_BY_CLASS = {"open": "open", "verdict": "strong", "code": "strong", "tag": "tag"}
_MOST_COLUMNS, _LETTERS_A_LINE = 4, 75
"""A table with more columns, or with words too long for their share of a line, is told line by line."""
_LONG_WORD = re.compile(r"(?<!\S)(?!https?://)\S{41,}", re.IGNORECASE)
_BREAK_HERE, _BREAK_EVERY = "\u200b", 20
_SPACE = re.compile(r"\s+")
_LINE_END = re.compile(r" *\n\s*")


def parsed(html: str) -> Element:
    """One element of a page as a tree; the place of a drawing, a comment in the page, becomes an element ``drawing``.

    Raises ParseError where a template leaves an element open: a fault of ours.  Text of a record is escaped by then.
    """
    drawn = _COMMENT.sub("", _DRAWING.sub(r'<drawing name="\1"/>', html))
    return XML(_NO_XML.sub("\ufffd", _VOID.sub(r"<\1\2/>", drawn)))


def classes(element: Element) -> set[str]:
    """The words of an element's class."""
    return set(element.get("class", "").split())


def made(tag: str, children: Iterable[Element], text: str = "") -> Element:
    """An element round others."""
    element = Element(tag)
    element.text = text
    element.extend(children)
    return element


@dataclass(frozen=True, kw_only=True)
class Reader:
    """Turns one page into blocks.

    ``anchors``: every place of the document that a link may lead to.  ``figure`` answers what stands for a drawing
    or photo here.  ``hazards``: those told in full so far, with their anchors; told again, one is only named.
    """

    path: str
    anchors: frozenset[str]
    figure: Callable[[Element], Iterator[Block]]
    hazards: dict[str, str]

    def blocks(self, element: Element) -> Iterator[Block]:
        """The blocks of what stands inside an element."""
        loose = made("p", (), element.text or "")
        for child in element:
            if child.tag in _INLINE:
                loose.append(child)
                continue
            yield from self._loose(loose)
            yield from self._block(child)
            loose = made("p", (), child.tail or "")
        yield from self._loose(loose)

    def _loose(self, paragraph: Element) -> Iterator[Block]:
        pieces = self.pieces(paragraph)
        if pieces:
            yield {"is": "para", "look": "", "pieces": pieces}

    def _block(self, element: Element) -> Iterator[Block]:
        named = classes(element)
        if element.tag in _LEFT_OUT_TAGS or named & _LEFT_OUT:
            return
        special = _SPECIAL.get(element.tag)
        if "hazard" in named:
            yield from self._hazard(element)
        elif special is not None:
            yield from self._anchored(element, special(self, element))
        elif named & {"plate", "note"}:
            inside = list(self.blocks(element))
            look = "plate" if "plate" in named else "note"
            yield from self._anchored(element, iter([{"is": "box", "look": look, "blocks": inside}] if inside else []))
        else:
            yield from self._anchored(element, self.blocks(element))

    def _anchored(self, element: Element, blocks: Iterator[Block]) -> Iterator[Block]:
        anchor = f"{self.path}#{element.get('id', '')}"
        for place, block in enumerate(blocks):
            yield block | {"id": anchor} if place == 0 and anchor in self.anchors and "id" not in block else block

    def _heading(self, element: Element) -> Iterator[Block]:
        yield {"is": "heading", "level": int(element.tag[1]), "pieces": self.pieces(element)}

    def _paragraph(self, element: Element) -> Iterator[Block]:
        pieces = self.pieces(element)
        if any("onward" in classes(link) for link in element.iter("a")):
            # A way on, alone on its line: on paper it is worth its line only with the number of a page.
            if leads_to(pieces):
                yield {"is": "links", "items": [pieces]}
        elif pieces:
            yield {"is": "para", "look": element.get("class", ""), "pieces": pieces}

    def _list(self, element: Element) -> Iterator[Block]:
        items = [pieces for item in element if (pieces := self.pieces(item))]
        named = classes(element)
        if not items:
            return
        if named & {"links", "chips"}:
            yield {"is": "links", "items": items}
        elif "counts" in named:
            yield {"is": "para", "look": "counts", "pieces": _joined(items, " · ")}
        else:
            yield {"is": "list", "ordered": element.tag == "ol", "items": items}

    def _rows(self, element: Element) -> Iterator[Block]:
        pairs = [[self.pieces(part) for part in row] for row in element]
        if pairs:
            yield {"is": "rows", "rows": pairs}

    def _table(self, element: Element) -> Iterator[Block]:
        caption = next(self.pieces(found) for found in element.iter("caption"))
        heads, *lines = every = [[self.pieces(cell) for cell in row] for row in element.iter("tr")]
        longest = max((len(word) for line in every for cell in line for word in plain(cell).split()), default=0)
        told = "table" if len(heads) <= _MOST_COLUMNS and longest * len(heads) <= _LETTERS_A_LINE else "lines"
        yield {"is": told, "caption": caption, "columns": heads, "rows": lines}

    def _details(self, element: Element) -> Iterator[Block]:
        """A part that a screen folds: unfolded, under its summary."""
        first, *rest = element
        yield {"is": "para", "look": "summary", "pieces": self.pieces(first)}
        for block in self.blocks(made("div", rest)):
            # What a check goes by is many short values: one a line, rather than in two columns.
            working = block["is"] == "rows" and self.path.startswith("numbers-")
            yield block | {"is": "facts"} if working else block

    def _hazard(self, element: Element) -> Iterator[Block]:
        signal = next(child for child in element if "signal" in classes(child))
        says = next(child for child in element if "says" in classes(child))
        inside = list(self.blocks(says))
        told: Block = {
            "is": "hazard",
            "signal": plain(self.pieces(signal)),
            "triangle": signal.find("svg") is not None,
        }
        key = f"{told['signal']} {inside}"
        if key in self.hazards:
            yield told | {"blocks": inside[:1], "to": self.hazards[key]}
        else:
            self.hazards[key] = f"hazard-{len(self.hazards)}"
            yield told | {"blocks": inside, "id": self.hazards[key]}

    def pieces(self, element: Element) -> list[Piece]:
        """The running text of an element in pieces of one look and one link each, white space as HTML counts it."""
        keep_lines = "prose" in classes(element)
        found: list[tuple[str, str, str]] = []
        for written, look, to in self._pieces(element, "", ""):
            text = written
            if look != "break":
                text = _LINE_END.sub("\n", written) if keep_lines else _SPACE.sub(" ", written)
                if not found or found[-1][0].endswith((" ", "\n")):
                    text = text.lstrip()
            if text and found and found[-1][1:] == (look, to):
                found[-1] = (found[-1][0] + text, look, to)
            elif text:
                found.append((text, look, to))
        while found and not found[-1][0].rstrip():
            found.pop()
        if found:
            found[-1] = (found[-1][0].rstrip(), *found[-1][1:])
        said = ((_breakable(text), look, to) for text, look, to in found)
        return [{"text": text, "look": look, "to": to} if look or to else text for text, look, to in said]

    def _pieces(self, element: Element, look: str, to: str) -> Iterator[tuple[str, str, str]]:
        if element.text:
            yield element.text, look, to
        for child in element:
            if child.tag == "br":
                yield "\n", "break", ""
            elif "aside" in classes(child):
                # A screen sets it apart by its grey; on paper it stands in brackets.
                yield from (("(", look, to), *self._pieces(child, look, to), (")", look, to))
            elif child.tag not in _LEFT_OUT_TAGS:
                yield from self._pieces(child, _look_of(child) or look, self._target(child) or to)
            if child.tail:
                yield child.tail, look, to

    def _target(self, element: Element) -> str:
        """Where a link leads within the document: the very place if it is marked, else its page, else nowhere."""
        href = element.get("href", "")
        if not href:
            return ""
        parts = urlsplit(href)
        if parts.scheme or parts.netloc:
            return ""
        path = posixpath.normpath(posixpath.join(posixpath.dirname(self.path), unquote(parts.path)))
        page = path if parts.path else self.path
        exact = f"{page}#{parts.fragment}"
        return exact if exact in self.anchors else (page if page in self.anchors else "")


_SPECIAL: dict[str, Callable[[Reader, Element], Iterator[Block]]] = {
    "h1": Reader._heading, "h2": Reader._heading, "h3": Reader._heading, "h4": Reader._heading,
    "p": Reader._paragraph, "ul": Reader._list, "ol": Reader._list, "dl": Reader._rows, "table": Reader._table,
    "details": Reader._details,
    "figure": lambda reader, element: reader.figure(element),
    "drawing": lambda reader, element: reader.figure(element),
}  # fmt: skip


def raised(blocks: Iterable[Block]) -> Iterator[Block]:
    """Blocks with headings one level up: of a page that stands by itself, not below the heading of a part."""
    for block in blocks:
        yield block | {"level": block["level"] - 1} if block["is"] == "heading" else block


def leads_to(pieces: Iterable[Piece]) -> str:
    """Where the first link among the pieces leads, empty without one."""
    return next((piece["to"] for piece in pieces if not isinstance(piece, str) and piece["to"]), "")


def plain(pieces: Iterable[Piece]) -> str:
    """The text of the pieces alone."""
    return "".join(piece if isinstance(piece, str) else piece["text"] for piece in pieces)


def _breakable(text: str) -> str:
    """A text whose longest words may break: a line never runs off the page.  An address breaks at its strokes."""

    def parted(found: re.Match[str]) -> str:
        word = found[0]
        return _BREAK_HERE.join(word[place : place + _BREAK_EVERY] for place in range(0, len(word), _BREAK_EVERY))

    return _LONG_WORD.sub(parted, text)


def _look_of(element: Element) -> str:
    for name in element.get("class", "").split():
        if name in _LOOKS_BY_CLASS:
            return _LOOKS_BY_CLASS[name]
    return _LOOKS.get(element.tag, "")


def _joined(items: list[list[Piece]], between: str) -> list[Piece]:
    pieces: list[Piece] = []
    for place, item in enumerate(items):
        pieces += [between, *item] if place else item
    return pieces
