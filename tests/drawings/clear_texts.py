"""What every sheet must keep to: texts large enough, within their frames, apart from each other and from lines."""

from __future__ import annotations

from itertools import pairwise

from handover.drawings.geometry import SMALL, Box, Label, Line, Sheet


def overlap(one: Label | Box, other: Label | Box) -> bool:
    slack = 0.01
    across = one.x < other.right - slack and other.x < one.right - slack
    return across and one.y < other.bottom - slack and other.y < one.bottom - slack


def crosses(line: Line, label: Label) -> bool:
    """Whether a straight part of the line runs through the body of the text: its box less the room above and below."""
    low, high = label.y + 0.25 * label.size, label.bottom - 0.3 * label.size
    closing = ((line.points[-1], line.points[0]),) if line.closed else ()
    for (x1, y1), (x2, y2) in (*pairwise(line.points), *closing):
        for part in range(21):
            x, y = x1 + (x2 - x1) * part / 20, y1 + (y2 - y1) * part / 20
            if label.x < x < label.right and low < y < high:
                return True
    return False


def texts_stand_apart(sheet: Sheet) -> None:
    """Every text of a sheet is of the smallest size or more, within sheet and frame, and overlaps no other."""
    page = Box(0, 0, sheet.width, sheet.height)
    labels = sorted((mark for mark in sheet.marks if isinstance(mark, Label)), key=lambda label: label.y)
    for at, label in enumerate(labels):
        assert label.size >= SMALL, (sheet.name, label)
        assert page.holds(label), (sheet.name, label)
        assert label.frame is None or label.frame.holds(label), (sheet.name, label)
        for below in labels[at + 1 :]:
            if below.y >= label.bottom:
                break
            assert not overlap(label, below), (sheet.name, label, below)
