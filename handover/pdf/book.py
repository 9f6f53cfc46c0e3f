"""The whole record of one edition as one book: which page stands where, what the contents name, what is told once.

A reader of paper leafs through it: what the site says on many pages (a hazard, a drawing, a photo) stands here once in
full, and everywhere else the number of its page.
"""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Iterator
from pathlib import Path

from handover.pack import Drawing, Pack, Page
from handover.pages.shown import date_text
from handover.pdf.blocks import Block, Element, Reader, parsed
from handover.pdf.ink import drawing_on_paper, label_on_paper
from handover.pdf.typesetting import Document

_FRONT = "index.html"
_SHEET, _NUMBERS = "drawing-", "numbers-"
_PARTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("I live here", ("trouble.html", "switch-off.html", "directory.html", "care.html")),
    ("I work on it", ("worker.html", "findings.html")),
    ("Drawings", (_SHEET,)),
    ("Each thing, by its code", ("/index.html",)),
    ("Photos", ("photos.html",)),
    ("The numbers, checked", ("numbers.html", _NUMBERS)),
    ("Selling or insuring", ("summary.html",)),
    ("The record itself", ("about.html",)),
)
"""The parts of the book, and the pages of each: by name, or by how the names of a kind of page begin or end."""
_LEFT_OUT = ("drawings.html", "labels.html")
"""Lists of what this book holds anyway, and the sheet of labels, which is a document of its own."""
_DOOR_CARD = "door-card"
_EMERGENCY_PAGES = (_FRONT, "trouble.html", "switch-off.html")
_ON_PAPER = "-paper"


def pack_document(pack: Pack, pages: Iterable[Page], pictures: Path) -> Document:
    """The book of one edition from its finished pages.  ``pictures``: the folder that the photos' paths start from."""
    return _Writer(pack, tuple(pages), pictures).document()


