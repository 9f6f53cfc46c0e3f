"""The record seen as an installation: who feeds whom, through which breaker.  Looked up, never altered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from handover.record.record import Record
from handover.record.supply import Panel, Slot, Source, Transfer
from handover.record.wiring import Circuit, Conductor, Equipment, Feeder, Outlet, Run, Wiring


@dataclass(frozen=True, slots=True)
class Position:
    """A slot in its panel."""

    panel: Panel
    slot: Slot

    @property
    def spaces(self) -> str:
        """``14/16``: the spaces as the trade writes them."""
        return "/".join(str(space) for space in self.slot.spaces)

    @property
    def subject(self) -> str:
        """How results name a slot: ``P1/14/16``, panel code and spaces, never free text."""
        return f"{self.panel.code}/{self.spaces}"


class Installation:
    """Look-ups over one record.  Codes are those of the record; a missing thing is None, never an error."""

    def __init__(self, record: Record) -> None:
        self.record = record

    @cached_property
    def panels(self) -> dict[str, Panel]:
        """Panels by code."""
        return {panel.code: panel for panel in self.record.panels}

    @cached_property
    def wirings(self) -> dict[str, Wiring]:
        """Feeders and branch circuits by code."""
        return {wiring.code: wiring for wiring in (*self.record.feeders, *self.record.circuits)}

    @cached_property
    def runs(self) -> dict[str, Run]:
        """Runs by code."""
        return {run.code: run for run in self.record.runs}

    @cached_property
    def sources(self) -> dict[str, Source]:
        """Sources by code."""
        return {source.code: source for source in self.record.sources}

    @cached_property
    def transfers(self) -> dict[str, Transfer]:
        """Transfer equipment by code."""
        return {transfer.code: transfer for transfer in self.record.transfers}

    @cached_property
    def positions(self) -> dict[str, Position]:
        """The panel slot that feeds each code."""
        return {slot.feeds: Position(panel, slot) for panel in self.record.panels for slot in panel.slots if slot.feeds}

    def position(self, code: str) -> Position | None:
        """The slot that feeds a circuit, feeder, source or transfer."""
        return self.positions.get(code)

    @cached_property
    def service_panel(self) -> Panel:
        """The panel whose main is the service disconnect."""
        return self.panels[self.record.service.at]

    def feeder_to(self, panel: Panel) -> Feeder | None:
        """The feeder that supplies a panel, where the record has one."""
        return next((feeder for feeder in self.record.feeders if feeder.to == panel.code), None)

    def transfer_to(self, panel: Panel) -> Transfer | None:
        """The transfer equipment that supplies a panel, where the record has one."""
        return next((transfer for transfer in self.record.transfers if transfer.feeds == panel.code), None)

    def fed_from(self, panel: Panel) -> Position | None:
        """The slot that a panel hangs on, through its feeder or transfer equipment; None for the service panel."""
        feeder, transfer = self.feeder_to(panel), self.transfer_to(panel)
        if feeder is not None:
            return self.position(feeder.code)
        return self.position(transfer.code) if transfer is not None else None

    def path_to_service(self, panel: Panel) -> list[Panel]:
        """The panel and all panels above it, ending with the service panel where the chain is complete."""
        chain = [panel]
        while (above := self.upstream(chain[-1])) is not None and above not in chain:
            chain.append(above)
        return chain

    def upstream(self, panel: Panel) -> Panel | None:
        """The panel directly above."""
        feeder = self.feeder_to(panel)
        position = self.fed_from(panel)
        if position is not None:
            return position.panel
        # A feeder with no breaker of its own leaves from feed-through lugs of the service panel.
        return self.service_panel if feeder is not None and panel is not self.service_panel else None

    def sources_reaching(self, panel: Panel) -> list[Source]:
        """Every source besides the utility that can make the panel's bus live, in the record's order.

        A source on a breaker of any panel of the same chain reaches all panels of it that no transfer switch parts off;
        a source behind transfer equipment reaches the panel that equipment feeds and what hangs below it.
        """
        above = self.path_to_service(panel)
        reaching: set[str] = set()
        for member in above:
            transfer = self.transfer_to(member)
            if transfer is not None:
                reaching.add(transfer.source)
        tied = {transfer.source for transfer in self.record.transfers}
        reaching |= {
            source.code for source in self.record.sources if source.code not in tied and self.position(source.code)
        }
        reaching |= {
            source.code
            for source in self.record.sources
            if source.bus_end.value == "supply side of the main" and source.code not in tied
        }
        return [source for source in self.record.sources if source.code in reaching]

    def backed_up(self, panel: Panel) -> bool:
        """Whether transfer equipment stands between the panel and the service."""
        return any(self.transfer_to(member) is not None for member in self.path_to_service(panel))

    def equipment_on(self, circuit: Circuit) -> list[Equipment]:
        """The equipment that a circuit feeds."""
        return [item for item in self.record.equipment if item.circuit == circuit.code]

    def runs_of(self, wiring: Wiring) -> list[Run]:
        """The runs that carry a circuit or feeder, in order."""
        return [self.runs[code] for code in wiring.runs if code in self.runs]

    def carried_by(self, run: Run) -> list[Wiring]:
        """The circuits and feeders in a run, feeders first, in the record's order."""
        return [wiring for wiring in self.wirings.values() if run.code in wiring.runs]

    def conductors_in(self, run: Run) -> list[Conductor]:
        """All conductors in a run.  Empty where nothing was recorded: not the same as an empty raceway."""
        return [conductor for wiring in self.carried_by(run) for conductor in wiring.conductors]

    def outlets(self) -> Iterator[tuple[Circuit, Outlet]]:
        """Every recorded outlet with its circuit."""
        for circuit in self.record.circuits:
            for outlet in circuit.outlets:
                yield circuit, outlet

    def breakers_with(self, protection: Literal["gfci", "afci"]) -> list[Position]:
        """The slots whose breaker is known to have this protection, panel by panel."""
        return [
            Position(panel, slot)
            for panel in self.record.panels
            for slot in panel.slots
            if slot.breaker is not None and getattr(slot.breaker, protection).value
        ]

    def slot_name(self, slot: Slot) -> str:
        """What a slot feeds, in words for people, as far as the edition at hand shows it."""
        if slot.blank:
            return "Blank plate"
        if slot.feeds:
            return self.name_of(slot.feeds)
        return slot.says or slot.says_posted or "No entry on the directory"

    def name_of(self, code: str) -> str:
        """The name, for people, of anything that has a code.  The code itself where nothing has it."""
        everything = (
            self.record.panels, self.record.sources, self.record.transfers, self.record.feeders, self.record.circuits,
            self.record.runs, self.record.boxes, self.record.equipment, self.record.instruments,
        )  # fmt: skip
        for group in everything:
            for item in group:
                if item.code == code:
                    return str(item.name)
        return code
