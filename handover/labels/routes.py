"""What the label of a buried line says: from where to where, how deep, how to find it again, what to switch off."""

from __future__ import annotations

from collections.abc import Iterator

from handover.drawings.words import feet
from handover.labels.art import Row
from handover.labels.plate import CARD, DETAIL
from handover.labels.signs import ALL_LINES
from handover.labels.words import place_of, rating, said
from handover.record.installation import Installation
from handover.record.wiring import Run, Step
from handover.units import magnitude, show


def buried_runs(installation: Installation) -> list[Run]:
    """The runs of which some part is recorded as underground."""
    return [run for run in installation.record.runs if any(map(_buried, run.path))]


def route_rows(installation: Installation, run: Run, told: dict[str, str]) -> Iterator[Row]:
    """The statements below the heading, the most needed ones first."""
    yield Row(told["private"], DETAIL, bold=True, most_lines=ALL_LINES)
    yield Row(f"{run.code} {_ends(installation, run)}", DETAIL, bold=True, most_lines=ALL_LINES)
    straight = [step for step in run.path if _buried(step) and step.step == "straight"]
    yield Row(f"{run.method}. {_length(straight)}. {_depth(straight)}.", DETAIL, most_lines=ALL_LINES)
    for wiring in installation.carried_by(run):
        at = installation.position(wiring.code)
        off = f"{place_of(at)}, {rating(at)}" if at is not None else "not recorded"
        yield Row(
            f"{wiring.code}, {said(wiring.volts)}. Before you dig, switch off: {off}", DETAIL, most_lines=ALL_LINES
        )
    yield Row(told["dig"], DETAIL, bold=True, most_lines=ALL_LINES)
    yield Row(told["others"], DETAIL, bold=True, most_lines=ALL_LINES)
    for mark in run.landmarks:
        deep = f", {mark.depth} deep" if mark.depth.known else ""
        text = (
            f"{mark.point}: {mark.distance_first} from {mark.from_first}, {mark.distance_second} from"
            f" {mark.from_second}{deep}"
        )
        yield Row(text[:1].upper() + text[1:], CARD, most_lines=ALL_LINES)


def _buried(step: Step) -> bool:
    return step.surroundings == "underground"


def _ends(installation: Installation, run: Run) -> str:
    ends = [run.path[0], run.path[-1]]
    named = [f"{step.code} {installation.name_of(step.code)}" if step.code else step.at for step in ends]
    return " to ".join(end for end in named if end) if all(named) else run.name


def _length(steps: list[Step]) -> str:
    known = [step.length.value for step in steps if step.length.value is not None]
    total = feet(sum(magnitude(each, "foot") for each in known))
    if len(known) < len(steps) or not steps:
        return f"At least {total} in the ground, not all recorded" if known else "Length in the ground: not recorded"
    return f"{total} in the ground"


def _depth(steps: list[Step]) -> str:
    known = [step.cover.value for step in steps if step.cover.value is not None]
    if not known:
        return "Depth: not recorded"
    least = min(known, key=lambda depth: magnitude(depth, "inch"))
    rest = ", not recorded everywhere" if len(known) < len(steps) else ""
    return f"Recorded cover at least {show(least)}{rest}"
