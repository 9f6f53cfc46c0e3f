"""What the strip map says of one step of a run, and the running total of its bends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from handover.drawings import words
from handover.drawings.geometry import Say
from handover.record.facts import Fact
from handover.record.installation import Installation
from handover.record.wiring import BENDS, PULL_POINTS, Run, Step
from handover.units import magnitude, number_text


@dataclass(frozen=True, slots=True)
class BendTotal:
    """Degrees since the last pull point: the sum of those recorded, and how many angles are missing."""

    degrees: float
    missing: int


def bend_total(path: Sequence[Step]) -> BendTotal:
    """The running total at the end of ``path``: it starts anew at every pull point."""
    degrees, missing = 0.0, 0
    for step in path:
        if step.step in PULL_POINTS:
            degrees, missing = 0.0, 0
        elif step.step in BENDS:
            if step.degrees.value is None:
                missing += 1
            else:
                degrees += magnitude(step.degrees.value, "degree")
    return BendTotal(degrees, missing)


def step_says(installation: Installation, run: Run, step: Step, total: BendTotal) -> tuple[Say, ...]:
    """All that the drawing says of a step, what it is first."""
    says = [Say(_what(installation, step), bold=True)]
    if step.at:
        says.append(Say(step.at))
    says += [Say(text) for text in (*_of_kind(installation, run, step, total), *_around(run, step)) if text]
    return tuple(says)


def _what(installation: Installation, step: Step) -> str:
    code = step.box or step.code
    name = f" {words.called(installation, code)}" if code else ""
    if step.step == "straight":
        return f"Straight, {step.length}" if step.length.known else f"Straight, {words.fact(step.length, 'length')}"
    if step.step in BENDS:
        angle = f"{number_text(magnitude(step.degrees.value, 'degree'))}°" if step.degrees.value is not None else None
        return f"{step.step.capitalize()}{name}, {angle or words.fact(step.degrees, 'angle')}"
    return f"{step.step.capitalize()}{name}"


def _of_kind(installation: Installation, run: Run, step: Step, total: BendTotal) -> list[str | None]:
    if step.step in BENDS:
        cable = words.is_cable(run)
        turns = f"Turns {step.turns}" if step.turns else None
        return [turns, None if cable else _running(total), _known("Radius", step.radius)]
    if step.step == "straight":
        return _straight(step)
    if step.step == "expansion fitting":
        return [_always("Set at", step.setting, "setting")]
    if step.step == "penetration":
        return [_always("Sealed:", step.sealed, "seal")]
    if step.step in ("box", "conduit body"):
        return _box(installation, step)
    return []


def _running(total: BendTotal) -> str:
    used = f"{number_text(total.degrees)}° of 360° used"
    if not total.missing:
        return used
    angles = "1 angle" if total.missing == 1 else f"{total.missing} angles"
    return f"At least {used}; {angles} not recorded"


def _straight(step: Step) -> list[str | None]:
    if step.surroundings == "underground":
        location = step.cover_location.value
        where = f", {location}" if location not in (None, "all locations not listed below") else ""
        ribbon = None if step.warning_ribbon.value is None else f"Warning ribbon: {_yes_no(step.warning_ribbon)}"
        return [
            _always("Cover", step.cover, "cover") + where,
            ribbon or words.fact(step.warning_ribbon, "warning ribbon"),
        ]
    return [
        _always("Supports every", step.support_spacing, "support spacing"),
        _known("First support at", step.first_support),
        _known("Last support at", step.last_support),
    ]


def _yes_no(fact: Fact[bool]) -> str:
    return "yes" if fact.value else "no"


def _box(installation: Installation, step: Step) -> list[str | None]:
    box = next((box for box in installation.record.boxes if box.code == (step.box or step.code)), None)
    if box is None:
        return ["Pull point"]
    return [
        f"Pull point: {box.kind}, {box.place}",
        _known("Volume", box.volume),
        _always("Access:", box.access, "access"),
    ]


def _around(run: Run, step: Step) -> list[str | None]:
    place = words.joined((step.surroundings, "hidden" if step.concealed else None))
    if not place and step.step == "straight":
        place = "surroundings not recorded"
    return [
        place[:1].upper() + place[1:] if place else None,
        f"Here {step.method}" if step.method and step.method != run.method else None,
        f"{_hidden_by(step)}: {step.behind}" if step.behind else None,
        step.note,
    ]


def _hidden_by(step: Step) -> str:
    """What is named as hiding a piece lies over it where the piece is in the ground."""
    return "Above it" if step.surroundings == "underground" else "Behind it"


def _known(label: str, fact: Fact[Any]) -> str | None:
    return f"{label} {fact}" if fact.known else None


def _always(label: str, fact: Fact[Any], what: str) -> str:
    if fact.known:
        return f"{label} {fact}"
    said = words.fact(fact, what)
    return said[:1].upper() + said[1:]
