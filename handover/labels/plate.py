"""Signs, tags and cards in millimetres: a band with the signal word, statements below it, a code where one is wanted.

Colours and signal words are those of ANSI Z535.4.  The word carries the meaning, so a black-only print loses nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from handover.drawings.text import BASELINE, LINE, width
from handover.labels.art import CAPITAL, EDGE, Line, Row, bottom_of, mm, stack, text_element
from handover.qr import Code, outline

# Letter heights by viewing distance, ANSI Z535.2 as sign makers restate it: the signal word's at least 1/150 of the
# distance, the message's 1/300 and no less than 0.16 in, in bad light about double.  So capitals of 3/8 in and 1/4 in
# do from 1.4 m and 1.9 m, and from 0.7 m and 0.95 m, an arm's length and more, with a flashlight.
SIGNAL = 13.4
MESSAGE = 8.9
DETAIL = 5.7
"""Capitals of 0.16 in, the least for what a sign says."""
THREE_SIXTEENTHS = 6.7
"""Capitals of 3/16 in, as the sign for rapid shutdown asks below its title."""
CARD = 4.5
"""Capitals of 1/8 in: common practice for a directory, read at arm's length (0.97 m by the same rule)."""
HALF_INCH = 17.9
"""Capitals of 1/2 in, as the emergency disconnect asks."""

COLOURS = {
    "DANGER": ("#c8102e", "#fff"),
    "WARNING": ("#ff8200", "#000"),
    "CAUTION": ("#ffd100", "#000"),
    "NOTICE": ("#005eb8", "#fff"),
    "RED": ("#c8102e", "#fff"),
    "YELLOW": ("#ffd000", "#000"),
    "": ("#fff", "#000"),
}
"""Ground and ink by signal word (ANSI Z535.4; as screen values, chosen by us).

RED is a sign all white on red; YELLOW has its first statement, no signal word, black on yellow.
"""
_ALERT = ("DANGER", "WARNING", "CAUTION")  # ANSI Z535.4: the alert symbol stands before these, not before NOTICE
_BAND = 17.5
_TRIANGLE = 12.0
_STEP = 5.0

Box = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Plate:
    """A sign, tag or card laid out.  ``head`` are the lines on the band, ``rules`` thin lines and boxes' sides."""

    title: str
    signal: str
    width: float
    height: float
    head: tuple[Line, ...]
    lines: tuple[Line, ...]
    band: Box | None = None
    rules: tuple[Box, ...] = ()
    code: Code | None = None
    code_at: tuple[float, float] = (0.0, 0.0)
    module: float = 1.0

    @property
    def quiet_box(self) -> Box | None:
        """The code with its quiet zone: nothing else may stand there."""
        if self.code is None:
            return None
        side = self.code.side * self.module
        return *self.code_at, self.code_at[0] + side, self.code_at[1] + side

    @property
    def triangle(self) -> Box | None:
        """Where the alert symbol stands."""
        if self.band is None or self.signal not in _ALERT:
            return None
        left, top, _, bottom = self.band
        y = (top + bottom - _TRIANGLE * 0.9) / 2
        return left + 3, y, left + 3 + _TRIANGLE, y + _TRIANGLE * 0.9


def plate(
    title: str,
    rows: Sequence[Row],
    *,
    signal: str = "",
    plate_width: float,
    code: Code | None = None,
    module: float = 1.0,
    least_height: float = 0.0,
) -> Plate:
    """Everything in its place; the height follows the words, so that nothing is left out."""
    if signal == "RED":
        return _all_red(title, rows, plate_width)
    head: tuple[Line, ...] = ()
    band: Box | None = None
    top = EDGE
    if signal == "YELLOW":
        headline, *rows = rows
        head = tuple(stack((headline,), EDGE, EDGE + 1.5, lambda _top: plate_width - 2 * EDGE - 3))
        band = (0.7, 0.7, plate_width - 0.7, bottom_of(head) + 1.5)
        top = band[3] + 2
    elif signal:
        band = (0.7, 0.7, plate_width - 0.7, 0.7 + _BAND)
        start = band[0] + 3 + (_TRIANGLE + 3 if signal in _ALERT else 0)
        baseline = (band[1] + band[3] + CAPITAL * SIGNAL) / 2
        head = (Line(text=signal, x=start, y=baseline, size=SIGNAL, bold=True),)
        top = band[3] + 2
    left, right = EDGE, plate_width - EDGE
    side = code.side * module if code is not None else 0.0
    code_at = (plate_width - side - 1.2, top)

    def room_at(y: float) -> float:
        return (code_at[0] - 0.5 if code is not None and y < top + side else right) - left

    lines = stack(rows, top, left, room_at)
    needed = max(bottom_of(lines), top + side) + 2.0
    return Plate(
        title=title,
        signal=signal,
        width=plate_width,
        height=max(least_height, math.ceil(needed / _STEP) * _STEP),
        head=head,
        lines=tuple(lines),
        band=band,
        code=code,
        code_at=code_at,
        module=module,
    )


