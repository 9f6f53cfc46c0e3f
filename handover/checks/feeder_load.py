"""A feeder's load: the sum of what hangs on the panel it feeds, leg by leg; and the rule about it."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.case import Case, JobUnderCheck, Undecided, rule
from handover.checks.compressors import compressor_conductor, unmarked_compressor
from handover.checks.conductors_of import breaker_of, for_general_use, whole_amperes
from handover.checks.cooking_circuits import cooking_demand, cooks_only
from handover.checks.energy_management import managed_current
from handover.checks.loads_of import COOLING, Load, load_of_circuit, loads_on
from handover.checks.panels import is_spare
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new, leg
from handover.record.installation import Position
from handover.record.supply import Panel, Slot
from handover.record.wiring import Circuit, Feeder, Wiring
from handover.units import Quantity, quantity, show

_FASTENED = ("water heater", "other", "motor")
_MANY = 4  # 220.53
_RECEPTACLE_VA = 180.0  # each receptacle outlet, 220.14(I)


@rule("feeder_load", "Can the feeder's breaker carry all that hangs on the panel it feeds?")
def feeder_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """All circuits of the panel at full load on the heavier leg, continuous parts at 125 %.  One result a new feeder.

    No demand factor is taken but that for cooking appliances (Table 220.55): it errs to the safe side, and is undecided
    where it is too much and something on the panel may count less by Article 220.  Article 440 equipment counts at its
    marked minimum circuit ampacity, or 125 % of its rated-load current, which hold the 125 % already; a circuit with
    receptacles at no less than 180 VA a receptacle.
    Where that is too much, the set point of energy management on the feeder counts, with its evidence, from 2023 on.
    Source: NEC 215.3, 220.5(B), 220.14(I), 440.4(B), 220.70.
    """
    for feeder in job.record.feeders:
        if not is_new(feeder.work):
            continue
        with job.case(feeder_load, feeder.code, section="215.3, with 220.14(I)") as case:
            heavier = max(counted_legs(case, feeder).values(), key=lambda amperes: amperes.magnitude)
            _compare_with_paper(case, feeder, heavier)
            rating = breaker_rating(case, feeder.code)
            held = managed_current(case, "feeder", feeder.code) if heavier > rating else None
            if heavier > rating and held is None:
                _ask_for_demand(case, feeder, heavier)
                heavier = whole_amperes(case, heavier, rating)
            counted = heavier if held is None else held
            told = f"All on the heavier leg comes to {show(counted)}; the breaker is of {show(rating)}."
            case.compare(value=counted, limit=rating, at_least=False, reason=told)
        yield case.result


def counted_legs(case: Case, feeder: Feeder) -> dict[str, Quantity]:
    """What hangs on each leg of the panel that a feeder feeds (A), continuous parts at 125 %."""
    panel = case.job.installation.panels.get(feeder.to)
    if panel is None:
        raise Undecided(f"{feeder.code} feeds no panel of this record.")
    legs = {}
    for name, parts in _on_legs(case, panel).items():
        legs[name] = _counted(_together(parts))
        codes = " + ".join(code for code, _ in parts) or "nothing"
        numbers = " + ".join(show(_counted(load)) for _, load in parts)
        case.step(f"leg {name}: {codes}, each as counted above", numbers or "0 A", legs[name])
    return legs


def _ask_for_demand(case: Case, feeder: Feeder, summed: Quantity) -> None:
    """Raise Undecided where a sum without demand factors is above the breaker, and Article 220 may count it less."""
    may = _may_count_less(case, feeder)
    if may and summed > breaker_of(case, feeder):
        raise Undecided(
            f"Everything on {feeder.to} added comes to {show(summed)} on the heavier leg, more than the breaker; but "
            f"{may}. Work out the feeder's load by Article 220, Part III, by hand, and have it judged by that."
        )


def _may_count_less(case: Case, feeder: Feeder) -> str:
    """Why the load of a panel may be less than the sum of its circuits; empty where nothing is known to make it so."""
    panel = case.job.installation.panels.get(feeder.to)
    fed = {slot.feeds for slot in panel.slots} if panel is not None else set()
    kinds = [item.kind for item in case.job.record.equipment if item.circuit in fed]
    if "space heater" in kinds and any(kind in COOLING for kind in kinds):
        return "heating and cooling that never run together count with the larger alone (220.60)"
    if panel is not None and panel.dwelling and sum(kind in _FASTENED for kind in kinds) >= _MANY:
        return f"{_MANY} or more appliances fixed in place of a dwelling count at 75 % (220.53)"
    return ""


def unbalanced_load(case: Case, feeder: Feeder) -> Quantity | None:
    """The most that can come back on a feeder's neutral (A): what takes a neutral, on the heavier leg (220.61).

    None where it cannot be told because not all circuits of the panel are described.
    """
    panel = case.job.installation.panels.get(feeder.to)
    if panel is None or not panel.slots or not all(_described(case, slot) for slot in panel.slots):
        return None
    aside = case.job.case(feeder_load, feeder.code, section="215.3")
    try:
        legs = _legs(aside, panel, neutral_only=True)
    except Undecided:
        return None
    told = "; ".join(f"leg {name}: {show(load.current)}" for name, load in legs.items())
    most = max((load.current for load in legs.values()), key=lambda amperes: float(amperes.magnitude))
    case.step(f"circuits of {panel.code} with a neutral, added leg by leg (220.61)", told, most)
    return most


def _takes_neutral(slot: Slot, circuit: Circuit) -> bool:
    return len(slot.spaces) == 1 or any(entry.role == "neutral" for entry in circuit.conductors)


def _counted(load: Load) -> Quantity:
    """A load with its continuous part at 125 %."""
    counted: Quantity = load.noncontinuous + load.continuous * 1.25
    return counted


def load_of(case: Case, wiring: Wiring) -> Load:
    """The load of a feeder or branch circuit."""
    if isinstance(wiring, Feeder):
        return load_of_feeder(case, wiring)
    assert isinstance(wiring, Circuit)
    return load_of_circuit(case, wiring)


def load_of_feeder(case: Case, feeder: Feeder) -> Load:
    """The calculated load of a feeder and the continuous part of it: as recorded, or as summed here, if that is more.

    The sum is that of rule ``feeder_load``, on the heavier leg.  Where it cannot be worked out, the recorded figure is
    gone by alone, and the working says so.
    """
    paper = case.fact("I", "calculated load, as recorded", feeder.load)
    recorded = Load(paper, case.fact("I cont", "part of that load that is continuous, as recorded", feeder.continuous))
    summed = _sum_aside(case, feeder)
    told = "load: recorded; our own sum on the heavier leg (rule feeder_load)"
    if summed is None:
        case.step(told, f"{_numbers(recorded)}; not known, not all circuits of {feeder.to} have a recorded load", paper)
        return recorded
    _ask_for_demand(case, feeder, _counted(summed))
    larger = max(recorded, summed, key=lambda load: _counted(load).magnitude)
    case.step(
        f"{told}: the larger with continuous parts × 1.25",
        f"{_numbers(recorded)}; {_numbers(summed)}",
        _counted(larger),
    )
    return larger


def current_of_feeder(case: Case, feeder: Feeder) -> Quantity:
    """The current (A) of a feeder without any 125 %: as recorded, or as summed here, if that is more."""
    paper = case.fact("I", "calculated load, as recorded", feeder.load)
    summed = _sum_aside(case, feeder)
    told = "the larger of load as recorded and our own sum on the heavier leg (rule feeder_load)"
    if summed is None:
        case.step(told, f"{show(paper)}; not known, not all circuits of {feeder.to} have a recorded load", paper)
        return paper
    _ask_for_demand(case, feeder, _counted(summed))
    larger = max(paper, summed.current)
    case.step(told, f"{show(paper)}; {show(summed.current)}", larger)
    return larger


def _sum_aside(case: Case, feeder: Feeder) -> Load | None:
    """The heavier leg's sum, worked out in a case of its own.  None where the panel's circuits are not all described.

    Ends the case as undecided where they are, and a fact is missing that the sum needs: it might be the larger load.
    """
    key = "sum of the heavier leg", feeder.code
    if key not in case.job.remembered:
        case.job.remembered[key] = _summed(case, feeder)
    found: Load | str | None = case.job.remembered[key]
    if isinstance(found, str):
        raise Undecided(found)
    return found


def _summed(case: Case, feeder: Feeder) -> Load | str | None:
    """The heavier leg's sum; what has to be found out for it; or None where not all circuits are described."""
    panel = case.job.installation.panels.get(feeder.to)
    if panel is None or not panel.slots or not all(_described(case, slot) for slot in panel.slots):
        return None
    try:
        legs = _legs(case.job.case(feeder_load, feeder.code, section="215.3"), panel)
    except Undecided as missing:
        return f"The sum of what hangs on {panel.code} is not known. {missing}"
    return max(legs.values(), key=lambda load: _counted(load).magnitude)


