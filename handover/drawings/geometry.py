"""What a drawing is before it is SVG: boxes, lines and texts as plain numbers.  x runs right, y runs down.

One unit is one CSS pixel where the drawing is shown ``WIDTH`` pixels wide, as on a small phone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, TypeAlias

from handover.drawings.text import LINE, width, wrap

WIDTH = 320.0
"""Width of every drawing: a 360 px phone less the page's margins, so that no text comes out under ``SMALL`` pixels."""
EDGE = 6.0
SMALL = 12.0
LARGE = 15.0


class Stroke(StrEnum):
    """How a line or an outline is drawn.  Weight carries meaning, always together with a word."""

    THIN = "thin"
    HEAVY = "heavy"  # new on this job
    DASHED = "dashed"  # not known
    MARKED = "marked"  # the one that is looked for
    FAINT = "faint"  # frames and rows that mean nothing by themselves
    SOLID = "solid"  # filled with ink


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle."""

    x: float
    y: float
    w: float
    h: float
    stroke: Stroke = Stroke.THIN
    radius: float = 0.0

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.h

    def holds(self, other: Box | Label) -> bool:
        """Whether ``other`` lies within, to a hundredth of a unit."""
        slack = 0.01
        return (
            self.x - slack <= other.x
            and self.y - slack <= other.y
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


@dataclass(frozen=True, slots=True)
class Line:
    """A line through ``points``; ``closed`` joins the last to the first, and a SOLID one is then filled."""

    points: tuple[tuple[float, float], ...]
    stroke: Stroke = Stroke.THIN
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle about ``x``, ``y``."""

    x: float
    y: float
    r: float
    stroke: Stroke = Stroke.THIN


@dataclass(frozen=True, slots=True)
class Label:
    """One line of text in the box that it takes at the most; ``frame`` is the box that it belongs in, if any."""

    x: float
    y: float
    w: float
    h: float
    text: str
    size: float = SMALL
    bold: bool = False
    anchor: Literal["start", "middle", "end"] = "start"
    reverse: bool = False
    frame: Box | None = None

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.h


Mark: TypeAlias = Box | Line | Circle | Label


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A finished drawing as numbers.  ``summary`` is its short description, ``sentences`` say all that it shows."""

    name: str
    title: str
    summary: str
    height: float
    marks: tuple[Mark, ...]
    sentences: tuple[str, ...]
    width: float = WIDTH


@dataclass(frozen=True, slots=True)
class Say:
    """A paragraph to be set: wrapped to the width at hand."""

    text: str
    bold: bool = False
    size: float = SMALL


def height_of(says: Iterable[Say], max_width: float) -> float:
    """The height that paragraphs take when set one below the other."""
    return sum(
        len(wrap(say.text, say.size, max_width, bold=say.bold)) * say.size * LINE for say in says
    )  # the same sum that set_text makes, line by line


def set_text(
    says: Iterable[Say],
    x: float,
    y: float,
    max_width: float,
    *,
    frame: Box | None = None,
    anchor: Literal["start", "middle", "end"] = "start",
    reverse: bool = False,
) -> tuple[Label, ...]:
    """Paragraphs set one below the other from ``y`` on, within ``x`` and ``x + max_width``."""
    labels = []
    for say in says:
        for line in wrap(say.text, say.size, max_width, bold=say.bold):
            w = width(line, say.size, bold=say.bold)
            left = {"start": x, "middle": x + (max_width - w) / 2, "end": x + max_width - w}[anchor]
            labels.append(Label(left, y, w, say.size * LINE, line, say.size, say.bold, anchor, reverse, frame))
            y += say.size * LINE
    return tuple(labels)


def bottom_of(marks: Iterable[Mark], at_least: float) -> float:
    """The lowest point among marks, or ``at_least``."""
    return max((_bottom(mark) for mark in marks), default=at_least)


def _bottom(mark: Mark) -> float:
    if isinstance(mark, Line):
        return max(y for _, y in mark.points)
    return mark.y + mark.r if isinstance(mark, Circle) else mark.bottom
