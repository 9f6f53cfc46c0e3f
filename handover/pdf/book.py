"""The whole record of one edition as one book: which page stands where, what the contents name, what is told once.

A reader of paper leafs through it: what the site says on many pages (a hazard, a drawing, a photo) stands here once in
full, and everywhere else the number of its page.
"""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Iterator
from pathlib import Path
from xml.etree.ElementTree import Element

from handover.pack import Drawing, Pack, Page
from handover.pages.shown import date_text
from handover.pdf.blocks import Block, Reader, classes, made, parsed, raised
from handover.pdf.ink import drawing_on_paper, label_on_paper
from handover.pdf.typesetting import Document

_FRONT, _NUMBERS, _PHOTOS, _SWITCH_OFF = "index.html", "numbers.html", "photos.html", "switch-off.html"
_SUMMARY = "summary.html"
_SHEETS, _WORKINGS, _THINGS = "drawing-*.html", "numbers-*.html", "*/index.html"
_PARTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("I live here", ("trouble.html", _SWITCH_OFF, "directory.html", "care.html", "questions.html")),
    ("I work on it", ("worker.html", "findings.html")),
    ("Drawings", (_SHEETS,)),
    ("Each thing, by its code", (_THINGS,)),
    ("Photos", (_PHOTOS,)),
    ("The numbers, checked", (_NUMBERS, _WORKINGS)),
    ("Selling or insuring", (_SUMMARY,)),
    ("The record itself", ("about.html", "changes.html")),
)
"""The parts of the book, and the pages of each, by name or by kind."""
_TITLES = {
    _PHOTOS: "Each photo",
    _NUMBERS: "What does not pass, or cannot be decided yet",
    _SUMMARY: "Summary for a buyer, a lender or an insurer",
}
"""Pages that begin a part named like them, and the one that takes both sides of a leaf in letters of 11 points."""
_LEFT_OUT = ("drawings.html", "labels.html")
"""Lists of what this book holds anyway, and the sheet of labels, which is a document of its own."""
_DOOR_CARD = "door-card"
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
        told = [page for page in pages if page.path not in _LEFT_OUT]
        self.mains = {page.path: _part_of(page, "main") for page in told}
        self.foot = next(_part_of(page, "footer") for page in told if page.path == _FRONT)
        self.titles = {page.path: page.title for page in told}
        marked = {
            f"{path}#{part.get('id')}" for path, main in self.mains.items() for part in main.iter() if part.get("id")
        }
        self.anchors = frozenset(marked | self.mains.keys())

    def document(self) -> Document:
        job, revision = self.pack.record.job, self.pack.record.revisions[-1]
        front = [*raised(self._page(_FRONT)), *self._reader(_FRONT).blocks(self.foot)]
        parts = [(title, [self._chapter(path) for path in self._pages_of(kinds)]) for title, kinds in _PARTS]
        return Document(
            template="pack.typ",
            # No name of a place or a person: a file's title is shown and searched where the file is not opened.
            title=f"Electrical record {job.number}, revision {revision.number}",
            day=revision.date,
            data={
                "foot": f"Record {job.number} · revision {revision.number} · {date_text(revision.date)}",
                "front": front,
                "parts": [{"title": title, "pages": chapters} for title, chapters in parts if chapters],
            },
            files=self.files,
        )

    def _pages_of(self, kinds: tuple[str, ...]) -> Iterator[str]:
        for kind in kinds:
            begin, star, end = kind.partition("*")
            for path in self.mains:
                if path == kind or (star and path.startswith(begin) and path.endswith(end)):
                    yield path

    def _chapter(self, path: str) -> Block:
        if path.startswith("drawing-"):
            name = path.removeprefix("drawing-").removesuffix(".html")
            return {"id": path, "title": self.titles[path], "new_page": True, "blocks": [self._sheet(name)]}
        blocks = [block for block in self._page(path) if (block["is"], block.get("level")) != ("heading", 1)]
        if path == _SWITCH_OFF:
            blocks += self._door_card()
        kinds = [small.text or "" for small in next(self.mains[path].iter("h1")).iter("small")]
        blocks = [{"is": "para", "look": "", "pieces": [f"{kind.capitalize()}."]} for kind in kinds] + blocks
        working = path.startswith("numbers-")
        # The part's title says already that a chapter of it holds the working; the thing's name is enough.
        title = _heading(self.mains[path]) if working else _TITLES.get(path, self.titles[path])
        return {"id": path, "title": title, "new_page": not working and "/" not in path, "blocks": blocks}

    def _page(self, path: str) -> Iterator[Block]:
        main = self.mains[path]
        if path not in (_FRONT, _SWITCH_OFF, "trouble.html"):
            _without_what_the_front_says(main)
        kept = made("main", [part for part in main if not _tells_again(path, part)])
        yield from self._reader(path).blocks(kept)

    def _reader(self, path: str) -> Reader:
        def figure(element: Element) -> Iterator[Block]:
            if "photo" in classes(element):
                yield self._photo(element, path)
            else:
                yield from self._told_elsewhere(element)

        return Reader(path=path, anchors=self.anchors, figure=figure, hazards=self.hazards)

    def _told_elsewhere(self, element: Element) -> Iterator[Block]:
        """The page of a drawing; of a panel's face with one breaker marked, that of the face."""
        name = next(element.iter("drawing")).attrib["name"]
        for whole in (name, name.rpartition("-")[0]):
            if (to := f"drawing-{whole}.html") in self.mains:
                yield _way(f"Drawing: {self.pack.drawings[name].title}", to)
                return

    def _sheet(self, name: str) -> Block:
        drawing = self.pack.drawings.get(name + _ON_PAPER) or self.pack.drawings[name]
        file = f"drawings/{name}.svg"
        self.files[file] = drawing_on_paper(drawing.svg)
        return {"is": "drawing", "file": file, "alt": _alt(drawing), "width": drawing.width, "height": drawing.height}

    def _photo(self, element: Element, path: str) -> Block:
        id = element.attrib["id"]
        if path != _PHOTOS:
            return _way(f"Photo {id.removeprefix('photo-')}", f"{_PHOTOS}#{id}")
        image = next(element.iter("img")).attrib
        file = posixpath.normpath(image["src"])
        self.files[file] = (self.pictures / file).read_bytes()
        blocks = list(self._reader(path).blocks(next(element.iter("figcaption"))))
        size = {"width": int(image["width"]), "height": int(image["height"])}
        return {"is": "photo", "file": file, "alt": image["alt"], "blocks": blocks} | size

    def _door_card(self) -> Iterator[Block]:
        """The card for a cupboard door at its real size, in the owner's edition, which alone has labels."""
        for label in self.pack.labels:
            if label.name.startswith(_DOOR_CARD):
                file = f"labels/{label.name}.svg"
                self.files[file] = label_on_paper(label.svg)
                yield {"is": "heading", "level": 2, "pieces": [label.title]}
                yield {"is": "para", "look": "", "pieces": [label.goes]}
                size = {"width": label.width_mm, "height": label.height_mm}
                yield {"is": "card", "file": file, "alt": label.title} | size


