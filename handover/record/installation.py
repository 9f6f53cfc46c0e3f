"""The record seen as an installation: who feeds whom, through which breaker.  Looked up, never altered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from handover.record.record import Record
from handover.record.supply import Panel, Slot, Source, Transfer
from handover.record.wiring import Circuit, Conductor, Equipment, Feeder, Outlet, Run, Wiring
from handover.words import tell


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

    @property
    def spoken(self) -> str:
        """How a text names a slot: ``P1, spaces 14/16``, or ``P1, space 5``."""
        return f"{self.panel.code}, {self.spaces_spoken}"

    @property
    def spaces_spoken(self) -> str:
        """``spaces 14/16``, or ``space 5``."""
        if len(self.slot.spaces) == 1:
            return tell("space {number}", number=self.spaces)
        return tell("spaces {numbers}", numbers=self.spaces)


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

        A source behind transfer equipment reaches the panel that equipment feeds and what hangs below it.  Every other
        source reaches all panels, since all hang on one service; so does one of which nobody recorded where it joins.
        """
        above = map(self.transfer_to, self.path_to_service(panel))
        ahead = {transfer.source for transfer in above if transfer is not None}
        tied = {transfer.source for transfer in self.record.transfers}
        return [source for source in self.record.sources if source.code in ahead or source.code not in tied]

    def sources_past(self, code: str) -> list[Source]:
        """The sources that keep a thing live after the device that switches it off is opened, in the record's order.

        That device is a panel's own main, else the breaker, or the main above the lugs, that feeds it.  A source past
        it is one whose breaker stands on the same side, or one that transfer equipment puts in the utility's place.
        Every source where no such device is recorded, and always one of which nobody recorded where it joins.
        """
        past = self._past(code)
        return [source for source in self.record.sources if past is None or source.code in past | self._anywhere]

    def before_and_after_the_main(self) -> tuple[list[Source], list[Source]]:
        """The sources besides the utility in the order in which the place is switched off, before its main and after.

        A generator goes first, since it may start as soon as the main is opened, and so does what stores energy; solar
        follows, since it is off or can be switched off in peace once the utility is gone.
        """
        solar = [source for source in self.record.sources if source.kind == "solar"]
        return [source for source in self.record.sources if source not in solar], solar

    @cached_property
    def _anywhere(self) -> set[str]:
        """Sources of which nobody recorded where they join."""
        return {
            source.code
            for source in self.record.sources
            if self.position(source.code) is None
            and source.bus_end.value != "supply side of the main"
            and not any(transfer.source == source.code for transfer in self.record.transfers)
        }

    def _past(self, code: str) -> set[str] | None:
        """The codes of the sources past a thing's own device; None where none is recorded."""
        position = self.position(code)
        wiring, transfer = self.wirings.get(code), self.transfers.get(code)
        equipment = next((item for item in self.record.equipment if item.code == code), None)
        if code in self.panels:
            return self._past_panel(self.panels[code])
        if code in self.sources:
            return {code}
        if equipment is not None:
            return self._past(equipment.circuit)
        if isinstance(wiring, Feeder):
            below = self.panels.get(wiring.to)
            if position is None:
                above = self.upstream(below) if below is not None else None
                return self._past_panel(above) if above is not None else None
            return self._feeding_back(below) if below is not None else set()
        if position is None:
            return None
        if transfer is None:
            return set()
        below = self.panels.get(transfer.feeds)
        return {transfer.source, *(self._feeding_back(below) if below is not None else ())}

    def _past_panel(self, panel: Panel) -> set[str] | None:
        feeder, transfer = self.feeder_to(panel), self.transfer_to(panel)
        if panel.main_kind == "main breaker":
            # A transfer switch brings its source no further than the main; interlocked breakers may bring it past.
            tied = transfer is not None and transfer.kind.value not in ("automatic", "manual")
            brought = {transfer.source} if transfer is not None and tied else set()
            # A source tapped ahead of the service disconnect keeps its line side live, as the utility does.
            tapped = {
                source.code
                for source in self.record.sources
                if panel is self.service_panel and source.bus_end.value == "supply side of the main"
            }
            return brought | tapped | self._feeding_back(panel)
        ahead = feeder or transfer
        return self._past(ahead.code) if ahead is not None and panel is not self.service_panel else None

    def _feeding_back(self, panel: Panel) -> set[str]:
        """Sources on a breaker of a panel or of any below it; transfer equipment between may stand on the utility."""
        positions = {source.code: self.position(source.code) for source in self.record.sources}
        return {code for code, at in positions.items() if at is not None and panel in self.path_to_service(at.panel)}

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
            return tell("Blank plate")
        if slot.feeds:
            return self.name_of(slot.feeds)
        return slot.says or slot.says_posted or tell("No entry on the directory")

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
