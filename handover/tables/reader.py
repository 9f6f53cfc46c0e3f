"""The one reader of the published tables.  A table is a CSV file whose first lines say where it is from."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Generic, TypeVar

T = TypeVar("T")
_HEADINGS = ("title", "source", "editions", "units", "checked")


class NoRow(LookupError):
    """A table has no such row or cell.  The message names table and row; nothing is put in its place."""


@dataclass(frozen=True, slots=True)
class Looked(Generic[T]):
    """A value from a table, and which table, edition and row it was."""

    value: T
    source: str


@dataclass(frozen=True, slots=True)
class Table:
    """A published table as stored: its heading lines, and its rows as text, in printed units."""

    name: str
    heading: dict[str, str]
    rows: tuple[dict[str, str], ...]

    @property
    def title(self) -> str:
        """How the table is cited, such as ``NEC Table 310.16``."""
        return self.heading["title"]

    def cited(self, edition: int) -> str:
        """The table under the number it has in an edition, from the heading line ``editions``.

        ``2017 Table 310.15(B)(16); 2020 Table 310.16`` is how that line reads.  NoRow for an edition it does not name:
        neither number nor values are guessed.
        """
        numbers = dict(part.strip().split(" ", 1) for part in self.heading["editions"].split(";"))
        if str(edition) not in numbers:
            raise NoRow(f"{self.title}: whether the {edition} edition prints the same is not confirmed; read it there.")
        return f"NEC {numbers[str(edition)]}"


@cache
def read_table(name: str) -> Table:
    """The table stored as ``NAME.csv``.  ValueError where a heading line is missing: a table without source is none."""
    text = resources.files(__package__).joinpath(f"{name}.csv").read_text(encoding="utf-8")
    heading: dict[str, str] = {}
    lines = text.splitlines()
    while lines and lines[0].startswith("#"):
        key, _, value = lines.pop(0)[1:].partition(":")
        heading[key.strip()] = value.strip()
    missing = [key for key in _HEADINGS if not heading.get(key)]
    if missing:
        raise ValueError(f"table {name}: no heading line for {', '.join(missing)}")
    return Table(name, heading, tuple(dict(row) for row in csv.DictReader(lines)))
