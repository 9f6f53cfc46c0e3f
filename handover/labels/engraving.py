"""A label's art for an engraver: its letters as outlines, because his machine may not have the font.

The only module that imports fontTools.  The art for screen and printer keeps real text, which can be read aloud.
"""

from __future__ import annotations

import re
from functools import cache
from html import unescape

from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont

from handover.labels.make import MATERIAL
from handover.pack import Label
from handover.resources import shipped

_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}
"""The font that travels with the program, by boldness; the art was laid out for its widths."""
_TEXT = re.compile(r'<text x="([-\d.]+)" y="([-\d.]+)" font-size="([\d.]+)"( font-weight="bold")?>([^<]*)</text>')


@cache
def _font(bold: bool) -> TTFont:
    return TTFont(shipped("site_templates", "pdf", "fonts") / _FILES[bold])


@cache
def _glyph(letter: str, bold: bool) -> tuple[str, int] | None:
    """A letter's outline as path data in font units, y upwards, and its advance; None where the font lacks it."""
    name = _font(bold).getBestCmap().get(ord(letter))
    if name is None:
        return None
    glyphs = _font(bold).getGlyphSet()
    pen = SVGPathPen(glyphs)
    glyphs[name].draw(pen)
    return str(pen.getCommands()), int(glyphs[name].width)


def advance(text: str, bold: bool) -> float:
    """The room that a line takes as outlines, in font sizes: without kerning, which would bring letters nearer."""
    return sum(found[1] for letter in text if (found := _glyph(letter, bold))) / float(_font(bold)["head"].unitsPerEm)


def is_plate(label: Label) -> bool:
    """Whether the label is one that may be engraved: all black on white, on a material that lasts."""
    return label.material in MATERIAL.values()


def outlined(svg: str) -> str:
    """The art with every line of text as filled outlines, at the same place and size.

    A line with a letter that the font lacks stays text, whole: a plate must not lose a letter unseen.
    """
    return _TEXT.sub(_outlined_line, svg)


def _outlined_line(found: re.Match[str]) -> str:
    x, y, size, weight, written = found.groups()
    bold = weight is not None
    glyphs = [_glyph(letter, bold) for letter in unescape(written)]
    if None in glyphs:
        return found.group()
    parts, at = [], 0
    for outline, advance in filter(None, glyphs):
        if outline:
            parts.append(f'<path transform="translate({at} 0)" d="{outline}"/>')
        at += advance
    scale = f"{float(size) / _font(bold)['head'].unitsPerEm:.8f}"
    return f'<g transform="translate({x} {y}) scale({scale} -{scale})">{"".join(parts)}</g>'
