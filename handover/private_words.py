"""The private values of a record as they are looked for: squeezed to letters and digits, and confirmed where short."""

from __future__ import annotations

import functools
import html
import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from urllib.parse import unquote

from handover.editions import private_values, record_for, record_in
from handover.pack import Edition
from handover.record import translated
from handover.record.facts import Fact, Part
from handover.record.record import Record
from handover.resources import own_files

SHORTEST = 4
"""Letters and digits of the shortest value that is looked for: fewer stand in too many words to tell anything."""
SHORTEST_NUMBER = 5
"""Digits of the shortest bare number that is looked for: shorter ones are sizes, years, amperes."""
LONG = 8
"""From here on a run of letters with or without digits is nobody else's; a shorter one must stand as a word."""
_PHONE = 7
_NOT_A_LETTER = bytes(code for code in range(128) if not chr(code).isalnum())
_BEYOND_ASCII = re.compile(r"[^\x00-\x7f]+")
_ESCAPED = re.compile(r"\\u([0-9a-fA-F]{4})")
_SENTENCES = re.compile(r"\n+|(?<=[.!?;])\s+")
_GERMAN = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe", "æ": "ae"})


@dataclass(frozen=True, slots=True)
class Private:
    """One private text to look for: the field it stands in, itself squeezed, as bytes in pictures, and as a word."""

    field: str
    squeezed: bytes
    raw: frozenset[bytes]
    word: re.Pattern[str]

    @property
    def number(self) -> bool:
        """Whether it is digits alone."""
        return self.squeezed.isdigit()

    @property
    def telling(self) -> bool:
        """Whether finding its letters in a row is enough, wherever they stand."""
        return len(self.squeezed) >= LONG and not self.number


@dataclass(frozen=True, slots=True)
class Wanted:
    """All that is looked for, and the fields whose values are too short to be told from anything else."""

    private: tuple[Private, ...]
    too_short: tuple[str, ...]


def private_words(record: Record, earlier: Iterable[Record] = ()) -> Wanted:
    """What the posted edition of this record, and of the earlier ones that stand in it, must not hold.

    A value that a record also shows openly, as a whole word, is not told apart and so not looked for; nor is what was
    private once and is open in a later record.  What became private is looked for, though an earlier one showed it.
    ``earlier``: oldest first.
    """
    found: dict[bytes, Private] = {}
    too_short: list[str] = []
    shown = ""
    for each in (record, *reversed(tuple(earlier))):
        shown += f"{_shown(each)}\n"
        _look_for(each, shown, found, too_short)
    return Wanted(tuple(found.values()), tuple(dict.fromkeys(too_short)))


def _shown(record: Record) -> str:
    told = [record_for(Edition.POSTED, record)]
    told += [record_in(each, Edition.POSTED, record) for each in {item.language for item in record.translations}]
    return plain("\n".join(text for each in told for text in _texts(each)))


def _look_for(record: Record, shown: str, found: dict[bytes, Private], too_short: list[str]) -> None:
    # The text of a translation is one of the record's own, and looked for where it stands there.
    own = tuple(f"translations[{place}].text" for place in range(len(record.translations)))
    harmless = (*_open_translations(record), *own)
    for field, value in private_values(record):
        if field.startswith(harmless):
            continue
        for text in _spellings(field, value):
            private = _private(field, text)
            length = len(private.squeezed.decode())
            if not length or private.word.search(shown):
                continue
            if length < (SHORTEST_NUMBER if private.number else SHORTEST):
                too_short.append(field)
            else:
                found.setdefault(private.squeezed, private)


def _open_translations(record: Record) -> tuple[str, ...]:
    """Where those stand whose text everybody may read: it is no secret in another language."""
    shown = {translated.squeezed(text) for _, text in translated.texts_of(record_for(Edition.POSTED, record))}
    return tuple(
        f"translations[{place}]."
        for place, item in enumerate(record.translations)
        if translated.squeezed(item.text) in shown
    )


