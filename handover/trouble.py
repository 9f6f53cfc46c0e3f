"""What to do at once: when something is wrong, to switch everything off, when a circuit is dead.

The words stand in the catalogue of the notes; here is decided which of them this installation needs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from handover.record.installation import Installation, Position
from handover.record.supply import Panel, Slot, Source
from handover.record.wiring import Circuit, Run
from handover.safety_notes import buried_steps, offs_of, people_of
from handover.words import Named, lines_of, one_line, tell, words


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """One thing that can go wrong: what to do, one step a line, and what never to do."""

    id: str
    heading: str
    steps: tuple[str, ...]
    never: tuple[str, ...]


def trouble_steps(installation: Installation) -> tuple[Trouble, ...]:
    """What to do when something is wrong, first things first."""
    catalogue = words("notes")
    record = installation.record
    generators = [source for source in record.sources if source.kind == "generator"]
    behind = [panel for panel in record.panels if installation.transfer_to(panel) is not None]
    facts = people_of(installation) | {
        "panels": _all_named(record.panels),
        "backed_up": _all_named(behind) or tell("not recorded"),
        "off": offs_of(generators, catalogue),
        "panel_smells": _panel_smells(installation, catalogue),
        "generator": _generator_told(installation, catalogue["words"]["generator_follows"], catalogue),
        "generator_too": _generator_told(installation, catalogue["words"]["generator_too"], catalogue),
        "not_explained": _not_explained(installation, catalogue),
        "still_on": "\n".join(_still_on(installation, behind, catalogue)),
        "second_source": "\n".join(_only_these(installation, behind, catalogue)),
        "own_mains": "; ".join(_in_their_places(panel for panel in record.panels if panel.main_kind == "main breaker")),
        "solar_out": solar_out(installation, catalogue),
    }
    return tuple(
        Trouble(
            id=id.replace("_", "-"),
            heading=entry["heading"],
            steps=lines_of(entry["steps"], facts),
            never=lines_of(entry["never"], facts),
        )
        for id, entry in catalogue["troubles"].items()
        if id != "generator_on" or generators
    )


def without_the_utility(installation: Installation) -> tuple[str, ...]:
    """What works and what stays off when the utility is out.  Nothing is taken to go on that is not on record."""
    catalogue = words("notes")
    behind = [panel for panel in installation.record.panels if installation.transfer_to(panel) is not None]
    lines = [*_still_on(installation, behind, catalogue), solar_out(installation, catalogue)]
    if not behind:
        lines.append(tell("No panel is on record that a second source takes over. So expect all of it to be off."))
    return tuple(line for line in lines if line)


def switch_off_steps(installation: Installation) -> tuple[str, ...]:
    """How to switch the whole place off, in order, and what to tell the fire crew.

    A generator goes first: it starts as soon as the shutoff is off.
    """
    told = words("notes")["switch_off"]
    before, after = installation.before_and_after_the_main()
    steps = [told["safe"]]
    for source in before:
        steps.append(_source_step(source, told, told["touch_nothing"] if source.kind == "generator" else ""))
    steps.append(_shutoff_step(installation, told))
    steps += [_source_step(source, told, "") for source in after]
    steps += _crew_steps(installation, told)
    return tuple(step for step in steps if step)


def dead_steps(installation: Installation, circuit: Circuit) -> tuple[str, ...]:
    """What to try, once, when a circuit is dead: what it feeds off, its reset, its breaker, the panel above."""
    told = words("notes")["dead"]
    position = installation.position(circuit.code)
    facts = people_of(installation)
    if position is None:
        return lines_of(told["no_breaker"], facts)
    facts |= {
        "off_first": _off_first(installation, circuit, told),
        "resets": "\n".join(_resets(circuit, told)),
        "breaker": placed(position),
        "above": _above(installation, position.panel, told),
    }
    return lines_of(told["steps"], facts)


def placed(position: Position) -> str:
    """``Main panel (P1), spaces 18/20``."""
    where = tell("space {number}", number=position.spaces)
    if len(position.slot.spaces) > 1:
        where = tell("spaces {numbers}", numbers=position.spaces)
    return f"{_named(position.panel)}, {where}"


def automatic(installation: Installation) -> list[Source]:
    """The generators that start by themselves, or of which nobody knows whether they do."""
    record = installation.record
    return [
        source for source in record.sources if source.kind == "generator" and source.starts_by_itself.value is not False
    ]


def _named(thing: Named) -> str:
    return one_line(f"{thing.name} ({thing.code})")


def _all_named(things: Iterable[Named]) -> str:
    return "; ".join(map(_named, things))


def _panel_smells(installation: Installation, catalogue: dict[str, Any]) -> str:
    """The outside shutoff only where it is known to be outside; else the utility must cut the power."""
    outside = installation.record.service.disconnect_outdoors.value
    said = catalogue["words"]["panel_smells_outside" if outside else "panel_smells_inside"]
    return str(said.format_map(people_of(installation)))


def _not_explained(installation: Installation, catalogue: dict[str, Any]) -> str:
    """That a breaker stays off of which nobody knows what it feeds: no entry, and not traced."""
    places = [
        placed(Position(panel, slot))
        for panel in installation.record.panels
        for slot in panel.slots
        if slot.breaker and not _has_entry(slot) and not slot.traced.value
    ]
    facts = people_of(installation) | {"places": "; ".join(places)}
    return str(catalogue["words"]["not_explained"].format_map(facts)) if places else ""


def _generator_told(installation: Installation, wording: str, catalogue: dict[str, Any]) -> str:
    """What every step that switches off the main has to add.  Empty where no generator starts by itself."""
    starting = automatic(installation)
    if not starting:
        return ""
    fed = [
        transfer.feeds for transfer in installation.record.transfers if transfer.source in {s.code for s in starting}
    ]
    panels = [installation.panels[code] for code in fed if code in installation.panels]
    facts = {"panels": _all_named(panels) or tell("its panel, not recorded"), "off": offs_of(starting, catalogue)}
    return wording.format_map(facts)


def _still_on(installation: Installation, behind: list[Panel], catalogue: dict[str, Any]) -> Iterator[str]:
    """What a second source feeds when the utility is out, by the panel's card, and what stays off."""
    told = catalogue["words"]
    for panel in behind:
        yield told["still_on"].format_map(_fed_second(installation, panel))
    if behind:
        yield told["all_off"]
        for panel in installation.record.panels:
            off = [] if installation.backed_up(panel) else _on_its_card(installation, panel)
            if off:
                yield told["these_off"].format_map({"panel": _named(panel), "circuits": ", ".join(off)})


