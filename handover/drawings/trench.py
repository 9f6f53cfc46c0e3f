"""A trench cut across: how deep a buried run lies, what lies above it, one section for each kind of stretch."""

from __future__ import annotations

from dataclasses import dataclass

from handover.drawings import words
from handover.drawings.geometry import (
    EDGE,
    WIDTH,
    Box,
    Circle,
    Line,
    Mark,
    Say,
    Stroke,
    height_of,
    set_text,
)
from handover.record.wiring import Run, Step
from handover.units import magnitude

_TEXT_AT = 138.0
_GROUND = 18.0  # below the top of a section
_DEEP = 58.0  # from the ground to the top of the pipe: the same in every section, for none is to scale
_PIPE = 8.0
_LEFT, _RIGHT = 72.0, 128.0  # the sides of the trench
_MEASURE = 62.0  # the line that carries the cover


@dataclass(frozen=True, slots=True)
class Stretch:
    """Straight pieces that lie in the ground alike."""

    step: Step
    pieces: tuple[Step, ...]


def stretches(run: Run) -> tuple[Stretch, ...]:
    """The buried straight pieces of a run, those alike together, in the record's order."""
    alike: dict[tuple[object, ...], list[Step]] = {}
    for step in run.path:
        if step.step == "straight" and step.surroundings == "underground":
            kind = (step.cover, step.cover_location, step.warning_ribbon, step.behind, step.method or run.method)
            alike.setdefault(kind, []).append(step)
    return tuple(Stretch(pieces[0], tuple(pieces)) for pieces in alike.values())


def stretch_says(run: Run, stretch: Stretch) -> tuple[Say, ...]:
    """All that a section tells."""
    step = stretch.step
    location = step.cover_location.value
    ribbon = words.fact(step.warning_ribbon, "Warning ribbon")
    if step.warning_ribbon.value is not None:
        ribbon = "Warning ribbon above it" if step.warning_ribbon.value else "No warning ribbon"
    cover = f"Cover {step.cover}" if step.cover.known else words.fact(step.cover, "Cover")
    lines = (
        _length(stretch),
        words.raceway(run) if not step.method or step.method == run.method else step.method,
        ribbon,
        f"Above it: {step.behind}" if step.behind else None,
        None if location in (None, "all locations not listed below") else f"Place: {location}",
    )
    return (Say(cover, bold=True), *(Say(line) for line in lines if line))


def _length(stretch: Stretch) -> str:
    known = [magnitude(piece.length.value, "foot") for piece in stretch.pieces if piece.length.value is not None]
    missing = len(stretch.pieces) - len(known)
    if not known:
        return "Length not recorded"
    total = f"{words.feet(sum(known))} in all" if len(known) > 1 else f"{words.feet(known[0])} long"
    return total if not missing else f"At least {total}; {missing} more not recorded"


def section(run: Run, stretch: Stretch, top: float) -> list[Mark]:
    """One section from ``top`` on: ground, trench, pipe, ribbon and cover, and beside it what it tells."""
    step = stretch.step
    ground, bottom = top + _GROUND, top + _GROUND + _DEEP + 2 * _PIPE + 4
    middle = (_LEFT + _RIGHT) / 2
    pipe = ground + _DEEP
    marks: list[Mark] = [
        Line(((EDGE + 4, ground), (_RIGHT + 4, ground))),
        *(Line(((x, ground), (x - 5, ground - 6)), Stroke.FAINT) for x in range(18, int(_RIGHT) + 4, 10)),
        Line(((_LEFT, ground), (_LEFT, bottom), (_RIGHT, bottom), (_RIGHT, ground)), Stroke.FAINT),
        Circle(middle, pipe + _PIPE, _PIPE, Stroke.HEAVY if run.work == "new" else Stroke.THIN),
    ]
    ribbon = step.warning_ribbon.value
    if ribbon is not False:
        stroke = Stroke.SOLID if ribbon else Stroke.DASHED
        marks.append(Box(_LEFT + 12, ground + _DEEP / 2 - 2, _RIGHT - _LEFT - 24, 4, stroke))
    marks += _cover(str(step.cover) if step.cover.known else "?", ground, pipe, known=step.cover.known)
    marks.append(Line(((_MEASURE - 4, pipe), (middle, pipe)), Stroke.FAINT))
    says = stretch_says(run, stretch)
    room = WIDTH - EDGE - _TEXT_AT
    marks += set_text(says, _TEXT_AT, max(top, (top + bottom - height_of(says, room)) / 2), room)
    return marks


def _cover(text: str, ground: float, pipe: float, *, known: bool) -> list[Mark]:
    """The cover: a line with a tick at each end, its length to the left."""
    stroke = Stroke.THIN if known else Stroke.DASHED
    ticks = [Line(((_MEASURE - 4, y), (_MEASURE + 4, y))) for y in (ground, pipe)]
    room = _MEASURE - 6 - EDGE
    says = (Say(text),)
    y = (ground + pipe - height_of(says, room)) / 2
    return [Line(((_MEASURE, ground), (_MEASURE, pipe)), stroke), *ticks, *set_text(says, EDGE, y, room, anchor="end")]
