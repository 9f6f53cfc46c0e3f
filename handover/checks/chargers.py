"""Rules about car chargers (the code: electric vehicle supply equipment), for those that this job put in or changed."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask, fails_unless
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.gfci import OUTDOOR_OUTLETS_TO, hardwired_outdoors, protected_by_breaker, protected_outlets
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new
from handover.checks.service_load import setting_evidence
from handover.record.wiring import Circuit, Equipment, Outlet
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

    Several chargers may share one where automatic load management keeps their sum within it: each is then recorded as
    load-managed.  Source: NEC 625.40.
    """
    for item, found in _chargers(job):
        with job.case(charger_individual_circuit, item.code, section="625.40") as case:
            circuit = _its_circuit(item, found)
            others = [other for other in job.installation.equipment_on(circuit) if other.code != item.code]
            told = ", ".join(other.code for other in others)
            case.given("", f"other equipment on {circuit.code}", told or "none", "the record")
            if others and all(other.kind == "car charger" for other in others):
                _shared_by_chargers(case, [item, *others])
            else:
                _alone(case, item, circuit, others)
        yield case.result


def _alone(case: Case, item: Equipment, circuit: Circuit, others: list[Equipment]) -> None:
    alone = case.fact("", f"{circuit.code} is an individual circuit", circuit.individual)
    if alone and not others and len(circuit.outlets) <= 1:
        case.holds(True, f"{circuit.code} feeds nothing but the charger.")
        return
    small = _small(case, item)
    told = f"{circuit.code} feeds more than the charger, which"
    case.holds(small, f"{told} {'is of 16 A and 120 V at most' if small else 'needs a circuit of its own'}.")


