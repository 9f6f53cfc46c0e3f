"""Random changes to a whole record, for tests that want every rule to meet every kind of job.

A change keeps the shape that the models ask for: another choice of the same list of choices, a number scaled, a day or
temperature shifted, a yes turned to a no, a fact forgotten or made up, an item left out or written twice.  What comes
out may make no sense as a job, and the reader would refuse some of it; rules must stand it.
"""

from __future__ import annotations

import datetime as dt
import random
import types
from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from handover.record.facts import Basis, Fact, Part, WireSize, Written
from handover.record.record import Record
from handover.units import Quantity

_WIRES = tuple(WireSize(size, "AWG") for size in ("14", "12", "10", "8", "6", "4", "2", "1/0", "4/0"))
_WORDS = ("no", "none", "not known", "no, it has none", "Type 1", "SERVICE DISCONNECT", "a thing")
"""Words that some rule takes for a no, for a device or a marking; and words that say nothing."""
_TRADE_SIZES = ("1/2", "3/4", "1", "1-1/4", "2", "3")
_INSULATIONS = ("NM-B", "TW", "THW", "THHN", "XHHW-2", "bare")
_SCALES = (0.02, 0.5, 0.9, 1.1, 2.0, 20.0)

_JUDGED = (
    "job", "service", "panels", "sources", "transfers", "service_load", "feeders", "circuits", "runs", "boxes",
    "equipment", "instruments", "readings", "torques", "markings", "findings", "confirmed",
)  # fmt: skip
"""The parts of a record that rules look at."""


@cache
def choices_of(annotation: Any) -> tuple[Any, ...]:
    """The choices of a field that takes one of a list, through whatever it is wrapped in; empty for other fields."""
    origin = get_origin(annotation)
    if origin is Literal:
        return get_args(annotation)
    if origin in (Annotated, Union, types.UnionType, Fact):
        for inner in get_args(annotation):
            found = choices_of(inner)
            if found:
                return found
    return ()


@cache
def _written(annotation: Any) -> Written | None:
    """How the value of a fact is written, where it is a number, a date, a size or a yes; None for words and choices."""
    for inner in (annotation, *get_args(annotation)):
        marks = getattr(inner, "__metadata__", ())
        found = next((mark for mark in marks if isinstance(mark, Written)), None)
        if found is None and inner is not annotation:
            found = _written(inner)
        if found is not None:
            return found
    return None


@cache
def _may_be_left_out(annotation: Any) -> bool:
    return annotation is type(None) or any(_may_be_left_out(inner) for inner in get_args(annotation) if inner)


def spoiled(part: Any, chance: float, dice: random.Random) -> Any:
    """``part`` with each of its values changed by ``chance``, all the way down."""
    changed: dict[str, Any] = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if isinstance(value, Part):
            changed[name] = spoiled(value, chance, dice)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            changed[name] = tuple(spoiled(item, chance, dice) for item in _items(value, chance, dice))
            if name == "slots" and dice.random() < 0.3:
                changed[name] = _two_change_places(changed[name], dice)
        elif dice.random() < chance:
            changed[name] = _another(name, value, field.annotation, dice)
    return part.model_copy(update=changed)


def spoiled_in_places(record: Record, dice: random.Random) -> Record:
    """A record in which only a few of its parts are spoiled, so that the rest is known well enough to judge by.

    Now and then one of its lists is left out altogether.
    """
    changed: dict[str, Any] = {}
    for name in dice.sample([name for name in type(record).model_fields if name in _JUDGED], dice.choice((1, 2, 4))):
        value, chance = getattr(record, name), dice.choice((0.02, 0.05, 0.15, 0.4))
        if name not in ("job", "service", "panels") and dice.random() < 0.1:
            changed[name] = () if isinstance(value, tuple) else None
        elif isinstance(value, Part):
            changed[name] = spoiled(value, chance, dice)
        elif value:
            changed[name] = tuple(spoiled(item, chance, dice) for item in _items(value, chance, dice))
    return record.model_copy(update=changed)


