"""One question being worked out: gathers facts, table rows and steps, and closes with a result.

Rules read like the trade's own working::

    @rule("continuous_load", "Can the breaker carry the load for hours?")
    def continuous_load(job: JobUnderCheck) -> Iterator[CheckResult]:
        for circuit in job.record.circuits:
            case = job.case(continuous_load, circuit.code, section={2020: "210.20(A)", 2023: "210.20(A)"})
            with case:
                load = case.fact("I", "load", circuit.load)          # a missing fact closes the case as undecided
                ...
                case.compare(value=rating, limit=needed, at_least=True)
            yield case.result
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from types import TracebackType
from typing import Any, TypeVar

from handover.checks.result import CheckResult, Citation, Given, Step, Verdict
from handover.record.facts import Fact
from handover.record.installation import Installation
from handover.record.people import ALIKE_EDITIONS
from handover.record.record import Record
from handover.tables.reader import Looked, NoRow
from handover.units import Quantity, magnitude_like, show, ureg

T = TypeVar("T")
Sections = Mapping[int, str]
SECTION_UNKNOWN = "section not confirmed"
"""What a citation says where the text of the edition at hand is not confirmed here."""


class Undecided(Exception):
    """Ends a case: something has to be found out, or judged by a person, first.  The message says what."""


class NotApplicable(Exception):
    """Ends a case: the rule does not concern this thing.  The message says why."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its stable id, the question it answers in plain words, and the function that answers it."""

    id: str
    question: str
    answer: Callable[[JobUnderCheck], Iterable[CheckResult]]
    advice: bool = False

    def __call__(self, job: JobUnderCheck) -> Iterable[CheckResult]:
        """The rule's results about the job."""
        return self.answer(job)


def rule(
    id: str, question: str, *, advice: bool = False
) -> Callable[[Callable[[JobUnderCheck], Iterable[CheckResult]]], Rule]:
    """Make a function a rule.  The id is what ``answers`` and ``amendments`` in a record name: never rename one."""
    return lambda answer: Rule(id, question, answer, advice)


@dataclass(frozen=True)
class JobUnderCheck:
    """What every rule is handed: the record, its look-ups, and the edition to check against."""

    record: Record
    edition: int
    code: str = "NEC"
    installation: Installation = field(init=False)
    remembered: dict[tuple[str, str], Any] = field(init=False, default_factory=dict, repr=False, compare=False)
    """What several rules ask for and one worked out, by what it is and of which code."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "installation", Installation(self.record))

    def results_of(self, rule: Rule) -> tuple[CheckResult, ...]:
        """A rule's results about this job, worked out once however often they are asked for."""
        key = "results", rule.id
        if key not in self.remembered:
            self.remembered[key] = tuple(rule(self))
        found: tuple[CheckResult, ...] = self.remembered[key]
        return found

    def case(
        self, of: Rule, subject: str, *, section: Sections | str, code: str | None = None, advice: bool | None = None
    ) -> Case:
        """A new case of a rule about ``subject`` (a code of the record, or ``P1/14/16``).

        ``section`` is the section by edition, or one text where the editions from 2017 to 2023 agree.  A section
        missing for the edition at hand closes the case as undecided: a number is never guessed.  The 2026 edition
        has one only where its text was seen quoted; a rule of another ``code`` does not depend on the edition.
        ``advice`` makes this one case advice, or not, whatever the rule is.
        """
        return Case(of, subject, self, section=section, code=code, advice=advice)


