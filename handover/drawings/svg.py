"""A drawing's numbers as SVG with real text.  Colours and line weights are classes; ``drawings.css`` gives them."""

from __future__ import annotations

from html import escape

from handover.drawings.geometry import Box, Circle, Label, Line, Mark, Sheet
from handover.drawings.text import BASELINE
from handover.pack import Drawing


def to_drawing(sheet: Sheet) -> Drawing:
    """The drawing that the later stages take.  The same sheet gives the same bytes."""
    title, note = f"{sheet.name}-title", f"{sheet.name}-desc"
    size = f"{_number(sheet.width)} {_number(sheet.height)}"
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" id="{_text(sheet.name)}" viewBox="0 0 {size}"'
        f' role="img" aria-labelledby="{_text(title)} {_text(note)}">',
        f'<title id="{_text(title)}">{_text(sheet.title)}</title>',
        f'<desc id="{_text(note)}">{_text(sheet.summary)}</desc>',
        f'<rect class="d-sheet" width="{_number(sheet.width)}" height="{_number(sheet.height)}"/>',
        *(_element(mark) for mark in sheet.marks),
        "</svg>",
    ]
    return Drawing(
        name=sheet.name,
        title=sheet.title,
        svg="\n".join(lines) + "\n",
        width=sheet.width,
        height=sheet.height,
        equivalent=sheet.sentences,
    )


def standalone(svg: str, css: str) -> str:
    """An SVG file that can be opened by itself: the drawing with the stylesheet ``css`` inside."""
    head, _, rest = svg.partition(">\n")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{head}>\n<style>\n{_text(css)}</style>\n{rest}'


def _element(mark: Mark) -> str:
    if isinstance(mark, Label):
        return _label(mark)
    kind = f'class="d-{mark.stroke}"'
    if isinstance(mark, Circle):
        return f'<circle {kind} cx="{_number(mark.x)}" cy="{_number(mark.y)}" r="{_number(mark.r)}"/>'
    if isinstance(mark, Box):
        corner = f' rx="{_number(mark.radius)}"' if mark.radius else ""
        place = f'x="{_number(mark.x)}" y="{_number(mark.y)}" width="{_number(mark.w)}" height="{_number(mark.h)}"'
        return f"<rect {kind} {place}{corner}/>"
    return _line(mark, kind)


def _line(line: Line, kind: str) -> str:
    points = " ".join(f"{_number(x)},{_number(y)}" for x, y in line.points)
    open_class = kind if line.closed else f'class="d-{line.stroke} d-open"'
    name = "polygon" if line.closed else "polyline"
    return f'<{name} {open_class} points="{points}"/>'


def _label(label: Label) -> str:
    x = {"start": label.x, "middle": label.x + label.w / 2, "end": label.right}[label.anchor]
    anchor = "" if label.anchor == "start" else f' text-anchor="{label.anchor}"'
    kind = "d-text" + (" d-bold" if label.bold else "") + (" d-reverse" if label.reverse else "")
    place = f'x="{_number(x)}" y="{_number(label.y + BASELINE * label.size)}" font-size="{_number(label.size)}"'
    return f'<text class="{kind}" {place}{anchor}>{_text(label.text)}</text>'


def _number(value: float) -> str:
    """A coordinate to a hundredth, written the same on every machine."""
    return f"{value + 0.0:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"


def _text(text: str) -> str:
    return escape(text, quote=True)
