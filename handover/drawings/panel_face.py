"""The face of a panel in its own numbering: every space, its breaker, what it feeds; one of them marked if wanted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from handover.drawings import words
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
from handover.drawings.panel_words import Entry, entries_of, heading, notes_of, place_of, sentence
from handover.drawings.svg import to_drawing
from handover.drawings.text import LINE, width
from handover.pack import Drawing
from handover.record.installation import Installation
from handover.record.supply import Panel
from handover.words import tell

_ROW = 34.0  # two lines of text
_NUMBER = 20.0  # column of the space numbers, at the outer side as on a panel
_HANDLE = 18.0  # column of the handles, at the inner side
_PAD = 4.0
_TAG = 22.0  # the arrow that marks a breaker
_INSIDE = WIDTH - 2 * EDGE - 8


@dataclass(frozen=True, slots=True)
class Cell:
    """An entry's place: its box, and the height of the middle of each of its rows."""

    entry: Entry
    box: Box
    centres: tuple[float, ...]


def panel_face(installation: Installation, panel: Panel, marked: str | None = None) -> Drawing:
    """The panel's face.  ``marked`` is the code that the wanted slot feeds; ValueError if no slot here feeds it."""
    return to_drawing(panel_sheet(installation, panel, marked))


def panel_sheet(installation: Installation, panel: Panel, marked: str | None = None) -> Sheet:
    """The same as numbers."""
    wanted = next((slot for slot in panel.slots if slot.feeds and slot.feeds == marked), None)
    if marked is not None and wanted is None:
        raise ValueError(f"no slot of panel {panel.code} feeds {marked}")
    entries = entries_of(installation, panel, wanted)
    name = f"face-{panel.code}" + (f"-{marked}" if marked else "")
    title = tell("Panel {panel}", panel=words.called(installation, panel.code))
    head = heading(installation, panel, wanted)
    marks: list[Mark] = [
        *set_text((Say(title, bold=True, size=LARGE), *head), EDGE, EDGE, WIDTH - 2 * EDGE),
    ]
    top = bottom_of(marks, EDGE) + 6
    door, inside = _door(panel, entries, top)
    marks += [door, *inside]
    notes = notes_of(panel)
    foot = (*(Say(note) for note in notes), Say(words.revision(installation.record)))
    marks += set_text(foot, EDGE, door.bottom + 8, WIDTH - 2 * EDGE)
    said = tell("{title}: its face with {number} spaces.", title=title, number=panel.spaces)
    if wanted is not None:
        said += " " + tell("The breaker at {spaces} is marked.", spaces=words.spaces(wanted))
    return Sheet(
        name=name,
        title=f"{title}, {tell('breaker for {code}', code=words.called(installation, marked))}" if marked else title,
        summary=f"{said} {tell('The text with this drawing says the same.')}",
        height=bottom_of(marks, top) + EDGE,
        marks=tuple(marks),
        sentences=(
            words.sentence(title, *(say.text.rstrip(".") for say in head)),
            *(sentence(installation, panel, entry) for entry in entries if not entry.second_side),
            *(words.sentence(note) for note in notes),
        ),
    )


def _door(panel: Panel, entries: tuple[Entry, ...], top: float) -> tuple[Box, list[Mark]]:
    """The panel's outline from ``top`` on, and all that stands in it: rows, main and feed-through lugs."""
    rows = _row_heights(panel, entries)
    y = top + 6
    marks: list[Mark] = []
    if panel.fed_at == "top":
        marks += _band(_main_text(panel), panel, y)
        y = bottom_of(marks, y) + 4
    elif panel.feed_through_lugs.value:
        marks += _band(tell("Feed-through lugs"), None, y)
        y = bottom_of(marks, y) + 4
    middle = _middle(rows, entries) if panel.fed_at == "center" else None
    tops: list[float] = []
    for row, height in enumerate(rows):
        if row == middle:
            band = _band(_main_text(panel), panel, y + 4)
            marks += band
            y = bottom_of(band, y) + 4
        tops.append(y)
        y += height
    for cell in _cells(panel, entries, rows, tops):
        marks += _drawn(panel, cell)
    y += 4
    if panel.fed_at == "bottom":
        band = _band(_main_text(panel), panel, y)
    elif panel.feed_through_lugs.value:
        band = _band(tell("Feed-through lugs"), None, y)
    else:
        band = ()
    marks += band
    end = bottom_of(band, y) + 4
    return Box(EDGE, top, WIDTH - 2 * EDGE, end - top, _weight(panel.work), radius=4), marks