class Case:
    """A question on its way to a result.  Use as a context manager; read ``result`` afterwards."""

    def __init__(
        self,
        of: Rule,
        subject: str,
        job: JobUnderCheck,
        *,
        section: Sections | str,
        code: str | None,
        advice: bool | None,
    ) -> None:
        self.rule = of
        self.subject = subject
        self.job = job
        self._advice = of.advice if advice is None else advice
        self._code = code or job.code
        self._by_edition = self._code == job.code
        self._section = dict.fromkeys(ALIKE_EDITIONS, section) if isinstance(section, str) else dict(section)
        self._elsewhere = section if isinstance(section, str) else ""
        self._about = ""
        self._inputs: list[Given] = []
        self._steps: list[Step] = []
        self._value: Quantity | None = None
        self._limit: Quantity | None = None
        self._margin: Quantity | None = None
        self._at_least: bool | None = None
        self._verdict: Verdict | None = None
        self._reason = ""

    def __enter__(self) -> Case:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> bool:
        if isinstance(error, NoRow):
            self._close(Verdict.UNDECIDED, f"{error} Mend the record where it is wrong; else judge it by hand.")
            return True
        if isinstance(error, Undecided):
            self._close(Verdict.UNDECIDED, str(error))
            return True
        if isinstance(error, NotApplicable):
            self._close(Verdict.NOT_APPLICABLE, str(error))
            return True
        return False

    @contextmanager
    def about(self, code: str) -> Iterator[None]:
        """Within it, what is noted is said to be of ``code``: for a sum over several things, each with its working."""
        before, self._about = self._about, code
        try:
            yield
        finally:
            self._about = before

    def _named(self, text: str) -> str:
        """A meaning or formula with what it is about, where it does not name that itself."""
        return text if not self._about or self._about in text.split() else f"{self._about}: {text}"

    def fact(self, symbol: str, meaning: str, fact: Fact[T]) -> T:
        """The value of a recorded fact, noted as an input.  A fact without a value ends the case as undecided."""
        source = str(fact.place) if fact.place.file else "not in the record"
        named = self._named(meaning)
        self._note_input(Given(symbol=symbol, meaning=named, value=str(fact), source=source, basis=str(fact.basis)))
        if fact.value is None:
            raise Undecided(f"{meaning}: {fact.basis}. Find it out and write it in the record.")
        return fact.value

    def given(self, symbol: str, meaning: str, value: object, source: str) -> None:
        """Note an input that is no ``Fact``: a count, a plain field, a number the rule itself states (say whose)."""
        if isinstance(value, ureg.Quantity):
            shown = show(value)
        else:
            shown = "yes" if value is True else "no" if value is False else str(value)
        self._note_input(Given(symbol=symbol, meaning=self._named(meaning), value=shown, source=source))

    def _note_input(self, given: Given) -> None:
        if given not in self._inputs:  # a fact used at two steps is told once
            self._inputs.append(given)

    def looked(self, symbol: str, meaning: str, looked: Looked[T]) -> T:
        """A value looked up in a table, noted with table and row."""
        self.given(symbol, meaning, looked.value, looked.source)
        return looked.value

    def step(self, formula: str, numbers: str, value: Quantity | str) -> None:
        """Note one step of the working."""
        self._steps.append(
            Step(formula=self._named(formula), numbers=numbers, value=value if isinstance(value, str) else show(value))
        )

    def compare(self, *, value: Quantity, limit: Quantity, at_least: bool, reason: str = "") -> None:
        """Close by comparing unrounded numbers: pass where ``value`` is at least (or at most) ``limit``."""
        bound = magnitude_like(limit, value)
        number = float(value.magnitude)
        margin = number - bound if at_least else bound - number
        self._value, self._at_least = value, at_least
        self._limit, self._margin = ureg.Quantity(bound, value.units), ureg.Quantity(margin, value.units)
        # Numbers that differ only by the last bits of binary arithmetic are equal: 1.25 x 32 A is 40 A.
        good = margin >= -1e-9 * max(1.0, abs(bound))
        relation = (
            ("is at least" if good else "is less than") if at_least else ("is within" if good else "is more than")
        )
        self._close(Verdict.PASS if good else Verdict.FAIL, reason or f"{show(value)} {relation} {show(limit)}.")

    def holds(self, good: bool, reason: str) -> None:
        """Close on a yes-or-no matter: pass where ``good``."""
        self._close(Verdict.PASS if good else Verdict.FAIL, reason)

    def _close(self, verdict: Verdict, reason: str) -> None:
        if self._verdict is not None:
            raise RuntimeError(f"{self.rule.id} about {self.subject} was closed twice")
        self._verdict, self._reason = verdict, reason

    @property
    def result(self) -> CheckResult:
        """The finished result.  A case that was never closed is a fault of the rule."""
        if self._verdict is None:
            raise RuntimeError(f"{self.rule.id} about {self.subject} was never closed")
        verdict, reason = self._verdict, self._reason
        section = self._section.get(self.job.edition, SECTION_UNKNOWN) if self._by_edition else self._elsewhere
        if self._by_edition and self.job.edition not in self._section and verdict is not Verdict.NOT_APPLICABLE:
            told = "Also" if verdict is Verdict.UNDECIDED else "By the last text that was"
            verdict = Verdict.UNDECIDED
            unread = f"The {self.job.edition} text of this rule is not confirmed here; read it in the adopted book."
            reason = f"{unread} {told}: {reason}"
        edition = str(self.job.edition) if self._by_edition else ""
        return CheckResult(
            rule=self.rule.id,
            subject=self.subject,
            question=self.rule.question,
            inputs=tuple(self._inputs),
            working=tuple(self._steps),
            value=self._value,
            limit=self._limit,
            margin=self._margin,
            at_least=self._at_least,
            verdict=verdict,
            reason=reason,
            citation=Citation(code=self._code, edition=edition, section=section),
            advice=self._advice,
            sections=tuple(self._section.items()) if self._by_edition else (),
        )
