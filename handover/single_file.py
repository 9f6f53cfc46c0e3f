"""All pages of an edition in one file, to keep on a phone: styles, drawings and small photos inside, and no script.

The pages stand one after another rather than one at a time: so a reader's search finds every word, a screen reader
meets every heading, and paper takes all of it, which pages hidden by ``:target`` would each forbid.  Made from the
finished page bodies, like ``pack.pdf``, so a new page is in it by itself.
"""

from __future__ import annotations

import base64
import hashlib
import posixpath
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from handover.pack import Drawing, Pack, Page
from handover.pages.contents import ONE_FILE, SHORT, Book, Here, part_id
from handover.pages.shown import date_text
from handover.pages.templates import fill
from handover.pages.views import Link
from handover.photos import smaller
from handover.resources import shipped
from handover.words import OWN, languages, later, speaking, tell

LIMIT = 3_000_000
"""Bytes: what still opens at once on a phone, and goes through as an attachment."""
WIDTHS = (768, 640, 480, 320)
"""Dots across a photo, the widest first; the first is as the site has it."""
_FOR_PHOTOS = 600_000
"""Bytes that words and drawings may not take from photos, as far as these need them."""
_AROUND = 100
"""Bytes of the element that holds a photo's data, at most."""
_NEVER_IN_IT = ("labels.html",)
"""The sheet of labels is measured for paper, and its pictures are files of their own."""
_LESS_NEEDED = (
    ("numbers-*.html", later("the working of each check")),
    ("drawing-*.html", later("each drawing on a sheet of its own")),
)
"""Pages that go, in this order, where words and drawings leave photos no room: none that somebody in the dark needs."""
_MAIN = re.compile(r'<main id="main">\n(.*)</main>', re.DOTALL)
_LEFT_OUT = re.compile(
    r'<nav class="toc".*?</nav>\n|<section id="keep".*?</section>\n|<div class="on-paper">.*?</div>\n', re.DOTALL
)
"""Ways round one page, ways to this very file, and drawings folded for a printed sheet."""
_HAZARD, _NO_LANDMARK = (
    re.compile(r'<section( class="hazard[^>]*>.*?)</section>', re.DOTALL),
    r'<div role="group"\1</div>',
)
"""A caution that a page tells once stands here on many; as landmarks of one name they would only be in the way."""
_FOLDED = '<div class="sheet folded">'
_LINK = re.compile(r'<a\b([^>]*?) href="([^"]*)"([^>]*)>(.*?)</a>', re.DOTALL)
_TAG = re.compile(r"<[^<>]+>")
_NAMES = re.compile(r'( (?:id|aria-labelledby|for)=")([^"]*)"')
_ID = re.compile(r' id="([^"]*)"')
_PICTURE = re.compile(
    r'<picture>.*?<img (?:lang="[^"]*" )?src="[^"]*photo-(\d+)-[^"]*"[^>]*?'
    r' width="(\d+)" height="(\d+)" alt="([^"]*)"[^>]*>\n</picture>',
    re.DOTALL,
)
_DRAWING = re.compile(r"<!-- drawing ([A-Za-z0-9-]+) -->")


@dataclass(frozen=True, slots=True)
class SingleFile:
    """One edition's pages in every language, none of an earlier revision, and what they are made with."""

    pack: Pack
    pages: tuple[Page, ...]
    drawings: Mapping[str, Drawing]

    def write(self, into: Path) -> str:
        """Write the file into a finished site, from the photos that stand there.  Answers what it came to, in words.

        Photos are made smaller first, then left out from the last one on; what is left out stands in the file.
        """
        photos = _Photos(self.pack, into)
        for gone in range(len(_LESS_NEEDED) + 1):
            writer = _Writer(self, _LESS_NEEDED[:gone])
            bare = len(writer.whole({}, 0))
            if bare + photos.size_of_least(writer.shown) <= LIMIT:
                break
        for width in WIDTHS:
            held = photos.held(width, writer.shown, LIMIT - bare)
            if held is not None:
                break
        else:
            held = photos.first_of(WIDTHS[-1], writer.shown, LIMIT - bare)
        content = writer.whole(held, width)
        while len(content) > LIMIT and held:
            held = dict(list(held.items())[:-1])
            content = writer.whole(held, width)
        (into / ONE_FILE).write_bytes(content)
        edition, size = self.pack.edition, len(content) / 1e6
        return (
            f"Pages of the {edition} edition in one file: {size:.1f} MB with {len(held)} of {len(writer.shown)} photos"
        )


