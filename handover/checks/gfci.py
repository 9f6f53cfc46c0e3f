"""What several rules ask about ground-fault protection for people: is it there, and does 210.8(F) ask for it."""

from __future__ import annotations

from handover.checks.case import Case, Undecided
from handover.checks.scope import breaker_rating, position_of
from handover.record.facts import Fact
from handover.record.wiring import Circuit
from handover.units import magnitude

_IN_A_RECEPTACLE = ("in this receptacle", "in another receptacle")


def protected_by_breaker(case: Case, code: str) -> bool:
    """Whether the breaker of a circuit is recorded as GFCI.  Not recorded is not protected."""
    breaker = position_of(case, code).slot.breaker
    assert breaker is not None
    source = str(breaker.gfci.place) or "not in the record"
    case.given("", f"breaker of {code} has GFCI", "yes" if breaker.gfci.value else str(breaker.gfci), source)
    return breaker.gfci.value is True


def protected_outlets(circuit: Circuit) -> bool:
    """Whether every recorded outlet of a circuit is protected by a receptacle ahead of it, or its own."""
    protected = bool(circuit.outlets) and all(outlet.gfci.value in _IN_A_RECEPTACLE for outlet in circuit.outlets)
    if protected:
        ask_for_the_other(circuit)
    return protected


def ask_for_the_other(circuit: Circuit) -> None:
    """End the case as undecided where an outlet is said to be protected in another receptacle, and no such one is told.

    The receptacle that protects the others is one of the same circuit, recorded as having the protection itself.
    """
    if not any(outlet.gfci.value == "in this receptacle" for outlet in circuit.outlets):
        raise Undecided(
            f"{circuit.code} is said to be protected in another receptacle, and none of its receptacles "
            "is recorded as having the protection. Record which one it is."
        )


OUTDOOR_OUTLETS_TO = {2020: 50, 2023: 50, 2026: 60}
"""The largest branch circuit (A) that 210.8(F) speaks of, by edition: 2017 has no such text.

2026 as a continuing-education page tells its change; the book was not read.
"""


def hardwired_outdoors(case: Case, circuit: Circuit, outdoors: Fact[bool]) -> bool:
    """Whether an outlet falls under 210.8(F): outdoors at a dwelling, on a circuit small enough, to 150 V to ground.

    Every supply of this record is single-phase with 120 V to ground, so voltage decides nothing.
    """
    largest = OUTDOOR_OUTLETS_TO.get(case.job.edition)
    if largest is None:
        return False
    rating = breaker_rating(case, circuit.code)
    case.given("", "largest branch circuit that 210.8(F) speaks of", f"{largest} A", f"NEC {case.job.edition}")
    return magnitude(rating, "ampere") <= largest and case.fact("", "the outlet is outdoors", outdoors)
