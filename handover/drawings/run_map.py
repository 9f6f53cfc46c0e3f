"""A run from one end to the other as a strip map: every piece in order, with lengths, bends and what is around it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from handover.checks.result import CheckResult, Verdict
from handover.drawings import run_scale, run_symbols, words
from handover.drawings.geometry import (
    EDGE,
    LARGE,
    WIDTH,
    Line,
    Mark,
    Say,
    Sheet,
    Stroke,
    bottom_of,
    height_of,
    set_text,
)
from handover.drawings.paper import folded
from handover.drawings.run_words import bend_total, step_says
from handover.drawings.svg import to_drawing
from handover.pack import Drawing
from handover.record.installation import Installation
from handover.record.wiring import BENDS, Run, Step
from handover.units import magnitude

_AXIS = 86.0  # the run itself; left of it the distance from the beginning, right of it the words
_TEXT_AT = 108.0
_LEAST = 34.0
_PAD = 5.0
_PER_FOOT = 4.0
_TALLEST = 480.0  # all straight pieces together, where a long run has to be drawn smaller


@dataclass(frozen=True, slots=True)
class Piece:
    """A step with its place on the strip.  ``start`` and ``end`` are feet from the beginning, as far as known."""

    step: Step
    says: tuple[Say, ...]
    start: float
    end: float
    complete: bool
    y: float
    h: float
    to_scale: bool


def run_map(installation: Installation, run: Run, results: Sequence[CheckResult] = ()) -> Drawing:
    """The run from its first step to its last.  ``results`` of the check tell how much room is left in it."""
    return to_drawing(run_sheet(installation, run, results))


def run_map_on_paper(installation: Installation, run: Run, results: Sequence[CheckResult] = ()) -> Drawing:
    """The same in columns where it is long, for one Letter sheet."""
    return to_drawing(run_letter_sheet(installation, run, results))


def run_letter_sheet(installation: Installation, run: Run, results: Sequence[CheckResult] = ()) -> Sheet:
    """The columns as numbers, cut between two steps."""
    sheet, pieces = _made(installation, run, results)
    return folded(sheet, f"run-{run.code}-paper", [piece.y for piece in pieces])


def run_sheet(installation: Installation, run: Run, results: Sequence[CheckResult] = ()) -> Sheet:
    """The strip as numbers."""
    return _made(installation, run, results)[0]


def _made(installation: Installation, run: Run, results: Sequence[CheckResult]) -> tuple[Sheet, list[Piece]]:
    title, *head = _heading(installation, run, results)
    marks: list[Mark] = list(set_text((title, *head), EDGE, EDGE, WIDTH - 2 * EDGE))
    to_scale, told = run_scale.strip(run.path, bottom_of(marks, EDGE) + 10)
    marks += to_scale
    top = bottom_of(marks, EDGE) + 14
    pieces = _pieces(installation, run, top)
    for number, piece in enumerate(pieces):
        marks += _drawn(run, piece, first=number == 0, last=number == len(pieces) - 1)
    notes = _notes(run, pieces)
    foot = (*(Say(note) for note in notes), Say(words.revision(installation.record)))
    marks += set_text(foot, EDGE, bottom_of(marks, top) + 10, WIDTH - 2 * EDGE)
    sheet = Sheet(
        name=f"run-{run.code}",
        title=title.text,
        summary=f"The run {run.code} piece by piece. The text with this drawing says the same.",
        height=bottom_of(marks, top) + EDGE,
        marks=tuple(marks),
        sentences=(
            words.sentence(title.text, *(say.text.rstrip(".") for say in head)),
            *((told,) if told else ()),
            *(_sentence(number, piece) for number, piece in enumerate(pieces, 1)),
            *(words.sentence(note) for note in notes),
        ),
    )
    return sheet, pieces


def _heading(installation: Installation, run: Run, results: Sequence[CheckResult]) -> tuple[Say, ...]:
    length = words.length(run)
    title = f"Run {words.called(installation, run.code)} · {words.WORK[run.work]}"
    says = [
        Say(title, bold=True, size=LARGE),
        Say(f"{words.raceway(run)}. {length[0].upper()}{length[1:]}.", bold=True),
    ]
    carried = installation.carried_by(run)
    for wiring in carried:
        says.append(Say(f"Carries {words.called(installation, wiring.code)}: {words.conductors(wiring)}."))
    if not carried:
        says.append(Say("What it carries is not recorded."))
    if run.pull_string.known:
        says.append(Say(f"Pull string left in it: {run.pull_string}."))
    says += [Say(text) for text in _room_left(run, results)]
    return tuple(says)


def _room_left(run: Run, results: Sequence[CheckResult]) -> Iterator[str]:
    """How much more could be pulled into it, as the check reckons it; nothing where no such rule concerns the run."""
    for result in results:
        if result.rule == "spare_raceway" and result.subject == run.code and result.verdict != Verdict.NOT_APPLICABLE:
            undecided = result.verdict is Verdict.UNDECIDED
            yield f"Room for more wires {'cannot be decided' if undecided else 'by the check'}: {result.reason}"


def _pieces(installation: Installation, run: Run, top: float) -> list[Piece]:
    known = [magnitude(step.length.value, "foot") for step in run.path if step.length.value is not None]
    scale = min(_PER_FOOT, _TALLEST / max(1.0, sum(known)))
    pieces: list[Piece] = []
    at, complete, y = 0.0, True, top
    for place, step in enumerate(run.path):
        says = step_says(installation, run, step, bend_total(run.path[: place + 1]))
        start = at
        needed = max(_LEAST, height_of(says, WIDTH - EDGE - _TEXT_AT) + 2 * _PAD)
        drawn = 0.0
        if step.step == "straight":
            if step.length.value is None:
                complete = False
            else:
                feet = magnitude(step.length.value, "foot")
                at += feet
                drawn = feet * scale
        h = max(needed, drawn)
        pieces.append(Piece(step, says, start, at, complete, y, h, drawn >= needed))
        y += h
    return pieces


def _drawn(run: Run, piece: Piece, *, first: bool, last: bool) -> list[Mark]:
    marks: list[Mark] = []
    is_straight = piece.step.step == "straight"
    if is_straight:
        marks += run_symbols.straight(piece.step, _AXIS, piece.y, piece.h, stretched=not piece.to_scale)
    else:
        middle = piece.y + piece.h / 2
        if not first:
            marks.append(Line(((_AXIS, piece.y), (_AXIS, middle - run_symbols.HALF)), Stroke.HEAVY))
        if not last:
            marks.append(Line(((_AXIS, middle + run_symbols.HALF), (_AXIS, piece.y + piece.h)), Stroke.HEAVY))
        marks += run_symbols.fitting(piece.step, _AXIS, middle)
    text = height_of(piece.says, WIDTH - EDGE - _TEXT_AT)
    marks += set_text(piece.says, _TEXT_AT, piece.y + (piece.h - text) / 2, WIDTH - EDGE - _TEXT_AT)
    if first or last or is_straight:
        marks += _distance(piece, at_start=first)
    return marks


def _distance(piece: Piece, *, at_start: bool) -> list[Mark]:
    """How far along the run this is: at the first piece 0, at the end of each straight what has been passed."""
    is_straight = piece.step.step == "straight"
    feet, complete = (piece.start, True) if at_start and not is_straight else (piece.end, piece.complete)
    text = words.station(feet) if complete else f"{words.station(feet)} + ?"
    says, room = (Say(text),), _AXIS - 20 - EDGE
    free = piece.h - height_of(says, room)
    y = piece.y + (free - 2 if is_straight else free / 2)
    marks: list[Mark] = list(set_text(says, EDGE, y, room, anchor="end"))
    if is_straight:
        marks.append(Line(((_AXIS - 14, piece.y + piece.h), (_AXIS + 14, piece.y + piece.h)), Stroke.FAINT))
    return marks


def _sentence(number: int, piece: Piece) -> str:
    return f"Step {number}: " + words.sentence(*(say.text for say in piece.says))


def _notes(run: Run, pieces: list[Piece]) -> tuple[str, ...]:
    notes = []
    if not pieces:
        notes.append("The path of this run is not recorded.")
    if any(not piece.to_scale for piece in pieces if piece.step.step == "straight"):
        notes.append("Where the line has a break in it, that piece is not to scale.")
    if any(piece.step.step == "straight" for piece in pieces):
        notes.append("On the left: feet and inches along the straight pieces from the beginning, no fittings counted.")
    if not words.is_cable(run) and any(piece.step.step in BENDS for piece in pieces):
        limit = "360° is the most between two (NEC, section .26 of each raceway's article)"
        notes.append(f"Bends are counted from each panel, box or conduit body; {limit}.")
    if run.landmarks:
        notes.append("Its hidden points are found again by measuring: see its plan.")
    if run.note:
        notes.append(run.note)
    return tuple(notes)