class _Photos:
    """The photos of a finished site as data for a page, each size made once."""

    def __init__(self, pack: Pack, site: Path) -> None:
        self._small = {photo.number: site / photo.files[0].path for photo in pack.photos}
        self._made: dict[tuple[int, int], str] = {}

    def data(self, number: int, width: int) -> str:
        """A photo as a ``data:`` address (RFC 2397)."""
        if (number, width) not in self._made:
            content = smaller(self._small[number].read_bytes(), width)
            self._made[number, width] = f"data:image/webp;base64,{base64.b64encode(content).decode()}"
        return self._made[number, width]

    def size_of_least(self, numbers: Sequence[int]) -> int:
        """How many bytes all would take at their smallest, and where that is more, what is set apart for photos."""
        return (
            _FOR_PHOTOS
            if self.held(WIDTHS[-1], numbers, _FOR_PHOTOS) is None
            else sum(len(self.data(number, WIDTHS[-1])) + _AROUND for number in numbers)
        )

    def held(self, width: int, numbers: Sequence[int], room: int) -> dict[int, str] | None:
        """All of them at a width, or None where that is more than there is room for."""
        first = self.first_of(width, numbers, room)
        return first if len(first) == len(numbers) else None

    def first_of(self, width: int, numbers: Sequence[int], room: int) -> dict[int, str]:
        """The first of them that there is room for."""
        held: dict[int, str] = {}
        for number in numbers:
            room -= len(self.data(number, width)) + _AROUND
            if room < 0:
                break
            held[number] = self.data(number, width)
        return held


