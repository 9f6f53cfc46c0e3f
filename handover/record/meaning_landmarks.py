"""Points found by two distances: the distances must meet, and one pair of features has one distance between them."""

from __future__ import annotations

from collections.abc import Iterator

from handover.problems import Problem
from handover.record.landmarks import Pair, Sighting, agree, meeting, pairs_of, same, slack
from handover.record.record import Record
from handover.record.said import about, seen_from, spoken_of
from handover.record.wiring import Run
from handover.units import magnitude

_AGAIN = "Measure again; until then write  unknown  for the distance in doubt."


def landmark_problems(record: Record) -> list[Problem]:
    """Landmarks that lead nowhere."""
    problems: list[Problem] = []
    for number, run in enumerate(record.runs):
        where = spoken_of("runs", run, number)
        problems.extend(_one_feature(run, where))
        for pair in pairs_of(run):
            problems.extend(_two_lengths(pair, where))
            problems.extend(_apart(pair, where))
    return problems


def _one_feature(run: Run, where: str) -> Iterator[Problem]:
    for number, mark in enumerate(run.landmarks, 1):
        if same(mark.from_first, mark.from_second):
            remedy = "Measure to a second feature that stays; only two together find a point."
            yield about(mark, "from_second", _entry(where, number), "names the first feature again", remedy)


def _two_lengths(pair: Pair, where: str) -> Iterator[Problem]:
    for point in pair.points:
        own = point.landmark.features_apart
        if own.value is None or pair.apart.value is None:
            continue
        lengths = magnitude(own.value, "foot"), magnitude(pair.apart.value, "foot")
        if abs(lengths[0] - lengths[1]) > slack(*lengths):
            seen = seen_from(own.place, pair.apart.place)
            what = f"is {own}, but {pair.apart} at {seen} between the same two features"
            remedy = "Measure again how far the two features are from each other, and write it once."
            yield about(point.landmark, "features_apart", _entry(where, point.number), what, remedy)


def _apart(pair: Pair, where: str) -> Iterator[Problem]:
    known = [point for point in pair.points if point.distances is not None]
    if same(pair.first, pair.second):
        return
    for place, point in enumerate(known):
        what = _wrong(pair, point) if pair.feet is not None else _wrong_beside(known[:place], point)
        if what:
            yield about(point.landmark, "distance_second", _entry(where, point.number), what, _AGAIN)


def _wrong(pair: Pair, point: Sighting) -> str:
    assert point.distances is not None
    if meeting(pair.feet or 0.0, *point.distances) is not None:
        return ""
    return f"the two distances, {point.first} and {point.second}, do not meet: the features are {pair.apart} apart"


def _wrong_beside(others: list[Sighting], point: Sighting) -> str:
    assert point.distances is not None
    for other in others:
        if other.distances is not None and not agree(point.distances, other.distances):
            seen = seen_from(point.landmark.written_at, other.landmark.written_at)
            return f"cannot be so beside the point at {seen}: no distance between the two features fits both points"
    return ""


def _entry(where: str, number: int) -> str:
    return f"{where}, landmarks entry {number}"