def _all_red(title: str, rows: Sequence[Row], plate_width: float) -> Plate:
    """White on red all over: the emergency disconnect."""
    lines = stack(rows, EDGE + 1, EDGE + 1.5, lambda _top: plate_width - 2 * EDGE - 3)
    height = math.ceil((bottom_of(lines) + EDGE + 1) / _STEP) * _STEP
    band = (0.7, 0.7, plate_width - 0.7, height - 0.7)
    return Plate(title=title, signal="RED", width=plate_width, height=height, head=tuple(lines), lines=(), band=band)


def strip(title: str, text: str, size: float) -> Plate:
    """One line on a strip as small as it can be: for the cover of an outlet."""
    line = Line(text=text, x=2.5, y=2.5 + BASELINE * size, size=size, bold=True)
    return Plate(
        title=title,
        signal="",
        width=math.ceil(width(text, size, bold=True) + 5),
        height=math.ceil(LINE * size + 5),
        head=(),
        lines=(line,),
    )


def to_svg(art: Plate) -> str:
    """The plate as SVG in real mm, with real text.  Same plate, same bytes."""
    ground, ink = COLOURS[art.signal]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{mm(art.width)}mm" height="{mm(art.height)}mm"'
        f' viewBox="0 0 {mm(art.width)} {mm(art.height)}" role="img">',
        f"<title>{escape(art.title)}</title>",
        f'<rect width="{mm(art.width)}" height="{mm(art.height)}" fill="#fff"/>',
    ]
    if art.band is not None:
        left, top, right, bottom = map(mm, art.band)
        parts.append(f'<path fill="{ground}" d="M{left} {top}H{right}V{bottom}H{left}z"/>')
        if art.signal != "RED":
            parts.append(f'<rect x="{left}" y="{bottom}" width="{mm(art.band[2] - art.band[0])}" height="0.5"/>')
    parts.append(
        f'<rect x="0.5" y="0.5" width="{mm(art.width - 1)}" height="{mm(art.height - 1)}" fill="none"'
        ' stroke="#000" stroke-width="0.4"/>'
    )
    parts += [
        f'<path fill="none" stroke="#000" stroke-width="0.3" d="M{mm(x)} {mm(y)}L{mm(to_x)} {mm(to_y)}"/>'
        for x, y, to_x, to_y in art.rules
    ]
    parts += _alert(art, ground, ink)
    for lines, fill in ((art.head, ink), (art.lines, "#000")):
        if lines:
            group = f'<g font-family="Arial, Helvetica, sans-serif" fill="{fill}">'
            parts += [group, *map(text_element, lines), "</g>"]
    if art.code is not None:
        parts.append(
            f'<path fill="#000" fill-rule="evenodd" transform="translate({mm(art.code_at[0])} {mm(art.code_at[1])})'
            f' scale({mm(art.module)})" d="{outline(art.code)}"/>'
        )
    return "\n".join([*parts, "</svg>"]) + "\n"


def _alert(art: Plate, ground: str, ink: str) -> list[str]:
    """The safety alert symbol: a triangle in the ink with the bang in the ground's colour."""
    if art.triangle is None:
        return []
    x, y, *_ = art.triangle
    place = f'transform="translate({mm(x)} {mm(y)}) scale({mm(_TRIANGLE / 24)})"'
    return [
        f'<g {place}><path fill="{ink}" d="M12 0 24 21.6H0z"/>',
        f'<path fill="{ground}" d="M10.7 7h2.6l-.5 7.2h-1.6zm0 8.8h2.6v2.5h-2.6z"/></g>',
    ]