class _Writer:
    """The file with some kinds of pages left out, and with whichever photos it is handed."""

    def __init__(self, whole: SingleFile, gone: Sequence[tuple[str, str]]) -> None:
        self._pack, self._drawings, self._gone = whole.pack, whole.drawings, gone
        self._pages = [page for page in whole.pages if not self._is_left_out(page.path)]
        self._bodies = {page.path: _body(page) for page in self._pages}
        self._ids = {path: set(_ID.findall(body)) for path, body in self._bodies.items()}
        found = (int(number) for body in self._bodies.values() for number, *_ in _PICTURE.findall(body))
        self.shown = sorted(set(found))
        """The numbers of the photos that these pages show."""
        self._drawn: set[str] = set()
        self._articles = {page.path: self._with_drawings(self._linked(page)) for page in self._pages}

    def whole(self, photos: Mapping[int, str], width: int) -> bytes:
        """The finished file.  ``photos``: the data of each that it holds, ``width`` dots wide at most."""
        here = Here(Book(self._pack), "index.html")
        styles = "\n".join(_style(name) for name in ("site.css", "drawings.css", "one-file.css"))
        digest = base64.b64encode(hashlib.sha256(styles.encode()).digest()).decode()
        title = tell("All pages")
        shell = _Shell(language=OWN, title=title, styles_are=f"sha256-{digest}")
        parts = "\n".join(self._part(language, photos, width) for language in self._languages)
        told = fill("one-file.html", here.frame(title), shell)
        return _filled(told, styles=styles, parts=parts, store=self._store(photos)).encode()

    @property
    def _languages(self) -> list[str]:
        return list(dict.fromkeys(page.language for page in self._pages))

    def _is_left_out(self, path: str) -> bool:
        starts = tuple(kind.partition("*")[0] for kind, _ in self._gone)
        return path in _NEVER_IN_IT or (bool(starts) and path.startswith(starts))

    def _part(self, language: str, photos: Mapping[int, str], width: int) -> str:
        """The pages of one language, after a list of them."""
        own = [page for page in self._pages if page.language == language]
        record, revision = self._pack.record, self._pack.record.revisions[-1]
        with speaking(language):
            articles = (self._with_pictures(self._articles[page.path], photos) for page in own)
            here = Here(Book(self._pack), "index.html")
            view = _Part(
                id=part_id(language),
                place=record.site.name,
                record=record.job.number,
                revision=str(revision.number),
                date=date_text(revision.date),
                width=str(width) if photos else "",
                left_out=self._what_is_left_out(photos),
                short_links=tuple(Link(text=text, href=f"#{_key(here.book.folder + path)}") for path, text in SHORT),
                languages=tuple(
                    Link(text=languages()[other], href=f"#{part_id(other)}", language=other)
                    for other in self._languages
                    if other != language
                ),
                titles=tuple(Link(text=page.title, href=f"#{_key(page.path)}") for page in own),
            )
            told = _filled(fill("one-file-part.html", here.frame(""), view), articles="\n".join(articles))
        return f'<section class="part" lang="{language}">\n{told}</section>'

    def _what_is_left_out(self, photos: Mapping[int, str]) -> tuple[str, ...]:
        missing = ", ".join(str(number) for number in self.shown if number not in photos)
        gone = tuple(tell(what) for _, what in self._gone)
        return (*gone, tell("photos: {numbers}", numbers=missing)) if missing else gone

    def _linked(self, page: Page) -> str:
        """A page's body with names that stand nowhere else, and links within this file."""
        key = _key(page.path)

        def named(found: re.Match[str]) -> str:
            return found[1] + " ".join(f"{key}--{id}" for id in found[2].split()) + '"'

        body = _TAG.sub(lambda tag: _NAMES.sub(named, tag[0]), self._bodies[page.path])
        body = _LINK.sub(lambda found: self._link(page.path, found), body)
        return f'<article id="{key}">\n{body}</article>'

    def _link(self, path: str, found: re.Match[str]) -> str:
        before, address, after, text = found.groups()
        if address.startswith("tel:"):
            return found[0]
        file, _, fragment = address.partition("#")
        target = posixpath.normpath(posixpath.join(posixpath.dirname(path), file)) if file else path
        if target not in self._ids:
            return f"<span>{text}</span>"
        to = f"{_key(target)}--{fragment}" if fragment in self._ids[target] else _key(target)
        return f'<a{before} href="#{to}"{after}>{text}</a>'

    def _with_drawings(self, article: str) -> str:
        """Each drawing in full where it comes first, and from there wherever it comes again."""
        return _DRAWING.sub(lambda found: self._drawing(found[1]), article)

    def _drawing(self, name: str) -> str:
        drawing = self._drawings[name]
        again, self._drawn = name in self._drawn, self._drawn | {name}
        if again:
            box = f"0 0 {drawing.width:g} {drawing.height:g}"
            told = f'role="img" aria-labelledby="{name}-title {name}-desc"'
            return f'<svg class="drawing" viewBox="{box}" {told}><use href="#{name}"/></svg>'
        # In another language a drawing has a name of its own, and in it still the names of its first one.
        before = name.removesuffix(drawing.name)

        def named(found: re.Match[str]) -> str:
            return found[1] + " ".join(before + id for id in found[2].split()) + '"'

        return _TAG.sub(lambda tag: _NAMES.sub(named, tag[0]), drawing.svg) if before else drawing.svg

    def _with_pictures(self, article: str, photos: Mapping[int, str]) -> str:
        def picture(found: re.Match[str]) -> str:
            number, width, height, alt = found.groups()
            if int(number) not in photos:
                told = tell("This photo is left out of this file. It shows:")
                return f"<p><em>{told}</em> {alt}</p>"
            return (
                f'<svg role="img" aria-label="{alt}" viewBox="0 0 {width} {height}">'
                f'<use href="#image-{int(number)}"/></svg>'
            )

        return _PICTURE.sub(picture, article)

    def _store(self, photos: Mapping[int, str]) -> str:
        """The photos' data, once, for all places that show them."""
        size = {photo.number: (photo.files[0].width, photo.files[0].height) for photo in self._pack.photos}
        images = (
            f'<image id="image-{number}" width="{size[number][0]}" height="{size[number][1]}" href="{data}"/>\n'
            for number, data in photos.items()
        )
        return f'<svg class="store" aria-hidden="true"><defs>\n{"".join(images)}</defs></svg>' if photos else ""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Shell:
    language: str
    title: str
    styles_are: str


@dataclass(frozen=True, kw_only=True, slots=True)
class _Part:
    id: str
    place: str
    record: str
    revision: str
    date: str
    width: str
    left_out: tuple[str, ...]
    short_links: tuple[Link, ...]
    languages: tuple[Link, ...]
    titles: tuple[Link, ...]


def _key(path: str) -> str:
    """The name of a page's place in the file: ``C14``, ``trouble``, ``lang-es-C14``."""
    return path.removesuffix(".html").removesuffix("/index").replace("/", "-")


def _body(page: Page) -> str:
    found = _MAIN.search(page.body)
    assert found is not None, page.path
    body = _LEFT_OUT.sub("", found[1]).replace(_FOLDED, '<div class="sheet">')
    return _HAZARD.sub(_NO_LANDMARK, body)


def _style(name: str) -> str:
    return shipped("site_templates", "css", name).read_text(encoding="utf-8")


def _filled(told: str, **parts: str) -> str:
    """A filled template with finished HTML at its marks.  Text of a record is escaped, so it can make no mark."""
    for name, html in parts.items():
        before, mark, after = told.partition(f"<!-- {name} -->")
        assert mark, name
        told = before + html + after
    return told
