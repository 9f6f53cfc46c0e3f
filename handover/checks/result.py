"""What a rule finds: data, with its working.  Words for people come later, on the pages."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handover.units import Quantity


class Verdict(StrEnum):
    """What a rule came to.  ``UNDECIDED``: a fact is missing, or the text needs a person's judgement."""

    PASS = "pass"
    FAIL = "fail"
    UNDECIDED = "undecided"
    NOT_APPLICABLE = "not_applicable"


@dataclass(frozen=True, kw_only=True, slots=True)
class Given:
    """One thing a rule went by: its symbol, what it is in words, its value as shown, and where it came from.

    ``source`` is ``file:line`` of the job folder, or a table with its row.  ``basis`` is how a recorded fact is known.
    """

    symbol: str
    meaning: str
    value: str
    source: str
    basis: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """One step of the working: the formula in symbols, the numbers put in, and what comes out."""

    formula: str
    numbers: str
    value: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Citation:
    """Where a rule is published.  ``code`` is "NEC", another standard, or "common practice"."""

    code: str
    edition: str
    section: str

    def __str__(self) -> str:
        return " ".join(part for part in (self.code, self.edition, self.section) if part)


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckResult:
    """One answer of one rule about one thing.

    ``subject`` is a code of the record, or panel and spaces (``P1/14/16``): never free text, so that the result may be
    shown in either edition.  ``value``, ``limit`` and ``margin`` (limit less value, or value less limit: positive is
    good) are unrounded quantities, None where the rule compares no numbers.  ``advice`` results never fail a job.
    ``answered`` is the contractor's reason where a failing result was answered in the record.
    ``at_least`` says which way numbers were compared: the value must be at least, or at most, the limit.
    ``sections`` are edition and section of every edition whose text is known here; empty for other codes.
    """

    rule: str
    subject: str
    question: str
    inputs: tuple[Given, ...] = ()
    working: tuple[Step, ...] = ()
    value: Quantity | None = None
    limit: Quantity | None = None
    margin: Quantity | None = None
    verdict: Verdict
    reason: str
    citation: Citation
    advice: bool = False
    answered: str | None = None
    at_least: bool | None = None
    sections: tuple[tuple[int, str], ...] = ()