def _only_these(installation: Installation, behind: list[Panel], catalogue: dict[str, Any]) -> Iterator[str]:
    for panel in behind:
        yield catalogue["words"]["second_source"].format_map(_fed_second(installation, panel))


def _fed_second(installation: Installation, panel: Panel) -> dict[str, str]:
    """A panel behind transfer equipment, what feeds it when the utility is out, and what hangs on it."""
    transfer = installation.transfer_to(panel)
    source = installation.sources.get(transfer.source) if transfer is not None else None
    return {
        "source": _named(source) if source is not None else tell("The second source"),
        "panel": _named(panel),
        "circuits": ", ".join(_on_its_card(installation, panel)) or tell("not recorded"),
    }


def _on_its_card(installation: Installation, panel: Panel) -> list[str]:
    """What a panel feeds in the house, each once: neither a source nor what leads to another panel."""
    elsewhere = {
        *installation.sources,
        *installation.transfers,
        *(feeder.code for feeder in installation.record.feeders),
    }
    names = (
        _entry(installation, panel, slot)
        for slot in panel.slots
        if not slot.blank and slot.breaker and slot.feeds not in elsewhere
    )
    return list(dict.fromkeys(names))


def _has_entry(slot: Slot) -> bool:
    return bool(slot.feeds or slot.blank or slot.says or slot.says_posted)


def _entry(installation: Installation, panel: Panel, slot: Slot) -> str:
    if not _has_entry(slot):
        return tell("one without an entry ({spaces})", spaces=Position(panel, slot).spaces_spoken)
    return one_line(installation.slot_name(slot))


