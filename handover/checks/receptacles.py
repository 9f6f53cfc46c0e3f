"""Rules about receptacles: their protection by place and edition, their covers, and what they may carry."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, fails_unless
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.conductors_of import several_receptacles
from handover.checks.cooking_circuits import cooking_demand, cooks_only
from handover.checks.gfci import ask_for_the_other, protected_by_breaker
from handover.checks.loads_of import equipment_current
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new
from handover.record.wiring import Circuit, Equipment, Outlet
from handover.tables.receptacle_lookups import cord_and_plug_maximum, receptacles_on_shared_circuit
from handover.units import Quantity, magnitude, show

_ALWAYS = ("outdoors", "garage", "crawl space", "bathroom", "laundry area")
_ALWAYS_DRY = ("living area", "kitchen", "food or beverage area")
_HIGH = 66.0  # inches: receptacles higher than this need not be tamper-resistant, 406.12


def _new_receptacles(job: JobUnderCheck) -> Iterator[tuple[Circuit, list[tuple[int, Outlet]]]]:
    for circuit in job.record.circuits:
        outlets = [(n, outlet) for n, outlet in enumerate(circuit.outlets, 1) if outlet.kind == "receptacle"]
        if is_new(circuit.work) and outlets:
            yield circuit, outlets


@rule("gfci_receptacles", "Have the receptacles the ground-fault protection for people that their place asks for?")
def gfci_receptacles(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Receptacles in the places that the adopted edition lists.  One result a new circuit.

    2017: 125 V, 15 A and 20 A alone; basements that are not for living in; kitchens at the countertop.  2020: 125 V to
    250 V of any rating, all basements, indoor damp and wet places.  2023: all of kitchens and of places with a sink
    to prepare food or drink.  Every edition: within 6 ft of a sink, of a bathtub or shower.
    Source: NEC 210.8(A), as magazines, a forum and a vendor's summary quote it; 2017 from memory.
    """
    section = {2017: "210.8(A)" + FROM_MEMORY, 2020: "210.8(A)", 2023: "210.8(A)"}
    for circuit, outlets in _new_receptacles(job):
        with job.case(gfci_receptacles, circuit.code, section=section) as case:
            breaker = protected_by_breaker(case, circuit.code)
            needed = [
                number for number, outlet in outlets if not breaker and _unprotected(case, circuit, number, outlet)
            ]
            if needed:
                listed = ", ".join(str(number) for number in needed)
                fails_unless(
                    case,
                    f"{circuit.code}, outlet {listed}: the place asks for protection, and there is none.",
                    "Does an exception of 210.8(A) as adopted here free these receptacles (for deicing, an alarm in a "
                    "basement, a floor above grade)?",
                )
            else:
                case.holds(
                    True, f"{circuit.code}: every receptacle is protected, or in a place that does not ask for it."
                )
        yield case.result


def _unprotected(case: Case, circuit: Circuit, number: int, outlet: Outlet) -> bool:
    """Whether a receptacle needs protection and has none.  Ends the case where that cannot be told."""
    if outlet.gfci.value in ("in this receptacle", "in another receptacle"):
        if case.fact("", f"protection of outlet {number}", outlet.gfci) == "in another receptacle":
            ask_for_the_other(circuit)
        return False
    if case.job.edition < 2020 and not _of_125_v_to_20_a(case, circuit, number, outlet):
        return False
    if not _place_asks(case, number, outlet):
        return False
    kind = case.fact("", f"protection of outlet {number}", outlet.gfci)
    if kind == "in the breaker":
        raise Undecided(
            f"Outlet {number} is said to be protected in the breaker, and the breaker is not recorded so. Look."
        )
    return True


def _of_125_v_to_20_a(case: Case, circuit: Circuit, number: int, outlet: Outlet) -> bool:
    volts = case.fact("V", f"volts of {circuit.code}", circuit.volts)
    rating = case.fact("In", f"rating of outlet {number}", outlet.rating)
    return magnitude(volts, "volt") <= 125 and magnitude(rating, "ampere") <= 20


def _place_asks(case: Case, number: int, outlet: Outlet) -> bool:
    """Whether the place of a receptacle is one that the edition lists."""
    edition, area, named = case.job.edition, outlet.area, f"outlet {number}"
    case.given("", f"area of {named}", area, str(outlet.written_at) or "the record")
    if area in _ALWAYS or (area == "basement" and edition >= 2020):
        return True
    if area in ("kitchen", "food or beverage area") and edition >= 2023:
        return True
    near = {"a sink": outlet.near_sink, "a bathtub or shower": outlet.near_tub}
    # What is known to be so decides; only then has all else to be known not to be so.
    for thing, fact in near.items():
        if fact.value and case.fact("", f"{named} within 6 ft of {thing}", fact):
            return True
    if area in ("accessory building", "basement") and not case.fact(
        "", f"{named} in a habitable room", outlet.habitable
    ):
        return True
    if area == "kitchen" and case.fact("", f"{named} serves the countertop", outlet.serves_countertop):
        return True
    for thing, fact in near.items():
        case.fact("", f"{named} within 6 ft of {thing}", fact)
    if edition < 2020 or area in _ALWAYS_DRY:
        return False
    return case.fact("", f"place of {named}", outlet.exposure) != "dry"


