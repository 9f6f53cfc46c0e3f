"""The largest fault current, carried from the transformer to a panel or a circuit's end, point to point.

``f = 2 × L × I / (C × n × V)`` and ``I × 1 / (1 + f)`` for each length of conductor, as fuse makers' handbooks publish
it, line to line and line to neutral apart.  Everything here errs to the high side: the transformer's impedance at 0.9
of its mark, an endless supply before it, straight lengths only, the C of raceways that are not steel where not all is
steel.  A conductor whose data are missing is left out, which leaves the current too high, and is named.  What another
source adds is not counted: an inverter gives little more than its rated current.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from handover.checks.case import Case, Undecided
from handover.checks.impedances import all_steel
from handover.checks.runs_of import in_series, known_length, length_of
from handover.record.supply import Panel, Service, ServiceConductors, Transformer
from handover.record.wiring import Circuit, Wiring
from handover.tables.impedance_lookups import fault_c
from handover.units import Quantity, magnitude, number_text, quantity, show

WORST_IMPEDANCE = 0.9
"""A transformer may have 10 % less impedance than its mark (notes of published worksheets and handbooks)."""
CENTER_TAP = 1.5
"""Line-to-neutral over line-to-line current at the terminals of a 120/240 V transformer (a maker's notes)."""
_TO_NEUTRAL = 120.0
_ASK_UTILITY = "Ask the utility in writing for its available fault current, or for the transformer's kVA and %Z"


@dataclass(frozen=True, slots=True)
class Fault:
    """Amperes from line to line and from line to neutral, None where there is no such fault.

    ``missing`` says what has to be found out; as long as it says anything the true current is lower.
    """

    line: float | None
    neutral: float | None
    missing: tuple[str, ...] = ()

    @property
    def largest(self) -> Quantity:
        """The larger of the two."""
        return quantity(max(each for each in (self.line, self.neutral) if each is not None), "ampere")

    def without(self, what: str) -> Fault:
        """The same current, with one more thing to find out."""
        return replace(self, missing=(*self.missing, what))


@dataclass(frozen=True, slots=True)
class _Length:
    """One length of conductor: its name, feet, C, and sets in parallel."""

    named: str
    feet: float
    c: float
    sets: int


def line_volts(service: Service) -> float:
    """Volts from line to line."""
    return 240.0 if service.volts.startswith("120/240") else 208.0


def source_known(service: Service) -> bool:
    """Whether the record says enough of the supply to begin with."""
    transformer = service.transformer
    return service.fault_current.known or (
        transformer is not None and transformer.rating.known and transformer.impedance.known
    )


def impedance_asked(case: Case, limits: Iterable[Quantity]) -> str:
    """At what marked %Z the utility's transformer gives no more than each of ``limits``, at its own terminals.

    An estimate where only its kVA are known, which decides nothing: conductors on the way take more off, and the line
    to neutral is taken as 1.5 times the line to line.  Nothing where the kVA are not known either.
    """
    service = case.job.record.service
    transformer = service.transformer
    every = sorted(set(limits), key=lambda limit: limit.magnitude, reverse=True)
    if not every or transformer is None or not transformer.rating.known or transformer.impedance.known:
        return ""
    rating = case.fact("S", "rating of the utility's transformer", transformer.rating)
    power = magnitude(rating, "volt_ampere")
    volts = line_volts(service)
    per_phase, times = (volts, CENTER_TAP) if volts == 240.0 else (math.sqrt(3) * volts, 1.0)
    full = power / per_phase
    under = "240 V" if volts == 240.0 else "(1.732 × 208 V)"
    case.step("I of the transformer, for an estimate", f"{number_text(power)} VA / {under}", _amperes(full))
    asked = [f"{show(limit)} at {_percent_asked(case, limit, times, full):g} %" for limit in every]
    most = "line to neutral, taken as 1.5 times line to line" if volts == 240.0 else "leg to neutral"
    return (
        f"An estimate, which decides nothing: at its own terminals a transformer of "
        f"{transformer.rating.written or show(rating)} gives no more than {', or '.join(asked)} of marked impedance "
        f"({most}; 10 % under its mark), and more below that. It holds for this transformer alone."
    )


def _percent_asked(case: Case, limit: Quantity, times: float, full: float) -> float:
    """The %Z at which ``times`` the current that the transformer then gives is the limit; rounded up to hundredths."""
    amperes = magnitude(limit, "ampere")
    percent = times * full * 100 / (WORST_IMPEDANCE * amperes)
    case.step(
        f"%Z for no more than {show(limit)} at its terminals: {times:g} × I × 100 / (0.9 × limit), an estimate",
        f"{times:g} × {_shown(full)} × 100 / (0.9 × {number_text(amperes)} A)",
        f"{percent:.4g}",
    )
    return math.ceil(percent * 100 - 1e-9) / 100


def fault_at_service(case: Case) -> Fault:
    """At the service disconnect: the utility's figure, else from the transformer through the service conductors.

    Undecided where neither was recorded.
    """
    service = case.job.record.service
    if service.fault_current.known:
        amperes = magnitude(case.fact("Isc", "available fault current at the service", service.fault_current), "ampere")
        return Fault(amperes, amperes)
    if not source_known(service):
        raise Undecided(f"available fault current at the service: {service.fault_current.basis}. {_ASK_UTILITY}.")
    assert service.transformer is not None
    return _through_service_conductors(case, _at_transformer(case, service, service.transformer))


def _at_transformer(case: Case, service: Service, transformer: Transformer) -> Fault:
    power = magnitude(case.fact("S", "rating of the utility's transformer", transformer.rating), "volt_ampere")
    percent = magnitude(case.fact("%Z", "impedance of the utility's transformer", transformer.impedance), "percent")
    if percent <= 0:
        raise Undecided("An impedance of 0 % gives no fault current. Read the transformer's nameplate again.")
    volts = line_volts(service)
    shown = f"{number_text(power)} VA", f"100 / ({WORST_IMPEDANCE:g} × {percent:g})"
    if volts == 240.0:
        line = power / volts * 100 / (WORST_IMPEDANCE * percent)
        neutral = CENTER_TAP * line
        case.step("I = S / V × 100 / (0.9 × %Z), line to line", f"{shown[0]} / 240 V × {shown[1]}", _amperes(line))
        case.step("line to neutral at the transformer: 1.5 × I", f"1.5 × {_shown(line)}", _amperes(neutral))
        return Fault(line, neutral)
    # Two legs of a three-phase bank: √3 / 2 of the three-phase current from leg to leg, all of it from leg to neutral.
    neutral = power / (math.sqrt(3) * volts) * 100 / (WORST_IMPEDANCE * percent)
    line = neutral * math.sqrt(3) / 2
    formula = "I = S / (√3 × V) × 100 / (0.9 × %Z), S of the whole bank"
    case.step(formula, f"{shown[0]} / (1.732 × 208 V) × {shown[1]}", _amperes(neutral))
    case.step("line to line at the transformer: 0.866 × I", f"0.866 × {_shown(neutral)}", _amperes(line))
    return Fault(line, neutral)


def unknown_of_service_conductors(conductors: ServiceConductors | None, *, neutral: bool = False) -> str:
    """What has to be found out of the service conductors, in words; empty where all is known."""
    if conductors is None:
        return f"size, metal, length and number of sets of the service conductors{' and their neutral' * neutral}"
    known = {
        "length": conductors.length.known,
        "size": conductors.size.known,
        "metal": conductors.material.known,
        "number of sets": conductors.sets.known,
        "size of the neutral": conductors.neutral.known or not neutral,
    }
    unknown = [name for name, is_known in known.items() if not is_known]
    return f"{' and '.join(unknown)} of the service conductors" if unknown else ""


def _through_service_conductors(case: Case, fault: Fault) -> Fault:
    conductors = case.job.record.service.conductors
    unknown = unknown_of_service_conductors(conductors)
    if conductors is None or unknown:
        return fault.without(unknown)
    size = case.fact("", "size of the service conductors", conductors.size)
    metal = case.fact("", "metal of the service conductors", conductors.material)
    feet = magnitude(case.fact("L", "length of the service conductors", conductors.length), "foot")
    sets = case.fact("n", "sets of service conductors", conductors.sets)
    if sets < 1:
        raise Undecided("The service conductors are recorded as 0 sets. Mend it in the record.")
    c = case.looked("C", "C of the service conductors", fault_c(size, metal, steel=False))
    return _fall(case, fault, _Length("the service conductors", feet, c, sets))


def fault_at_panel(case: Case, panel: Panel, *, endless: bool = False) -> Fault:
    """At a panel's line terminals: the service's, through every feeder between.

    ``endless``: from a service that gives any current, so that the feeders alone limit it; infinite where none does.
    """
    installation = case.job.installation
    chain = installation.path_to_service(panel)
    if chain[-1] is not installation.service_panel:
        raise Undecided(f"What feeds {chain[-1].code} is not recorded.")
    fault = Fault(math.inf, math.inf) if endless else fault_at_service(case)
    for below in reversed(chain[:-1]):
        feeder = installation.feeder_to(below)
        if feeder is None:
            fault = fault.without(f"length, size and metal of the conductors that feed {below.code}")
        else:
            fault = _through(case, fault, feeder)
    return fault


def fault_at_end(case: Case, circuit: Circuit) -> Fault:
    """At the far end of a branch circuit.  One with a single hot conductor has no fault from line to line."""
    position = case.job.installation.position(circuit.code)
    if position is None:
        raise Undecided(f"No panel space feeds {circuit.code}. Record its breaker in the panel it starts from.")
    fault = fault_at_panel(case, position.panel)
    hots = sum(entry.count for entry in circuit.conductors if entry.role == "hot")
    if hots == 1:
        fault = replace(fault, line=None)
    return _through(case, fault, circuit)


def _through(case: Case, fault: Fault, wiring: Wiring) -> Fault:
    runs = case.job.installation.runs_of(wiring)
    hots = [entry for entry in wiring.conductors if entry.role == "hot"]
    if not runs or any(known_length(run) is None for run in runs):
        return fault.without(f"the whole length of {wiring.code}")
    if not hots or any(not (entry.size.known and entry.material.known) for entry in hots):
        return fault.without(f"size and metal of the hot conductors of {wiring.code}")
    largest = max(hots, key=lambda entry: entry.size.value.order if entry.size.value else 0.0)
    size = case.fact("", f"size of the hot conductors of {wiring.code}", largest.size)
    metal = case.fact("", f"metal of the hot conductors of {wiring.code}", largest.material)
    for run in in_series(case, wiring, shortest=True):
        feet = magnitude(length_of(case, run), "foot")
        c = case.looked("C", f"C of the conductors in {run.code}", fault_c(size, metal, steel=all_steel(run)))
        fault = _fall(case, fault, _Length(f"{wiring.code} in {run.code}", feet, c, max(wiring.sets, 1)))
    return fault


def _fall(case: Case, fault: Fault, length: _Length) -> Fault:
    volts = line_volts(case.job.record.service)
    line = neutral = None
    if fault.line is not None:
        line = _fallen(case, fault.line, length, volts, "line to line")
    if fault.neutral is not None:
        neutral = _fallen(case, fault.neutral, length, _TO_NEUTRAL, "line to neutral")
    return replace(fault, line=line, neutral=neutral)


def _fallen(case: Case, amperes: float, length: _Length, volts: float, kind: str) -> float:
    over = f"{number_text(length.c)} × {length.sets} × {volts:g} V"
    if math.isinf(amperes):
        most = length.c * length.sets * volts / (2 * length.feet) if length.feet > 0 else math.inf
        if not math.isinf(most):
            case.step(
                f"C × n × V / (2 × L), {kind}, from an endless supply through {length.named} alone",
                f"{over} / (2 × {number_text(length.feet)} ft)",
                _amperes(most),
            )
        return most
    f = 2 * length.feet * amperes / (length.c * length.sets * volts)
    case.step(
        f"f = 2 × L × I / (C × n × V), {kind}, {length.named}",
        f"2 × {number_text(length.feet)} ft × {_shown(amperes)} / ({over})",
        number_text(f),
    )
    left = amperes / (1 + f)
    case.step(
        f"I / (1 + f), {kind}, after {length.named}", f"{_shown(amperes)} / (1 + {number_text(f)})", _amperes(left)
    )
    return left


def _amperes(value: float) -> Quantity:
    return quantity(value, "ampere")


def _shown(value: float) -> str:
    return show(_amperes(value))
