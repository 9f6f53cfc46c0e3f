"""Rules about tools: terminals tightened to their maker's value, and instruments calibrated before they were used."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.evidence import TorqueRecord
from handover.units import magnitude, show

_TOOL_TOLERANCE = 4.0  # per cent, usual for click-type wrenches: common practice, from memory


@rule("terminal_torque", "Were the terminals tightened to the value their maker gives?")
def terminal_torque(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Each recorded terminal within a torque tool's tolerance (4 %) of the required value.

    One result a code that has torque records, and one for each new circuit, feeder or panel without any.  The 2017
    edition asks for a calibrated torque tool, so there the tool's calibration has to be on record; from 2020 on any
    approved means will do.  Source: NEC 110.14(D).
    """
    recorded = list(dict.fromkeys(item.of for item in job.record.torques))
    new = [wiring.code for wiring in job.installation.wirings.values() if is_new(wiring.work)]
    new += [panel.code for panel in job.record.panels if panel.work == "new"]
    for code in (*recorded, *(code for code in new if code not in recorded)):
        with job.case(terminal_torque, code, section="110.14(D)") as case:
            torques = [(n, item) for n, item in enumerate(job.record.torques, 1) if item.of == code]
            if not torques:
                raise Undecided(f"No torque is recorded for the terminals of {code}. It cannot be tested afterwards.")
            amiss = [number for number, item in torques if not _as_required(case, number, item)]
            told = f"Record {amiss[0]} is more than {_TOOL_TOLERANCE:g} % off." if amiss else ""
            case.holds(not amiss, told or f"All recorded terminals ({len(torques)}) are within {_TOOL_TOLERANCE:g} %.")
        yield case.result


def _as_required(case: Case, number: int, item: TorqueRecord) -> bool:
    required = case.fact(f"T{number}", f"required by the maker, record {number}", item.required)
    applied = case.fact(f"t{number}", f"applied, record {number}", item.applied)
    if item.tool is None:
        raise Undecided(
            f"Torque record {number} names no tool. A torque counts only with the tool it was applied with."
        )
    case.given("", f"tool of record {number}", item.tool, str(item.written_at) or "the record")
    if case.job.edition < 2020:
        _calibrated(case, number, item.tool)
    wanted, done = magnitude(required, "pound_inch"), magnitude(applied, "pound_inch")
    if wanted <= 0:
        raise Undecided(f"Torque record {number}: a required value of {show(required)} is no value.")
    off = 100 * abs(done - wanted) / wanted
    case.step("100 × |t - T| / T", f"{show(applied)}, {show(required)}", f"{off:.3g} %")
    return off <= _TOOL_TOLERANCE + 1e-9


def _calibrated(case: Case, number: int, code: str) -> None:
    tool = next((tool for tool in case.job.record.instruments if tool.code == code), None)
    if tool is None:
        raise Undecided(f"The tool of torque record {number} is not described, and {case.job.edition} asks that it was "
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
