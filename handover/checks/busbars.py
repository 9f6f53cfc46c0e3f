"""Rules about a panel's bus that solar or a battery feeds besides the utility, and about the breaker that does so."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from handover.checks.asking import FROM_MEMORY, fails_unless
from handover.checks.case import Case, JobUnderCheck, NotApplicable, Rule, Undecided, rule
from handover.checks.conductors_of import less
from handover.checks.panels import protecting_device
from handover.checks.result import CheckResult
from handover.checks.scope import is_new, touched_panels
from handover.record.installation import Position
from handover.record.supply import Panel, Slot, Source
from handover.units import Quantity, quantity, show

_INTERACTIVE = ("solar", "battery", "vehicle")
_PAST_THE_BUS = "supply side of the main"
_BUS = {2017: "705.12(B)(2)(3)", 2020: "705.12(B)(3)", 2023: "705.12(B)"}
OPPOSITE_END = {2017: "705.12(B)(2)(3)(b)", 2020: "705.12(B)(3)(2)", 2023: "705.12(B)(2)"}
"""Where the 120 % alternative stands in each edition."""
SUM_OF_BREAKERS = {2017: "705.12(B)(2)(3)(c)", 2020: "705.12(B)(3)(3)", 2023: "705.12(B)(3)"}
"""Where the sum of all breakers stands in each edition."""


def interactive_sources(job: JobUnderCheck) -> list[Source]:
    """Sources that work side by side with the utility: those that no transfer equipment parts from it."""
    parted = {transfer.source for transfer in job.record.transfers}
    return [source for source in job.record.sources if source.kind in _INTERACTIVE and source.code not in parted]


@rule("busbar_sources", "Can the panel's bus carry what the utility and the other sources give together?")
def busbar_sources(job: JobUnderCheck) -> Iterator[CheckResult]:
    """The alternatives of 705.12 for each panel that a source feeds into, and each one above it.

    S is 125 % of the sources' output currents, P the device that protects the bus, B its rating.  Any one alternative
    is enough; all are shown.  A panel with feed-through lugs has conditions of its own, which are not held here; the
    alternative under engineering supervision, and a listed power control system (705.13), count where the record
    confirms them.
    Source: NEC 705.12(B)(2)(3)(a) to (d) in 2017, (B)(3)(1) to (4) in 2020, (B)(1) to (4) in 2023.
    """
    sources = interactive_sources(job)
    if not sources:
        with job.case(busbar_sources, job.record.service.at, section=_BUS) as case:
            raise NotApplicable("No source that works side by side with the utility is recorded.")
        yield case.result
        return
    fed = {source.code: _panels_reached(job, source) for source in sources}
    for source in sources:
        if not fed[source.code]:
            with job.case(busbar_sources, source.code, section=_BUS) as case:
                _not_on_a_bus(case, source)
            yield case.result
    for panel in job.record.panels:
        reaching = sources_reaching_bus(job, panel)
        if reaching:
            with job.case(busbar_sources, panel.code, section=_BUS) as case:
                _judge_bus(case, panel, reaching)
            yield case.result


def sources_reaching_bus(job: JobUnderCheck, panel: Panel) -> list[Source]:
    """The sources side by side with the utility whose breaker stands in a panel or in one below it."""
    return [source for source in interactive_sources(job) if panel.code in _panels_reached(job, source)]


def _panels_reached(job: JobUnderCheck, source: Source) -> list[str]:
    position = job.installation.position(source.code)
    if position is None or source.bus_end.value == _PAST_THE_BUS:
        return []
    return [panel.code for panel in job.installation.path_to_service(position.panel)]


def _not_on_a_bus(case: Case, source: Source) -> None:
    if case.fact("", f"where {source.code} joins", source.bus_end) == _PAST_THE_BUS:
        raise NotApplicable("Joined on the supply side of the service disconnect: 705.11 governs, not the bus rule.")
    raise Undecided(f"No breaker is recorded as belonging to {source.code}. Find where it joins.")


@dataclass(frozen=True, slots=True)
class Bus:
    """The numbers of a bus.  ``at_end``: the sources stand where 120 % counts; None where that is not known."""

    both: Quantity
    rating: Quantity
    total: Quantity | None
    at_end: bool | None

    @property
    def anywhere(self) -> bool:
        """The first alternative holds: sources anywhere on the bus."""
        return not less(self.rating, self.both)

    @property
    def by_sum(self) -> bool:
        """The third alternative holds: all breakers but the one that protects the bus."""
        return self.total is not None and not less(self.rating, self.total)

    @property
    def within_120(self) -> bool:
        """The numbers of the second and fourth alternative hold, wherever the sources stand."""
        return not less(self.rating * 1.2, self.both)


def reckon_bus(case: Case, panel: Panel, sources: list[Source]) -> Bus:
    """The alternatives worked out, each shown as a step."""
    output = quantity(0, "ampere")
    for source in sources:
        output = output + case.fact("Is", f"output current of {source.code}", source.output_current)
    given = output * 1.25
    case.step("S = 1.25 × sum of Is", f"1.25 × {show(output)}", given)
    main = protecting_device(case, panel)
    rating = case.fact("B", f"bus rating of {panel.code}", panel.bus)
    both = given + main
    case.step(
        "1: S + P within B, sources anywhere", f"{show(given)} + {show(main)}, {show(rating)}", _whether(both, rating)
    )
    center = panel.fed_at == "center"
    at_end = _at_one_end(case, panel, sources) if center else _at_the_opposite_end(case, panel, sources)
    judged = _whether(both, rating * 1.2) if at_end else "not usable"
    numbers = f"{show(given)} + {show(main)}, 1.2 × {show(rating)}"
    case.step(
        "2: S + P within 1.2 × B, sources at the end opposite the supply",
        f"{numbers}; opposite end: {'fed at its center' if center else _said(at_end)}",
        "not usable" if center else judged,
    )
    total = _all_breakers(case, panel)
    case.step(
        "3: sum of all breakers but the one that protects the bus, within B",
        f"{show(total) if total is not None else 'a rating or a space is missing'}, {show(rating)}",
        _whether(total, rating) if total is not None else "not usable",
    )
    case.step(
        "4: S + P within 1.2 × B, in a panel of a dwelling fed at its center, sources at one end",
        f"{numbers}; one end: {_said(at_end) if center else 'not fed at its center'}",
        judged if center else "not usable",
    )
    return Bus(both, rating, total, at_end)


def leans_on_120_percent(job: JobUnderCheck, panel: Panel) -> bool | None:
    """Whether only 120 % of the bus, by the place of the sources, allows them.  None where that cannot be told."""
    return _leans(job, panel, lambda bus: not bus.anywhere and not bus.by_sum and bus.within_120)


def leans_on_sum(job: JobUnderCheck, panel: Panel) -> bool | None:
    """Whether only the sum of all breakers allows the sources.  None where that cannot be told."""
    return _leans(job, panel, lambda bus: not bus.anywhere and bus.by_sum and not (bus.within_120 and bus.at_end))


def _leans(job: JobUnderCheck, panel: Panel, on: Callable[[Bus], bool]) -> bool | None:
    case = job.case(busbar_sources, panel.code, section=_BUS)
    try:
        return on(reckon_bus(case, panel, sources_reaching_bus(job, panel)))
    except Undecided:
        return None


def _judge_bus(case: Case, panel: Panel, sources: list[Source]) -> None:
    lugs = case.fact("", f"feed-through lugs in {panel.code}", panel.feed_through_lugs)
    bus = reckon_bus(case, panel, sources)
    if lugs:
        raise Undecided(
            f"{panel.code} has feed-through lugs, so sources reach its bus through them. The conditions for that "
            "differ by edition and were not confirmed here: read 705.12 in the adopted book, or ask the authority."
        )
    if bus.anywhere:
        case.compare(value=bus.both, limit=bus.rating, at_least=False)
    elif bus.by_sum and bus.total is not None:
        case.compare(value=bus.total, limit=bus.rating, at_least=False)
    elif bus.at_end and bus.within_120:
        case.compare(value=bus.both, limit=bus.rating * 1.2, at_least=False)
    elif bus.at_end is None and bus.within_120:
        raise Undecided(
            f"120 % of the bus would be enough if the sources stand at the right end of {panel.code}. Look."
        )
    elif bus.total is None:
        raise Undecided(
            f"A breaker rating or a space of {panel.code} is not recorded, so the sum of all breakers is not known."
        )
    else:
        _none_holds(case, bus)


def _none_holds(case: Case, bus: Bus) -> None:
    question = "Is the bus kept within its rating by a listed power control system, or engineered under supervision?"
    if any((said.rule, said.subject) == (case.rule.id, case.subject) for said in case.job.record.confirmed):
        fails_unless(case, "No alternative that is worked out here holds.", question)
    else:
        case.compare(value=bus.both, limit=bus.rating * 1.2 if bus.at_end else bus.rating, at_least=False)


def _whether(value: Quantity, limit: Quantity) -> str:
    return f"{show(value)}: {'does not hold' if less(limit, value) else 'holds'}"


def _said(known: bool | None) -> str:
    return "not known" if known is None else "yes" if known else "no"


def _at_the_opposite_end(case: Case, panel: Panel, sources: list[Source]) -> bool | None:
    """Whether all the sources' breakers stand opposite the supply; None where that is not known of this panel."""
    answers = [
        None if place is None else place == "opposite end from the main" for place in _places(case, panel, sources)
    ]
    return False if False in answers else None if None in answers else True


