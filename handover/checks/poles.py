"""Rules about poles, hot conductors and neutrals: do they fit the voltage, and is the neutral large enough."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.ampacities import before_correction, capped_column
from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.conductors_of import (
    Wires,
    breaker_of,
    hot_wires,
    less,
    terminal_column,
    wires_of,
    wiring_of_this_job,
)
from handover.checks.cooking_circuits import cooks_only
from handover.checks.feeder_load import current_of_feeder, unbalanced_load
from handover.checks.panels import is_spare
from handover.checks.result import CheckResult
from handover.checks.scope import position_of
from handover.record.facts import WireSize
from handover.record.wiring import Circuit, Feeder, Role, Wiring
from handover.tables.lookups import circular_mils, equipment_grounding_conductor
from handover.units import magnitude, show

_LINE_TO_NEUTRAL = 150.0  # volts: up to here one hot conductor and a neutral, above it two hot conductors
_FEEDER_NEUTRAL = {
    2017: "215.2(A)(2) and 220.61" + FROM_MEMORY,
    2020: "215.2(A)(2) and 220.61" + FROM_MEMORY,
    2023: "215.2(B) and 220.61" + FROM_MEMORY,
}
_RANGE_NEUTRAL = WireSize("10", "AWG")
_BRANCH_NEUTRAL = "210.19 and 220.61" + FROM_MEMORY


@rule("poles_and_wires", "Has the breaker as many poles, and the line as many wires, as its voltage needs?")
def poles_and_wires(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Line to line: two poles and two hot conductors.  120 V: one pole, one hot conductor and a neutral.

    A feeder needs a neutral where anything at 120 V hangs on its panel.  Two poles have to go off together: a common
    trip, or for a branch circuit identified handle ties; so has a circuit that shares its neutral (210.4(B)).  One
    result a new circuit or feeder.  Source: NEC 240.15(B), 210.4, 300.3(B).
    """
    for wiring in wiring_of_this_job(job):
        with job.case(poles_and_wires, wiring.code, section="240.15(B), 210.4 and 300.3(B)" + FROM_MEMORY) as case:
            _judge_poles(case, wiring)
        yield case.result


def _judge_poles(case: Case, wiring: Wiring) -> None:
    volts = magnitude(case.fact("V", f"volts of {wiring.code}", wiring.volts), "volt")
    position = position_of(case, wiring.code)
    poles = len(position.slot.spaces)
    case.given("poles", f"poles of the breaker at {position.spoken}", poles, str(position.slot.written_at))
    if not wiring.conductors:
        raise Undecided(f"The conductors of {wiring.code} are not recorded: hot conductors and neutral.")
    hots, neutrals = _count(case, wiring, "hot"), _neutrals(case, wiring)
    wanted = 1 if volts <= _LINE_TO_NEUTRAL else 2
    shared = isinstance(wiring, Circuit) and wiring.multiwire_with is not None
    if poles != wanted and not (shared and poles == 2):  # one two-pole breaker may feed both halves
        case.holds(False, f"At {volts:g} V the breaker has {wanted} pole{'s' * (wanted - 1)}; this one has {poles}.")
    elif hots < wanted:
        case.holds(False, f"At {volts:g} V there are {wanted} hot conductors; {hots} recorded.")
    elif not neutrals and _needs_neutral(case, wiring, volts):
        case.holds(False, f"{wiring.code} feeds something at 120 V, and no neutral is recorded.")
    elif hots > wanted:  # of parallel sets the record names the conductors of one
        raise Undecided(f"{hots} hot conductors are recorded where {wanted} carry {volts:g} V. Say which they are.")
    else:
        _off_together(case, wiring, poles=poles, shared=shared)


def _count(case: Case, wiring: Wiring, role: Role) -> int:
    count = sum(entry.count for entry in wiring.conductors if entry.role == role)
    case.given(role, f"{role} conductors of {wiring.code}", count, str(wiring.written_at) or "the record")
    return count


def _neutrals(case: Case, wiring: Wiring) -> int:
    """How many neutrals a wiring has; the one it shares may be written at the other circuit."""
    other = _partner(case, wiring)
    return _count(case, wiring, "neutral") + (_count(case, other, "neutral") if other is not None else 0)


def _partner(case: Case, wiring: Wiring) -> Wiring | None:
    code = wiring.multiwire_with if isinstance(wiring, Circuit) else None
    return case.job.installation.wirings.get(code) if code else None


def _needs_neutral(case: Case, wiring: Wiring, volts: float) -> bool:
    if not isinstance(wiring, Feeder):
        return volts <= _LINE_TO_NEUTRAL
    panel = case.job.installation.panels.get(wiring.to)
    if panel is None or not panel.slots:
        raise Undecided(f"What {wiring.code} feeds is not recorded, so whether it needs a neutral is not known.")
    single = [slot for slot in panel.slots if slot.breaker is not None and len(slot.spaces) == 1 and not is_spare(slot)]
    case.given("", f"breakers of one pole in {panel.code}, spares left out", len(single), "the record")
    return bool(single)


