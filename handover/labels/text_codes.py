"""A second code that holds the essentials themselves, for the day when there is no signal, or no site any more.

It opens nothing: a phone shows the text, some only in an app that reads codes.  The same text stands beside it in
letters, so nothing is lost where no phone shows it.
"""

from __future__ import annotations

from collections.abc import Iterator

from handover.editions import record_for
from handover.labels.art import CAPITAL, SMALL, SMALLEST_CAPITAL, Row
from handover.labels.make import MATERIAL, outdoors_of
from handover.labels.plate import CARD, plate, to_svg
from handover.labels.words import conductors, rating, said
from handover.pack import Edition, Label
from handover.qr import module_for, text_code
from handover.record.facts import Fact
from handover.record.installation import Installation, Position
from handover.record.record import Record
from handover.record.supply import Panel, Source, Transfer
from handover.record.wiring import Equipment, Feeder
from handover.units import Quantity

MOST_BYTES = 299
"""A longer text makes a code that asks for more room than a label has, and that phones read badly."""
_WIDTH = 110.0
_NAMES = (28, 20, 12)  # letters of a name: as many as fit
_WIRES = (110, 60, 40, 0)  # letters of the conductors; without them the text says where they stand
_EXPLAINED = (
    "This code opens no site. It holds the text that stands below. Some phones show it only in an app that reads codes."
)

Thing = Panel | Feeder | Source | Transfer | Equipment


def make_text_labels(full: Record) -> Iterator[Label]:
    """One for each thing that has a label with an address, where the record asks for them (``job: text_codes``).

    From the record as posted, because anybody can scan it; the permit's number is on every label and stands here too.
    """
    if not full.job.text_codes:
        return
    installation = Installation(record_for(Edition.POSTED, full))
    record = installation.record
    things: tuple[Thing, ...] = (
        *record.panels, *record.feeders, *record.sources, *record.transfers, *record.equipment,
    )  # fmt: skip
    for thing in things:
        yield _label(installation, full, thing)


def essentials(installation: Installation, full: Record, thing: Thing) -> str:
    """What the code of a thing holds: what, panel and space, rating, conductors, other sources, date, who, permit.

    At most MOST_BYTES as UTF-8: names are cut as much as that takes, then the conductors, and never a source.
    """
    for wires in _WIRES:
        for letters in _NAMES:
            text = "\n".join(line for line in _lines(installation, full, thing, letters, wires) if line)
            if len(text.encode()) <= MOST_BYTES:
                return text
    # Only names in letters of several bytes come so far: what is cut off then is the end, the least needed.
    return text.encode()[: MOST_BYTES - 3].decode(errors="ignore") + "..."


def _lines(installation: Installation, full: Record, thing: Thing, letters: int, wires: int) -> Iterator[str]:
    record = installation.record
    name = getattr(thing, "name_posted", None) or thing.name
    yield f"{thing.code} {_cut(name, letters)}"
    yield _supply(installation, thing)
    wiring = _wiring(installation, thing)
    if wiring:
        yield f"Wire: {_cut(wiring, wires)}" if wires else "Wire: see the label"
    yield _others(installation, thing)
    permit = f" Permit {said(full.permit.number)}" if full.permit is not None else ""
    revision = f" r{record.revisions[-1].number}" if record.revisions else ""
    yield f"{record.job.dates.finished} {record.job.number}{revision}.{permit}"
    yield f"{_cut(record.contractor.name, letters)} lic {record.contractor.licence.number}"
    yield "No proof that power is off. Test."


def _supply(installation: Installation, thing: Thing) -> str:
    if isinstance(thing, Source):
        return f"{thing.kind} {said(thing.output_current)}; cut at: {_cut(said(thing.disconnect), 90)}"
    code = thing.circuit if isinstance(thing, Equipment) else thing.code
    position = installation.fed_from(thing) if isinstance(thing, Panel) else installation.position(code)
    told = [_at(position)]
    behind = installation.panels.get(thing.to) if isinstance(thing, Feeder) else thing
    above = installation.upstream(behind) if isinstance(behind, Panel) else None
    if position is None and above is not None:
        told = [f"from the lugs of {above.code}"]
    if isinstance(thing, Panel):
        if thing is installation.service_panel:
            told = ["from the utility"]
        told.append(f"main {said(thing.main)}" if thing.main_kind == "main breaker" else "main lugs")
        told.append(_volts(thing.volts))
    if isinstance(thing, Equipment):
        circuit = installation.wirings.get(thing.circuit)
        told.append(_volts(circuit.volts if circuit is not None else thing.volts))
        if thing.set_current.known:
            told.append(f"set {said(thing.set_current)}")
    return ", ".join(told)


def _at(position: Position | None) -> str:
    if position is None:
        return "breaker not recorded"
    return f"{position.panel.code} sp {position.spaces}, {rating(position)}"


def _volts(fact: Fact[Quantity]) -> str:
    return said(fact) if fact.known else f"volts {said(fact)}"


def _wiring(installation: Installation, thing: Thing) -> str:
    if isinstance(thing, Panel):
        feeder = installation.feeder_to(thing)
        return conductors(feeder) if feeder is not None else ""
    if isinstance(thing, Feeder):
        return conductors(thing)
    circuit = installation.wirings.get(thing.circuit) if isinstance(thing, Equipment) else None
    return conductors(circuit) if circuit is not None else ""


def _others(installation: Installation, thing: Thing) -> str:
    """Every other source of the place, by code and kind: which of them reaches the thing stands on the label."""
    others = [f"{source.code} {source.kind}" for source in installation.record.sources if source is not thing]
    if isinstance(thing, Source):
        others = ["utility", *others]
    return f"Also on site: {', '.join(others)}" if others else ""


def _cut(text: str, letters: int) -> str:
    text = " ".join(text.split())
    return text if len(text) <= letters else f"{text[: letters - 2].rstrip()}.."


def _label(installation: Installation, full: Record, thing: Thing) -> Label:
    text = essentials(installation, full, thing)
    outdoors = _outdoors(installation, thing)
    code = text_code(text)
    art = plate(
        f"{thing.code}: plain text",
        (
            Row(f"{thing.code} without a signal", CARD, bold=True),
            Row(_EXPLAINED, SMALL, most_lines=12),
            *(Row(line, max(SMALL, SMALLEST_CAPITAL / CAPITAL), bold=True, most_lines=6) for line in text.split("\n")),
        ),
        plate_width=_WIDTH,
        code=code,
        module=module_for(code, outdoors=outdoors is not False),
    )
    return Label(
        name=f"text-{thing.code}",
        code=thing.code,
        title=art.title,
        svg=to_svg(art),
        width_mm=art.width,
        height_mm=art.height,
        quiet_box=art.quiet_box,
        address=None,
        text=text,
        goes=f"Beside or below the label of {thing.code}.",
        material=MATERIAL[outdoors],
        why="Common practice: asked for in the record (job, text_codes).",
    )


def _outdoors(installation: Installation, thing: Thing) -> bool | None:
    if isinstance(thing, Panel):
        return outdoors_of(installation, thing)
    if isinstance(thing, Feeder):
        position = installation.position(thing.code)
        return outdoors_of(installation, position.panel if position is not None else None)
    return thing.outdoors.value