@functools.cache
def own_words() -> str:
    """Every word that the tool itself may write: what stands in there tells a reader nothing about this record."""
    return plain("\n".join(path.read_bytes().decode("utf-8", errors="ignore") for path in own_files()))


def plain(text: str) -> str:
    """A text with all escaping of HTML, addresses, JSON and calendars undone, accents taken off, in small letters."""
    for _ in range(3):  # an escaped escape is still a spelling
        if "&" not in text or (undone := html.unescape(text)) == text:
            break
        text = undone
    if "%" in text:
        text = unquote(text)
    if "\\" in text:
        text = _ESCAPED.sub(lambda code: chr(int(code[1], 16)), text)
        text = text.replace("\\n", " ").replace("\\N", " ").replace("\\r", " ").replace("\\t", " ")
    if text.isascii():
        return text.lower()
    return _BEYOND_ASCII.sub(lambda signs: _simple(signs[0]), unicodedata.normalize("NFKD", text.casefold()))


@functools.cache
def _simple(signs: str) -> str:
    """Letters stay, accents and invisible signs go; a dash or another visible sign becomes a space between words."""
    kinds = ((sign, unicodedata.category(sign)) for sign in signs)
    return "".join("" if kind in ("Mn", "Cf") else sign if sign.isalnum() else " " for sign, kind in kinds)


def squeezed(text: str) -> bytes:
    """A plain text's letters and digits in a row, as UTF-8."""
    return text.encode("utf-8", errors="ignore").translate(None, _NOT_A_LETTER)


def squeezed_bytes(data: bytes) -> bytes:
    """Bytes that are no text, likewise: every second byte of UTF-16 goes too."""
    return data.lower().translate(None, _NOT_A_LETTER)


def _private(field: str, text: str) -> Private:
    simple = plain(text)
    forms = {text, text.lower(), text.upper(), text.casefold()}
    encoded = [form.encode(name, errors="ignore") for form in forms for name in ("utf-8", "latin-1")]
    row = squeezed(simple)
    return Private(field, row, frozenset({row, *map(squeezed_bytes, encoded)}), _word(simple))


def _word(simple: str) -> re.Pattern[str]:
    """The text as words of their own: any few signs between its parts, no letter or digit beside it."""
    letters = "".join(filter(str.isalnum, simple))
    if letters.isdigit():
        # A number may be grouped in any way, but is no part of a longer one nor of a decimal fraction.
        between = r"[\s().,/+\-–]{0,3}"
        return re.compile(rf"(?<![^\W_])(?<!\d[.,]){between.join(letters)}(?![^\W_]|[.,]\d)")
    parts = re.findall(r"\d+|[^\W\d_]+", simple)
    return re.compile(r"(?<![^\W_])" + r"[\W_]{0,3}".join(map(re.escape, parts)) + r"(?![^\W_])")


def _spellings(field: str, value: str) -> Iterator[str]:
    """A value as a whole, and the parts of it that would give it away alone."""
    yield value
    pieces = [piece for piece in _SENTENCES.split(value) if len(piece.split()) >= 3 and len(piece) >= 12]
    if len(pieces) > 1 or (pieces and pieces[0] != value):
        yield from pieces
    if field.endswith("address"):
        yield re.split(r"[,\n]", value)[0]  # the town alone may be told; street and number may not
    digits = "".join(filter(str.isdigit, re.split(r"[^\W\d_]", value)[0]))  # what comes before "ext"
    if field.endswith("phone") and len(digits) > _PHONE:
        yield digits
        yield digits[-10:]
        yield digits[-_PHONE:]
    if (german := value.casefold().translate(_GERMAN)) != value.casefold():
        yield german


def _texts(value: Any) -> Iterator[str]:
    """Every text of a record, and every number and date as it would be written."""
    if isinstance(value, Part):
        for name in type(value).model_fields:
            yield from _texts(getattr(value, name))
    elif isinstance(value, tuple):
        for item in value:
            yield from _texts(item)
    elif isinstance(value, Fact):
        yield from (text for text in (str(value), value.note) if text)
    elif value is not None:
        yield str(value)
