"""Two circuits that share a neutral (multiwire branch circuits)."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import ask
from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.result import CheckResult
from handover.checks.scope import is_new, leg, position_of
from handover.record.installation import Position
from handover.record.wiring import Circuit


@rule("multiwire_circuit", "Do the two circuits with one neutral go off together, each on a leg of its own?")
def multiwire_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """From one panel, on different legs, so that the neutral carries only the difference; switched off together.

    The grouping of their wires in the panel is asked, but where a raceway or cable holds nothing else, so that it is
    plain to see.  One result a new circuit that shares its neutral, whichever of the two names the other.
    Source: NEC 210.4(A), (B) and (D), 200.4(B); the trade press quotes (B) and (D).
    """
    for circuit in job.record.circuits:
        code = circuit.multiwire_with or _named_by(job, circuit)
        if code is None or not is_new(circuit.work):
            continue
        with job.case(multiwire_circuit, circuit.code, section="210.4(A), (B), (D) and 200.4(B)") as case:
            other = job.installation.wirings.get(code)
            if not isinstance(other, Circuit):
                raise Undecided(f"{circuit.code} shares its neutral with {code}, which is no circuit of this record.")
            _judge(case, circuit, other)
        yield case.result


def _named_by(job: JobUnderCheck, circuit: Circuit) -> str | None:
    return next((other.code for other in job.record.circuits if other.multiwire_with == circuit.code), None)


def _judge(case: Case, circuit: Circuit, other: Circuit) -> None:
    own, its = _position(case, circuit, other), _position(case, other, circuit)
    legs = [{leg(at.panel, space) for space in at.slot.spaces} for at in (own, its)]
    for each, at, on in zip((circuit, other), (own, its), legs, strict=True):
        told = f"{at.spoken}, leg {' and '.join(sorted(on))}"
        case.given("leg", f"breaker of {each.code}", told, str(at.slot.written_at) or "the record")
    if own.panel is not its.panel:
        case.holds(False, f"{circuit.code} and {other.code} share a neutral and start from different panels.")
    elif own.slot is its.slot and len(legs[0]) < 2:
        case.holds(False, f"{circuit.code} and {other.code} share a neutral on one breaker of one leg.")
    elif own.slot is not its.slot and legs[0] & legs[1]:
        case.holds(False, "Both are on one leg: the neutral carries the sum of their currents, not the difference.")
    elif not all(_goes_off_together(case, at) for at in (own, its)):
        case.holds(
            False, f"{circuit.code} and {other.code} share a neutral and are not switched off together (210.4(B))."
        )
    elif _plain_to_see(case, circuit, other):
        case.holds(True, "Different legs, off together, and alone in their raceway or cable, which groups their wires.")
    else:
        ask(case, f"Are the wires of {circuit.code} and {other.code} tied together in {own.panel.code} (210.4(D))?")


def _position(case: Case, circuit: Circuit, other: Circuit) -> Position:
    """The circuit's breaker; one of two poles may feed both, and is written at one of them."""
    found = case.job.installation.position(circuit.code)
    shared = case.job.installation.position(other.code)
    if found is None and shared is not None and len(shared.slot.spaces) == 2:
        return shared
    return position_of(case, circuit.code)


def _goes_off_together(case: Case, at: Position) -> bool:
    if at.slot.breaker is None:
        raise Undecided(f"No breaker is recorded at {at.spoken}.")
    return case.fact("", f"common trip or identified handle ties at {at.spoken}", at.slot.breaker.common_trip)


def _plain_to_see(case: Case, circuit: Circuit, other: Circuit) -> bool:
    """Whether the two enter the panel by a raceway or cable that holds nothing else (210.4(D), exception)."""
    runs = case.job.installation.runs_of(circuit)
    if not runs or not set(circuit.runs[:1]) & set(other.runs):
        return False
    held = {wiring.code for wiring in case.job.installation.carried_by(runs[0])}
    case.given("", f"circuits and feeders in {runs[0].code}", ", ".join(sorted(held)), str(runs[0].written_at))
    return held == {circuit.code, other.code}


RULES = (multiwire_circuit,)
