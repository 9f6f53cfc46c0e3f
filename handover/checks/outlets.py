"""Rules about protection by place that hold for all outlets: arc-fault protection indoors, ground-fault outdoors."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask, fails_unless
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.gfci import OUTDOOR_OUTLETS_TO, ask_for_the_other, protected_by_breaker
from handover.checks.result import CheckResult
from handover.checks.scope import breaker_rating, is_new, position_of
from handover.record.wiring import Circuit, Outlet
from handover.units import magnitude

_LIVED_IN = ("kitchen", "laundry area", "living area", "food or beverage area")
_NOT_LISTED = ("outdoors", "garage", "bathroom", "crawl space", "attic")
_IN_A_DEVICE = ("in this receptacle", "in another receptacle")


@rule("afci", "Have the circuits of the rooms protection against sparks in the wiring?")
def afci(job: JobUnderCheck) -> Iterator[CheckResult]:
    """120 V circuits of 15 A and 20 A, from 2023 of 10 A too, that feed anything in a room to live in.

    Rooms: kitchen, laundry, living, dining and bedrooms, hallways, closets and the like; not bathrooms, garages or
    outdoors.  A changed circuit needs it too, unless its wiring was lengthened by 6 ft at most and got no new outlet.
    One result a new or changed circuit to 125 V.
    Source: NEC 210.12(A) and (D) in 2017 and 2020, 210.12(B) and (E) in 2023 (the extension seen quoted for 2017 and
    2023; the rooms from memory).
    """
    rooms = f"210.12(A) and (D){FROM_MEMORY}"
    section = {2017: rooms, 2020: rooms, 2023: f"210.12(B) and (E){FROM_MEMORY}"}
    for circuit in job.record.circuits:
        volts = circuit.volts.value
        if not is_new(circuit.work) or (volts is not None and magnitude(volts, "volt") > 125):
            continue
        with job.case(afci, circuit.code, section=section) as case:
            case.fact("V", f"volts of {circuit.code}", circuit.volts)
            _of_a_size_that_is_asked(case, circuit)
            breaker = position_of(case, circuit.code).slot.breaker
            assert breaker is not None
            if case.fact("", f"breaker of {circuit.code} has AFCI", breaker.afci):
                case.holds(True, "The breaker protects the whole circuit.")
            else:
                _without_afci_breaker(case, circuit)
        yield case.result


def _of_a_size_that_is_asked(case: Case, circuit: Circuit) -> None:
    rating = magnitude(breaker_rating(case, circuit.code), "ampere")
    if rating > 20:
        raise NotApplicable("A circuit of more than 20 A.")
    if rating < 15 and case.job.edition < 2023:
        raise NotApplicable("A circuit of less than 15 A: asked from the 2023 edition on.")


def _without_afci_breaker(case: Case, circuit: Circuit) -> None:
    if not circuit.outlets:
        raise Undecided(f"It is not recorded what {circuit.code} feeds. Record its outlets, each with its area.")
    rooms = [(n, outlet) for n, outlet in enumerate(circuit.outlets, 1) if _in_a_room(case, n, outlet)]
    if not rooms:
        raise NotApplicable("Nothing on it is in a room that the text lists.")
    by_device = any(outlet.afci.value in _IN_A_DEVICE for outlet in circuit.outlets)
    if circuit.work == "changed" and by_device:
        ask(case, "Is the AFCI receptacle the first one of the circuit that was there before?")
    elif circuit.work == "changed":
        ask(case, "Was the wiring lengthened by no more than 6 ft outside enclosures, with no new outlet or device?")
    elif by_device:
        ask(
            case,
            "Is the AFCI receptacle the first of the circuit, and the wiring from the breaker to it (and the breaker) "
            "of a kind that 210.12 allows ahead of it?",
        )
    else:
        number, outlet = rooms[0]
        if case.fact("", f"arc-fault protection of outlet {number}", outlet.afci) == "in the breaker":
            raise Undecided(
                f"Outlet {number} is said to be protected in the breaker, which is recorded without AFCI. Look."
            )
        fails_unless(
            case,
            f"Outlet {number} is in a room that asks for it, and there is none.",
            "Does an exception of 210.12 free this circuit, such as the one for a fire alarm system?",
        )


def _in_a_room(case: Case, number: int, outlet: Outlet) -> bool:
    case.given("", f"area of outlet {number}", outlet.area, str(outlet.written_at) or "the record")
    if outlet.area in _LIVED_IN:
        return True
    if outlet.area in _NOT_LISTED:
        return False
    if outlet.area == "accessory building":
        panel = position_of(case, case.subject).panel
        if not (panel.separate_building and panel.dwelling and "dwelling" in panel.model_fields_set):
            return False
    return case.fact("", f"outlet {number} in a habitable room", outlet.habitable)


_JUDGED_ELSEWHERE = ("car charger", "heat pump", "air conditioner")


@rule("outdoor_outlet_gfci", "Has equipment wired in outdoors the ground-fault protection for people it needs?")
def outdoor_outlet_gfci(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Hardwired outlets outdoors at a dwelling, other than for lighting.  One result a new circuit that has one.

    2017: not asked.  2020 and 2023: circuits to 50 A.  2026: to 60 A.  2023 also names garages, accessory buildings and
    boathouses, and readers disagree whether outlets inside them are meant: those are undecided.  Car chargers and heat
    pumps have rules of their own.  Source: NEC 210.8(F), as continuing-education pages and the trade press tell it.
    """
    section = {2017: "210.8", 2020: "210.8(F)", 2023: "210.8(F)", 2026: "210.8(F)"}
    for circuit in job.record.circuits:
        hard = [(n, outlet) for n, outlet in enumerate(circuit.outlets, 1) if outlet.kind == "hardwired"]
        kinds = [item.kind for item in job.installation.equipment_on(circuit)]
        if not is_new(circuit.work) or not hard or (kinds and all(kind in _JUDGED_ELSEWHERE for kind in kinds)):
            continue
        with job.case(outdoor_outlet_gfci, circuit.code, section=section) as case:
            _judge_hardwired(case, circuit, hard)
        yield case.result


