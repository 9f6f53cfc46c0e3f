"""What the record says of a feeder's or circuit's breaker and conductors: read the same way by every rule."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from handover.checks.case import Case, JobUnderCheck, Undecided
from handover.checks.loads_of import loads_on
from handover.checks.scope import breaker_rating, is_new
from handover.record.facts import WireSize
from handover.record.wiring import Circuit, Conductor, Feeder, Wiring
from handover.tables.lookups import Column, Metal
from handover.units import Quantity, magnitude, magnitude_like, quantity, show


def wiring_of_this_job(job: JobUnderCheck) -> list[Wiring]:
    """Feeders, then circuits, that are new or were changed.  What was there before answers to the code of its day."""
    return [wiring for wiring in job.installation.wirings.values() if is_new(wiring.work)]


def breaker_of(case: Case, wiring: Wiring) -> Quantity:
    """The rating of the breaker ahead of a wiring; of a feeder from feed-through lugs, the main above the lugs."""
    installation = case.job.installation
    if isinstance(wiring, Feeder) and installation.position(wiring.code) is None:
        below = installation.panels.get(wiring.to)
        above = installation.upstream(below) if below is not None else None
        if above is not None and above.main_kind == "main breaker" and above.feed_through_lugs.value:
            return case.fact("In", f"main breaker of {above.code}, ahead of its lugs", above.main)
    return breaker_rating(case, wiring.code)


@dataclass(frozen=True, slots=True)
class Wires:
    """Like conductors: size, metal, and the entry of the record they come from."""

    size: WireSize
    metal: Metal
    entry: Conductor


_WORDS = {"hot": "hot conductors", "neutral": "neutral", "equipment ground": "equipment grounding conductor"}


def wires_of(case: Case, wiring: Wiring, role: Literal["hot", "neutral", "equipment ground"]) -> Wires | None:
    """The conductors of one role; where their sizes differ, the smallest.  None where no such entry was recorded."""
    entries = [entry for entry in wiring.conductors if entry.role == role]
    unknown = next((entry for entry in entries if not entry.size.known), None)
    if not entries:
        return None
    smallest = unknown or min(entries, key=lambda entry: entry.size.value.order if entry.size.value else 0.0)
    size = case.fact(role, f"size of the {_WORDS[role]}", smallest.size)
    return Wires(size, case.fact("metal", f"metal of the {_WORDS[role]}", smallest.material), smallest)


def hot_wires(case: Case, wiring: Wiring) -> Wires:
    """The hot conductors; undecided where none were recorded."""
    wires = wires_of(case, wiring, "hot")
    if wires is None:
        raise Undecided(f"The hot conductors of {wiring.code} are not recorded: size, metal and insulation.")
    return wires


@dataclass(frozen=True, slots=True)
class TerminalColumn:
    """The ampacity column that the terminals allow.  Not ``sure`` where their marking was not recorded."""

    column: Column
    sure: bool


def terminal_column(case: Case, wiring: Wiring, breaker: Quantity) -> TerminalColumn:
    """The column of 110.14(C)(1) for the terminals at both ends.

    Without a recorded marking the text itself says which column holds: 60 °C to 100 A, 75 °C above.  A rule that
    would fail by that 60 °C column asks for the marking instead, since 75 °C marks would change the answer.
    """
    if wiring.terminals.known:
        marked: str = case.fact("terminals", "lowest temperature marked on a terminal of it", wiring.terminals)
        return TerminalColumn(60 if marked == "60 °C" else 75, sure=True)
    if magnitude(breaker, "ampere") > 100:
        case.given("terminals", "column where no marking says otherwise, above 100 A", "75 °C", "NEC 110.14(C)(1)(b)")
        return TerminalColumn(75, sure=True)
    case.given("terminals", "column where no marking is recorded, to 100 A", "60 °C", "NEC 110.14(C)(1)(a)")
    return TerminalColumn(60, sure=False)


def ask_for_terminals(wiring: Wiring, column: TerminalColumn, good: bool) -> None:
    """Raise Undecided where an answer would be no only because the terminals' marking was not recorded."""
    if not good and not column.sure:
        raise Undecided(
            f"Terminals of {wiring.code}: not recorded. By the 60 °C column the conductor is too small; "
            "read what every terminal of the circuit is marked for."
        )


def for_general_use(case: Case, circuit: Circuit) -> bool:
    """Whether a 120 V circuit feeds nothing but receptacles and lights and has no load of its own to reckon with."""
    position = case.job.installation.position(circuit.code)
    rating = position.slot.breaker.rating.value if position and position.slot.breaker else None
    return (
        not circuit.load.known
        and bool(circuit.outlets)
        and all(outlet.kind in ("receptacle", "lighting") for outlet in circuit.outlets)
        and all(item.kind == "lighting" and not item.current.known for item in loads_on(case, circuit))
        and circuit.volts.value is not None
        and magnitude(circuit.volts.value, "volt") <= 125
        and rating is not None
        and magnitude(rating, "ampere") <= 20
        and not circuit.individual.value
    )


def several_receptacles(circuit: Circuit) -> bool:
    """Whether a circuit may feed more than one receptacle: each outlet counts as two unless recorded as single.

    A duplex device is two receptacles on one yoke (Article 100), and one of which nobody said is taken for a duplex.
    """
    outlets = [outlet for outlet in circuit.outlets if outlet.kind == "receptacle"]
    return sum(1 if outlet.single.value else 2 for outlet in outlets) > 1


def is_motor_circuit(case: Case, wiring: Wiring) -> bool:
    """Whether the wiring is a circuit with a motor, where Article 430 may allow a larger breaker."""
    return isinstance(wiring, Circuit) and any(item.kind == "motor" for item in loads_on(case, wiring))


def less(value: Quantity, limit: Quantity) -> bool:
    """Whether ``value`` is below ``limit`` by more than the last bits of binary arithmetic."""
    number = float(value.magnitude)
    return number - magnitude_like(limit, value) < -1e-9 * max(1.0, abs(number))


def at_least(needed: Quantity, ampacity: Quantity) -> bool:
    """Whether ``ampacity`` is no less than ``needed``; the needed one first, to be given beforehand."""
    return not less(ampacity, needed)


def whole_amperes(case: Case, load: Quantity, rating: Quantity) -> Quantity:
    """A feeder's calculated load (A) without its fraction, where that is below 0.5 A and alone puts it above a rating.

    Source: NEC 220.5(B), and Annex D on Articles 210, 215 and 220; what 2026 says of it was not read.
    """
    whole = quantity(math.floor(magnitude(load, "ampere") + 1e-9), "ampere")
    if case.job.edition >= 2026 or not less(rating, load) or less(rating, whole):
        return load
    if magnitude(load, "ampere") - magnitude(whole, "ampere") >= 0.5 - 1e-9:
        return load
    case.step("a fraction below 0.5 A may be dropped (220.5(B))", show(load), whole)
    return whole
