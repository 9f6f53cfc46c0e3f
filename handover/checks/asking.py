"""Questions that only a person can answer, and how a rule says that it speaks from memory."""

from __future__ import annotations

from handover.checks.case import Case, Undecided
from handover.record.facts import Fact

FROM_MEMORY = ", from memory"
"""Added to a section that was written down from memory and not yet read back in the book."""


def confirmed(case: Case, question: str) -> bool:
    """The recorded answer to ``question`` for this case's rule and subject, noted as an input.

    Ends the case as undecided, with the question, where the record holds no answer.
    """
    for said in case.job.record.confirmed:
        if (said.rule, said.subject) == (case.rule.id, case.subject):
            case.given("", question, "yes" if said.answer else "no", str(said.written_at) or "the record")
            return said.answer
    raise Undecided(
        f"{question} Only a person on the spot can say. Look, then record the answer under confirmed: "
        f"rule {case.rule.id}, subject {case.subject}."
    )


def ask(case: Case, question: str) -> None:
    """Close the case by the recorded answer to ``question``: yes passes, no fails, no answer is undecided."""
    good = confirmed(case, question)
    how = next(
        said.how
        for said in case.job.record.confirmed
        if (said.rule, said.subject) == (case.rule.id, case.subject) and said.answer is good
    )
    case.holds(good, f"{question} The contractor's answer: {'yes' if good else 'no'}. {how}")


def fails_unless(case: Case, reason: str, exception: str) -> None:
    """Close the case as failed, unless the record confirms that an exception of the text holds.

    ``exception`` is a question whose yes means so.  Without an answer the text itself decides: nobody is asked.
    """
    for said in case.job.record.confirmed:
        if (said.rule, said.subject) == (case.rule.id, case.subject) and said.answer:
            ask(case, exception)
            return
    case.holds(False, f"{reason} Only where the record confirms it would an exception count: {exception}")


def written(case: Case, symbol: str, meaning: str, fact: Fact[str]) -> str:
    """The words of a recorded fact, noted only as being there: results quote no free text of a record."""
    noted: Fact[str] = Fact(fact.value, fact.basis, "written in the record", place=fact.place)
    return case.fact(symbol, meaning, noted)
