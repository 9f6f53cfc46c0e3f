"""Codes: each used once, and each reference to one naming a thing of the right kind."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from handover.problems import Place, Problem, nearest
from handover.record.facts import Part
from handover.record.record import Record
from handover.record.said import about, seen_from, slot_spoken_of, spoken_of

# Every list whose entries may have a code, and what an entry is called.
_KINDS = {
    "panels": "panel", "sources": "source", "transfers": "transfer equipment", "feeders": "feeder",
    "circuits": "circuit", "runs": "run", "boxes": "box", "equipment": "equipment", "instruments": "instrument",
    "findings": "finding", "unknowns": "unknown", "reminders": "reminder", "retired_codes": "retired code",
}  # fmt: skip

_ON_A_BREAKER = ("circuits", "feeders", "sources", "transfers")
_WIRED = ("panels", "sources", "transfers", "feeders", "circuits", "equipment", "boxes", "runs")
_AT_A_STEP = ("panels", "boxes", "equipment", "sources", "transfers")
_WITH_PAGES = ("panels", "sources", "transfers", "feeders", "circuits", "runs", "boxes", "equipment")
_ANYTHING = tuple(group for group in _KINDS if group not in ("reminders", "retired_codes"))


@dataclass(frozen=True, slots=True)
class _Coded:
    code: str
    group: str
    where: str
    place: Place


@dataclass(frozen=True, slots=True)
class _Reference:
    """A code written somewhere, and the lists it may be found in."""

    part: Part
    key: str
    where: str
    code: str
    groups: tuple[str, ...]


def code_problems(record: Record) -> list[Problem]:
    """Codes used twice, and references to nothing or to a thing of the wrong kind."""
    coded = list(_coded(record))
    by_code: dict[str, _Coded] = {}
    for each in coded:
        by_code.setdefault(each.code, each)
    problems = list(_used_twice(coded, by_code))
    for reference in _references(record):
        problem = _wrong_reference(reference, by_code)
        if problem is not None:
            problems.append(problem)
    return problems


def _coded(record: Record) -> Iterator[_Coded]:
    for group in _KINDS:
        for number, part in enumerate(getattr(record, group)):
            if part.code is not None:
                yield _Coded(part.code, group, spoken_of(group, part, number), part.place_of("code"))


def kinds_of_codes(record: Record) -> dict[str, tuple[str, Place]]:
    """What each code of the record names (``circuit``, ``retired code``), and where it is written."""
    return {each.code: (_KINDS[each.group], each.place) for each in _coded(record)}


def _used_twice(coded: Iterable[_Coded], by_code: dict[str, _Coded]) -> Iterator[Problem]:
    for each in coded:
        first = by_code[each.code]
        if each is not first:
            if "retired_codes" in (each.group, first.group):
                remedy = "A code that stood on an earlier label is never used again; give the new thing another."
            else:
                remedy = "Give each thing a code of its own."
            what = f'the code "{each.code}" is already used ({first.where}, {seen_from(each.place, first.place)})'
            yield Problem(each.place, f"{each.where}, code", what, remedy)


def _wrong_reference(reference: _Reference, by_code: dict[str, _Coded]) -> Problem | None:
    found = by_code.get(reference.code)
    if found is not None and found.group in reference.groups:
        return None
    wanted = _either([_KINDS[group] for group in reference.groups])
    known = [each.code for each in by_code.values() if each.group in reference.groups]
    if found is not None:
        what = f'"{reference.code}" is {with_article(_KINDS[found.group])}; {wanted} belongs here'
    else:
        what = f'nothing in this record has the code "{reference.code}"'
    return about(reference.part, reference.key, reference.where, what, _offer(reference, known, wanted))


def _offer(reference: _Reference, known: list[str], wanted: str) -> str:
    if not known:
        return f"Add it under  {reference.groups[0]}: , or correct the code."
    near = nearest(reference.code, known)
    hint = f"Did you mean  {near} ?  " if near else ""
    return f"{hint}Write the code of {wanted}: {', '.join(known[:12])}{' ...' if len(known) > 12 else '.'}"


def with_article(noun: str) -> str:
    """A kind of thing as a sentence names it: ``a circuit``, ``an instrument``, ``equipment``."""
    if noun in ("equipment", "transfer equipment"):
        return noun
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _either(nouns: list[str]) -> str:
    if len(nouns) > 5:
        return "a thing"
    *most, last = [with_article(noun) for noun in nouns]
    return f"{', '.join(most)} or {last}" if most else last


def _references(record: Record) -> Iterator[_Reference]:
    yield _Reference(record.service, "at", "service", record.service.at, ("panels",))
    for panel in record.panels:
        for slot in panel.slots:
            if slot.feeds is not None:
                yield _Reference(slot, "feeds", slot_spoken_of(panel, slot), slot.feeds, _ON_A_BREAKER)
    for group, key, groups in (
        ("transfers", "source", ("sources",)),
        ("transfers", "feeds", ("panels",)),
        ("feeders", "to", ("panels",)),
        ("feeders", "runs", ("runs",)),
        ("circuits", "runs", ("runs",)),
        ("circuits", "multiwire_with", ("circuits",)),
        ("equipment", "circuit", ("circuits",)),
        ("readings", "of", _WIRED),
        ("readings", "load_of", ("feeders", "circuits")),
        ("readings", "instrument", ("instruments",)),
        ("torques", "of", _WIRED),
        ("torques", "tool", ("instruments",)),
        ("materials", "for_code", _ANYTHING),
        ("photos", "of", _ANYTHING),
        ("markings", "at", _ANYTHING),
        ("findings", "of", _ANYTHING),
        ("unknowns", "of", _ANYTHING),
        ("retired_codes", "instead", _WITH_PAGES),
    ):
        for number, part in enumerate(getattr(record, group)):
            yield from _written_codes(part, key, spoken_of(group, part, number), groups)
    for number, run in enumerate(record.runs):
        for position, step in enumerate(run.path):
            where = f"{spoken_of('runs', run, number)}, path entry {position + 1} ({step.step})"
            yield from _written_codes(step, "box", where, ("boxes",))
            yield from _written_codes(step, "code", where, _AT_A_STEP)
    if record.service_load is not None and record.service_load.energy_management is not None:
        where = "service_load, energy_management"
        yield from _written_codes(record.service_load.energy_management, "feeder", where, ("feeders",))


def _written_codes(part: Part, key: str, where: str, groups: tuple[str, ...]) -> Iterator[_Reference]:
    written = getattr(part, key)
    for code in (written,) if isinstance(written, str) else written or ():
        yield _Reference(part, key, where, code, groups)
