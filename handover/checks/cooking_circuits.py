"""A range, or a cooktop with its ovens, on a branch circuit: the demand it is reckoned with, and the rule about it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.circuits_of import circuit_of, has_its_neutral, nameplate_current, wires_carry, within_plate
from handover.checks.conductors_of import breaker_of, less
from handover.checks.loads_of import loads_on
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.wiring import Circuit, Equipment, Wiring
from handover.units import Quantity, magnitude, number_text, quantity, show

# NEC Table 220.55, one appliance: column C 8 kW to 12 kW of rating, as Annex D and the trade press quote it; note 1:
# 5 % more for each kW, or major fraction of one, from 12 to 27 kW; columns A and B 80 %, by note 3 to 8-3/4 kW.
_COLUMN_C_KW, _COLUMN_C_TO, _NOTE_1_TO, _NOTE_1_SHARE = 8.0, 12.0, 27.0, 0.05
_COLUMN_B_TO, _COLUMNS_A_B_SHARE, _NOTE_3_OVER = 8.75, 0.8, 1.75
_LARGE_KW, _LARGE_CIRCUIT = 8.75, quantity(40, "ampere")  # 210.19(A)(3), from 2023 on 210.19(C)
_SECTION = {
    2017: "210.19(A)(3) and Table 220.55, note 4",
    2020: "210.19(A)(3) and Table 220.55, note 4",
    2023: "210.19(C) and Table 220.55, note 4",
}


def cooks_only(case: Case, wiring: Wiring) -> bool:
    """Whether a wiring is a branch circuit with cooking appliances and nothing else."""
    if not isinstance(wiring, Circuit):
        return False
    items = loads_on(case, wiring)
    return bool(items) and all(item.kind == "range" for item in items)


def cooking_demand(case: Case, circuit: Circuit) -> Quantity:
    """The current (A) a cooking circuit is reckoned with: Table 220.55, note 4.

    One range by the table; one oven or one cooktop by its nameplate; a cooktop with one or two ovens as one range of
    their sum.  Anything else is undecided.
    """
    items = loads_on(case, circuit)
    rated = quantity(sum(_kilowatts(case, item) for item in items), "kilovolt_ampere")
    if len(items) > 1:
        case.step("P, added", " + ".join(item.code for item in items), rated)
    demand = _as_one_range(case, rated) if _is_range(case, items) else rated
    volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
    current = quantity(magnitude(demand, "volt_ampere") / magnitude(volts, "volt"), "ampere")
    case.step("I = demand / V", f"{show(demand)} / {show(volts)}", current)
    return current


def _kilowatts(case: Case, item: Equipment) -> float:
    power = case.fact("P", f"nameplate power of {item.code}", item.power)
    return magnitude(power, "kilovolt_ampere")


def _is_range(case: Case, items: list[Equipment]) -> bool:
    """Whether the appliances count as one range; a single oven or cooktop does not."""
    kinds = [case.fact("", f"kind of cooking appliance, {item.code}", item.cooking_kind) for item in items]
    if len(kinds) == 1:
        return kinds[0] == "range"
    if kinds.count("cooktop") == 1 and kinds.count("oven") == len(kinds) - 1 <= 2:
        return True
    raise Undecided(
        "Note 4 of Table 220.55 is for one range, or one cooktop with one or two ovens, on a branch circuit. "
        f"{', '.join(item.code for item in items)} are something else. Judge the circuit by hand."
    )


def _as_one_range(case: Case, rated: Quantity) -> Quantity:
    kilowatts = magnitude(rated, "kilovolt_ampere")
    if kilowatts > _NOTE_1_TO:
        raise Undecided("Table 220.55 is not for more than 27 kW. Judge it by hand.")
    if kilowatts <= _NOTE_3_OVER:
        return rated
    if kilowatts <= _COLUMN_B_TO:
        column = "A" if kilowatts < 3.5 else "B"
        demand: Quantity = rated * _COLUMNS_A_B_SHARE
        case.step(f"80 % × P (Table 220.55, column {column}, note 3)", f"0.8 × {show(rated)}", demand)
        return demand
    column_c = quantity(_COLUMN_C_KW, "kilovolt_ampere")
    case.given("C", "column C, one appliance to 12 kW", column_c, "NEC Table 220.55")
    if kilowatts <= _COLUMN_C_TO:
        return column_c
    above = math.ceil(kilowatts - _COLUMN_C_TO - 0.5 - 1e-9)  # a fraction counts where it is more than half
    enlarged: Quantity = column_c * (1 + _NOTE_1_SHARE * above)
    case.step("C × (1 + 5 % × kW above 12) (note 1)", f"{show(column_c)} × (1 + 0.05 × {above})", enlarged)
    return enlarged


@rule("range_circuit", "Is the range's circuit large enough?")
def range_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Breaker at least the demand, and 40 A from 8-3/4 kW up; wires no less than the breaker; a neutral where needed.

    One result a cooking appliance of this job.  The breaker is also held to a maximum on the nameplate, if it has one.
    Source: NEC 210.19(A)(3), from 2023 on 210.19(C); Table 220.55, notes 1, 3 and 4; 250.140.
    """
    for item in job.record.equipment:
        if item.kind == "range" and is_new(item.work):
            with job.case(range_circuit, item.code, section=_SECTION) as case:
                _judge(case, item)
            yield case.result


def _judge(case: Case, item: Equipment) -> None:
    circuit = circuit_of(case, item)
    if not cooks_only(case, circuit):
        raise Undecided(f"{circuit.code} feeds more than cooking appliances. Judge it by hand.")
    least = cooking_demand(case, circuit)
    items = loads_on(case, circuit)
    rated = sum(_kilowatts(case, each) for each in items)
    if rated >= _LARGE_KW - 1e-9 and _is_range(case, items):
        larger = max(least, _LARGE_CIRCUIT)
        case.step("at least 40 A from 8-3/4 kW up (210.19)", f"{number_text(rated)} kW; {show(least)}; 40 A", larger)
        least = larger
    breaker = breaker_of(case, circuit)
    if less(breaker, least):
        case.compare(value=breaker, limit=least, at_least=True)
    elif wires_carry(case, circuit, breaker) and has_its_neutral(case, item, circuit):
        within_plate(case, items, breaker, least)


@rule("dryer_circuit", "Is the clothes dryer's circuit large enough?")
def dryer_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Breaker at least the nameplate's current and at most its maximum; a neutral where needed.  One result a dryer.

    A dryer of 240 V usually has 30 A: common practice.  The 5000 VA of 220.54 belong to the feeder and the service.
    Source: NEC 422.10(A), 110.3(B), 250.140.
    """
    for item in job.record.equipment:
        if item.kind != "dryer" or not is_new(item.work):
            continue
        with job.case(dryer_circuit, item.code, section="422.10(A) and 250.140" + FROM_MEMORY) as case:
            circuit = circuit_of(case, item)
            if [each.code for each in loads_on(case, circuit)] != [item.code]:
                raise Undecided(f"{circuit.code} feeds more than {item.code}. Judge it by hand.")
            volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
            if magnitude(volts, "volt") <= 150:
                raise NotApplicable(f"{item.code} is on a circuit of 120 V, as a gas dryer is.")
            least = nameplate_current(case, item, circuit)
            breaker = breaker_of(case, circuit)
            if less(breaker, least):
                case.compare(value=breaker, limit=least, at_least=True)
            elif has_its_neutral(case, item, circuit):
                within_plate(case, [item], breaker, least)
        yield case.result


RULES = (range_circuit, dryer_circuit)
