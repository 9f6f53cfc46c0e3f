"""The record's evidence: readings, torque, materials, photos, what was found, stayed unknown or was not checked."""

from __future__ import annotations

from typing import Annotated, Literal

from handover.record.facts import (
    NOT_RECORDED,
    Amperes,
    Code,
    Date,
    Fact,
    Number,
    Ohms,
    Owner,
    Part,
    Posted,
    Text,
    Torque,
    Volts,
    Whole,
    Words,
    Written,
    YesNo,
)
from handover.units import Quantity, UnitProblem, read_quantity


def _read_seconds(text: str) -> Quantity:
    value = read_quantity(text, "second", "0.02 s")
    if value.magnitude < 0:
        raise UnitProblem(f'"{text}" is out of range', "Check the number; it should look like: 0.02 s")
    return value


Seconds = Annotated[Quantity, Written(_read_seconds, "0.02 s")]


class Instrument(Part):
    """A test instrument or torque tool."""

    code: Posted[Code]
    name: Posted[Words]
    serial: Owner[Fact[Words]] = NOT_RECORDED
    calibrated: Posted[Fact[Date]] = NOT_RECORDED


class Reading(Part):
    """One test reading.  ``of`` is the code of a panel, circuit, feeder, source or equipment.

    Fill in the one value that the ``kind`` asks for: ``volts``, ``ohms``, ``amperes``, ``trip_current`` or ``result``.
    A voltage may say with ``load_current`` what flowed meanwhile, in the circuit or feeder ``load_of`` (by default the
    one measured).  A GFCI test at a fixed current says it as ``test_current``, and how long the trip took.
    """

    of: Posted[Code]
    kind: Posted[
        Literal["voltage line to line", "voltage line to neutral", "voltage neutral to ground", "insulation resistance",
                "ground continuity", "ground-fault loop impedance", "GFCI trip", "AFCI test", "polarity",
                "current in use", "transfer test", "ground resistance"]
    ]  # fmt: skip
    between: Posted[Words | None] = None
    volts: Posted[Fact[Volts]] = NOT_RECORDED
    ohms: Posted[Fact[Ohms]] = NOT_RECORDED
    amperes: Posted[Fact[Amperes]] = NOT_RECORDED
    load_current: Posted[Fact[Amperes]] = NOT_RECORDED
    load_of: Posted[Code | None] = None
    trip_current: Posted[Fact[Amperes]] = NOT_RECORDED
    test_current: Posted[Fact[Amperes]] = NOT_RECORDED
    trip_time: Posted[Fact[Seconds]] = NOT_RECORDED
    result: Posted[Fact[Literal["as expected", "not as expected"]]] = NOT_RECORDED
    test_volts: Posted[Fact[Volts]] = NOT_RECORDED
    beyond_range: Posted[YesNo] = False
    conditions: Posted[Words | None] = None
    instrument: Posted[Code | None] = None
    date: Posted[Date | None] = None
    by: Posted[Words | None] = None


class TorqueRecord(Part):
    """One terminal tightened: what its maker asks, what was applied, with which tool."""

    of: Posted[Code]
    terminal: Posted[Words]
    required: Posted[Fact[Torque]] = NOT_RECORDED
    applied: Posted[Fact[Torque]] = NOT_RECORDED
    tool: Posted[Code | None] = None
    source: Posted[Words | None] = None


class MaterialItem(Part):
    """A thing that was fitted or left as a spare."""

    what: Posted[Words]
    quantity: Posted[Words]
    part_number: Posted[Words | None] = None
    for_code: Posted[Code | None] = None
    warranty_until: Posted[Fact[Date]] = NOT_RECORDED
    warranty_claim: Posted[Text | None] = None
    bought_from: Owner[Words | None] = None


class PhotoMark(Part):
    """A numbered ring or arrow drawn on a copy of a photo.

    ``x`` and ``y`` run from 0 to 1, from the top left of the upright picture: a ring's middle, an arrow's tip.
    ``size`` is a ring's diameter or an arrow's length, as a share of the picture's longer side.
    """

    kind: Posted[Literal["ring", "arrow"]]
    x: Posted[Number]
    y: Posted[Number]
    size: Posted[Number] = 0.08
    says: Posted[Words]


class Photo(Part):
    """A picture in ``photos/``.  ``alt`` says what it shows to somebody who cannot see it."""

    file: Posted[Words]
    alt: Posted[Text]
    caption: Posted[Text]
    of: Posted[tuple[Code, ...]] = ()
    place: Posted[Words | None] = None
    looking: Posted[Words | None] = None
    taken: Posted[Date | None] = None
    marks: Posted[tuple[PhotoMark, ...]] = ()
    owner_only: Posted[YesNo] = False
    scale: Posted[Words | None] = None


class Marking(Part):
    """A marking, sign or label on the installation: which one, at what, and the photo or note that shows it.

    ``there: no`` says that somebody looked for it and did not find it.
    """

    kind: Posted[
        Literal["service disconnect", "purpose of disconnect", "do not relocate", "sum of breakers", "other sources",
                "standby source", "generator inlet", "charger rating", "no equipment ground"]
    ]  # fmt: skip
    at: Posted[Code]
    there: Posted[YesNo] = True
    photo: Posted[Words | None] = None
    note: Posted[Text | None] = None


class Finding(Part):
    """Something that was there before this job: what was seen, the risk, and the advice given."""

    code: Posted[Code | None] = None
    what: Posted[Text]
    place: Posted[Words]
    kind: Posted[
        Literal["wiring of an older kind", "no equipment ground", "aluminum branch wiring", "unexplained cable",
                "damage", "water", "crowding", "directory", "equipment of others", "other"]
    ]  # fmt: skip
    basis: Posted[Literal["observed", "measured", "told by owner", "inferred"]] = "observed"
    risk: Posted[Text | None] = None
    advice: Posted[Text | None] = None
    owner_told: Posted[Fact[Date]] = NOT_RECORDED
    of: Posted[tuple[Code, ...]] = ()


class Unknown(Part):
    """Something that could not be explained, what was tried, and how to treat it meanwhile."""

    code: Posted[Code | None] = None
    what: Posted[Text]
    place: Posted[Words]
    tried: Posted[Text]
    treat_as: Posted[Text]
    of: Posted[tuple[Code, ...]] = ()


class NotChecked(Part):
    """A limit of the work: what was not looked at or tested, and why."""

    what: Posted[Text]
    why: Posted[Text]


class Advice(Part):
    """A recommendation and what the owner decided."""

    what: Posted[Text]
    why: Posted[Text]
    decision: Posted[Literal["accepted", "declined", "not decided"]]
    decided_on: Posted[Date | None] = None
    decided_by: Owner[Words | None] = None


class ReminderSetting(Part):
    """A reminder the contractor adds: for things this tool's own list does not know."""

    code: Posted[Code]
    what: Posted[Words]
    how: Posted[Text]
    who: Posted[Literal["you", "an electrician", "the equipment's service company"]]
    every_months: Posted[Whole]
    first: Posted[Date]


class Confirmed(Part):
    """A question only a person can answer, answered: ``rule`` and ``subject`` as ``handover check`` prints them."""

    rule: Posted[Words]
    subject: Posted[Words]
    answer: Posted[YesNo]
    how: Posted[Text]
