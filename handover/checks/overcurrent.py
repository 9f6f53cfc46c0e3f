"""Rules about breakers: large enough for the load, small enough for the conductor, and of a standard rating."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from handover.checks.ampacities import after_correction, ask_about_the_roof
from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.compressors import unmarked_compressor
from handover.checks.conductors import ask_for_nameplate
from handover.checks.conductors_of import (
    ask_for_terminals,
    breaker_of,
    for_general_use,
    hot_wires,
    is_motor_circuit,
    less,
    several_receptacles,
    terminal_column,
    whole_amperes,
    wiring_of_this_job,
)
from handover.checks.cooking_circuits import cooks_only
from handover.checks.dwelling_feeder import limit_for_dwelling
from handover.checks.feeder_load import load_of
from handover.checks.loads_of import nameplate_ampacity
from handover.checks.motors import motor_is_judged
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.facts import Fact
from handover.record.installation import Position
from handover.record.wiring import Circuit, Feeder, Wiring
from handover.tables.lookups import is_standard, next_up, small_conductor_limit, standard_ratings
from handover.units import Quantity, magnitude, show

_LARGEST_NEXT_UP = 800.0


def _leave_to_nameplate(case: Case, wiring: Wiring, why: str) -> None:
    """End the case where a nameplate of Article 440 governs the breaker instead; ask for a plate that was not read."""
    if isinstance(wiring, Circuit):
        ask_for_nameplate(case, wiring)
        plate = nameplate_ampacity(case, wiring)
        if plate is not None:
            case.fact("MCA", f"minimum circuit ampacity on the nameplate of {plate[0].code}", plate[1])
            raise NotApplicable(f"The nameplate of {plate[0].code} governs the breaker of {wiring.code}: {why}.")
        if unmarked_compressor(case, wiring) is not None:
            raise NotApplicable(f"{wiring.code} feeds a compressor: its breaker is judged by rule compressor_circuit.")


@rule("continuous_load", "Can the breaker carry the load for hours?")
def continuous_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The breaker's rating against 125 % of the continuous and 100 % of the other load.  One result a wiring.

    Source: NEC 210.20(A) branch circuits, 215.3 feeders, with 220.5(B) for a fraction of an ampere.  A breaker listed
    for 100 % is not told apart: 125 % is always asked.  Unit: A.
    """
    for wiring in wiring_of_this_job(job):
        section = ("215.3" if isinstance(wiring, Feeder) else "210.20(A)") + FROM_MEMORY
        case = job.case(continuous_load, wiring.code, section=section)
        with case:
            _leave_to_nameplate(case, wiring, "it holds the 125 % already (440.4(B))")
            breaker = breaker_of(case, wiring)
            if isinstance(wiring, Circuit) and for_general_use(case, wiring):
                raise NotApplicable("Receptacles and lights for general use: what is plugged in is not fixed.")
            if cooks_only(case, wiring):
                raise NotApplicable("Cooking appliances are reckoned by their demand: rule range_circuit.")
            load = load_of(case, wiring)
            needed = load.continuous * 1.25 + load.noncontinuous
            case.step(
                "1.25 × I continuous + I other", f"1.25 × {show(load.continuous)} + {show(load.noncontinuous)}", needed
            )
            if isinstance(wiring, Feeder):
                needed = whole_amperes(case, needed, breaker)
            told = (
                f"The breaker is of {show(breaker)}; the load, its continuous part at 125 %, asks for {show(needed)}."
            )
            case.compare(value=breaker, limit=needed, at_least=True, reason=told)
        yield case.result


