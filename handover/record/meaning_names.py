"""Names that would tell a stranger too much: what the code on the wall leads to is for anybody's eyes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handover.problems import Problem
from handover.record.facts import Part
from handover.record.record import Record
from handover.record.said import about, slot_spoken_of, spoken_of

# Whole words that tell about guarding, valuables, or somebody's health.  Our own list; add to it when in doubt,
# for the remedy costs one line.
_TELLING = re.compile(
    r"\b(alarms?|burglar|intruder|sirens?|security|keypads?|cameras?|cctv|surveillance|safes?|vaults?|strongroom"
    r"|guns?|firearms?|ammo|ammunition|jewel(le)?ry|cash|panic room|gates?|routers?|wi-?fi"
    r"|medical|dialysis|oxygen|respirators?|ventilators?|cpap|nebuli[sz]ers?|hospital beds?|patient|nurse|invalid"
    r"|stair ?lifts?|wheelchairs?|infusion|feeding pump)\b",
    re.IGNORECASE,
)
# Alarms that every house has tell nothing.
_HARMLESS = re.compile(r"\b(smokes?|co|carbon monoxide|fire|heat|gas|flood|water)( (and|&) co)?[ /-]+alarms?\b", re.I)


def telling_word(text: str) -> str | None:
    """The word of ``text`` that tells about alarms, safes, cameras or medical equipment; None where there is none."""
    found = _TELLING.search(_HARMLESS.sub(" ", text))
    return found.group() if found else None


def telling_name_problems(record: Record) -> list[Problem]:
    """Names that need a neutral one beside them for the posted edition, and neutral ones that are not neutral."""
    problems: list[Problem] = []
    for group, parts in (("feeders", record.feeders), ("circuits", record.circuits)):
        for number, wiring in enumerate(parts):
            where = spoken_of(group, wiring, number)
            problems.extend(_names(wiring, "name", "name_posted", where))
    for panel in record.panels:
        for slot in panel.slots:
            problems.extend(_names(slot, "says", "says_posted", slot_spoken_of(panel, slot)))
    for number, note in enumerate(record.retired_codes):
        word = telling_word(note.was or "")
        if word is not None:
            what = f'"{word}" tells whoever scans the code about guarding, valuables or health'
            where = spoken_of("retired_codes", note, number)
            problems.append(about(note, "was", where, what, "Name the room or the place instead."))
    return problems


def _names(part: Part, private: str, posted: str, where: str) -> Iterator[Problem]:
    own, neutral = getattr(part, private), getattr(part, posted)
    word = telling_word(neutral if neutral is not None else own or "")
    if word is None:
        return
    key = private if neutral is None else posted
    remedy = (
        f"Add a neutral name for strangers, such as:  {posted}: Hall circuit   (the owner still reads the real one)."
    )
    if neutral is not None:
        remedy = "Name the room or the place instead; the owner still reads the real name."
    what = f'"{word}" tells whoever scans the code about guarding, valuables or health'
    yield Problem(part.place_of(key), f"{where}, {key}", what, remedy)
