"""A wall as somebody sees it who faces it: what hangs on it in order, at which height, with the room kept before it.

Heights are to scale.  Across, things stand in their order and not to scale, so that each has room for its words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from handover.checks.result import CheckResult
from handover.drawings import words
from handover.drawings.geometry import (
    EDGE,
    LARGE,
    SMALL,
    WIDTH,
    Box,
    Label,
    Line,
    Mark,
    Say,
    Sheet,
    Stroke,
    bottom_of,
    set_text,
)
from handover.drawings.paper import folded
from handover.drawings.svg import to_drawing
from handover.drawings.text import LINE, width
from handover.pack import Drawing
from handover.record.facts import Fact
from handover.record.installation import Installation
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box as WiringBox
from handover.record.wiring import Equipment
from handover.units import Quantity, magnitude, show

Thing = Panel | Transfer | Source | Equipment | WiringBox
_INSIDE = WIDTH - 2 * EDGE
_AXIS = 60.0  # the heights stand left of it
_TALL = 230.0
_HIGHEST = 96.0  # inches that a view shows at the least
_STEP = 2  # feet between two heights on the axis
_MOST_HEIGHTS = 10
_BADGE = 20.0
_MOST = 4  # things side by side
_IN_NAME = 12  # a wall with more things takes several drawings, so that a drawing's name can hold the codes of all
_ROOM_RULES = (("working_depth", "depth"), ("working_width", "width"), ("headroom", "headroom"))
ORDER = "Seen by somebody who faces the wall. Heights to scale; across in order only, not to scale."
ROOM = "Thin frame: the room before a panel, up to its headroom. Keep it free."
_COMPASS = ("north", "east", "south", "west")  # clockwise, so that the next one is to the right of who faces one
_COMPASS_WORD = re.compile(r"(?<![\w-])(north|east|south|west)(?![\w-])")
NO_ORDER = "Not in order: the last ones, whose distance from the left end is not recorded."


@dataclass(frozen=True, slots=True)
class Wall:
    """A wall and what is on it, from left to right; those whose place along it is not known come last."""

    name: str
    things: tuple[Thing, ...]

    @property
    def drawing(self) -> str:
        """The drawing's name: it holds the codes, so that each thing's page finds it."""
        return "-".join(("wall", *(thing.code for thing in self.things)))


def ends_of(wall: Wall) -> tuple[str, str] | None:
    """The compass words of a wall's left and right end; None where the record does not tell them.

    They follow from the wall's name, where it holds one compass word, and from the side it is seen from: outside where
    the name says so, inside where something on it is recorded as not outdoors.  That a thing hangs outdoors is not
    enough: the north wall of a carport is seen from within the carport.
    """
    name = wall.name.casefold()
    faced = _COMPASS_WORD.findall(name)
    inside = any(not isinstance(thing, WiringBox) and thing.outdoors.value is False for thing in wall.things)
    outside = "outside" in name.replace(",", " ").split()
    if len(faced) != 1 or inside == outside:
        return None
    way = _COMPASS.index(faced[0]) + (2 if outside else 0)
    return _COMPASS[(way - 1) % 4], _COMPASS[(way + 1) % 4]


def walls_of(installation: Installation) -> tuple[Wall, ...]:
    """The walls that the record names, in the order in which it does."""
    record = installation.record
    named: dict[str, list[Thing]] = {}
    names: dict[str, str] = {}
    everything: tuple[Thing, ...] = (
        *record.panels, *record.transfers, *record.sources, *record.equipment, *record.boxes,
    )  # fmt: skip
    for thing in everything:
        if thing.wall is not None:
            plain = " ".join(thing.wall.casefold().split())
            names.setdefault(plain, thing.wall)
            named.setdefault(plain, []).append(thing)
    return tuple(
        wall for plain, things in named.items() for wall in _in_parts(names[plain], sorted(things, key=_along))
    )


def _in_parts(name: str, things: list[Thing]) -> Iterator[Wall]:
    parts = [tuple(things[first : first + _IN_NAME]) for first in range(0, len(things), _IN_NAME)]
    for number, part in enumerate(parts, 1):
        yield Wall(f"{name}, part {number} of {len(parts)} from the left" if len(parts) > 1 else name, part)


def _along(thing: Thing) -> tuple[bool, float]:
    at = thing.from_left.value
    return at is None, 0.0 if at is None else magnitude(at, "foot")


def wall_view(installation: Installation, wall: Wall, results: Sequence[CheckResult] = ()) -> Drawing:
    """The view of one wall.  ``results`` of the check tell how much room the code asks for."""
    return to_drawing(wall_sheet(installation, wall, results))


def wall_view_on_paper(installation: Installation, wall: Wall, results: Sequence[CheckResult] = ()) -> Drawing:
    """The same in columns where it is long, for one Letter sheet."""
    return to_drawing(wall_letter_sheet(installation, wall, results))


def wall_sheet(installation: Installation, wall: Wall, results: Sequence[CheckResult] = ()) -> Sheet:
    """The view as numbers."""
    return _made(installation, wall, results)[0]


def wall_letter_sheet(installation: Installation, wall: Wall, results: Sequence[CheckResult] = ()) -> Sheet:
    """The columns as numbers, cut between views and between lines of the key."""
    sheet, tops = _made(installation, wall, results)
    return folded(sheet, f"{wall.drawing}-paper", tops)


def _made(installation: Installation, wall: Wall, results: Sequence[CheckResult]) -> tuple[Sheet, list[float]]:
    title = f"Wall: {wall.name}"
    notes = _notes(wall)
    head = (Say(title, bold=True, size=LARGE), *map(Say, notes))
    marks: list[Mark] = list(set_text(head, EDGE, EDGE, _INSIDE))
    tops = []
    room, scale = _side_by_side(wall), _scale(wall)
    columns = _columns(wall, scale)
    for first in range(0, len(columns), room):
        tops.append(bottom_of(marks, EDGE) + 10)
        marks += _view(columns[first : first + room], tops[-1], scale)
        marks += _toward(wall, bottom_of(marks, EDGE) + 4)
    y = bottom_of(marks, EDGE) + 12
    for thing in wall.things:
        tops.append(y)
        name, *rest = thing_says(installation, thing, results, ends_of(wall))
        marks += set_text((Say(f"{thing.code} {name.text}", bold=True), *rest), EDGE, y, _INSIDE)
        y = bottom_of(marks, y) + 6
    marks += set_text((Say(words.revision(installation.record)),), EDGE, y + 4, _INSIDE)
    return Sheet(
        name=wall.drawing,
        title=title,
        summary="What is on this wall, at which height. The text with this drawing says the same.",
        height=bottom_of(marks, y) + EDGE,
        marks=tuple(marks),
        sentences=(
            words.sentence(title, *notes),
            *(
                words.sentence(
                    thing.code, *(say.text for say in thing_says(installation, thing, results, ends_of(wall)))
                )
                for thing in wall.things
            ),
        ),
    ), tops


def _notes(wall: Wall) -> tuple[str, ...]:
    room = any(isinstance(thing, Panel) and thing.headroom.known for thing in wall.things)
    unordered = len(wall.things) > 1 and not all(thing.from_left.known for thing in wall.things)
    ends = ends_of(wall)
    told = f"Left end: {ends[0]}. Right end: {ends[1]}." if ends else ""
    return (ORDER, *((told,) if told else ()), *((NO_ORDER,) if unordered else ()), *((ROOM,) if room else ()))


def height_fact(thing: Thing) -> Fact[Quantity]:
    """How high a thing is: of a panel its highest handle, of others their middle."""
    return thing.handle_height if isinstance(thing, Panel) else thing.height


def thing_says(
    installation: Installation,
    thing: Thing,
    results: Sequence[CheckResult] = (),
    ends: tuple[str, str] | None = None,
) -> tuple[Say, ...]:
    """All that the view tells of a thing: its name, where it is, and the room kept before it."""
    left = f"the left end (the {ends[0]} end)" if ends else "the left end"
    high = height_fact(thing)
    from_left = words.fact(thing.from_left, "Distance from the left end")
    what = "highest handle" if isinstance(thing, Panel) else "height"
    lines = [
        f"{words.WORK[thing.work]}; {what} {high}"
        if high.known
        else f"{words.WORK[thing.work]}; {words.fact(high, what)}",
        f"{thing.from_left} from {left}" if thing.from_left.known else from_left,
    ]
    if isinstance(thing, Panel):
        room = (
            f"{thing.working_depth} deep" if thing.working_depth.known else words.fact(thing.working_depth, "depth"),
            f"{thing.working_width} wide" if thing.working_width.known else words.fact(thing.working_width, "width"),
            f"headroom {thing.headroom}" if thing.headroom.known else words.fact(thing.headroom, "headroom"),
        )
        lines.append(f"Room kept before it: {', '.join(room)}")
        lines += _asked_for(thing, results)
    if isinstance(thing, Equipment):
        lines.append(
            f"Kept clear: {thing.clear_space}"
            if thing.clear_space.known
            else words.fact(thing.clear_space, "Clear space")
        )
        if thing.disconnect is not None:
            lines.append(f"Switched off at: {thing.disconnect.place}")
    return (Say(installation.name_of(thing.code), bold=True), *(Say(line) for line in lines))


def _asked_for(panel: Panel, results: Sequence[CheckResult]) -> Iterator[str]:
    """The room that the code asks for before a panel, as the check found it."""
    about = {result.rule: result for result in results if result.subject == panel.code and result.limit is not None}
    asked = [(what, about[rule]) for rule, what in _ROOM_RULES if rule in about]
    if asked:
        cited = asked[0][1].citation
        least = ", ".join(f"{what} {show(result.limit)}" for what, result in asked if result.limit is not None)
        yield f"{cited.code} {cited.edition} 110.26(A) asks for at least: {least}"


def _code_width(code: str) -> float:
    return width(code, SMALL, bold=True) + 8


def _side_by_side(wall: Wall) -> int:
    widest = max(_code_width(thing.code) for thing in wall.things)
    return max(1, min(_MOST, int((WIDTH - EDGE - _AXIS) // max(60.0, widest + 12))))


def _scale(wall: Wall) -> float:
    """Units an inch: the same for the whole wall."""
    heights = [height_fact(thing) for thing in wall.things]
    heights += [thing.headroom for thing in wall.things if isinstance(thing, Panel)]
    return _TALL / max(_HIGHEST, *(magnitude(fact.value, "inch") for fact in heights if fact.value is not None), 0.0)


def _columns(wall: Wall, scale: float) -> list[list[Thing]]:
    """Things side by side; those equally far along the wall above each other, where their heights leave room."""
    columns: list[list[Thing]] = []
    for thing in wall.things:
        if columns and all(_clear_of(thing, other, scale) for other in columns[-1]):
            columns[-1].append(thing)
        else:
            columns.append([thing])
    return columns


def _clear_of(thing: Thing, other: Thing, scale: float) -> bool:
    """Whether two things hang above each other with room for both their badges."""
    known = height_fact(thing).known and height_fact(other).known
    if not known or not thing.from_left.known or thing.from_left != other.from_left:
        return False
    low, up = sorted((_up(thing, scale), _up(other, scale)))
    return up - max(low, _BADGE / 2 + 2) >= _BADGE + 4


def _view(columns: list[list[Thing]], top: float, scale: float) -> list[Mark]:
    """One stretch of the wall from ``top`` on: axis, floor, things on their stems, their heights below the floor."""
    floor = top + _BADGE + _TALL
    marks = _axis(floor, scale)
    w = (WIDTH - EDGE - _AXIS) / len(columns)
    for place, things in enumerate(columns):
        marks += _column(things, Box(_AXIS + place * w, top, w, floor - top), scale)
    return marks


def _toward(wall: Wall, y: float) -> list[Mark]:
    """Which way left and right lie, below a view; nothing where the record does not tell it."""
    ends = ends_of(wall)
    if ends is None:
        return []
    half = (WIDTH - EDGE - _AXIS) / 2
    return [
        *set_text((Say(f"toward {ends[0]}"),), _AXIS, y, half),
        *set_text((Say(f"toward {ends[1]}"),), _AXIS + half, y, half, anchor="end"),
    ]


def _axis(floor: float, scale: float) -> list[Mark]:
    highest = _TALL / scale
    marks: list[Mark] = [
        Line(((_AXIS, floor), (WIDTH - EDGE, floor)), Stroke.HEAVY),
        Line(((_AXIS, floor), (_AXIS, floor - highest * scale))),
    ]
    step = _STEP
    while highest / 12 / step > _MOST_HEIGHTS:
        step *= 2
    for feet in range(0, int(highest / 12 + 0.01) + 1, step):
        y = floor - feet * 12 * scale
        marks.append(Line(((_AXIS - 4, y), (_AXIS, y))))
        text = Say(f"{feet} ft")
        marks += set_text((text,), EDGE, y - SMALL * LINE / 2, _AXIS - 6 - EDGE, anchor="end")
    return marks


def _column(things: list[Thing], column: Box, scale: float) -> list[Mark]:
    """Things at their heights on a stem from the floor; at half height, broken, where the height is not known."""
    middle, below = column.x + column.w / 2, column.bottom
    marks: list[Mark] = []
    for thing in sorted(things, key=lambda thing: _up(thing, scale)):
        fact = height_fact(thing)
        if isinstance(thing, Panel) and thing.headroom.value is not None:
            high = magnitude(thing.headroom.value, "inch") * scale
            marks.append(Box(column.x + 3, column.bottom - high, column.w - 6, high, Stroke.FAINT))
        w = _code_width(thing.code)
        y = min(column.bottom - _up(thing, scale) - _BADGE / 2, column.bottom - _BADGE - 2)
        badge = Box(middle - w / 2, y, w, _BADGE, _stroke(thing, known=fact.known))
        inner = Box(middle - w / 2 + 4, y + (_BADGE - SMALL * LINE) / 2, w - 8, SMALL * LINE)
        label = Label(inner.x, inner.y, inner.w, inner.h, thing.code, SMALL, True, "middle", frame=badge)
        if badge.bottom < below - 2:
            stroke = Stroke.THIN if fact.known else Stroke.DASHED
            marks.append(Line(((middle, badge.bottom), (middle, below)), stroke))
        marks += [badge, label]
        below = badge.y
    says = []
    for thing in sorted(things, key=lambda thing: -_up(thing, scale)):
        fact = height_fact(thing)
        told = str(fact) if fact.known else "?"
        says.append(Say(f"{thing.code}: {told}" if len(things) > 1 else told, bold=True))
    return [*marks, *set_text(says, column.x + 2, column.bottom + 6, column.w - 4, anchor="middle")]


def _up(thing: Thing, scale: float) -> float:
    high = height_fact(thing).value
    return _TALL / 2 if high is None else magnitude(high, "inch") * scale


def _stroke(thing: Thing, *, known: bool) -> Stroke:
    if not known:
        return Stroke.DASHED
    return Stroke.THIN if thing.work == "existing" else Stroke.HEAVY
