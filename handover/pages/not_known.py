"""What nobody knows of a thing: the record's unknowns and findings, its open facts, and what it leaves out.

A fact that the record leaves out makes no row of its own (``shown.said``).  Some are told all the same, because a
worker who reads nothing about them would take them for looked at: the wires, the way they run, and their breaker.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from handover.addresses import folder_of
from handover.pages.contents import Book, Here, Thing
from handover.pages.shown import lines, open_facts, sentence, spaces_text
from handover.pages.views import Link, Note, Row, Said
from handover.record.facts import Basis, Part
from handover.record.installation import Installation
from handover.record.supply import Panel, Source, Transfer
from handover.record.tracing import tracing
from handover.record.wiring import Circuit, Equipment, Feeder, Run
from handover.words import OWN, later, tell


@dataclass(frozen=True, kw_only=True, slots=True)
class NotKnown:
    """What is open about one thing.  ``nothing`` leads to the list of the whole house where none of it is."""

    unexplained: tuple[Note, ...]
    found: tuple[Note, ...]
    facts: tuple[Row, ...]
    nothing: Link | None
    in_own: Link | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class LeftOut:
    """Something that the record does not say.  ``codes``: on whose pages it is told; ``of`` as lists name the thing."""

    codes: tuple[str, ...]
    of: str
    label: str
    note: str = ""

    @property
    def said(self) -> Said:
        """As loudly as what is unknown or was not checked."""
        return Said(text="Not recorded", open=True, note=self.note)


_WIRES = "size, material, insulation, raceway and terminals"
_SERVICE = {
    "size": "size of the hot ones", "neutral": "size of the neutral", "material": "material",
    "insulation": "insulation", "length": "length",
}  # fmt: skip


def not_known(here: Here, thing: Thing, related: set[str]) -> NotKnown:
    """All that is open about a thing and what belongs to it (``related``).  Single facts are told in ``OWN`` alone."""
    record = here.book.record
    unexplained = tuple(
        Note(
            heading=item.what,
            lines=(
                tell("Where: {place}.", place=item.place),
                tell("Tried: {tried}", tried=item.tried),
                tell("Until known: {how}", how=item.treat_as),
            ),
        )
        for item in record.unknowns
        if related & set(item.of)
    )
    found = tuple(
        Note(heading=item.what, lines=lines(tell("Where: {place}.", place=item.place), item.risk, item.advice))
        for item in record.findings
        if related & set(item.of)
    )
    facts = tuple(_facts(here.book, thing))
    nothing = None if unexplained or found or facts else here.entry("findings.html", later("What stayed unknown"))
    if here.book.language == OWN:
        return NotKnown(unexplained=unexplained, found=found, facts=facts, nothing=nothing)
    there = f"{here.from_root(folder_of(thing.code))}#open"
    in_own = Link(text=later("Single facts that are open"), href=there, language=OWN) if facts else None
    return NotKnown(unexplained=unexplained, found=found, facts=(), nothing=nothing, in_own=in_own)


def _facts(book: Book, thing: Thing) -> Iterator[Row]:
    """The open facts of a thing, of what it feeds or runs in, and what the record leaves out of them."""
    installation = book.installation
    parts: list[Thing] = [thing]
    if isinstance(thing, Circuit):
        parts += installation.equipment_on(thing)
    if isinstance(thing, Circuit | Feeder):
        parts += installation.runs_of(thing)
    codes = {part.code for part in parts} | ({thing.circuit} if isinstance(thing, Equipment) else set())
    for part in parts:
        yield from _rows_of(part)
    if thing is installation.service_panel:
        yield from _rows_of(book.record.service, "Service")
    for left_out in left_outs(installation):
        if codes & set(left_out.codes):
            yield Row(label=f"{left_out.of}: {left_out.label}", said=left_out.said)
    if isinstance(thing, Panel) and (traced := tracing(thing).told(listing=True)):
        yield Row(label=f"{thing.code} {thing.name}: directory", said=Said(text=sentence(traced), open=True))


def _rows_of(part: Part, of: str = "") -> Iterator[Row]:
    for owner, label, shown in open_facts(part, of):
        yield Row(label=f"{owner}: {label}", said=shown)


def left_outs(installation: Installation) -> Iterator[LeftOut]:
    """What the whole record leaves out of its wires, in the order of the record."""
    record = installation.record
    yield from _of_the_service(installation)
    wirings: tuple[Feeder | Circuit, ...] = (*record.feeders, *record.circuits)
    for wiring in wirings:
        yield from _of_a_wiring(installation, wiring)
    for run in record.runs:
        yield from _of_a_run(run)
    for box in record.boxes:
        if not box.conductors:
            yield _of(box, "Conductors in it")
    for source in record.sources:
        yield from _of_a_source(installation, source)
    for transfer in record.transfers:
        yield from _of_a_transfer(installation, transfer)


def _of(thing: Thing, label: str, note: str = "", also: tuple[str, ...] = ()) -> LeftOut:
    return LeftOut(codes=(thing.code, *also), of=f"{thing.code} {thing.name}", label=label, note=note)


def _of_the_service(installation: Installation) -> Iterator[LeftOut]:
    wires, code = installation.record.service.conductors, installation.service_panel.code
    missing = _WIRES
    if wires is not None:
        missing = ", ".join(told for field, told in _SERVICE.items() if _is_left_out(wires, field))
    if missing:
        yield LeftOut(codes=(code,), of="Service conductors", label=missing.capitalize())
    # The record has no place for the way from the utility to the service disconnect, only for how it comes in.
    yield LeftOut(codes=(code,), of="Service conductors", label="How they run")


def _of_a_wiring(installation: Installation, wiring: Circuit | Feeder) -> Iterator[LeftOut]:
    at_the_lugs = isinstance(wiring, Feeder) and installation.position(wiring.code) is None
    if installation.position(wiring.code) is None and not at_the_lugs:
        yield _of(wiring, "Its breaker")
    if not wiring.conductors:
        yield _of(wiring, "Conductors: number, size, material and insulation")
    for field in ("size", "material", "insulation"):
        roles = [item.role for item in wiring.conductors if _is_left_out(item, field)]
        if roles:
            yield _of(wiring, f"{field.capitalize()} of conductors ({', '.join(dict.fromkeys(roles))})")
    if not installation.runs_of(wiring):
        yield _of(wiring, "How it runs")


def _of_a_run(run: Run) -> Iterator[LeftOut]:
    """A run of which no piece was seen is told to have no recorded way, whatever length was reckoned for it."""
    straights = [step.length for step in run.path if step.step == "straight"]
    if not run.path or not any(_was_seen(length.basis) for length in straights):
        notes = [length.note for length in straights if length.note]
        note = f"its length was only worked out: {'; '.join(notes)}" if notes else ""
        yield _of(run, "How it runs between its ends", note)


def _was_seen(basis: Basis) -> bool:
    return basis not in (
        Basis.INFERRED, Basis.TOLD_BY_OWNER, Basis.UNKNOWN, Basis.NOT_CHECKED, Basis.NOT_RECORDED,
    )  # fmt: skip


def _of_a_source(installation: Installation, source: Source) -> Iterator[LeftOut]:
    position = installation.position(source.code)
    if position is not None:
        where = f"{position.panel.code}, {spaces_text(position.slot)}"
        yield _of(source, f"Wires from {where}, to {source.code}: {_WIRES}")
        return
    if source.own_breaker.basis is Basis.NOT_RECORDED:
        yield _of(source, "Rating of its own breaker or fuse")
    if not any(transfer.source == source.code for transfer in installation.record.transfers):
        tapped = source.bus_end.value == "supply side of the main"
        wires = (
            f"Wires to {installation.service_panel.code}, ahead of its main" if tapped else "Where it joins; its wires"
        )
        yield _of(source, f"{wires}: {_WIRES}")


def _of_a_transfer(installation: Installation, transfer: Transfer) -> Iterator[LeftOut]:
    """Its three sets of wires; those to the source and the panel are told on their pages too."""
    position = installation.position(transfer.code)
    where = f"from {position.panel.code}, {spaces_text(position.slot)}," if position else "of the utility's side"
    yield _of(transfer, f"Wires {where} to {transfer.code}: {_WIRES}")
    for ends, other in (
        (f"from {transfer.source} to {transfer.code}", transfer.source),
        (f"from {transfer.code} to {transfer.feeds}", transfer.feeds),
    ):
        yield _of(transfer, f"Wires {ends}: {_WIRES}", also=(other,))


def _is_left_out(part: Part, field: str) -> bool:
    return getattr(part, field).basis is Basis.NOT_RECORDED
