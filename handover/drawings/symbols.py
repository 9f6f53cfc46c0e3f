"""Symbols of the one-line drawing: shapes as described in IEC 60617 and IEEE 315, from memory of their descriptions.

The strap between neutral and ground is our own: no symbol of these standards for it is known to us.

Each stands on a wire that runs down at ``x``: from ``y`` to ``HEIGHT`` lower, within ``HALF`` on each side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import pi, sin

from handover.drawings.geometry import Box, Circle, Label, Line, Mark, Stroke
from handover.drawings.text import LINE, width

HEIGHT = 30.0
HALF = 13.0


def wire(x: float, y: float) -> tuple[Mark, ...]:
    """A plain wire, where nothing stands on it."""
    return (Line(((x, y), (x, y + HEIGHT))),)


def breaker(x: float, y: float) -> tuple[Mark, ...]:
    """A contact that opens, with the cross of a circuit breaker on its fixed side."""
    return (
        Line(((x, y), (x, y + 7))),
        Line(((x - 3.5, y + 3.5), (x + 3.5, y + 10.5))),
        Line(((x - 3.5, y + 10.5), (x + 3.5, y + 3.5))),
        Line(((x - 9, y + 9), (x, y + 22), (x, y + HEIGHT))),
    )


def transformer(x: float, y: float) -> tuple[Mark, ...]:
    """Two windings, drawn as circles that overlap."""
    return (
        Line(((x, y), (x, y + 2))),
        Circle(x, y + 10, 8),
        Circle(x, y + 20, 8),
        Line(((x, y + 28), (x, y + HEIGHT))),
    )


def earth(x: float, y: float) -> tuple[Mark, ...]:
    """Connection to the ground: three bars, each shorter than the one above."""
    bars = ((11.0, 14.0), (7.0, 19.0), (3.0, 24.0))
    return (
        Line(((x, y), (x, y + 14))),
        *(Line(((x - half, y + down), (x + half, y + down)), Stroke.HEAVY) for half, down in bars),
    )


def bond(x: float, y: float) -> tuple[Mark, ...]:
    """Two bars joined by a strap: neutral and equipment ground."""
    return (
        Line(((x, y), (x, y + 9))),
        Line(((x - 11, y + 9), (x + 11, y + 9)), Stroke.HEAVY),
        Line(((x, y + 9), (x, y + 21)), Stroke.HEAVY),
        Line(((x - 11, y + 21), (x + 11, y + 21)), Stroke.HEAVY),
        Circle(x, y + 9, 2.5, Stroke.SOLID),
        Circle(x, y + 21, 2.5, Stroke.SOLID),
    )


def generator(x: float, y: float) -> tuple[Mark, ...]:
    """A machine that makes current: a circle with a G."""
    w = width("G", 14, bold=True)
    ring = Box(x - 12, y + 3, 24, 24)
    letter = Label(x - w / 2, y + 15 - 14 * LINE / 2, w, 14 * LINE, "G", 14, bold=True, anchor="middle", frame=ring)
    return (Line(((x, y), (x, y + 3))), Circle(x, y + 15, 12), letter)


def converter(x: float, y: float) -> tuple[Mark, ...]:
    """Direct current turned into alternating: a box parted aslant, with the signs of both."""
    wave = tuple((x + 1 + step, y + 20.5 - 2.5 * sin(step * pi / 4)) for step in range(9))
    return (
        Line(((x, y), (x, y + 3))),
        Box(x - 12, y + 3, 24, 24),
        Line(((x - 12, y + 27), (x + 12, y + 3))),
        Line(((x - 9, y + 8), (x - 1, y + 8))),
        Line(((x - 9, y + 11), (x - 1, y + 11))),
        Line(wave),
    )


def battery(x: float, y: float) -> tuple[Mark, ...]:
    """Two cells: a long and a short plate each."""
    plates = ((11.0, 8.0), (5.0, 13.0), (11.0, 18.0), (5.0, 23.0))
    return (
        Line(((x, y), (x, y + 8))),
        *(Line(((x - half, y + down), (x + half, y + down)), Stroke.HEAVY) for half, down in plates),
    )


def transfer(x: float, y: float) -> tuple[Mark, ...]:
    """A switch with two inputs and one output, shown on the first input."""
    return (
        Line(((x, y), (x - 9, y + 4), (x - 9, y + 8))),
        Line(((x + 9, y + 2), (x + 9, y + 8))),
        Circle(x - 9, y + 9.5, 1.5, Stroke.SOLID),
        Circle(x + 9, y + 9.5, 1.5),
        Line(((x - 9, y + 10), (x, y + 23), (x, y + HEIGHT))),
    )


def unknown(x: float, y: float) -> tuple[Mark, ...]:
    """A thing of which it is not known what stands there: a dashed box with a question mark."""
    w = width("?", 14, bold=True)
    ring = Box(x - 10, y + 5, 20, 20, Stroke.DASHED)
    letter = Label(x - w / 2, y + 15 - 14 * LINE / 2, w, 14 * LINE, "?", 14, bold=True, anchor="middle", frame=ring)
    return (Line(((x, y), (x, y + 5)), Stroke.DASHED), ring, letter)


@dataclass(frozen=True, slots=True)
class Symbol:
    """A shape and what it means."""

    meaning: str
    draw: Callable[[float, float], tuple[Mark, ...]]


WIRE = Symbol("wire, no switch at this place", wire)
BREAKER = Symbol("circuit breaker", breaker)
TRANSFORMER = Symbol("the utility's transformer", transformer)
EARTH = Symbol("to the ground", earth)
BOND = Symbol("neutral joined to ground", bond)
GENERATOR = Symbol("generator", generator)
CONVERTER = Symbol("inverter: makes alternating current", converter)
BATTERY = Symbol("battery", battery)
TRANSFER = Symbol("transfer switch", transfer)
UNKNOWN = Symbol("not known", unknown)
