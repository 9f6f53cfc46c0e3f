"""A motor on a branch circuit (Article 430): the code goes by the table's current for it, not by the nameplate's."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, confirmed
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.circuits_of import circuit_of, marked_maximum, nameplate_current, wires_carry
from handover.checks.conductors_of import breaker_of, is_motor_circuit, less
from handover.checks.loads_of import loads_on
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.wiring import Circuit, Equipment, Wiring
from handover.tables.lookups import next_up
from handover.units import Quantity, magnitude, quantity, show

_USUAL, _MOST = 2.5, 4.0  # Table 430.52, inverse-time breaker; 430.52(C)(1) exception 2, to 100 A of motor current
_SMALL_MOTOR, _SMALL_DEVICE, _SMALL_VOLTS = 6.0, 20.0, 125.0  # 430.53(A)


def motor_is_judged(case: Case, wiring: Wiring) -> bool:
    """Whether a wiring feeds one motor alone whose table current is recorded, so that ``motor_circuit`` judges it."""
    if not isinstance(wiring, Circuit) or not is_motor_circuit(case, wiring):
        return False
    items = loads_on(case, wiring)
    return len(items) == 1 and items[0].table_current.known and is_new(items[0].work)


@rule("motor_circuit", "Do wires and breaker fit the motor?")
def motor_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Wires for 125 % of the table's current, other loads added; breaker to 250 % with the next rating up.

    To 400 % where it does not start on that.  Motors to 6 A at 120 V, which are of less than 1 hp, may share a circuit
    to 20 A.  Overload protection of the motor itself is not judged.  One result a motor of this job.
    Source: NEC 430.6(A)(1), 430.22, 430.24, 430.52(C)(1), 430.53(A).  Unit: A.
    """
    section = "430.22, 430.24, 430.52(C)(1) and 430.53(A)" + FROM_MEMORY
    for item in job.record.equipment:
        if item.kind == "motor" and is_new(item.work):
            with job.case(motor_circuit, item.code, section=section) as case:
                _judge(case, item)
            yield case.result


def _judge(case: Case, item: Equipment) -> None:
    circuit = circuit_of(case, item)
    current = _table_current(case, item)
    breaker = breaker_of(case, circuit)
    items = loads_on(case, circuit)
    if not wires_carry(case, circuit, _needed(case, circuit, items)):
        return
    if _small(case, circuit, items, breaker):
        most = quantity(_SMALL_DEVICE, "ampere")
        case.given("most", "largest breaker over motors to 6 A at 120 V", most, "NEC 430.53(A)" + FROM_MEMORY)
        case.compare(value=breaker, limit=most, at_least=False)
    elif len(items) > 1:
        raise Undecided(f"{circuit.code} feeds more than {item.code}. Judge its breaker by 430.53(B) and (C).")
    elif (marked := marked_maximum(case, item)) is not None:
        case.compare(value=breaker, limit=marked, at_least=False)
    else:
        _by_percentage(case, item, current, breaker)


def _table_current(case: Case, item: Equipment) -> Quantity:
    return case.fact("FLC", f"table current of {item.code} for its horsepower and volts", item.table_current)


def _needed(case: Case, circuit: Circuit, items: list[Equipment]) -> Quantity:
    """125 % of the largest motor's current, and all other loads of the circuit."""
    motors = [_table_current(case, each) for each in items if each.kind == "motor"]
    others = [nameplate_current(case, each, circuit) for each in items if each.kind != "motor"]
    largest = max(motors)
    total = sum([*motors, *others], start=quantity(0, "ampere"))
    needed: Quantity = total + largest * 0.25
    case.step("1.25 × largest FLC + the rest (430.22, 430.24)", f"{show(total)} + 0.25 × {show(largest)}", needed)
    return needed


def _small(case: Case, circuit: Circuit, items: list[Equipment], breaker: Quantity) -> bool:
    """Whether the motors are so small, and the circuit such, that 430.53(A) lets its breaker be.  No horsepower is
    asked: by the table no motor to 6 A at 120 V has more than 1/4 hp.
    """
    volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
    motors = [_table_current(case, each) for each in items if each.kind == "motor"]
    return (
        magnitude(volts, "volt") <= _SMALL_VOLTS
        and magnitude(breaker, "ampere") <= _SMALL_DEVICE
        and all(magnitude(each, "ampere") <= _SMALL_MOTOR for each in motors)
    )


def _by_percentage(case: Case, item: Equipment, current: Quantity, breaker: Quantity) -> None:
    product = current * _USUAL
    case.step("2.5 × FLC (Table 430.52, inverse-time breaker)", f"2.5 × {show(current)}", product)
    usual = case.looked("I std", f"next standard rating from {show(product)} up", next_up(product, case.job.edition))
    most = current * _MOST
    if less(usual, breaker) and not less(most, breaker) and magnitude(current, "ampere") <= 100:
        case.step("4 × FLC (430.52(C)(1) exception)", f"4 × {show(current)}", most)
        if confirmed(case, f"Does {item.code} fail to start on {show(usual)}, so that it needs a larger breaker?"):
            case.compare(value=breaker, limit=most, at_least=False)
            return
    case.compare(value=breaker, limit=usual, at_least=False)


RULES = (motor_circuit,)
