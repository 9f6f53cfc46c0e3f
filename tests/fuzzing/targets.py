"""What the fuzzers do with one input, and what counts as a fault: anything but a record or clear problems."""

from __future__ import annotations

import json
import re
import resource
import sys
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent.parent
LONGEST = 10.0  # seconds an input may take
MOST_MEMORY = 1024  # MiB
_COMMANDS = re.compile(r"[^\S \n\u00a0]|[\x00-\x09\x0b-\x1f\x7f-\x9f]")
"""What commands a terminal, or turns a line: none of it may stand in a message."""


class FoundFault(AssertionError):
    """An input that was neither read nor refused as it should be."""


def read_or_refuse(data: bytes) -> bool:
    """One file of a job from its bytes to a record.  True where it was read.  Raises FoundFault."""
    from handover.problems import JobProblems
    from handover.record.reader import read_record
    from handover.record.yaml_reader import read_yaml

    begun = time.perf_counter()
    try:
        read_record(read_yaml("job.yaml", data))
        read = True
    except JobProblems as found:
        told_well(found.problems)
        read = False
    if time.perf_counter() - begun > LONGEST:
        raise FoundFault(f"took longer than {LONGEST} s")
    return read


def told_well(problems: tuple[Any, ...]) -> None:
    """Every problem says something, says how to mend it, and holds nothing that commands a terminal."""
    if not problems:
        raise FoundFault("refused without a problem")
    for problem in problems:
        if not problem.what or not problem.remedy:
            raise FoundFault(f"a problem without words: {problem!r}")
        if _COMMANDS.search(str(problem)):
            raise FoundFault(f"a control character in: {str(problem)!r}")


def whole_journey(data: bytes, *, pages: bool) -> str:
    """A whole record from its bytes through check, and with ``pages`` through drawings, labels and pages.

    "refused", "checked" or "made".  Raises FoundFault, or whatever was not foreseen.
    """
    from handover.checks.run import as_json, report_lines, run_checks
    from handover.problems import JobProblems
    from handover.record.reader import read_record
    from handover.record.yaml_reader import read_yaml

    begun = time.perf_counter()
    try:
        record = read_record(read_yaml("job.yaml", data))
    except JobProblems as found:
        told_well(found.problems)
        return "refused"
    results = run_checks(record)
    json.dumps(as_json(record, record.code.edition, results))
    list(report_lines(results))
    outcome = "checked"
    if pages:
        try:
            _made(record)
            outcome = "made"
        except JobProblems as found:  # an address too long for a code is found no sooner
            told_well(found.problems)
    if time.perf_counter() - begun > LONGEST:
        raise FoundFault(f"took longer than {LONGEST} s")
    return outcome


def _made(record: Any) -> None:
    sys.path.insert(0, str(ROOT / "tests"))
    from handover.pack import Edition
    from handover.pages import render_pages
    from handover.record.installation import Installation
    from handover.reminders import calendar_bytes
    from tests.pages.packs import pack_of

    for edition in Edition:
        pack = pack_of(record, edition)
        if not list(render_pages(pack)):
            raise FoundFault("no pages")
        calendar_bytes(Installation(pack.record), pack.reminders)


def memory_peak() -> float:
    """The most memory that this process has held, in MiB."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 1024 if sys.platform != "darwin" else peak / 1024**2
