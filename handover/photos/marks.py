"""Numbered rings and arrows on the published copy of a photo: told from any ground, and in black-only print."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

from handover.record.evidence import PhotoMark


def with_marks(picture: Image.Image, marks: Sequence[PhotoMark]) -> Image.Image:
    """A copy of the picture with its rings and arrows, numbered from 1: black in a white halo, number in a disc."""
    picture = picture.copy()
    for number, mark in enumerate(marks, start=1):
        _draw_mark(picture, mark, number)
    return picture


def _draw_mark(picture: Image.Image, mark: PhotoMark, number: int) -> None:
    longer = max(picture.size)
    stroke, disc = max(2.0, longer * 0.005), max(9.0, longer * 0.023)  # half the width of a line, radius of the disc
    x, y, reach = mark.x * picture.width, mark.y * picture.height, mark.size * longer
    # Towards the middle of the picture there is always room for the tail of an arrow, or the number of a ring.
    across, down = (1 if mark.x < 0.5 else -1), (1 if mark.y < 0.5 else -1)
    away = (reach / 2 + disc if mark.kind == "ring" else max(reach, 3 * disc)) * math.sqrt(0.5)
    centre = (x + across * away, y + down * away)
    half = math.ceil(max(reach / 2, away) + disc + 4 * stroke)
    left, top = math.floor(x) - half, math.floor(y) - half
    # Four times as large and then scaled down, since Pillow draws hard edges; only the part around the mark.
    ink = Image.new("L", (8 * half, 8 * half), 0)
    halo = Image.new("L", ink.size, 0)

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return (point[0] - left) * 4, (point[1] - top) * 4

    for layer, more in ((halo, stroke), (ink, 0.0)):
        draw = ImageDraw.Draw(layer)
        if mark.kind == "ring":
            _circle(draw, at((x, y)), (reach / 2 + stroke + more) * 4, fill=255)
            _circle(draw, at((x, y)), (reach / 2 - stroke - more) * 4, fill=0)
        else:
            _arrow(draw, at(centre), at((x, y)), stroke * 4, more * 4)
        _circle(draw, at(centre), (disc + more) * 4, fill=255)
    inside = ImageDraw.Draw(ink)
    _circle(inside, at(centre), (disc - stroke * 0.8) * 4, fill=0)
    inside.text(at(centre), str(number), fill=255, anchor="mm", font=ImageFont.load_default(disc * 4 * 1.25),
                stroke_width=round(disc * 0.12))  # fmt: skip
    for layer, colour in ((halo, "white"), (ink, "black")):
        mask = layer.resize((2 * half, 2 * half), Image.Resampling.BOX)
        picture.paste(colour, (left, top, left + 2 * half, top + 2 * half), mask)


def _circle(draw: ImageDraw.ImageDraw, centre: tuple[float, float], radius: float, fill: int) -> None:
    if radius > 0:
        draw.circle(centre, radius, fill=fill)


def _arrow(
    draw: ImageDraw.ImageDraw, tail: tuple[float, float], tip: tuple[float, float], half: float, around: float
) -> None:
    """A line from ``tail`` to ``tip`` with a head: ``half`` its half width, ``around`` added on all sides."""
    length = math.dist(tail, tip)
    ahead = ((tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length)

    def point(along: float, off: float) -> tuple[float, float]:
        return tip[0] - ahead[0] * along - ahead[1] * off, tip[1] - ahead[1] * along + ahead[0] * off

    neck, side = half * 6, half * 3.2
    outline = [point(0, 0), point(neck, side), point(neck, half), point(length, half), point(length, -half),
               point(neck, -half), point(neck, -side)]  # fmt: skip
    draw.polygon(outline, fill=255)
    if around:
        draw.line([*outline, *outline[:2]], fill=255, width=round(2 * around), joint="curve")