def _at_one_end(case: Case, panel: Panel, sources: list[Source]) -> bool | None:
    """Whether all sources stand at one end of a bus fed at its center, in a dwelling; None where it is not known."""
    if panel.separate_building and "dwelling" not in panel.model_fields_set:
        return None
    places = _places(case, panel, sources)
    if not panel.dwelling or len(set(places) - {None}) > 1:
        return False
    return None if None in places else True


def _places(case: Case, panel: Panel, sources: list[Source]) -> list[str | None]:
    found: list[str | None] = []
    for source in sources:
        position = case.job.installation.position(source.code)
        if position is None or position.panel is not panel:
            found.append(None)  # reaches this bus through a feeder, whose place on the bus the record does not tell
            continue
        place = source.bus_end
        case.given("", f"place of {source.code} on the bus", place, str(place.place) or "not in the record")
        found.append(place.value)
    return found


def _all_breakers(case: Case, panel: Panel) -> Quantity | None:
    """All breakers added; None where a rating is missing, or nothing is recorded for a space."""
    recorded = {space for slot in panel.slots for space in slot.spaces}
    if not recorded >= set(range(1, panel.spaces + 1)):
        case.given("", f"spaces of {panel.code} that are recorded", len(recorded), "the record")
        return None
    total = quantity(0, "ampere")
    for slot in panel.slots:
        if slot.breaker is None:
            continue
        if slot.breaker.rating.value is None:
            case.given("", f"breaker at {Position(panel, slot).spoken}", slot.breaker.rating, "the record")
            return None
        total = total + slot.breaker.rating.value
    return total


