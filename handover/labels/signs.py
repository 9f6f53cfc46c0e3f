"""Which signs the adopted edition asks for at this place, and what each says.  Wording is data; the rules are here.

Everything is taken from the record as posted, so that nothing private comes to hang on a wall.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.checks.busbars import interactive_sources, leans_on_120_percent, leans_on_sum, sources_reaching_bus
from handover.checks.case import JobUnderCheck
from handover.labels.art import Row
from handover.labels.make import outdoors_of
from handover.labels.plate import DETAIL
from handover.labels.words import name, place_of, said
from handover.record.installation import Installation
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Equipment

ALL_LINES = 20
"""The most lines that a statement of a sign may take: no warning is cut short."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Sign:
    """A sign that a place asks for.  ``id`` is its wording in the catalogue; ``details`` what the record adds."""

    id: str
    at: str
    details: tuple[Row, ...] = ()
    goes: str
    outdoors: bool | None
    existing: bool
    """Whether the thing was there before this job, so that others may have posted the sign."""


def signs_for(job: JobUnderCheck) -> Iterator[Sign]:
    """Every sign for this installation, the service first.  ``job`` holds the record as posted."""
    yield from _disconnects(job)
    yield from _several_sources(job)
    yield from _standby(job)
    yield from _solar(job)
    yield from _buses(job)
    yield from _isolate_also(job.installation)
    yield from _without_ground(job)


def not_made(job: JobUnderCheck) -> Iterator[str]:
    """Signs that cannot be made because the record lacks what they say: each with what to find out."""
    for transfer, source in _inlets(job):
        if not transfer.switches_neutral.known:
            yield (
                f"{transfer.code}, sign at the generator inlet of {source.code} (702.7(C)): find out whether"
                f" {transfer.code} switches the neutral, and record switches_neutral. Until then there is no telling"
                " which kind of generator may be connected."
            )
    for source in job.record.sources:
        if source.kind == "solar":
            yield from _solar_not_made(source)
    for item in job.record.equipment:
        if item.kind == "car charger" and not item.set_current.known:
            yield f"{item.code}, rating label: find out what current the charger is set to, and record set_current."


def _solar_not_made(source: Source) -> Iterator[str]:
    if not source.rapid_shutdown.known:
        yield (
            f"{source.code}, sign for rapid shutdown (690.12(D) in 2023, 690.56(C) before): find out whether the system"
            " has it, and record rapid_shutdown."
        )
    elif source.rapid_shutdown.value and not source.rapid_shutdown_switch.known:
        yield (
            f"{source.code}, signs for rapid shutdown (690.12(D) in 2023, 690.56(C) before): find out where it is"
            " started, and record rapid_shutdown_switch."
        )
    if not source.dc_raceway.known:
        yield (
            f"{source.code}, sign on its DC raceway (690.31): find out where the wires between the panels and the"
            " inverter run, and record dc_raceway."
        )


def _service_outdoors(job: JobUnderCheck) -> bool | None:
    return outdoors_of(job.installation, job.installation.service_panel)


def _disconnects(job: JobUnderCheck) -> Iterator[Sign]:
    service, panel = job.record.service, job.installation.service_panel
    # Asked where the service equipment is replaced; where nobody recorded that, it is printed too.
    if panel.work == "new" or service.replaced_on_this_job.value is not False:
        for kind in ("emergency_disconnect", "service_disconnect"):
            yield Sign(
                id=kind,
                at=panel.code,
                goes=f"On the service disconnect, {service.disconnect_place}, beside its handle.",
                outdoors=_service_outdoors(job),
                existing=False,
            )
    for building in job.record.panels:
        if building.separate_building and building.dwelling and building.work != "existing" and building is not panel:
            yield Sign(
                id="emergency_disconnect_building",
                at=building.code,
                goes=f"On the outdoor disconnect of the building that {building.code} serves.",
                outdoors=True,
                existing=False,
            )


