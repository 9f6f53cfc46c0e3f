"""What could still be added: room of service, panels, feeders and raceways, as numbers.  Advice for the next job."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.conductors_of import whole_amperes
from handover.checks.energy_management import managed_current
from handover.checks.feeder_load import counted_legs, feeder_load
from handover.checks.filling import raceway_fill
from handover.checks.panels import is_spare
from handover.checks.result import CheckResult, Verdict
from handover.checks.runs_of import RACEWAYS, pieces, raceway_runs
from handover.checks.scope import breaker_rating, is_new
from handover.checks.service_close import deciding_method
from handover.checks.service_load import existing_total, service_load
from handover.checks.service_measured import measured_total, service_measured_demand
from handover.checks.service_optional import optional_total, service_load_optional
from handover.checks.service_parts import Total, recorded_load, service_volts, va
from handover.checks.service_standard import service_load_standard, standard_total
from handover.problems import count_of
from handover.record.supply import LoadMethod, Panel
from handover.record.wiring import Feeder, Run
from handover.tables.lookups import conductor_area
from handover.tables.raceway_lookups import Fill, raceway_area
from handover.units import Quantity, magnitude, quantity, show

_FOUND_BY: dict[LoadMethod, tuple[Rule, str | dict[int, str]]] = {
    "existing dwelling": (service_load, "220.83"),
    "optional": (service_load_optional, {2017: "220.82", 2020: "220.82", 2023: "220.82", 2026: "120.82(B)"}),
    "standard": (service_load_standard, "Part III of Article 220"),
    "measured demand": (service_measured_demand, "220.87"),
}


@rule("spare_service", "How much could still be added to the house before the service is full?", advice=True)
def spare_service(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The service's rating less the load, by the method that decides this job and its safe reading.  One result a job.

    Units: VA.  Source: the section of that method; the working of the load is under the method's own rule.
    """
    method = deciding_method(job)
    of, section = _FOUND_BY[method]
    with job.case(spare_service, job.record.service.at, section=section) as case:
        total = _total(job, of, method)
        rating = case.fact("In", "rating of the service", job.record.service.rating)
        volts = service_volts(job)
        case.given("S", "load by the safe reading", va(total.safe), f"rule {of.id}")
        spare = magnitude(rating, "ampere") * volts - total.safe
        case.step("In × V - S", f"{show(rating)} × {volts:g} V - {total.safe:g} VA", va(spare))
        case.step("in amperes", f"{spare:g} / {volts:g}", quantity(spare / volts, "ampere"))
        if spare < 0 and managed_current(case, "service") is not None:
            raise NotApplicable("Energy management holds the service: what more can run depends on what else runs.")
        if spare > 0:
            _told_by_kind(case, method, spare, volts)
        told = f"{show(va(abs(spare)))}, {show(quantity(abs(spare) / volts, 'ampere'))}"
        reason = (
            f"{told}, are left for what counts in full." if spare >= 0 else f"The load is {told}, above the rating."
        )
        case.compare(value=va(spare), limit=va(0), at_least=True, reason=reason)
    yield case.result


def _total(job: JobUnderCheck, of: Rule, method: LoadMethod) -> Total:
    aside = job.case(of, job.record.service.at, section="")  # its working is shown under its own rule
    load = recorded_load(aside)
    if method == "measured demand":
        return measured_total(aside, load)
    if method == "optional":
        return optional_total(aside, load)
    return standard_total(aside, load) if method == "standard" else existing_total(aside, load)


def _told_by_kind(case: Case, method: LoadMethod, spare: float, volts: float) -> None:
    case.step("a car charger, heating or cooling, in full, at most", "the same", va(spare))
    case.step("a car charger's current, at most", f"{spare:g} / {volts:g}", quantity(spare / volts, "ampere"))
    if case.job.edition == 2023 and spare < 7200:
        case.step("a car charger counts at least 7200 VA (220.57)", f"{spare:g} < 7200", "no room for one")
    if method in ("existing dwelling", "optional"):
        case.step(
            "other appliances, which count at 40 % once the first part is full", f"{spare:g} / 0.4", va(spare / 0.4)
        )


