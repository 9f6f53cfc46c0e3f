"""How hard the homeowner's pages of a finished pack are to read: ``python tests/reading_grades.py PACKDIR``.

The measure is the Flesch-Kincaid grade (Kincaid, Fishburne, Rogers and Chissom, 1975, Research Branch Report 8-75):
0.39 words a sentence + 11.8 syllables a word - 15.59.  textstat counts words, sentences and syllables, the latter by
the CMU pronouncing dictionary; it takes no sentence of one or two words for one, so that "Call 911." never eases a
page.  Only its own rounding of the averages is not used: it alone moves a grade by half a year.
"""

from __future__ import annotations

import re
import sys
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

from textstat.textstat import textstatistics

FOR_HOMEOWNERS = ("index.html", "trouble.html", "switch-off.html", "directory.html", "care.html", "questions.html")
"""The pages besides the first part of each code's own page."""
FEWEST_WORDS = 4
"""A shorter item is a name or a value, such as a link's words; counted as a sentence it would make a page look easy."""

_ENDS_TEXT = {"p", "li", "dd", "dt", "dl", "div", "ul", "ol", "section", "br", "h1", "h2", "h3", "h4", "header", "main"}
_LEFT_OUT = {"head", "header", "nav", "footer", "svg", "figure", "table", "h1", "h2", "h3", "h4", "dt", "summary"}
"""Drawings, photos and tables of codes are no running text; neither are headings."""
_NO_SENTENCES = {"stamp", "kicker", "chips", "doors", "print-foot", "code"}
_CODE = re.compile(r"\(?\b[A-Z]\d{1,3}\b\)?")
_TELEPHONE = re.compile(r"\b(?:\d{3}-)?\d{3}-\d{4}\b")
_POINT_IN_NUMBER = re.compile(r"(?<=\d)\.(?=\d)")
_VOID = {"br", "img", "source", "hr", "meta", "link", "input", "wbr"}
_WORKERS = "For electricians only"


class _RunningText(HTMLParser):
    """A page's paragraphs and list items, up to what is for the worker."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.items: list[str] = []
        self._open: list[tuple[str, bool]] = []
        self._text: list[str] = []
        self._over = False
        self.feed(html)
        self._end_item()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "section" and given.get("id") == "details":
            self._over = True
        named = set((given.get("class") or "").split())
        if tag in _ENDS_TEXT or "aside" in named:
            self._end_item()
        if tag not in _VOID:
            self._open.append((tag, tag in _LEFT_OUT or bool(named & _NO_SENTENCES)))

    def handle_endtag(self, tag: str) -> None:
        if tag in _ENDS_TEXT:
            self._end_item()
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if data.strip() == _WORKERS and self._open and self._open[-1][0] == "summary":
            # The fold round it, up to its end, is not for the homeowner.
            at = max(place for place, (tag, _) in enumerate(self._open) if tag == "details")
            self._open[at] = ("details", True)
        if not self._over and not any(left_out for _, left_out in self._open):
            self._text.append(data)

    def _end_item(self) -> None:
        text = " ".join("".join(self._text).split())
        self._text = []
        if text:
            self.items.append(text)


def running_text(html: str) -> list[str]:
    """The sentences a homeowner reads on a page: each item ended with a stop, without codes and telephone numbers."""
    items = []
    for item in _RunningText(html).items:
        plain = _TELEPHONE.sub("", _CODE.sub("", item))
        plain = _POINT_IN_NUMBER.sub("", plain).replace(" in. ", " in ").strip()
        if len(re.findall(r"[A-Za-z]+", plain)) >= FEWEST_WORDS:
            items.append(plain if plain[-1] in ".!?" else f"{plain}.")
    return items


def grade(items: list[str]) -> float:
    """The Flesch-Kincaid grade of a page's running text."""
    words_a_sentence, syllables_a_word = averages(" ".join(items), "en_US")
    return 0.39 * words_a_sentence + 11.8 * syllables_a_word - 15.59


def averages(text: str, language: str) -> tuple[float, float]:
    """Words a sentence and syllables a word, as textstat counts them."""
    count = _counting(language)
    words = count.lexicon_count(text)
    return words / count.sentence_count(text), count.syllable_count(text) / words


@cache
def _counting(language: str) -> textstatistics:
    count = textstatistics()
    count.set_lang(language)  # reads the whole dictionary, so once
    return count


def texts_of(pack: Path) -> dict[str, list[str]]:
    """The running text of each of the homeowner's pages of a pack's posted edition, by its address there."""
    site = next((pack / "posted").iterdir())
    pages = [site / name for name in FOR_HOMEOWNERS] + sorted(site.glob("[A-Z]*/index.html"))
    return {page.relative_to(site).as_posix(): running_text(page.read_text(encoding="utf-8")) for page in pages}


def told_once(texts: dict[str, list[str]]) -> list[str]:
    """Each item of all the pages once, so that what stands on every page makes none of them look easy."""
    return list(dict.fromkeys(item for items in texts.values() for item in items))


def _main(folder: str) -> None:
    texts = texts_of(Path(folder))
    found = {name: grade(items) for name, items in texts.items()}
    for name, value in sorted(found.items(), key=lambda each: -each[1]):
        print(f"{value:5.1f}  {name}")
    print(f"{sum(found.values()) / len(found):5.2f}  mean of {len(found)} pages")
    print(f"{grade(told_once(texts)):5.2f}  all of them as one text, each item once")


if __name__ == "__main__":
    _main(sys.argv[1])
