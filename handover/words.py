"""The words for people that are not taken from a record, in each language that has a catalogue.

A catalogue is one file, ``site_templates/words/LANGUAGE.yaml``; a further language is a further file.  The program's
sentences stand in the code and the templates in English, each passed through ``tell``, and under ``pages`` in the
other catalogues; longer texts stand in every catalogue under the same keys.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from typing import Any, Protocol

import yaml

from handover.resources import shipped

OWN = "en"
"""The language that the program itself is written in."""
_SPOKEN = ContextVar("spoken", default=OWN)


def spoken() -> str:
    """The language that is being written at the moment, by its code (ISO 639-1)."""
    return _SPOKEN.get()


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Write in another language within the block.  Threads that it starts go on in ``OWN``."""
    before = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


@cache
def languages() -> dict[str, str]:
    """Every language there is a catalogue for, by code, with its name in itself; ``OWN`` first."""
    files = sorted(shipped("site_templates", "words").glob("*.yaml"), key=lambda file: (file.stem != OWN, file.stem))
    return {file.stem: str(_catalogue(file.stem)["language"]) for file in files}


@cache
def _catalogue(language: str) -> dict[str, Any]:
    path = shipped("site_templates", "words", f"{language}.yaml")
    # Every scalar is text here: "off" and "no" are words.
    found: dict[str, Any] = yaml.load(path.read_bytes(), Loader=yaml.CBaseLoader)  # noqa: S506 - it makes text alone
    return found


def words(name: str) -> dict[str, Any]:
    """A subject (``notes``, ``reminders``, ``glossary``) of the spoken language's catalogue.  Not to be altered."""
    found: dict[str, Any] = _catalogue(spoken())[name]
    return found


def tell(text: str, /, **facts: object) -> str:
    """A sentence of the program's own in the spoken language, with the record's ``facts`` put in.

    One that the catalogue lacks stays English: better that than nothing (the tests let none be lacking).
    """
    found = text if spoken() == OWN else _sentences(spoken()).get(text, text)
    return found.format_map(facts) if facts else found


@cache
def _sentences(language: str) -> dict[str, str]:
    """The program's own sentences in a language, each by the English one."""
    return {str(entry["of"]): str(entry["is"]) for entry in _catalogue(language)["pages"]}


def later(text: str) -> str:
    """Marks a sentence for the catalogues where it is written down, to be told where it is shown."""
    return text


def lines_of(text: str, facts: dict[str, str]) -> tuple[str, ...]:
    """A catalogue's text, one step a line, with the record's ``facts`` put in.

    A fact is never read as wording itself, whatever braces it holds; one of several lines becomes as many steps.
    KeyError for a placeholder without a fact.
    """
    return tuple(line.strip() for line in text.format_map(facts).splitlines() if line.strip())


class Named(Protocol):
    """Anything of the record with a code and a name."""

    @property
    def code(self) -> str:
        """Its short name."""

    @property
    def name(self) -> str:
        """Its name in plain words."""


def names_of(things: Iterable[Named]) -> str:
    """``P1 Main panel; P2 Standby panel``."""
    return "; ".join(f"{thing.code} {one_line(thing.name)}" for thing in things)


def codes_of(things: Iterable[Named]) -> tuple[str, ...]:
    """The codes alone."""
    return tuple(thing.code for thing in things)


def one_line(text: str) -> str:
    """Free text of a record as it may stand within a sentence."""
    return " ".join(text.split())