def _in_their_places(panels: Iterable[Panel]) -> Iterator[str]:
    for panel in panels:
        yield f"{_named(panel)}, {one_line(panel.place)}"


def solar_out(installation: Installation, catalogue: dict[str, Any]) -> str:
    """That solar stops with the utility: usual for an interactive inverter, and said as no more than that.

    A battery or vehicle can keep it going, so that where one is on record nothing of the kind is said.
    """
    kinds = {source.kind for source in installation.record.sources}
    stored = [source for source in installation.record.sources if source.kind in ("battery", "vehicle")]
    if stored:
        return str(catalogue["words"]["stored_out"].format_map({"names": _all_named(stored)}))
    return str(catalogue["words"]["solar_out"]) if "solar" in kinds else ""


def _source_step(source: Source, told: dict[str, Any], more: str) -> str:
    off = one_line(source.disconnect.value or told["no_disconnect"]).rstrip(".")
    kind = "generator" if source.kind == "generator" else "source"
    place = one_line(source.place) if source.kind != "solar" or not source.disconnect.known else ""
    where = f"{_named(source)}, {place}" if place else _named(source)
    return " ".join(part for part in (told[kind].format_map({"where": where, "off": off}), more) if part)


def _shutoff_step(installation: Installation, told: dict[str, Any]) -> str:
    service = installation.record.service
    marked = service.disconnect_marked.value
    facts = {"where": one_line(service.disconnect_place), "marked": one_line(marked or "")}
    name = told["outside"] if service.disconnect_outdoors.value else told["main"]
    return f"{name} {told['marked' if marked else 'unmarked'].format_map(facts)}"


def _crew_steps(installation: Installation, told: dict[str, Any]) -> list[str]:
    """What the fire crew has to know, one thing a step: what stays live, where the fuel is shut off, what is buried."""
    record = installation.record
    said = [
        told["live"].format_map({"what": one_line(source.stays_live).rstrip(".")})
        for source in record.sources
        if source.stays_live
    ]
    said += [
        told["fuel"].format_map({"where": one_line(source.fuel_shutoff.value).rstrip(".")})
        for source in record.sources
        if source.fuel_shutoff.value
    ]
    buried: list[Run] = [run for run in record.runs if buried_steps(run)]
    if buried:
        said.append(told["buried"].format_map({"names": _all_named(buried)}))
    return [f"{told['crew']} {each}" for each in said]


def _off_first(installation: Installation, circuit: Circuit, told: dict[str, Any]) -> str:
    """What to take off the circuit before its breaker goes on again, so that it does not start at full load."""
    equipment = installation.equipment_on(circuit)
    if any(item.kind == "car charger" for item in equipment):
        return str(told["car"])
    # A plug pulled while current flows can flash: so it is switched off first wherever something is plugged in.
    plugged = any(item.connection.value == "cord and plug" for item in equipment) or any(
        outlet.kind == "receptacle" for outlet in circuit.outlets
    )
    return str(told["plugged" if plugged else "fixed"])


def _resets(circuit: Circuit, told: dict[str, Any]) -> Iterator[str]:
    """Each shock guard of the circuit's own outlets; where none holds one, the place that resets them."""
    own = [outlet for outlet in circuit.outlets if outlet.gfci.value in ("in this receptacle", "in the equipment")]
    places = [
        f"{outlet.what}, {outlet.place}" + (f" ({outlet.gfci_reset})" if outlet.gfci_reset else "") for outlet in own
    ] or [outlet.gfci_reset or "" for outlet in circuit.outlets if outlet.gfci.value == "in another receptacle"]
    for place in dict.fromkeys(one_line(place) for place in places if place):
        yield told["reset"].format_map({"place": place})


def _above(installation: Installation, panel: Panel, told: dict[str, Any]) -> str:
    """Where the whole panel is fed, for a panel that hangs on a breaker of another."""
    above = installation.fed_from(panel)
    if above is None:
        return str(told["whole_house"])
    facts = {"panel": _named(panel), "feed": placed(above)}
    return str(told["own_main" if panel.main_kind == "main breaker" else "no_main"].format_map(facts))
