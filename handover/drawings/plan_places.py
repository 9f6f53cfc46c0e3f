"""Where things stand in a find-it-again sketch: the points by their two distances, and free places for texts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from handover.drawings.geometry import Box
from handover.record.landmarks import Pair, Sighting, meeting

Point = tuple[float, float]
Segment = tuple[Point, Point]
_ROW = 46.0  # between two points of a sketch that is not to scale
_TURNS = 16
_SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)  # where on its line a text is tried
_FAR = 120.0  # units from the middle of its line that a text with the line's name may stand
_GRID = 6
_HIDDEN = 0.6  # of a line at the most may lie under its text


@dataclass(frozen=True, slots=True)
class Spot:
    """A point in the sketch.  ``sure``: it is known on which side of the line it lies, or it lies on the line."""

    point: Sighting
    at: Point
    sure: bool


@dataclass(frozen=True, slots=True)
class Layout:
    """Features and points within ``width`` and ``height``; ``scale`` is units a foot, None where not to scale."""

    first: Point
    second: Point
    spots: tuple[Spot, ...]
    width: float
    height: float
    scale: float | None


def layout(pair: Pair, width: float, height: float) -> Layout | None:
    """The sketch of one pair, no wider and no higher than told; None where not one of its points can be drawn."""
    return _to_scale(pair, width, height) or _not_to_scale(pair, width)


def on_the_line(pair: Pair, point: Sighting) -> bool:
    """Whether a point lies on the line through the two features, to an inch."""
    met = meeting(pair.feet, *point.distances) if pair.feet and point.distances else None
    return met is not None and met[1] < 1 / 12


def impossible(pair: Pair, point: Sighting) -> bool:
    """Whether the two distances cannot meet, however they are turned."""
    return pair.feet is not None and point.distances is not None and meeting(pair.feet, *point.distances) is None


def _to_scale(pair: Pair, width: float, height: float) -> Layout | None:
    if not pair.feet:
        return None
    places = []
    for point in pair.points:
        met = meeting(pair.feet, *point.distances) if point.distances else None
        if met is not None:
            along, off = met
            places.append((point, (along, off if point.side == "right" else -off)))
    if not places:
        return None
    # The side with more points is drawn up, as it lies before somebody with the line at his back.
    turn = -1.0 if sum(y for _, (_, y) in places) > 0 else 1.0
    feet = [(0.0, 0.0), (turn * pair.feet, 0.0), *((turn * x, turn * y) for _, (x, y) in places)]
    low = min(x for x, _ in feet), min(y for _, y in feet)
    wide, tall = max(x for x, _ in feet) - low[0], max(y for _, y in feet) - low[1]
    scale = min(width / wide, height / tall if tall > 0 else width / wide)
    first, second, *rest = [((x - low[0]) * scale, (y - low[1]) * scale) for x, y in feet]
    spots = tuple(
        Spot(point, at, point.side is not None or on_the_line(pair, point))
        for (point, _), at in zip(places, rest, strict=True)
    )
    return Layout(first, second, spots, wide * scale, tall * scale, scale)


def _not_to_scale(pair: Pair, width: float) -> Layout | None:
    """Points in rows above or below the line, nearer to the feature that they are nearer to."""
    drawn = [point for point in pair.points if not impossible(pair, point)]
    if not drawn:
        return None
    rights = [point for point in drawn if point.side == "right"]
    others = [point for point in drawn if point.side != "right"]
    turned = len(rights) > len(others)  # as in a sketch to scale
    up, down = (rights, others) if turned else (others, rights)
    line = len(up) * _ROW
    ends = ((width, line), (0.0, line)) if turned else ((0.0, line), (width, line))
    spots = {}
    for points, towards in ((up, -1), (down, 1)):
        for row, point in enumerate(points, 1):
            share = _share(point, row)
            x = width * (1 - share if turned else share)
            spots[point.number] = Spot(point, (x, line + towards * row * _ROW), point.side is not None)
    ordered = tuple(spots[point.number] for point in drawn)
    return Layout(*ends, ordered, width, line + len(down) * _ROW, None)


def _share(point: Sighting, row: int) -> float:
    """How far from the first feature towards the second; those of which it is not known stand apart from each other."""
    if point.distances is None or sum(point.distances) == 0:
        return 0.35 + 0.15 * (row % 3)
    return min(0.85, max(0.15, point.distances[0] / sum(point.distances)))


def inside(part: Segment, box: Box) -> tuple[float, float] | None:
    """Between which shares of its length a line runs within a box; None where it does not meet the box."""
    (x1, y1), (x2, y2) = part
    enters, leaves = 0.0, 1.0
    for start, step, low, high in ((x1, x2 - x1, box.x, box.right), (y1, y2 - y1, box.y, box.bottom)):
        if abs(step) < 1e-9:
            if not low < start < high:
                return None
            continue
        one, other = sorted(((low - start) / step, (high - start) / step))
        enters, leaves = max(enters, one), min(leaves, other)
    return (enters, leaves) if enters < leaves else None


def grown(box: Box, by: float) -> Box:
    """The box with room around it."""
    return Box(box.x - by, box.y - by, box.w + 2 * by, box.h + 2 * by)


@dataclass(frozen=True, slots=True)
class Ground:
    """What a sketch has room in: its frame, the places taken, and every line that is or will be drawn."""

    frame: Box
    taken: list[Box]
    lines: list[Segment]

    def free(self, box: Box) -> bool:
        """Whether a box lies within the frame and meets nothing that is taken."""
        return self.frame.holds(box) and not any(
            box.x < other.right and other.x < box.right and box.y < other.bottom and other.y < box.bottom
            for other in self.taken
        )


def badge_place(at: Point, size: float, ground: Ground) -> Box:
    """A free place for a badge about a spot: near it, and rather beside lines than over them."""
    best: tuple[float, Box] | None = None
    radius = size / 2 + 7
    while radius < hypot(ground.frame.w, ground.frame.h) and (best is None or radius < size / 2 + 20):
        for turn in range(_TURNS):
            angle = 2 * pi * turn / _TURNS - pi / 2
            box = Box(at[0] + radius * cos(angle) - size / 2, at[1] + radius * sin(angle) - size / 2, size, size)
            if ground.free(box):
                cost = radius + 12 * sum(inside(line, box) is not None for line in ground.lines)
                best = min(best or (cost, box), (cost, box), key=lambda each: each[0])
        radius += 6
    return best[1] if best else Box(at[0] - size / 2, at[1] - size / 2, size, size)


def place_on(own: Segment, w: float, h: float, ground: Ground) -> Box | None:
    """A free place for a text upon its line, where enough of the line stays to be seen; None where there is none."""
    for share in _SHARES:
        box = _about(own, share, 0.0, w, h)
        within = inside(own, grown(box, 2))
        seen = within is not None and within[1] - within[0] <= _HIDDEN
        if seen and ground.free(box) and not _crossed(box, own, ground):
            return box
    return None


def place_beside(own: Segment, w: float, h: float, ground: Ground, rivals: Sequence[Segment]) -> Box | None:
    """A free place for a text close beside its line and nearer to it than to any of ``rivals``."""
    for side in (-1, 1):
        for share in _SHARES:
            box = _about(own, share, side * _beside(own, w, h), w, h)
            middle = (box.x + w / 2, box.y + h / 2)
            nearest = all(_distance(middle, line) > _distance(middle, own) + 6 for line in rivals)
            if nearest and ground.free(box) and not _crossed(box, own, ground):
                return box
    return None


def place_near(own: Segment, w: float, h: float, ground: Ground) -> Box | None:
    """A free place not far from a line, for a text that names its line; None where there is none."""
    for more in range(0, 80, 8):
        for side in (-1, 1):
            for share in _SHARES:
                box = _about(own, share, side * (_beside(own, w, h) + more), w, h)
                if ground.free(box) and not _crossed(box, own, ground):
                    return box
    return None


def place_anywhere(own: Segment, w: float, h: float, ground: Ground) -> Box | None:
    """The free place nearest to a line's middle, on a grid over the frame, but no farther than ``_FAR``."""
    (x1, y1), (x2, y2) = own
    middle = (x1 + x2) / 2, (y1 + y2) / 2
    steps = range(int(-_FAR), int(_FAR) + 1, _GRID)
    around = sorted(((right, down) for right in steps for down in steps), key=lambda by: hypot(*by))
    for right, down in around:
        box = Box(middle[0] + right - w / 2, middle[1] + down - h / 2, w, h)
        if hypot(right, down) <= _FAR and ground.free(box) and not any(inside(line, box) for line in ground.lines):
            return box
    return None