def _off_together(case: Case, wiring: Wiring, *, poles: int, shared: bool) -> None:
    if poles < 2 and not shared:
        case.holds(True, "One pole, one hot conductor and a neutral.")
        return
    breaker = position_of(case, wiring.code).slot.breaker
    assert breaker is not None
    together = case.fact("", "common trip, or identified handle ties", breaker.common_trip)
    number = "Poles and wires fit the voltage, and the poles"
    case.holds(together, f"{number} {'go off together' if together else 'do not go off together (240.15(B))'}.")


@rule("neutral_size", "Is the neutral as thick as the current it may have to carry?")
def neutral_size(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The neutral against the hot conductors; a feeder's also against the ground wire its breaker asks for.

    A neutral of 120 V carries all the current.  A thinner one in a feeder may do for the unbalanced load (220.61): its
    ampacity against the feeder's load, which is no less, or what takes a neutral, on the heavier leg.  Undecided where
    neither settles it.  One result a new circuit or feeder.  Source: NEC 210.19, 215.2, 220.61, 250.122.
    """
    for wiring in wiring_of_this_job(job):
        section = _FEEDER_NEUTRAL if isinstance(wiring, Feeder) else _BRANCH_NEUTRAL
        with job.case(neutral_size, wiring.code, section=section) as case:
            _judge_neutral(case, wiring)
        yield case.result


def _judge_neutral(case: Case, wiring: Wiring) -> None:
    hot = hot_wires(case, wiring)
    neutral = _neutral_of(case, wiring)
    if neutral is None:
        raise NotApplicable(f"{wiring.code} has no neutral.")
    if isinstance(wiring, Feeder) and not _thick_as_ground(case, wiring, neutral):
        return
    if neutral.metal != hot.metal:
        _by_ampacity(case, wiring, neutral)
        return
    edition = case.job.edition
    have = case.looked("cmil N", f"area of the neutral, {neutral.size}", circular_mils(neutral.size, edition))
    need = case.looked("cmil hot", f"area of a hot conductor, {hot.size}", circular_mils(hot.size, edition))
    told = f"The neutral is {neutral.size}, the hot conductors are {hot.size}."
    if not less(have, need) or _full_current(case, wiring):
        case.compare(value=have, limit=need, at_least=True, reason=told)
    else:
        _by_ampacity(case, wiring, neutral)


def _neutral_of(case: Case, wiring: Wiring) -> Wires | None:
    other = _partner(case, wiring)
    return wires_of(case, wiring, "neutral") or (wires_of(case, other, "neutral") if other is not None else None)


def _full_current(case: Case, wiring: Wiring) -> bool:
    """Whether the neutral takes back all that one hot conductor brings: a branch circuit of 120 V."""
    volts = case.fact("V", f"volts of {wiring.code}", wiring.volts)
    return isinstance(wiring, Circuit) and magnitude(volts, "volt") <= _LINE_TO_NEUTRAL


def _thick_as_ground(case: Case, feeder: Feeder, neutral: Wires) -> bool:
    """Close as failing where a feeder's neutral is thinner than the ground wire behind the same breaker."""
    edition = case.job.edition
    breaker = breaker_of(case, feeder)
    ground = case.looked(
        "EGC min",
        f"least {neutral.metal} ground wire behind {show(breaker)}",
        equipment_grounding_conductor(breaker, neutral.metal, edition),
    )
    each, need = circular_mils(neutral.size, edition).value, circular_mils(ground, edition).value
    have = each * feeder.sets  # in parallel sets the neutrals count together (215.2(A)(2))
    if not less(have, need):
        return True
    reason = f"The neutral is {neutral.size}; it may not be smaller than {ground}, the ground wire for this breaker."
    case.compare(value=have, limit=need, at_least=True, reason=reason)
    return False


def _by_ampacity(case: Case, wiring: Wiring, neutral: Wires) -> None:
    """The neutral's ampacity against a current it can never exceed: the breaker's rating, or the feeder's load."""
    breaker = breaker_of(case, wiring)
    column = capped_column(case, wiring, neutral, terminal_column(case, wiring, breaker))
    good_for = before_correction(case, wiring, neutral, column)
    if not less(good_for, breaker):
        case.compare(value=good_for, limit=breaker, at_least=True)
        return
    if isinstance(wiring, Feeder):
        load = current_of_feeder(case, wiring)
        if not less(good_for, load):
            case.compare(value=good_for, limit=load, at_least=True)
            return
        comes_back = unbalanced_load(case, wiring)
        if comes_back is not None and not less(good_for, comes_back):
            case.compare(value=good_for, limit=comes_back, at_least=True)
            return
    elif _full_current(case, wiring):
        case.compare(value=good_for, limit=breaker, at_least=True)
        return
    elif cooks_only(case, wiring) and neutral.size.order >= _RANGE_NEUTRAL.order:
        least = breaker * 0.7
        case.step(
            "0.7 × In, a range's neutral (210.19(A)(3), later 210.19(C), exception)", f"0.7 × {show(breaker)}", least
        )
        case.compare(value=good_for, limit=least, at_least=True)
        return
    raise Undecided(
        f"The neutral of {wiring.code}, {neutral.size} {neutral.metal}, is good for {show(good_for)}, less than the "
        "whole load. Work out the unbalanced load by 220.61, and have it judged by that."
    )


RULES = (poles_and_wires, neutral_size)
