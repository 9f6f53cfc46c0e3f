"""Problems about pieces of a record, placed on the line of the key concerned."""

from __future__ import annotations

from handover.problems import Place, Problem
from handover.record.facts import Part
from handover.record.supply import Panel, Slot


def about(part: Part, key: str, where: str, what: str, remedy: str) -> Problem:
    """A problem with one key of a part: ``where`` names the part, and the key is added to it."""
    return Problem(part.place_of(key), f"{where}, {key}", what, remedy)


def spoken_of(group: str, part: Part, number: int) -> str:
    """``circuits C1 "Car charger"``: the list a part stands in, and how the part is known there."""
    code, name = getattr(part, "code", None), getattr(part, "name", None) or getattr(part, "file", None)
    told = " ".join(each for each in (code, f'"{name}"' if name else "") if each)
    return f"{group} {told or f'entry {number + 1}'}"


def slot_spoken_of(panel: Panel, slot: Slot) -> str:
    """``panels P1 "Main panel", slots at space 14/16``."""
    at = f"at space {spaces_of(slot)}" if slot.spaces else "without a space"
    return f"{spoken_of('panels', panel, 0)}, slots {at}"


def spaces_of(slot: Slot) -> str:
    """``14/16``."""
    return "/".join(str(space) for space in slot.spaces)


def seen_from(place: Place, other: Place) -> str:
    """``line 12``, or ``supply.yaml:12`` where ``other`` is in another file than ``place``."""
    return f"line {other.line}" if place.file == other.file else str(other)
