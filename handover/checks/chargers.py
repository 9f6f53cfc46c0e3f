"""Rules about car chargers (the code: electric vehicle supply equipment), for those that this job put in or changed."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.gfci import hardwired_outdoors, protected_by_breaker, protected_outlets
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new
from handover.checks.service_load import setting_evidence
from handover.record.wiring import Circuit, Equipment
from handover.units import Quantity, magnitude, quantity, show


def _chargers(job: JobUnderCheck) -> Iterator[tuple[Equipment, Circuit | None]]:
    circuits = {circuit.code: circuit for circuit in job.record.circuits}
    for item in job.record.equipment:
        if item.kind == "car charger" and is_new(item.work):
            yield item, circuits.get(item.circuit)


def _its_circuit(item: Equipment, circuit: Circuit | None) -> Circuit:
    if circuit is None:
        raise Undecided(f"{item.code} is on no branch circuit of this record. Record its circuit.")
    return circuit


@rule("charger_individual_circuit", "Is the charger alone on its circuit?")
def charger_individual_circuit(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Nothing else is on the circuit of a charger of more than 16 A or 120 V.  One result a charger.

    Source: NEC 625.40.  Several chargers under automatic load management are allowed there and not judged here.
    """
    for item, found in _chargers(job):
        with job.case(charger_individual_circuit, item.code, section="625.40") as case:
            circuit = _its_circuit(item, found)
            others = [other.code for other in job.installation.equipment_on(circuit) if other.code != item.code]
            case.given("", f"other equipment on {circuit.code}", ", ".join(others) or "none", "the record")
            alone = case.fact("", f"{circuit.code} is an individual circuit", circuit.individual)
            if alone and not others and len(circuit.outlets) <= 1:
                case.holds(True, f"{circuit.code} feeds nothing but the charger.")
            else:
                small = _small(case, item)
                told = f"{circuit.code} feeds more than the charger, which"
                case.holds(
                    small, f"{told} {'is of 16 A and 120 V at most' if small else 'needs a circuit of its own'}."
                )
        yield case.result


def _small(case: Case, item: Equipment) -> bool:
    current = case.fact("I", f"nameplate current of {item.code}", item.current)
    volts = case.fact("V", f"volts of {item.code}", item.volts)
    return magnitude(current, "ampere") <= 16 and magnitude(volts, "volt") <= 125


