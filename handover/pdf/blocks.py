"""A page's HTML as a list of blocks for the typesetter.

The pages are our own templates, so only what they use is known here; what a screen needs and paper does not (ways
round the site, folded parts, a drawing's sentences) is left out or unfolded.  Everything is plain JSON in the end.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import unquote, urlsplit

Block = dict[str, Any]
Piece = dict[str, str]

_VOID = {"br", "img", "source", "path", "meta", "hr"}
_LEFT_OUT_TAGS = {"header", "nav", "footer", "svg"}
_LEFT_OUT = {"doors", "kicker", "no-print", "print-foot"}
_LOOKS = {"strong": "strong", "b": "strong", "small": "aside"}
_LOUD = ("open", "verdict", "signal")
_QUIET = ("aside", "tag")
_SPACE = re.compile(r"\s+")


@dataclass(slots=True)
class Element:
    """One element of a page.  A drawing's place, which is a comment in the page, has the tag ``drawing``."""

    tag: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Element | str] = field(default_factory=list)

    @property
    def classes(self) -> set[str]:
        """The words of its class."""
        return set(self.attributes.get("class", "").split())

    @property
    def elements(self) -> Iterator[Element]:
        """The elements right inside."""
        return (child for child in self.children if isinstance(child, Element))

    def all(self, tag: str) -> Iterator[Element]:
        """The elements of this tag, at any depth, in order."""
        for child in self.elements:
            if child.tag == tag:
                yield child
            yield from child.all(tag)


