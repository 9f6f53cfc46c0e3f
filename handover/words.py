"""The words for people that are not taken from a record: one catalogue a language and subject.

Catalogues stand in ``site_templates/words/LANGUAGE/``; another language is another folder with the same keys.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any, Protocol

from handover.record.yaml_reader import read_yaml
from handover.resources import shipped

LANGUAGE = "en"


@cache
def words(language: str, name: str) -> dict[str, Any]:
    """The catalogue ``name`` (``notes``, ``reminders``, ``glossary``) of a language.  Not to be altered by a caller."""
    path = shipped("site_templates", "words", language, f"{name}.yaml")
    return read_yaml(path.name, path.read_bytes())


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
