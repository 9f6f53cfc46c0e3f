"""Hazards, and what to do when something is wrong, chosen by what the record holds.

Signal words as ANSI Z535.4 means them: DANGER will kill or badly injure if not avoided, WARNING could, CAUTION could
injure slightly, NOTICE is about property only.  A word is never made larger to be noticed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Any, Literal, Protocol

from handover.pack import SafetyNote
from handover.record.evidence import Finding, Unknown
from handover.record.facts import Basis
from handover.record.installation import Installation
from handover.record.supply import Panel, Slot, Source
from handover.record.wiring import Run, Step
from handover.reminders import gfci_receptacles
from handover.units import show
from handover.words import LANGUAGE, lines_of, one_line, words

SWITCH_OFF, CARE, TROUBLE = "switch-off", "care", "trouble"
"""Pages that a note belongs to, beside the codes it is about.  In small letters, so that no code can be one."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Trouble:
    """One thing that can go wrong: what to do, one step a line, and what never to do."""

    id: str
    heading: str
    steps: tuple[str, ...]
    never: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Chosen:
    """A note of the catalogue that this installation needs: for whom, about what, with which facts."""

    id: str
    audience: Literal["homeowner", "worker", "both"]
    facts: dict[str, str]
    codes: tuple[str, ...]
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"] = "WARNING"


class _Named(Protocol):
    @property
    def code(self) -> str: ...
    @property
    def name(self) -> str: ...


def safety_notes(installation: Installation, language: str = LANGUAGE) -> tuple[SafetyNote, ...]:
    """The hazards of this installation, in the catalogue's order."""
    catalogue = words(language, "notes")
    chosen = chain(
        _sources(installation, catalogue),
        _panels(installation),
        _wiring(installation, catalogue),
        _found(installation),
        _for_everybody(installation),
        _for_workers(installation, catalogue),
    )
    order = list(catalogue["notes"])
    return tuple(_note(catalogue, each) for each in sorted(chosen, key=lambda each: order.index(each.id)))


def deference(installation: Installation, language: str = LANGUAGE) -> tuple[str, ...]:
    """What every page about safety says of itself: who decides, and what this record is not."""
    facts = {"finished": str(installation.record.job.dates.finished)}
    return lines_of(words(language, "notes")["deference"], facts)