def _part_of(page: Page, tag: str) -> Element:
    """The one ``main`` or ``footer`` of a page."""
    end = f"</{tag}>"
    return parsed(page.body[page.body.index(f"<{tag}") : page.body.index(end) + len(end)])


def _heading(main: Element) -> str:
    return " ".join("".join(next(main.iter("h1")).itertext()).split())


def _way(text: str, to: str) -> Block:
    return {"is": "links", "items": [[{"text": text, "look": "", "to": to}]]}


def _alt(drawing: Drawing) -> str:
    """A drawing for somebody who hears it read: all its sentences."""
    return " ".join((f"{drawing.title}.", *drawing.equivalent))


def _tells_again(path: str, part: Element) -> bool:
    """Whether a part of a page is only a way to what this book holds a few leaves on."""
    id = part.get("id", "")
    if path == _FRONT:
        return id == "things" or id.startswith("reader-")
    return path == _NUMBERS and id == "subjects"


def _without_what_the_front_says(main: Element) -> None:
    """The numbers to call stand on the first pages, record and revision on each; what a stamp says besides stays."""
    for parent in list(main.iter()):
        for child in list(parent):
            named = classes(child)
            if "emergency" in named:
                parent.remove(child)
            elif "stamp" in named:
                child.text, child[:] = "", list(child.iter("strong"))