def _shared_by_chargers(case: Case, chargers: list[Equipment]) -> None:
    managed = [case.fact("", f"{item.code} is under automatic load management", item.load_managed) for item in chargers]
    good = all(managed)
    case.holds(
        good,
        f"Several chargers share the circuit, {'all' if good else 'not all'} of them under automatic load management.",
    )


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
            told = f"The breaker is of {show(rating)}; 125 % of the charging current is {show(needed)}."
            case.compare(value=rating, limit=needed, at_least=True, reason=told)
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

    2017: receptacles to 50 A only.  2020 and 2023: all receptacles; hardwired outdoors on circuits to 50 A.  2026:
    hardwired outdoors on circuits to 60 A; the rest of its 625.54 was contested and is not decided here.
    The charger's own protection trips at about 20 mA and does not count.
    Source: NEC 625.54 (receptacles; 2017 from memory), 210.8(F) (outdoors at a dwelling, to 150 V to ground).
    """
    both = "210.8(F) and 625.54"
    section = {2017: "625.54" + FROM_MEMORY, 2020: both, 2023: both, 2026: "210.8(F)"}
    for item, found in _chargers(job):
        with job.case(charger_gfci, item.code, section=section) as case:
            circuit = _its_circuit(item, found)
            if protected_by_breaker(case, circuit.code) or protected_outlets(circuit):
                case.holds(True, f"{circuit.code} has ground-fault protection for people ahead of the charger.")
            elif case.fact("", f"connection of {item.code}", item.connection) == "cord and plug":
                _charging_receptacle(case, circuit)
            else:
                _hardwired_charger(case, item, circuit)
        yield case.result


_CONTESTED = (
    "There is no ground-fault protection for people, and the text of 625.54 in the 2026 edition was contested: read it "
    "in the adopted book, or ask the authority having jurisdiction."
)


def _charging_receptacle(case: Case, circuit: Circuit) -> None:
    if case.job.edition >= 2026:
        raise Undecided(_CONTESTED)
    if case.job.edition < 2020 and magnitude(breaker_rating(case, circuit.code), "ampere") > 50:
        raise NotApplicable("The 2017 text is about receptacles to 50 A.")
    case.holds(False, "A receptacle for charging needs ground-fault protection for people.")


def _hardwired_charger(case: Case, item: Equipment, circuit: Circuit) -> None:
    edition = case.job.edition
    if edition not in OUTDOOR_OUTLETS_TO:
        raise NotApplicable("Hardwired: asked from the 2020 edition on.")
    if hardwired_outdoors(case, circuit, item.outdoors):
        largest = OUTDOOR_OUTLETS_TO[edition]
        told = f"Hardwired outdoors at a dwelling on a circuit of {largest} A or less, without that protection."
        case.holds(False, told)
        return
    if edition >= 2026:
        raise Undecided(_CONTESTED)
    areas = {outlet.area for outlet in circuit.outlets}
    if not areas:
        raise Undecided(f"It is not recorded in which kind of place the outlet of {circuit.code} is.")
    if edition >= 2023 and areas & {"garage", "accessory building"}:
        raise Undecided(
            "Whether 210.8(F) of 2023 means outlets inside garages and accessory buildings is disputed, and there is "
            "no protection here. Ask the authority having jurisdiction."
        )
    raise NotApplicable("Hardwired, in a place or on a circuit for which the text asks for no such protection.")


@rule("charger_disconnect", "Has the charger a disconnect where it needs one?")
def charger_disconnect(job: JobUnderCheck) -> Iterator[CheckResult]:
    """To 2023: above 60 A or 150 V to ground, readily accessible and lockable open.  2026: whatever is wired in.

    2026 asks for a plaque at a charger whose disconnect is elsewhere; whether it still has to lock was not read.
    One result a charger.  Source: NEC 625.43 (a forum for 2017 to 2023; continuing education and a magazine for 2026).
    """
    section = dict.fromkeys((2017, 2020, 2023, 2026), "625.43")
    for item, _ in _chargers(job):
        with job.case(charger_disconnect, item.code, section=section) as case:
            if job.edition >= 2026:
                _disconnect_of_2026(case, item)
            else:
                _disconnect_to_2023(case, item)
        yield case.result


def _disconnect_to_2023(case: Case, item: Equipment) -> None:
    current = case.fact("I", f"nameplate current of {item.code}", item.current)
    if magnitude(current, "ampere") <= 60:
        raise NotApplicable("Not over 60 A, and 120 V to ground: the text asks for no separate disconnect.")
    if item.disconnect is None:
        raise Undecided("It needs a disconnect, and none is recorded.")
    ready = case.fact("", "disconnect readily accessible", item.disconnect.readily_accessible)
    lockable = case.fact("", "disconnect can be locked open", item.disconnect.lockable)
    case.holds(ready and lockable, "It must be readily accessible and lockable in the open position.")


def _disconnect_of_2026(case: Case, item: Equipment) -> None:
    if case.fact("", f"connection of {item.code}", item.connection) == "cord and plug":
        raise NotApplicable("The 2026 text is about chargers that are wired in.")
    if item.disconnect is None:
        raise Undecided("It needs a disconnect, and none is recorded.")
    if not case.fact("", "disconnect readily accessible", item.disconnect.readily_accessible):
        case.holds(False, "The disconnect must be readily accessible.")
    elif not case.fact("", "disconnect can be locked open", item.disconnect.lockable):
        raise Undecided("Whether the 2026 text still asks that it locks open was not read: read 625.43.")
    elif case.fact("", "disconnect within sight", item.disconnect.within_sight):
        case.holds(True, "The disconnect is in sight and readily accessible.")
    else:
        ask(case, "Does a plaque at the charger say where its disconnect is?")


_RECEPTACLES = {2017: (15, 20), 2020: (15, 20, 30, 50), 2023: (15, 20, 30, 50)}
"""Receptacles (A) for portable chargers by edition; those fastened in place may have any to 50 A in 2017 and 2020."""


@rule("charger_receptacle", "Is the charging receptacle of an allowed kind, and large enough?")
def charger_receptacle(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A charger with a plug: the kinds that the edition names, and 125 % of its current.  One result a charger.

    2017: portable ones at 125 V, 15 A or 20 A; fastened in place, 125 V or 250 V to 50 A.  2020: portable ones at 250 V
    too, 15, 20, 30 or 50 A.  2023 names 60 A at 125/250 V, which this record does not tell from 250 V: undecided.
    2026: those of 30, 50 and 60 A are listed for charging, and one of 50 A stands on no smaller circuit.
    Source: NEC 625.44 (vendor's guide for 2017 and 2020, forum for 2023, magazine and continuing education for 2026).
    """
    section = dict.fromkeys((2017, 2020, 2023, 2026), "625.44")
    for item, found in _chargers(job):
        with job.case(charger_receptacle, item.code, section=section) as case:
            if case.fact("", f"connection of {item.code}", item.connection) == "hardwired":
                raise NotApplicable("Wired in, without a receptacle.")
            circuit = _its_circuit(item, found)
            outlet = next((each for each in circuit.outlets if each.kind == "receptacle"), None)
            if outlet is None:
                raise Undecided(f"No receptacle of {circuit.code} is recorded.")
            rating = case.fact("Ir", "rating of the receptacle", outlet.rating)
            if job.edition >= 2026:
                wrong = _wrong_kind_of_2026(case, circuit, outlet, rating)
            else:
                wrong = _wrong_kind_to_2023(case, item, circuit, rating)
            if wrong:
                case.holds(False, wrong)
            else:
                current = case.fact("I", f"nameplate current of {item.code}", item.current)
                needed = current * 1.25
                case.step("1.25 × I", f"1.25 × {show(current)}", needed)
                case.compare(value=rating, limit=needed, at_least=True)
        yield case.result