def trouble_steps(installation: Installation, language: str = LANGUAGE) -> tuple[Trouble, ...]:
    """What to do when something is wrong, first things first."""
    catalogue = words(language, "notes")
    record = installation.record
    generators = [source for source in record.sources if source.kind == "generator"]
    behind = [panel for panel in record.panels if installation.transfer_to(panel) is not None]
    breakers = [
        f"breaker {position.spaces} in {position.panel.code}" for position in installation.breakers_with("gfci")
    ]
    devices = dict.fromkeys([*breakers, *(place for _, place in gfci_receptacles(installation))])
    facts = _people(installation) | {
        "panels": _names(record.panels),
        "devices": "; ".join(devices) or "none recorded",
        "backed_up": _names(behind) or "not recorded",
        "off": _offs(generators, catalogue),
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


def _note(catalogue: dict[str, Any], chosen: _Chosen) -> SafetyNote:
    entry = catalogue["notes"][chosen.id]
    return SafetyNote(
        id=chosen.id.replace("_", "-"),
        signal=chosen.signal,
        hazard=entry["hazard"].format_map(chosen.facts),
        consequence=entry["consequence"].format_map(chosen.facts),
        avoid=lines_of(entry["avoid"], chosen.facts),
        audience=chosen.audience,
        codes=chosen.codes,
    )


def _sources(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    record = installation.record
    if record.sources:
        reached = [panel for panel in record.panels if installation.sources_reaching(panel)]
        facts = {"sources": _names(record.sources)}
        codes = (*_codes(record.sources), *_codes(reached), SWITCH_OFF)
        yield _Chosen(id="two_sources", audience="both", facts=facts, codes=codes)
    yield from _generators(installation, catalogue)
    yield from _solar(installation)
    stored = [source for source in record.sources if source.kind in ("battery", "vehicle")]
    if stored:
        facts = {"names": _names(stored), "off": _offs(stored, catalogue)} | _people(installation)
        yield _Chosen(id="stored_energy", audience="both", facts=facts, codes=_codes(stored))


def _generators(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    generators = [source for source in installation.record.sources if source.kind == "generator"]
    if not generators:
        return
    # One of which nobody knows whether it starts by itself is treated as if it does.
    starting = [source for source in generators if source.starts_by_itself.value is not False]
    if starting:
        facts = {"names": _names(starting), "off": _offs(starting, catalogue)}
        yield _Chosen(id="generator_starts", audience="both", facts=facts, codes=(*_codes(starting), SWITCH_OFF))
    facts = {"names": _names(generators)} | _people(installation)
    yield _Chosen(id="generator_exhaust", audience="homeowner", facts=facts, codes=(*_codes(generators), TROUBLE))
    ties = [tie for tie in installation.record.transfers if tie.source in _codes(generators)]
    facts = {"transfers": _names(ties) or catalogue["words"]["no_transfer"]}
    codes = (*_codes(generators), *_codes(ties), TROUBLE)
    yield _Chosen(id="generator_cord", audience="homeowner", facts=facts, codes=codes)


def _solar(installation: Installation) -> Iterator[_Chosen]:
    solar = [source for source in installation.record.sources if source.kind == "solar"]
    if not solar:
        return
    stays = "; ".join(one_line(source.stays_live or "not recorded").rstrip(".") for source in solar)
    facts = {"names": _names(solar), "stays_live": stays}
    yield _Chosen(id="solar_daylight", audience="both", facts=facts, codes=(*_codes(solar), SWITCH_OFF))
    positions = [position for source in solar if (position := installation.position(source.code)) is not None]
    if positions:
        places = "; ".join(f"{position.panel.code} {position.spaces}" for position in positions)
        codes = tuple(dict.fromkeys([*_codes(solar), *(position.panel.code for position in positions)]))
        yield _Chosen(id="solar_breaker", audience="worker", facts={"places": places}, codes=codes)


def _panels(installation: Installation) -> Iterator[_Chosen]:
    record = installation.record
    below = [panel for panel in record.panels if installation.upstream(panel) is not None]
    apart = [panel for panel in below if not panel.neutral_bonded.value]
    if apart:
        facts = {"names": _names(apart), "fed_from": _fed_from(installation, apart)}
        yield _Chosen(id="sub_panel", audience="worker", facts=facts, codes=_codes(apart))
    separate = [panel for panel in below if panel.separate_building]
    if separate:
        facts = {"names": _names(separate), "fed_from": _fed_from(installation, separate)}
        yield _Chosen(id="separate_building", audience="both", facts=facts, codes=(*_codes(separate), SWITCH_OFF))


def _fed_from(installation: Installation, panels: Iterable[Panel]) -> str:
    said = []
    for panel in panels:
        position, above = installation.fed_from(panel), installation.upstream(panel)
        if position is not None:
            said.append(f"{panel.code} at {position.panel.code} {position.spaces}")
        elif above is not None:
            said.append(f"{panel.code} at the main of {above.code}")
    return "; ".join(said)


def _wiring(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    record = installation.record
    chargers = [item for item in record.equipment if item.kind == "car charger"]
    if chargers:
        currents = [
            f"{item.code} {show(item.set_current.value) if item.set_current.value is not None else item.set_current}"
            for item in chargers
        ]
        facts = {"names": _names(chargers), "set_current": "; ".join(currents)}
        codes = (*_codes(chargers), *(item.circuit for item in chargers), CARE)
        yield _Chosen(id="charger", audience="homeowner", facts=facts, codes=codes)
    buried = [run for run in record.runs if _buried_steps(run)]
    if buried:
        carried = dict.fromkeys(wiring.code for run in buried for wiring in installation.carried_by(run))
        facts = {"names": _names(buried), "depth": _depth(buried, catalogue)}
        yield _Chosen(id="underground", audience="both", facts=facts, codes=(*_codes(buried), *carried, CARE))


def _buried_steps(run: Run) -> list[Step]:
    return [step for step in run.path if step.surroundings == "underground"]


def _depth(runs: Iterable[Run], catalogue: dict[str, Any]) -> str:
    steps = [step for run in runs for step in _buried_steps(run)]
    covers = [step.cover.value for step in steps if step.cover.value is not None]
    if not covers:
        return str(catalogue["words"]["no_cover"])
    return str(catalogue["words"]["cover"].format_map({"cover": show(min(covers))}))


def _found(installation: Installation) -> Iterator[_Chosen]:
    record = installation.record
    cables = [finding for finding in record.findings if finding.kind == "unexplained cable"]
    if record.unknowns or cables:
        unexplained: tuple[Unknown | Finding, ...] = (*record.unknowns, *cables)
        facts = {"places": _places(unexplained)}
        yield _Chosen(id="unknown_cables", audience="both", facts=facts, codes=(*_concerned(unexplained), CARE))
    untraced = {
        panel.code: spaces
        for panel in record.panels
        if (spaces := ["/".join(map(str, slot.spaces)) for slot in panel.slots if _untraced(slot)])
    }
    if untraced:
        places_text = "; ".join(f"{code} {', '.join(spaces)}" for code, spaces in untraced.items())
        yield _Chosen(id="untraced", audience="both", facts={"places": places_text}, codes=tuple(untraced))
    for id, kind in (("no_ground", "no equipment ground"), ("aluminum", "aluminum branch wiring")):
        found = [finding for finding in record.findings if finding.kind == kind]
        if found:
            yield _Chosen(id=id, audience="both", facts={"places": _places(found)}, codes=(*_concerned(found), CARE))


def _untraced(slot: Slot) -> bool:
    if slot.blank or slot.feeds:
        return False
    return not (slot.says or slot.says_posted) or slot.traced.value is False or slot.traced.basis in (
        Basis.UNKNOWN, Basis.NOT_CHECKED)  # fmt: skip


def _places(found: Iterable[Finding | Unknown]) -> str:
    return "; ".join(dict.fromkeys(one_line(finding.place) for finding in found))


def _concerned(found: Iterable[Finding | Unknown]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(code for finding in found for code in (finding.code, *finding.of) if code))


def _for_everybody(installation: Installation) -> Iterator[_Chosen]:
    facts = _people(installation)
    panels = _codes(installation.record.panels)
    yield _Chosen(id="tripped", audience="homeowner", facts=facts, codes=(TROUBLE,))
    yield _Chosen(id="smell", audience="homeowner", facts=facts, codes=(TROUBLE, SWITCH_OFF))
    yield _Chosen(id="water", audience="homeowner", facts=facts, codes=(TROUBLE, SWITCH_OFF))
    yield _Chosen(id="never", audience="homeowner", facts=facts, codes=(*panels, TROUBLE, CARE))


def _for_workers(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    record = installation.record
    panels = _codes(record.panels)
    everything = (*panels, *installation.wirings, *_codes(record.sources), *_codes(record.transfers),
                  *_codes(record.equipment))  # fmt: skip
    yield _Chosen(id="not_dead", audience="worker", facts={}, codes=everything)
    mains = [panel for panel in record.panels if panel.main_kind == "main breaker"]
    if mains:
        # DANGER: once the inner cover is off, nothing stands between a hand and these parts.
        yield _Chosen(
            id="line_side", audience="worker", signal="DANGER", facts={"names": _names(mains)}, codes=_codes(mains)
        )
    if record.sources:
        facts = {"sources": _names(record.sources), "disconnects": _offs(record.sources, catalogue, joint="\n")}
        yield _Chosen(id="lock_sources", audience="worker", facts=facts, codes=(*panels, *_codes(record.sources)))
    if record.transfers:
        sources = [source for source in record.sources if any(tie.source == source.code for tie in record.transfers)]
        sides = [
            f"{tie.code} at {position.panel.code} {position.spaces}"
            if (position := installation.position(tie.code)) is not None
            else f"{tie.code}, not recorded"
            for tie in record.transfers
        ]
        facts = {
            "names": _names(record.transfers),
            "utility_side": "; ".join(sides),
            "off": _offs(sources, catalogue),
        }
        codes = (*_codes(record.transfers), *(tie.feeds for tie in record.transfers), *_codes(sources))
        yield _Chosen(id="transfer", audience="worker", facts=facts, codes=codes)


def _people(installation: Installation) -> dict[str, str]:
    emergency, contractor = installation.record.emergency, installation.record.contractor
    return {
        "call": one_line(emergency.call),
        "utility": one_line(emergency.utility),
        "utility_line": one_line(emergency.utility_line),
        "main_place": one_line(installation.record.service.disconnect_place),
        "contractor": one_line(contractor.name),
        "phone": one_line(contractor.phone),
    }


def _names(things: Iterable[_Named]) -> str:
    return "; ".join(f"{thing.code} {one_line(thing.name)}" for thing in things)


def _codes(things: Iterable[_Named]) -> tuple[str, ...]:
    return tuple(thing.code for thing in things)


def _offs(sources: Iterable[Source], catalogue: dict[str, Any], joint: str = "; ") -> str:
    """Where each source is switched off, as far as recorded."""
    missing = catalogue["words"]["no_disconnect"]
    return joint.join(
        f"{source.code} {one_line(source.name)}: {one_line(source.disconnect.value or missing)}" for source in sources
    )