class _Writer:
    def __init__(self, pack: Pack, pages: tuple[Page, ...], pictures: Path) -> None:
        self.pack = pack
        self.pictures = pictures
        self.files: dict[str, bytes] = {}
        self.hazards: dict[str, str] = {}
        self.trees = {page.path: parsed(page.body) for page in pages if page.path not in _LEFT_OUT}
        self.titles = {page.path: page.title for page in pages}
        marked = {f"{path}#{id}" for path, tree in self.trees.items() for id in _ids(tree)}
        self.anchors = frozenset(marked | self.trees.keys())

    def document(self) -> Document:
        job, revision = self.pack.record.job, self.pack.record.revisions[-1]
        front = self.trees[_FRONT]
        return Document(
            template="pack.typ",
            # No name of a place or a person: a file's title is shown and searched where the file is not opened.
            title=f"Electrical record {job.number}, revision {revision.number}",
            day=revision.date,
            data={
                "foot": f"Record {job.number} · revision {revision.number} · {date_text(revision.date)}",
                "front": [*self._front(), *self._small_print(front)],
                "parts": [
                    {"title": title, "pages": chapters}
                    for title, names in _PARTS
                    if (chapters := list(self._chapters(names)))
                ],
            },
            files=self.files,
        )

    def _front(self) -> Iterator[Block]:
        """The first page without its ways into the site, which the contents take the place of."""
        for block in self._page(_FRONT):
            # In the book a page's own heading stands below that of its part; the front stands above all.
            yield block | {"level": block["level"] - 1} if block["is"] == "heading" else block

    def _small_print(self, tree: Element) -> Iterator[Block]:
        """What every page of the site says at its foot: who made it, what it is not, its address."""
        foot = next(tree.all("footer"))
        for block in self._reader(_FRONT).blocks(Element("div", {}, foot.children)):
            yield block | {"look": "foot"}

    def _chapters(self, names: tuple[str, ...]) -> Iterator[Block]:
        for name in names:
            for path in self.trees:
                if path == name or (name == _SHEET and path.startswith(_SHEET)):
                    yield self._chapter(path)
                elif name == _NUMBERS and path.startswith(_NUMBERS):
                    yield self._chapter(path)
                elif name == "/index.html" and path.endswith(name):
                    yield self._chapter(path)

    def _chapter(self, path: str) -> Block:
        sheet = path.removeprefix(_SHEET).removesuffix(".html") if path.startswith(_SHEET) else ""
        title = self._title(path)
        if sheet:
            return {"id": path, "title": title, "kind": "sheet", "blocks": [self._sheet(sheet)]}
        blocks = [block for block in self._page(path) if (block["is"], block.get("level")) != ("heading", 1)]
        if path == "switch-off.html":
            blocks += self._door_card()
        kind = "flow" if "/" in path or path.startswith(_NUMBERS) else "page"
        return {"id": path, "title": title, "kind": kind, "blocks": blocks}

    def _title(self, path: str) -> str:
        """A page's title; of one with the working of a thing, the thing alone, since its part says the rest."""
        if not path.startswith(_NUMBERS):
            return self.titles[path]
        heading = next(self.trees[path].all("h1"))
        return "".join(piece["text"] for piece in self._reader(path).pieces(heading))

    def _page(self, path: str) -> Iterator[Block]:
        main = next(self.trees[path].all("main"))
        if path not in _EMERGENCY_PAGES:
            _without(main, "emergency")
            _stamps_to_what_is_special(main)
        kept = [child for child in main.children if isinstance(child, str) or not _tells_again(path, child)]
        yield from self._reader(path).blocks(Element("main", {}, kept))

    def _reader(self, path: str) -> Reader:
        def figure(element: Element) -> Iterator[Block]:
            if element.tag == "figure" and "photo" in element.classes:
                yield self._photo(element, path)
            else:
                yield from self._drawing_told_elsewhere(element)

        return Reader(path=path, anchors=self.anchors, figure=figure, hazards=self.hazards)

    def _drawing_told_elsewhere(self, element: Element) -> Iterator[Block]:
        name = element.attributes["name"] if element.tag == "drawing" else next(element.all("drawing")).attributes["name"]
        whole = name if f"{_SHEET}{name}.html" in self.trees else name.rpartition("-")[0]
        to = f"{_SHEET}{whole}.html"
        if to in self.trees:
            text = f"Drawing: {self.pack.drawings[name].title}"
            yield {"is": "links", "items": [[{"text": text, "look": "", "to": to}]]}

    def _sheet(self, name: str) -> Block:
        drawing = self.pack.drawings.get(name + _ON_PAPER) or self.pack.drawings[name]
        file = f"drawings/{name}.svg"
        self.files[file] = drawing_on_paper(drawing.svg)
        return {"is": "drawing", "file": file, "alt": _alt(drawing), "width": drawing.width, "height": drawing.height}

    def _photo(self, element: Element, path: str) -> Block:
        id = element.attributes["id"]
        caption = next(element.all("figcaption"))
        if path != "photos.html":
            text = f"Photo {id.removeprefix('photo-')}"
            return {"is": "links", "items": [[{"text": text, "look": "", "to": f"photos.html#{id}"}]]}
        image = next(element.all("img"))
        file = posixpath.normpath(posixpath.join(posixpath.dirname(path), image.attributes["src"]))
        self.files[file] = (self.pictures / file).read_bytes()
        blocks = list(self._reader(path).blocks(caption))
        return {"is": "photo", "id": f"{path}#{id}", "file": file, "alt": image.attributes["alt"], "blocks": blocks}

    def _door_card(self) -> Iterator[Block]:
        """The card for a cupboard door at its real size, in the owner's edition, which alone has labels."""
        for label in self.pack.labels:
            if label.name == _DOOR_CARD:
                file = f"labels/{label.name}.svg"
                self.files[file] = label_on_paper(label.svg)
                yield {"is": "heading", "level": 2, "pieces": [{"text": label.title, "look": "", "to": ""}]}
                yield {"is": "para", "look": "", "pieces": [{"text": label.goes, "look": "", "to": ""}]}
                yield {
                    "is": "card", "file": file, "alt": label.title,
                    "width": label.width_mm, "height": label.height_mm,
                }  # fmt: skip


def _tells_again(path: str, part: Element) -> bool:
    """Whether a part of a page is only a way to what this book holds a few leaves on."""
    id = part.attributes.get("id", "")
    if path == _FRONT:
        return id == "things" or id.startswith("reader-")
    return path == "numbers.html" and id == "subjects"


def _alt(drawing: Drawing) -> str:
    """A drawing for somebody who hears it read: all its sentences."""
    return " ".join((f"{drawing.title}.", *drawing.equivalent))


def _ids(element: Element) -> Iterator[str]:
    for child in element.elements:
        if child.attributes.get("id"):
            yield child.attributes["id"]
        yield from _ids(child)


def _without(element: Element, *classes: str) -> None:
    """Take out what the book says at its front anyway."""
    element.children = [
        child for child in element.children if isinstance(child, str) or not child.classes.intersection(classes)
    ]
    for child in element.elements:
        _without(child, *classes)


def _stamps_to_what_is_special(element: Element) -> None:
    """Record, revision and date stand at the foot of each sheet; what a stamp says besides stays."""
    for paragraph in element.all("p"):
        if "stamp" in paragraph.classes:
            paragraph.children = list(paragraph.all("strong"))
