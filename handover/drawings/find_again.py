"""The find-it-again plan of a run: hidden points by two measured distances each, and the trench cut across."""

from __future__ import annotations

from collections.abc import Mapping

from handover.drawings import words
from handover.drawings.geometry import EDGE, LARGE, WIDTH, Mark, Say, Sheet, bottom_of, set_text
from handover.drawings.paper import folded
from handover.drawings.plan_sketch import Entry, key, plan_of, scale_text, sketch
from handover.drawings.svg import to_drawing
from handover.drawings.trench import section, stretch_says, stretches
from handover.pack import Drawing
from handover.record.installation import Installation
from handover.record.landmarks import Pair, pairs_of
from handover.record.wiring import Run

_INSIDE = WIDTH - 2 * EDGE
PRIVATE = "Private line: the one-call service (811) will not mark it."
_CALL = (
    "Call it before you dig all the same. Other lines may be in the ground that this plan does not show."
    " Switch off what runs in this one, dig by hand."
)
_HOW = "Hold a tape at each of the two features: a point lies where its two distances meet."
_NOT_MEASURED = "No point of it was measured from features that stay: where it lies between its ends is not on record."
_DASHED = "Broken lines: the way from point to point and a distance marked ? were not measured."


def find_again(installation: Installation, run: Run) -> Drawing:
    """The plan of one run."""
    return to_drawing(plan_sheet(installation, run))


def find_again_on_paper(installation: Installation, run: Run) -> Drawing:
    """The same in columns where it is long, for one Letter sheet."""
    return to_drawing(plan_letter_sheet(installation, run))


def hidden_runs(installation: Installation) -> tuple[Run, ...]:
    """The runs to be found again: those with measured points, and those in the ground."""
    return tuple(run for run in installation.record.runs if run.landmarks or buried(run))


def buried(run: Run) -> bool:
    """Whether any piece of a run lies in the ground."""
    return any(step.surroundings == "underground" for step in run.path)


def plan_sheet(installation: Installation, run: Run) -> Sheet:
    """The plan as numbers."""
    return _made(installation, run)[0]


def plan_letter_sheet(installation: Installation, run: Run) -> Sheet:
    """The columns as numbers, cut where no part is torn."""
    sheet, tops = _made(installation, run)
    return folded(sheet, f"plan-{run.code}-paper", tops)


def _made(installation: Installation, run: Run) -> tuple[Sheet, list[float]]:
    title, *head = _heading(installation, run)
    marks: list[Mark] = list(set_text((title, *head), EDGE, EDGE, _INSIDE))
    pairs, letters = pairs_of(run), _letters(run)
    tops: list[float] = []
    for pair in pairs:
        drawn, parts = sketch(pair, letters, bottom_of(marks, EDGE) + 12)
        marks += drawn
        tops += parts
    cuts = stretches(run)
    for stretch in cuts:
        y = bottom_of(marks, EDGE) + 12
        tops.append(y)
        if stretch is cuts[0]:
            marks += set_text((Say(_CUT, bold=True),), EDGE, y, _INSIDE)
            y = bottom_of(marks, y) + 4
        marks += section(run, stretch, y)
    foot = (*(Say(note) for note in _notes(run)), Say(words.revision(installation.record)))
    marks += set_text(foot, EDGE, bottom_of(marks, EDGE) + 10, _INSIDE)
    sentences = [words.sentence(title.text, *(say.text.rstrip(".") for say in head))]
    for pair in pairs:
        sentences += _pair_sentences(pair, letters)
    for stretch in cuts:
        sentences.append(words.sentence(_CUT, *(say.text for say in stretch_says(run, stretch))))
    sheet = Sheet(
        name=f"plan-{run.code}",
        title=title.text,
        summary=f"How to find the hidden points of run {run.code} by measuring. The text with it says the same.",
        height=bottom_of(marks, EDGE) + EDGE,
        marks=tuple(marks),
        sentences=(*sentences, *(words.sentence(note) for note in _notes(run))),
    )
    return sheet, tops


_CUT = "The trench cut across, not to scale"


def _heading(installation: Installation, run: Run) -> tuple[Say, ...]:
    says = [Say(f"Find again: run {words.called(installation, run.code)} · {words.WORK[run.work]}", True, LARGE)]
    if buried(run):
        says += [Say(PRIVATE, bold=True), Say(_CALL)]
    for wiring in installation.carried_by(run):
        position = installation.position(wiring.code)
        off = f" Off at: {words.device(position)}." if position else ""
        says.append(Say(f"Carries {words.called(installation, wiring.code)}.{off}"))
    says.append(Say(_HOW if run.landmarks else _NOT_MEASURED, bold=not run.landmarks))
    return tuple(says)


def _notes(run: Run) -> tuple[str, ...]:
    return (_DASHED,) if any(plan_of(pair) for pair in pairs_of(run)) else ()


def _letters(run: Run) -> dict[str, str]:
    """A letter for each feature, in the order in which the points name them."""
    letters: dict[str, str] = {}
    for pair in pairs_of(run):
        for name in (pair.first, pair.second):
            letters.setdefault(name, _letter(len(letters)))
    return letters


def _letter(number: int) -> str:
    rounds, place = divmod(number, 26)
    return f"{chr(ord('A') + place)}{rounds or ''}"


def _pair_sentences(pair: Pair, letters: Mapping[str, str]) -> list[str]:
    plan = plan_of(pair)
    every = key(pair, letters, plan)
    features = [f"{entry.badge} is {entry.says[0].text}" for entry in every if entry.feature]
    points = [entry for entry in every if not entry.feature]
    return [
        words.sentence(f"Measured from two features: {' and '.join(features)}", scale_text(pair, letters, plan)),
        *(_point_sentence(entry) for entry in points),
    ]


def _point_sentence(entry: Entry) -> str:
    return words.sentence(f"Point {entry.badge}: {entry.says[0].text}", *(say.text for say in entry.says[1:]))
