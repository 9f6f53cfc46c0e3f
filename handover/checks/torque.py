"""Rules about tools: terminals tightened to their maker's value, and instruments calibrated before they were used."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.evidence import TorqueRecord
from handover.record.wiring import Feeder, Role, Wiring
from handover.units import magnitude, show

_TOOL_TOLERANCE = 4.0  # per cent, usual for click-type wrenches: common practice, from memory


_WORDS: dict[Role, re.Pattern[str]] = {
    "hot": re.compile(r"\b(breakers?|hots?|fuses?|phases?|lines?|mains?|lugs)\b"),
    "neutral": re.compile(r"\bneutrals?\b"),
    "equipment ground": re.compile(r"\b(grounds?|grounding|egc)\b"),
}
_ENDS = {"hot": "hot wires", "neutral": "neutral", "equipment ground": "ground wire"}


@rule("terminal_torque", "Were the terminals tightened to the value their maker gives?")
def terminal_torque(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Each recorded terminal within a torque tool's tolerance (4 %) of the required value, and no end missing.

    One result a code that has torque records, and one for each new circuit, feeder or panel without any.  Which ends a
    new circuit or feeder has in its panels follows from its recorded conductors; which of them a record is about is
    read from the words of its terminal (breaker, neutral, ground; of a feeder the panel's code too).  An end without a
    record leaves the result undecided.  The ends at outlets and equipment are not told by the record, so none is
    missed there.  The 2017 edition asks for a calibrated torque tool, so there the tool's calibration has to be on
    record; from 2020 on any approved means will do.  Source: NEC 110.14(D).
    """
    recorded = list(dict.fromkeys(item.of for item in job.record.torques))
    wirings = job.installation.wirings
    new = [wiring.code for wiring in wirings.values() if is_new(wiring.work)]
    new += [panel.code for panel in job.record.panels if panel.work == "new"]
    for code in (*recorded, *(code for code in new if code not in recorded)):
        with job.case(terminal_torque, code, section="110.14(D)") as case:
            torques = [(n, item) for n, item in enumerate((t for t in job.record.torques if t.of == code), 1)]
            if not torques:
                raise Undecided(f"No torque is recorded for the terminals of {code}. It cannot be tested afterwards.")
            amiss = [number for number, item in torques if not _as_required(case, number, item)]
            if amiss:
                case.holds(False, f"Torque record {amiss[0]} of {code} is more than {_TOOL_TOLERANCE:g} % off.")
            else:
                entries = f"{len(torques)} record{'s' if len(torques) > 1 else ''}"
                told = f"All recorded terminals of {code} ({entries}) are within {_TOOL_TOLERANCE:g} %."
                _no_end_missing(case, code, told)
                case.holds(True, told + _elsewhere(job, code))
        yield case.result


def _no_end_missing(case: Case, code: str, told: str) -> None:
    """Ends in panels that no record names leave the result undecided: what was not recorded was perhaps not done."""
    wiring = case.job.installation.wirings.get(code)
    if wiring is None or not is_new(wiring.work):
        return
    missing = [
        f"{_ENDS[role]} in {panel}"
        for panel in _panels_at_ends(case.job, wiring)
        for role in dict.fromkeys(entry.role for entry in wiring.conductors)
        if not _recorded(case.job, wiring, panel, role)
    ]
    case.given("", f"ends of {code} in panels without a torque record", ", ".join(missing) or "none", "the record")
    if missing:
        raise Undecided(f"{told} No torque is recorded for the {'; '.join(missing)}. It cannot be tested afterwards.")


def _panels_at_ends(job: JobUnderCheck, wiring: Wiring) -> list[str]:
    """The panels of the record in which a circuit or feeder ends."""
    position = job.installation.position(wiring.code)
    ends = [position.panel.code] if position is not None else []
    if isinstance(wiring, Feeder) and wiring.to in job.installation.panels:
        ends.append(wiring.to)
    return ends


def _recorded(job: JobUnderCheck, wiring: Wiring, panel: str, role: Role) -> bool:
    """Whether a torque record of a wiring, or one of the panel that names it, tells of a conductor's end there."""
    for item in job.record.torques:
        words = item.terminal
        named = set(re.findall(r"\w+", words))
        if not _WORDS[role].search(words.casefold()):
            continue
        if item.of == wiring.code and (panel in named or not isinstance(wiring, Feeder)):
            return True
        if item.of == panel and wiring.code in named:
            return True
    return False


def _elsewhere(job: JobUnderCheck, code: str) -> str:
    """That a circuit's other ends are judged under the code of its equipment, where they are."""
    recorded = {item.of for item in job.record.torques}
    others = [item.code for item in job.record.equipment if item.circuit == code and item.code in recorded]
    return f" Those of {' and '.join(others)} are told of separately." if others else ""


def _as_required(case: Case, number: int, item: TorqueRecord) -> bool:
    of = f"torque record {number} of {item.of}"
    required = case.fact(f"T{number}", f"what the maker asks for, {of}", item.required)
    applied = case.fact(f"t{number}", f"what was applied, {of}", item.applied)
    if item.tool is None:
        raise Undecided(f"T{of[1:]} names no tool. A torque counts only with the tool it was applied with.")
    case.given("", f"tool of {of}", item.tool, str(item.written_at) or "the record")
    if case.job.edition < 2020:
        _calibrated(case, of, item.tool)
    wanted, done = magnitude(required, "pound_inch"), magnitude(applied, "pound_inch")
    if wanted <= 0:
        raise Undecided(f"T{of[1:]}: a required value of {show(required)} is no value.")
    off = 100 * abs(done - wanted) / wanted
    case.step("100 × |t - T| / T", f"{show(applied)}, {show(required)}", f"{off:.3g} %")
    return off <= _TOOL_TOLERANCE + 1e-9


def _calibrated(case: Case, of: str, code: str) -> None:
    tool = next((tool for tool in case.job.record.instruments if tool.code == code), None)
    if tool is None:
        raise Undecided(f"The tool of {of} is not described, and {case.job.edition} asks that it was "
                        "calibrated. Record it under instruments.")  # fmt: skip
    case.fact("", f"last calibration of {code}", tool.calibrated)


@rule("instrument_calibrated", "Were the instruments calibrated before they were used?", advice=True)
def instrument_calibrated(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Calibration before the first reading, and not more than a year before the last.  One result an instrument.

    Source: common practice; NEC 110.14(D) asked for a calibrated torque tool in 2017.
    """
    for tool in job.record.instruments:
        with job.case(instrument_calibrated, tool.code, section="yearly calibration", code="common practice") as case:
            used = any(item.tool == tool.code for item in job.record.torques)
            readings = [item for item in job.record.readings if item.instrument == tool.code]
            if not readings and not used:
                raise NotApplicable("Nothing in the record was measured with it.")
            days = [_day(job, item.date) for item in readings] or [_day(job, None)]
            calibrated = case.fact("", f"last calibration of {tool.code}", tool.calibrated)
            case.given("", "first and last use", f"{min(days).isoformat()}, {max(days).isoformat()}", "the record")
            if calibrated > min(days):
                case.holds(False, "It was calibrated only after it had been used.")
            else:
                age = (max(days) - calibrated).days
                case.holds(age <= 366, f"Its calibration was {age} days old at its last use.")
        yield case.result


def _day(job: JobUnderCheck, day: dt.date | None) -> dt.date:
    """The day of a reading; the day the work was finished where none is written."""
    return day or job.record.job.dates.finished
