"""Rules about heat pumps and air conditioners (Article 440), for those that this job put in or changed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from handover.checks.ampacities import before_correction, capped_column
from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.compressors import unmarked_compressor
from handover.checks.conductors_of import ask_for_terminals, hot_wires, less, terminal_column
from handover.checks.gfci import hardwired_outdoors, protected_by_breaker
from handover.checks.listing import is_listed
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new
from handover.record.wiring import Circuit, Equipment
from handover.units import quantity, show

_LISTED_EXEMPT_UNTIL = dt.date(2026, 9, 1)  # 210.8(F) exception for listed equipment, as reported in the trade press


def _units(job: JobUnderCheck) -> Iterator[tuple[Equipment, Circuit | None]]:
    circuits = {circuit.code: circuit for circuit in job.record.circuits}
    for item in job.record.equipment:
        if item.kind in ("heat pump", "air conditioner") and is_new(item.work):
            yield item, circuits.get(item.circuit)


def _its_circuit(item: Equipment, circuit: Circuit | None) -> Circuit:
    if circuit is None:
        raise Undecided(f"{item.code} is on no branch circuit of this record. Record its circuit.")
    return circuit


@rule("heat_pump_conductor", "Are the conductors as large as the nameplate asks?")
def heat_pump_conductor(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Ampacity in the column of terminals and cable at least the marked minimum circuit ampacity.  One result a unit.

    The marking holds the 125 % already.  Heat and number of conductors are judged by the rules about conductors.
    Source: NEC 440.4(B), 110.14(C), Table 310.16.
    """
    for item, found in _units(job):
        with job.case(heat_pump_conductor, item.code, section="440.4(B), 110.14(C) and Table 310.16") as case:
            circuit = _its_circuit(item, found)
            if unmarked_compressor(case, circuit) is item:
                raise NotApplicable(f"The plate of {item.code} gives none: rule compressor_circuit.")
            needed = case.fact("MCA", f"minimum circuit ampacity of {item.code}", item.minimum_circuit_ampacity)
            wires = hot_wires(case, circuit)
            terminal = terminal_column(case, circuit, breaker_rating(case, circuit.code))
            column = capped_column(case, circuit, wires, terminal)
            carries = before_correction(case, circuit, wires, column)
            ask_for_terminals(circuit, terminal, not less(carries, needed))
            told = f"The wire is good for {show(carries)}; the nameplate asks for {show(needed)}."
            case.compare(value=carries, limit=needed, at_least=True, reason=told)
        yield case.result


