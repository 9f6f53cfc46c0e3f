"""Rule about the equipment grounding conductor of a feeder or branch circuit: large enough to trip the breaker."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.checks.ampacities import capped_column
from handover.checks.asking import confirmed
from handover.checks.bonding import metal_bonding
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.conductors import needed_for
from handover.checks.conductors_of import (
    Wires,
    hot_wires,
    less,
    several_receptacles,
    terminal_column,
    wires_of,
    wiring_of_this_job,
)
from handover.checks.loads_of import nameplate_ampacity
from handover.checks.parallel import SMALLEST_IN_PARALLEL
from handover.checks.result import CheckResult
from handover.checks.runs_of import pieces
from handover.checks.scope import breaker_rating
from handover.record.facts import WireSize
from handover.record.wiring import Circuit, Wiring
from handover.tables.lookups import (
    Column,
    ampacity,
    circular_mils,
    next_up,
    size_for_circular_mils,
    sizes,
    small_conductor_limit,
)
from handover.tables.lookups import equipment_grounding_conductor as least_grounding_conductor
from handover.tables.reader import NoRow
from handover.units import Quantity, magnitude, quantity, show

_QUALIFIED_SINCE = 2020  # exception to 250.122(B), as a maker's guide quotes it
_RACEWAYS_THAT_GROUND = ("EMT", "RMC", "IMC")
_PRINTED = 5e-4
"""Circular mils are printed to four figures, so two areas within half a unit of the fourth are the same area."""


@rule("equipment_grounding_conductor", "Is the ground wire large enough to trip the breaker?")
def equipment_grounding_conductor(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The ground wire against the table by the breaker, enlarged in proportion where the hot wires were enlarged.

    2017 counts what is above the least size with enough ampacity for the installation, 2020 and 2023 any increase
    except one for heat or a crowded raceway: by both, heat and crowding ask nothing of the ground wire.  From 2020 on a
    qualified person may size it otherwise for an effective path: a recorded answer says so.  With parallel sets the
    ground wire of each raceway has the full size of the table, and is compared with the hot wires of all sets.
    Source: NEC 250.122(A), Table 250.122, 250.122(B) and its exception of 2020, 250.122(F); 250.118 where a metal
    raceway does the work.  Compared in circular mils.
    """
    for wiring in wiring_of_this_job(job):
        case = job.case(equipment_grounding_conductor, wiring.code, section="250.122")
        with case:
            _judge(case, wiring)
        yield case.result


def _judge(case: Case, wiring: Wiring) -> None:
    breaker = breaker_rating(case, wiring.code)
    ground = wires_of(case, wiring, "equipment ground")
    if ground is None:
        _raceway_grounds(case, wiring)
        return
    hot = hot_wires(case, wiring)
    edition = case.job.edition
    least = case.looked(
        "EGC min",
        f"least {ground.metal} ground wire behind {show(breaker)}",
        least_grounding_conductor(breaker, ground.metal, edition),
    )
    needed = case.looked("cmil EGC", f"area of {least}", circular_mils(least, edition))
    present = case.looked("cmil", f"area of the ground wire, {ground.size}", circular_mils(ground.size, edition))
    if wiring.sets > 1:
        case.given("sets", "parallel sets, a ground wire of full size with each raceway", wiring.sets, "NEC 250.122(F)")
    needed = _no_larger_than_hot(case, wiring, (ground, hot), needed)
    if not less(present, needed):
        needed = _after_enlarging(case, wiring, (ground, hot), breaker, needed)
        if less(present, needed) and _sized_otherwise(case):
            case.holds(True, f"{ground.size}: sized by a qualified person, by the contractor's answer (250.122(B)).")
            return
    case.compare(
        value=present,
        limit=needed,
        at_least=True,
        reason=f"The ground wire is {ground.size}; behind {show(breaker)} {_asked(needed, edition)} is asked.",
    )


def _asked(needed: Quantity, edition: int) -> str:
    return f"at least {size_for_circular_mils(needed * (1 - _PRINTED), edition).value}"


def raceway_grounds(case: Case, wiring: Wiring) -> bool:
    """Whether metal raceway of a kind that may be the equipment grounding conductor goes all the way (250.118)."""
    runs = case.job.installation.runs_of(wiring)
    methods = sorted({piece.method for run in runs for piece in pieces(run)} | {run.method for run in runs})
    good = bool(runs) and all(method in _RACEWAYS_THAT_GROUND for method in methods)
    if good:
        case.given("raceway", "metal raceway all the way", ", ".join(methods), "NEC 250.118")
    return good


def _raceway_grounds(case: Case, wiring: Wiring) -> None:
    if raceway_grounds(case, wiring):
        case.holds(True, "No ground wire is recorded; the metal raceway is the equipment grounding conductor.")
        return
    raise Undecided(f"No equipment grounding conductor of {wiring.code} is recorded. Record its size and metal.")


def _sized_otherwise(case: Case) -> bool:
    """Whether the record answers yes to the exception of 250.122(B), which stands there from 2020 on."""
    about = (case.rule.id, case.subject)
    answered = any((said.rule, said.subject) == about for said in case.job.record.confirmed)
    question = "Was the ground wire sized by a qualified person for an effective ground-fault path?"
    return case.job.edition >= _QUALIFIED_SINCE and answered and confirmed(case, question)