def _main_text(panel: Panel) -> str:
    return words.main_text(panel) if panel.main_kind == "main breaker" else tell("Main lugs")


def _weight(work: str) -> Stroke:
    return Stroke.HEAVY if work == "new" else Stroke.THIN


def _middle(rows: list[float], entries: tuple[Entry, ...]) -> int | None:
    """The row before which a main in the middle stands: the first from half way on that parts no breaker."""
    for row in range(len(rows) // 2, len(rows)):
        if not any(entry.first < row <= entry.last for entry in entries):
            return row
    return None


def _band(text: str, main_of: Panel | None, y: float) -> tuple[Mark, ...]:
    """A piece across both columns: main breaker or lugs."""
    x, w = WIDTH / 2 - 100, 200.0
    handle = main_of is not None and main_of.main_kind == "main breaker"
    inner = w - (40 if handle else 8)
    says = (Say(text, bold=True),)
    box = Box(x, y, w, max(30.0, height_of(says, inner) + 8), _weight(main_of.work) if main_of else Stroke.THIN)
    top = y + (box.h - height_of(says, inner)) / 2
    marks: list[Mark] = [box, *set_text(says, x + 4, top, inner, frame=box, anchor="middle")]
    if handle:
        marks += [
            Box(box.right - 30, y + 5, 22, box.h - 10, Stroke.THIN, radius=2),
            Box(box.right - 27, y + 8, 8, box.h - 16, Stroke.SOLID),
        ]
    return tuple(marks)


def _columns(panel: Panel) -> int:
    return 1 if panel.numbering == "down one side" else 2


def _text_width(panel: Panel) -> float:
    return _INSIDE / _columns(panel) - _NUMBER - _HANDLE - 4 * _PAD


def _needed(panel: Panel, entry: Entry) -> float:
    return height_of(entry.says, _text_width(panel)) + 2 * _PAD + (_TAG + _PAD if entry.marked else 0)


def _row_heights(panel: Panel, entries: tuple[Entry, ...]) -> list[float]:
    """Heights of the rows: all alike where that is enough, more where a text needs it.

    Rows are shared by both sides, so each entry in turn widens its rows evenly by what it lacks.  Entries in the same
    space (two half-size breakers) stand below each other and need their heights together.
    """
    rows = [_ROW] * (1 + max((entry.last for entry in entries), default=0))
    for cluster in _clusters(entries):
        first, last = cluster[0].first, max(entry.last for entry in cluster)
        lacking = sum(_needed(panel, entry) for entry in cluster) - sum(rows[first : last + 1])
        for row in range(first, last + 1):
            rows[row] += max(0.0, lacking) / (last + 1 - first)
    return rows


def _clusters(entries: tuple[Entry, ...]) -> list[list[Entry]]:
    """Entries of one side whose rows overlap, together.  Nearly always one entry each; short ones first."""
    clusters: list[list[Entry]] = []
    for entry in entries:
        last = clusters[-1] if clusters else None
        if last and last[0].side == entry.side and entry.first <= max(member.last for member in last):
            last.append(entry)
        else:
            clusters.append([entry])
    return sorted(clusters, key=lambda cluster: max(entry.last for entry in cluster) - cluster[0].first)


def _cells(panel: Panel, entries: tuple[Entry, ...], rows: list[float], tops: list[float]) -> list[Cell]:
    w = _INSIDE / _columns(panel)
    cells = []
    for cluster in _clusters(entries):
        x = EDGE + 4 + (w if cluster[0].side == "right" else 0)
        y = tops[cluster[0].first]
        last = max(entry.last for entry in cluster)
        spare = tops[last] + rows[last] - y - sum(_needed(panel, entry) for entry in cluster)
        for entry in cluster:
            h = _needed(panel, entry) + spare / len(cluster)
            own = [tops[row] + rows[row] / 2 for row in range(entry.first, entry.last + 1)]
            shared = [y + h * (place + 0.5) / len(own) for place in range(len(own))]
            cells.append(Cell(entry, Box(x, y, w, h, Stroke.FAINT), tuple(own if len(cluster) == 1 else shared)))
            y += h
    return cells


def _drawn(panel: Panel, cell: Cell) -> list[Mark]:
    return [*_outline(cell.entry, cell.box), *_numbers(panel, cell), *_inside(panel, cell)]


def _outline(entry: Entry, box: Box) -> list[Mark]:
    if entry.marked:
        return [Box(box.x + 1, box.y + 1, box.w - 2, box.h - 2, Stroke.MARKED)]
    if entry.slot is None:
        return [Box(box.x + 1.5, box.y + 1.5, box.w - 3, box.h - 3, Stroke.DASHED)]
    return [box]


def _numbers(panel: Panel, cell: Cell) -> list[Mark]:
    """The number of each space beside its own row, at the outer side."""
    entry, box = cell.entry, cell.box
    x = box.x + _PAD + 2 if entry.side == "left" else box.right - _NUMBER - _PAD
    anchor: Literal["start", "end"] = "start" if entry.side == "left" else "end"
    numbers: list[Mark] = []
    for space in entry.spaces:
        row, side = place_of(panel, space)
        if side == entry.side:
            y = cell.centres[row - entry.first] - SMALL * LINE / 2
            numbers += set_text((Say(str(space), bold=True),), x, y, _NUMBER - 2, frame=box, anchor=anchor)
    return numbers


def _inside(panel: Panel, cell: Cell) -> list[Mark]:
    entry, box = cell.entry, cell.box
    left = entry.side == "left"
    w = _text_width(panel)
    x = box.x + _NUMBER + 2 * _PAD if left else box.x + _HANDLE + 2 * _PAD
    tag = _TAG + _PAD if entry.marked else 0.0
    y = box.y + (box.h - height_of(entry.says, w) - tag) / 2
    marks: list[Mark] = _arrow(x, y, w, to_right=left) if entry.marked else []
    marks += set_text(entry.says, x, y + tag, w, frame=box)
    return [*marks, *_handles(cell, box.right - _HANDLE - _PAD if left else box.x + _PAD)]


def _arrow(x: float, y: float, w: float, *, to_right: bool) -> list[Mark]:
    """The solid arrow with the words THIS ONE, pointing at the handle."""
    text = tell("THIS ONE")
    wide = width(text, SMALL, bold=True) + 24
    tip, tail = (x + w, x + w - wide) if to_right else (x, x + wide)
    neck = tip - 11 if to_right else tip + 11
    points = ((tail, y + 1), (neck, y + 1), (tip, y + _TAG / 2), (neck, y + _TAG - 1), (tail, y + _TAG - 1))
    frame = Box(min(tail, neck), y, abs(neck - tail), _TAG)
    label = set_text(
        (Say(text, bold=True),),
        frame.x,
        y + (_TAG - SMALL * LINE) / 2,
        frame.w,
        frame=frame,
        anchor="middle",
        reverse=True,
    )
    return [Line(points, Stroke.SOLID, closed=True), *label]


def _handles(cell: Cell, x: float) -> list[Mark]:
    """A handle for each pole, and the tie that joins them.  A blank plate has none, only its slanting line."""
    entry, box = cell.entry, cell.box
    slot = entry.slot
    if slot is None:
        return list(set_text((Say("?", bold=True),), x, box.y + (box.h - 15) / 2, _HANDLE, frame=box, anchor="middle"))
    middle = x + _HANDLE / 2
    if slot.blank:
        y = box.y + box.h / 2
        return [Line(((x + 2, y + 9), (x + _HANDLE - 2, y - 9)), Stroke.FAINT)]
    stroke = Stroke.SOLID if entry.marked else _weight("existing" if slot.work == "existing" else "new")
    tall = min(16.0, box.h / len(cell.centres) - 2)
    marks: list[Mark] = [Box(middle - 5, centre - tall / 2, 10, tall, stroke, radius=1) for centre in cell.centres]
    together = slot.breaker.common_trip.value if slot.breaker is not None else None
    if together is False:
        return marks  # a bar would promise that one hand on one handle is enough
    bar = Stroke.HEAVY if together else Stroke.DASHED
    for upper, lower in zip(cell.centres, cell.centres[1:], strict=False):
        marks.append(Line(((middle, upper + tall / 2), (middle, lower - tall / 2)), bar))
    return marks