@rule("charger_continuous", "Can the charger's breaker carry it for hours?")
def charger_continuous(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The breaker is at least 125 % of the charger's maximum current.  One result a charger.

    A current set below the nameplate counts only with the evidence for it.  Source: NEC 625.41, 625.42.
    """
    for item, found in _chargers(job):
        with job.case(charger_continuous, item.code, section="625.41 and 625.42") as case:
            circuit = _its_circuit(item, found)
            rating = breaker_rating(case, circuit.code)
            current = _charging_current(case, item, rating)
            needed = current * 1.25
            case.step("1.25 × I", f"1.25 × {show(current)}", needed)
            case.compare(value=rating, limit=needed, at_least=True)
        yield case.result


def _charging_current(case: Case, item: Equipment, rating: Quantity) -> Quantity:
    """The nameplate current; the set current instead, where it is lower, matters, and has its evidence."""
    if not item.set_current.known:
        return case.fact("I", f"nameplate current of {item.code}", item.current)
    set_to = case.fact("I", f"current {item.code} is set to", item.set_current)
    if item.current.value is not None and item.current.value <= max(set_to, rating / 1.25):
        return max(set_to, case.fact("In", f"nameplate current of {item.code}", item.current))
    setting_evidence(case, item)
    return set_to


@rule("charger_gfci", "Has the charger the ground-fault protection for people that its place asks for?")
def charger_gfci(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Class A protection ahead of a charging receptacle, and of a hardwired charger outdoors.  One result a charger.

    The charger's own protection trips at about 20 mA and does not count.
    Source: NEC 625.54 (receptacles), 210.8(F) (outdoors at a dwelling, to 50 A and 150 V to ground).
    """
    for item, found in _chargers(job):
        with job.case(charger_gfci, item.code, section="210.8(F) and 625.54") as case:
            circuit = _its_circuit(item, found)
            if protected_by_breaker(case, circuit.code) or protected_outlets(circuit):
                case.holds(True, f"{circuit.code} has ground-fault protection for people ahead of the charger.")
            elif case.fact("", f"connection of {item.code}", item.connection) == "cord and plug":
                case.holds(False, "A receptacle for charging needs ground-fault protection for people.")
            else:
                _hardwired_charger(case, item, circuit)
        yield case.result


def _hardwired_charger(case: Case, item: Equipment, circuit: Circuit) -> None:
    if hardwired_outdoors(case, circuit, item.outdoors):
        case.holds(False, "Hardwired outdoors at a dwelling on a circuit of 50 A or less, without that protection.")
        return
    areas = {outlet.area for outlet in circuit.outlets}
    if not areas:
        raise Undecided(f"It is not recorded in which kind of place the outlet of {circuit.code} is.")
    if case.job.edition >= 2023 and areas & {"garage", "accessory building"}:
        raise Undecided(
            "Whether 210.8(F) of 2023 means outlets inside garages and accessory buildings is disputed, and there is "
            "no protection here. Ask the authority having jurisdiction."
        )
    raise NotApplicable("Hardwired indoors, where the text asks for no such protection.")


@rule("charger_disconnect", "Has the charger a disconnect where it needs one?")
def charger_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Above 60 A or 150 V to ground: a disconnect that is readily accessible and can be locked open.

    One result a charger.  Source: NEC 625.43 (2020, 2023).
    """
    for item, _ in _chargers(job):
        with job.case(charger_disconnect, item.code, section="625.43") as case:
            current = case.fact("I", f"nameplate current of {item.code}", item.current)
            if magnitude(current, "ampere") <= 60 and job.record.service.volts.endswith("single-phase"):
                raise NotApplicable("Not over 60 A, and 120 V to ground: the text asks for no separate disconnect.")
            if item.disconnect is None:
                raise Undecided("It needs a disconnect, and none is recorded.")
            ready = case.fact("", "disconnect readily accessible", item.disconnect.readily_accessible)
            lockable = case.fact("", "disconnect can be locked open", item.disconnect.lockable)
            case.holds(ready and lockable, "It must be readily accessible and lockable in the open position.")
        yield case.result


@rule("charger_cable_length", "Is the charging cable no longer than allowed?")
def charger_cable_length(job: JobUnderCheck) -> Iterator[CheckResult]:
    """At most 25 ft, unless the equipment manages the cable.  One result a charger.  Source: NEC 625.17(C)."""
    for item, _ in _chargers(job):
        with job.case(charger_cable_length, item.code, section="625.17(C)" + FROM_MEMORY) as case:
            length = case.fact("L", f"length of the charging cable of {item.code}", item.cable_length)
            limit = quantity(25, "foot")
            if length > limit and case.fact("", "cable management", item.cable_managed):
                case.holds(True, "Longer than 25 ft, and the equipment manages the cable.")
            else:
                case.compare(value=length, limit=limit, at_least=False)
        yield case.result


@rule("charger_height", "Is the charging connector kept high enough?")
def charger_height(job: JobUnderCheck) -> Iterator[CheckResult]:
    """At least 24 in above grade outdoors, 18 in above the floor indoors.  One result a charger.

    Source: NEC 625.50.
    """
    for item, _ in _chargers(job):
        with job.case(charger_height, item.code, section="625.50" + FROM_MEMORY) as case:
            outdoors = case.fact("", f"{item.code} is outdoors", item.outdoors)
            height = case.fact("h", f"height of {item.code}", item.height)
            case.compare(value=height, limit=quantity(24 if outdoors else 18, "inch"), at_least=True)
        yield case.result


RULES: tuple[Rule, ...] = (
    charger_individual_circuit,
    charger_continuous,
    charger_gfci,
    charger_disconnect,
    charger_cable_length,
    charger_height,
)
