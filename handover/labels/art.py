"""A label's art: where each line of text and the code stand, in mm, then as SVG.  Black on white only."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from html import escape

from handover.drawings.text import BASELINE, LINE, width, wrap
from handover.qr import Code, outline

EDGE = 3.5
"""Blank border inside the label's outline: room for a cutter's error."""
GAP = 2.0
# A capital of the named fonts is 0.716 of the font size high (Arial's own figure; from memory).
CAPITAL = 0.716
NAME_SIZES = (8.9, 7.4, 6.2)  # the first gives capitals of 1/4 in
BODY = 4.4
SMALL = 3.2
SMALLEST_CAPITAL = 2.2
_STEP = 5.0
_NAME_LINES = 2
_BADGE_HEIGHT = 9.0
_ROW_LINES = 4


@dataclass(frozen=True, slots=True)
class Row:
    """One statement on a label, on as many lines as it takes.  A long free text is cut with three dots."""

    text: str
    size: float = SMALL
    bold: bool = False
    most_lines: int = _ROW_LINES


@dataclass(frozen=True, kw_only=True, slots=True)
class Words:
    """What a label says: its code and name on top, then ``rows`` that run beside the QR and on below it."""

    code: str
    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One line of text: left end, baseline, and the most room it takes, in mm."""

    text: str
    x: float
    y: float
    size: float
    bold: bool

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom."""
        top = self.y - BASELINE * self.size
        return self.x, top, self.x + width(self.text, self.size, bold=self.bold), top + LINE * self.size


@dataclass(frozen=True, kw_only=True, slots=True)
class Art:
    """A label laid out: its size, its lines, the box round the short code, and the QR with its quiet zone."""

    title: str
    width: float
    height: float
    lines: tuple[Line, ...]
    badge: tuple[float, float, float, float]
    rule: float
    code: Code
    code_at: tuple[float, float]
    module: float

    @property
    def quiet_box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the QR with its quiet zone: nothing else may stand there."""
        side = self.code.side * self.module
        return *self.code_at, self.code_at[0] + side, self.code_at[1] + side


def lay_out(words: Words, code: Code, *, label_width: float, module: float) -> Art:
    """Everything in its place; the height follows the words, in steps of 5 mm, so that nothing is left out."""
    left, right = EDGE, label_width - EDGE
    badge_width = width(words.code, NAME_SIZES[-1], bold=True) + 2 * GAP
    badge = (right - badge_width, EDGE, right, EDGE + _BADGE_HEIGHT)
    heading_room = badge[0] - GAP - left
    heading = stack([_name_row(words.name, heading_room)], EDGE, left, lambda top: heading_room)
    badge_text = Line(
        text=words.code,
        x=badge[0] + GAP,
        y=(badge[1] + badge[3] + CAPITAL * NAME_SIZES[-1]) / 2,
        size=NAME_SIZES[-1],
        bold=True,
    )
    rule = max(bottom_of(heading), badge[3] + 1.2) + 0.4
    side = code.side * module
    # The quiet zone is blank, so it may run out over the border's margin, but not over its line.
    code_at = (label_width - side - 1.2, rule + 0.4)

    def room_at(top: float) -> float:
        return (code_at[0] - 0.5 if top < code_at[1] + side else right) - left

    rows = stack(words.rows, rule + 1.2, left, room_at)
    needed = max(bottom_of(rows), code_at[1] + side) + 2.0
    return Art(
        title=f"{words.code} {words.name}",
        width=label_width,
        height=math.ceil(needed / _STEP) * _STEP,
        lines=(*heading, badge_text, *rows),
        badge=badge,
        rule=rule,
        code=code,
        code_at=code_at,
        module=module,
    )


def _name_row(name: str, room: float) -> Row:
    """The name as large as it goes: on one line if it can, else on two, else smaller."""
    for lines in range(1, _NAME_LINES + 1):
        for size in NAME_SIZES[: lines + 1]:
            if len(wrap(name, size, room, bold=True)) <= lines:
                return Row(name, size, bold=True, most_lines=lines)
    return Row(name, NAME_SIZES[-1], bold=True, most_lines=_NAME_LINES)


def stack(rows: Iterable[Row], top: float, x: float, room_at: Callable[[float], float]) -> list[Line]:
    """Rows one below the other; a row that begins beside the QR keeps that width to its end."""
    lines = []
    for row in rows:
        room = room_at(top)
        for text in _clipped(wrap(row.text, row.size, room, bold=row.bold), row, room):
            lines.append(Line(text=text, x=x, y=top + BASELINE * row.size, size=row.size, bold=row.bold))
            top += LINE * row.size
        top += 0.2 * row.size
    return lines


def _clipped(lines: Sequence[str], row: Row, room: float) -> tuple[str, ...]:
    if len(lines) <= row.most_lines:
        return tuple(lines)
    last = lines[row.most_lines - 1]
    while last and width(f"{last}…", row.size, bold=row.bold) > room:
        last = last[:-1]
    return (*lines[: row.most_lines - 1], f"{last.rstrip()}…")


def bottom_of(lines: Sequence[Line]) -> float:
    """The lower end of the lowest line."""
    return max((line.box[3] for line in lines), default=0.0)


def to_svg(art: Art) -> str:
    """The art as SVG in real mm, with real text.  Same art, same bytes."""
    size = f"{mm(art.width)} {mm(art.height)}"
    left, top, right, bottom = art.badge
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{mm(art.width)}mm" height="{mm(art.height)}mm"'
        f' viewBox="0 0 {size}" role="img">',
        f"<title>{escape(art.title)}</title>",
        f'<rect width="{mm(art.width)}" height="{mm(art.height)}" fill="#fff"/>',
        f'<rect x="0.5" y="0.5" width="{mm(art.width - 1)}" height="{mm(art.height - 1)}" rx="2" fill="none"'
        ' stroke="#000" stroke-width="0.4"/>',
        f'<rect x="{mm(left)}" y="{mm(top)}" width="{mm(right - left)}" height="{mm(bottom - top)}" rx="1"'
        ' fill="none" stroke="#000" stroke-width="0.7"/>',
        f'<rect x="{mm(EDGE)}" y="{mm(art.rule - 0.35)}" width="{mm(art.width - 2 * EDGE)}" height="0.7"/>',
        '<g font-family="Arial, Helvetica, sans-serif" fill="#000">',
        *(text_element(line) for line in art.lines),
        "</g>",
        f'<path fill="#000" fill-rule="evenodd" transform="translate({mm(art.code_at[0])} {mm(art.code_at[1])})'
        f' scale({mm(art.module)})" d="{outline(art.code)}"/>',
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def text_element(line: Line) -> str:
    """A line as an SVG element."""
    weight = ' font-weight="bold"' if line.bold else ""
    return f'<text x="{mm(line.x)}" y="{mm(line.y)}" font-size="{mm(line.size)}"{weight}>{escape(line.text)}</text>'


def mm(value: float) -> str:
    """Millimetres to a hundredth, written the same on every machine."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