def _about(own: Segment, share: float, offset: float, w: float, h: float) -> Box:
    (x1, y1), (x2, y2) = own
    long = hypot(x2 - x1, y2 - y1) or 1.0
    x = x1 + share * (x2 - x1) + offset * (y1 - y2) / long
    y = y1 + share * (y2 - y1) + offset * (x2 - x1) / long
    return Box(x - w / 2, y - h / 2, w, h)


def _beside(own: Segment, w: float, h: float) -> float:
    (x1, y1), (x2, y2) = own
    long = hypot(x2 - x1, y2 - y1) or 1.0
    return abs(y1 - y2) / long * w / 2 + abs(x2 - x1) / long * h / 2 + 2


def _crossed(box: Box, own: Segment, ground: Ground) -> bool:
    return any(inside(line, box) for line in ground.lines if line is not own)


def _distance(at: Point, line: Segment) -> float:
    (x1, y1), (x2, y2) = line
    square = (x2 - x1) ** 2 + (y2 - y1) ** 2
    share = ((at[0] - x1) * (x2 - x1) + (at[1] - y1) * (y2 - y1)) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(at[0] - x1 - share * (x2 - x1), at[1] - y1 - share * (y2 - y1))


def cut(own: Segment, box: Box) -> list[Segment]:
    """The line without its part within the box, and a little more."""
    within = inside(own, grown(box, 2))
    if within is None:
        return [own]
    (x1, y1), (x2, y2) = own
    first, last = ((x1 + share * (x2 - x1), y1 + share * (y2 - y1)) for share in within)
    return [((x1, y1), first), (last, (x2, y2))]