def _judge_hardwired(case: Case, circuit: Circuit, hard: list[tuple[int, Outlet]]) -> None:
    edition = case.job.edition
    if edition not in OUTDOOR_OUTLETS_TO:
        raise NotApplicable("Asked from the 2020 edition on.")
    for number, outlet in hard:
        case.given("", f"area of outlet {number}", outlet.area, str(outlet.written_at) or "the record")
    outdoors = [(n, outlet) for n, outlet in hard if outlet.area == "outdoors"]
    inside = [item for item in hard if item[1].area in ("garage", "accessory building") and edition == 2023]
    if not outdoors and not inside:
        raise NotApplicable("Nothing is wired in outdoors.")
    rating = breaker_rating(case, circuit.code)
    largest = OUTDOOR_OUTLETS_TO[edition]
    if magnitude(rating, "ampere") > largest:
        raise NotApplicable(f"A circuit of more than {largest} A.")
    if protected_by_breaker(case, circuit.code):
        case.holds(True, "The breaker protects the circuit.")
        return
    bare = [str(number) for number, outlet in outdoors if not _protected(case, circuit, number, outlet)]
    if bare:
        fails_unless(
            case,
            f"Outlet {', '.join(bare)} is outdoors, on a circuit to {largest} A, without that protection.",
            "Does an exception of 210.8(F) as adopted here free it, such as the one for deicing equipment?",
        )
    elif any(outlet.gfci.value not in _IN_A_DEVICE for _, outlet in inside):
        raise Undecided(
            "Whether 210.8(F) of 2023 means outlets inside garages and accessory buildings is disputed, and there is "
            "no protection here. Ask the authority having jurisdiction."
        )
    else:
        if any(outlet.gfci.value == "in another receptacle" for _, outlet in inside):
            ask_for_the_other(circuit)
        case.holds(True, "Every outlet that is asked for is protected.")


def _protected(case: Case, circuit: Circuit, number: int, outlet: Outlet) -> bool:
    kind = case.fact("", f"protection of outlet {number}", outlet.gfci)
    if kind == "in the breaker":
        raise Undecided(
            f"Outlet {number} is said to be protected in the breaker, and the breaker is not recorded so. Look."
        )
    if kind == "in another receptacle":
        ask_for_the_other(circuit)
    return kind in _IN_A_DEVICE


RULES: tuple[Rule, ...] = (afci, outdoor_outlet_gfci)
