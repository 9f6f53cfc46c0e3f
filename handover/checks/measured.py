"""Advice that sets a measurement beside the calculation of the same thing: a bad joint shows as a difference."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.conductors_of import wiring_of_this_job
from handover.checks.ground_loop import loop_of
from handover.checks.readings import LEADS_AND_CONTACTS
from handover.checks.result import CheckResult
from handover.checks.voltage_drop import drop_of
from handover.record.evidence import Reading
from handover.record.supply import Panel
from handover.record.wiring import Circuit, Feeder, Wiring
from handover.tables.impedance_lookups import ohms
from handover.units import Quantity, magnitude, number_text, quantity, show

_VOLTAGES = ("voltage line to line", "voltage line to neutral")
_SAME_LOAD = 0.05  # share by which two loads may differ and still be the same one: our own
_READING = 0.005  # share of the voltage that two readings one after another may be off against each other: our own

Numbered = tuple[int, Reading]


@rule("measured_loop", "Is the measured path of a fault to ground as good as its wires?", advice=True)
def measured_loop(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The highest loop reading of a new circuit or feeder, at most the calculated loop and 0.1 ohms for contacts.

    The calculation is that of ``ground_fault_loop``, with hot wires, so a sound loop measures less.  A reading within
    the part that is known needs no more.  Where one was measured.  Source: common practice; the allowance is ours.
    """
    for wiring in wiring_of_this_job(job):
        readings = [
            (number, item)
            for number, item in enumerate(job.record.readings, 1)
            if item.of == wiring.code and item.kind == "ground-fault loop impedance"
        ]
        if not readings:
            continue
        section = "with NEC Chapter 9 Tables 8 and 9"
        with job.case(measured_loop, wiring.code, section=section, code="common practice") as case:
            measured = max(_ohms(case, each) for each in readings)
            if measured <= 0:
                raise Undecided("A loop impedance of 0 is no measurement.")
            loop = loop_of(case, wiring)
            limit = ohms(loop.impedance + LEADS_AND_CONTACTS)
            numbers = f"{number_text(loop.impedance)} Ω + {LEADS_AND_CONTACTS:g} Ω"
            case.step("calculated loop + our own allowance for contacts", numbers, limit)
            if measured > limit.magnitude and loop.missing:
                raise Undecided(
                    f"{show(ohms(measured))} is more than the {show(limit)} of the known part of the path. Record: "
                    f"{'; '.join(loop.missing)}."
                )
            case.compare(value=ohms(measured), limit=limit, at_least=False)
        yield case.result


def _ohms(case: Case, reading: Numbered) -> float:
    number, item = reading
    _refuse_beyond_range(reading)
    return magnitude(case.fact("Z", f"reading {number}", item.ohms), "ohm")


def _refuse_beyond_range(reading: Numbered) -> None:
    if reading[1].beyond_range:
        raise Undecided(f"Reading {reading[0]} was beyond the instrument's range, which tells no number.")