@rule("heat_pump_overcurrent", "Is the breaker within the nameplate's maximum?")
def heat_pump_overcurrent(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The breaker no larger than the marked maximum, and no breaker where the plate says fuse.  One result a unit.

    Source: NEC 110.3(B), 440.4(B).
    """
    for item, found in _units(job):
        with job.case(heat_pump_overcurrent, item.code, section="110.3(B) and 440.4(B)") as case:
            circuit = _its_circuit(item, found)
            if unmarked_compressor(case, circuit) is item and not item.maximum_overcurrent.known:
                raise NotApplicable(f"The plate of {item.code} gives none: rule compressor_circuit.")
            most = case.fact("MOP", f"maximum overcurrent device of {item.code}", item.maximum_overcurrent)
            rating = breaker_rating(case, circuit.code)
            kind = case.fact("", f"kind of device that {item.code} asks for", item.overcurrent_kind)
            fused = item.disconnect is not None and item.disconnect.kind.value == "fused switch"
            if kind == "fuse only" and not fused:
                case.holds(False, "The nameplate asks for fuses, and no fused switch is recorded.")
            else:
                told = f"The breaker is of {show(rating)}; the nameplate allows at most {show(most)}."
                case.compare(value=rating, limit=most, at_least=False, reason=told)
        yield case.result


@rule("heat_pump_disconnect", "Is there a disconnect within sight of the unit, large enough?")
def heat_pump_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Within sight, not more than 50 ft off, readily accessible, and rated for the unit.  One result a unit.

    The text asks for 115 % of the rated-load current; where that is not recorded the marked minimum circuit ampacity,
    which is no less, stands for it.  Source: NEC 440.12, 440.14, and Article 100 for "within sight".
    """
    for item, _ in _units(job):
        with job.case(heat_pump_disconnect, item.code, section="440.12 and 440.14" + FROM_MEMORY) as case:
            switch = item.disconnect
            if switch is None:
                raise Undecided(f"No disconnect of {item.code} is recorded.")
            seen = case.fact("", "disconnect within sight", switch.within_sight)
            ready = case.fact("", "disconnect readily accessible", switch.readily_accessible)
            away = case.fact("d", "distance to the disconnect", switch.distance)
            if not seen or not ready or away > quantity(50, "foot"):
                case.holds(False, "It must be in sight, readily accessible, and within 50 ft.")
            else:
                _rated_for(case, item)
        yield case.result


_SWITCH = "In sight, within reach; the disconnect is rated {}, where {} is needed."


def _rated_for(case: Case, item: Equipment) -> None:
    assert item.disconnect is not None
    rating = case.fact("In", "rating of the disconnect", item.disconnect.rating)
    if item.rated_load_current.known:
        current = case.fact("RLA", f"rated-load current of {item.code}", item.rated_load_current)
        least = current * 1.15
        case.step("1.15 × RLA (440.12)", f"1.15 × {show(current)}", least)
        case.compare(value=rating, limit=least, at_least=True, reason=_SWITCH.format(show(rating), show(least)))
        return
    needed = case.fact("MCA", f"minimum circuit ampacity of {item.code}", item.minimum_circuit_ampacity)
    if rating < needed:
        raise Undecided(
            f"The disconnect's {show(rating)} is less than the marked {show(needed)}. Compare it with 115 % of the "
            "rated-load current: read that on the plate and record it."
        )
    case.compare(value=rating, limit=needed, at_least=True, reason=_SWITCH.format(show(rating), show(needed)))


@rule("heat_pump_disconnect_closed", "Is the outdoor disconnect closed to anybody without a tool or key?")
def heat_pump_disconnect_closed(job: JobUnderCheck) -> Iterator[CheckResult]:
    """An outdoor unit's own switch or pull-out opens only with a tool, or is locked.  One result a unit.

    Asked from 2023 on, where people who are not qualified can reach it: in a garden they can.  Source: NEC 440.11.
    """
    section = {2017: "440.14", 2020: "440.14", 2023: "440.11" + FROM_MEMORY}
    for item, _ in _units(job):
        with job.case(heat_pump_disconnect_closed, item.code, section=section) as case:
            if job.edition < 2023:
                raise NotApplicable("Asked from the 2023 edition on.")
            if not case.fact("", f"{item.code} is outdoors", item.outdoors):
                raise NotApplicable("Not outdoors.")
            switch = item.disconnect
            if switch is None:
                raise Undecided(f"No disconnect of {item.code} is recorded.")
            kind = case.fact("", "kind of disconnect", switch.kind)
            if kind in ("breaker", "cord and plug"):
                raise NotApplicable("The disconnect is a breaker in a panel or a plug, not a switch beside the unit.")
            closed = case.fact("", "needs a tool or key to open", switch.needs_tool_to_open)
            case.holds(closed, f"The disconnect {'needs' if closed else 'does not need'} a tool or key to open.")
        yield case.result


@rule("heat_pump_gfci", "Has the outdoor unit ground-fault protection for people, if its date asks for it?")
def heat_pump_gfci(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Outdoor units at a dwelling on circuits to 50 A, in 2026 to 60 A.  One result a unit.

    Not in 2017.  The 2023 text exempts listed equipment until 1 September 2026; the date of the work decides.  In 2020
    the exemption came later, by an amendment whose adoption has to be read locally.  Of 2026 only the limit of 60 A was
    seen: a unit without protection is undecided there.
    Source: NEC 210.8(F) and its exception, as several trade sources and makers report it; many places amend it.
    """
    for item, found in _units(job):
        section = dict.fromkeys((2017, 2020, 2023, 2026), "210.8(F)")
        with job.case(heat_pump_gfci, item.code, section=section) as case:
            if job.edition < 2020:
                raise NotApplicable("Asked from the 2020 edition on.")
            circuit = _its_circuit(item, found)
            if protected_by_breaker(case, circuit.code):
                case.holds(True, "The breaker protects it, whether or not the date asks for that.")
            elif job.edition < 2026 and not hardwired_outdoors(case, circuit, item.outdoors):
                raise NotApplicable("Not outdoors, or on a circuit of more than 50 A.")
            elif job.edition >= 2026:
                _by_2026(case, item, circuit)
            elif job.edition < 2023:
                raise Undecided(
                    "The 2020 text asks for it; a tentative amendment exempted listed equipment for a time. Read "
                    "whether that was adopted here, or ask the authority having jurisdiction."
                )
            else:
                _by_date(case, item)
        yield case.result


def _by_2026(case: Case, item: Equipment, circuit: Circuit) -> None:
    outdoors = case.fact("", "the outlet is outdoors", item.outdoors)
    if not outdoors or breaker_rating(case, circuit.code) > quantity(60, "ampere"):
        raise NotApplicable("Not outdoors, or on a circuit of more than 60 A.")
    raise Undecided(
        "The 2026 text takes in outdoor outlets to 60 A; how it exempts listed equipment of this kind, and what "
        "special protection it admits, was not read. Read 210.8(F) in the adopted book."
    )


def _by_date(case: Case, item: Equipment) -> None:
    done = case.job.record.job.dates.finished
    case.given("", "day the work was finished", done.isoformat(), str(case.job.record.job.dates.written_at))
    if not is_listed(case, item):
        case.holds(False, f"{item.code} is recorded as not listed, and the exemption is for listed equipment only.")
        return
    limit = _LISTED_EXEMPT_UNTIL.isoformat()
    case.given("", "listed equipment exempt until", limit, "NEC 2023 210.8(F) exception, as the trade press reports it")
    case.holds(
        done < _LISTED_EXEMPT_UNTIL,
        f"Finished on {done.isoformat()}; listed equipment is exempt for work before {limit}, "
        "as reported by several trade sources and makers, not read in the book.",
    )


@rule("heat_pump_service_receptacle", "Is there a receptacle near enough for whoever services the unit?")
def heat_pump_service_receptacle(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A 125 V receptacle within 25 ft of the unit.  One result a unit.  Source: NEC 210.63."""
    for item, _ in _units(job):
        with job.case(heat_pump_service_receptacle, item.code, section="210.63") as case:
            away = case.fact("d", "distance to the service receptacle", item.service_receptacle)
            case.compare(value=away, limit=quantity(25, "foot"), at_least=False)
        yield case.result


RULES: tuple[Rule, ...] = (
    heat_pump_conductor,
    heat_pump_overcurrent,
    heat_pump_disconnect,
    heat_pump_disconnect_closed,
    heat_pump_gfci,
    heat_pump_service_receptacle,
)
