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
from handover.drawings.svg import to_drawing
from handover.drawings.text import LINE, width
from handover.pack import Drawing
from handover.problems import count_of
from handover.record.facts import Basis
from handover.record.installation import Installation
from handover.record.supply import Panel, Slot

_ROW = 34.0  # two lines of text
_NUMBER = 20.0  # column of the space numbers, at the outer side as on a panel
_HANDLE = 18.0  # column of the handles, at the inner side
_PAD = 4.0
_TAG = 22.0  # the arrow that marks a breaker
_INSIDE = WIDTH - 2 * EDGE - 8

Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Entry:
    """What is said of one slot, or of a space that the record leaves out.  ``row`` counts from 0 at the top."""

    slot: Slot | None
    spaces: tuple[int, ...]
    first: int
    last: int
    side: Side
    says: tuple[Say, ...]
    marked: bool
    second_side: bool = False


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
    entries = _entries(installation, panel, wanted)
    name = f"face-{panel.code}" + (f"-{marked}" if marked else "")
    title = f"Panel {words.called(installation, panel.code)}"
    head = _head(installation, panel, wanted)
    marks: list[Mark] = [
        *set_text((Say(title, bold=True, size=LARGE), *head), EDGE, EDGE, WIDTH - 2 * EDGE),
    ]
    top = bottom_of(marks, EDGE) + 6
    door, inside = _door(panel, entries, top)
    marks += [door, *inside]
    notes = _notes(panel)
    foot = (*(Say(note) for note in notes), Say(words.revision(installation.record)))
    marks += set_text(foot, EDGE, door.bottom + 8, WIDTH - 2 * EDGE)
    said = f"{title}: its face with {panel.spaces} spaces"
    if wanted is not None:
        said += f", the breaker at {words.spaces(wanted)} marked"
    return Sheet(
        name=name,
        title=f"{title}, breaker for {words.called(installation, marked)}" if marked else title,
        summary=f"{said}. The text with this drawing says the same.",
        height=bottom_of(marks, top) + EDGE,
        marks=tuple(marks),
        sentences=(
            words.sentence(title, *(say.text.rstrip(".") for say in head)),
            *(_sentence(installation, panel, entry) for entry in entries if not entry.second_side),
            *(words.sentence(note) for note in notes),
        ),
    )


def _head(installation: Installation, panel: Panel, wanted: Slot | None) -> tuple[Say, ...]:
    main = "Main lugs: no main breaker in this panel" if panel.main_kind == "main lugs" else _main_words(panel)
    says = [Say(panel.place), Say(f"{main}. {panel.spaces} spaces.")]
    above = installation.fed_from(panel)
    if above is not None:
        says.append(Say(f"Fed from panel {above.panel.code}, {words.spaces(above.slot)}."))
    others = installation.sources_reaching(panel)
    if others:
        told = " and ".join(words.called(installation, source.code) for source in others)
        says.append(Say(f"Can also be made live by: {told}.", bold=True))
    if installation.backed_up(panel):
        says.append(Say("Backed up: stays on, or comes back on, when the utility is off.", bold=True))
    if wanted is not None:
        says.append(Say(f"Marked: {words.spaces(wanted)}, {_whereabouts(panel, wanted)}.", bold=True))
    return tuple(says)


def _whereabouts(panel: Panel, slot: Slot) -> str:
    """Where a slot is, for somebody who cannot read the numbers: side, and rows from the top."""
    rows = sorted({_place(panel, space)[0] + 1 for space in slot.spaces})
    row = f"row {rows[0]}" if len(rows) == 1 else f"rows {rows[0]} to {rows[-1]}"
    side = "" if panel.numbering == "down one side" else f"{_place(panel, slot.spaces[0])[1]} side, "
    return f"{side}{row} from the top"


def _main_words(panel: Panel) -> str:
    return f"Main breaker {panel.main}" if panel.main.known else words.fact(panel.main, "Main breaker's rating")


def _place(panel: Panel, space: int) -> tuple[int, Side]:
    """Row from 0 and side of a space in the panel's own numbering."""
    if panel.numbering == "down one side":
        return space - 1, "left"
    return (space - 1) // 2, "left" if space % 2 else "right"


def _entries(installation: Installation, panel: Panel, wanted: Slot | None) -> tuple[Entry, ...]:
    """Every slot, and every space that no slot has, by side and row, the left side first."""
    entries = []
    taken: set[int] = set()
    for slot in panel.slots:
        taken.update(slot.spaces)
        says = _slot_says(installation, slot)
        # A wide breaker may lie across both sides; the second side then only points to the first.
        for side in dict.fromkeys(_place(panel, space)[1] for space in slot.spaces):
            own = tuple(sorted(space for space in slot.spaces if _place(panel, space)[1] == side))
            rows = [_place(panel, space)[0] for space in own]
            second = side != _place(panel, slot.spaces[0])[1]
            entries.append(Entry(slot, own, min(rows), max(rows), side, says, slot is wanted, second))
            says = (Say(f"Part of the breaker at {words.spaces(slot)}"),)
    for space in range(1, panel.spaces + 1):
        if space not in taken:
            row, side = _place(panel, space)
            entries.append(Entry(None, (space,), row, row, side, (Say("Not in the record"),), False))
    return tuple(sorted(entries, key=lambda entry: (entry.side, entry.first, entry.spaces)))