def _described(case: Case, slot: Slot) -> bool:
    """Whether a slot can have its part in the sum: nothing, a spare, or a circuit that has a load of its own."""
    if slot.breaker is None or is_spare(slot):
        return True
    circuit = case.job.installation.wirings.get(slot.feeds or "")
    return isinstance(circuit, Circuit) and not for_general_use(case, circuit)


def _legs(case: Case, panel: Panel, *, neutral_only: bool = False) -> dict[str, Load]:
    """The loads of a panel's circuits added leg by leg."""
    return {name: _together(parts) for name, parts in _on_legs(case, panel, neutral_only=neutral_only).items()}


def _together(parts: list[tuple[str, Load]]) -> Load:
    none = quantity(0, "ampere")
    return Load(
        sum((load.current for _, load in parts), start=none), sum((load.continuous for _, load in parts), start=none)
    )


def _on_legs(case: Case, panel: Panel, *, neutral_only: bool = False) -> dict[str, list[tuple[str, Load]]]:
    """The circuits on each leg of a panel with their loads; all working is noted as of its circuit."""
    legs: dict[str, list[tuple[str, Load]]] = {"A": [], "B": []}
    for slot in panel.slots:
        if slot.breaker is None or is_spare(slot):
            continue
        place = Position(panel, slot).spoken
        circuit = case.job.installation.wirings.get(slot.feeds or "")
        if not isinstance(circuit, Circuit):
            raise Undecided(f"What {place} feeds, and how much that takes, is not recorded. If it is a spare, say so.")
        if neutral_only and not _takes_neutral(slot, circuit):
            continue
        with case.about(circuit.code):
            load = _circuit_load(case, circuit)
        on = {leg(panel, space) for space in slot.spaces}
        case.step(f"{circuit.code} on leg {' and '.join(sorted(on))}", _numbers(load), _counted(load))
        for name in on:
            legs[name].append((circuit.code, load))
    return legs


