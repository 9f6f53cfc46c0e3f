"""Advice about the path of a fault to ground: is its current large enough that the breaker opens at once.

The low side of everything: conductors at 75 °C (Chapter 9 Tables 8 and 9), the transformer at its marked impedance,
which is added to the conductors' as a plain number since its angle is not known, and in the ground path nothing but the
recorded wire.  Earth and pipes are never counted on.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from handover.checks.case import Case, JobUnderCheck, Rule, Undecided, rule
from handover.checks.conductors_of import wires_of, wiring_of_this_job
from handover.checks.fault_chain import line_volts, unknown_of_service_conductors
from handover.checks.impedances import NOTHING, Ohms, conduit_of, per_thousand
from handover.checks.result import CheckResult, Verdict
from handover.checks.runs_of import in_series, known_length, length_of
from handover.checks.scope import breaker_rating
from handover.record.supply import ServiceConductors
from handover.record.wiring import Feeder, Wiring
from handover.tables.impedance_lookups import ohms
from handover.units import Quantity, magnitude, number_text, quantity, show

SURE_TRIP = 10.0
NO_TRIP = 5.0
_CENTER_TAP_LOW = 1.33  # line to neutral over line to line at a center tap is 1.33 to 1.67: a maker's notes
_TO_NEUTRAL = 120.0


@dataclass(frozen=True, slots=True)
class Loop:
    """The path of a fault to ground: the transformer's ohms, those of the conductors, and what is not known of it."""

    source: float = 0.0
    conductors: Ohms = NOTHING
    missing: tuple[str, ...] = ()

    @property
    def impedance(self) -> float:
        """At most so many ohms, if nothing is missing; else at least those of the known conductors."""
        return self.source + self.conductors.impedance

    def plus(self, part: Ohms) -> Loop:
        """The loop with one more length of conductors."""
        return replace(self, conductors=self.conductors + part)

    def without(self, what: str) -> Loop:
        """The loop with one more thing that is not known."""
        return replace(self, missing=(*self.missing, what))


@rule("ground_fault_loop", "Would a short to the ground wire open the breaker at once, by calculation?", advice=True)
def ground_fault_loop(job: JobUnderCheck) -> Iterator[CheckResult]:
    """120 V over the calculated loop against the breaker's rating.  One result a new circuit or feeder.

    Ten times the rating passes and less than five fails.  The code gives no number; breakers of houses open at once
    from somewhere between five and ten times their rating, so what lies between is left to the maker's trip curve or a
    measurement.  Where the supply is not known one result, about the service panel, says so, and only what fails
    whatever the supply may be is told besides.  Source: common practice, for NEC 250.4(A)(5).
    """
    supply = _case(job, job.installation.service_panel.code)
    with supply:
        _ask_for(supply_loop(supply).missing)
        supply.holds(True, "The supply is known.")
    unknown = supply.result.verdict is Verdict.UNDECIDED
    if unknown:
        yield supply.result
    for wiring in wiring_of_this_job(job):
        with _case(job, wiring.code) as case:
            _judge(case, wiring)
        if not unknown or case.result.verdict is Verdict.FAIL:
            yield case.result


def _case(job: JobUnderCheck, subject: str) -> Case:
    section = "for NEC 250.4(A)(5), with Chapter 9 Tables 8 and 9"
    return job.case(ground_fault_loop, subject, section=section, code="common practice")


def _ask_for(missing: tuple[str, ...]) -> None:
    if missing:
        raise Undecided(f"The path of a fault to ground is not known. Record: {'; '.join(missing)}.")


def _judge(case: Case, wiring: Wiring) -> None:
    """Close the case, or end it as undecided.  A loop known in part can fail, never pass."""
    loop = loop_of(case, wiring)
    if loop.impedance <= 0:
        _ask_for(loop.missing)
    current = loop_current(case, loop)
    rating = breaker_rating(case, wiring.code)
    if current < rating * NO_TRIP:
        case.compare(value=current, limit=rating * NO_TRIP, at_least=True)
        return
    _ask_for(loop.missing)
    if current < rating * SURE_TRIP:
        raise Undecided(
            f"{show(current)} lies between {NO_TRIP:g} and {SURE_TRIP:g} times the rating, where some breakers open at "
            "once and others do not. Read the maker's trip curve, or measure the loop."
        )
    case.compare(value=current, limit=rating * SURE_TRIP, at_least=True)


def loop_current(case: Case, loop: Loop) -> Quantity:
    """120 V over the loop."""
    current = quantity(_TO_NEUTRAL / loop.impedance, "ampere")
    numbers = f"120 V / ({number_text(loop.source)} + {number_text(loop.conductors.impedance)}) Ω"
    case.step("I = 120 V / (Z source + √(R² + X²))", numbers, current)
    return current