def _wrong_kind_to_2023(case: Case, item: Equipment, circuit: Circuit, rating: Quantity) -> str:
    """What is wrong with a charging receptacle by the editions to 2023; empty where nothing is."""
    edition, amperes = case.job.edition, round(magnitude(rating, "ampere"))
    if edition >= 2023 and amperes == 60:
        raise Undecided("The 2023 text names 60 A for 125/250 V receptacles only. Read 625.44 and the receptacle.")
    portable = case.fact("", f"mounting of {item.code}", item.mounting) == "portable"
    if not portable and amperes <= 50:
        return ""
    if amperes not in _RECEPTACLES[edition]:
        kind = "portable" if portable else "fastened in place"
        return f"A receptacle of {amperes} A is not among those for a charger that is {kind}."
    volts = magnitude(case.fact("V", f"volts of {circuit.code}", circuit.volts), "volt")
    return "In 2017 a portable charger has a receptacle of 125 V." if edition < 2020 and volts > 125 else ""


def _wrong_kind_of_2026(case: Case, circuit: Circuit, outlet: Outlet, rating: Quantity) -> str:
    amperes = round(magnitude(rating, "ampere"))
    if amperes not in (15, 20, 30, 50, 60):
        return f"A receptacle of {amperes} A is not among those that the 2026 text names."
    if amperes == 50 and magnitude(breaker_rating(case, circuit.code), "ampere") < 50:
        return "A receptacle of 50 A stands on no smaller circuit where a charger is plugged in."
    if amperes >= 30 and not case.fact("", "receptacle listed for charging", outlet.listed_for_ev):
        return f"A receptacle of {amperes} A has to be listed for charging vehicles."
    return ""


_CORD_SURE, _CORD_MOST = 12.0, 180.0  # inches


@rule("charger_supply_cord", "Is the charger's supply cord no longer than allowed?")
def charger_supply_cord(job: JobUnderCheck) -> Iterator[CheckResult]:
    """12 in is within every reading, more than 15 ft in none; between, it hangs on where the protection sits.

    One result a charger with a plug.  Source: NEC 625.17(A), its limits from memory and by edition not confirmed.
    """
    for item, _ in _chargers(job):
        with job.case(charger_supply_cord, item.code, section="625.17(A)" + FROM_MEMORY) as case:
            if case.fact("", f"connection of {item.code}", item.connection) == "hardwired":
                raise NotApplicable("Wired in, without a supply cord.")
            length = case.fact("L", f"length of the supply cord of {item.code}", item.supply_cord_length)
            if _CORD_SURE < magnitude(length, "inch") <= _CORD_MOST:
                raise Undecided(
                    f"{show(length)} is allowed only with the protection for people in the plug or near it, or as the "
                    "adopted edition says. Read 625.17 and the instructions."
                )
            sure = magnitude(length, "inch") <= _CORD_SURE
            limit = quantity(_CORD_SURE if sure else _CORD_MOST, "inch")
            case.compare(value=length.to("inch"), limit=limit, at_least=False)
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
    """At least 24 in above grade outdoors, 18 in above the floor indoors, unless marked for less.

    One result a charger.  Source: NEC 625.50.
    """
    for item, _ in _chargers(job):
        with job.case(charger_height, item.code, section="625.50" + FROM_MEMORY) as case:
            outdoors = case.fact("", f"{item.code} is outdoors", item.outdoors)
            height = case.fact("h", f"height of {item.code}", item.height)
            least = quantity(24 if outdoors else 18, "inch")
            if height < least:
                told = f"{show(height)} is less than {show(least)}."
                fails_unless(case, told, "Is the charger listed and marked for this lower height?")
            else:
                case.compare(value=height, limit=least, at_least=True)
        yield case.result


RULES: tuple[Rule, ...] = (
    charger_individual_circuit,
    charger_continuous,
    charger_gfci,
    charger_disconnect,
    charger_receptacle,
    charger_supply_cord,
    charger_cable_length,
    charger_height,
)
