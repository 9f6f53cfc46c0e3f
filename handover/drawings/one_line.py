"""The one-line drawing: from the utility down to every panel, source and circuit of the job, as an indented tree.

``supply_tree`` says what hangs on what; here that tree is given places on the sheet.
"""

from __future__ import annotations

from handover.drawings import symbols, words
from handover.drawings.geometry import (
    EDGE,
    LARGE,
    SMALL,
    WIDTH,
    Box,
    Line,
    Mark,
    Say,
    Sheet,
    Stroke,
    bottom_of,
    height_of,
    set_text,
)
from handover.drawings.supply_tree import Branch, Node, supply_tree
from handover.drawings.svg import to_drawing
from handover.drawings.text import LINE
from handover.pack import Drawing
from handover.record.installation import Installation

_STEP = 20.0  # from a wire to the next one in
_GAP = 7.0
_PAD = 5.0
_TEXT_AT = symbols.HALF + 5  # text stands this far right of its wire
_LEAST_TEXT = 170.0  # deep trees are indented less, rather than squeeze their text


def one_line(installation: Installation) -> Drawing:
    """The whole installation on one sheet."""
    return to_drawing(one_line_sheet(installation))


def one_line_sheet(installation: Installation) -> Sheet:
    """The same as numbers."""
    roots = supply_tree(installation)
    title = f"One-line: {installation.record.site.name}"
    marks: list[Mark] = list(
        set_text(
            (Say(title, bold=True, size=LARGE), Say("Heavy line and NEW: of this job. Dashed: not known.")),
            EDGE, EDGE, WIDTH - 2 * EDGE,
        )
    )  # fmt: skip
    y = bottom_of(marks, EDGE) + 10
    depth = max((_depth(root) for root in roots), default=0)
    room = WIDTH - 2 * EDGE - 2 * symbols.HALF - 2 * _PAD - _TEXT_AT - _LEAST_TEXT
    step = min(_STEP, room / max(1, depth))
    for root in roots:
        marks += _node(root, EDGE + symbols.HALF + 2, y, step)
        y = bottom_of(marks, y) + 14
    marks += _legend(roots, y)
    marks += set_text((Say(words.revision(installation.record)),), EDGE, bottom_of(marks, y) + 8, WIDTH - 2 * EDGE)
    return Sheet(
        name="one-line",
        title=title,
        summary="How the supply reaches every panel and circuit of this job. The text with this drawing says the same.",
        height=bottom_of(marks, y) + EDGE,
        marks=tuple(marks),
        sentences=tuple(sentence for root in roots for sentence in _sentences(root)),
    )


def _depth(node: Node) -> int:
    indent = 1 if len(node.branches) > 1 else 0
    return max((indent + _depth(branch.node) if branch.node else indent for branch in node.branches), default=0)


def _node(node: Node, x: float, y: float, step: float) -> list[Mark]:
    """The box of a node whose wire comes down at ``x``, with all that hangs below it."""
    left = x - symbols.HALF - 2
    room = WIDTH - EDGE - (x + _TEXT_AT) - _PAD
    text = height_of(node.says, room)
    h = max(symbols.HEIGHT + 6, text + 2 * _PAD)
    box = Box(left, y, WIDTH - EDGE - left, h, node.stroke)
    marks: list[Mark] = [box, *node.symbol.draw(x, y)]
    if node.branches and node.passes:
        marks.append(Line(((x, y + symbols.HEIGHT), (x, y + h))))
    marks += set_text(node.says, x + _TEXT_AT, y + (h - text) / 2, room, frame=box)
    if len(node.branches) == 1:
        return [*marks, *_branch(node.branches[0], x, y + h, step)]
    below = y + h
    elbow = below
    for branch in node.branches:
        elbow = bottom_of(marks, below) + _GAP
        inner = x + step
        marks.append(Line(((x, elbow), (inner, elbow)), branch.stroke))
        marks += _branch(branch, inner, elbow, step)
    if node.branches:
        marks.append(Line(((x, below), (x, elbow))))
    return marks


def _branch(branch: Branch, x: float, y: float, step: float) -> list[Mark]:
    """A wire down at ``x`` with its device, what is written beside it, and the node that it ends at."""
    room = WIDTH - EDGE - (x + _TEXT_AT)
    text = set_text(branch.says, x + _TEXT_AT, y + 3, room)
    end = max(y + symbols.HEIGHT, bottom_of(text, y) + 3)
    marks: list[Mark] = [*branch.symbol.draw(x, y), *text]
    if branch.node is None and not branch.ends_in_use:
        return marks
    if branch.node is None:
        end = max(end, y + symbols.HEIGHT + 14)
        tip = ((x - 5, end - 10), (x + 5, end - 10), (x, end))
        return [
            *marks,
            Line(((x, y + symbols.HEIGHT), (x, end - 10)), branch.stroke),
            Line(tip, Stroke.SOLID, closed=True),
        ]
    if end > y + symbols.HEIGHT:
        marks.append(Line(((x, y + symbols.HEIGHT), (x, end)), branch.stroke))
    return [*marks, *_node(branch.node, x, end, step)]


def _sentences(node: Node) -> list[str]:
    told = [node.sentence]
    for branch in node.branches:
        told.append(branch.sentence)
        if branch.node is not None:
            told += _sentences(branch.node)
    return told


def _legend(roots: tuple[Node, ...], y: float) -> list[Mark]:
    """The symbols that this drawing uses, each with its meaning."""
    used: list[symbols.Symbol] = []
    for root in roots:
        for symbol in _symbols(root):
            if symbol not in used and symbol is not symbols.WIRE:
                used.append(symbol)
    marks: list[Mark] = [
        Line(((EDGE, y), (WIDTH - EDGE, y)), Stroke.FAINT),
        *set_text((Say("Symbols in this drawing", bold=True),), EDGE, y + 4, WIDTH - 2 * EDGE),
    ]
    y += 4 + SMALL * LINE + 4
    half = (WIDTH - 2 * EDGE) / 2
    room = half - 40
    for pair in (used[at : at + 2] for at in range(0, len(used), 2)):
        row = max(symbols.HEIGHT, *(height_of((Say(symbol.meaning),), room) for symbol in pair))
        for column, symbol in enumerate(pair):
            x, text = EDGE + column * half, (Say(symbol.meaning),)
            marks += symbol.draw(x + symbols.HALF, y + (row - symbols.HEIGHT) / 2)
            marks += set_text(text, x + 34, y + (row - height_of(text, room)) / 2, room)
        y += row + 5
    return marks


def _symbols(node: Node) -> list[symbols.Symbol]:
    found = [node.symbol]
    for branch in node.branches:
        found.append(branch.symbol)
        if branch.node is not None:
            found += _symbols(branch.node)
    return found
