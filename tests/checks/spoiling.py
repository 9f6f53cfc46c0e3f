"""Random changes to a whole record, for tests that want every rule to meet every kind of job.

A change keeps the shape that the models ask for: another choice of the same list of choices, a number scaled, a yes
turned to a no, a fact forgotten, an item left out.  What comes out may make no sense as a job; rules must stand it.
"""

from __future__ import annotations

import random
import types
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from handover.record.facts import Basis, Fact, Part, WireSize
from handover.units import Quantity

_WIRES = tuple(WireSize(size, "AWG") for size in ("14", "12", "10", "8", "6", "4", "2", "1/0", "4/0"))


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


def spoiled(part: Any, chance: float, dice: random.Random) -> Any:
    """``part`` with each of its values changed by ``chance``, all the way down."""
    changed: dict[str, Any] = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if isinstance(value, Part):
            changed[name] = spoiled(value, chance, dice)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            # What has a code may be named elsewhere, and the reader refuses a name that leads nowhere.
            kept = [item for item in value if hasattr(item, "code") or dice.random() > chance / 4]
            changed[name] = tuple(spoiled(item, chance, dice) for item in kept)
        elif dice.random() < chance:
            changed[name] = _another(value, choices_of(field.annotation), dice)
    return part.model_copy(update=changed)


def _another(value: Any, choices: tuple[Any, ...], dice: random.Random) -> Any:
    if isinstance(value, Fact):
        return _another_fact(value, choices, dice)
    if isinstance(value, bool):
        return not value
    if choices and value in choices:
        return dice.choice(choices)
    return value


def _another_fact(fact: Fact[Any], choices: tuple[Any, ...], dice: random.Random) -> Fact[Any]:
    if fact.value is None:
        return Fact(dice.choice(choices), Basis.OBSERVED, "a choice") if choices else fact
    if dice.random() < 0.2:
        return Fact(None, Basis.UNKNOWN)
    if isinstance(fact.value, bool):
        return Fact(not fact.value, fact.basis, "turned", place=fact.place)
    if isinstance(fact.value, WireSize):
        return Fact(dice.choice(_WIRES), fact.basis, "another size", place=fact.place)
    if isinstance(fact.value, Quantity) and not str(fact.value.units).startswith("degree_"):
        return Fact(
            fact.value * dice.choice((0.1, 0.5, 0.9, 1.1, 1.5, 2.0, 5.0)), fact.basis, "scaled", place=fact.place
        )
    if choices:
        return Fact(dice.choice(choices), fact.basis, "a choice", place=fact.place)
    return fact