def loop_of(case: Case, wiring: Wiring) -> Loop:
    """The loop of a fault at the far end of a circuit or feeder, through every feeder above it and the service."""
    loop = supply_loop(case)
    for each in reversed([wiring, *_above(case, wiring)]):
        loop = _through(case, loop, each) if isinstance(each, Wiring) else loop.without(each)
    r, x = loop.conductors.resistance, loop.conductors.reactance
    case.step("√(R² + X²) of all conductors", f"√({number_text(r)}² + {number_text(x)}²)", ohms(math.hypot(r, x)))
    return loop


def _above(case: Case, wiring: Wiring) -> list[Wiring | str]:
    """The feeders above, nearest first; what is not recorded, in words, where a feeder should be."""
    installation = case.job.installation
    position = installation.position(wiring.code)
    panel = position.panel if position else None
    if panel is None and isinstance(wiring, Feeder) and wiring.to in installation.panels:
        panel = installation.upstream(installation.panels[wiring.to])
    if panel is None:
        return [f"the panel space that feeds {wiring.code}"]
    chain = installation.path_to_service(panel)
    if chain[-1] is not installation.service_panel:
        return [f"what feeds {chain[-1].code}"]
    above: list[Wiring | str] = []
    for each in chain[:-1]:
        above.append(installation.feeder_to(each) or f"the conductors that feed {each.code}")
    return above


def supply_loop(case: Case) -> Loop:
    """The transformer and the service conductors: hot out, neutral back."""
    service = case.job.record.service
    loop = Loop()
    transformer = service.transformer
    if transformer is None or not (transformer.rating.known and transformer.impedance.known):
        loop = loop.without("kVA and %Z of the utility's transformer")
    else:
        power = magnitude(case.fact("S", "rating of the utility's transformer", transformer.rating), "volt_ampere")
        percent = magnitude(case.fact("%Z", "impedance of the utility's transformer", transformer.impedance), "percent")
        if power <= 0:
            raise Undecided("A transformer of 0 kVA feeds nothing. Read its nameplate again.")
        loop = replace(loop, source=_source(case, power, percent))
    conductors = service.conductors
    unknown = unknown_of_service_conductors(conductors, neutral=True)
    if conductors is None or unknown:
        return loop.without(unknown)
    return loop.plus(_service_ohms(case, conductors))


def _source(case: Case, power: float, percent: float) -> float:
    volts = line_volts(case.job.record.service)
    line = percent / 100 * volts**2 / power
    numbers = f"{percent:g} / 100 × {volts:g}² / {number_text(power)}"
    if volts == 240.0:
        # I to neutral = 1.33 × I from line to line, at half the volts.
        source = line / 2 / _CENTER_TAP_LOW
        case.step("Z source = %Z / 100 × V² / S / 2 / 1.33", f"{numbers} / 2 / 1.33", ohms(source))
        return source
    case.step("Z source = %Z / 100 × V² / S, S of the whole bank", numbers, ohms(line))
    return line


def _service_ohms(case: Case, conductors: ServiceConductors) -> Ohms:
    metal = case.fact("", "metal of the service conductors", conductors.material)
    feet = magnitude(case.fact("L", "length of the service conductors", conductors.length), "foot")
    sets = case.fact("n", "sets of service conductors", conductors.sets)
    if sets < 1:
        raise Undecided("The service conductors are recorded as 0 sets. Mend it in the record.")
    total = NOTHING
    for named, size in (("service hot", conductors.size), ("service neutral", conductors.neutral)):
        # How they run is not recorded: reactance as in steel, the most it can be.
        each = per_thousand(case, case.fact("", f"size of the {named}", size), metal, "steel", named)
        total += each.times(feet / 1000 / sets)
    return total


def _through(case: Case, loop: Loop, wiring: Wiring) -> Loop:
    """Hot out, equipment grounding conductor back.  Of the latter one is counted, however many sets there are."""
    runs = case.job.installation.runs_of(wiring)
    if not runs or any(known_length(run) is None for run in runs):
        return loop.without(f"the whole length of {wiring.code}")
    roles: tuple[tuple[Literal["hot", "equipment ground"], int], ...]
    roles = (("hot", max(wiring.sets, 1)), ("equipment ground", 1))
    for role, sets in roles:
        entries = [entry for entry in wiring.conductors if entry.role == role]
        if not entries or any(not (entry.size.known and entry.material.known) for entry in entries):
            named = (
                "hot conductors" if role == "hot" else "ground wire (of a metal raceway no table gives the resistance)"
            )
            loop = loop.without(f"size and metal of the {named} of {wiring.code}")
            continue
        wires = wires_of(case, wiring, role)
        assert wires is not None
        for run in in_series(case, wiring):
            feet = magnitude(length_of(case, run), "foot")
            named = f"{'hot' if role == 'hot' else 'ground wire'} of {wiring.code} in {run.code}"
            each = per_thousand(case, wires.size, wires.metal, conduit_of(run), named)
            loop = loop.plus(each.times(feet / 1000 / sets))
    return loop


RULES: tuple[Rule, ...] = (ground_fault_loop,)