_PROTECTED = ("in the breaker", "in this receptacle", "in another receptacle")


@rule("gfci_accessible", "Can the ground-fault protection be reached to test and reset it?")
def gfci_accessible(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Every device that protects an outlet is readily accessible: no ladder, no tool, nothing to move.

    One result a new circuit with an outlet that is recorded as protected.  Source: NEC 210.8.
    """
    for circuit in job.record.circuits:
        protected = [(n, outlet) for n, outlet in enumerate(circuit.outlets, 1) if outlet.gfci.value in _PROTECTED]
        if not is_new(circuit.work) or not protected:
            continue
        with job.case(gfci_accessible, circuit.code, section="210.8") as case:
            for number, outlet in enumerate(circuit.outlets, 1):
                if outlet.kind == "receptacle" and not outlet.gfci.known:
                    case.fact("", f"protection of outlet {number}", outlet.gfci)
            hidden = [
                str(number)
                for number, outlet in protected
                if not case.fact("", f"protection of outlet {number} readily accessible", outlet.gfci_accessible)
            ]
            told = f"The protection of outlet {', '.join(hidden)} is not" if hidden else "All protection is"
            case.holds(not hidden, f"{told} readily accessible.")
        yield case.result


@rule("tamper_resistant", "Are the receptacles safe from children's fingers?")
def tamper_resistant(job: JobUnderCheck) -> Iterator[CheckResult]:
    """15 A and 20 A receptacles of dwellings, from 2020 of their garages and accessory buildings; not above 5.5 ft.

    Whether 2017 means garages and accessory buildings was not read: a plain receptacle there is undecided.
    One result a new circuit that has such receptacles.  Source: NEC 406.12.
    """
    for circuit, outlets in _new_receptacles(job):
        with job.case(tamper_resistant, circuit.code, section="406.12" + FROM_MEMORY) as case:
            small = [(number, outlet) for number, outlet in outlets if _is_small(case, number, outlet)]
            judged = [
                (number, outlet) for number, outlet in small if outlet.tamper_resistant.value or not _high(outlet)
            ]
            if not judged:
                raise NotApplicable("No receptacle of 15 A or 20 A within reach.")
            plain = [
                (number, outlet)
                for number, outlet in judged
                if not case.fact("", f"outlet {number} tamper-resistant", outlet.tamper_resistant)
            ]
            _plain_ones(case, plain)
        yield case.result


def _plain_ones(case: Case, plain: list[tuple[int, Outlet]]) -> None:
    if not plain:
        case.holds(True, "All of them are tamper-resistant.")
        return
    listed = ", ".join(str(number) for number, _ in plain)
    if case.job.edition < 2020 and all(outlet.area in ("garage", "accessory building") for _, outlet in plain):
        raise Undecided(
            f"Outlet {listed} is not, and stands in a garage or accessory building. Whether the 2017 text means those "
            "was not read: read 406.12 in the adopted book."
        )
    fails_unless(
        case,
        f"Outlet {listed} is not.",
        "Does an exception of 406.12 free them: part of a luminaire or appliance, or behind an appliance that stays?",
    )


def _is_small(case: Case, number: int, outlet: Outlet) -> bool:
    return magnitude(case.fact("In", f"rating of outlet {number}", outlet.rating), "ampere") <= 20


def _high(outlet: Outlet) -> bool:
    return outlet.height.value is not None and magnitude(outlet.height.value, "inch") > _HIGH


@rule("receptacle_rating", "Do the receptacles fit their circuit's breaker?")
def receptacle_rating(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A single receptacle no smaller than its circuit; several as the table pairs them.  One result a new circuit.

    Source: NEC 210.21(B)(1) and Table 210.21(B)(3).
    """
    for circuit, outlets in _new_receptacles(job):
        with job.case(receptacle_rating, circuit.code, section="210.21(B)" + FROM_MEMORY) as case:
            breaker = breaker_rating(case, circuit.code)
            ratings = [case.fact("Ir", f"rating of outlet {number}", outlet.rating) for number, outlet in outlets]
            if len(outlets) == 1 and _stands_alone(case, outlets[0][1], ratings[0], breaker):
                case.compare(value=ratings[0], limit=breaker, at_least=True)
            else:
                _as_paired(case, ratings, breaker)
        yield case.result


def _stands_alone(case: Case, outlet: Outlet, rating: Quantity, breaker: Quantity) -> bool:
    """Whether the one outlet is a single receptacle.  Need not be known where both rules come to a pass."""
    if not outlet.single.known and rating >= breaker:
        paired = receptacles_on_shared_circuit(breaker, case.job.edition).value
        if any(abs(float((rating - each).magnitude)) < 1e-9 for each in paired):
            return False
    return case.fact("", "a single receptacle, not a duplex", outlet.single)


def _as_paired(case: Case, ratings: list[Quantity], breaker: Quantity) -> None:
    row = receptacles_on_shared_circuit(breaker, case.job.edition)
    listed = " or ".join(show(each) for each in row.value)
    case.given("", "receptacles that the circuit may have", listed, row.source)
    fitting = [magnitude(each, "ampere") for each in row.value]
    good = all(any(abs(magnitude(rating, "ampere") - each) < 1e-9 for each in fitting) for rating in ratings)
    case.holds(good, f"On a circuit of {show(breaker)} the receptacles may be of {listed}.")


@rule("cord_and_plug_load", "Is what is plugged in within what its receptacle may carry?")
def cord_and_plug_load(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Equipment with a plug: no more than the table's load where the circuit has several receptacles, else its rating.

    A range counts by its demand (210.21(B)(4)).
    One result a piece of new equipment with a plug, on a circuit that this record describes.
    Source: NEC Table 210.21(B)(2), 210.23(A)(1).
    """
    circuits = {circuit.code: circuit for circuit in job.record.circuits}
    for item in job.record.equipment:
        circuit = circuits.get(item.circuit)
        if circuit is None or not is_new(item.work) or item.kind in ("receptacle", "lighting", "surge protector"):
            continue
        if item.connection.value != "cord and plug":
            continue
        with job.case(cord_and_plug_load, item.code, section="210.21(B) and 210.23" + FROM_MEMORY) as case:
            _judge_plugged_in(case, item, circuit)
        yield case.result


def _judge_plugged_in(case: Case, item: Equipment, circuit: Circuit) -> None:
    outlets = [outlet for outlet in circuit.outlets if outlet.kind == "receptacle"]
    if not outlets:
        raise Undecided(
            f"No receptacle of {circuit.code} is recorded. Record the one that {item.code} is plugged into."
        )
    ratings = [case.fact("Ir", "rating of the receptacle", outlet.rating) for outlet in outlets]
    smallest: Quantity = min(ratings, key=lambda rating: magnitude(rating, "ampere"))
    cooks = cooks_only(case, circuit)
    current = cooking_demand(case, circuit) if cooks else equipment_current(case, item, circuit)
    if current is None:
        current = case.fact("I", f"nameplate current of {item.code}", item.current)
    limit = smallest
    if several_receptacles(circuit):
        breaker = breaker_rating(case, circuit.code)
        row = cord_and_plug_maximum(breaker, smallest, case.job.edition)
        limit = case.looked("", "largest load with a plug on this receptacle", row)
    told = f"It takes {show(current)}; the receptacle may give it {show(limit)}."
    case.compare(value=current, limit=limit, at_least=False, reason=told)


@rule("receptacle_cover", "Are the receptacles outdoors covered and made for the weather?")
def receptacle_cover(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Outdoors, or in another damp or wet place.  One result a new circuit that has such a receptacle.

    Wet: closed to the weather with a plug in it; a hood for 15 A and 20 A is of the extra-duty kind; others may close
    without the plug if somebody attends what is plugged in.  Damp: closed without the plug.  15 A and 20 A receptacles
    are weather-resistant in both.  Source: NEC 406.9(A) and (B), as a magazine tells it in 2015 and 2025.
    """
    for circuit, outlets in _new_receptacles(job):
        exposed = [
            (number, outlet)
            for number, outlet in outlets
            if outlet.area == "outdoors" or outlet.exposure.value in ("damp", "wet")
        ]
        if not exposed:
            continue
        with job.case(receptacle_cover, circuit.code, section="406.9(A) and (B)") as case:
            faults = [fault for number, outlet in exposed for fault in _cover_faults(case, number, outlet)]
            case.holds(not faults, " ".join(faults) or "Covered and made for the weather as their places ask.")
        yield case.result


def _cover_faults(case: Case, number: int, outlet: Outlet) -> Iterator[str]:
    named = f"outlet {number}"
    exposure = case.fact("", f"place of {named}", outlet.exposure)
    if exposure == "dry":
        raise Undecided(
            f"Outlet {number} is outdoors and said to be dry. Under a roof it is damp, else wet: look again."
        )
    small = magnitude(case.fact("In", f"rating of {named}", outlet.rating), "ampere") <= 20
    cover = case.fact("", f"cover of {named}", outlet.cover)
    if cover == "none":
        yield f"Outlet {number} has no cover."
    elif exposure == "wet" and cover == "closing cover":
        if not small:
            raise Undecided(
                f"Outlet {number} is wet once a plug is in it: allowed only for what somebody attends. Find out what "
                "it is for."
            )
        yield f"Outlet {number} is open to the wet once a plug is in it."
    elif exposure == "wet" and cover == "in-use hood" and small:
        raise Undecided(f"The hood over outlet {number} has to be marked extra duty. Look for the mark and record it.")
    if small and not case.fact("", f"{named} marked weather-resistant", outlet.weather_resistant):
        yield f"Outlet {number} is not of the weather-resistant kind."


RULES: tuple[Rule, ...] = (
    gfci_receptacles,
    gfci_accessible,
    tamper_resistant,
    receptacle_rating,
    cord_and_plug_load,
    receptacle_cover,
)
