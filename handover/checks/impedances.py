"""Resistance and reactance of the conductors that the record describes, and what is lost in them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handover.checks.case import Case, Undecided
from handover.checks.conductors_of import Wires
from handover.checks.runs_of import STEEL, pieces
from handover.record.facts import WireSize
from handover.record.wiring import Run
from handover.tables.impedance_lookups import circular_mils_of, effective_impedance, ohms, reactance, resistance
from handover.tables.lookups import Conduit, Metal
from handover.units import number_text, quantity

PRINTED_POWER_FACTOR = 0.85
"""The power factor for which Chapter 9 Table 9 prints an impedance of its own."""
_K = {"copper": 12.9, "aluminum": 21.2, "copper-clad aluminum": 21.2}
"""Ω × circular mils per foot at 75 °C: 12.9 from a licence-exam lesson, 21.2 from memory."""


@dataclass(frozen=True, slots=True)
class Ohms:
    """Resistance and reactance in ohms."""

    resistance: float
    reactance: float

    def __add__(self, other: Ohms) -> Ohms:
        return Ohms(self.resistance + other.resistance, self.reactance + other.reactance)

    def times(self, factor: float) -> Ohms:
        """Both parts times a number, such as thousands of feet."""
        return Ohms(self.resistance * factor, self.reactance * factor)

    @property
    def impedance(self) -> float:
        """``√(R² + X²)``."""
        return math.hypot(self.resistance, self.reactance)

    def effective(self, power_factor: float) -> float:
        """``R × pf + X × √(1 - pf²)``: what counts for voltage drop at a power factor."""
        return self.resistance * power_factor + self.reactance * math.sqrt(1 - power_factor**2)


NOTHING = Ohms(0.0, 0.0)


def drop(amperes: float, impedance: float, feet: float, *, sets: int = 1, three_phase: bool = False) -> float:
    """Volts lost over ``feet`` of a circuit, one way, with so many ohms in 1000 ft of one conductor.

    Out and back on a single-phase circuit; ``√3`` from line to line on a balanced three-phase one, which no record of
    a dwelling has.
    """
    conductors = math.sqrt(3) if three_phase else 2
    return conductors * amperes * impedance * feet / 1000 / sets


def conduit_of(run: Run) -> Conduit:
    """The column of Table 9: steel where any piece is, since reactance is highest there; else as in plastic."""
    return "steel" if any(piece.method in STEEL for piece in pieces(run)) or run.method in STEEL else "pvc"


def all_steel(run: Run) -> bool:
    """Whether every piece of a run is steel: only then is its reactance sure to be as high as that."""
    straight = [piece.method for piece in pieces(run) if piece.step.step == "straight"]
    return all(method in STEEL for method in straight or [run.method])


def per_thousand(case: Case, size: WireSize, metal: Metal, conduit: Conduit, named: str) -> Ohms:
    """Resistance and reactance of 1000 ft of a conductor, noted with table and row."""
    r = resistance(size, metal, conduit, case.job.edition)
    x = reactance(size, metal, conduit, case.job.edition)
    case.given("R", f"resistance of 1000 ft, {named}", ohms(r.value), r.source)
    case.given("X", f"reactance of 1000 ft, {named}", ohms(x.value), x.source)
    return Ohms(r.value, x.value)


def impedance_for_drop(case: Case, wires: Wires, run: Run) -> float:
    """Effective impedance of 1000 ft (Ω): by the run's recorded power factor, else the most it can be."""
    conduit = conduit_of(run)
    if not run.power_factor.known:
        each = per_thousand(case, wires.size, wires.metal, conduit, "hot conductors")
        numbers = f"√({number_text(each.resistance)}² + {number_text(each.reactance)}²)"
        case.step("Z = √(R² + X²), at any power factor no more", numbers, ohms(each.impedance))
        return each.impedance
    factor = case.fact("pf", "power factor", run.power_factor)
    if not 0 < factor <= 1:
        raise Undecided(f"The power factor of {run.code} is not between 0 and 1. Mend it in the record.")
    if factor == PRINTED_POWER_FACTOR:
        printed = effective_impedance(wires.size, wires.metal, conduit, case.job.edition)
        case.given("Z", "effective impedance of 1000 ft at 0.85", ohms(printed.value), printed.source)
        return printed.value
    each = per_thousand(case, wires.size, wires.metal, conduit, "hot conductors")
    r, x, pf = (number_text(part) for part in (each.resistance, each.reactance, factor))
    effective = each.effective(factor)
    case.step("Z = R × pf + X × √(1 - pf²)", f"{r} × {pf} + {x} × √(1 - {pf}²)", ohms(effective))
    return effective


def step_by_k(case: Case, wires: Wires, amperes: float, feet: float, sets: int) -> None:
    """Note the drop by the trade's short way, ``2 × K × I × L / cmil``, to compare with.  Nothing is decided by it."""
    mils = circular_mils_of(wires.size)
    k = _K[wires.metal]
    case.step(
        f"for comparison, by K = {k:g} and no reactance: 2 × K × I × L / cmil",
        f"2 × {k:g} × {number_text(amperes)} × {number_text(feet)} / {mils:.0f}" + (f" / {sets}" if sets > 1 else ""),
        quantity(2 * k * amperes * feet / mils / sets, "volt"),
    )
