"""QR codes (ISO/IEC 18004) as outlines for a label, and in a terminal.  The only module that imports segno."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

import segno

HIGHEST_VERSION = 5
"""The densest code this project prints: beyond it the modules get too small for a label of this size."""
_HIGHEST_TEXT_VERSION = 13
QUIET_ZONE = 4
"""ISO/IEC 18004, 9.1: modules of blank margin on every side (section number from memory)."""


LEAST_MODULE = {False: 0.8, True: 1.0}
"""Side of one module in millimetres, indoors and outdoors (True).

Common practice: a phone reads modules of 0.8 mm at 20 to 30 cm; outdoors dirt and glare ask for 1 mm.
"""
SCAN_FROM = {False: 250.0, True: 300.0}
"""Millimetres from which a code is to be read, indoors and outdoors: beside a panel, and over a plant or a car.

Our own choice, from how such labels are reached.  ``ISO/IEC 18004`` names no distance; a code is read from up to ten
times its side (a rule of thumb that the code's inventors give, as restated by others).
"""
_SIDES_AWAY = 10


class TooLong(ValueError):
    """An address that fits no code of the wanted size.  The message is what is wrong; ``remedy`` is what to do."""

    remedy = "Publish at a shorter address: write a shorter host or fewer folders in  job: publish_at ."


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code: version, error level, and its modules row by row (True is dark), without the quiet zone."""

    version: int
    level: str
    modules: tuple[tuple[bool, ...], ...]

    @property
    def side(self) -> int:
        """Modules along one side, quiet zone included."""
        return len(self.modules) + 2 * QUIET_ZONE


def code_of(address: str) -> Code:
    """The code that holds ``address``: capitals, digits and ``$%*+-./:`` only, so that it stays small.

    Level Q, which reads with about a quarter of the code lost; level M only where Q would need more than version 5.
    Raises TooLong, or ValueError for a letter that the alphanumeric mode does not have.
    """
    for level in ("Q", "M"):
        # boost_error off: the level asked for is the level printed.  An alphanumeric code of versions 1 to 5 at these
        # levels is found without trying, because segno takes the smallest version that holds the text.
        try:
            made = segno.make_qr(address, error=level, mode="alphanumeric", boost_error=False)
        except segno.DataOverflowError:
            continue
        version = int(made.version)
        if version <= HIGHEST_VERSION:
            modules = tuple(tuple(bool(module) for module in row) for row in made.matrix)
            return Code(version, level, modules)
    raise TooLong(f"{len(address)} characters do not fit a code that a phone reads from a label of this size")


def text_code(text: str) -> Code:
    """The code that holds a short plain text, at level M: it needs more modules than an address, and is larger for it.

    Raises TooLong beyond version 13, which holds 331 bytes at this level (ISO/IEC 18004, table 7, from memory).
    """
    # UTF-8 throughout: readers guess the letters beyond ASCII, and take some of Latin-1, such as "·", for Japanese.
    made = segno.make_qr(text, error="M", encoding="utf-8", boost_error=False)
    version = int(made.version)
    if version > _HIGHEST_TEXT_VERSION:
        raise TooLong(f"{len(text.encode())} bytes do not fit the code of a text")
    return Code(version, "M", tuple(tuple(bool(module) for module in row) for row in made.matrix))


def module_for(code: Code, *, outdoors: bool) -> float:
    """Millimetres a module, to a hundredth: the least that reads, more where the code has so few that it gets small."""
    for_distance = SCAN_FROM[outdoors] / _SIDES_AWAY / len(code.modules)
    return max(LEAST_MODULE[outdoors], math.ceil(for_distance * 100) / 100)


def outline(code: Code) -> str:
    """The dark parts as one SVG path in module units, quiet zone included, for ``fill-rule="evenodd"``.

    Outlines instead of a rectangle a module, so that no printer leaves hairlines between them and an engraver can cut
    them.
    """
    edges: dict[tuple[int, int], list[tuple[int, int]]] = {}

    def dark(x: int, y: int) -> bool:
        return 0 <= y < len(code.modules) and 0 <= x < len(code.modules) and code.modules[y][x]

    for y, row in enumerate(code.modules):
        for x, here in enumerate(row):
            if not here:
                continue
            # The sides that border on light, each in the direction that keeps the dark on its right.
            for beside, start, end in (
                ((x, y - 1), (x, y), (x + 1, y)),
                ((x + 1, y), (x + 1, y), (x + 1, y + 1)),
                ((x, y + 1), (x + 1, y + 1), (x, y + 1)),
                ((x - 1, y), (x, y + 1), (x, y)),
            ):
                if not dark(*beside):
                    edges.setdefault(start, []).append(end)
    return "".join(_loop(edges, start) for start in sorted(edges) if edges.get(start))


def _loop(edges: dict[tuple[int, int], list[tuple[int, int]]], start: tuple[int, int]) -> str:
    """One closed outline from ``start``, taking its sides out of ``edges``; corners only."""
    corners = [start]
    here = edges[start].pop()
    while here != start:
        onward = edges[here].pop()
        before = corners[-1]
        straight = (here[0] - before[0]) * (onward[1] - here[1]) == (here[1] - before[1]) * (onward[0] - here[0])
        if not straight:
            corners.append(here)
        here = onward
    points = [f"{x + QUIET_ZONE} {y + QUIET_ZONE}" for x, y in corners]
    return f"M{'L'.join(points)}Z"


def terminal_code(text: str) -> str:
    """A code for any short text, as lines of block letters for a terminal."""
    lines = io.StringIO()
    segno.make_qr(text).terminal(out=lines, compact=True)
    return lines.getvalue()
