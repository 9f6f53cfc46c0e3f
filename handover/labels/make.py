"""What each label says, taken from the full record: the electrician prints and posts them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from handover.addresses import address_of
from handover.labels.art import BODY, Row, Words, lay_out, to_svg
from handover.pack import Label
from handover.problems import JobProblems, Problem
from handover.qr import TooLong, code_of
from handover.record.facts import Fact
from handover.record.installation import Installation, Position
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Equipment, Feeder, Wiring
from handover.units import Quantity, show

# Common practice: a phone held at 20 to 30 cm reads modules of 0.8 mm, and outdoors dirt and glare ask for 1 mm.
INDOORS, OUTDOORS = (100.0, 0.8), (110.0, 1.0)
"""Width of the label and of one module of its code, in millimetres."""
_LONGEST_NAME = 40
_KEEP_CLEAR = "Not over a nameplate, a vent or another label; not on a cover that comes off."
_MATERIAL = {
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
    job = installation.record.job
    try:
        return tuple(_label(installation, posted) for posted in found)
    except TooLong as error:
        problem = Problem(job.place_of("publish_at"), "job, publish_at", str(error), error.remedy)
    except ValueError:
        what, remedy = "the address has a letter that the code cannot hold", "Use letters, digits, dots and dashes."
        problem = Problem(job.place_of("publish_at"), "job, publish_at", what, remedy)
    raise JobProblems([problem])


def _label(installation: Installation, posted: _Posted) -> Label:
    address = address_of(installation.record.job, posted.code)
    label_width, module = INDOORS if posted.outdoors is False else OUTDOORS
    words = Words(
        code=posted.code,
        name=posted.name,
        rows=(*posted.rows, *_conductor_rows(posted.conductors), *_particulars(installation, address)),
    )
    art = lay_out(words, code_of(address), label_width=label_width, module=module)
    return Label(
        name=posted.code,
        code=posted.code,
        title=f"{posted.code}: {posted.name}",
        svg=to_svg(art),
        width_mm=art.width,
        height_mm=art.height,
        address=address,
        goes=f"{posted.goes} {_KEEP_CLEAR}",
        material=_MATERIAL[posted.outdoors],
    )


def _conductor_rows(conductors: str) -> Iterator[Row]:
    if conductors:
        yield Row(f"Conductors: {conductors}")


def _particulars(installation: Installation, address: str) -> Iterator[Row]:
    """What lets somebody find the record again in twenty years, with or without the web."""
    record = installation.record
    licence, permit = record.contractor.licence, record.permit
    revision = f", revision {record.revisions[-1].number}" if record.revisions else ""
    allowed = f" Permit {_said(permit.number)}, {_cut(permit.authority)}." if permit is not None else ""
    yield Row(address.removeprefix("HTTPS://"), bold=True, most_lines=6)
    yield Row("This label is no proof that power is off. Test before you touch.", bold=True)
    yield Row(
        f"Finished {record.job.dates.finished}, record {record.job.number}{revision}. {_cut(record.contractor.name)},"
        f" license {licence.number}, {_cut(licence.issued_by)}.{allowed}",
        most_lines=6,
    )


def _panel(installation: Installation, panel: Panel) -> _Posted:
    feeder, fed_from = installation.feeder_to(panel), installation.fed_from(panel)
    above = installation.upstream(panel)
    if panel is installation.service_panel:
        fed = "Fed by the utility. Its main is the service disconnect."
    elif fed_from is not None:
        fed = f"Fed from {_place_of(fed_from)}, {_rating(fed_from)}"
    elif feeder is not None and above is not None:
        fed = f"Fed from {_name(above)}, through its lugs"
    else:
        fed = "Fed from: not recorded"
    main = f"{_said(panel.main)} main breaker" if panel.main_kind == "main breaker" else "Main lugs"
    outdoors = panel.outdoors
    if panel is installation.service_panel and not outdoors.known:
        outdoors = installation.record.service.disconnect_outdoors
    return _Posted(
        code=panel.code,
        name=panel.name,
        rows=(
            Row(fed, BODY, bold=True),
            Row(f"{main}, {_said(panel.volts)}", BODY, bold=True),
            _other_sources(installation.sources_reaching(panel)),
        ),
        conductors=_conductors(feeder) if feeder is not None else "",
        outdoors=outdoors.value,
        goes=f"On or beside the door of {panel.code}, {panel.place}.",
    )


def _feeder(installation: Installation, feeder: Feeder) -> _Posted:
    position = installation.position(feeder.code)
    to = installation.panels.get(feeder.to)
    above = position.panel if position is not None else installation.upstream(to) if to is not None else None
    beside = f"beside spaces {position.spaces}" if position is not None else "where the feeder leaves it"
    return _Posted(
        code=feeder.code,
        name=feeder.name_posted or feeder.name,
        rows=(
            Row(f"Feeds {_name(to) if to is not None else feeder.to}", BODY, bold=True),
            *(
                _breaker_rows(position, feeder.volts)
                if position is not None or above is None
                else _main_rows(above, feeder.volts)
            ),
            _other_sources(installation.sources_reaching(to) if to is not None else []),
        ),
        conductors=_conductors(feeder),
        outdoors=_outdoors(installation, above),
        goes=f"On {above.code if above is not None else 'the panel it leaves from'}, {beside}.",
    )


def _equipment(installation: Installation, item: Equipment) -> _Posted:
    circuit = installation.wirings.get(item.circuit)
    position = installation.position(item.circuit)
    volts = circuit.volts if circuit is not None else item.volts
    setting = (Row(f"Set to {_said(item.set_current)}: do not raise", BODY, bold=True),)
    return _Posted(
        code=item.code,
        name=item.name,
        rows=(
            *_breaker_rows(position, volts),
            *(setting if item.set_current.known else ()),
            _other_sources(installation.sources_reaching(position.panel) if position is not None else []),
        ),
        conductors=_conductors(circuit) if circuit is not None else "not recorded",
        outdoors=item.outdoors.value,
        goes=f"Beside {_cut(item.name)}, {item.place}.",
    )


def _source(installation: Installation, source: Source) -> _Posted:
    position = installation.position(source.code)
    others = [
        other
        for other in (installation.sources_reaching(position.panel) if position is not None else [])
        if other is not source
    ]
    starts = source.starts_by_itself
    by_itself = () if starts.value is False else (Row(_starts(starts), BODY, bold=True),)
    behind = next((tie for tie in installation.record.transfers if tie.source == source.code), None)
    if behind is not None:
        joins = Row(f"Joins at {_name(behind)}", BODY, bold=True)
        also = Row("The utility feeds the same wiring.")
    else:
        joins = Row(f"Joins at {_place_of(position)}" if position else "Where it joins: not recorded", BODY, bold=True)
        also = Row("Also fed by the utility" + "".join(f"; {_name(other)}" for other in others))
    return _Posted(
        code=source.code,
        name=source.name,
        rows=(
            Row(f"Second source: {source.kind}", BODY, bold=True),
            joins,
            Row(f"Output {_said(source.output_current)}   {_said(source.volts)}"),
            *(by_itself if source.kind == "generator" else ()),
            also,
        ),
        conductors="",
        outdoors=source.outdoors.value,
        goes=f"Beside its disconnect: {_said(source.disconnect)}." if source.disconnect.known
        else f"Beside it, {source.place}.",
    )  # fmt: skip


def _starts(starts: Fact[bool]) -> str:
    return "STARTS BY ITSELF" if starts.value else f"Starts by itself: {starts}. Treat it as if it does."


def _transfer(installation: Installation, transfer: Transfer) -> _Posted:
    source = installation.sources.get(transfer.source)
    panel = installation.panels.get(transfer.feeds)
    position = installation.position(transfer.code)
    return _Posted(
        code=transfer.code,
        name=transfer.name,
        rows=(
            Row(f"Feeds {_name(panel) if panel is not None else transfer.feeds}", BODY, bold=True),
            Row(f"Utility side: {_place_of(position)}" if position is not None else "Utility side: not recorded"),
            Row(f"Other side: {_name(source) if source is not None else transfer.source}"),
            Row("Live from either side.", BODY, bold=True),
        ),
        conductors="",
        outdoors=transfer.outdoors.value,
        goes=f"On or beside {transfer.code}, {transfer.place}.",
    )


def _breaker_rows(position: Position | None, volts: Fact[Quantity]) -> Iterator[Row]:
    if position is None:
        yield Row("Off at: not recorded", BODY, bold=True)
        yield Row(_said(volts), BODY, bold=True)
        return
    yield Row(f"Off at {_place_of(position)}", BODY, bold=True)
    yield Row(f"{_rating(position)}, {_said(volts)}", BODY, bold=True)


def _main_rows(panel: Panel, volts: Fact[Quantity]) -> Iterator[Row]:
    """For a feeder that leaves from the lugs of ``panel``: only the panel's main switches it off."""
    if panel.main_kind != "main breaker":
        yield from _breaker_rows(None, volts)
        return
    yield Row(f"Off at the main of {_name(panel)}", BODY, bold=True)
    yield Row(f"{_said(panel.main)}, {_said(volts)}", BODY, bold=True)


