"""One compressor alone whose nameplate gives no minimum circuit ampacity: reckoned from its rated-load current."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import confirmed
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Undecided, rule
from handover.checks.circuits_of import circuit_of, marked_maximum, wires_carry
from handover.checks.conductors_of import breaker_of, less
from handover.checks.loads_of import loads_on
from handover.checks.result import CheckResult
from handover.checks.scope import is_new
from handover.record.wiring import Circuit, Equipment
from handover.tables.lookups import next_down
from handover.units import Quantity, magnitude, quantity, show

_LEAST_DEVICE = 15.0  # 440.22(A), exception: it need not be smaller
_USUAL, _MOST = 1.75, 2.25


def unmarked_compressor(case: Case, circuit: Circuit) -> Equipment | None:
    """The one heat pump or air conditioner of a circuit, where its plate is recorded as giving no circuit ampacity."""
    items = loads_on(case, circuit)
    if len(items) == 1 and items[0].kind in ("heat pump", "air conditioner"):
        item = items[0]
        if item.marked_with_ampacity.value is False and not item.minimum_circuit_ampacity.known:
            return item
    return None


def compressor_conductor(case: Case, item: Equipment) -> Quantity:
    """The ampacity (A) its conductors need: 125 % of the rated-load current (440.32)."""
    current = _rated_load(case, item)
    needed: Quantity = current * 1.25
    case.step("1.25 × RLA (440.32)", f"1.25 × {show(current)}", needed)
    return needed


def _rated_load(case: Case, item: Equipment) -> Quantity:
    case.fact("", f"the nameplate of {item.code} gives a minimum circuit ampacity", item.marked_with_ampacity)
    meaning = f"rated-load current of {item.code}, or its branch-circuit selection current if that is more"
    return case.fact("RLA", meaning, item.rated_load_current)


@rule("compressor_circuit", "Do wires and breaker fit a compressor whose plate gives no circuit ampacity?")
def compressor_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Wires for 125 % of the rated-load current; breaker to 175 %, to 225 % if it does not start, rounded down.

    One result a heat pump or air conditioner of this job; where the plate gives a minimum circuit ampacity it governs.
    Equipment with more than one motor is always so marked (440.4(B)).
    Source: NEC 440.32, 440.22(A), as the trade press works them.  Unit: A.
    """
    for item in job.record.equipment:
        if item.kind not in ("heat pump", "air conditioner") or not is_new(item.work):
            continue
        with job.case(compressor_circuit, item.code, section="440.32 and 440.22(A)") as case:
            if item.minimum_circuit_ampacity.known or item.marked_with_ampacity.value:
                raise NotApplicable(f"The nameplate of {item.code} gives a minimum circuit ampacity, which governs.")
            case.fact("", f"the nameplate of {item.code} gives a minimum circuit ampacity", item.marked_with_ampacity)
            circuit = circuit_of(case, item)
            if unmarked_compressor(case, circuit) is not item:
                raise Undecided(f"{circuit.code} feeds more than {item.code}. Judge it by hand (440.22(B), 440.33).")
            if wires_carry(case, circuit, compressor_conductor(case, item)):
                _judge_breaker(case, item, breaker_of(case, circuit))
        yield case.result


def _judge_breaker(case: Case, item: Equipment, breaker: Quantity) -> None:
    current = _rated_load(case, item)
    marked = marked_maximum(case, item)
    if marked is not None:
        case.compare(value=breaker, limit=marked, at_least=False)
        return
    usual, most = _rounded_down(case, current, _USUAL), _rounded_down(case, current, _MOST)
    between = less(usual, breaker) and not less(most, breaker)
    if between and confirmed(
        case, f"Does {item.code} fail to start on {show(usual)}, so that it needs a larger breaker?"
    ):
        case.compare(value=breaker, limit=most, at_least=False)
        return
    case.compare(value=breaker, limit=usual, at_least=False)


def _rounded_down(case: Case, current: Quantity, share: float) -> Quantity:
    product = current * share
    case.step(f"{share} × RLA (440.22(A))", f"{share} × {show(current)}", product)
    if magnitude(product, "ampere") < _LEAST_DEVICE:
        return quantity(_LEAST_DEVICE, "ampere")
    return case.looked(f"I {share}", f"standard rating from {show(product)} down", next_down(product, case.job.edition))


RULES = (compressor_circuit,)
