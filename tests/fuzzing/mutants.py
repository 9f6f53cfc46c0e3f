"""Inputs for the fuzzers: whole jobs altered in places, as trees and as bytes.  The same number, the same input."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parent.parent.parent
_JOBS = ("demo_property", "tests/other_house", "tests/crowded_house", "tests/small_job")
STRANGE = (
    "", " ", "0", "-1", "1e309", "nan", "inf", ".inf", "-0", "0 A", "-40 A", "1e308 A", "99999999999999999999 A",
    "60", "60 A 60 A", "6 AWG", "0 AWG", "1/0 AWG", "750 kcmil", "0 ft", "-3 ft", "1e9 ft", "1/0 ft", "0 ft 0 in",
    "3-1/0 in", "360°", "-90°", "1e99 °F", "-459.68 °F", "unknown", "not checked", "yes", "no", "null", "~",
    "2026-02-30", "0000-00-00", "9999-12-31", "2026-06-12T00:00", "A" * 5000, "é" * 300, "配电箱", "\U0001f50c" * 50,
    "x\u0301" * 200, "<script>", "{{7*7}}", "{0.__class__}", "%s%n", "../../etc/passwd", "C:\\con", "-->", "]]>",
    "P1", "P1/1", "C1", "$(id)", "a\tb", "=1+1", "&amp;",
)  # fmt: skip


_SIGNS = (
    ": ", "- ", "[", "{", "}", "]", "'", '"', "#", "|", ">", "&a", "*a", "!!x", "\n", "\t", "\r", "---\n", "<<: ", "? ",
    "\u202e", "\ufeff", "\x85", "%YAML 1.1\n",
)  # fmt: skip


@cache
def jobs() -> tuple[dict[str, Any], ...]:
    """The jobs of the project as plain trees, without photos: pictures are another fuzzer's."""
    trees = []
    for folder in _JOBS:
        tree: dict[str, Any] = {}
        for file in sorted((ROOT / folder).glob("*.yaml")):
            tree |= yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        trees.append(_without_photos(tree))
    return tuple(trees)


def _without_photos(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _without_photos(value) for key, value in tree.items() if key not in ("photo", "photos")}
    return [_without_photos(value) for value in tree] if isinstance(tree, list) else tree


def _places(tree: Any, into: list[tuple[Any, Any]]) -> None:
    for key in list(tree) if isinstance(tree, dict) else range(len(tree)):
        into.append((tree, key))
        if isinstance(tree[key], dict | list):
            _places(tree[key], into)


def _copied(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {key: _copied(value) for key, value in tree.items()}
    return [_copied(value) for value in tree] if isinstance(tree, list) else tree


_AMOUNT = re.compile(r"(\d+(?:\.\d+)?)( .+|°)")
_FREE = (
    "name",
    "place",
    "note",
    "says",
    "what",
    "at",
    "behind",
    "where",
    "advice",
    "title",
    "summary",
    "how",
    "reason",
)


def altered_job(number: int) -> bytes:
    """One of the jobs altered in places: every other one so that most are read, the others anyhow."""
    dice = random.Random(number)
    tree = _copied(dice.choice(jobs()))
    alter = _gently if number % 2 else _anyhow
    alter(tree, dice)
    return yaml.safe_dump(tree, allow_unicode=True, sort_keys=False, width=1000).encode()


def _gently(tree: Any, dice: random.Random) -> None:
    """Up to thirty texts become strange, amounts larger or smaller, facts unknown."""
    places: list[tuple[Any, Any]] = []
    _places(tree, places)
    texts = [(holder, key) for holder, key in places if isinstance(holder[key], str) and isinstance(holder, dict)]
    for holder, key in dice.sample(texts, dice.choice([1, 3, 10, 30])):
        amount = _AMOUNT.fullmatch(holder[key])
        if key in _FREE:
            holder[key] = dice.choice([text for text in STRANGE if text.strip() and "\t" not in text])
        elif amount and dice.random() < 0.7:
            holder[key] = f"{float(amount[1]) * dice.choice([0.01, 0.5, 1.3, 7, 100]):g}{amount[2]}"
        elif amount:
            holder[key] = dice.choice(["unknown", "not checked"])


def _anyhow(tree: Any, dice: random.Random) -> None:
    """One to four places left out, doubled, swapped, or holding something strange."""
    for _ in range(dice.choice([1, 1, 1, 2, 2, 3, 4])):
        places: list[tuple[Any, Any]] = []
        _places(tree, places)
        holder, key = dice.choice(places)
        kind = dice.random()
        if kind < 0.25:
            del holder[key]
        elif kind < 0.45:
            other, at = dice.choice([place for place in places if place[1] == key] or places)
            if at in other if isinstance(other, dict) else at < len(other):
                holder[key] = _copied(other[at])
        elif kind < 0.6 and isinstance(holder, list):
            holder.insert(dice.randrange(len(holder) + 1), _copied(holder[key]))
        elif kind < 0.7 and isinstance(holder, list) and len(holder) > 1:
            dice.shuffle(holder)
        elif kind < 0.8:
            holder[key] = dice.choice([[], {}, ["x"], {"value": "unknown"}, {"value": "60 A", "basis": "measured"}])
        else:
            holder[key] = dice.choice(STRANGE)


def altered_bytes(number: int, seeds: tuple[bytes, ...]) -> bytes:
    """A small file with bytes, lines and signs altered: what comes of a bad disk, a bad editor, a bad copy."""
    dice = random.Random(number)
    data = bytearray(dice.choice(seeds))
    for _ in range(dice.choice([1, 1, 2, 4, 8])):
        at = dice.randrange(len(data) + 1)
        kind = dice.random()
        if kind < 0.2:
            data[at : at + 1] = bytes([dice.randrange(256)])
        elif kind < 0.4:
            del data[at : at + dice.choice([1, 1, 2, 7, 40])]
        elif kind < 0.6:
            data[at:at] = dice.choice((*STRANGE, *_SIGNS)).encode()
        elif kind < 0.8:
            other = dice.choice(seeds)
            begin = dice.randrange(len(other) + 1)
            data[at:at] = other[begin : begin + dice.choice([5, 30, 120])]
        else:
            lines = bytes(data).split(b"\n")
            dice.shuffle(lines[dice.randrange(len(lines)) :])
            data = bytearray(b"\n".join(lines + lines[-3:]))
    return bytes(data)


@cache
def seeds() -> tuple[bytes, ...]:
    """Small files that between them hold every key of a record, and every bad job of the tests."""
    found = [
        file.read_bytes()
        for name in ("bad_jobs", "small_job")
        for file in sorted((ROOT / "tests" / name).rglob("*.y*ml"))
    ]
    for tree in jobs():
        found += [
            yaml.safe_dump({key: part}, allow_unicode=True, sort_keys=False).encode()
            for key, value in tree.items()
            for part in _parts(value)
        ]
    return tuple(data for data in dict.fromkeys(found) if len(data) <= 4000)


def _parts(value: Any) -> Iterator[Any]:
    """A section, or each entry of a list of its own: small files make many inputs a second."""
    if isinstance(value, list):
        yield from ([entry] for entry in value)
    else:
        yield value