class _Parser(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("page")
        self._open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self._open[-1].children.append(element)
        if tag not in _VOID:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._open[-1].children.append(Element(tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if tag not in _VOID:
            closed = self._open.pop()
            assert closed.tag == tag, f"<{closed.tag}> closed by </{tag}>"

    def handle_data(self, data: str) -> None:
        self._open[-1].children.append(data)

    def handle_comment(self, data: str) -> None:
        word, _, name = data.strip().partition(" ")
        if word == "drawing":
            self._open[-1].children.append(Element("drawing", {"name": name}))


def parsed(body: str) -> Element:
    """A page's body as a tree.  AssertionError where a template leaves an element open: a fault of ours."""
    parser = _Parser()
    parser.feed(body)
    parser.close()
    return parser.root


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
        loose: list[Element | str] = []
        for child in element.children:
            if isinstance(child, str) or child.tag in ("a", "b", "strong", "span", "br", "small"):
                loose.append(child)
                continue
            yield from self._loose(loose)
            loose = []
            yield from self._block(child)
        yield from self._loose(loose)

    def _loose(self, children: list[Element | str]) -> Iterator[Block]:
        pieces = self.pieces(Element("p", {}, children))
        if pieces:
            yield {"is": "para", "look": "", "pieces": pieces}

    def _block(self, element: Element) -> Iterator[Block]:
        if element.tag in _LEFT_OUT_TAGS or element.classes & _LEFT_OUT:
            return
        special = _SPECIAL.get(element.tag)
        if "hazard" in element.classes:
            yield from self._hazard(element)
        elif special is not None:
            yield from self._anchored(element, special(self, element))
        elif element.classes & {"plate", "note"}:
            inside = list(self.blocks(element))
            look = "plate" if "plate" in element.classes else "note"
            yield from self._anchored(element, iter([{"is": "box", "look": look, "blocks": inside}] if inside else []))
        else:
            yield from self._anchored(element, self.blocks(element))

    def _anchored(self, element: Element, blocks: Iterator[Block]) -> Iterator[Block]:
        anchor = f"{self.path}#{element.attributes.get('id', '')}"
        for place, block in enumerate(blocks):
            yield block | {"id": anchor} if place == 0 and anchor in self.anchors and "id" not in block else block

    def _heading(self, element: Element) -> Iterator[Block]:
        yield {"is": "heading", "level": int(element.tag[1]), "pieces": self.pieces(element)}

    def _paragraph(self, element: Element) -> Iterator[Block]:
        pieces = self.pieces(element)
        links = [child for child in element.elements if child.tag == "a"]
        if "onward" in {name for link in links for name in link.classes}:
            # A way on, alone on its line: on paper it is worth its line only with the number of a page.
            if any(piece["to"] for piece in pieces):
                yield {"is": "links", "items": [pieces]}
        elif pieces:
            yield {"is": "para", "look": " ".join(sorted(element.classes)), "pieces": pieces}

    def _list(self, element: Element) -> Iterator[Block]:
        items = [pieces for item in element.elements if (pieces := self.pieces(item))]
        if not items:
            return
        if element.classes & {"links", "chips"}:
            yield {"is": "links", "items": items}
        elif "counts" in element.classes:
            yield {"is": "para", "look": "counts", "pieces": _joined(items, " · ")}
        else:
            look = " ".join(sorted(element.classes))
            yield {"is": "list", "ordered": element.tag == "ol", "look": look, "items": items}

    def _rows(self, element: Element) -> Iterator[Block]:
        pairs = []
        for row in element.elements:
            head, value = row.elements
            pairs.append([self.pieces(head), self.pieces(value)])
        if pairs:
            yield {"is": "rows", "rows": pairs}

    def _table(self, element: Element) -> Iterator[Block]:
        caption = next(self.pieces(found) for found in element.all("caption"))
        heads = [self.pieces(cell) for cell in element.all("th")]
        lines = [[self.pieces(cell) for cell in row.elements] for row in element.all("tr")][1:]
        yield {"is": "table", "caption": caption, "columns": heads, "rows": lines}

    def _details(self, element: Element) -> Iterator[Block]:
        """A part that a screen folds: unfolded, under its summary."""
        first, *rest = element.elements
        yield {"is": "para", "look": "summary", "pieces": self.pieces(first)}
        for block in self.blocks(Element("div", {}, list(rest))):
            # What a check goes by is many short values: one a line, rather than in two columns.
            yield block | {"is": "facts"} if block["is"] == "rows" else block

    def _hazard(self, element: Element) -> Iterator[Block]:
        signal = next(child for child in element.elements if "signal" in child.classes)
        says = next(child for child in element.elements if "says" in child.classes)
        word = "".join(piece["text"] for piece in self.pieces(signal)).strip()
        name = element.attributes["aria-label"]
        inside = list(self.blocks(says))
        told = {"is": "hazard", "signal": word, "triangle": any(child.tag == "svg" for child in signal.elements)}
        key = f"{name}\n{inside}"
        if key in self.hazards:
            yield told | {"blocks": inside[:1], "to": self.hazards[key]}
        else:
            self.hazards[key] = f"hazard-{len(self.hazards)}"
            yield told | {"blocks": inside, "id": self.hazards[key]}

    def pieces(self, element: Element) -> list[Piece]:
        """The running text of an element in pieces of one look and one link each, white space as HTML counts it."""
        keep_lines = "prose" in element.classes
        pieces: list[Piece] = []
        for piece in self._pieces(element, "", ""):
            text = piece["text"]
            if piece["look"] != "break":
                text = re.sub(r" *\n\s*", "\n", text) if keep_lines else _SPACE.sub(" ", text)
                if not pieces or pieces[-1]["text"].endswith((" ", "\n")):
                    text = text.lstrip()
            if text:
                pieces.append(piece | {"text": text})
        while pieces and not (last := pieces[-1]["text"].rstrip()):
            pieces.pop()
        if pieces:
            pieces[-1]["text"] = last
        return pieces

    def _pieces(self, element: Element, look: str, to: str) -> Iterator[Piece]:
        for child in element.children:
            if isinstance(child, str):
                yield {"text": child, "look": look, "to": to}
            elif child.tag == "br":
                yield {"text": "\n", "look": "break", "to": ""}
            elif child.tag not in _LEFT_OUT_TAGS:
                yield from self._pieces(child, _look_of(child) or look, self._target(child) or to)

    def _target(self, element: Element) -> str:
        """Where a link leads within the document: the very place if it is marked, else its page, else nowhere."""
        href = element.attributes.get("href", "")
        parts = urlsplit(href)
        if not href or parts.scheme or parts.netloc:
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


def _look_of(element: Element) -> str:
    for look in (*_LOUD, "code", *_QUIET):
        if look in element.classes:
            return look
    return _LOOKS.get(element.tag, "")


def _joined(items: list[list[Piece]], between: str) -> list[Piece]:
    pieces = []
    for place, item in enumerate(items):
        if place:
            pieces.append({"text": between, "look": "", "to": ""})
        pieces += item
    return pieces
