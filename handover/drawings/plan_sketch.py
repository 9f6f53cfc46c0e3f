"""One sketch of a find-it-again plan: two features that stay, the points measured from them, and the key below."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, hypot

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
    height_of,
    set_text,
)
from handover.drawings.plan_places import (
    Ground,
    Layout,
    Point,
    Segment,
    Spot,
    badge_place,
    cut,
    grown,
    impossible,
    layout,
    on_the_line,
    place_anywhere,
    place_beside,
    place_near,
    place_on,
)
from handover.drawings.text import LINE, width
from handover.record.facts import Fact
from handover.record.landmarks import Pair, Sighting, moved_by_an_inch
from handover.units import Quantity

_INSIDE = WIDTH - 2 * EDGE
_ROOM = 30.0  # above and below the features and points, for their badges
_BESIDE = 66.0  # left and right of them, for a length beside a line
_BELOW = 20.0  # from the line between the features down to the line that carries its length
_TALLEST = 300.0
_KEY = 34.0  # column of the badges in the key
_DOT = 3.0
_BAR = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000)
_TOGETHER = 5  # so many points at the most are never parted from their sketch
_ROUGH = 0.5  # feet that a point may be off before it is worth a line of its own


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the key: its badge, what it says, and whether what it stands for is drawn in the sketch."""

    badge: str
    feature: bool
    says: tuple[Say, ...]
    drawn: bool = True


def plan_of(pair: Pair) -> Layout | None:
    """Where the sketch has its points; None where not one can be drawn."""
    return layout(pair, _INSIDE - 2 * _BESIDE, _TALLEST)


def sketch(pair: Pair, letters: Mapping[str, str], top: float) -> tuple[list[Mark], list[float]]:
    """The sketch with its key from ``top`` on, and where each part that stays together begins."""
    plan = plan_of(pair)
    tops = [top]
    marks: list[Mark] = list(set_text((Say(scale_text(pair, letters, plan), bold=True),), EDGE, top, _INSIDE))
    y = bottom_of(marks, top) + 4
    if plan is not None:
        marks += _drawing(pair, plan, letters, y)
        y = bottom_of(marks, y) + 8
    for entry in key(pair, letters, plan):
        tops.append(y)
        marks += _key_line(entry, y)
        y = bottom_of(marks, y) + 6
    return marks, tops[:1] + tops[2 + _TOGETHER :]


def scale_text(pair: Pair, letters: Mapping[str, str], plan: Layout | None) -> str:
    """Whether the sketch is to scale, and if not, what is missing."""
    first, second = letters[pair.first], letters[pair.second]
    between = f"{first} to {second}: {pair.apart}" if pair.apart.known else ""
    if plan is None:
        return words.joined((between, f"No sketch: no point measured from {first} and {second} can be drawn"))
    if plan.scale is not None:
        return f"{between} · drawn to scale"
    missing = between or words.fact(pair.apart, f"{first} to {second}: distance")
    return f"{missing} · NOT TO SCALE"


def key(pair: Pair, letters: Mapping[str, str], plan: Layout | None) -> tuple[Entry, ...]:
    """What the letters and numbers stand for."""
    placed = {spot.point.number for spot in plan.spots} if plan else set()
    features = [Entry(letters[name], True, (Say(name),)) for name in (pair.first, pair.second)]
    return (
        *features,
        *(
            Entry(str(point.number), False, _point_says(pair, letters, plan, point), point.number in placed)
            for point in pair.points
        ),
    )


def _point_says(pair: Pair, letters: Mapping[str, str], plan: Layout | None, point: Sighting) -> tuple[Say, ...]:
    first, second = letters[pair.first], letters[pair.second]
    mark = point.landmark
    depth = f"Depth {mark.depth}." if mark.depth.known else f"{words.fact(mark.depth, 'Depth')}."
    distances = [
        f"{fact} from {letter}" if fact.known else words.fact(fact, f"distance from {letter}")
        for fact, letter in ((point.first, first), (point.second, second))
    ]
    says = [Say(mark.point, bold=True), Say(words.joined(distances)), Say(depth)]
    if impossible(pair, point):
        says.append(Say("Not drawn: these two distances do not meet. Measure again."))
        return tuple(says)
    if point.distances is None:
        says.append(Say("It takes both distances to find it; other means are needed."))
    if on_the_line(pair, point):
        says.append(Say(f"On the line through {first} and {second}."))
    elif point.side is not None:
        says.append(Say(f"Stand at {first} and face {second}: it lies to the {point.side}."))
    else:
        says.append(Say(f"On which side of the line from {first} to {second} is not recorded: look on both."))
    moved = moved_by_an_inch(pair.feet, *point.distances) if pair.feet and point.distances else 0.0
    if moved > _ROUGH:
        says.append(Say(f"An inch in one distance moves it by up to {ceil(moved * 12)} in: search around it."))
    return tuple(says)


