"""The directory card of a panel: every space in the panel's own numbering, with what it feeds, large enough to read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from handover.checks.panels import short_words
from handover.drawings import words as told
from handover.drawings.panel_words import Entry, entries_of
from handover.drawings.panel_words import place_of as place_in_panel
from handover.drawings.text import BASELINE, LINE, width, wrap
from handover.labels.art import CAPITAL, EDGE, SMALL, Line, Row, bottom_of, stack
from handover.labels.plate import CARD, MESSAGE, Plate
from handover.labels.words import place_of, rating, said
from handover.record.installation import Installation
from handover.record.supply import Panel, Slot
from handover.record.tracing import tracing, untraced

WIDTH = 176.0
HIGHEST = 230.0
"""The size of a card that prints on one Letter sheet, in millimetres."""
NUMBER = 5.2
"""Size of the space numbers: as large as a row lets them."""
_NUMBER = 11.0
_PAD = 0.5
_INDENT = 1.2
_LEAST_ROW = 6.6
_ALL = 40


@dataclass(frozen=True, slots=True)
class _Cell:
    """An entry's text, wrapped, before it has a place."""

    entry: Entry
    lines: tuple[tuple[str, bool], ...]

    @property
    def height(self) -> float:
        return len(self.lines) * CARD * LINE + 2 * _PAD


def directory_cards(installation: Installation, panel: Panel, catalogue: dict[str, Any]) -> tuple[Plate, ...]:
    """The card, or as many as the spaces take; no breaker is parted between two.  Made from the record as posted."""
    both = panel.numbering != "down one side"
    column = (WIDTH - 2 * EDGE) / (2 if both else 1)
    cells = [
        _cell(installation, entry, column - _NUMBER - 2 * _INDENT) for entry in entries_of(installation, panel, None)
    ]
    heights = _row_heights(cells)
    heading = stack(_heading(installation, panel), EDGE, EDGE, lambda _top: WIDTH - 2 * EDGE)
    top = bottom_of(heading) + 1.5
    longest = _foot(installation, panel, catalogue, "Card 1 of 2. ")
    foot_height = bottom_of(stack(longest, 0, EDGE, lambda _top: WIDTH - 2 * EDGE)) + 4
    pieces = _pieces(cells, heights, HIGHEST - top - foot_height)
    cards = []
    for number, (first, end) in enumerate(pieces, 1):
        tops = [top + sum(heights[first:row]) for row in range(first, end + 1)]
        lines, rules = _table(panel, [cell for cell in cells if first <= cell.entry.first < end], first, tops, column)
        part = f"Card {number} of {len(pieces)}. " if len(pieces) > 1 else ""
        foot_rows = _foot(installation, panel, catalogue, part)
        foot = stack(foot_rows, tops[-1] + 2, EDGE, lambda _top: WIDTH - 2 * EDGE)
        cards.append(
            Plate(
                title=f"Directory of {panel.code}" + (f", card {number}" if part else ""),
                signal="",
                width=WIDTH,
                height=round(bottom_of(foot) + 2.5, 1),
                head=(),
                lines=(*heading, *lines, *foot),
                rules=tuple(rules),
            )
        )
    return tuple(cards)


def _heading(installation: Installation, panel: Panel) -> Iterator[Row]:
    yield Row(f"{panel.code} {panel.name}", MESSAGE, bold=True)
    at = installation.fed_from(panel)
    feeder, above = installation.feeder_to(panel), installation.upstream(panel)
    if panel is installation.service_panel:
        fed = "Fed by the utility; its main is the service disconnect."
    elif at is not None:
        fed = f"Fed from {place_of(at)}, {rating(at)}."
    elif feeder is not None and above is not None:
        fed = f"Fed from {above.code} {above.name}, through its lugs."
    else:
        fed = "Fed from: not recorded."
    main = f"Main breaker {said(panel.main)}" if panel.main_kind == "main breaker" else "Main lugs, no main breaker"
    yield Row(f"{fed} {main}, {said(panel.volts)}.", CARD, bold=True, most_lines=_ALL)
    others = installation.sources_reaching(panel)
    if others:
        named = "; ".join(f"{source.code} {source.name}" for source in others)
        yield Row(f"Can also be made live by: {named}.", CARD, bold=True, most_lines=_ALL)


def _cell(installation: Installation, entry: Entry, room: float) -> _Cell:
    if entry.slot is None or entry.second_side:
        said_lines = [(say.text, False) for say in entry.says]
    elif entry.slot.blank:
        said_lines = [("blank, no breaker", False)]
    else:
        breaker, spaces = entry.slot.breaker, entry.slot.spaces
        amperes = said(breaker.rating) if breaker is not None else "breaker not recorded"
        guard = told.protection(breaker) if breaker is not None else ()
        poles = (f"{len(spaces)} poles",) if len(spaces) > 1 else ()
        doubt = ("not traced",) if untraced(entry.slot) else ()
        said_lines = [
            (_feeds(installation, entry.slot), True),
            (", ".join((amperes, *poles, *guard, *doubt)), False),
        ]
        one = f"{said_lines[0][0]}  {said_lines[1][0]}"
        if len(spaces) == 1 and width(one, CARD, bold=True) <= room:
            said_lines = [(f"{said_lines[0][0]}, {said_lines[1][0]}", True)]
    wrapped = ((line, bold) for text, bold in said_lines for line in wrap(text, CARD, room, bold=bold))
    return _Cell(entry, tuple(wrapped))


