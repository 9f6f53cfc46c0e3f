"""What hangs on what, for the one-line drawing: a tree of nodes and branches with their wording, no places yet."""

from __future__ import annotations

from dataclasses import dataclass

from handover.drawings import symbols, words
from handover.drawings.geometry import Say, Stroke
from handover.drawings.symbols import Symbol
from handover.problems import count_of
from handover.record.installation import Installation, Position
from handover.record.supply import Electrode, Grounding, Panel, Slot, Source, Transfer
from handover.record.tracing import tracing
from handover.record.wiring import Circuit, Feeder, Wiring

_SOURCE_SYMBOL = {
    "solar": symbols.CONVERTER,
    "battery": symbols.BATTERY,
    "generator": symbols.GENERATOR,
    "vehicle": symbols.CONVERTER,
}


@dataclass(frozen=True, slots=True)
class Node:
    """A thing with a box of its own.  ``passes``: whether the wire goes on through its symbol."""

    symbol: Symbol
    says: tuple[Say, ...]
    stroke: Stroke
    branches: tuple[Branch, ...]
    sentence: str
    passes: bool = True


@dataclass(frozen=True, slots=True)
class Branch:
    """A wire down from a node: the device on it, what is written beside it, and what it leads to, if that has a box.

    ``ends_in_use``: the wire ends where the power is used, with an arrow.
    """

    symbol: Symbol
    says: tuple[Say, ...]
    node: Node | None
    sentence: str
    stroke: Stroke = Stroke.THIN
    ends_in_use: bool = False


def supply_tree(installation: Installation) -> tuple[Node, ...]:
    """The utility with all it feeds, then whatever the record does not connect to it.

    Each panel, source, transfer equipment, feeder and circuit of the record appears once.
    """
    tree = _Tree(installation)
    return (tree.utility(), *tree.left_over())


def _says(*texts: str | None) -> tuple[Say, ...]:
    """The first text in bold, then the others that hold something."""
    first, *rest = texts
    return (Say(first or "", bold=True), *(Say(text) for text in rest if text))


def _plain(*texts: str) -> tuple[Say, ...]:
    return tuple(map(Say, texts))


def _weight(work: str) -> Stroke:
    return Stroke.THIN if work == "existing" else Stroke.HEAVY


def _plural(electrode: Electrode, number: int) -> str:
    return electrode.kind if number == 1 else f"{number} × {electrode.kind}"


