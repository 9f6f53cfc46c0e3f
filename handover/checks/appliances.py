"""Branch circuits of water heaters and of fixed electric space heating."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.circuits_of import at_terminals, circuit_of, marked_maximum, nameplate_current, wires_carry
from handover.checks.conductors_of import breaker_of, less
from handover.checks.loads_of import STORAGE, loads_on
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.wiring import Equipment
from handover.tables.lookups import next_up
from handover.units import Quantity, magnitude, quantity, show

_SMALL_CURRENT, _SMALL_DEVICE = 13.3, quantity(20, "ampere")  # 422.11(E)(2)
_SHARED_HEATING = quantity(30, "ampere")


@rule("water_heater", "Is the water heater's breaker large enough, and not too large?")
def water_heater(job: JobUnderCheck) -> Iterator[CheckResult]:
    """At least 125 % of the nameplate, at most what its plate or 422.11(E) allows.  One result a heater of this job.

    The 125 % hold for storage to 120 gal; other heaters take their nameplate (422.10(A)), and 125 % where they are
    recorded as running three hours.  At most: the marked maximum; else 20 A to 13.3 A of current, and above that 150 %
    with the next standard rating.  Source: NEC 422.13, 422.10(A), 422.11(E), as the trade press works it.  Unit: A.
    """
    section = "422.13, 422.10(A) and 422.11(E)"
    for item in job.record.equipment:
        if item.kind == "water heater" and is_new(item.work):
            with job.case(water_heater, item.code, section=section) as case:
                _judge_water(case, item)
            yield case.result


def _judge_water(case: Case, item: Equipment) -> None:
    circuit = circuit_of(case, item)
    if [each.code for each in loads_on(case, circuit)] != [item.code]:
        raise Undecided(f"{circuit.code} feeds more than {item.code}. Judge it by hand.")
    current = nameplate_current(case, item, circuit)
    breaker = breaker_of(case, circuit)
    least = _least_for_water(case, item, current, breaker)
    if less(breaker, least):
        case.compare(value=breaker, limit=least, at_least=True)
        return
    case.compare(value=breaker, limit=_most_for_water(case, item, current), at_least=False)


def _least_for_water(case: Case, item: Equipment, current: Quantity, breaker: Quantity) -> Quantity:
    enlarged: Quantity = current * 1.25
    if not less(breaker, enlarged):
        case.step("1.25 × I, for storage to 120 gal (422.13), enough for any", f"1.25 × {show(current)}", enlarged)
        return enlarged
    if not less(breaker, current):
        kind = case.fact("kind", f"kind of water heater, {item.code}", item.heater_kind)
        if kind != STORAGE and not case.fact("", f"{item.code} may run three hours or more", item.continuous):
            case.step("I, not storage to 120 gal (422.10(A))", show(current), current)
            return current
    case.step("1.25 × I (422.13)", f"1.25 × {show(current)}", enlarged)
    return enlarged


def _most_for_water(case: Case, item: Equipment, current: Quantity) -> Quantity:
    marked = marked_maximum(case, item)
    if marked is not None:
        return marked
    if magnitude(current, "ampere") <= _SMALL_CURRENT:
        case.given("most", "largest breaker to 13.3 A of current", _SMALL_DEVICE, "NEC 422.11(E)(2)")
        return _SMALL_DEVICE
    most = current * 1.5
    case.step("1.5 × I (422.11(E)(3))", f"1.5 × {show(current)}", most)
    return case.looked("I std", f"next standard rating from {show(most)} up", next_up(most, case.job.edition))


@rule("space_heating_circuit", "Can the electric heaters' circuit carry them for hours?")
def space_heating_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Wires and breaker at least 125 % of the heaters with their fans; at most 30 A for two or more heaters.

    One result a heater of this job.  Source: NEC 424.3 in 2017, as a trade newsletter works it; 424.4 from 2020 on; its
    part (A) for two or more outlets in a dwelling.  Unit: A.
    """
    section = {
        2017: "424.3(A)" + FROM_MEMORY + ", and 424.3(B)",
        2020: "424.4(A) and (B)" + FROM_MEMORY,
        2023: "424.4(A) and (B)" + FROM_MEMORY,
    }
    for item in job.record.equipment:
        if item.kind == "space heater" and is_new(item.work):
            with job.case(space_heating_circuit, item.code, section=section) as case:
                _judge_heating(case, item)
            yield case.result


def _judge_heating(case: Case, item: Equipment) -> None:
    circuit = circuit_of(case, item)
    heaters = loads_on(case, circuit)
    others = [each.code for each in heaters if each.kind != "space heater"]
    if others:
        raise Undecided(f"{circuit.code} feeds {', '.join(others)} besides heaters. Judge it by hand.")
    current = quantity(0, "ampere")
    for each in heaters:
        current = current + nameplate_current(case, each, circuit)
    needed = current * 1.25
    case.step("1.25 × I, all heaters of the circuit", f"1.25 × {show(current)}", needed)
    breaker = breaker_of(case, circuit)
    if less(breaker, needed):
        case.compare(value=breaker, limit=needed, at_least=True)
    elif not at_terminals(case, circuit, needed) or not wires_carry(case, circuit, current):
        return
    elif len(heaters) > 1:
        case.given("most", "largest breaker for two or more heaters", _SHARED_HEATING, "NEC 424.3(A), later 424.4(A)")
        case.compare(value=breaker, limit=_SHARED_HEATING, at_least=False)
    else:
        case.compare(value=breaker, limit=needed, at_least=True)


RULES = (water_heater, space_heating_circuit)