@rule("measured_drop", "Does the voltage sag no more under load than its wires explain?", advice=True)
def measured_drop(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Volts at the panel less volts at the far end, with the same load, against the calculated drop at that load.

    For each new circuit or feeder with a voltage measured at its far end: at the circuit or its equipment, or at the
    panel that a feeder feeds.  Allowed besides: 0.5 % of the voltage, for two readings one after another.
    Source: common practice; both allowances (0.5 %, loads within 5 %) are ours.
    """
    for wiring in wiring_of_this_job(job):
        ends = list(_at_far_end(job, wiring))
        if not ends:
            continue
        section = "with NEC Chapter 9 Tables 8 and 9"
        with job.case(measured_drop, wiring.code, section=section, code="common practice") as case:
            end = _loaded(case, wiring, ends)
            start = _at_panel(case, wiring, end)
            _judge_drop(case, wiring, start, end)
        yield case.result


def _at_far_end(job: JobUnderCheck, wiring: Wiring) -> Iterator[Numbered]:
    codes = {wiring.code}
    if isinstance(wiring, Feeder):
        codes.add(wiring.to)
    if isinstance(wiring, Circuit):
        codes |= {item.code for item in job.installation.equipment_on(wiring)}
    for number, item in enumerate(job.record.readings, 1):
        if item.of in codes and item.kind in _VOLTAGES and _load_of(job, item) in (wiring.code, None):
            yield number, item


def _load_of(job: JobUnderCheck, reading: Reading) -> str | None:
    """The circuit or feeder whose load a reading tells; None where it tells none."""
    if reading.load_of is not None:
        return reading.load_of
    if reading.of in job.installation.wirings:
        return reading.of
    return next((item.circuit for item in job.record.equipment if item.code == reading.of), None)


def _loaded(case: Case, wiring: Wiring, ends: list[Numbered]) -> Numbered:
    """The reading at the far end with the largest load.  Undecided where none says its load."""
    told = [each for each in ends if each[1].load_current.known and _load_of(case.job, each[1]) == wiring.code]
    if not told:
        raise Undecided(
            f"No voltage measured at the far end of {wiring.code} says what current flowed meanwhile. Measure at the "
            "panel and at the far end with the load running, and record load_current with both."
        )
    return max(told, key=lambda each: each[1].load_current.value or quantity(0, "ampere"))


def _at_panel(case: Case, wiring: Wiring, end: Numbered) -> Numbered:
    panel = _panel_before(case, wiring)
    for number, item in enumerate(case.job.record.readings, 1):
        alike = item.of == panel.code and item.kind == end[1].kind and item.load_of == wiring.code
        if alike and item.load_current.known:
            return number, item
    raise Undecided(
        f"No {end[1].kind} was measured at {panel.code} with the load of {wiring.code} running. Measure it, and record "
        "load_current and load_of with it."
    )


def _panel_before(case: Case, wiring: Wiring) -> Panel:
    installation = case.job.installation
    position = installation.position(wiring.code)
    if position is not None:
        return position.panel
    below = installation.panels.get(wiring.to) if isinstance(wiring, Feeder) else None
    panel = installation.upstream(below) if below is not None else None
    if panel is None:
        raise Undecided(f"No panel space feeds {wiring.code}. Record its breaker in the panel it starts from.")
    return panel


def _judge_drop(case: Case, wiring: Wiring, start: Numbered, end: Numbered) -> None:
    before, first = _volts_and_load(case, start)
    after, second = _volts_and_load(case, end)
    if abs(first - second) > _SAME_LOAD * second:
        raise Undecided(f"Readings {start[0]} and {end[0]} were taken with loads too different to compare.")
    fallen = before - after
    if fallen < 0:
        raise Undecided(
            f"Reading {end[0]} at the far end is above reading {start[0]} at the panel: the supply moved between them. "
            "Measure both again, one right after the other."
        )
    measured = quantity(fallen, "volt")
    case.step("V panel - V end", f"{number_text(before)} V - {number_text(after)} V", measured)
    calculated = drop_of(case, wiring, quantity(second, "ampere"))
    limit = quantity(calculated + _READING * before, "volt")
    numbers = f"{number_text(calculated)} V + {_READING:g} × {number_text(before)} V"
    case.step("calculated drop + our own allowance for two readings", numbers, limit)
    case.compare(value=measured, limit=limit, at_least=False)


def _volts_and_load(case: Case, reading: Numbered) -> tuple[float, float]:
    number, item = reading
    _refuse_beyond_range(reading)
    volts: Quantity = case.fact(f"V{number}", f"reading {number}, {item.kind}", item.volts)
    load: Quantity = case.fact(f"I{number}", f"current that flowed during reading {number}", item.load_current)
    amperes = magnitude(load, "ampere")
    if amperes <= 0:
        raise Undecided(f"Reading {number} was taken without load, which shows no drop.")
    return magnitude(volts, "volt"), amperes


RULES: tuple[Rule, ...] = (measured_loop, measured_drop)
