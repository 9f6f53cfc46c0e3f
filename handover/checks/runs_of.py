"""What the record says of a run's path: its pieces, their kind of raceway, length, and the pull points."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import get_args

from handover.checks.case import Case, JobUnderCheck, Undecided
from handover.checks.scope import is_new
from handover.record.wiring import BENDS, PULL_POINTS, Method, Raceway, Run, Step, Wiring
from handover.units import Quantity, magnitude, quantity

RACEWAYS: tuple[str, ...] = get_args(Raceway)
STEEL = ("EMT", "RMC", "IMC", "FMC", "LFMC")
FLEXIBLE = ("FMC", "LFMC", "LFNC-A", "LFNC-B")
ARTICLES = {
    "EMT": "358", "RMC": "344", "IMC": "342", "PVC schedule 40": "352", "PVC schedule 80": "352", "FMC": "348",
    "LFMC": "350", "LFNC-A": "356", "LFNC-B": "356", "ENT": "362", "NM-B": "334", "UF-B": "340", "MC": "330",
    "AC": "320", "SE": "338", "USE-2": "338",
}  # fmt: skip
"""The article of each wiring method, by which its sections are numbered alike: .24 and .26 bends, .30 supports."""
WET = ("outdoors", "roof", "underground")
"""Surroundings that the code counts as wet: earth (300.5(B)), and raceways above grade in wet places (300.9)."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One step of a run's path with its number, counted from 1, and the raceway or cable it is made of."""

    number: int
    step: Step
    method: Method

    @property
    def named(self) -> str:
        """How results name the piece: by number and kind, never by free text."""
        return f"step {self.number} ({self.step.step})"


def runs_of_this_job(job: JobUnderCheck) -> list[Run]:
    """The runs that are new or were changed."""
    return [run for run in job.record.runs if is_new(run.work)]


def raceway_runs(job: JobUnderCheck) -> list[Run]:
    """The runs of this job that are raceways, not cables."""
    return [run for run in runs_of_this_job(job) if run.method in RACEWAYS]


def pieces(run: Run) -> list[Piece]:
    """The path in order."""
    return [Piece(number, step, step.method or run.method) for number, step in enumerate(run.path, start=1)]


def recorded_pieces(run: Run) -> list[Piece]:
    """The path in order; undecided where none was recorded."""
    if not run.path:
        raise Undecided(f"The path of {run.code} is not recorded: its straights, bends, boxes and supports.")
    return pieces(run)


def sections(run: Run) -> Iterator[tuple[str, list[Piece]]]:
    """The pieces between one pull point and the next, with their name: ``step 1 to step 6``.

    The ends of the path are pull points too: that is where the conductors go in and come out.
    """
    between: list[Piece] = []
    start = 1
    path = recorded_pieces(run)
    for piece in path:
        if piece.step.step not in PULL_POINTS:
            between.append(piece)
            continue
        if between:
            yield f"step {start} to step {piece.number}", between
        between, start = [], piece.number
    if between:
        yield f"step {start} to step {path[-1].number}", between


def sets_in_each_run(case: Case, wiring: Wiring) -> int:
    """How many of a wiring's parallel sets lie in each of its runs; 1 where there are no parallel sets."""
    if wiring.sets == 1:
        return 1
    here = case.fact("sets", f"parallel sets of {wiring.code} in each of its runs", wiring.sets_in_each_run)
    if not 1 <= here <= wiring.sets:
        raise Undecided(f"{wiring.code} has {wiring.sets} parallel sets, and {here} are recorded in each run. Mend it.")
    return here


def in_series(case: Case, wiring: Wiring, *, shortest: bool = False) -> list[Run]:
    """The runs that the current of one set takes one after the other.

    Of parallel sets that lie in runs of their own it is one run: the longest, or the shortest where the least impedance
    is wanted.
    """
    runs = case.job.installation.runs_of(wiring)
    if wiring.sets == 1 or len(runs) < 2:
        return runs
    here = sets_in_each_run(case, wiring)
    if here == wiring.sets:
        return runs
    if here * len(runs) != wiring.sets:
        raise Undecided(
            f"{wiring.code} has {wiring.sets} parallel sets, {here} in each run, and {len(runs)} runs: which of them "
            "follow one another cannot be told. Write each way from end to end as one run."
        )
    lengths = {run.code: magnitude(length_of(case, run), "foot") for run in runs}
    return [(min if shortest else max)(runs, key=lambda run: lengths[run.code])]


def length_of(case: Case, run: Run) -> Quantity:
    """The length of a run (ft): all lengths of its path added.  Undecided where a straight piece has none."""
    feet = 0.0
    for piece in recorded_pieces(run):
        if piece.step.step == "straight" or piece.step.length.known:
            length = case.fact(f"L{piece.number}", f"length of {run.code}, {piece.named}", piece.step.length)
            feet += magnitude(length, "foot")
    return quantity(feet, "foot")


def known_length(run: Run) -> Quantity | None:
    """The length of a run (ft), its bends too, or None where it was not recorded in full."""
    feet = 0.0
    for step in run.path:
        length = step_length(step)
        if length is not None:
            feet += magnitude(length, "foot")
        elif step.step in ("straight", *BENDS):
            return None
    return quantity(feet, "foot") if run.path else None


def step_length(step: Step) -> Quantity | None:
    """How long (ft) a step is: as recorded, or a bend's radius times its angle.  None where neither is known."""
    if step.length.value is not None:
        return step.length.value
    if step.step in BENDS and step.radius.value is not None and step.degrees.value is not None:
        angle = math.radians(magnitude(step.degrees.value, "degree"))
        return quantity(magnitude(step.radius.value, "foot") * angle, "foot")
    return None


def is_wet(run: Run) -> bool:
    """Whether any part of the run lies in a place the code counts as wet."""
    return any(step.surroundings in WET for step in run.path)