def _slot_says(installation: Installation, slot: Slot) -> tuple[Say, ...]:
    if slot.blank:
        return (Say(installation.slot_name(slot)),)
    breaker = slot.breaker
    rating = words.fact(breaker.rating, "rating") if breaker else "breaker not recorded"
    work = words.WORK[slot.work] if slot.work != "existing" else None
    facts = words.joined((rating, *(words.protection(breaker) if breaker else ()), work))
    traced = Say("not traced ?") if _untraced(slot) else None
    return tuple(say for say in (Say(facts, bold=True), Say(installation.slot_name(slot)), traced) if say)


def _untraced(slot: Slot) -> bool:
    """Whether the record says that the wiring was not followed to what it feeds."""
    return slot.traced.value is False or slot.traced.basis in (Basis.UNKNOWN, Basis.NOT_CHECKED)


def _door(panel: Panel, entries: tuple[Entry, ...], top: float) -> tuple[Box, list[Mark]]:
    """The panel's outline from ``top`` on, and all that stands in it: rows, main and feed-through lugs."""
    rows = _row_heights(panel, entries)
    y = top + 6
    marks: list[Mark] = []
    if panel.fed_at == "top":
        marks += _band(_main_words(panel) if panel.main_kind == "main breaker" else "Main lugs", panel, y)
        y = bottom_of(marks, y) + 4
    elif panel.feed_through_lugs.value:
        marks += _band("Feed-through lugs", None, y)
        y = bottom_of(marks, y) + 4
    middle = _middle(rows, entries) if panel.fed_at == "center" else None
    tops: list[float] = []
    for row, height in enumerate(rows):
        if row == middle:
            band = _band(_main_words(panel) if panel.main_kind == "main breaker" else "Main lugs", panel, y + 4)
            marks += band
            y = bottom_of(band, y) + 4
        tops.append(y)
        y += height
    for cell in _cells(panel, entries, rows, tops):
        marks += _drawn(panel, cell)
    y += 4
    if panel.fed_at == "bottom":
        band = _band(_main_words(panel) if panel.main_kind == "main breaker" else "Main lugs", panel, y)
    elif panel.feed_through_lugs.value:
        band = _band("Feed-through lugs", None, y)
    else:
        band = ()
    marks += band
    end = bottom_of(band, y) + 4
    return Box(EDGE, top, WIDTH - 2 * EDGE, end - top, _weight(panel.work), radius=4), marks


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
    x = box.x + _PAD if entry.side == "left" else box.right - _NUMBER - _PAD
    anchor: Literal["start", "end"] = "start" if entry.side == "left" else "end"
    numbers: list[Mark] = []
    for space in entry.spaces:
        row, side = _place(panel, space)
        if side == entry.side:
            y = cell.centres[row - entry.first] - SMALL * LINE / 2
            numbers += set_text((Say(str(space), bold=True),), x, y, _NUMBER, frame=box, anchor=anchor)
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
    text = "THIS ONE"
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
    for upper, lower in zip(cell.centres, cell.centres[1:], strict=False):
        marks.append(Line(((middle, upper + tall / 2), (middle, lower - tall / 2)), Stroke.HEAVY))
    return marks


def _sentence(installation: Installation, panel: Panel, entry: Entry) -> str:
    slot = entry.slot
    if slot is None:
        return words.sentence(f"Space {entry.spaces[0]}: not in the record")
    where = words.spaces(slot).capitalize()
    if slot.blank:
        return words.sentence(f"{where}: {installation.slot_name(slot)}")
    breaker = slot.breaker
    return words.sentence(
        f"{'THIS ONE: ' if entry.marked else ''}{where}: {installation.slot_name(slot)}",
        f"{words.fact(breaker.rating, 'rating')}" if breaker else "breaker not recorded",
        words.poles(slot) if breaker else None,
        *(words.protection(breaker) if breaker else ()),
        words.WORK[slot.work].lower(),
        "not traced" if _untraced(slot) else None,
        _whereabouts(panel, slot) if entry.marked else None,
    )


def _notes(panel: Panel) -> tuple[str, ...]:
    """What the face alone does not say: how far the entries can be trusted, and which way the panel is numbered."""
    slots = [slot for slot in panel.slots if not slot.blank]
    silent = [slot for slot in slots if slot.traced.basis is Basis.NOT_RECORDED and not slot.feeds]
    notes = []
    if any(slot.work != "existing" for slot in slots):
        notes.append("NEW and a heavy handle: fitted on this job.")
    if any(_untraced(slot) for slot in slots):
        notes.append("not traced ?: nobody has followed this wiring to what it feeds.")
    if silent:
        notes.append(f"For {count_of(len(silent), 'breaker')} it is not recorded whether the wiring was traced.")
    if any(len(slot.spaces) > 1 for slot in slots):
        notes.append("Handles joined by a bar are one breaker and move together.")
    return tuple(notes)