@rule("spare_spaces", "How many more breakers could the panel take?", advice=True)
def spare_spaces(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Spaces without a breaker, those that lie together for two poles, and breakers that feed nothing.

    One result a panel.  What the panel's label allows decides: it may allow half-size breakers in some spaces only.
    Source: NEC 110.3(B); 408.54 on the number of devices, from memory.
    """
    for panel in job.record.panels:
        with job.case(spare_spaces, panel.code, section="110.3(B) and 408.54" + FROM_MEMORY) as case:
            _spaces(case, panel)
        yield case.result


def _spaces(case: Case, panel: Panel) -> None:
    case.given("n", "spaces in the panel", panel.spaces, str(panel.written_at) or "the record")
    taken = [space for slot in panel.slots if slot.breaker is not None for space in slot.spaces]
    blank = {space for slot in panel.slots if slot.blank for space in slot.spaces}
    silent = set(range(1, panel.spaces + 1)) - set(taken) - blank
    if len(taken) <= panel.spaces and silent:
        raise Undecided(
            f"Nothing is recorded for {len(silent)} of {panel.spaces} spaces. Say what is there, or: blank: yes."
        )
    free = panel.spaces - len(taken)
    case.step("spaces - poles of all breakers", f"{panel.spaces} - {len(taken)}", str(free))
    pairs = _pairs(panel, blank - set(taken))
    case.step("two-pole breakers that fit into these", "spaces above each other on one side", str(pairs))
    spares = sum(slot.breaker is not None and is_spare(slot) for slot in panel.slots)
    case.step("breakers that feed nothing", "counted", str(spares))
    room = f"{free} of {count_of(panel.spaces, 'space')} free, room for {count_of(pairs, 'breaker')} of two poles"
    told = f"{room}; {count_of(spares, 'spare breaker')}."
    reason = told if free >= 0 else f"{len(taken)} poles are recorded for {panel.spaces} spaces."
    case.compare(value=_number(free), limit=_number(0), at_least=True, reason=reason)


def _pairs(panel: Panel, free: set[int]) -> int:
    pitch = 2 if panel.numbering == "odd left, even right" else 1
    left, pairs = set(free), 0
    for space in sorted(free):
        if space in left and space + pitch in left:
            left -= {space, space + pitch}
            pairs += 1
    return pairs


def _number(value: float) -> Quantity:
    return quantity(value, "dimensionless")


@rule("spare_feeder", "How much could still hang on the feeder?", advice=True)
def spare_feeder(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The feeder's breaker less all that hangs on its panel, on the heavier leg; continuous parts at 125 %.

    One result a feeder of this job.  Whether the conductors carry the whole of the breaker's rating is told by the
    rules about them.  Unit: A.  Source: NEC 215.3.
    """
    for feeder in job.record.feeders:
        if not is_new(feeder.work):
            continue
        with job.case(spare_feeder, feeder.code, section="215.3, with 220.14(I)") as case:
            _feeder_left(case, feeder)
        yield case.result


def _feeder_left(case: Case, feeder: Feeder) -> None:
    legs = counted_legs(case.job.case(feeder_load, feeder.code, section=""), feeder)
    rating = breaker_rating(case, feeder.code)
    for name, load in legs.items():
        case.step(f"leg {name}: In - I (rule feeder_load)", f"{show(rating)} - {show(load)}", rating - load)
    recorded = feeder.load.value
    heavier = max(legs.values())
    if recorded is not None and recorded > heavier:
        heavier = case.fact("I", "load as calculated by the contractor, which is more", feeder.load)
    spare: Quantity = rating - whole_amperes(case, heavier, rating)
    if spare.magnitude < 0 and managed_current(case, "feeder", feeder.code) is not None:
        raise NotApplicable("Energy management holds the feeder: what more can run depends on what else runs.")
    case.step("left on the heavier leg", f"{show(rating)} - {show(heavier)}", spare)
    reason = f"{show(spare)} of {show(rating)} are left on the heavier leg." if spare.magnitude >= 0 else ""
    case.compare(value=spare, limit=quantity(0, "ampere"), at_least=True, reason=reason)


@rule("spare_raceway", "How many more wires could be pulled into the pipe?", advice=True)
def spare_raceway(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The area that may be filled less what is in it (rule raceway_fill), and how many more of the largest wire fit.

    One result a raceway of this job.  More wires that carry current may lower what each may carry.  Unit: in².
    Source: NEC Chapter 9 Table 1 and Table 4.
    """
    filled = {result.subject: result for result in job.results_of(raceway_fill)}
    for run in raceway_runs(job):
        with job.case(spare_raceway, run.code, section="Chapter 9 Table 1") as case:
            _area_left(case, run, filled[run.code])
        yield case.result


_NOT_COUNTED = "Not counted: the adjustment for more than three current-carrying conductors."


def _area_left(case: Case, run: Run, filled: CheckResult) -> None:
    if filled.verdict is Verdict.UNDECIDED:
        raise Undecided(f"How full it is cannot be decided. {filled.reason}")
    if filled.verdict is Verdict.NOT_APPLICABLE:
        raise NotApplicable(filled.reason)
    if filled.value is None:
        raise NotApplicable(f"Full to the last wire. {filled.reason}")
    kind: Fill = "nipple" if any(given.symbol == "nipple" for given in filled.inputs) else "over two"
    size = case.fact("size", f"trade size of {run.code}", run.trade_size)
    methods = sorted({piece.method for piece in pieces(run) if piece.method in RACEWAYS} | {run.method})
    areas = [raceway_area(method, size, kind, case.job.edition) for method in methods]
    allowed = case.looked(
        "A", "area that three wires and more may fill", min(areas, key=lambda each: each.value.magnitude)
    )
    left: Quantity = allowed - filled.value
    case.step("A - area of all wires in it (rule raceway_fill)", f"{show(allowed)} - {show(filled.value)}", left)
    each, named = _largest(case, run)
    count = max(0, int(left.magnitude / each.magnitude + 1e-9))
    case.step(f"more wires of {named}", f"{show(left)} / {show(each)}, whole ones", str(count))
    more = f"by area alone {count_of(count, 'more wire')} of {named}. {_NOT_COUNTED}"
    reason = f"{show(left)} are left: {more}" if left.magnitude >= 0 else ""
    case.compare(value=left, limit=quantity(0, "square_inch"), at_least=True, reason=reason)


def _largest(case: Case, run: Run) -> tuple[Quantity, str]:
    """The area of the largest wire in a run, and its size."""
    found = [
        (conductor_area(entry.size.value, entry.insulation.value, case.job.edition), entry.size.value)
        for entry in case.job.installation.conductors_in(run)
        if entry.size.value is not None and entry.insulation.value is not None
    ]
    area, size = max(found, key=lambda each: each[0].value.magnitude)
    return case.looked("A1", f"area of one wire of {size}", area), str(size)


RULES: tuple[Rule, ...] = (spare_service, spare_spaces, spare_feeder, spare_raceway)