def _key_line(entry: Entry, y: float) -> list[Mark]:
    size = _badge_size(entry.badge)
    room = _INSIDE - _KEY
    text = height_of(entry.says, room)
    h = max(text, size)
    box = Box(EDGE + (_KEY - 6 - size) / 2, y + (min(h, 2 * SMALL * LINE) - size) / 2 if h > size else y, size, size)
    box = Box(box.x, max(y, box.y), size, size)
    labels = set_text(entry.says, EDGE + _KEY, y + (h - text) / 2, room)
    return [*_badge(entry, box), *labels]


def _badge_size(text: str) -> float:
    return max(20.0, width(text, SMALL, bold=True) + 6)


def _badge(entry: Entry, box: Box) -> list[Mark]:
    """A letter in a filled square, a number in a filled circle; dashed and open where it is not in the sketch."""
    stroke = Stroke.SOLID if entry.drawn else Stroke.DASHED
    w = width(entry.badge, SMALL, bold=True)
    x, y = box.x + (box.w - w) / 2, box.y + (box.h - SMALL * LINE) / 2
    label = Label(x, y, w, SMALL * LINE, entry.badge, SMALL, True, "middle", entry.drawn, box)
    if entry.feature:
        return [Box(box.x, box.y, box.w, box.h, stroke), label]
    return [Circle(box.x + box.w / 2, box.y + box.h / 2, box.w / 2, stroke), label]


@dataclass(frozen=True, slots=True)
class Measure:
    """A measured line of the sketch, its length in words, and the ends that it is named by."""

    line: Segment
    length: Fact[Quantity]
    ends: str

    @property
    def text(self) -> str:
        """The length, or that it is not known."""
        return str(self.length) if self.length.known else "?"

    @property
    def named(self) -> str:
        """The length with the ends of its line."""
        return f"{self.ends}: {self.text}" if self.ends else self.text


def _drawing(pair: Pair, plan: Layout, letters: Mapping[str, str], top: float) -> list[Mark]:
    """The sketch in its frame, from ``top`` on, with a bar of scale below the frame."""
    frame = Box(EDGE, top, _INSIDE, max(100.0, plan.height + 2 * _ROOM), Stroke.FAINT)
    left, down = frame.x + (frame.w - plan.width) / 2, frame.y + (frame.h - plan.height) / 2
    ends = [
        (letters[name], _moved(at, left, down)) for name, at in ((pair.first, plan.first), (pair.second, plan.second))
    ]
    spots = [(spot, _moved(spot.at, left, down)) for spot in plan.spots]
    base = (ends[0][1], ends[1][1])
    measures = [Measure((_moved(base[0], 0, _BELOW), _moved(base[1], 0, _BELOW)), pair.apart, "")]
    for spot, at in spots:
        for (letter, end), length in zip(ends, (spot.point.first, spot.point.second), strict=True):
            measures.append(Measure((end, at), length, f"{letter}–{spot.point.number}"))
    way = [(one, other) for (_, one), (_, other) in pairwise(spots)]
    lines = [*(measure.line for measure in measures), base, *way]
    ground = Ground(grown(frame, -1), [_around(at) for at in (*base, *(at for _, at in spots))], lines)
    badges: list[Mark] = []
    named = [
        *(Entry(letter, True, ()) for letter, _ in ends),
        *(Entry(str(spot.point.number), False, ()) for spot, _ in spots),
    ]
    for entry, at in zip(named, (*base, *(at for _, at in spots)), strict=True):
        box = badge_place(at, _badge_size(entry.badge), ground)
        ground.taken.append(grown(box, 3))
        badges += [*_leader(at, box), *_badge(entry, box)]
    marks: list[Mark] = [frame, Line(base, Stroke.FAINT)]
    marks += [Line((_moved(at, 0, 6), _moved(at, 0, _BELOW + 4)), Stroke.FAINT) for at in base]
    marks += [Line(line, Stroke.DASHED) for line in way]
    marks += _measures(measures, ground, frame)
    marks += [Box(at[0] - 4, at[1] - 4, 8, 8, Stroke.SOLID) for at in base]
    marks += [mark for spot, at in spots for mark in _dot(spot, at)]
    return [*marks, *badges, *(_scale_bar(plan.scale, frame.bottom + 4) if plan.scale else ())]


