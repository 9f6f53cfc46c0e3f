"""Rule about a feeder's load: the sum of what hangs on the panel it feeds, leg by leg."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.loads_of import Load, current_of, is_continuous, loads_on
from handover.checks.panels import is_spare
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new, leg
from handover.record.installation import Position
from handover.record.supply import Panel
from handover.record.wiring import Circuit, Feeder
from handover.units import Quantity, quantity, show

_RECEPTACLE_VA = 180.0  # each receptacle outlet, 220.14(I)


@rule("feeder_load", "Can the feeder's breaker carry all that hangs on the panel it feeds?")
def feeder_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """All circuits of the panel at full load on the heavier leg, continuous parts at 125 %.  One result a new feeder.

    No demand factor is taken, so the result errs to the safe side.  Article 440 equipment counts at its marked minimum
    circuit ampacity, which holds the 125 % already; a circuit with receptacles at no less than 180 VA a receptacle.
    Source: NEC 215.3, 220.14(I), 440.4(B).
    """
    for feeder in job.record.feeders:
        if not is_new(feeder.work):
            continue
        with job.case(feeder_load, feeder.code, section="215.3, with 220.14(I)") as case:
            panel = job.installation.panels.get(feeder.to)
            if panel is None:
                raise Undecided(f"{feeder.code} feeds no panel of this record.")
            legs = _legs(case, panel)
            for name, amperes in legs.items():
                case.step(f"leg {name}: sum, continuous parts × 1.25", f"circuits of {panel.code}", amperes)
            heavier = max(legs.values(), key=lambda amperes: amperes.magnitude)
            _compare_with_paper(case, feeder, heavier)
            case.compare(value=heavier, limit=breaker_rating(case, feeder.code), at_least=False)
        yield case.result


def _legs(case: Case, panel: Panel) -> dict[str, Quantity]:
    legs = {"A": quantity(0, "ampere"), "B": quantity(0, "ampere")}
    for slot in panel.slots:
        if slot.breaker is None or is_spare(slot):
            continue
        subject = Position(panel, slot).subject
        circuit = case.job.installation.wirings.get(slot.feeds or "")
        if not isinstance(circuit, Circuit):
            raise Undecided(
                f"What {subject} feeds, and how much that takes, is not recorded. If it is a spare, say so."
            )
        load = _circuit_load(case, circuit)
        counted = load.noncontinuous + load.continuous * 1.25
        on = {leg(panel, space) for space in slot.spaces}
        case.step(f"{circuit.code} on leg {' and '.join(sorted(on))}", _numbers(load), counted)
        for name in on:
            legs[name] = legs[name] + counted
    return legs


def _numbers(load: Load) -> str:
    if load.continuous.magnitude:
        return f"{show(load.noncontinuous)} + 1.25 × {show(load.continuous)}"
    return show(load.current)


def _circuit_load(case: Case, circuit: Circuit) -> Load:
    none = quantity(0, "ampere")
    marked = [item for item in loads_on(case, circuit) if item.kind in ("heat pump", "air conditioner")]
    if marked:
        ampacities = [
            case.fact("MCA", f"minimum circuit ampacity of {item.code}", item.minimum_circuit_ampacity)
            for item in marked
        ]
        return Load(sum(ampacities, start=none), none)
    current = current_of(case, circuit)
    receptacles = sum(outlet.kind == "receptacle" for outlet in circuit.outlets)
    if receptacles > 1:  # a single one stands for its appliance, whose load is recorded
        volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
        least = quantity(_RECEPTACLE_VA * receptacles / volts.to("volt").magnitude, "ampere")
        case.step("180 VA × receptacles / V", f"180 × {receptacles} / {show(volts)}", least)
        current = current if current >= least else least
    return Load(current, current if is_continuous(case, circuit) else none)


def _compare_with_paper(case: Case, feeder: Feeder, summed: Quantity) -> None:
    if feeder.load.known:
        paper = case.fact("", "load as calculated by the contractor, for comparison", feeder.load)
        case.step("sum here less the contractor's figure", f"{show(summed)} - {show(paper)}", summed - paper)
