"""Hazards, chosen by what the record holds.

Signal words as ANSI Z535.4 means them: DANGER will kill or badly injure if not avoided, WARNING could, CAUTION could
injure slightly, NOTICE is about property only.  A word is never made larger to be noticed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Any, Literal

from handover.pack import SafetyNote
from handover.record.evidence import Finding, Unknown
from handover.record.installation import Installation, Position
from handover.record.supply import Panel, Source
from handover.record.tracing import tracing
from handover.record.wiring import Run, Step
from handover.units import show
from handover.words import codes_of, lines_of, names_of, one_line, tell, words

SWITCH_OFF, CARE, TROUBLE = "switch-off", "care", "trouble"
"""Pages that a note belongs to, beside the codes it is about.  In small letters, so that no code can be one."""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Chosen:
    """A note of the catalogue that this installation needs: for whom, about what, with which facts."""

    id: str
    audience: Literal["homeowner", "worker", "both"]
    facts: dict[str, str]
    codes: tuple[str, ...]
    signal: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"] = "WARNING"


def safety_notes(installation: Installation) -> tuple[SafetyNote, ...]:
    """The hazards of this installation, in the catalogue's order and the spoken language."""
    catalogue = words("notes")
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


def deference(finished: str) -> tuple[str, ...]:
    """What every page about safety says of itself: who decides, what it is not, and when it was ``finished``."""
    return lines_of(words("notes")["deference"], {"finished": finished})


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
        facts = {"sources": "; ".join(_reaching(installation, source) for source in record.sources)}
        codes = (*codes_of(record.sources), *codes_of(reached), SWITCH_OFF)
        yield _Chosen(id="two_sources", audience="both", facts=facts, codes=codes)
    yield from _generators(installation, catalogue)
    yield from _solar(installation)
    stored = [source for source in record.sources if source.kind in ("battery", "vehicle")]
    if stored:
        facts = {"names": names_of(stored), "off": offs_of(stored, catalogue)} | people_of(installation)
        yield _Chosen(id="stored_energy", audience="both", facts=facts, codes=codes_of(stored))


def _reaching(installation: Installation, source: Source) -> str:
    """A source, and which panels it feeds where that is not all of them."""
    panels = [panel for panel in installation.record.panels if source in installation.sources_reaching(panel)]
    name = names_of([source])
    if not panels or len(panels) == len(installation.record.panels):
        return name
    return tell("{source} (by this record it feeds {panels} alone)", source=name, panels=", ".join(codes_of(panels)))


