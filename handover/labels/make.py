"""What each label says, taken from the full record: the electrician prints and posts them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.addresses import address_of
from handover.labels.art import BODY, Row, Words, lay_out, to_svg
from handover.labels.supplies import both_supplies, other_sources, second_source, started_by, through_transfer
from handover.labels.words import conductors, cut, name, place_of, rating, said
from handover.pack import Label
from handover.problems import JobProblems, Problem
from handover.qr import Code, TooLong, code_of, module_for
from handover.record.facts import Fact
from handover.record.installation import Installation, Position
from handover.record.people import Job
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Disconnect, Equipment, Feeder
from handover.units import Quantity

_WIDTH = {False: 100.0, True: 110.0}
"""Width of a label in millimetres, indoors and outdoors (True)."""
KEEP_CLEAR = "Not over a nameplate, a vent or another label; not on a cover that comes off."
MATERIAL = {
    False: "Printed polyester label with a clear top layer, or an engraved plate; black on white.",
    True: "Engraved plate, or polyester label with a top layer that holds off sunlight; black on white, matte.",
    None: "It is not recorded whether this place is outdoors, so as for outdoors: engraved plate, or polyester label"
    " with a top layer that holds off sunlight; black on white, matte.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class _Posted:
    """One label before it is drawn."""

    code: str
    name: str
    rows: tuple[Row, ...]
    conductors: str
    outdoors: bool | None
    goes: str
    existing: bool


def make_labels(installation: Installation) -> tuple[Label, ...]:
    """One label for each panel, feeder, other source, transfer equipment and piece of equipment of the full record.

    Raises JobProblems where the address is too long, or has a letter that the code cannot hold.
    """
    found = [
        *(_panel(installation, panel) for panel in installation.record.panels),
        *(_feeder(installation, feeder) for feeder in installation.record.feeders),
        *(_source(installation, source) for source in installation.record.sources),
        *(_transfer(installation, transfer) for transfer in installation.record.transfers),
        *(_equipment(installation, item) for item in installation.record.equipment),
    ]
    return tuple(_label(installation, posted) for posted in found)


def code_for(job: Job, address: str) -> Code:
    """The code of an address.  Raises JobProblems where it is too long, or has a letter that the code cannot hold."""
    try:
        return code_of(address)
    except TooLong as error:
        problem = Problem(job.place_of("publish_at"), "job, publish_at", str(error), error.remedy)
    except ValueError:
        what, remedy = "the address has a letter that the code cannot hold", "Use letters, digits, dots and dashes."
        problem = Problem(job.place_of("publish_at"), "job, publish_at", what, remedy)
    raise JobProblems([problem])


def _label(installation: Installation, posted: _Posted) -> Label:
    address = address_of(installation.record.job, posted.code)
    outdoors = posted.outdoors is not False
    code = code_for(installation.record.job, address)
    words = Words(
        code=posted.code,
        name=posted.name,
        rows=(
            *posted.rows,
            *_conductor_rows(posted.conductors),
            *_particulars(installation, address, existing=posted.existing),
        ),
    )
    art = lay_out(words, code, label_width=_WIDTH[outdoors], module=module_for(code, outdoors=outdoors))
    return Label(
        name=posted.code,
        code=posted.code,
        title=f"{posted.code}: {posted.name}",
        svg=to_svg(art),
        width_mm=art.width,
        height_mm=art.height,
        quiet_box=art.quiet_box,
        address=address,
        goes=f"{posted.goes} {KEEP_CLEAR}",
        material=MATERIAL[posted.outdoors],
    )


def _conductor_rows(conductors: str) -> Iterator[Row]:
    if conductors:
        yield Row(f"Conductors: {conductors}")


def _particulars(installation: Installation, address: str, *, existing: bool) -> Iterator[Row]:
    """What lets somebody find the record again in twenty years, with or without the web."""
    record = installation.record
    licence, permit = record.contractor.licence, record.permit
    revision = f", revision {record.revisions[-1].number}" if record.revisions else ""
    allowed = f" Permit {said(permit.number)}, {cut(permit.authority)}." if permit is not None else ""
    yield Row(address.removeprefix("HTTPS://"), bold=True, most_lines=6)
    yield Row("This label is no proof that power is off. Test before you touch.", bold=True)
    done = "Was there before this job; seen" if existing else "Finished"
    yield Row(
        f"{done} {record.job.dates.finished}, record {record.job.number}{revision}. {cut(record.contractor.name)},"
        f" {record.contractor.phone}, license {licence.number}, {cut(licence.issued_by)}.{allowed}",
        most_lines=6,
    )


def _panel(installation: Installation, panel: Panel) -> _Posted:
    feeder, fed_from = installation.feeder_to(panel), installation.fed_from(panel)
    above, transfer = installation.upstream(panel), installation.transfer_to(panel)
    dead, opened = _switched(installation, panel)
    if panel is installation.service_panel:
        fed = "Fed by the utility. Its main is the service disconnect."
    elif fed_from is not None:
        through = f", through {transfer.code}" if transfer is not None else ""
        fed = f"Fed from {place_of(fed_from)}, {rating(fed_from)}{through}"
    elif feeder is not None and above is not None:
        fed = f"Fed from {name(above)}, through its lugs"
    else:
        fed = "Fed from: not recorded"
    main = f"{said(panel.main)} main breaker" if panel.main_kind == "main breaker" else "Main lugs"
    outdoors = panel.outdoors
    if panel is installation.service_panel and not outdoors.known:
        outdoors = installation.record.service.disconnect_outdoors
    return _Posted(
        code=panel.code,
        name=panel.name,
        rows=(
            Row(fed, BODY, bold=True),
            Row(f"{main}, {said(panel.volts)}", BODY, bold=True),
            *_stays_live_ahead(installation, panel),
            other_sources(installation, panel.code, opened),
            *through_transfer(installation, panel),
            *started_by(installation, dead, opened),
        ),
        conductors=conductors(feeder) if feeder is not None else "",
        outdoors=outdoors.value,
        goes=f"On the wall or the fixed part of the enclosure, beside the door of {panel.code}, {panel.place}.",
        existing=panel.work == "existing",
    )


def _stays_live_ahead(installation: Installation, panel: Panel) -> Iterator[Row]:
    """A main breaker never cuts its own supply side: where that goes dead."""
    if panel.main_kind != "main breaker":
        return
    position, above = installation.fed_from(panel), installation.upstream(panel)
    if panel is installation.service_panel:
        dead = "only the utility cuts it"
    elif position is not None:
        dead = f"off at {place_of(position)}"
    elif above is not None:
        dead = (
            f"off at the main of {name(above)}" if above.main_kind == "main breaker" else f"off ahead of {name(above)}"
        )
    else:
        dead = "where it is cut off is not recorded"
    yield Row(f"With this main off, its supply side stays LIVE: {dead}.", bold=True, most_lines=6)


def _switched(installation: Installation, panel: Panel) -> tuple[Panel, str]:
    """The highest panel that goes dead with ``panel``, and the device that does it, "" where that is not recorded."""
    if panel.main_kind == "main breaker":
        return panel, "this main"
    if installation.fed_from(panel) is not None:
        return panel, "that breaker"
    above = installation.upstream(panel)
    return (above, "that main") if above is not None and above.main_kind == "main breaker" else (panel, "")


def _feeder(installation: Installation, feeder: Feeder) -> _Posted:
    position = installation.position(feeder.code)
    to = installation.panels.get(feeder.to)
    above = position.panel if position is not None else installation.upstream(to) if to is not None else None
    level = f"level with {position.spaces_spoken}" if position is not None else "where the feeder leaves it"
    if position is not None:
        dead, opened = to, "that breaker"
    else:
        dead, opened = above, "that main" if above is not None and above.main_kind == "main breaker" else ""
    return _Posted(
        code=feeder.code,
        name=feeder.name_posted or feeder.name,
        rows=(
            Row(f"Feeds {name(to) if to is not None else feeder.to}", BODY, bold=True),
            *(
                _breaker_rows(position, feeder.volts)
                if position is not None or above is None
                else _main_rows(above, feeder.volts)
            ),
            other_sources(installation, feeder.code, opened),
            *(started_by(installation, dead, opened) if dead is not None else ()),
        ),
        conductors=conductors(feeder),
        outdoors=outdoors_of(installation, above),
        goes=f"On the wall or fixed trim beside {above.code if above else 'the panel it leaves from'}, {level}.",
        existing=feeder.work == "existing",
    )


def _equipment(installation: Installation, item: Equipment) -> _Posted:
    circuit = installation.wirings.get(item.circuit)
    position = installation.position(item.circuit)
    volts = circuit.volts if circuit is not None else item.volts
    setting = (Row(f"Set to {said(item.set_current)}: do not raise", BODY, bold=True),)
    return _Posted(
        code=item.code,
        name=item.name,
        rows=(
            *_breaker_rows(position, volts),
            *(setting if item.set_current.known else ()),
            *_disconnect_rows(item.disconnect),
            Row("Tripped? Push it fully OFF, then ON. Once. Trips again: leave it OFF, call.", most_lines=4),
            other_sources(installation, item.code, "that breaker" if position is not None else ""),
        ),
        conductors=conductors(circuit) if circuit is not None else "not recorded",
        outdoors=item.outdoors.value,
        goes=f"Beside {cut(item.name)}, {item.place}.",
        existing=item.work == "existing",
    )


def _disconnect_rows(disconnect: Disconnect | None) -> Iterator[Row]:
    """The equipment's own disconnect, where it is not the breaker that the label names already."""
    if disconnect is None:
        yield Row("Disconnect beside it: not recorded")
        return
    kind, locked = disconnect.kind.value, disconnect.lockable
    can = "can be locked off" if locked.value else "cannot be locked off"
    lock = f"locking it off: {locked}" if locked.value is None else can
    if kind == "breaker":
        yield Row(f"That breaker is its disconnect; {lock}")
    elif kind == "cord and plug":
        yield Row(f"Disconnect: cord and plug, {disconnect.place}", bold=True)
    else:
        yield Row(f"Disconnect: {said(disconnect.kind)}, {disconnect.place}; {lock}", bold=True)


