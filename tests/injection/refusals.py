"""What the reader does not take: each text named with its line, so that it can be mended."""

from __future__ import annotations

import json

from handover.problems import JobProblems
from handover.record.reader import read_record
from handover.record.yaml_reader import read_yaml
from tests.injection.jobs import CONSTRAINED, EMPTY, Job, base, every, fields
from tests.injection.payloads import ACCEPTED, BLOCKS, MARK
from tests.injection.terminal import commands_in


def problems_with(job: Job) -> tuple[int, str] | dict[int, str]:
    """The problems of a job by line; none where it is read."""
    try:
        read_record(read_yaml("job.yaml", job.written()))
    except JobProblems as found:
        return {problem.place.line: str(problem) for problem in found.problems}
    return {}


def _with(payload: str, wanted: set[str] | None, *, texts: bool) -> tuple[Job, dict[int, str]]:
    """The job with the payload in the fields of these paths (None: all), and the line and path of each place."""
    tree = base()
    places = [
        (holder, key)
        for holder, key, path in every(tree)
        if (wanted is None or path in wanted) and (not texts or holder[key] == EMPTY)
    ]
    for holder, key in places:
        holder[key] = payload.replace(MARK, "zqmark")
    paths = {(id(holder), key): path for holder, key, path in every(tree)}
    job = Job(tree)
    # Written out each value has a line of its own, in the order of the walk.
    for number, (holder, key) in enumerate(places):
        holder[key] = f"@@{number}@@"
    lines = json.dumps(tree, indent=1).splitlines()
    at = {line.split("@@")[1]: place for place, line in enumerate(lines, 1) if "@@" in line}
    for holder, key in places:
        holder[key] = payload.replace(MARK, "zqmark")
    return job, {at[str(number)]: paths[id(holder), key] for number, (holder, key) in enumerate(places)}


def _judged(job: Job, places: dict[int, str], what: str) -> tuple[int, list[str]]:
    told = problems_with(job)
    missed = [f"{path}: takes {what!r}" for line, path in places.items() if line not in told]
    strange = [f"told with {signs}: {said!r}" for said in told.values() if (signs := commands_in(said))]
    return len(places) - len(missed), missed + strange


def not_refused(payload: str) -> tuple[int, list[str]]:
    """How many places refuse a text that no record may hold, and every fault."""
    return _judged(*_with(payload, None, texts=False), payload)


def of_several_lines() -> tuple[int, list[str]]:
    """The same for texts of several lines, in fields of one."""
    single = {path for path, each in fields().items() if each.one_line}
    told = [_judged(*_with(payload, single, texts=True), payload) for payload in BLOCKS]
    return sum(count for count, _ in told), [fault for _, faults in told for fault in faults]


def not_refused_by_values(payload: str) -> tuple[int, list[str]]:
    """The same for fields that take no text but numbers, dates, codes or one of some choices."""
    of_texts = {path for path, each in fields().items() if each.free} | CONSTRAINED.keys()
    wanted = fields().keys() - of_texts
    return _judged(*_with(payload, wanted, texts=False), payload)


def every_payload() -> tuple[str, ...]:
    """All that a text field of one line may hold."""
    return tuple(payload for payload in ACCEPTED if "\n" not in payload)