class _Tree:
    """The walk from the utility down, remembering what has been drawn so that nothing comes twice."""

    def __init__(self, installation: Installation) -> None:
        self.installation = installation
        self.record = installation.record
        self.drawn: set[str] = set()

    def called(self, code: str) -> str:
        return words.called(self.installation, code)

    def utility(self) -> Node:
        service = self.record.service
        transformer = service.transformer
        rating = words.fact(transformer.rating, "rating") if transformer else "not recorded"
        impedance = f"impedance {transformer.impedance}" if transformer and transformer.impedance.known else None
        texts = (
            f"Utility: {service.utility}",
            service.volts,
            f"Service rated {words.fact(service.rating, 'rating')}",
            f"Transformer {rating}" + (f", {impedance}" if impedance else ""),
            f"Available fault current {words.fact(service.fault_current, '').strip()}",
        )
        branches = [self._supply_side(source) for source in self.record.sources if self._on_supply_side(source)]
        branches.append(self._service_conductors())
        return Node(symbols.TRANSFORMER, _says(*texts), Stroke.THIN, tuple(branches), words.sentence(*texts))

    def _on_supply_side(self, source: Source) -> bool:
        tied = any(transfer.source == source.code for transfer in self.record.transfers)
        on_breaker = self.installation.position(source.code) is not None
        return source.bus_end.value == "supply side of the main" and not tied and not on_breaker

    def _supply_side(self, source: Source) -> Branch:
        text = "Connected on the supply side of the service disconnect"
        said = words.sentence(text, self.called(source.code), words.UNDESCRIBED)
        return Branch(symbols.WIRE, _plain(text, words.UNDESCRIBED), self.source(source), said, Stroke.DASHED)

    def _service_conductors(self) -> Branch:
        service = self.record.service
        kind = f"{service.entrance} service" if service.entrance.known else words.fact(service.entrance, "entrance")
        wires = service.conductors
        if wires is None:
            text = "Service conductors not recorded"
        else:
            sets = f"{wires.sets} sets, " if wires.sets.value and wires.sets.value > 1 else ""
            size = f"{words.fact(wires.size, 'size')}, {words.fact(wires.material, 'material')}"
            text = f"Service conductors: {sets}{size}, {words.fact(wires.length, 'length')}"
        panel = self.installation.service_panel
        said = words.sentence(f"From the utility to panel {panel.code}: {kind}", text)
        return Branch(symbols.WIRE, (Say(f"{kind[0].upper()}{kind[1:]}"), Say(text)), self.panel(panel), said)

    def panel(self, panel: Panel) -> Node:
        self.drawn.add(panel.code)
        service = panel is self.installation.service_panel
        disconnect = f"Service disconnect here: {self.record.service.disconnect_place}" if service else None
        texts = (
            f"Panel {self.called(panel.code)} · {words.WORK[panel.work]}",
            panel.place,
            disconnect,
            words.panel_rating(panel),
            None if panel.neutral_bonded.value else words.neutral(panel),
            "Backed up when the utility is off" if self.installation.backed_up(panel) else None,
        )
        branches = [
            *self._bond(panel),
            *self._grounding(panel, service=service),
            *self._through_lugs(panel, service=service),
        ]
        branches += [self._slot(Position(panel, slot)) for slot in _by_space(panel) if self._leads_on(slot)]
        branches += self._other_slots(panel)
        main = panel.main_kind == "main breaker"
        return Node(
            symbols.BREAKER if main else symbols.WIRE,
            _says(*texts),
            _weight(panel.work),
            tuple(branches),
            words.sentence(*texts),
        )

    def _bond(self, panel: Panel) -> list[Branch]:
        """Where neutral and equipment ground are joined: lawful in one place of a system, so the others are told."""
        if not panel.neutral_bonded.value:
            return []
        others = [other for other in self.record.panels if other is not panel]
        joined = ", ".join(other.code for other in others if other.neutral_bonded.value)
        unsure = ", ".join(other.code for other in others if other.neutral_bonded.value is None)
        more = f"joined at {joined} as well" if joined else "the only such place in the record"
        text = f"{words.neutral(panel)}: {more}" + (f"; not known of {unsure}" if unsure else "")
        said = words.sentence(f"Panel {panel.code}: {text}")
        return [Branch(symbols.BOND, _plain(text), None, said, _weight(panel.work))]

    def _leads_on(self, slot: Slot) -> bool:
        return slot.feeds is not None and not slot.blank

    def _grounding(self, panel: Panel, *, service: bool) -> list[Branch]:
        grounding = panel.grounding or (self.record.service.grounding if service else None)
        if grounding is None and not service and not panel.separate_building:
            return []
        text, known, new = _electrodes(grounding)
        said = words.sentence(f"Panel {panel.code}: {text}")
        stroke = (Stroke.HEAVY if new else Stroke.THIN) if known else Stroke.DASHED
        return [Branch(symbols.EARTH if known else symbols.UNKNOWN, (Say(text),), None, said, stroke)]

    def _through_lugs(self, panel: Panel, *, service: bool) -> list[Branch]:
        """Feeders without a breaker of their own leave from the service panel's feed-through lugs."""
        if not service:
            return []
        position = self.installation.position
        return [self._feeder(feeder, panel, None) for feeder in self.record.feeders if position(feeder.code) is None]

    def _slot(self, position: Position) -> Branch:
        code = position.slot.feeds or ""
        wiring = self.installation.wirings.get(code)
        if isinstance(wiring, Feeder):
            return self._feeder(wiring, position.panel, position)
        if isinstance(wiring, Circuit):
            return self._circuit(wiring, position)
        # The record describes feeders and circuits wire by wire, but not the wires to a source or transfer equipment.
        device = words.device(position)
        source, transfer = self.installation.sources.get(code), self.installation.transfers.get(code)
        node = None
        if code not in self.drawn:
            node = self.source(source) if source else self.transfer(transfer) if transfer else None
        leads = f"feeds {self.called(code)}" if source is None else f"for {self.called(code)}"
        said = words.sentence(device, leads, words.UNDESCRIBED)
        says = _says(device, None if node else self.called(code), words.UNDESCRIBED)
        return Branch(symbols.BREAKER, says, node, said, Stroke.DASHED)

    def _wiring_texts(self, wiring: Wiring) -> list[str]:
        runs = [f"{run.code} {words.raceway(run)}, {words.length(run)}" for run in self.installation.runs_of(wiring)]
        return [words.conductors_short(wiring), "; ".join(runs) or "Run not recorded"]

    def _feeder(self, feeder: Feeder, panel: Panel, position: Position | None) -> Branch:
        self.drawn.add(feeder.code)
        device = words.device(position) if position else f"No breaker of its own: from the lugs of {panel.code}"
        name = f"{self.called(feeder.code)} · {words.WORK[feeder.work]}"
        texts = [name, device, *self._wiring_texts(feeder)]
        below = self.installation.panels.get(feeder.to)
        node = self.panel(below) if below is not None and below.code not in self.drawn else None
        if node is None:
            texts.append(f"To panel {feeder.to}")
        symbol = symbols.BREAKER if position else symbols.WIRE
        said = words.sentence(*texts, f"to panel {feeder.to}" if node else None)
        return Branch(symbol, _says(*texts), node, said, _weight(feeder.work))

    def _circuit(self, circuit: Circuit, position: Position | None) -> Branch:
        self.drawn.add(circuit.code)
        device = words.device(position) if position else "Breaker not recorded"
        known = position is not None
        name = f"{self.called(circuit.code)} · {words.WORK[circuit.work]}"
        feeds = [f"To {item.code}: {item.place}" for item in self.installation.equipment_on(circuit)]
        texts = [name, device, *self._wiring_texts(circuit), *feeds]
        stroke = _weight(circuit.work) if known else Stroke.DASHED
        symbol = symbols.BREAKER if known else symbols.UNKNOWN
        return Branch(symbol, _says(*texts), None, words.sentence(*texts), stroke, ends_in_use=True)

    def source(self, source: Source) -> Node:
        self.drawn.add(source.code)
        texts = (
            f"{self.called(source.code)} · {words.WORK[source.work]}",
            f"{source.kind.capitalize()}: {source.place}",
            f"Output {words.fact(source.output_current, 'current')}",
            f"Disconnect: {words.fact(source.disconnect, '').strip()}",
        )
        symbol = _SOURCE_SYMBOL[source.kind]
        return Node(symbol, _says(*texts), _weight(source.work), (), words.sentence(*texts), passes=False)

    def transfer(self, transfer: Transfer) -> Node:
        self.drawn.add(transfer.code)
        kind = f"Transfer, {transfer.kind}" if transfer.kind.known else words.fact(transfer.kind, "kind of transfer")
        switches = transfer.switches_neutral
        neutral = words.fact(switches, "Whether it switches the neutral:") if switches.value is None else None
        texts = (
            f"{self.called(transfer.code)} · {words.WORK[transfer.work]}",
            f"{kind}: {transfer.place}",
            f"Rated {words.fact(transfer.rating, 'rating')}",
            neutral or f"Switches the neutral: {'yes' if switches.value else 'no'}",
            self._backs_up(transfer),
        )
        branches = [self._second_input(transfer), *self._behind(transfer)]
        return Node(symbols.TRANSFER, _says(*texts), _weight(transfer.work), tuple(branches), words.sentence(*texts))

    def _backs_up(self, transfer: Transfer) -> str | None:
        """Everything that the panel behind transfer equipment feeds, in the words of its directory."""
        below = self.installation.panels.get(transfer.feeds)
        if below is None:
            return None
        slots = [slot for slot in _by_space(below) if not slot.blank]
        names = dict.fromkeys(self.installation.slot_name(slot) for slot in slots)
        return f"Backs up {below.code}: {'; '.join(names) if names else 'what is on it is not recorded'}"

    def _second_input(self, transfer: Transfer) -> Branch:
        source = self.installation.sources.get(transfer.source)
        node = self.source(source) if source is not None and source.code not in self.drawn else None
        text = f"Second supply of {transfer.code}, from {transfer.source}"
        said = words.sentence(text, words.UNDESCRIBED)
        return Branch(symbols.WIRE, _plain(text, words.UNDESCRIBED), node, said, Stroke.DASHED)

    def _behind(self, transfer: Transfer) -> list[Branch]:
        below = self.installation.panels.get(transfer.feeds)
        node = self.panel(below) if below is not None and below.code not in self.drawn else None
        text = f"From {transfer.code} to panel {transfer.feeds}"
        said = words.sentence(text, words.UNDESCRIBED)
        return [Branch(symbols.WIRE, _plain(text, words.UNDESCRIBED), node, said, Stroke.DASHED)]

    def _other_slots(self, panel: Panel) -> list[Branch]:
        """The breakers that this record only lists, in one branch."""
        others = [slot for slot in panel.slots if slot.feeds is None and not slot.blank]
        if not others:
            return []
        text = f"{count_of(len(others), 'other breaker')}: see the face of panel {panel.code}"
        more = tracing(panel).told() or None
        says = tuple(Say(text) for text in (text, more) if text)
        return [Branch(symbols.BREAKER, says, None, words.sentence(f"Panel {panel.code}: {text}", more))]

    def left_over(self) -> list[Node]:
        """What the record names without saying where it is connected, drawn so that nobody overlooks it."""
        nodes: list[Node] = []
        for transfer in self.record.transfers:
            if transfer.code not in self.drawn:
                nodes.append(self._adrift(self.transfer(transfer), transfer.code))
        for panel in self.record.panels:
            if panel.code not in self.drawn:
                nodes.append(self._adrift(self.panel(panel), panel.code))
        for source in self.record.sources:
            if source.code not in self.drawn:
                nodes.append(self._adrift(self.source(source), source.code))
        loose = [self._circuit(circuit, None) for circuit in self.record.circuits if circuit.code not in self.drawn]
        if loose:
            text = "Circuits whose breaker is not recorded"
            nodes.append(Node(symbols.UNKNOWN, _says(text), Stroke.DASHED, tuple(loose), words.sentence(text)))
        return nodes

    def _adrift(self, node: Node, code: str) -> Node:
        text = f"Connection of {code} not known"
        branch = Branch(symbols.UNKNOWN, (Say("not recorded"),), node, words.sentence(text), Stroke.DASHED)
        return Node(symbols.UNKNOWN, _says(text), Stroke.DASHED, (branch,), words.sentence(text))


def _by_space(panel: Panel) -> list[Slot]:
    return sorted(panel.slots, key=lambda slot: min(slot.spaces))


def _electrodes(grounding: Grounding | None) -> tuple[str, bool, bool]:
    """The grounding electrodes in words, whether they are known, and whether any is new."""
    if grounding is None or not grounding.electrodes:
        return "Grounding electrodes not recorded", False, False
    counted: dict[tuple[str, str], list[Electrode]] = {}
    for electrode in grounding.electrodes:
        counted.setdefault((electrode.kind, electrode.work), []).append(electrode)
    told = [f"{_plural(group[0], len(group))} ({words.WORK[work]})" for (_, work), group in counted.items()]
    size = words.fact(grounding.conductor, "conductor size")
    material = words.fact(grounding.conductor_material, "material")
    new = any(electrode.work != "existing" for electrode in grounding.electrodes)
    return f"Grounding electrodes: {', '.join(told)}; conductor {size}, {material}", True, new
