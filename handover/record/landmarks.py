"""Hidden points found again by two distances: which are measured from the same features, and where the tapes meet.

All lengths are feet.  Seen from above, standing at the first feature and facing the second, ``along`` runs ahead and
``off`` to one side.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt
from typing import Literal

from handover.record.facts import Fact
from handover.record.wiring import Landmark, Run
from handover.units import Quantity, magnitude

Side = Literal["left", "right"]
_INCH = 1 / 12
_LEAST_SLACK = 0.25
_SLACK = 0.01


@dataclass(frozen=True, slots=True)
class Sighting:
    """A landmark as measured from its pair: the fact of each distance in the pair's order, and the side."""

    number: int
    landmark: Landmark
    first: Fact[Quantity]
    second: Fact[Quantity]
    side: Side | None

    @property
    def distances(self) -> tuple[float, float] | None:
        """Both distances, None where one is not known."""
        if self.first.value is None or self.second.value is None:
            return None
        return magnitude(self.first.value, "foot"), magnitude(self.second.value, "foot")


@dataclass(frozen=True, slots=True)
class Pair:
    """Two features that stay, and the points measured from them; ``apart`` is the distance between the two."""

    first: str
    second: str
    apart: Fact[Quantity]
    points: tuple[Sighting, ...]

    @property
    def feet(self) -> float | None:
        """The distance between the features, None where not known."""
        return None if self.apart.value is None else magnitude(self.apart.value, "foot")


def pairs_of(run: Run) -> tuple[Pair, ...]:
    """The landmarks of a run, those measured from the same two features together, in the record's order.

    It does not matter which of the two is named first: a point that names them the other way about is turned.
    """
    pairs: dict[frozenset[str], list[Sighting]] = {}
    for number, mark in enumerate(run.landmarks, 1):
        points = pairs.setdefault(features_of(mark), [])
        turned = bool(points) and same(points[0].landmark.from_first, mark.from_second)
        first, second = mark.distance_first, mark.distance_second
        side = mark.side.value
        if turned:
            first, second = second, first
            side = {"left": "right", "right": "left"}.get(side or "")  # type: ignore[assignment]
        points.append(Sighting(number, mark, first, second, side))
    return tuple(
        Pair(points[0].landmark.from_first, points[0].landmark.from_second, _apart(points), tuple(points))
        for points in pairs.values()
    )


def features_of(mark: Landmark) -> frozenset[str]:
    """The two features as one value, whichever is named first."""
    return frozenset(map(_plain, (mark.from_first, mark.from_second)))


def same(one: str, other: str) -> bool:
    """Whether two names mean one feature: capitals and spaces do not matter."""
    return _plain(one) == _plain(other)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _apart(points: list[Sighting]) -> Fact[Quantity]:
    facts = [point.landmark.features_apart for point in points]
    return next((fact for fact in facts if fact.known), facts[0])


def slack(*lengths: float) -> float:
    """By how much measured lengths may miss each other: 1 in 100 of the longest and at least 3 in (common practice)."""
    return max(_LEAST_SLACK, _SLACK * max(lengths))


def meeting(apart: float, first: float, second: float) -> tuple[float, float] | None:
    """Where two tapes meet: feet along the line between the features, and feet off it.  None where they do not meet.

    Tapes that fail to meet by no more than ``slack`` meet on the line.
    """
    spare = slack(apart, first, second)
    if apart <= 0 or first + second < apart - spare or abs(first - second) > apart + spare:
        return None
    along = (apart**2 + first**2 - second**2) / (2 * apart)
    return along, sqrt(max(0.0, first**2 - along**2))


def moved_by_an_inch(apart: float, first: float, second: float) -> float:
    """How many feet the meeting point moves, at the most, where one of the two distances is an inch wrong."""
    here = meeting(apart, first, second)
    moved = 0.0
    if here is not None:
        for one, other in ((_INCH, 0), (-_INCH, 0), (0, _INCH), (0, -_INCH)):
            there = meeting(apart, max(0.0, first + one), max(0.0, second + other))
            if there is not None:
                moved = max(moved, hypot(there[0] - here[0], there[1] - here[1]))
    return moved


def agree(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two points can be measured from one pair of features, however far those are apart."""
    least = max(abs(first - second) for first, second in (one, other))
    most = min(sum(one), sum(other))
    return least <= most + 2 * slack(*one, *other)
