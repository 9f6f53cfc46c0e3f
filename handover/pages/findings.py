"""The page of what was found, stayed unknown or was not checked, and how other pages lead to one of these."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from handover.pages.contents import Book, Here
from handover.pages.not_known import left_outs
from handover.pages.shown import date_text, lines, listed, open_facts, plain, said, table
from handover.pages.switching import called
from handover.pages.views import Link, Note, Table
from handover.record.evidence import Finding, Unknown
from handover.record.tracing import tracing
from handover.words import OWN, later, tell


def found_id(item: Finding | Unknown, place: int, kind: str = "finding") -> str:
    """The element id of a finding or unknown: its code, or its place in the record where it has none."""
    return item.code or f"{kind}-{place + 1}"


def found_links(here: Here) -> dict[str, str]:
    """The address of each finding and unknown that has a code."""
    record = here.book.record
    every: tuple[Finding | Unknown, ...] = (*record.findings, *record.unknowns)
    return {item.code: f"{here.to('findings.html')}#{item.code}" for item in every if item.code}


def first_sentence(text: str) -> str:
    """The first sentence of a text, for a list of titles."""
    return re.split(r"(?<=[.!?])\s", " ".join(text.split()), maxsplit=1)[0].rstrip(".")


@dataclass(frozen=True, kw_only=True, slots=True)
class FindingsPage:
    """What was there, what nobody could explain, what nobody looked at, and what was advised."""

    found: tuple[Note, ...]
    unknown: tuple[Note, ...]
    not_checked: tuple[Note, ...]
    advice: tuple[Note, ...]
    open_facts: Table | None
    in_own: Link | None
    """Where the single open facts are told, on the pages of another language."""


def findings_page(here: Here) -> FindingsPage:
    """Found, unknown, not checked, advised: each as loudly as what is known."""
    record = here.book.record
    found = []
    for place, item in enumerate(record.findings):
        told = said(item.owner_told)
        told_line = tell("Owner told: {when}.", when=told.text) if told else ""
        found.append(Note(heading=item.what, id=found_id(item, place), code=item.code or "", lines=lines(
            tell("Where: {place}.", place=item.place),
            tell("Kind: {kind} ({basis}).", kind=tell(item.kind), basis=tell(item.basis)),
            tell("Risk: {risk}", risk=item.risk) if item.risk else "",
            tell("Advice: {advice}", advice=item.advice) if item.advice else "", told_line, _codes(here, item.of),
        )))  # fmt: skip
    facts = [(plain(of), plain(label), shown) for of, label, shown in open_facts(record)]
    facts += [(plain(item.of), plain(item.label), item.said) for item in left_outs(here.book.installation)]
    own = here.book.language == OWN  # they are for workers, and told in their words
    single = later("Single facts that are open")
    return FindingsPage(
        found=tuple(found),
        unknown=tuple(
            Note(heading=item.what, id=found_id(item, place, "unknown"), code=item.code or "", lines=lines(
                tell("Where: {place}.", place=item.place),
                tell("Tried: {tried}", tried=item.tried),
                tell("Until known, treat as: {how}", how=item.treat_as),
                _codes(here, item.of),
            ))
            for place, item in enumerate(record.unknowns)
        ),
        not_checked=(
            *(Note(heading=item.what, lines=(tell("Why: {why}", why=item.why),)) for item in record.not_checked),
            *(Note(heading=card, lines=()) for card in cards_not_traced(here.book)),
        ),
        advice=tuple(
            Note(heading=item.what, lines=lines(
                tell("Why: {why}", why=item.why),
                tell("Owner's decision: {decision}.", decision=", ".join(lines(
                    tell(item.decision), date_text(item.decided_on) if item.decided_on else "", item.decided_by,
                ))),
            ))
            for item in record.advice
        ),
        open_facts=table(
            single, (later("Of"), later("Fact"), later("State")), facts
        ) if facts and own else None,
        in_own=Link(text=single, href=f"{here.from_root('findings.html')}#facts", language=OWN)
        if facts and not own else None,
    )  # fmt: skip


def _codes(here: Here, codes: Iterable[str]) -> str:
    names = [called(here.book, code) for code in codes]
    return tell("Concerns: {things}.", things=listed(names)) if names else ""


def cards_not_traced(book: Book) -> tuple[str, ...]:
    """Of each panel whose entries are doubtful, which are: ``Main panel (P1): 23 entries are copied ...``."""
    return tuple(
        f"{called(book, panel.code)}: {traced}"
        for panel in book.record.panels
        if (traced := tracing(panel).told(listing=True))
    )


def still_open(book: Book) -> tuple[str, ...]:
    """What a buyer is told to be unknown, one thing a line; of what was not checked only how much there is."""
    record = book.record
    unchecked = len(record.not_checked)
    return (
        *(f"Unknown, {item.place}: {first_sentence(item.what)}." for item in record.unknowns),
        *(f"{card}." for card in cards_not_traced(book)),
        *([f'Not checked: {unchecked} more, each named under "Found, unknown, not checked".'] if unchecked else []),
    )
