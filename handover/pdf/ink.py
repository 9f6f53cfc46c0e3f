"""Drawings and labels as SVG for paper: black on white, in the font that is embedded."""

from __future__ import annotations

import re
from functools import cache

from handover.drawings.svg import standalone
from handover.pdf.typesetting import FONT
from handover.resources import shipped

_NAMED_FONTS = re.compile(r'font-family="[^"]*"')


@cache
def _ink() -> str:
    """The drawings' own line weights, without what only a screen has: variables, sizes, dark mode."""
    css = shipped("site_templates", "css", "drawings.css").read_text(encoding="utf-8")
    rules = "\n".join(line for line in css.splitlines() if line.startswith(".drawing .d-"))
    black = re.sub(r"var\(--d-(?:ink|soft)\)", "#000", rules.replace("var(--d-paper)", "#fff"))
    return f'{black}\n.drawing .d-text {{ font-family: "{FONT}"; }}\n'


def drawing_on_paper(svg: str) -> bytes:
    """A drawing as a file of its own."""
    return standalone(svg, _ink()).encode()


def label_on_paper(svg: str) -> bytes:
    """A label's art as a file; the fonts that it names give way to ours, whose widths it was laid out for."""
    return _NAMED_FONTS.sub(f'font-family="{FONT}"', svg).encode()