def _several_sources(job: JobUnderCheck) -> Iterator[Sign]:
    service, record = job.record.service, job.record
    beside = interactive_sources(job)
    if not beside:
        return
    rows = [
        Row(
            f"Utility: {name(job.installation.service_panel)}, {service.disconnect_place}", DETAIL, most_lines=ALL_LINES
        )
    ]
    rows += [Row(f"{name(source)}: {_off_at(source)}", DETAIL, most_lines=ALL_LINES) for source in record.sources]
    others = "; ".join(f"{source.code}: {_off_at(source)}" for source in beside)
    called = [source for source in beside if source.operator_phone.known]
    rows += [Row(f"Operator of {source.code}: {said(source.operator_phone)}", DETAIL, bold=True) for source in called]
    wanted = " Write in the emergency telephone number of an off-site operator, if there is one."
    phone = wanted if job.edition >= 2023 and not called else ""
    yield Sign(
        id="several_sources",
        at=service.at,
        details=tuple(rows),
        goes=f"One at the service disconnect, {service.disconnect_place}; one at the disconnect of {others}.{phone}",
        outdoors=True if any(source.outdoors.value is not False for source in beside) else _service_outdoors(job),
        existing=all(source.work == "existing" for source in beside),
    )


def _off_at(source: Source) -> str:
    return said(source.disconnect) if source.disconnect.known else f"{source.place}; its switch is not recorded"


def _starts(source: Source) -> str:
    starts = source.starts_by_itself
    if starts.value is False:
        return ""
    return " STARTS BY ITSELF." if starts.value else f" Starts by itself: {starts}; treat it as if it does."


def _standby(job: JobUnderCheck) -> Iterator[Sign]:
    record, tied = job.record, {transfer.source for transfer in job.record.transfers}
    standby = [source for source in record.sources if source.kind == "generator" or source.code in tied]
    if standby:
        rows = (
            Row(
                f"{name(source)}: {source.kind}, {source.place}.{_starts(source)} Off at: {_off_at(source)}",
                DETAIL,
                most_lines=ALL_LINES,
            )
            for source in standby
        )
        yield Sign(
            id="standby_source",
            at=record.service.at,
            details=tuple(rows),
            goes=f"At the service disconnect, {record.service.disconnect_place}, beside its handle.",
            outdoors=_service_outdoors(job),
            existing=all(source.work == "existing" for source in standby),
        )
    for transfer, source in _inlets(job):
        if transfer.switches_neutral.known:
            yield Sign(
                id="inlet_bonded" if transfer.switches_neutral.value else "inlet_floating",
                at=transfer.code,
                goes=f"Beside the inlet for {source.code}, {source.place}.",
                outdoors=source.outdoors.value,
                existing=transfer.work == "existing",
            )


def _inlets(job: JobUnderCheck) -> Iterator[tuple[Transfer, Source]]:
    for transfer in job.record.transfers:
        source = job.installation.sources.get(transfer.source)
        if source is not None and source.kind == "generator" and source.portable.value:
            yield transfer, source


def _solar(job: JobUnderCheck) -> Iterator[Sign]:
    for source in job.record.sources:
        if source.kind == "solar":
            live = (Row(f"Stays live: {source.stays_live}", DETAIL, most_lines=ALL_LINES),) if source.stays_live else ()
            yield Sign(
                id="pv_disconnect",
                at=source.code,
                details=live,
                goes=f"At the disconnect of {source.code}: {_off_at(source)}.",
                outdoors=source.outdoors.value,
                existing=source.work == "existing",
            )
            yield from _rapid_shutdown(job, source)


def _rapid_shutdown(job: JobUnderCheck, source: Source) -> Iterator[Sign]:
    """Only where the record says that the system has it, and where it is started: no sign may promise it."""
    service = job.record.service
    if source.rapid_shutdown.value and source.rapid_shutdown_switch.known:
        where = f"{source.code}: switch at {said(source.rapid_shutdown_switch)}"
        live = (Row(f"Stays live: {source.stays_live}", DETAIL, most_lines=ALL_LINES),) if source.stays_live else ()
        yield Sign(
            id="rapid_shutdown",
            at=source.code,
            details=(Row(where, DETAIL, bold=True, most_lines=ALL_LINES), *live),
            goes=f"At the service disconnect, {service.disconnect_place}. The section wants a simple picture of the"
            " roof on it too: draw it in, with what stays live.",
            outdoors=_service_outdoors(job),
            existing=source.work == "existing",
        )
        yield Sign(
            id="rapid_shutdown_switch",
            at=source.code,
            goes=f"At or within 3 ft of the switch that starts it: {said(source.rapid_shutdown_switch)}.",
            outdoors=source.outdoors.value,
            existing=source.work == "existing",
        )
    if source.dc_raceway.known:
        yield Sign(
            id="dc_raceway",
            at=source.code,
            goes=f"Every 10 ft, and at each bend, tee, box and wall on both sides: {said(source.dc_raceway)}.",
            outdoors=True,
            existing=source.work == "existing",
        )


