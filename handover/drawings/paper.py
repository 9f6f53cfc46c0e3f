"""A tall drawing folded into columns, so that it can be read when printed on one Letter sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate, combinations_with_replacement, pairwise

from handover.drawings.geometry import EDGE, Circle, Label, Line, Mark, Sheet, bottom_of

_TALL = 1200.0  # a drawing of one column up to this height prints with letters of 6 points or more


def most_alike(heights: Sequence[float], columns: int) -> tuple[int, ...]:
    """Where to cut a row of parts into columns so that the tallest is as low as can be: indices of first parts."""
    return min(
        combinations_with_replacement(range(len(heights) + 1), columns - 1),
        key=lambda cuts: max(sum(heights[start:end]) for start, end in pairwise((0, *cuts, len(heights)))),
    )


def folded(sheet: Sheet, name: str, tops: Sequence[float]) -> Sheet:
    """The sheet in up to three columns, cut only at some of ``tops``, where no mark but a joint passes."""
    columns = min(3, 1 + int(sheet.height // _TALL), len(tops))
    if columns < 2:
        return replace(sheet, name=name)
    heights = [end - start for start, end in pairwise((0.0, *tops[1:], sheet.height))]
    starts = (0.0, *accumulate(heights))
    cuts = most_alike(heights, columns)
    begins = [starts[cut] for cut in cuts]
    marks: list[Mark] = []
    for mark in sheet.marks:
        column = sum(_middle(mark) > begin for begin in begins)
        marks.append(_moved(mark, column * (sheet.width + EDGE), EDGE - begins[column - 1] if column else 0.0))
    width = columns * (sheet.width + EDGE) - EDGE
    return replace(sheet, name=name, marks=tuple(marks), width=width, height=bottom_of(marks, 0) + EDGE)


def _middle(mark: Mark) -> float:
    if isinstance(mark, Line):
        heights = [y for _, y in mark.points]
        # A line on the very border, the tick under a straight piece, belongs to what it closes.
        return (min(heights) + max(heights)) / 2
    return mark.y if isinstance(mark, Circle) else (mark.y + mark.bottom) / 2


def _moved(mark: Mark, right: float, down: float) -> Mark:
    if isinstance(mark, Line):
        return replace(mark, points=tuple((x + right, y + down) for x, y in mark.points))
    if isinstance(mark, Label) and mark.frame is not None:
        frame = replace(mark.frame, x=mark.frame.x + right, y=mark.frame.y + down)
        return replace(mark, x=mark.x + right, y=mark.y + down, frame=frame)
    return replace(mark, x=mark.x + right, y=mark.y + down)
