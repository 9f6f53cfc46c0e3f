"""At which terminals a worker tests that a thing is dead, from recorded facts alone.

Where the wires of a thing begin and end, and what stands between: a box that holds no splice offers no point to test.
How to test is the safety note's (``not_dead``); none of this says that anything is dead.
"""

from __future__ import annotations

from collections.abc import Iterator

from handover.pages.contents import Book, Thing
from handover.pages.shown import spaces_text
from handover.pages.upstream import carried
from handover.record.installation import Position
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run

_OPENS_BESIDE_IT = ("pull-out", "switch", "fused switch")


def points_to_test(book: Book, thing: Thing) -> tuple[str, ...]:
    """The places, one a line, in the order from the supply to the end."""
    if isinstance(thing, Panel):
        return tuple(_of_a_panel(book, thing))
    if isinstance(thing, Source):
        return tuple(_of_a_source(book, thing))
    if isinstance(thing, Transfer):
        return tuple(_of_a_transfer(book, thing))
    if isinstance(thing, Run | Box):
        return tuple(_of_a_way(book, thing))
    if isinstance(thing, Equipment):
        circuit = book.installation.wirings.get(thing.circuit)
        return tuple(_of_a_circuit(book, circuit)) if isinstance(circuit, Circuit) else tuple(_at_equipment(thing))
    return tuple(_of_a_wiring(book, thing))


def _of_a_wiring(book: Book, wiring: Circuit | Feeder) -> Iterator[str]:
    if isinstance(wiring, Circuit):
        yield from _of_a_circuit(book, wiring)
    else:
        yield from _of_a_feeder(book, wiring)


def _at(position: Position) -> str:
    return f"{position.panel.code}, {spaces_text(position.slot)}"


def _at_breaker(position: Position) -> str:
    return f"{_at(position)}: the terminals of the breaker."


def _end_at_panel(panel: Panel) -> str:
    if panel.main_kind == "main breaker":
        return f"{panel.code}: the line side of its main breaker."
    return f"{panel.code}: its main lugs."


def _of_a_feeder(book: Book, feeder: Feeder) -> Iterator[str]:
    installation = book.installation
    position, fed = installation.position(feeder.code), installation.panels.get(feeder.to)
    above = installation.upstream(fed) if fed is not None else None
    if position is not None:
        yield _at_breaker(position)
    elif above is not None:
        lugs = "its feed-through lugs" if above.feed_through_lugs.value else "where it leaves, behind the main"
        yield f"{above.code}: {lugs}."
    if fed is not None:
        yield _end_at_panel(fed)


def _of_a_circuit(book: Book, circuit: Circuit) -> Iterator[str]:
    position = book.installation.position(circuit.code)
    if position is not None:
        yield _at_breaker(position)
    every = book.installation.equipment_on(circuit)
    for item in every:
        yield from _at_equipment(item)
    if not every:
        for outlet in circuit.outlets:
            yield f"{outlet.what}, {outlet.place}: the terminals."
    if circuit.multiwire_with:
        yield f"The wires of {circuit.multiwire_with} too: both share a neutral."


def _at_equipment(item: Equipment) -> Iterator[str]:
    disconnect = item.disconnect
    if disconnect is not None and disconnect.kind.value in _OPENS_BESIDE_IT:
        yield f"The {disconnect.kind} of {item.code}, {disconnect.place}: line side and load side."
    elif disconnect is not None and not disconnect.kind.known:
        yield f"The disconnect of {item.code}, {disconnect.place}: line side and load side."
    yield f"{item.code}, {item.place}: the terminals."


def _of_a_transfer(book: Book, transfer: Transfer) -> Iterator[str]:
    position = book.installation.position(transfer.code)
    fed = f" from {_at(position)}" if position is not None else ""
    sides = f"the utility's side{fed}; the side of {transfer.source}; the load side to {transfer.feeds}"
    yield f"{transfer.code}, all three sets of terminals: {sides}."


def _of_a_panel(book: Book, panel: Panel) -> Iterator[str]:
    installation = book.installation
    if panel.main_kind == "main breaker":
        fed = installation.fed_from(panel)
        source = f", fed from {_at(fed)}" if fed is not None else ""
        if panel is installation.service_panel:
            source = ", live from the utility"
        yield f"{panel.code}: the line side of its main breaker{source}."
        yield f"{panel.code}: the load side of its main breaker."
    else:
        yield f"{panel.code}: its main lugs. No main breaker is here."
    if panel.feed_through_lugs.value:
        yield f"{panel.code}: its feed-through lugs."
    for slot in panel.slots:
        if slot.feeds in installation.sources:
            yield f"{_at(Position(panel, slot))}: the terminals of the breaker for {slot.feeds}."


def _of_a_source(book: Book, source: Source) -> Iterator[str]:
    if source.disconnect.known:
        yield f"Its disconnect ({source.disconnect}): both sides."
    position = book.installation.position(source.code)
    if position is not None:
        yield _at_breaker(position)
    for transfer in book.record.transfers:
        if transfer.source == source.code:
            yield f"{transfer.code}: the terminals on the side of {source.code}."
    if source.bus_end.value == "supply side of the main":
        yield f"{book.installation.service_panel.code}: the line side of its main, where it joins."


def _of_a_way(book: Book, thing: Run | Box) -> Iterator[str]:
    """Where the wires in a run or a box end, and whether they can be reached between."""
    every = carried(book, thing)
    for wiring in every:
        yield f"{wiring.code}: {' '.join(_of_a_wiring(book, wiring))}"
    if not every:
        yield "Where the wires in it end is not on record."
    if isinstance(thing, Box):
        yield _in_a_box(thing)
        return
    boxes = {box.code: box for box in book.record.boxes}
    for code in dict.fromkeys(step.box for step in thing.path if step.box in boxes):
        yield _in_a_box(boxes[code])


def _in_a_box(box: Box) -> str:
    devices = "the terminals of the devices in it" if box.devices.value else ""
    if box.spliced.value:
        return f"{box.code}: the splices in it{f', and {devices}' if devices else ''}."
    if box.spliced.value is None:
        splices = f"whether it holds splices is {box.spliced}"
        return f"{box.code}: {f'{devices}; ' if devices else ''}{splices}."
    return f"{box.code}: {f'{devices}; no splice' if devices else 'no splice in it, so no point to test'}."