def _rating(position: Position) -> str:
    breaker = position.slot.breaker
    return _said(breaker.rating) if breaker is not None else "rating not recorded"


def _other_sources(sources: Iterable[Source]) -> Row:
    named = "; ".join(_name(source) for source in sources)
    return Row(f"Also fed by: {named}" if named else "No other source known", bold=True, most_lines=8)


def _outdoors(installation: Installation, panel: Panel | None) -> bool | None:
    if panel is None:
        return None
    if panel is installation.service_panel and not panel.outdoors.known:
        return installation.record.service.disconnect_outdoors.value
    return panel.outdoors.value


def _conductors(wiring: Wiring) -> str:
    """``2 hot + 1 neutral 6 AWG copper XHHW-2, 1 ground 10 AWG copper``: alike ones are named once."""
    alike: dict[str, list[str]] = {}
    for wire in wiring.conductors:
        kind = " ".join((_said(wire.size), _said(wire.material), *_if_known(wire.insulation)))
        alike.setdefault(kind, []).append(f"{wire.count} {wire.role.removeprefix('equipment ')}")
    said = ", ".join(f"{' + '.join(roles)} {kind}" for kind, roles in alike.items())
    sets = f"{wiring.sets} sets, each " if wiring.sets > 1 else ""
    return sets + said if said else "not recorded"


def _if_known(fact: Fact[Any]) -> Iterator[str]:
    if fact.known:
        yield str(fact.value)


def _place_of(position: Position) -> str:
    plural = "spaces" if len(position.slot.spaces) > 1 else "space"
    return f"{_name(position.panel)}, {plural} {position.spaces}"


def _name(thing: Panel | Source | Transfer) -> str:
    return f"{thing.code} {_cut(thing.name)}"


def _cut(text: str) -> str:
    return text if len(text) <= _LONGEST_NAME else f"{text[:_LONGEST_NAME].rstrip()}…"


def _said(fact: Fact[Any]) -> str:
    """A fact as the label says it: its value, or how it is that there is none."""
    value = fact.value
    if value is None:
        return str(fact)
    return show(value) if hasattr(value, "magnitude") else str(value)
