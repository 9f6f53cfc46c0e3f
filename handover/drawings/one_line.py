"""The one-line drawing: from the utility down to every panel, source and circuit of the job, as an indented tree.

``supply_tree`` says what hangs on what; here that tree is given places on the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

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
from handover.drawings.paper import most_alike
from handover.drawings.supply_tree import Branch, Node, supply_tree
from handover.drawings.svg import to_drawing
from handover.drawings.text import LINE
from handover.pack import Drawing
from handover.record.installation import Installation
from handover.record.tracing import tracing

_STEP = 20.0  # from a wire to the next one in
_GAP = 7.0
_BETWEEN = 14.0
_ABREAST = 3  # columns on paper
_PAD = 5.0
_TEXT_AT = symbols.HALF + 5  # text stands this far right of its wire
_LEAST_TEXT = 170.0  # deep trees are indented less, rather than squeeze their text


@dataclass(frozen=True, slots=True)
class _Column:
    """A strip of the sheet, from ``left`` to ``right``; ``step`` is how far each level is set in."""

    left: float
    right: float
    step: float

    @property
    def wire(self) -> float:
        """Where the first wire runs."""
        return self.left + symbols.HALF + 2


def one_line(installation: Installation) -> Drawing:
    """The whole installation in one strip, for a phone."""
    return to_drawing(one_line_sheet(installation))


def one_line_on_paper(installation: Installation) -> Drawing:
    """The same in three columns, for one Letter sheet; each panel and transfer switch starts anew there."""
    return to_drawing(letter_sheet(installation))


def one_line_sheet(installation: Installation) -> Sheet:
    """The strip as numbers."""
    roots = supply_tree(installation)
    return _sheet(installation, "one-line", (roots,), roots, WIDTH)


def letter_sheet(installation: Installation) -> Sheet:
    """The three columns as numbers, cut where they come out most nearly alike."""
    whole = supply_tree(installation)
    roots = tuple(part for root in whole for part in _apart(root))
    column = _column(roots, EDGE)
    heights = [bottom_of(_node(root, column.wire, 0, column), 0) + _BETWEEN for root in roots]
    first, second = most_alike(heights, _ABREAST)
    columns = (roots[:first], roots[first:second], roots[second:])
    w = _ABREAST * (WIDTH + EDGE) - EDGE
    return _sheet(installation, "one-line-paper", columns, whole, w)


def _sheet(
    installation: Installation, name: str, columns: tuple[tuple[Node, ...], ...], told: tuple[Node, ...], w: float
) -> Sheet:
    title = f"One-line: {installation.record.site.name}"
    key = Say("Heavy line and NEW: of this job. Dashed: not known or not recorded.")
    marks: list[Mark] = list(set_text((Say(title, bold=True, size=LARGE), key), EDGE, EDGE, w - 2 * EDGE))
    top = bottom_of(marks, EDGE) + 10
    for number, roots in enumerate(columns):
        column = _column(roots, EDGE + number * (WIDTH + EDGE))
        y = top
        for root in roots:
            placed = _node(root, column.wire, y, column)
            marks += placed
            y = bottom_of(placed, y) + _BETWEEN
    marks += _legend(tuple(root for roots in columns for root in roots), bottom_of(marks, top) + _BETWEEN, w)
    open_questions = _not_known(installation)
    foot = (*(Say(text, bold=place == 0) for place, text in enumerate(open_questions)),)
    marks += set_text(foot, EDGE, bottom_of(marks, top) + 8, w - 2 * EDGE)
    marks += set_text((Say(words.revision(installation.record)),), EDGE, bottom_of(marks, top) + 8, w - 2 * EDGE)
    return Sheet(
        name=name,
        title=title,
        summary="How the supply reaches every panel and circuit of this job. The text with this drawing says the same.",
        height=bottom_of(marks, top) + EDGE,
        width=w,
        marks=tuple(marks),
        sentences=(
            words.sentence(title),
            *(sentence for root in told for sentence in _sentences(root)),
            *(words.sentence(text) for text in open_questions),
        ),
    )


def _not_known(installation: Installation) -> tuple[str, ...]:
    """What the record says that nobody knows, in one place: its unknowns, and breakers that were not followed."""
    record = installation.record
    told = [f"{f'{item.code}: ' if item.code else ''}{item.what} ({item.place})" for item in record.unknowns]
    for panel in record.panels:
        doubtful = tracing(panel).told(listing=True)
        if doubtful:
            told.append(f"{panel.code}: {doubtful}")
    return ("Not known, as recorded:", *told) if told else ()


def _column(roots: tuple[Node, ...], left: float) -> _Column:
    depth = max((_depth(root) for root in roots), default=0)
    room = WIDTH - 2 * EDGE - 2 * symbols.HALF - 2 * _PAD - _TEXT_AT - _LEAST_TEXT
    return _Column(left, left + WIDTH - 2 * EDGE, min(_STEP, room / max(1, depth)))


def _apart(node: Node) -> list[Node]:
    """The node without the trees below it, then each of those as a tree of its own.  Words tell where it goes on."""
    branches: list[Branch] = []
    cut: list[Node] = []
    for branch in node.branches:
        below = branch.node
        if below is None:
            branches.append(branch)
            continue
        if len(node.branches) == 1 or len(below.branches) < 2:
            below, *deeper = _apart(below)
            branches.append(replace(branch, node=below))
            cut += deeper
            continue
        on = Say(f"Goes on at: {below.says[0].text}")
        branches.append(replace(branch, node=None, says=(*branch.says, on), ends_in_use=True))
        first, *rest = below.says
        cut += _apart(replace(below, says=(first, Say(f"From: {branch.says[0].text}"), *rest)))
    return [replace(node, branches=tuple(branches)), *cut]


def _depth(node: Node) -> int:
    indent = 1 if len(node.branches) > 1 else 0
    return max((indent + _depth(branch.node) if branch.node else indent for branch in node.branches), default=0)


def _node(node: Node, x: float, y: float, column: _Column) -> list[Mark]:
    """The box of a node whose wire comes down at ``x``, with all that hangs below it."""
    left = x - symbols.HALF - 2
    room = column.right - (x + _TEXT_AT) - _PAD
    text = height_of(node.says, room)
    h = max(symbols.HEIGHT + 6, text + 2 * _PAD)
    box = Box(left, y, column.right - left, h, node.stroke)
    marks: list[Mark] = [box, *node.symbol.draw(x, y)]
    if node.branches and node.passes:
        marks.append(Line(((x, y + symbols.HEIGHT), (x, y + h))))
    marks += set_text(node.says, x + _TEXT_AT, y + (h - text) / 2, room, frame=box)
    if len(node.branches) == 1:
        return [*marks, *_branch(node.branches[0], x, y + h, column)]
    below = y + h
    elbow = below
    for branch in node.branches:
        elbow = bottom_of(marks, below) + _GAP
        inner = x + column.step
        marks.append(Line(((x, elbow), (inner, elbow)), branch.stroke))
        marks += _branch(branch, inner, elbow, column)
    if node.branches:
        marks.append(Line(((x, below), (x, elbow))))
    return marks


def _branch(branch: Branch, x: float, y: float, column: _Column) -> list[Mark]:
    """A wire down at ``x`` with its device, what is written beside it, and the node that it ends at."""
    text = set_text(branch.says, x + _TEXT_AT, y + 3, column.right - (x + _TEXT_AT))
    end = max(y + symbols.HEIGHT, bottom_of(text, y) + 3)
    wired = branch.symbol is symbols.WIRE
    device = (Line(((x, y), (x, y + symbols.HEIGHT)), branch.stroke),) if wired else branch.symbol.draw(x, y)
    marks: list[Mark] = [*device, *text]
    if branch.node is None and not branch.ends_in_use:
        return marks
    if branch.node is None:
        end = max(end, y + symbols.HEIGHT + 14)
        tip = ((x - 5, end - 10), (x + 5, end - 10), (x, end))
        wire = Line(((x, y + symbols.HEIGHT), (x, end - 10)), branch.stroke)
        return [*marks, wire, Line(tip, Stroke.SOLID, closed=True)]
    if end > y + symbols.HEIGHT:
        marks.append(Line(((x, y + symbols.HEIGHT), (x, end)), branch.stroke))
    return [*marks, *_node(branch.node, x, end, column)]


def _sentences(node: Node) -> list[str]:
    told = [node.sentence]
    for branch in node.branches:
        told.append(branch.sentence)
        if branch.node is not None:
            told += _sentences(branch.node)
    return told


def _legend(roots: tuple[Node, ...], y: float, w: float) -> list[Mark]:
    """The symbols that this drawing uses, each with its meaning."""
    used: list[symbols.Symbol] = []
    for root in roots:
        for symbol in _symbols(root):
            if symbol not in used and symbol is not symbols.WIRE:
                used.append(symbol)
    marks: list[Mark] = [
        Line(((EDGE, y), (w - EDGE, y)), Stroke.FAINT),
        *set_text((Say("Symbols in this drawing", bold=True),), EDGE, y + 4, w - 2 * EDGE),
    ]
    y += 4 + SMALL * LINE + 4
    abreast = int(w // (WIDTH / 2))
    each = (w - 2 * EDGE) / abreast
    room = each - 40
    for row_of in (used[at : at + abreast] for at in range(0, len(used), abreast)):
        row = max(symbols.HEIGHT, *(height_of((Say(symbol.meaning),), room) for symbol in row_of))
        for column, symbol in enumerate(row_of):
            x, text = EDGE + column * each, (Say(symbol.meaning),)
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