def _buses(job: JobUnderCheck) -> Iterator[Sign]:
    """By the alternative of 705.12 that the bus leans on; where that cannot be told, as if it leans on it."""
    for source in interactive_sources(job):
        position = job.installation.position(source.code)
        if position is not None and leans_on_120_percent(job, position.panel) is not False:
            yield Sign(
                id="do_not_relocate",
                at=source.code,
                goes=f"In {position.panel.code}, beside the breaker in {position.spaces} for {source.code}.",
                outdoors=outdoors_of(job.installation, position.panel),
                existing=source.work == "existing",
            )
    for panel in job.record.panels:
        # A bus with feed-through lugs has conditions of its own, which are not held here.
        lugs = panel.feed_through_lugs.value
        if not lugs and sources_reaching_bus(job, panel) and leans_on_sum(job, panel):
            yield Sign(
                id="sum_of_breakers",
                at=panel.code,
                goes=f"On {panel.code}, where the door opens to the breakers.",
                outdoors=outdoors_of(job.installation, panel),
                existing=panel.work == "existing",
            )


def _isolate_also(installation: Installation) -> Iterator[Sign]:
    """Where the nearest switch leaves something live, or one supply comes when another goes: name every switch."""
    for panel in installation.record.panels:
        if panel is not installation.service_panel:
            yield from _also(installation, panel, f"On the front of {panel.code}, {panel.place}.")
    for transfer in installation.record.transfers:
        position, source = installation.position(transfer.code), installation.sources.get(transfer.source)
        if source is not None:
            utility = place_of(position) if position is not None else "the utility side, not recorded where"
            yield Sign(
                id="isolate_also",
                at=transfer.code,
                details=_order([f"{name(source)}: {_off_at(source)}", utility]),
                goes=f"On {transfer.code}, {transfer.place}.",
                outdoors=transfer.outdoors.value,
                existing=transfer.work == "existing",
            )
    for item in installation.record.equipment:
        yield from _also(installation, item, f"Beside the disconnect of {item.code}, {item.place}.")


def _also(installation: Installation, thing: Panel | Equipment, goes: str) -> Iterator[Sign]:
    position = installation.fed_from(thing) if isinstance(thing, Panel) else installation.position(thing.circuit)
    past = installation.sources_past(thing.code)
    behind = installation.transfer_to(thing) if isinstance(thing, Panel) else None
    if not past:
        return
    own = name(thing) if isinstance(thing, Panel) and thing.main_kind == "main breaker" else ""
    first = [f"{name(source)}: {_off_at(source)}" for source in past]
    last = f"the main of {own}" if own else place_of(position) if position is not None else "its breaker, not recorded"
    yield Sign(
        id="isolate_also",
        at=thing.code,
        details=_order([*first, last if behind is None or own else f"{last}, through {behind.code}"]),
        goes=goes,
        outdoors=outdoors_of(installation, thing) if isinstance(thing, Panel) else thing.outdoors.value,
        existing=thing.work == "existing",
    )


def _order(switches: list[str]) -> tuple[Row, ...]:
    """The switches to open, one below the other, the one that starts by itself first."""
    return (
        Row("Switch off, in this order, then test:", DETAIL, bold=True),
        *(Row(f"{number}. {switch}", DETAIL, most_lines=ALL_LINES) for number, switch in enumerate(switches, 1)),
    )


def _without_ground(job: JobUnderCheck) -> Iterator[Sign]:
    found = [finding for finding in job.record.findings if finding.kind == "no equipment ground"]
    if not found:
        return
    first = found[0]
    places = "; ".join(finding.place for finding in found)
    for kind, when in (
        ("no_equipment_ground", "once it is replaced by one with a ground slot behind GFCI protection"),
        ("gfci_protected", "once it is behind GFCI protection; never before"),
    ):
        yield Sign(
            id=kind,
            at=first.code or next(iter(first.of), job.record.service.at),
            goes=f"On the cover of each receptacle without a ground, {when}. Those in: {places}.",
            outdoors=False,
            existing=True,
        )