def _feeds(installation: Installation, slot: Slot) -> str:
    """What a breaker feeds; a card that is to be the directory does not say that the directory has no entry."""
    known = slot.feeds or slot.says or slot.says_posted
    return installation.slot_name(slot) if known else "not known what it feeds"


def _row_heights(cells: list[_Cell]) -> list[float]:
    """Each row as high as its cells need; a breaker of several rows stretches its last one."""
    heights = [_LEAST_ROW] * (max(cell.entry.last for cell in cells) + 1)
    for cell in sorted(cells, key=lambda cell: cell.entry.last - cell.entry.first):
        first, last = cell.entry.first, cell.entry.last
        lacking = cell.height - sum(heights[first : last + 1])
        if lacking > 0:
            heights[last] += lacking
    return heights


def _pieces(cells: list[_Cell], heights: list[float], most: float) -> list[tuple[int, int]]:
    """The rows from and to which each card goes."""
    pieces, first = [], 0
    while first < len(heights):
        end = first + 1
        while end < len(heights) and sum(heights[first : end + 1]) <= most:
            end += 1
        while (
            end < len(heights) and any(cell.entry.first < end <= cell.entry.last for cell in cells) and end > first + 1
        ):
            end -= 1
        # A breaker taller than a card would part nowhere: then it stays whole and the card grows.
        while any(cell.entry.first < end <= cell.entry.last for cell in cells):
            end += 1
        pieces.append((first, end))
        first = end
    return pieces


def _table(
    panel: Panel, cells: list[_Cell], first: int, tops: list[float], column: float
) -> tuple[list[Line], list[tuple[float, float, float, float]]]:
    """The cells as lines of text, and the thin lines round them."""
    lines, rules = [], []
    for cell in cells:
        entry = cell.entry
        left = EDGE if entry.side == "left" else EDGE + column
        right = left + column
        top, bottom = tops[entry.first - first], tops[entry.last - first + 1]
        inner = left + _NUMBER
        rules += [(left, top, right, top), (left, bottom, right, bottom), (left, top, left, bottom)]
        rules += [(right, top, right, bottom), (inner, top, inner, bottom)]
        for space in entry.spaces:
            row = place_in_panel(panel, space)[0]
            middle = (tops[row - first] + tops[row - first + 1]) / 2
            number = str(space)
            x = left + (_NUMBER - width(number, NUMBER, bold=True)) / 2
            lines.append(Line(text=number, x=x, y=middle + CAPITAL * NUMBER / 2, size=NUMBER, bold=True))
        y = (top + bottom - len(cell.lines) * CARD * LINE) / 2
        for text, bold in cell.lines:
            lines.append(Line(text=text, x=inner + _INDENT, y=y + BASELINE * CARD, size=CARD, bold=bold))
            y += CARD * LINE
    return lines, rules


def _foot(installation: Installation, panel: Panel, catalogue: dict[str, Any], part: str) -> Iterator[Row]:
    """What the signs and short words mean, and how far the card can be trusted."""
    entries = [installation.slot_name(slot) for slot in panel.slots if not slot.blank]
    guards = [word for slot in panel.slots if slot.breaker is not None for word in told.protection(slot.breaker)]
    explained, unknown = explain([*entries, *guards], catalogue)
    legend = ["; ".join(("A: amperes", *(f"{short}: {long}" for short, long in explained.items()))) + "."]
    if unknown:
        legend.append(f"Not explained anywhere: {', '.join(unknown)}.")
    if any("?" in entry for entry in entries):
        legend.append("?: stood so on the old card.")
    if any(untraced(slot) for slot in panel.slots if not slot.blank):
        legend.append("Not traced: nobody has followed this wire. Treat it as live.")
    doubtful = tracing(panel).told()
    if doubtful:
        legend.append(told.sentence(doubtful))
    yield Row(" ".join(legend), SMALL, most_lines=_ALL)
    record = installation.record
    revision = f", revision {record.revisions[-1].number}" if record.revisions else ""
    yield Row(
        f"{part}This card is no proof that power is off. Test before you touch. Record {record.job.number}{revision},"
        f" {record.job.dates.finished}.",
        SMALL,
        most_lines=_ALL,
    )


def explain(entries: list[str], catalogue: dict[str, Any]) -> tuple[dict[str, str], list[str]]:
    """The short words of the entries with what they stand for, and those that nobody explains."""
    known = {short.lower(): long for short, long in catalogue["abbreviations"].items()}
    explained: dict[str, str] = {}
    unknown: list[str] = []
    for entry in entries:
        found = {word.lower(): word for word in (*short_words(entry), *re.findall(r"[A-Za-z/]+", entry))}
        for low, word in found.items():
            if low in known:
                explained.setdefault(word, known[low])
            elif word in short_words(entry) and word not in unknown:
                unknown.append(word)
    return explained, unknown
