"""The trade words of a page, each with its meaning, at the foot of what a homeowner reads.

Made from the finished page, so that no word is missed, whether the program or the record brought it.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from functools import cache

from handover.pages.shown import sentence
from handover.pages.views import Row, Said
from handover.words import OWN, speaking, spoken, words

MARK = "<!-- words -->\n"
"""Where the list stands in a template."""
_NOT_FOR_HOMEOWNERS = re.compile(
    r'<details class="trade">.*?</details>|<section id="(?:details|checks|facts)">.*?</section>|<!--.*?-->|<[^>]*>',
    re.DOTALL,
)
_NAME = re.compile(r"(?P<name>[^(]+?)(?: \((?P<mark>[^)]+)\))?")
_LETTER = 1


def read_text(body: str) -> str:
    """What a homeowner reads of a page body: its main part, without what is there for the worker alone."""
    shown = body[body.index("<main") : body.index("</main>")]
    return " ".join(html.unescape(_NOT_FOR_HOMEOWNERS.sub(" ", shown)).split())


def explained(body: str) -> tuple[Row, ...]:
    """The trade words in the homeowner's part of a page body, in alphabetical order, each with its meaning.

    In another language than ``OWN`` the names of the record stay as they are on the panels; a trade word of theirs
    stands beside the word of that language.
    """
    text = read_text(body)
    rows = []
    for entry in _entries(spoken()):
        in_names = entry.own_pattern is not None and entry.own_pattern.search(text)
        if in_names and entry.own_name not in entry.name:
            rows.append(Row(label=f"{entry.name} ({entry.own_name})", said=Said(text=entry.meaning)))
        elif in_names or entry.pattern.search(text):
            rows.append(Row(label=entry.name, said=Said(text=entry.meaning)))
    return tuple(sorted(rows, key=lambda row: row.label.casefold()))


@dataclass(frozen=True, slots=True)
class _Entry:
    """A trade word of a language, how it is found, and the same of ``OWN`` where that is another."""

    name: str
    meaning: str
    pattern: re.Pattern[str]
    own_name: str = ""
    own_pattern: re.Pattern[str] | None = None


@cache
def _entries(language: str) -> tuple[_Entry, ...]:
    with speaking(OWN):
        found_as = words("trade_words")
        own = {
            key: _Entry(key, sentence(meaning), re.compile(found_as.get(key) or _usual(key)))
            for key, meaning in words("glossary").items()
        }
    if language == OWN:
        return tuple(own.values())
    found_as, entries = words("trade_words"), []
    for key, text in words("glossary").items():
        # A meaning in another language begins with the word there, up to the colon.
        name, _, meaning = text.partition(": ")
        pattern = re.compile(found_as.get(key) or _usual(name))
        # A unit's sign is the same in both, and no name on a panel.
        entries.append(_Entry(name, sentence(meaning), pattern, key, None if "(" in key else own[key].pattern))
    return tuple(entries)


def _usual(name: str) -> str:
    """A word as a whole, one or several, and the sign or short name that stands behind it in brackets.

    A sign of one letter is a unit and counts behind a number alone: "A" of "40 A".
    """
    parts = _NAME.fullmatch(name)
    assert parts is not None, name
    ways = [_plural(parts["name"])]
    if parts["mark"]:
        mark = re.escape(parts["mark"])
        ways.append(rf"(?<=\d ){mark}" if len(parts["mark"]) == _LETTER else f"{mark}s?")
    return rf"(?<!\w)(?:{'|'.join(ways)})(?!\w)"


def _plural(name: str) -> str:
    """A name of one or several words.  One of capitals (EMT) is found in capitals alone."""
    if name.isupper():
        return rf"{re.escape(name)}s?"
    return rf"(?i:{' '.join(map(_one_or_many, name.split()))})"


def _one_or_many(word: str) -> str:
    if word.endswith("y"):
        return rf"{re.escape(word[:-1])}(?:y|ies)"
    if word.endswith("ón"):
        return rf"{re.escape(word[:-2])}(?:ón|ones)"
    return rf"{re.escape(word)}(?:e?s)?"
