"""What two records tell differently, fact by fact: found by their structure alone, without a word for people."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import count
from typing import Any

from handover.checks.result import CheckResult
from handover.record.facts import Fact, Part
from handover.record.record import Record

# By what an entry of a list is known again: the first of these sets of fields that all entries have.  Entries without
# one are matched by their place in the list.
_KNOWN_BY: tuple[tuple[str, ...], ...] = (
    ("code",), ("file",), ("spaces",), ("rule", "subject"), ("rule",), ("of", "terminal"), ("kind", "at"),
    ("of", "kind", "between"), ("name",), ("point",), ("role",), ("what", "place"), ("what",), ("kind",),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Entry:
    """An entry of a list on the way to a fact, as it is now (as it was, where it is gone), and its number there."""

    part: Part
    number: int


@dataclass(frozen=True, slots=True)
class Difference:
    """One fact that differs.  ``way`` leads to it from the record: names of fields, and entries of lists.

    ``before`` is None where there was nothing and ``after`` where there is nothing: an entry added, or taken out.
    """

    way: tuple[str | Entry, ...]
    before: Any
    after: Any


def differences(before: Record, after: Record) -> Iterator[Difference]:
    """Every fact that the two records tell differently, in the order of the record.

    The list of revisions is left out: that it grew is what makes a revision.
    """
    for name in Record.model_fields:
        if name != "revisions":
            yield from _compared((name,), getattr(before, name), getattr(after, name))


def verdict_changes(
    before: tuple[CheckResult, ...], after: tuple[CheckResult, ...]
) -> Iterator[tuple[CheckResult, CheckResult]]:
    """The results of one rule about one thing that came out otherwise, in report order."""
    earlier = {(result.rule, result.subject): result for result in before}
    for result in after:
        was = earlier.get((result.rule, result.subject))
        if was is not None and (was.verdict, was.answered is None) != (result.verdict, result.answered is None):
            yield was, result


def _compared(way: tuple[str | Entry, ...], before: Any, after: Any) -> Iterator[Difference]:
    if isinstance(before, Part) and isinstance(after, Part):
        for name in dict.fromkeys((*type(before).model_fields, *type(after).model_fields)):
            yield from _compared((*way, name), getattr(before, name, None), getattr(after, name, None))
    elif _is_list(before) and _is_list(after) and any(isinstance(item, Part) for item in (*before, *after)):
        for was, now in _matched(before, after):
            entry = now or was
            if entry is None:
                continue
            if was is None or now is None:
                yield Difference((*way, entry), was.part if was else None, now.part if now else None)
            else:
                yield from _compared((*way, entry), was.part, now.part)
    elif not _same(before, after):
        yield Difference(way, before, after)


def _is_list(value: Any) -> bool:
    return isinstance(value, tuple)


def _same(one: Any, other: Any) -> bool:
    """Whether two values say the same.  Where they are written, and how, says nothing."""
    if isinstance(one, Part) and isinstance(other, Part):
        return not any(True for _ in _compared((), one, other))
    if isinstance(one, Fact) and isinstance(other, Fact):
        return (one.basis, one.note) == (other.basis, other.note) and _same(one.value, other.value)
    return bool(one == other)


def _matched(before: tuple[Part, ...], after: tuple[Part, ...]) -> Iterator[tuple[Entry | None, Entry | None]]:
    """The entries of both lists in pairs, in the order of the later list; one that is gone comes at the end."""
    was = [Entry(part, number) for number, part in enumerate(before, 1)]
    now = [Entry(part, number) for number, part in enumerate(after, 1)]
    every = [entry.part for entry in (*was, *now)]
    names = next((names for names in _KNOWN_BY if all(_has(part, names) for part in every)), None)
    if names is None:
        yield from _matched_by_place(was, now)
        return
    earlier, later = _by_key(was, names), _by_key(now, names)
    yield from ((earlier.get(key), entry) for key, entry in later.items())
    yield from ((entry, None) for key, entry in earlier.items() if key not in later)


def _has(part: Part, names: tuple[str, ...]) -> bool:
    """Whether an entry has all these fields and says something in the first of them."""
    return all(name in type(part).model_fields for name in names) and bool(getattr(part, names[0]))


def _by_key(entries: list[Entry], names: tuple[str, ...]) -> dict[tuple[str, ...], Entry]:
    """The entries by the values of the named fields; of several with the same, each also by how many came before."""
    found: dict[tuple[str, ...], Entry] = {}
    for entry in entries:
        key = tuple(str(getattr(entry.part, name)) for name in names)
        found[next((*key, str(place)) for place in count() if (*key, str(place)) not in found)] = entry
    return found


def _matched_by_place(was: list[Entry], now: list[Entry]) -> Iterator[tuple[Entry | None, Entry | None]]:
    """Entries alike in both lists keep together; between them the first goes with the first, and so on."""
    seen: list[Part] = []

    def alike(part: Part) -> int:
        """A number that all entries alike have in common."""
        for number, other in enumerate(seen):
            if type(part) is type(other) and _same(part, other):
                return number
        seen.append(part)
        return len(seen) - 1

    before, after = ([alike(entry.part) for entry in entries] for entries in (was, now))
    for kind, one, one_end, other, other_end in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if kind == "equal":
            continue
        pairs = min(one_end - one, other_end - other)
        yield from zip(was[one : one + pairs], now[other : other + pairs], strict=True)
        yield from ((None, entry) for entry in now[other + pairs : other_end])
        yield from ((entry, None) for entry in was[one + pairs : one_end])
