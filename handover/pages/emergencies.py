"""The two pages for a bad moment: when something is wrong, and how to switch the whole place off."""

from __future__ import annotations

from dataclasses import dataclass

from handover.pages.contents import Here
from handover.pages.first_screen import Emergency, emergency_of, shutoff_name
from handover.pages.house import PanelFace, SourceOff, other_sources, panel_face, source_steps
from handover.pages.shown import date_text, glossed, sentence
from handover.pages.switching import panel_off
from handover.pages.views import Hazard, Link, Said
from handover.reminders import gfci_places
from handover.safety_notes import SWITCH_OFF, TROUBLE, deference
from handover.trouble import switch_off_steps, trouble_steps

Steps = tuple[tuple[Said, ...], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class TroubleShown:
    """One thing that can go wrong, with the numbers to call as links."""

    id: str
    heading: str
    steps: Steps
    never: Steps


@dataclass(frozen=True, kw_only=True, slots=True)
class TroublePage:
    """When something is wrong: what to do first, where resets are, what else feeds the place."""

    emergency: Emergency
    shutoff: str
    shutoff_place: str
    first: tuple[str, ...]
    then: tuple[str, ...]
    troubles: tuple[TroubleShown, ...]
    resets: tuple[str, ...]
    sources: tuple[Link, ...]
    hazards: tuple[Hazard, ...]
    deference: tuple[str, ...]
    switch_off: Link


def trouble_page(here: Here) -> TroublePage:
    """The page for when something is wrong."""
    book = here.book
    first, then = other_sources(book)
    return TroublePage(
        emergency=emergency_of(book),
        shutoff=shutoff_name(book),
        shutoff_place=sentence(book.record.service.disconnect_place),
        first=first,
        then=then,
        troubles=tuple(
            TroubleShown(
                id=trouble.id,
                heading=trouble.heading,
                steps=_tappable(here, trouble.steps),
                never=_tappable(here, trouble.never),
            )
            for trouble in trouble_steps(book.installation)
        ),
        resets=tuple(map(sentence, gfci_places(book.installation))),
        sources=tuple(here.link(source.code, glossed(source.place)) for source in book.record.sources),
        hazards=here.hazards((TROUBLE,), "homeowner"),
        deference=deference(date_text(book.record.job.dates.finished)),
        switch_off=here.entry("switch-off.html"),
    )


def _tappable(here: Here, steps: tuple[str, ...]) -> Steps:
    return tuple(map(here.tappable, steps))


@dataclass(frozen=True, kw_only=True, slots=True)
class SwitchOffPage:
    """The whole place in order on the first screen; then more of each step, and each panel for one part alone."""

    emergency: Emergency
    steps: Steps
    shutoff: str
    shutoff_place: str
    shutoff_text: tuple[Said, ...]
    shutoff_how: str
    sources: tuple[SourceOff, ...]
    panels: tuple[PanelFace, ...]
    hazards: tuple[Hazard, ...]
    deference: tuple[str, ...]


def switch_off_page(here: Here) -> SwitchOffPage:
    """How to make the whole place dead, as far as switches go."""
    book, record = here.book, here.book.record
    return SwitchOffPage(
        emergency=emergency_of(book),
        steps=_tappable(here, switch_off_steps(book.installation)),
        shutoff=shutoff_name(book),
        shutoff_place=sentence(record.service.disconnect_place),
        shutoff_text=here.tappable(record.emergency.shutoff),
        shutoff_how=panel_off(book, book.installation.service_panel),
        sources=tuple(source_steps(here, source) for source in record.sources),
        panels=tuple(panel_face(here, panel, spaces=False) for panel in record.panels),
        hazards=here.hazards((SWITCH_OFF,), "homeowner"),
        deference=deference(date_text(book.record.job.dates.finished)),
    )
