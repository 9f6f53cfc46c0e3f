"""Which label stands where on which page, in millimetres from the page's upper left corner, and what is said beside it.

Lines are broken here with the widths of the font that is embedded, so that what is planned is what is printed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from handover.drawings.text import LINE, wrap
from handover.pack import Label

PAGE_WIDTH, PAGE_HEIGHT = 215.9, 279.4
"""Letter."""
LEFT, TOP, RIGHT, BOTTOM = 20.0, 26.0, 200.9, 258.0
"""Where labels and captions may stand; corner marks reach 4 mm beyond a label, the measuring line stands above."""
TEXT = 11 * 25.4 / 72
"""Size of the captions, 11 points."""
_BESIDE = 6.0
_BELOW = 6.0
_BETWEEN = 12.0
_NARROWEST = 58.0
"""A caption narrower than this goes below its label."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a caption."""

    text: str
    bold: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Art:
    """A label on a page."""

    label: Label
    x: float
    y: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Caption:
    """What is said about a label.  ``apart``: it found no room on the label's page, so it names that page."""

    name: str
    x: float
    y: float
    width: float
    lines: tuple[Line, ...]
    apart: bool = False

    @property
    def bottom(self) -> float:
        """Its lower end."""
        return self.y + len(self.lines) * LINE * TEXT


@dataclass(frozen=True, kw_only=True, slots=True)
class LabelPage:
    """One page.  It is Letter, unless a label is longer than that: nothing is cut off."""

    arts: tuple[Art, ...]
    captions: tuple[Caption, ...]

    @property
    def height(self) -> float:
        """The page's height in mm."""
        lowest = max((art.y + art.label.height_mm for art in self.arts), default=0.0)
        return max(PAGE_HEIGHT, lowest + PAGE_HEIGHT - BOTTOM)


def plain_pages(labels: Iterable[Label]) -> tuple[LabelPage, ...]:
    """Every label once, in the order given, as many on a page as fit, each with its caption beside or below it."""
    pages: list[LabelPage] = []
    arts: list[Art] = []
    captions: list[Caption] = []
    top = TOP

    def turn() -> None:
        nonlocal top
        if arts or captions:
            pages.append(LabelPage(arts=tuple(arts), captions=tuple(captions)))
        arts.clear()
        captions.clear()
        top = TOP

    for label in labels:
        caption = _caption(label, top)
        bottom = max(top + label.height_mm, caption.bottom)
        if bottom > BOTTOM and top > TOP:
            turn()
            caption = _caption(label, top)
            bottom = max(top + label.height_mm, caption.bottom)
        arts.append(Art(label=label, x=LEFT, y=top))
        if caption.bottom <= BOTTOM:
            captions.append(caption)
            top = bottom + _BETWEEN
            continue
        turn()
        caption = _caption_at(label, LEFT, top, RIGHT - LEFT, apart=True)
        captions.append(caption)
        top = caption.bottom + _BETWEEN
    turn()
    return tuple(pages)


def _caption(label: Label, top: float) -> Caption:
    """Beside the label where there is room for it, else below."""
    beside = LEFT + label.width_mm + _BESIDE
    if RIGHT - beside >= _NARROWEST:
        return _caption_at(label, beside, top, RIGHT - beside)
    return _caption_at(label, LEFT, top + label.height_mm + _BELOW, RIGHT - LEFT)


def _caption_at(label: Label, x: float, y: float, width: float, *, apart: bool = False) -> Caption:
    return Caption(name=label.name, x=x, y=y, width=width, lines=tuple(_lines(label, width)), apart=apart)


def _lines(label: Label, width: float) -> Iterator[Line]:
    said = (
        (label.title, True),
        (f"Goes: {label.goes}", False),
        (f"Material: {label.material}", False),
        (f"{label.width_mm:g} × {label.height_mm:g} mm", False),
        (f"Why: {label.why}" if label.why else "", False),
        (label.state, True),
        (label.address or "", False),
    )
    for text, bold in said:
        for line in wrap(text, TEXT, width, bold=bold):
            yield Line(line, bold)