def _measures(measures: Sequence[Measure], ground: Ground, frame: Box) -> list[Mark]:
    """The measured lines with their lengths, wherever there is room for these; the key has them all.

    A length names the ends of its line where there is room for that, so that nobody has to follow the line.  Those
    that find no room near their lines come last, so that they take none from others.
    """
    marks: list[Mark] = []
    h = SMALL * LINE
    left: list[Measure] = []
    for measure in measures:
        line = measure.line
        stroke = Stroke.THIN if measure.length.known else Stroke.DASHED
        rivals = [other.line for other in measures if other is not measure]
        text, box, on = _length_place(measure, h, ground, rivals)
        marks += [Line(part, stroke) for part in (cut(line, box) if box and on else [line])]
        if box is not None:
            ground.taken.append(box)
            marks.append(Label(box.x, box.y, box.w, h, text, SMALL, frame=frame))
        elif measure.ends:
            left.append(measure)
    for measure in left:
        w = width(measure.named, SMALL)
        box = place_anywhere(measure.line, w, h, ground)
        if box is not None:
            ground.taken.append(box)
            marks.append(Label(box.x, box.y, w, h, measure.named, SMALL, frame=frame))
    return marks


def _length_place(
    measure: Measure, h: float, ground: Ground, rivals: Sequence[Segment]
) -> tuple[str, Box | None, bool]:
    """The words of a length, a free place for them, and whether that is upon the line itself."""
    for text in dict.fromkeys((measure.named, measure.text)):
        w = width(text, SMALL)
        box = place_on(measure.line, w, h, ground)
        if box is not None:
            return text, box, True
        box = place_beside(measure.line, w, h, ground, rivals)
        if box is None and measure.ends and text == measure.named:
            box = place_near(measure.line, w, h, ground)
        if box is not None:
            return text, box, False
    return measure.text, None, False


def _moved(at: Point, right: float, down: float) -> Point:
    return at[0] + right, at[1] + down


def _around(at: Point) -> Box:
    return Box(at[0] - 6, at[1] - 6, 12, 12)


def _dot(spot: Spot, at: Point) -> list[Mark]:
    if spot.sure:
        return [Circle(*at, _DOT, Stroke.SOLID)]
    return [Circle(*at, 2 * _DOT, Stroke.DASHED)]


def _leader(at: Point, box: Box) -> list[Mark]:
    """A line to a badge that has no room beside its spot."""
    middle = (box.x + box.w / 2, box.y + box.h / 2)
    long = hypot(middle[0] - at[0], middle[1] - at[1])
    if long < box.w / 2 + 12:
        return []
    share = 1 - box.w / 2 / long
    return [Line((at, (at[0] + share * (middle[0] - at[0]), at[1] + share * (middle[1] - at[1]))), Stroke.FAINT)]


def _scale_bar(scale: float, y: float) -> list[Mark]:
    """A bar of a round number of feet, so that a print of any size can be measured."""
    feet = next((each for each in reversed(_BAR) if each * scale <= _INSIDE / 3), None)
    if feet is None:
        return []
    x, middle = EDGE + 2, y + SMALL * LINE / 2
    end = x + feet * scale
    ends = [Line(((at, middle - 4), (at, middle + 4))) for at in (x, end)]
    says = (Say(f"{feet} ft"),)
    return [Line(((x, middle), (end, middle)), Stroke.THIN), *ends, *set_text(says, end + 6, y, 80)]