def _source(installation: Installation, source: Source) -> _Posted:
    return _Posted(
        code=source.code,
        name=source.name,
        rows=tuple(second_source(installation, source)),
        conductors="",
        outdoors=source.outdoors.value,
        # A generator's switches are under a hot lid that opens.
        goes=f"Beside its disconnect: {said(source.disconnect)}."
        if source.disconnect.known and source.kind != "generator"
        else f"Beside it, {source.place}.",
        existing=source.work == "existing",
    )


def _transfer(installation: Installation, transfer: Transfer) -> _Posted:
    source = installation.sources.get(transfer.source)
    panel = installation.panels.get(transfer.feeds)
    position = installation.position(transfer.code)
    return _Posted(
        code=transfer.code,
        name=transfer.name,
        rows=(
            Row(f"Feeds {name(panel) if panel is not None else transfer.feeds}", BODY, bold=True),
            Row(f"Utility side: {place_of(position)}" if position is not None else "Utility side: not recorded"),
            Row(f"Other side: {name(source) if source is not None else transfer.source}"),
            Row("Live from either side.", BODY, bold=True),
            *(both_supplies(installation, transfer, source) if source is not None else ()),
        ),
        conductors="",
        outdoors=transfer.outdoors.value,
        goes=f"On or beside {transfer.code}, {transfer.place}.",
        existing=transfer.work == "existing",
    )


def _breaker_rows(position: Position | None, volts: Fact[Quantity]) -> Iterator[Row]:
    if position is None:
        yield Row("Off at: not recorded", BODY, bold=True)
        yield Row(said(volts), BODY, bold=True)
        return
    yield Row(f"Off at {place_of(position)}", BODY, bold=True)
    yield Row(f"{rating(position)}, {said(volts)}", BODY, bold=True)


def _main_rows(panel: Panel, volts: Fact[Quantity]) -> Iterator[Row]:
    """For a feeder that leaves from the lugs of ``panel``: only the panel's main switches it off."""
    if panel.main_kind != "main breaker":
        yield from _breaker_rows(None, volts)
        return
    yield Row(f"Off at the main of {name(panel)}", BODY, bold=True)
    yield Row(f"{said(panel.main)}, {said(volts)}", BODY, bold=True)


def outdoors_of(installation: Installation, panel: Panel | None) -> bool | None:
    """Whether a panel stands outdoors; None where nobody recorded it."""
    if panel is None:
        return None
    if panel is installation.service_panel and not panel.outdoors.known:
        return installation.record.service.disconnect_outdoors.value
    return panel.outdoors.value
