"""What is wrong with a job folder, said so that the electrician can mend it.

Used on every stage of the journey; depends on nothing else in the package.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where in the job folder something was written: a file, relative to the folder, and a line from 1."""

    file: str
    line: int

    def __str__(self) -> str:
        name = self.file.replace("\n", "?")  # a name of two lines would look like two problems
        return f"{name}:{self.line}" if self.line else name


NOWHERE = Place("", 0)
"""The place of a value that no file holds, such as a default."""


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One fault in the job folder: its place, the thing concerned, what is wrong and how to write it right."""

    place: Place
    where: str
    what: str
    remedy: str

    def __str__(self) -> str:
        head = ": ".join(part for part in (str(self.place), self.where, self.what) if part)
        return harmless(f"{head}\n    {self.remedy}" if self.remedy else head)


def harmless(text: str) -> str:
    """``text`` without what commands a terminal or turns its writing round: a file's name may hold such signs."""
    return "".join(sign if sign.isprintable() or sign in "\n\u00a0" else "?" for sign in text)


def harmless_json(text: str) -> str:
    """JSON likewise, with nothing lost: such signs stand within its texts only, and are written there as escapes."""
    return "".join(sign if sign.isprintable() or sign == "\n" else json.dumps(sign)[1:-1] for sign in text)


class JobProblems(Exception):
    """All the faults found in one go.  The command line shows them and ends with status 2."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def one_problem(file: str, what: str, remedy: str, *, line: int = 0, where: str = "") -> JobProblems:
    """A ``JobProblems`` with a single fault, for the edges where the first fault ends the work."""
    return JobProblems([Problem(Place(file, line), where, what, remedy)])


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word most like ``word``, capitals or not, or None where none is near enough to be worth offering."""
    by_lower = {each.lower(): each for each in known}
    found = difflib.get_close_matches(word.lower(), list(by_lower), n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def count_of(number: int, noun: str) -> str:
    """``1 problem``, ``3 problems``: a number with its noun, for the lines that close a report."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