def _generators(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    generators = [source for source in installation.record.sources if source.kind == "generator"]
    if not generators:
        return
    # One of which nobody knows whether it starts by itself is treated as if it does.
    starting = [source for source in generators if source.starts_by_itself.value is not False]
    if starting:
        facts = {"names": names_of(starting), "off": offs_of(starting, catalogue)}
        yield _Chosen(id="generator_starts", audience="both", facts=facts, codes=(*codes_of(starting), SWITCH_OFF))
    facts = {"names": names_of(generators)} | people_of(installation)
    yield _Chosen(id="generator_exhaust", audience="homeowner", facts=facts, codes=(*codes_of(generators), TROUBLE))
    ties = [tie for tie in installation.record.transfers if tie.source in codes_of(generators)]
    facts = {"transfers": names_of(ties) or catalogue["words"]["no_transfer"]}
    codes = (*codes_of(generators), *codes_of(ties), TROUBLE)
    yield _Chosen(id="generator_cord", audience="homeowner", facts=facts, codes=codes)


def _solar(installation: Installation) -> Iterator[_Chosen]:
    solar = [source for source in installation.record.sources if source.kind == "solar"]
    if not solar:
        return
    stays = "; ".join(one_line(source.stays_live or tell("not recorded")).rstrip(".") for source in solar)
    facts = {"names": names_of(solar), "stays_live": stays}
    yield _Chosen(id="solar_daylight", audience="both", facts=facts, codes=(*codes_of(solar), SWITCH_OFF))
    positions = [position for source in solar if (position := installation.position(source.code)) is not None]
    if positions:
        places = "; ".join(f"{position.panel.code} {position.spaces}" for position in positions)
        codes = tuple(dict.fromkeys([*codes_of(solar), *(position.panel.code for position in positions)]))
        yield _Chosen(id="solar_breaker", audience="worker", facts={"places": places}, codes=codes)


def _panels(installation: Installation) -> Iterator[_Chosen]:
    record = installation.record
    below = [panel for panel in record.panels if installation.upstream(panel) is not None]
    apart = [panel for panel in below if not panel.neutral_bonded.value]
    if apart:
        facts = {"names": names_of(apart), "fed_from": _fed_from(installation, apart)}
        yield _Chosen(id="sub_panel", audience="worker", facts=facts, codes=codes_of(apart))
    separate = [panel for panel in below if panel.separate_building]
    if separate:
        facts = {"names": names_of(separate), "fed_from": _fed_from(installation, separate)}
        yield _Chosen(id="separate_building", audience="both", facts=facts, codes=(*codes_of(separate), SWITCH_OFF))


def _at(code: str, position: Position) -> str:
    return tell("{code} at {place}", code=code, place=position.spoken)


def _fed_from(installation: Installation, panels: Iterable[Panel]) -> str:
    said = []
    for panel in panels:
        position, above = installation.fed_from(panel), installation.upstream(panel)
        if position is not None:
            said.append(_at(panel.code, position))
        elif above is not None:
            said.append(tell("{panel} at the main of {above}", panel=panel.code, above=above.code))
    return "; ".join(said)


def _wiring(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    record = installation.record
    chargers = [item for item in record.equipment if item.kind == "car charger"]
    if chargers:
        currents = [
            f"{item.code} {show(item.set_current.value) if item.set_current.value is not None else item.set_current}"
            for item in chargers
        ]
        facts = {"names": names_of(chargers), "set_current": "; ".join(currents)}
        codes = (*codes_of(chargers), *(item.circuit for item in chargers), CARE)
        yield _Chosen(id="charger", audience="homeowner", facts=facts, codes=codes)
    buried = [run for run in record.runs if buried_steps(run)]
    if buried:
        carried = dict.fromkeys(wiring.code for run in buried for wiring in installation.carried_by(run))
        facts = {"names": names_of(buried), "depth": depth_of(buried, catalogue)}
        yield _Chosen(id="underground", audience="both", facts=facts, codes=(*codes_of(buried), *carried, CARE))


def buried_steps(run: Run) -> list[Step]:
    """The pieces of a run that lie in the ground."""
    return [step for step in run.path if step.surroundings == "underground"]


def depth_of(runs: Iterable[Run], catalogue: dict[str, Any]) -> str:
    """The least cover recorded, in a sentence, or that none is."""
    steps = [step for run in runs for step in buried_steps(run)]
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
    untraced = {panel.code: told for panel in record.panels if (told := tracing(panel).told())}
    if untraced:
        places_text = ". ".join(f"{code}: {told}" for code, told in untraced.items())
        yield _Chosen(id="untraced", audience="both", facts={"places": places_text}, codes=tuple(untraced))
    for id, kind in (("no_ground", "no equipment ground"), ("aluminum", "aluminum branch wiring")):
        found = [finding for finding in record.findings if finding.kind == kind]
        if found:
            yield _Chosen(id=id, audience="both", facts={"places": _places(found)}, codes=(*_concerned(found), CARE))


def _places(found: Iterable[Finding | Unknown]) -> str:
    return "; ".join(dict.fromkeys(one_line(finding.place) for finding in found))


def _concerned(found: Iterable[Finding | Unknown]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(code for finding in found for code in (finding.code, *finding.of) if code))


def _for_everybody(installation: Installation) -> Iterator[_Chosen]:
    facts = people_of(installation)
    panels = codes_of(installation.record.panels)
    yield _Chosen(id="tripped", audience="homeowner", facts=facts, codes=(TROUBLE,))
    yield _Chosen(id="smell", audience="homeowner", facts=facts, codes=(TROUBLE, SWITCH_OFF))
    yield _Chosen(id="water", audience="homeowner", facts=facts, codes=(TROUBLE, SWITCH_OFF))
    yield _Chosen(id="never", audience="homeowner", facts=facts, codes=(*panels, TROUBLE, CARE))


def _for_workers(installation: Installation, catalogue: dict[str, Any]) -> Iterator[_Chosen]:
    record = installation.record
    panels = codes_of(record.panels)
    everything = (*panels, *installation.wirings, *codes_of(record.sources), *codes_of(record.transfers),
                  *codes_of(record.equipment), *codes_of(record.runs), *codes_of(record.boxes))  # fmt: skip
    yield _Chosen(id="not_dead", audience="worker", facts={}, codes=everything)
    mains = [panel for panel in record.panels if panel.main_kind == "main breaker"]
    if mains:
        # DANGER: once the inner cover is off, nothing stands between a hand and these parts.
        yield _Chosen(
            id="line_side", audience="worker", signal="DANGER", facts={"names": names_of(mains)}, codes=codes_of(mains)
        )
    if record.sources:
        before, after = installation.before_and_after_the_main()
        facts = people_of(installation) | {
            "sources": names_of(record.sources),
            "before": offs_of(before, catalogue, joint="\n"),
            "after": offs_of(after, catalogue, joint="\n"),
        }
        yield _Chosen(id="lock_sources", audience="worker", facts=facts, codes=(*panels, *codes_of(record.sources)))
    if record.transfers:
        sources = [source for source in record.sources if any(tie.source == source.code for tie in record.transfers)]
        sides = [
            _at(tie.code, position)
            if (position := installation.position(tie.code)) is not None
            else f"{tie.code}, {tell('not recorded')}"
            for tie in record.transfers
        ]
        facts = {
            "names": names_of(record.transfers),
            "utility_side": "; ".join(sides),
            "off": offs_of(sources, catalogue),
        }
        codes = (*codes_of(record.transfers), *(tie.feeds for tie in record.transfers), *codes_of(sources))
        yield _Chosen(id="transfer", audience="worker", facts=facts, codes=codes)


def people_of(installation: Installation) -> dict[str, str]:
    """Whom to call and where the main is, as the catalogues' placeholders name them."""
    emergency, contractor = installation.record.emergency, installation.record.contractor
    return {
        "call": one_line(emergency.call),
        "utility": one_line(emergency.utility),
        "utility_line": one_line(emergency.utility_line),
        "main_place": one_line(installation.record.service.disconnect_place),
        "contractor": one_line(contractor.name),
        "phone": one_line(contractor.phone),
    }


def offs_of(sources: Iterable[Source], catalogue: dict[str, Any], joint: str = "; ") -> str:
    """Where each of the sources is switched off, as far as recorded."""
    missing = catalogue["words"]["no_disconnect"]
    return joint.join(
        f"{source.code} {one_line(source.name)}: {one_line(source.disconnect.value or missing)}" for source in sources
    )