def _no_larger_than_hot(case: Case, wiring: Wiring, wires: tuple[Wires, Wires], needed: Quantity) -> Quantity:
    """250.122(A): the ground wire need never be larger than the hot conductors, parallel sets together."""
    ground, hot = wires
    if ground.metal != hot.metal:
        return needed
    area = circular_mils(hot.size, case.job.edition)
    together: Quantity = area.value * wiring.sets
    if not less(together, needed):
        return needed
    case.looked("cmil hot", f"area of the hot conductors, {hot.size}", area)
    case.step("never larger than the hot conductors (250.122(A))", f"{show(needed)}; {show(together)}", together)
    return together


def _after_enlarging(
    case: Case, wiring: Wiring, wires: tuple[Wires, Wires], breaker: Quantity, needed: Quantity
) -> Quantity:
    """What is asked once enlarged hot conductors are reckoned with: 250.122(B).  ``wires`` are ground and hot.

    Undecided where that would be too much for the ground wire and nothing says why the hot conductors are so large.
    """
    ground, hot = wires
    base = _base_size(case, wiring, hot, breaker)
    if base.order >= hot.size.order:
        return needed
    enlarged = _no_larger_than_hot(case, wiring, wires, _in_proportion(case, needed, base, hot.size))
    short = less(circular_mils(ground.size, case.job.edition).value, enlarged)
    if short and not wiring.upsized_for_voltage_drop_from.known:
        raise Undecided(
            f"The hot conductors of {wiring.code} are {hot.size} where {base} would do. The ground wire has to be "
            f"{_asked(enlarged, case.job.edition)}, unless they were enlarged only for heat or a crowded raceway "
            "(250.122(B)). If they were enlarged for voltage drop, record the size they were enlarged from."
        )
    return enlarged


def _in_proportion(case: Case, needed: Quantity, base: WireSize, installed: WireSize) -> Quantity:
    edition = case.job.edition
    before = case.looked("cmil base", f"area of {base}, the size that would have done", circular_mils(base, edition))
    now = case.looked("cmil hot", f"area of the hot conductors, {installed}", circular_mils(installed, edition))
    enlarged: Quantity = needed * (magnitude(now, "circular_mil") / magnitude(before, "circular_mil"))
    case.step(
        "cmil EGC × cmil hot / cmil base (250.122(B))", f"{show(needed)} × {show(now)} / {show(before)}", enlarged
    )
    size = size_for_circular_mils(enlarged * (1 - _PRINTED), edition)
    rounded = case.looked("cmil up", f"the size with that area, {size.value}", circular_mils(size.value, edition))
    return min(enlarged, rounded)


def _base_size(case: Case, wiring: Wiring, hot: Wires, breaker: Quantity) -> WireSize:
    """The size that would have done without enlarging: as recorded, or the smallest that would carry load and breaker.

    The smallest is looked for in the terminals' column, without heat and crowding.
    """
    if wiring.upsized_for_voltage_drop_from.known:
        return case.fact("base", "size before enlarging for voltage drop", wiring.upsized_for_voltage_drop_from)
    column = capped_column(case, wiring, hot, terminal_column(case, wiring, breaker))
    base = _smallest(case, wiring, hot, _Wanted(breaker, quantity(0, "ampere"), column))
    if base.order < hot.size.order:  # larger than the breaker alone asks: perhaps the load asks it
        needed = needed_for(case, wiring, breaker, with_quarter=True)
        base = _smallest(case, wiring, hot, _Wanted(breaker, needed, column))
    case.given(
        "base",
        f"smallest {hot.metal} size for breaker and load in the {column} °C column",
        base,
        ampacity(base, hot.metal, column, case.job.edition).source,
    )
    return base


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What a size has to do: stand behind ``breaker``, carry ``current`` by its ``column``."""

    breaker: Quantity
    current: Quantity
    column: Column


def _smallest(case: Case, wiring: Wiring, hot: Wires, wanted: _Wanted) -> WireSize:
    for size in sizes():
        if size.order > hot.size.order:
            break
        if _would_do(case, wiring, hot, size, wanted):
            return size
    return hot.size


def _would_do(case: Case, wiring: Wiring, hot: Wires, size: WireSize, wanted: _Wanted) -> bool:
    """Whether conductors of ``size`` could stand behind the breaker and carry the load."""
    edition = case.job.edition
    if wiring.sets > 1 and size.order < SMALLEST_IN_PARALLEL.order:
        return False
    try:
        here = ampacity(size, hot.metal, wanted.column, edition).value * wiring.sets
        limit = small_conductor_limit(size, hot.metal, edition)
    except NoRow:  # the table begins with a larger size of this metal
        return False
    if less(here, wanted.current):
        return False
    if isinstance(wiring, Circuit) and nameplate_ampacity(case, wiring) is not None:
        return True  # the nameplate's ampacity is all that is asked (440.35, 240.4(G))
    if limit is not None and less(limit.value.device, wanted.breaker):
        return False
    alone = isinstance(wiring, Circuit) and several_receptacles(wiring)
    return not less(here if alone else next_up(here, edition).value, wanted.breaker)


RULES = (equipment_grounding_conductor, metal_bonding)