@rule("backfed_breaker_position", "Does the source's breaker stand at the far end of the bus, where that matters?")
def backfed_breaker_position(job: JobUnderCheck) -> Iterator[CheckResult]:
    """Where only the 120 % alternative allows a source: no load's breaker stands farther from the supply.

    One result a source whose breaker stands in a panel that this job touched.  Source: NEC 705.12, as for the bus.
    """
    touched = {panel.code for panel in touched_panels(job)}
    for source in interactive_sources(job):
        position = job.installation.position(source.code)
        if position is None or not (position.panel.code in touched or is_new(source.work)):
            continue
        with job.case(backfed_breaker_position, source.code, section=OPPOSITE_END) as case:
            bus = reckon_bus(case, position.panel, sources_reaching_bus(job, position.panel))
            if bus.anywhere or bus.by_sum:
                raise NotApplicable("An alternative holds that allows it anywhere on the bus.")
            if not bus.within_120:
                raise NotApplicable("Not even 120 % of the bus is enough: see the rule about the bus.")
            _at_its_end(case, position, bus)
        yield case.result


def _at_its_end(case: Case, position: Position, bus: Bus) -> None:
    panel = position.panel
    if "fed_at" not in panel.model_fields_set:
        raise Undecided(f"Record at which end of {panel.code} its main or its lugs stand: fed_at.")
    case.given("", f"where {panel.code} is fed", panel.fed_at, str(panel.written_at) or "the record")
    case.given("", "spaces of the source's breaker", position.spaces, str(position.slot.written_at) or "the record")
    row = _farthest(panel, position.slot)
    sources = {source.code for source in case.job.record.sources}
    beyond = [slot for slot in panel.slots if slot.feeds not in sources and _farthest(panel, slot) > row]
    loads = [Position(panel, slot).subject for slot in beyond if slot.breaker is not None]
    recorded = {space for slot in panel.slots for space in slot.spaces}
    unsaid = [space for space in range(1, panel.spaces + 1) if space not in recorded and _away(panel, space) > row]
    if loads and bus.total is None:
        raise Undecided(
            f"Farther from the supply stands {', '.join(loads)}. The sum of all breakers may still be enough: record "
            f"every space of {panel.code}, with its breaker."
        )
    if loads:
        case.holds(False, f"Farther from the supply stands {', '.join(loads)}.")
    elif beyond or unsaid:
        raise Undecided(
            "Blank or unrecorded spaces lie farther from the supply. Whether the breaker must stand at the very end, "
            "ask the authority having jurisdiction."
        )
    else:
        case.holds(True, "No breaker of a load stands farther from the supply.")


