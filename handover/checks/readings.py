"""Rules about what was measured: each reading against what it should be, and readings that new wiring ought to have.

A reading that is missing, or beyond the range of its instrument, never passes.  Most of these expectations are not in
the NEC; each result cites where its own comes from.
"""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.gfci import protected_by_breaker
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new
from handover.checks.torque import instrument_calibrated, terminal_torque
from handover.record.evidence import Reading
from handover.record.wiring import Wiring
from handover.tables.impedance_lookups import direct_resistance, ohms
from handover.units import Quantity, magnitude, number_text, quantity, show

# ANSI C84.1 on a 120 V base, from memory: lowest and highest at the service, and at the equipment.
_RANGE_A_SERVICE = (114.0, 126.0)
_RANGE_A_USE = (108.0, 126.0)
_RANGE_B_SERVICE = (110.0, 127.0)
_RANGE_B_USE = (104.0, 127.0)

# ANSI/NETA MTS-2019 Table 100.1: class of the equipment in volts, test volts (dc), least megohms.
_INSULATION = ((250.0, 500.0, 25.0), (600.0, 1000.0, 100.0))
_IEC = "IEC 60364-6, as a rail authority's specification quotes it"

_NEUTRAL_TO_GROUND = 2.0  # volts with loads running, common practice
_TRIP_LOW, _TRIP_HIGH = 4.0, 6.0  # milliamperes, UL 943
LEADS_AND_CONTACTS = 0.1
"""Ohms, our own allowance for what is left of zeroed test leads, and for terminals."""
_SURE_TRIP = 5.0  # times the breaker's rating, common practice


def _readings(job: JobUnderCheck, of: str, *kinds: str) -> list[tuple[int, Reading]]:
    return [(n, item) for n, item in enumerate(job.record.readings, 1) if item.of == of and item.kind in kinds]


def _new_wirings(job: JobUnderCheck) -> Iterator[Wiring]:
    for wiring in job.installation.wirings.values():
        if is_new(wiring.work):
            yield wiring


def _in_range(case: Case, readings: list[tuple[int, Reading]], what: str) -> None:
    """End the case where no reading was taken, or one was beyond the range of its instrument."""
    if not readings:
        raise Undecided(f"No {what} is recorded for {case.subject}. Measure it, or say why it was not.")
    for number, item in readings:
        if item.beyond_range:
            raise Undecided(f"Reading {number} was beyond the instrument's range, which tells no number.")