def _numbers(load: Load) -> str:
    if load.continuous.magnitude:
        return f"{show(load.noncontinuous)} + 1.25 × {show(load.continuous)}"
    return show(load.current)


def _circuit_load(case: Case, circuit: Circuit) -> Load:
    none = quantity(0, "ampere")
    if cooks_only(case, circuit):
        return Load(cooking_demand(case, circuit), none)
    compressor = unmarked_compressor(case, circuit)
    if compressor is not None:
        return Load(compressor_conductor(case, compressor), none)
    items = loads_on(case, circuit)
    marked = [item for item in items if item.kind in COOLING]
    if marked:
        others = [item.code for item in items if item.kind not in COOLING]
        if others:
            raise Undecided(f"{circuit.code} feeds {', '.join(others)} besides {marked[0].code}. Add its load by hand.")
        ampacities = [
            case.fact("MCA", f"minimum circuit ampacity of {item.code}", item.minimum_circuit_ampacity)
            for item in marked
        ]
        return Load(sum(ampacities, start=none), none)
    load = load_of_circuit(case, circuit)
    receptacles = sum(outlet.kind == "receptacle" for outlet in circuit.outlets)
    if receptacles > 1:  # a single one stands for its appliance, whose load is recorded
        volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
        least = quantity(_RECEPTACLE_VA * receptacles / volts.to("volt").magnitude, "ampere")
        outcome = (
            "more than its load, so counted in its stead"
            if least > load.current
            else (f"compared with its load of {show(load.current)}, which is no less, and not added")
        )
        case.step(f"180 VA × receptacles / V: {outcome}", f"180 × {receptacles} / {show(volts)}", least)
        if least > load.current:
            more = least - load.current
            return Load(least, load.continuous + more if circuit.continuous.value else load.continuous)
    return load


def _compare_with_paper(case: Case, feeder: Feeder, summed: Quantity) -> None:
    if feeder.load.known:
        paper = case.fact("", "load as calculated by the contractor, for comparison", feeder.load)
        numbers = f"{show(summed, digits=7)} - {show(paper)}"  # the small rest of two large numbers needs their digits
        case.step("sum here less the contractor's figure", numbers, summed - paper)
