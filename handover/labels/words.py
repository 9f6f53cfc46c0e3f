"""Wording that all labels share: names cut to fit, facts as they stand, breakers, conductors."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handover.record.facts import Fact
from handover.record.installation import Position
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Wiring
from handover.units import show
from handover.words import tell

_LONGEST_NAME = 40


def said(fact: Fact[Any]) -> str:
    """A fact as the label says it: its value, or how it is that there is none."""
    value = fact.value
    if value is None:
        return str(fact)
    return show(value) if hasattr(value, "magnitude") else str(value)


def cut(text: str) -> str:
    """A name that somebody wrote without a thought for labels, cut."""
    return text if len(text) <= _LONGEST_NAME else f"{text[:_LONGEST_NAME].rstrip()}…"


def name(thing: Panel | Source | Transfer) -> str:
    """``P1 Main panel``."""
    return f"{thing.code} {cut(thing.name)}"


def place_of(position: Position) -> str:
    """``P1 Main panel, spaces 14/16``."""
    where = tell("space {number}", number=position.spaces)
    if len(position.slot.spaces) > 1:
        where = tell("spaces {numbers}", numbers=position.spaces)
    return f"{name(position.panel)}, {where}"


def rating(position: Position) -> str:
    """The amperes of the breaker at a position."""
    breaker = position.slot.breaker
    return said(breaker.rating) if breaker is not None else "rating not recorded"


def conductors(wiring: Wiring) -> str:
    """``2 hot + 1 neutral 6 AWG copper XHHW-2, 1 ground 10 AWG copper``: alike ones are named once."""
    alike: dict[str, list[str]] = {}
    for wire in wiring.conductors:
        kind = " ".join((*_if_known(wire.size), said(wire.material), *_if_known(wire.insulation)))
        kind += "" if wire.size.known else f" (size {said(wire.size)})"
        alike.setdefault(kind, []).append(f"{wire.count} {wire.role.removeprefix('equipment ')}")
    told = ", ".join(f"{' + '.join(roles)} {kind}" for kind, roles in alike.items())
    sets = f"{wiring.sets} sets, each " if wiring.sets > 1 else ""
    return sets + told if told else "not recorded"


def _if_known(fact: Fact[Any]) -> Iterator[str]:
    if fact.known:
        yield str(fact.value)
