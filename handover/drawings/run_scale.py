"""The whole run once more as one line to scale, as if it were stretched straight: where its boxes and bends are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handover.drawings import words
from handover.drawings.geometry import (
    EDGE,
    SMALL,
    WIDTH,
    Box,
    Circle,
    Label,
    Line,
    Mark,
    Say,
    Stroke,
    bottom_of,
    set_text,
)
from handover.drawings.text import LINE, width
from handover.record.wiring import BENDS, PULL_POINTS, Step
from handover.units import magnitude

_LEFT, _RIGHT = EDGE + 8, WIDTH - EDGE - 8
_BAR_LENGTHS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)  # feet
_LONGEST_BAR = 90.0


@dataclass(frozen=True, slots=True)
class Station:
    """A step that is a point, and how many feet of straight pieces lie before it."""

    step: Step
    feet: float


def stations(path: Sequence[Step]) -> tuple[tuple[Station, ...], float] | None:
    """Every point of a run with its station, and the length of all; None where a length is missing or there is none."""
    at, points = 0.0, []
    for step in path:
        if step.step != "straight":
            points.append(Station(step, at))
        elif step.length.value is None:
            return None
        else:
            at += magnitude(step.length.value, "foot")
    return (tuple(points), at) if at > 0 else None


def strip(path: Sequence[Step], top: float) -> tuple[list[Mark], str]:
    """The line to scale from ``top`` on, and its sentence; both empty where a length is missing."""
    found = stations(path)
    if found is None:
        return [], ""
    points, total = found
    scale = (_RIGHT - _LEFT) / total
    marks: list[Mark] = list(set_text((Say("The whole run to scale", bold=True),), EDGE, top, WIDTH - 2 * EDGE))
    ends = _ends(points, total)
    marks += _numbers(ends, scale, bottom_of(marks, top) + 3)
    y = bottom_of(marks, top) + 9
    marks.append(Line(((_LEFT, y), (_RIGHT, y)), Stroke.HEAVY))
    marks += _earth(path, scale, y)
    bends = sorted({point.feet for point in points if point.step.step in BENDS})
    marks += [Circle(_LEFT + feet * scale, y, 3.5, Stroke.SOLID) for feet in bends]
    marks += [Box(_LEFT + feet * scale - 5, y - 5, 10, 10, Stroke.HEAVY) for feet in ends]
    marks += _legend(y + 14, scale, with_bends=bool(bends))
    return marks, _sentence(ends, bends, total)


def _ends(points: Sequence[Station], total: float) -> list[float]:
    """Stations of all that can be opened, and of both ends of the run."""
    return sorted({0.0, total, *(point.feet for point in points if point.step.step in PULL_POINTS)})


def _numbers(ends: Sequence[float], scale: float, y: float) -> list[Mark]:
    """Stations above their marks, first and last always, others where they have room."""
    placed: list[Label] = []
    for feet in (ends[-1], ends[0], *ends[1:-1]):
        text = words.station(feet)
        w = width(text, SMALL)
        x = min(max(EDGE, _LEFT + feet * scale - w / 2), WIDTH - EDGE - w)
        if all(x + w + 6 <= other.x or other.right + 6 <= x for other in placed):
            placed.append(Label(x, y, w, SMALL * LINE, text, anchor="middle"))
    return list(placed)


def _earth(path: Sequence[Step], scale: float, y: float) -> list[Mark]:
    """Short slanting strokes below what lies in the ground."""
    marks: list[Mark] = []
    at = 0.0
    for step in path:
        if step.step == "straight" and step.length.value is not None:
            feet = magnitude(step.length.value, "foot")
            if step.surroundings == "underground":
                count = max(1, int(feet * scale // 9))
                for place in range(count):
                    x = _LEFT + (at + feet * (place + 0.5) / count) * scale
                    marks.append(Line(((x - 2, y + 9), (x + 2, y + 4)), Stroke.FAINT))
            at += feet
    return marks


def _legend(y: float, scale: float, *, with_bends: bool) -> list[Mark]:
    """What the marks mean, and a bar of so many feet."""
    bar = max((feet for feet in _BAR_LENGTHS if feet * scale <= _LONGEST_BAR), default=0)
    half = SMALL * LINE / 2
    marks: list[Mark] = [Box(EDGE + 1, y + half - 5, 10, 10, Stroke.HEAVY)]
    marks += set_text((Say("end, box, fitting that opens"),), EDGE + 18, y, 200)
    if with_bends:
        y += SMALL * LINE + 3
        marks += [Circle(EDGE + 6, y + half, 3.5, Stroke.SOLID), *set_text((Say("bend"),), EDGE + 18, y, 60)]
    if bar:
        x = 96.0 if with_bends else EDGE + 1
        y += 0 if with_bends else SMALL * LINE + 3
        marks += [
            Line(((x, y + half - 4), (x, y + half), (x + bar * scale, y + half), (x + bar * scale, y + half - 4))),
            *set_text((Say(f"{bar} ft"),), x + bar * scale + 6, y, 80),
        ]
    return marks


def _sentence(ends: Sequence[float], bends: Sequence[float], total: float) -> str:
    opened = ", ".join(words.station(feet) for feet in ends)
    turned = f"; dots, a bend each, at {', '.join(words.station(feet) for feet in bends)}" if bends else ""
    whole = f"The whole run to scale, {words.station(total)} of straight pieces"
    return words.sentence(f"{whole}: squares, each an end, box or fitting that opens, at {opened}{turned}")