@rule("breaker_protects_conductor", "Does the breaker trip before the conductor gets too hot?")
def breaker_protects_conductor(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The breaker's rating against the conductor's corrected ampacity, or the next standard rating above it.

    Source: NEC 240.4, 240.4(B): the next rating up only to 800 A, and not for a branch circuit with more than one
    receptacle for portable loads.  A feeder that carries a whole dwelling has 83 % to go by (310.12).  Article 440
    equipment with a nameplate is exempt by 240.4(G).  Unit: A.
    """
    for wiring in wiring_of_this_job(job):
        case = job.case(breaker_protects_conductor, wiring.code, section="240.4(B)" + FROM_MEMORY)
        with case:
            _leave_to_nameplate(case, wiring, "a breaker above the conductor's ampacity is allowed there (240.4(G))")
            _protects(case, wiring)
        yield case.result


def _protects(case: Case, wiring: Wiring) -> None:
    breaker = breaker_of(case, wiring)
    wires = hot_wires(case, wiring)
    terminal = terminal_column(case, wiring, breaker)
    ampacity = after_correction(case, wiring, wires, terminal)
    limit = _next_rating(case, wiring, breaker, ampacity)
    good = not less(limit, breaker)
    if not good:
        ask_about_the_roof(case, wiring, wires, terminal, partial(_good_for, case, wiring, breaker))
    if not good and isinstance(wiring, Feeder):
        relaxed = limit_for_dwelling(case, wiring, breaker, ampacity)
        good, limit = (True, relaxed) if relaxed is not None else (good, limit)
    ask_for_terminals(wiring, terminal, good)
    if not good and motor_is_judged(case, wiring):
        raise NotApplicable("A motor's breaker may be larger than the wire's ampacity (240.4(G)): rule motor_circuit.")
    if not good and is_motor_circuit(case, wiring):
        raise Undecided(
            f"{wiring.code} feeds a motor, and {show(breaker)} is above {show(limit)}: "
            "judge the breaker by 430.52 from the motor's table current."
        )
    told = f"The breaker is of {show(breaker)}; over this wire, as it lies, at most {show(limit)} is allowed."
    case.compare(value=breaker, limit=limit, at_least=False, reason=told)


def _good_for(case: Case, wiring: Wiring, breaker: Quantity, ampacity: Quantity) -> bool:
    aside = case.job.case(case.rule, case.subject, section="240.4(B)")
    return not less(_next_rating(aside, wiring, breaker, ampacity), breaker)


def _next_rating(case: Case, wiring: Wiring, breaker: Quantity, ampacity: Quantity) -> Quantity:
    """The largest breaker that 240.4 allows over ``ampacity``: the ampacity itself, or the next standard rating."""
    if not less(ampacity, breaker):
        return ampacity
    if isinstance(wiring, Circuit) and several_receptacles(wiring):
        case.step(
            "next rating up: not for several receptacles (240.4(B)(1))", f"{wiring.code}, ampacity", show(ampacity)
        )
        return ampacity
    if magnitude(breaker, "ampere") > _LARGEST_NEXT_UP:
        case.step("next rating up: not above 800 A (240.4(C))", f"{show(breaker)}, ampacity", show(ampacity))
        return ampacity
    return case.looked("I std", f"next standard rating from {show(ampacity)} up", next_up(ampacity, case.job.edition))


@rule("small_conductors", "Is the breaker within the fixed limit for small wire?")
def small_conductors(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The breaker on 14, 12 and 10 AWG against the fixed limit, whatever the ampacity column says.

    Source: NEC 240.4(D); exempt by 240.4(G) where Article 440 equipment has a nameplate.  Unit: A.
    """
    for wiring in wiring_of_this_job(job):
        case = job.case(small_conductors, wiring.code, section="240.4(D)")
        with case:
            _leave_to_nameplate(case, wiring, "the limit for small wire is lifted there (240.4(G))")
            wires = hot_wires(case, wiring)
            limit = small_conductor_limit(wires.size, wires.metal, case.job.edition)
            if limit is None:
                raise NotApplicable(f"{wires.size} is larger than the wires this limit is for.")
            breaker = breaker_of(case, wiring)
            case.given("limit", f"largest breaker for {wires.size} {wires.metal}", limit.value.device, limit.source)
            if limit.value.condition:
                raise Undecided(f"{wires.size} {wires.metal} has conditions of its own: {limit.value.condition}. Look.")
            if less(limit.value.device, breaker) and motor_is_judged(case, wiring):
                raise NotApplicable("The limit for small wire is lifted for motors (240.4(G)): rule motor_circuit.")
            if less(limit.value.device, breaker) and is_motor_circuit(case, wiring):
                raise Undecided(f"{wiring.code} feeds a motor: judge the breaker by 430.52 (240.4(G)).")
            device = limit.value.device
            told = (
                f"The breaker is of {show(breaker)}; over {wires.size} {wires.metal} at most {show(device)} is allowed."
            )
            case.compare(value=breaker, limit=device, at_least=False, reason=told)
        yield case.result


@rule("standard_rating", "Is the breaker of a standard rating?")
def standard_rating(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The rating of each breaker this job fitted, and of a new panel's main breaker, against the standard list.

    Source: NEC 240.6(A), where 10 A stands from 2023 on.  Breakers with an adjustable trip, which 240.6(B) and (C)
    treat otherwise, are hardly met in a house and are not told apart.
    """
    for subject, rating in _fitted(job):
        case = job.case(standard_rating, subject, section="240.6(A)")
        with case:
            value = case.fact("breaker", "rating", rating)
            ratings = standard_ratings(job.edition)
            listed = case.looked("standard", f"{show(value)} is a standard rating", is_standard(value, job.edition))
            near = [each for each in ratings.value if each > value]
            hint = f" The next one up is {show(near[0])}." if near else ""
            case.holds(listed, f"{show(value)} is {'' if listed else 'not '}a standard rating.{'' if listed else hint}")
        yield case.result


def _fitted(job: JobUnderCheck) -> Iterator[tuple[str, Fact[Quantity]]]:
    wirings = job.installation.wirings
    for panel in job.record.panels:
        if panel.work == "new" and panel.main_kind == "main breaker":
            yield panel.code, panel.main
        for slot in panel.slots:
            fed = wirings.get(slot.feeds) if slot.feeds else None
            if slot.breaker is not None and (is_new(slot.work) or (fed is not None and is_new(fed.work))):
                yield fed.code if fed is not None else Position(panel, slot).subject, slot.breaker.rating


RULES = (continuous_load, breaker_protects_conductor, small_conductors, standard_rating)
