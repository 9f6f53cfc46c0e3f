"""Runs, conductors and circuits: facts that belong to the piece they stand at, and numbers that can be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from handover.problems import Problem
from handover.record.facts import Basis, Part
from handover.record.record import Record
from handover.record.said import about, spoken_of
from handover.record.wiring import BENDS, Run, Step
from handover.units import magnitude

# Facts of a step that only some kinds of step can have.
_BELONGS_TO = {
    "length": ("straight",),
    "support_spacing": ("straight",),
    "first_support": ("straight",),
    "last_support": ("straight",),
    "degrees": BENDS,
    "radius": BENDS,
    "turns": BENDS,
    "setting": ("expansion fitting",),
    "box": ("box", "conduit body", "splice"),
}
_ROUNDING = 1.0  # inches by which three lengths, each read off a tape, may miss each other
_UNDERGROUND_ONLY = ("cover", "cover_location", "warning_ribbon")


def wiring_problems(record: Record) -> list[Problem]:
    """What cannot be so in runs, circuits and counts."""
    problems: list[Problem] = []
    for number, run in enumerate(record.runs):
        problems.extend(_path(run, spoken_of("runs", run, number)))
    return [*problems, *_multiwire(record), *_counts(record)]


def _path(run: Run, where: str) -> Iterator[Problem]:
    for number, step in enumerate(run.path):
        here = f"{where}, path entry {number + 1} ({step.step})"
        if step.step == "straight" and step.length.basis is Basis.NOT_RECORDED:
            yield _left_out(step, here, "length", "12 ft 6 in")
        if step.step in BENDS and step.degrees.basis is Basis.NOT_RECORDED:
            yield _left_out(step, here, "degrees", "90°")
        for key, steps in _BELONGS_TO.items():
            if step.step not in steps and _written(step, key):
                what = f"does not belong to the step  {step.step}"
                yield about(step, key, here, what, f"It belongs to: {', '.join(steps)}. Move it, or delete the line.")
        yield from _supports(step, here)
        for key in _UNDERGROUND_ONLY:
            if step.surroundings != "underground" and _written(step, key):
                what = "belongs to a piece that lies underground"
                yield about(step, key, here, what, "Add  surroundings: underground , or delete the line.")


def _supports(step: Step, here: str) -> Iterator[Problem]:
    """The first support lies within its piece, and the last one does not lie before the first."""
    ends = {key: getattr(step, key) for key in ("first_support", "last_support")}
    if step.length.value is None:
        return
    long = magnitude(step.length.value, "inch") + _ROUNDING
    known = {key: magnitude(fact.value, "inch") for key, fact in ends.items() if fact.value is not None}
    remedy = (
        "A support's distance is measured within its piece, from the end it is nearest to:"
        " first_support from the piece's beginning, last_support from its end."
    )
    for key, far in known.items():
        if far > long:
            yield about(step, key, here, f"is {ends[key]}, but the piece is {step.length} long", remedy)
            return
    if len(known) == len(ends) and sum(known.values()) > long:
        what = f"is {ends['last_support']}, and the first one {ends['first_support']}: together more than {step.length}"
        yield about(step, "last_support", here, what, remedy)


def _written(step: Step, key: str) -> bool:
    value = getattr(step, key)
    return value is not None and getattr(value, "basis", None) is not Basis.NOT_RECORDED


def _left_out(step: Step, where: str, key: str, example: str) -> Problem:
    remedy = f"Write  {key}: {example} , or  {key}: unknown , or  {key}: not checked ."
    return Problem(step.written_at, f"{where}, {key}", "is missing", remedy)


def _multiwire(record: Record) -> Iterator[Problem]:
    partner = {circuit.code: circuit.multiwire_with for circuit in record.circuits}
    for number, circuit in enumerate(record.circuits):
        other, where = circuit.multiwire_with, spoken_of("circuits", circuit, number)
        if other == circuit.code:
            yield about(circuit, "multiwire_with", where, "names itself", "Name the circuit that shares its neutral.")
        elif other is not None and partner.get(other) not in (None, circuit.code):
            what = f"{other} shares its neutral with {partner[other]}"
            yield about(circuit, "multiwire_with", where, what, "Let the two circuits name each other.")


def _counts(record: Record) -> Iterator[Problem]:
    """Counts that are at least one."""
    wirings = (("feeders", record.feeders), ("circuits", record.circuits))
    counted: list[tuple[Part, str, str]] = []
    for number, panel in enumerate(record.panels):
        counted.append((panel, "spaces", spoken_of("panels", panel, number)))
    for group, parts in wirings:
        for number, wiring in enumerate(parts):
            where = spoken_of(group, wiring, number)
            counted.append((wiring, "sets", where))
            counted += _conductors(wiring.conductors, where)
    for number, box in enumerate(record.boxes):
        counted += _conductors(box.conductors, spoken_of("boxes", box, number))
    for number, reminder in enumerate(record.reminders):
        counted.append((reminder, "every_months", spoken_of("reminders", reminder, number)))
    if record.service_load is not None:
        for number, appliance in enumerate(record.service_load.appliances):
            counted.append((appliance, "units", spoken_of("service_load, appliances", appliance, number)))
    for part, key, where in counted:
        if getattr(part, key) < 1:
            yield about(part, key, where, "is 0", "Write at least 1, or take the entry out.")


def _conductors(conductors: Sequence[Part], where: str) -> list[tuple[Part, str, str]]:
    return [(each, "count", f"{where}, conductors entry {number + 1}") for number, each in enumerate(conductors)]
