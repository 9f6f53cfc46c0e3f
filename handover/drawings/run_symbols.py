"""Shapes on the strip map: one for each kind of step, drawn about the axis of the run."""

from __future__ import annotations

from math import cos, pi, sin

from handover.drawings.geometry import Box, Circle, Line, Mark, Stroke
from handover.record.wiring import Step

HALF = 12.0
"""Half the height of every fitting; the axis is open there."""


def straight(step: Step, x: float, y: float, h: float, *, stretched: bool) -> list[Mark]:
    """A straight piece: dashed where its length is not known, broken where it is not to scale, earth beside it."""
    known = step.length.known
    stroke = Stroke.HEAVY if known else Stroke.DASHED
    marks: list[Mark] = []
    if known and stretched:
        middle = y + h / 2
        marks += [
            Line(((x, y), (x, middle - 3)), stroke),
            Line(((x, middle + 3), (x, y + h)), stroke),
            Line(((x - 7, middle), (x + 7, middle - 6))),
            Line(((x - 7, middle + 6), (x + 7, middle))),
        ]
    else:
        marks.append(Line(((x, y), (x, y + h)), stroke))
    if step.surroundings == "underground":
        marks += _earth_beside(x, y, h)
    return marks


def _earth_beside(x: float, y: float, h: float) -> list[Mark]:
    """Short slanting strokes on both sides, as ground is hatched in section."""
    count = max(1, int(h // 14) - 1)
    gap = h / (count + 1)
    return [
        Line(((x + side - 3, y + gap * row + 3), (x + side + 3, y + gap * row - 3)), Stroke.FAINT)
        for row in range(1, count + 1)
        for side in (-11.0, 11.0)
    ]


def fitting(step: Step, x: float, y: float) -> list[Mark]:
    """The shape of any other step, centred on ``y``."""
    shapes = {
        "panel": _panel, "box": _box, "conduit body": _body, "equipment": _equipment, "bend": _bend, "offset": _offset,
        "saddle": _saddle, "expansion fitting": _expansion, "coupling": _coupling, "penetration": _penetration,
        "splice": _splice,
    }  # fmt: skip
    return shapes[step.step](x, y)


def _panel(x: float, y: float) -> list[Mark]:
    rows = (-6.0, 0.0, 6.0)
    return [
        Box(x - 10, y - HALF, 20, 2 * HALF, Stroke.HEAVY),
        *(Line(((x - 6, y + row), (x - 1, y + row))) for row in rows),
        *(Line(((x + 1, y + row), (x + 6, y + row))) for row in rows),
    ]


def _box(x: float, y: float) -> list[Mark]:
    return [
        Box(x - HALF, y - HALF, 2 * HALF, 2 * HALF, Stroke.HEAVY),
        Line(((x - HALF, y - HALF), (x + HALF, y + HALF))),
        Line(((x - HALF, y + HALF), (x + HALF, y - HALF))),
    ]


def _body(x: float, y: float) -> list[Mark]:
    return [Box(x - 7, y - HALF, 14, 2 * HALF, Stroke.HEAVY, radius=6), Box(x - 3, y - 7, 6, 14)]


def _equipment(x: float, y: float) -> list[Mark]:
    return [Box(x - HALF, y - HALF, 2 * HALF, 2 * HALF, Stroke.HEAVY, radius=3), Circle(x, y, 5)]


def _bend(x: float, y: float) -> list[Mark]:
    arc = tuple((x - 6 + 10 * sin(turn * pi / 16), y + 5 - 10 * cos(turn * pi / 16)) for turn in range(9))
    return [Circle(x, y, HALF), Line(((x - 6, y - 5), *arc, (x + 4, y + 6)), Stroke.HEAVY)]


def _offset(x: float, y: float) -> list[Mark]:
    return [Circle(x, y, HALF), Line(((x - 4, y - 8), (x - 4, y - 4), (x + 4, y + 4), (x + 4, y + 8)), Stroke.HEAVY)]


def _saddle(x: float, y: float) -> list[Mark]:
    hump = ((x - 3, y - 9), (x - 3, y - 6), (x + 5, y - 2), (x + 5, y + 2), (x - 3, y + 6), (x - 3, y + 9))
    return [Circle(x, y, HALF), Line(hump, Stroke.HEAVY)]


def _expansion(x: float, y: float) -> list[Mark]:
    return [
        Box(x - 8, y - HALF, 16, 14, Stroke.HEAVY),
        Line(((x - 4, y - 5), (x - 4, y + HALF), (x + 4, y + HALF), (x + 4, y - 5))),
    ]


def _coupling(x: float, y: float) -> list[Mark]:
    return [Box(x - 6, y - HALF, 12, 2 * HALF), Line(((x - 6, y), (x + 6, y)))]


def _penetration(x: float, y: float) -> list[Mark]:
    faces = [Line(((x - 16, y + down), (x + 16, y + down)), Stroke.HEAVY) for down in (-8.0, 8.0)]
    hatch = [Line(((x + at - 4, y + 6), (x + at + 4, y - 6)), Stroke.FAINT) for at in (-11.0, 11.0)]
    return [Line(((x, y - HALF), (x, y + HALF)), Stroke.HEAVY), *faces, *hatch]


def _splice(x: float, y: float) -> list[Mark]:
    return [Line(((x, y - HALF), (x, y + HALF)), Stroke.HEAVY), Circle(x, y, 5, Stroke.SOLID)]