@rule("supply_voltage", "Is the voltage within the usual range?")
def supply_voltage(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Every voltage reading within range A: at a panel as at the service, elsewhere as at equipment.

    Between range A and B is undecided: tolerable for a time, to be taken up with the utility.  One result a code that
    has readings, and one for each touched panel without any.  Source: ANSI C84.1, numbers from memory.
    """
    kinds = ("voltage line to line", "voltage line to neutral")
    measured = list(dict.fromkeys(item.of for item in job.record.readings if item.kind in kinds))
    unmeasured = [panel.code for panel in job.record.panels if is_new(panel.work) and panel.code not in measured]
    for code in (*measured, *unmeasured):
        with job.case(supply_voltage, code, section="range A" + FROM_MEMORY, code="ANSI C84.1") as case:
            readings = _readings(job, code, *kinds)
            _in_range(case, readings, "voltage")
            at_panel = code in job.installation.panels
            _judge_voltages(case, readings, at_panel=at_panel)
        yield case.result


def _judge_voltages(case: Case, readings: list[tuple[int, Reading]], *, at_panel: bool) -> None:
    low, high = _RANGE_A_SERVICE if at_panel else _RANGE_A_USE
    low_b, high_b = _RANGE_B_SERVICE if at_panel else _RANGE_B_USE
    split = case.job.record.service.volts.startswith("120/240")
    outside, far = [], []
    for number, item in readings:
        volts = magnitude(case.fact(f"V{number}", item.kind, item.volts), "volt")
        base = 1.0 if item.kind == "voltage line to neutral" else 2.0 if split else 3.0**0.5
        if not low * base <= volts <= high * base:
            outside.append(number)
        if not low_b * base <= volts <= high_b * base:
            far.append(number)
    case.step("range A", f"{low:g} V to {high:g} V on a 120 V base", f"outside: {outside or 'none'}")
    case.step("range B", f"{low_b:g} V to {high_b:g} V on a 120 V base", f"outside: {far or 'none'}")
    if outside and not far:
        raise Undecided(f"Reading {outside[0]} is outside range A and within range B: ask the utility about it.")
    case.holds(not far, f"{len(readings) - len(outside)} of {len(readings)} readings are within range A.")


@rule("neutral_ground_voltage", "Is there next to no voltage between neutral and ground?", advice=True)
def neutral_ground_voltage(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The highest reading from neutral to ground, at most 2 V: more points to a loose neutral or an overloaded one.

    One result a code that has such readings.  Where neutral and ground are joined it tells nothing.
    Source: common practice; no code gives a number.
    """
    kind = "voltage neutral to ground"
    for code in dict.fromkeys(item.of for item in job.record.readings if item.kind == kind):
        section = "neutral to ground"
        with job.case(neutral_ground_voltage, code, section=section, code="common practice") as case:
            panel = job.installation.panels.get(code)
            if panel is not None and case.fact("", f"neutral joined to ground in {code}", panel.neutral_bonded):
                raise NotApplicable(f"Neutral and ground are joined in {code}, so there is no voltage between them.")
            readings = _readings(job, code, kind)
            _in_range(case, readings, kind)
            highest = max(
                (case.fact(f"V{number}", f"reading {number}, {kind}", item.volts) for number, item in readings),
                key=lambda volts: magnitude(volts, "volt"),
            )
            case.compare(value=highest, limit=quantity(_NEUTRAL_TO_GROUND, "volt"), at_least=False)
        yield case.result


@rule("insulation_resistance", "Is the insulation of the new wiring sound?")
def insulation_resistance(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The lowest insulation reading of each new circuit or feeder against the representative value for its class.

    The NEC gives no number.  Source: ANSI/NETA MTS-2019 Table 100.1 (250 V class: 500 V dc and 25 megohms).
    """
    for wiring in _new_wirings(job):
        with job.case(insulation_resistance, wiring.code, section="MTS-2019 Table 100.1", code="ANSI/NETA") as case:
            readings = _readings(job, wiring.code, "insulation resistance")
            _in_range(case, readings, "insulation reading")
            volts = case.fact("V", f"volts of {wiring.code}", wiring.volts)
            fitting = [row for row in _INSULATION if magnitude(volts, "volt") <= row[0]]
            if not fitting:
                raise Undecided(f"No value is held here for wiring of {show(volts)}.")
            _, test_volts, megohms = fitting[0]
            case.given("R min", f"least resistance, at {test_volts:g} V dc", f"{megohms:g} MΩ", "ANSI/NETA MTS-2019")
            case.given("", "least resistance to 500 V elsewhere, at 500 V dc, for comparison only", "1 MΩ", _IEC)
            for number, item in readings:
                used = case.fact("Vt", f"test voltage of reading {number}", item.test_volts)
                if magnitude(used, "volt") < test_volts:
                    raise Undecided(
                        f"Reading {number} was taken at {show(used)}; the value holds at {test_volts:g} V dc."
                    )
            lowest = min(
                (case.fact("R", f"reading {number}", item.ohms) for number, item in readings),
                key=lambda ohms: magnitude(ohms, "ohm"),
            )
            case.compare(value=lowest.to("megaohm"), limit=quantity(megohms, "megaohm"), at_least=True)
        yield case.result


@rule("ground_continuity", "Does the ground wire reach from end to end?", advice=True)
def ground_continuity(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The highest continuity reading of a new circuit or feeder against the wire's own resistance.

    No code gives a limit.  Expected: the ground wire over the recorded lengths at 75 °C, and 0.1 ohms of our own
    allowance for leads and terminals.  Source: NEC Chapter 9 Table 8 for the resistance; else common practice.
    """
    for wiring in _new_wirings(job):
        section = "with NEC Chapter 9 Table 8"
        with job.case(ground_continuity, wiring.code, section=section, code="common practice") as case:
            readings = _readings(job, wiring.code, "ground continuity")
            _in_range(case, readings, "ground continuity reading")
            highest = max(
                (case.fact("R", f"reading {number}", item.ohms) for number, item in readings),
                key=lambda ohms: magnitude(ohms, "ohm"),
            )
            wire = _ground_wire_resistance(case, wiring)
            limit = wire + quantity(LEADS_AND_CONTACTS, "ohm")
            case.step("R wire + our own allowance", f"{show(wire)} + {LEADS_AND_CONTACTS} Ω", limit)
            case.compare(value=highest, limit=limit, at_least=False)
        yield case.result


def _ground_wire_resistance(case: Case, wiring: Wiring) -> Quantity:
    wire = next((part for part in wiring.conductors if part.role == "equipment ground"), None)
    if wire is None:
        raise Undecided(f"The ground wire of {wiring.code} is not recorded.")
    size = case.fact("", "ground wire", wire.size)
    metal = case.fact("", "its material", wire.material)
    feet = 0.0
    runs = case.job.installation.runs_of(wiring)
    if not runs:
        raise Undecided(f"No run of {wiring.code} is recorded, so its length is not known.")
    for run in runs:
        for number, step in enumerate(run.path, 1):
            if step.step == "straight":
                feet += magnitude(case.fact("L", f"length of {run.code}, step {number}", step.length), "foot")
    found = direct_resistance(size, metal, case.job.edition)
    case.given("r", "resistance of 1000 ft", ohms(found.value), found.source)
    resistance = ohms(found.value * feet / 1000)
    case.step("R wire = r × L / 1000 ft", f"{show(ohms(found.value))} × {feet:g} ft / 1000 ft", resistance)
    return resistance


@rule("gfci_trip", "Does the ground-fault protection trip when it should?")
def gfci_trip(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A trip between 4 mA and 6 mA, or at the test button.  One result a new circuit with a GFCI breaker or receptacle.

    A test at a fixed current of 6 mA or more trips within ``(20 / I)^1.43`` seconds, I in mA; nothing is said
    of less.  Source: UL 943, as an engineering glossary tells it; the time by a power engineer on a code forum.
    """
    for wiring in job.record.circuits:
        if not is_new(wiring.work):
            continue
        with job.case(gfci_trip, wiring.code, section="Class A", code="UL 943") as case:
            in_receptacle = any(outlet.gfci.value == "in this receptacle" for outlet in wiring.outlets)
            if not protected_by_breaker(case, wiring.code) and not in_receptacle:
                raise NotApplicable("No ground-fault protection is recorded in its breaker or receptacles.")
            readings = _readings(job, wiring.code, "GFCI trip")
            _in_range(case, readings, "GFCI test")
            amiss = [number for number, item in readings if not _trips_well(case, number, item)]
            told = (
                f"Reading {amiss[0]} is not as it should be." if amiss else "Every recorded test tripped as it should."
            )
            case.given(
                "", "should trip", f"over {_TRIP_LOW:g} mA, at {_TRIP_HIGH:g} mA at the latest", "UL 943, Class A"
            )
            case.holds(not amiss, told)
        yield case.result


def _trips_well(case: Case, number: int, item: Reading) -> bool:
    """By the measured current and time where there are such; else by whether the test button cut the power off.

    A result that was not as expected is one, whatever else was measured.
    """
    if item.result.value == "not as expected":
        return case.fact("", f"result of reading {number}", item.result) == "as expected"
    good = []
    if item.trip_current.known:
        tripped = magnitude(case.fact("I", f"trip current of reading {number}", item.trip_current), "milliampere")
        good.append(_TRIP_LOW - 1e-9 <= tripped <= _TRIP_HIGH + 1e-9)
    if item.trip_time.known or item.test_current.known:
        good.append(_in_time(case, number, item))
    if not good:
        return case.fact("", f"result of reading {number}, test button", item.result) == "as expected"
    return all(good)


def _in_time(case: Case, number: int, item: Reading) -> bool:
    """Whether a test at a fixed current tripped soon enough."""
    fixed = magnitude(case.fact("I", f"test current of reading {number}", item.test_current), "milliampere")
    if fixed < _TRIP_HIGH - 1e-9:
        raise Undecided(f"Reading {number} was taken with less than {_TRIP_HIGH:g} mA, for which no time is given.")
    taken = case.fact("t", f"time to trip of reading {number}", item.trip_time)
    longest = quantity((20 / fixed) ** 1.43, "second")
    case.step("T = (20 / I)^1.43, I in mA", f"(20 / {number_text(fixed)})^1.43", longest)
    return not less(longest, taken)


@rule("polarity", "Are hot and neutral the right way round at the receptacles?")
def polarity(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A polarity test of each new circuit that has receptacles.  Source: NEC 200.11."""
    for circuit in job.record.circuits:
        if not is_new(circuit.work) or not any(outlet.kind == "receptacle" for outlet in circuit.outlets):
            continue
        with job.case(polarity, circuit.code, section="200.11" + FROM_MEMORY) as case:
            if not any(part.role == "neutral" for part in circuit.conductors) and circuit.conductors:
                raise NotApplicable("The circuit has no neutral, so there is nothing to confuse.")
            readings = _readings(job, circuit.code, "polarity")
            _in_range(case, readings, "polarity test")
            amiss = [
                number
                for number, item in readings
                if case.fact("", f"result of reading {number}", item.result) != "as expected"
            ]
            case.holds(
                not amiss, f"Reading {amiss[0]} was not as expected." if amiss else "All tests were as expected."
            )
        yield case.result


@rule("fault_loop", "Would a short to ground trip the breaker at once?", advice=True)
def fault_loop(job: JobUnderCheck) -> Iterator[CheckResult]:
    """120 V over the highest loop impedance gives at least five times the breaker's rating.  Where one was measured.

    No code gives a number; earth itself is never counted on.  Source: common practice, for NEC 250.4(A)(5).
    """
    for wiring in _new_wirings(job):
        readings = _readings(job, wiring.code, "ground-fault loop impedance")
        if not readings:
            continue
        with job.case(fault_loop, wiring.code, section="for NEC 250.4(A)(5)", code="common practice") as case:
            _in_range(case, readings, "loop impedance")
            highest = max(
                (case.fact("Z", f"reading {number}", item.ohms) for number, item in readings),
                key=lambda ohms: magnitude(ohms, "ohm"),
            )
            if highest.magnitude <= 0:
                raise Undecided("A loop impedance of 0 is no measurement.")
            current = (quantity(120, "volt") / highest).to("ampere")
            wanted = breaker_rating(case, wiring.code) * _SURE_TRIP
            case.step("I = 120 V / Z", f"120 V / {show(highest)}", current)
            case.compare(value=current, limit=wanted, at_least=True)
        yield case.result


@rule("current_in_use", "Is the current in use within the breaker's rating?")
def current_in_use(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The highest current measured in use on a new circuit or feeder.  Where one was measured.  Source: NEC 210.23."""
    for wiring in _new_wirings(job):
        readings = _readings(job, wiring.code, "current in use")
        if not readings:
            continue
        with job.case(current_in_use, wiring.code, section="210.23" + FROM_MEMORY) as case:
            _in_range(case, readings, "current in use")
            highest = max(
                (case.fact("I", f"reading {number}", item.amperes) for number, item in readings),
                key=lambda amperes: magnitude(amperes, "ampere"),
            )
            case.compare(value=highest, limit=breaker_rating(case, wiring.code), at_least=False)
        yield case.result


RULES: tuple[Rule, ...] = (
    supply_voltage,
    neutral_ground_voltage,
    insulation_resistance,
    ground_continuity,
    gfci_trip,
    polarity,
    fault_loop,
    current_in_use,
    terminal_torque,
    instrument_calibrated,
)
