"""The record's administration: the job, who did it, for whom, under which permit and code."""

from __future__ import annotations

from typing import Literal

from handover.record.facts import NOT_RECORDED, Code, Date, Fact, Owner, Part, Posted, Text, Whole, Words, YesNo

ALIKE_EDITIONS = (2017, 2020, 2023)
"""The editions in which a section given without edition reads alike."""
EDITIONS = (*ALIKE_EDITIONS, 2026)
"""The editions of the NEC that the rules and tables here are for.  Of 2026 only what was seen quoted is decided."""


class Dates(Part):
    """When the stages of the work were done."""

    rough_in: Posted[Date | None] = None
    covered: Posted[Date | None] = None
    energized: Posted[Date | None] = None
    finished: Posted[Date]


class Job(Part):
    """What this record is about.  ``pack`` is the secret part of its address, made once by ``handover new``.

    ``text_codes``: whether each label gets a second one, whose code holds the essentials as text.
    """

    title: Posted[Words]
    kind: Posted[Literal["car-charger circuit", "feeder and sub-panel", "heat-pump circuit", "other"]]
    number: Posted[Words]
    pack: Posted[Words]
    publish_at: Posted[Words]
    summary: Posted[Text]
    covers: Posted[tuple[Text, ...]] = ()
    does_not_cover: Posted[tuple[Text, ...]] = ()
    dates: Posted[Dates]
    text_codes: Posted[YesNo] = False


class Revision(Part):
    """One issue of this record: the last one listed is the present one."""

    number: Posted[Whole]
    date: Posted[Date]
    by: Posted[Words]
    what: Posted[Text]


class Licence(Part):
    """The contractor's licence, as a customer can look it up."""

    number: Posted[Words]
    issued_by: Posted[Words]
    kind: Posted[Words | None] = None


class Contractor(Part):
    """The business that did the work.  Its name, licence and phone are public."""

    name: Posted[Words]
    licence: Posted[Licence]
    phone: Posted[Words]
    email: Posted[Words | None] = None
    address: Owner[Text | None] = None
    worker: Owner[Words | None] = None


class Person(Part):
    """A resident or owner: owner edition only."""

    name: Owner[Words]
    phone: Owner[Words | None] = None
    email: Owner[Words | None] = None


class Site(Part):
    """The house.  ``name`` must not give the place away: it is shown to anybody who scans a code."""

    name: Posted[Words]
    building: Posted[Words]
    year_built: Posted[Fact[Whole]] = NOT_RECORDED
    address: Owner[Text | None] = None
    county: Owner[Words | None] = None
    frost_depth: Posted[Words | None] = None
    people: Owner[tuple[Person, ...]] = ()
    consent: Owner[Text | None] = None


class Emergency(Part):
    """Whom to call, and what to switch off outside."""

    call: Posted[Words]
    utility: Posted[Words]
    utility_line: Posted[Words]
    shutoff: Posted[Text]


class Inspection(Part):
    """One visit of the authority having jurisdiction and what came of it."""

    kind: Posted[Words]
    date: Posted[Fact[Date]] = NOT_RECORDED
    result: Posted[Fact[Words]] = NOT_RECORDED
    note: Owner[Text | None] = None


class Permit(Part):
    """The permit.  Its number leads to the address in public records, so it stays off the posted edition."""

    number: Owner[Fact[Words]] = NOT_RECORDED
    authority: Owner[Words]
    issued: Posted[Fact[Date]] = NOT_RECORDED
    inspections: Posted[tuple[Inspection, ...]] = ()
    departures: Owner[tuple[Text, ...]] = ()


class Amendment(Part):
    """A local change of one rule: ``rule`` is the rule's id as ``handover check`` prints it."""

    rule: Posted[Words]
    effect: Posted[Literal["stricter", "relaxed", "deleted"]]
    limit: Posted[Words | None] = None
    reference: Posted[Words]
    text: Posted[Text]


class AdoptedCode(Part):
    """The code in force at the site for this permit."""

    name: Posted[Literal["NEC"]]
    edition: Posted[Whole]
    adopted_by: Owner[Words | None] = None
    amendments: Posted[tuple[Amendment, ...]] = ()


class Answer(Part):
    """The contractor's answer to a check that fails: shown openly beside the result, with the name."""

    rule: Posted[Words]
    subject: Posted[Words]
    reason: Posted[Text]
    by: Posted[Words]
    date: Posted[Date]


class CodeNote(Part):
    """A short name that was used on an earlier label and now leads elsewhere.

    ``was`` tells what it named, ``since`` the revision from which on it is gone, ``instead`` the things to look at now.
    """

    code: Posted[Code]
    now: Posted[Text]
    was: Posted[Words | None] = None
    since: Posted[Whole | None] = None
    instead: Posted[tuple[Code, ...]] = ()


class Translation(Part):
    """A text of this record in another language, for the pages in it.  ``text`` is the whole text as it stands here."""

    text: Owner[Text]
    language: Posted[Words] = "es"
    says: Owner[Text]
