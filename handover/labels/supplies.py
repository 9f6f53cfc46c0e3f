"""What a label says of every supply besides the one that it names: what stays live, what starts, how to cut it."""

from __future__ import annotations

from collections.abc import Iterator

from handover.labels.art import BODY, Row
from handover.labels.words import name, place_of, said
from handover.record.installation import Installation, Position
from handover.record.supply import Panel, Source, Transfer

_SAFETY_LINES = 8  # a warning is not cut short like other free text


def other_sources(installation: Installation, code: str, opened: str) -> Row:
    """What still feeds a thing with the device ``opened`` (``that breaker``) off; no ``opened`` where none is known."""
    sources = installation.sources_past(code)
    named = "; ".join(map(name, sources))
    if sources and opened:
        text = f"Also fed by: {named}, even with {opened} off"
    elif sources:
        text = f"Not recorded which of these also feed it: {named}"
    elif installation.record.sources and opened:
        text = f"With {opened} off, no other source known"
    else:
        text = "No other source known"
    return Row(text, bold=True, most_lines=_SAFETY_LINES)


def started_by(installation: Installation, panel: Panel, opened: str) -> Iterator[Row]:
    """What comes to life when ``opened`` cuts ``panel`` off: transfer equipment below it loses the utility."""
    for transfer in installation.record.transfers:
        position, source = installation.position(transfer.code), installation.sources.get(transfer.source)
        chain = installation.path_to_service(position.panel) if position is not None else [installation.service_panel]
        if source is None or panel not in chain:
            continue
        fed = installation.panels.get(transfer.feeds)
        behind = name(fed) if fed is not None else transfer.feeds
        starts = source.starts_by_itself
        if starts.value is False or transfer.kind.value not in (None, "automatic"):
            text = f"With {opened} off, {name(source)} can still feed {behind} through {transfer.code}."
        elif starts.value:
            text = f"Opening {opened} makes {name(source)} start by itself{_delay(transfer)}. {behind} comes back live."
        else:
            text = (
                f"Whether opening {opened} makes {name(source)} start: {starts}. Treat it as if it does"
                f"{_delay(transfer)}: {behind} comes back live."
            )
        yield Row(text, BODY, bold=True, most_lines=_SAFETY_LINES)
        yield Row(f"First cut {source.code} at: {said(source.disconnect)}", BODY, bold=True, most_lines=_SAFETY_LINES)


def through_transfer(installation: Installation, panel: Panel) -> Iterator[Row]:
    """For a panel with transfer equipment above it: its second supply, and how to cut both."""
    past = installation.sources_past(panel.code)
    for member in installation.path_to_service(panel):
        transfer = installation.transfer_to(member)
        source = installation.sources.get(transfer.source) if transfer is not None else None
        if transfer is None or source is None:
            continue
        if source not in past:
            yield Row(f"Live up to its main from {name(source)} too", bold=True)
        yield from both_supplies(installation, transfer, source)


def both_supplies(installation: Installation, transfer: Transfer, source: Source) -> Iterator[Row]:
    """Whether the second supply starts by itself, and in which order the two are cut: the one that starts first."""
    position = installation.position(transfer.code)
    if source.starts_by_itself.value is not False:
        yield Row(f"{name(source)}: {_starts(source)}{_delay(transfer)}", BODY, bold=True)
    utility = place_of(position) if position is not None else "the utility side, not recorded where"
    text = f"To cut both: first {source.code} at: {said(source.disconnect)}. Then {utility}."
    yield Row(text, bold=True, most_lines=_SAFETY_LINES)


def second_source(installation: Installation, source: Source) -> Iterator[Row]:
    """The label at a source itself: where it joins, how to cut it, what stays live, what starts."""
    position = installation.position(source.code)
    behind = next((tie for tie in installation.record.transfers if tie.source == source.code), None)
    if behind is not None:
        joins = f"Joins at {name(behind)}"
    else:
        joins = f"Joins at {place_of(position)}" if position else "Where it joins: not recorded"
    yield Row(f"Second source: {source.kind}", BODY, bold=True)
    yield Row(joins, BODY, bold=True)
    yield Row(f"Output {said(source.output_current)}   {said(source.volts)}")
    if source.kind == "generator" and source.starts_by_itself.value is not False:
        yield Row(f"{_starts(source)}{_delay(behind) if behind is not None else ''}", BODY, bold=True)
    yield Row(f"Cut it at: {said(source.disconnect)}", bold=True, most_lines=_SAFETY_LINES)
    if source.kind == "generator":
        yield Row(f"Fuel shutoff: {said(source.fuel_shutoff)}", bold=True)
    if source.stays_live or source.kind != "generator":
        yield Row(f"Stays live after that: {source.stays_live or 'not recorded'}", bold=True, most_lines=_SAFETY_LINES)
    if position is not None:
        yield Row(f"Do not move its breaker. Place on the bus: {said(source.bus_end)}", bold=True)
    yield Row(_also(installation, source, position, behind))


def _also(installation: Installation, source: Source, position: Position | None, behind: Transfer | None) -> str:
    if behind is not None:
        return "The utility feeds the same wiring."
    reaching = installation.sources_reaching(position.panel) if position is not None else []
    others = [other for other in reaching if other is not source]
    return "; ".join(("Also fed by the utility", *map(name, others)))


def _starts(source: Source) -> str:
    starts = source.starts_by_itself
    return "STARTS BY ITSELF" if starts.value else f"Starts by itself: {starts}. Treat it as if it does"


def _delay(transfer: Transfer) -> str:
    return f" (start delay: {said(transfer.start_delay)})"