def all_there_before(part: Any) -> Any:
    """The same record with nothing new in it: everything was there before, and the job only saw it."""
    changed: dict[str, Any] = {}
    for name in type(part).model_fields:
        value = getattr(part, name)
        if name == "work":
            changed[name] = "existing"
        elif name == "replaced_on_this_job":
            changed[name] = Fact(False, Basis.OBSERVED, "no")
        elif isinstance(value, Part):
            changed[name] = all_there_before(value)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            changed[name] = tuple(all_there_before(item) for item in value)
    return part.model_copy(update=changed)


def _items(items: tuple[Part, ...], chance: float, dice: random.Random) -> Iterator[Part]:
    """The items of a list, some left out and some twice.

    What has a code may be named elsewhere, and the reader refuses a name that leads nowhere, or to two things.
    """
    for item in items:
        if hasattr(item, "code"):
            yield item
        elif dice.random() > chance / 4:
            yield item
            if dice.random() < chance / 4:
                yield item


def _two_change_places(slots: tuple[Any, ...], dice: random.Random) -> tuple[Any, ...]:
    """The slots of a panel with two breakers, or a breaker and a blank plate, each in the spaces of the other."""
    one, other = dice.choice(range(len(slots))), dice.choice(range(len(slots)))
    if len(slots[one].spaces) != len(slots[other].spaces):
        return slots
    moved = list(slots)
    moved[one] = slots[one].model_copy(update={"spaces": slots[other].spaces})
    moved[other] = slots[other].model_copy(update={"spaces": slots[one].spaces})
    return tuple(moved)


def _another(name: str, value: Any, annotation: Any, dice: random.Random) -> Any:
    choices = choices_of(annotation)
    if isinstance(value, Fact):
        words = _INSULATIONS if name == "insulation" else _WORDS
        return _another_fact(value, annotation, words, dice)
    if isinstance(value, bool):
        return not value
    if choices and (value in choices or value is None):
        return dice.choice(choices)
    if isinstance(value, dt.date):
        return value + dt.timedelta(days=dice.choice((-800, -30, 1, 200)))
    if isinstance(value, int):
        return max(1, value + dice.choice((-2, -1, 1, 4)))
    if isinstance(value, tuple) and value and isinstance(value[0], int):
        shift = dice.choice((-12, -2, 1, 2))
        return tuple(number + shift for number in value)  # a breaker in other spaces
    if value is not None and _may_be_left_out(annotation):
        return None
    return value


def _another_fact(fact: Fact[Any], annotation: Any, words: tuple[str, ...], dice: random.Random) -> Fact[Any]:
    choices = choices_of(annotation)
    if fact.value is not None and dice.random() < 0.2:
        return Fact(None, Basis.UNKNOWN)
    if choices:
        return Fact(dice.choice(choices), Basis.OBSERVED, "a choice", place=fact.place)
    written = _written(annotation)
    if isinstance(fact.value, str) or (fact.value is None and written is None):
        made = dice.choice(words if written is None else _TRADE_SIZES)
    elif fact.value is None and written is not None:
        made = _another_value(written.read(written.example), dice)
    else:
        made = _another_value(fact.value, dice)
    return Fact(made, Basis.OBSERVED, "another", place=fact.place)


def _another_value(value: Any, dice: random.Random) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, WireSize):
        return dice.choice(_WIRES)
    if isinstance(value, Quantity) and str(value.units).startswith("degree_"):
        return type(value)(value.magnitude + dice.choice((-30.0, -10.0, 10.0, 40.0)), value.units)
    if isinstance(value, Quantity):
        return value * dice.choice(_SCALES)
    if isinstance(value, dt.date):
        return value + dt.timedelta(days=dice.choice((-800, -30, 1, 200)))
    if isinstance(value, int):
        return max(0, value + dice.choice((-20, -1, 1, 4)))
    if isinstance(value, float):
        return value * dice.choice(_SCALES)
    return value
