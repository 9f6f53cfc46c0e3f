"""Rules about all that can feed the wiring besides the utility: solar, batteries, generators, transfer equipment."""

from __future__ import annotations

from collections.abc import Iterator

from handover.checks.asking import FROM_MEMORY, ask
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.panels import protecting_device
from handover.checks.result import CheckResult
from handover.record.installation import Position
from handover.record.supply import Panel, Source
from handover.units import Quantity, quantity, show

_INTERACTIVE = ("solar", "battery", "vehicle")
_PAST_THE_BUS = "supply side of the main"


def _interactive(job: JobUnderCheck) -> list[Source]:
    """Sources that work side by side with the utility: those that no transfer equipment parts from it."""
    parted = {transfer.source for transfer in job.record.transfers}
    return [source for source in job.record.sources if source.kind in _INTERACTIVE and source.code not in parted]


@rule("busbar_sources", "Can the panel's bus carry what the utility and the other sources give together?")
def busbar_sources(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The alternatives of 705.12 for each panel that a source feeds into, and each one above it.

    S is 125 % of the sources' output currents, P the device that protects the bus, B its rating.  Any one alternative
    is enough; all are shown.  A panel with feed-through lugs has conditions of its own, which are not held here.
    Source: NEC 705.12(B)(3)(1) to (3) in 2020, 705.12(B)(1) to (3) in 2023.
    """
    section = {2020: "705.12(B)(3)", 2023: "705.12(B)"}
    sources = _interactive(job)
    if not sources:
        with job.case(busbar_sources, job.record.service.at, section=section) as case:
            raise NotApplicable("No source that works side by side with the utility is recorded.")
        yield case.result
        return
    fed = {source.code: _panels_reached(job, source) for source in sources}
    for source in sources:
        if not fed[source.code]:
            with job.case(busbar_sources, source.code, section=section) as case:
                _not_on_a_bus(case, source)
            yield case.result
    for panel in job.record.panels:
        reaching = [source for source in sources if panel.code in fed[source.code]]
        if reaching:
            with job.case(busbar_sources, panel.code, section=section) as case:
                _try_alternatives(case, panel, reaching)
            yield case.result


def _panels_reached(job: JobUnderCheck, source: Source) -> list[str]:
    position = job.installation.position(source.code)
    if position is None or source.bus_end.value == _PAST_THE_BUS:
        return []
    return [panel.code for panel in job.installation.path_to_service(position.panel)]


def _not_on_a_bus(case: Case, source: Source) -> None:
    if case.fact("", f"where {source.code} joins", source.bus_end) == _PAST_THE_BUS:
        raise NotApplicable("Joined on the supply side of the service disconnect: 705.11 governs, not the bus rule.")
    raise Undecided(f"No breaker is recorded as belonging to {source.code}. Find where it joins.")


def _try_alternatives(case: Case, panel: Panel, sources: list[Source]) -> None:
    if case.fact("", f"feed-through lugs in {panel.code}", panel.feed_through_lugs):
        raise Undecided(
            f"{panel.code} has feed-through lugs, so sources reach its bus through them. The conditions for that "
            "differ by edition and were not confirmed here: read 705.12 in the adopted book, or ask the authority."
        )
    output = quantity(0, "ampere")
    for source in sources:
        output = output + case.fact("Is", f"output current of {source.code}", source.output_current)
    given = output * 1.25
    case.step("S = 1.25 × sum of Is", f"1.25 × {show(output)}", given)
    main = protecting_device(case, panel)
    bus = case.fact("B", f"bus rating of {panel.code}", panel.bus)
    both = given + main
    case.step("1: S + P within B, sources anywhere", f"{show(given)} + {show(main)}, {show(bus)}", _whether(both, bus))
    opposite = _at_the_opposite_end(case, panel, sources)
    case.step(
        "2: S + P within 1.2 × B, sources at the end opposite the supply",
        f"{show(given)} + {show(main)}, 1.2 × {show(bus)}; opposite end: {_said(opposite)}",
        _whether(both, bus * 1.2) if opposite else "not usable",
    )
    total = _all_breakers(case, panel)
    case.step(
        "3: sum of all breakers but the one that protects the bus, within B",
        f"{show(total) if total is not None else 'a rating is missing'}, {show(bus)}",
        _whether(total, bus) if total is not None else "not usable",
    )
    if both <= bus:
        case.compare(value=both, limit=bus, at_least=False)
    elif total is not None and total <= bus:
        case.compare(value=total, limit=bus, at_least=False)
    elif opposite is None and both <= bus * 1.2:
        raise Undecided(f"120 % of the bus would be enough if the sources stand opposite {panel.code}'s supply. Look.")
    elif opposite:
        case.compare(value=both, limit=bus * 1.2, at_least=False)
    else:
        if total is None:
            raise Undecided(f"A breaker rating of {panel.code} is missing, so the sum of all breakers is not known.")
        case.compare(value=both, limit=bus, at_least=False)


def _whether(value: Quantity, limit: Quantity) -> str:
    return f"{show(value)}: {'holds' if value <= limit else 'does not hold'}"


def _said(known: bool | None) -> str:
    return "not known" if known is None else "yes" if known else "no"


def _at_the_opposite_end(case: Case, panel: Panel, sources: list[Source]) -> bool | None:
    """Whether all the sources' breakers stand opposite the supply; None where that is not known of this panel."""
    answers: list[bool | None] = []
    for source in sources:
        position = case.job.installation.position(source.code)
        if position is None or position.panel is not panel:
            answers.append(None)  # reaches this bus through a feeder, whose place on the bus the record does not tell
            continue
        place = source.bus_end
        case.given("", f"place of {source.code} on the bus", place, str(place.place) or "not in the record")
        answers.append(place.value == "opposite end from the main" if place.known else None)
    if False in answers:
        return False
    return None if None in answers else True


def _all_breakers(case: Case, panel: Panel) -> Quantity | None:
    total = quantity(0, "ampere")
    for slot in panel.slots:
        if slot.breaker is None:
            continue
        if slot.breaker.rating.value is None:
            case.given("", f"breaker at {Position(panel, slot).subject}", slot.breaker.rating, "the record")
            return None
        total = total + slot.breaker.rating.value
    return total


@rule("sources_posted", "Does a sign at the service tell of every other source and where it is switched off?")
def sources_posted(job: JobUnderCheck) -> Iterator[CheckResult]:
    """One question to a person, where the record has any other source.  Source: NEC 705.10, 702.7(A)."""
    with job.case(sources_posted, job.record.service.at, section="702.7(A); 705.10" + FROM_MEMORY) as case:
        if not job.record.sources:
            raise NotApplicable("No other source is recorded.")
        for source in job.record.sources:
            seen = len(source.labels_seen)
            case.given("", f"labels seen that tell of {source.code}", seen, str(source.written_at) or "the record")
        ask(case, "Does a permanent sign at the service equipment name every other source and its disconnect?")
    yield case.result


@rule("transfer_prevents_paralleling", "Is it impossible for the generator and the utility to be joined?")
def transfer_prevents_paralleling(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Listed transfer equipment, or an interlock listed for the panel: a person has to have seen the marking.

    One result each transfer equipment.  Source: NEC 702.5.
    """
    for transfer in job.record.transfers:
        with job.case(transfer_prevents_paralleling, transfer.code, section="702.5" + FROM_MEMORY) as case:
            kind = case.fact("", f"kind of {transfer.code}", transfer.kind)
            ask(
                case,
                "Is the interlock kit listed for this very panel, and does it block both breakers being on?"
                if kind == "interlocked breakers"
                else "Is this marked as listed transfer equipment, so that both sides can never be closed together?",
            )
        yield case.result


@rule("standby_capacity", "If the generator starts by itself, can it carry all that is switched onto it?")
def standby_capacity(job: JobUnderCheck) -> Iterator[CheckResult]:
    """With automatic transfer the source carries the full load, or load is shed automatically.

    One result each transfer equipment.  A load that people choose by hand may be any.  Source: NEC 702.4(B).
    """
    for transfer in job.record.transfers:
        with job.case(standby_capacity, transfer.code, section="702.4(B)" + FROM_MEMORY) as case:
            if case.fact("", f"kind of {transfer.code}", transfer.kind) != "automatic":
                raise NotApplicable("Somebody chooses by hand what runs, so the source may be of any size.")
            if not transfer.load_management.value:
                raise Undecided(
                    f"No automatic load management is recorded for {transfer.code} ({transfer.load_management}), "
                    f"so the source must carry the whole calculated load of {transfer.feeds}, which is not worked "
                    "out here. Ask for that calculation, or find out whether load is shed."
                )
            shed = case.fact("", f"automatic load management at {transfer.code}", transfer.load_management)
            case.holds(shed, "Automatic load management keeps the load within what the source can give.")
        yield case.result


@rule("source_neutral", "Do the generator's neutral bond and the transfer switch fit together?")
def source_neutral(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A bond at the source only where the neutral is switched, and then always.  One result each transfer equipment.

    Two bonds at once put current on bare metal; none leaves a fault without a way back.
    Source: NEC 250.20(D) and 250.30 for separately derived sources; 702.11 for a portable generator.  Automatic
    transfer belongs to a permanently installed one; of any other the record does not say which it is.
    """
    for transfer in job.record.transfers:
        portable = "" if transfer.kind.value == "automatic" else "; 702.11 where the generator is portable"
        section = f"250.20(D) and 250.30{portable}{FROM_MEMORY}"
        with job.case(source_neutral, transfer.code, section=section) as case:
            source = job.installation.sources.get(transfer.source)
            if source is None:
                raise Undecided(f"{transfer.code} names no source of this record.")
            switched = case.fact("", f"{transfer.code} switches the neutral", transfer.switches_neutral)
            bonded = case.fact("", f"neutral of {source.code}", source.neutral) == "bonded at the source"
            told = f"Neutral {'' if switched else 'not '}switched, {'' if bonded else 'not '}bonded at the source"
            case.holds(switched == bonded, f"{told}: {'these fit' if switched == bonded else 'these do not fit'}.")
        yield case.result


RULES: tuple[Rule, ...] = (
    busbar_sources,
    sources_posted,
    transfer_prevents_paralleling,
    standby_capacity,
    source_neutral,
)