def _away(panel: Panel, space: int) -> int:
    """How many rows a space is away from the supply: from the top, from the bottom, or from the middle."""
    paired = panel.numbering == "odd left, even right"
    row, last = ((space + 1) // 2, (panel.spaces + 1) // 2) if paired else (space, panel.spaces)
    if panel.fed_at == "top":
        return row
    return last + 1 - row if panel.fed_at == "bottom" else abs(2 * row - last - 1)


def _farthest(panel: Panel, slot: Slot) -> int:
    return max(_away(panel, space) for space in slot.spaces)


@rule("backfed_breaker_secured", "Is a breaker that is fed backwards held in place?")
def backfed_breaker_secured(job: JobUnderCheck) -> Iterator[CheckResult]:
    """A plug-in breaker through which a source feeds a panel has a fastener of its own, or a source that needs none.

    Breakers of solar and other inverters that work only beside the utility are free of it.  One result a new source or
    interlock on a breaker.  Source: NEC 408.36(D), 705.12.
    """
    for code, free in _fed_backwards(job):
        position = job.installation.position(code)
        if position is None or position.slot.breaker is None:
            continue
        with job.case(backfed_breaker_secured, code, section="408.36(D)" + FROM_MEMORY) as case:
            if free:
                raise NotApplicable("An inverter that works beside the utility: its breaker is free of the fastener.")
            held = case.fact("", f"breaker at {position.spoken} held down", position.slot.breaker.hold_down)
            if not held and free is None:
                raise Undecided(
                    "It has no fastener of its own. It needs none if its inverter works only beside the utility: read "
                    "the inverter's manual, and ask the authority having jurisdiction."
                )
            case.holds(held, f"The breaker has {'a' if held else 'no'} fastener of its own.")
        yield case.result


def _fed_backwards(job: JobUnderCheck) -> Iterator[tuple[str, bool | None]]:
    """Codes of new sources and interlocks, and whether the source works only beside the utility; None: not known."""
    beside = [source.code for source in interactive_sources(job)]
    interlocks = [each for each in job.record.transfers if each.kind.value == "interlocked breakers"]
    for source in job.record.sources:
        behind_other = any(each.source == source.code for each in job.record.transfers if each not in interlocks)
        if is_new(source.work) and not behind_other:
            yield source.code, (source.kind == "solar" or None) if source.code in beside else False
    for transfer in interlocks:
        if is_new(transfer.work):
            yield transfer.code, False


RULES: tuple[Rule, ...] = (busbar_sources, backfed_breaker_position, backfed_breaker_secured)
