"""The page of each thing that has a code: first screen, then everything the record says about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from handover.addresses import folder_of
from handover.pages.contents import Book, Here, Thing
from handover.pages.everyday import everyday
from handover.pages.evidence import material_rows, reading_table, torque_table
from handover.pages.first_screen import FirstScreen, first_screen
from handover.pages.not_known import NotKnown, not_known
from handover.pages.numbers import SubjectChecks, subject_checks, why_not_checked
from handover.pages.room import room_rows, spaces_left
from handover.pages.shown import label_of, plain, rows, said, table, value_text
from handover.pages.upstream import tied_to, transformer_rows, wires_elsewhere
from handover.pages.verify_dead import points_to_test
from handover.pages.views import Figure, Hazard, Link, Picture, Row, Said, Table
from handover.record.facts import Part
from handover.record.supply import Grounding, Panel, Source, Transfer
from handover.record.wiring import Box, Circuit, Equipment, Feeder, Run, Step, Wiring
from handover.trouble import dead_steps
from handover.words import OWN, later, tell


@dataclass(frozen=True, kw_only=True, slots=True)
class Route:
    """One run: what it is, its drawings, and in words what no drawing says: steps, and points found by measuring."""

    link: Link
    rows: tuple[Row, ...]
    figures: tuple[Figure, ...]
    steps: tuple[str, ...]
    landmarks: Table | None
    note: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Settings:
    """The settings and disconnect of one piece of equipment."""

    link: Link
    settings: tuple[tuple[str, Said, str], ...]
    disconnect: tuple[Row, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SubjectPage:
    """All that the page of one code shows.  Empty parts are left out by the template."""

    first: FirstScreen
    everyday: tuple[tuple[Said, ...], ...]
    face: Figure | None
    room: tuple[Row, ...]
    dead: tuple[tuple[Said, ...], ...]
    resets: tuple[Row, ...]
    trouble: Link
    feeds: tuple[Link, ...]
    outlets: Table | None
    pictures: tuple[Picture, ...]
    routes: tuple[Route, ...]
    figures: tuple[Figure, ...]
    facts: tuple[Row, ...]
    breaker: tuple[Row, ...]
    wires: tuple[Row, ...]
    grounding: tuple[Row, ...]
    electrodes: Table | None
    conductors: Table | None
    settings: tuple[Settings, ...]
    readings: Table | None
    torques: Table | None
    materials: tuple[tuple[Row, ...], ...]
    checks: SubjectChecks | None
    unchecked: tuple[str, ...]
    hazards: tuple[Hazard, ...]
    worker_hazards: tuple[Hazard, ...]
    test_points: tuple[str, ...]
    read_back: tuple[Row, ...]
    not_known: NotKnown
    why: str
    note: str
    directory: Link | None
    worker: Link | None


_FACTS: dict[type[Part], tuple[str, ...]] = {
    Panel: (
        "place", "volts", "bus", "main", "main_kind", "main_interrupting", "short_circuit_rating", "feed_through_lugs",
        "neutral_bonded", "terminals", "directory", "maker", "model", "serial", "year", "handle_height",
        "working_depth", "working_width", "headroom",
    ),
    Source: (
        "kind", "place", "output_current", "own_breaker", "power", "volts", "bus_end", "starts_by_itself", "disconnect",
        "stays_live", "rapid_shutdown", "rapid_shutdown_switch", "dc_raceway", "operator_phone",
        "neutral", "fuel", "fuel_shutoff", "exercise", "maker", "model", "serial", "seen",
    ),
    Transfer: ("place", "kind", "rating", "switches_neutral", "load_management", "start_delay"),
    Feeder: ("volts", "load", "continuous", "terminals", "sets", "upsized_for_voltage_drop_from", "splices"),
    Circuit: (
        "volts", "load", "continuous", "individual", "terminals", "upsized_for_voltage_drop_from", "splices",
    ),
    Equipment: (
        "place", "kind", "connection", "volts", "current", "power", "set_current", "setting_access", "rating_label",
        "minimum_circuit_ampacity", "maximum_overcurrent", "overcurrent_kind", "listed", "maker", "model", "serial",
        "height", "cable_length", "ventilation_required", "clear_space", "service_receptacle",
    ),
    Run: (
        "method", "trade_size", "pull_string", "ambient", "height_above_roof", "temperature_low", "temperature_high",
    ),
    Box: (
        "place", "kind", "access", "spliced", "volume", "devices", "internal_clamps", "largest_raceway", "pull",
        "dimension", "metal", "bonded",
    ),
}  # fmt: skip
_DISCONNECT = (
    "kind", "place", "within_sight", "distance", "rating", "lockable", "readily_accessible", "needs_tool_to_open",
)  # fmt: skip
_BREAKER = ("rating", "interrupting", "gfci", "afci", "common_trip", "listed_for_panel", "hold_down", "maker", "model")


def subject_page(here: Here, thing: Thing) -> SubjectPage:
    """The page of one thing: all of it in ``OWN``, in another language what a homeowner needs."""
    page = _whole_page(here, thing)
    if here.book.language == OWN:
        return page
    details = Link(
        text=later("Details for the worker"), href=f"{here.from_root(folder_of(thing.code))}#details", language=OWN
    )
    way = Link(text=later("How it runs"), href=f"{here.from_root(folder_of(thing.code))}#route", language=OWN)
    return replace(
        page,
        feeds=(*page.feeds, way) if page.routes else page.feeds,
        routes=(),
        figures=(),
        test_points=(),
        checks=None,
        unchecked=(),
        outlets=_outlets(thing, _OUTLET[:2]),
        worker=details,
    )


def _whole_page(here: Here, thing: Thing) -> SubjectPage:
    book = here.book
    record = book.record
    related = related_codes(book, thing)
    position = book.installation.position(thing.circuit if isinstance(thing, Equipment) else thing.code)
    equipment = [item for item in record.equipment if item.code in related]
    grounding = _grounding(book, thing)
    checks, open_ = subject_checks(here, thing.code), not_known(here, thing, related)
    return SubjectPage(
        first=first_screen(book, thing),
        everyday=everyday(here, thing),
        face=_face(here, thing),
        room=_room(here, thing) if isinstance(thing, Panel) else (),
        dead=tuple(map(here.tappable, _dead(book, thing))),
        resets=reset_rows(book, thing),
        trouble=here.entry("trouble.html"),
        feeds=tied_to(here, thing),
        outlets=_outlets(thing),
        pictures=here.pictures(photo for photo in book.pack.photos if related & set(photo.photo.of)),
        routes=tuple(route(here, run) for run in _runs(book, thing)),
        figures=here.figures(book.drawings_of(thing.code)) if not isinstance(thing, Run) else (),
        facts=(
            *rows(thing, *_FACTS[type(thing)]),
            *(transformer_rows(record.service) if thing is book.installation.service_panel else ()),
        ),
        breaker=rows(position.slot.breaker, *_BREAKER) if position and position.slot.breaker else (),
        wires=wires_elsewhere(here, thing),
        grounding=rows(grounding, "conductor", "conductor_material", "all_present_used", "intersystem_bonding")
        if grounding
        else (),
        electrodes=_electrodes(grounding) if grounding else None,
        conductors=conductor_table(thing.conductors) if isinstance(thing, Wiring | Box) else None,
        settings=tuple(_settings(here, item) for item in equipment if item.settings or item.disconnect),
        readings=reading_table(book, [reading for reading in record.readings if reading.of in related]),
        torques=torque_table(book, [torque for torque in record.torques if torque.of in related]),
        materials=tuple(material_rows(item) for item in record.materials if item.for_code in related),
        checks=checks,
        unchecked=() if checks is not None else why_not_checked(thing, open_.facts),
        hazards=here.hazards(related, "homeowner"),
        worker_hazards=here.hazards(related, "worker", shared=False),
        test_points=points_to_test(book, thing),
        read_back=tuple(
            Row(label=setting.name, said=plain(setting.read_back))
            for item in equipment
            for setting in item.settings
            if setting.read_back
        ),
        not_known=open_,
        why=getattr(thing, "why", None) or "",
        note=thing.note or "",
        directory=here.entry("directory.html") if isinstance(thing, Panel) else None,
        worker=None,
    )


def related_codes(book: Book, thing: Thing) -> set[str]:
    """The thing's own code, with those of a circuit's equipment, or of the circuit of a piece of equipment."""
    if isinstance(thing, Circuit):
        return {thing.code, *(item.code for item in book.installation.equipment_on(thing))}
    if isinstance(thing, Equipment):
        return {thing.code, thing.circuit}
    return {thing.code}


def conductor_table(conductors: Iterable[Part]) -> Table | None:
    """Conductors by role."""
    fields = ("role", "count", "size", "material", "insulation", "colour")
    every = [tuple(_cell(item, field) for field in fields) for item in conductors]
    columns = ("Use", "How many", "Size", "Metal", "Insulation", "Color")
    return table("Conductors", columns, every) if every else None


def route(here: Here, run: Run) -> Route:
    """One run, for the pages of what it carries and for its own."""
    figures = here.figures(here.book.drawings_of(run.code))
    landmarks = [
        (
            plain(mark.point),
            _measure(mark.distance_first, mark.from_first),
            _measure(mark.distance_second, mark.from_second),
            said(mark.depth),
        )
        for mark in run.landmarks
    ]
    columns = ("Hidden point", "First measure", "Second measure", "Depth")
    return Route(
        link=here.link(run.code),
        rows=rows(run, *_FACTS[Run]),
        figures=figures,
        steps=() if figures else tuple(_step_text(step) for step in run.path),
        landmarks=table("How to find hidden points again", columns, landmarks) if landmarks and not figures else None,
        note=run.note or "",
    )


def _cell(part: Part, field: str) -> Said | None:
    value = getattr(part, field)
    return None if value is None else said(value) if hasattr(value, "basis") else plain(value_text(value))


def _measure(distance: object, mark: str) -> Said:
    shown = said(distance)  # type: ignore[arg-type]  # a Fact of feet
    return Said(text=f"{shown.text} from {mark}", tag=shown.tag, open=shown.open) if shown else plain(f"from {mark}")


def _step_text(step: Step) -> str:
    """A step of a run in words, for a record whose drawing was not made."""
    parts = [str(step.step).capitalize()]
    for field in ("length", "degrees", "cover", "sealed", "setting"):
        shown = said(getattr(step, field))
        if shown is not None:
            parts.append(f"{label_of(field).lower()} {shown.text}")
    parts += [
        str(getattr(step, field)) for field in ("at", "turns", "surroundings", "behind", "note") if getattr(step, field)
    ]
    return ", ".join(parts) + "."


def _face(here: Here, thing: Thing) -> Figure | None:
    if isinstance(thing, Panel):
        return here.figure(f"face-{thing.code}")
    code = thing.circuit if isinstance(thing, Equipment) else thing.code
    position = here.book.installation.position(code)
    if position is None:
        return None
    return here.figure(f"face-{position.panel.code}-{code}") or here.figure(f"face-{position.panel.code}")


def _room(here: Here, panel: Panel) -> tuple[Row, ...]:
    return Row(label=later("Spaces with no breaker"), said=plain(spaces_left(panel))), *room_rows(here, panel)


def _circuit_of(book: Book, thing: Thing) -> Circuit | None:
    circuit: object = book.installation.wirings.get(thing.circuit) if isinstance(thing, Equipment) else thing
    return circuit if isinstance(circuit, Circuit) else None


def _dead(book: Book, thing: Thing) -> tuple[str, ...]:
    circuit = _circuit_of(book, thing)
    return dead_steps(book.installation, circuit) if circuit is not None else ()


def reset_rows(book: Book, thing: Thing) -> tuple[Row, ...]:
    """The outlets of a circuit of which it is not on record, or not known, where their shock guard is reset."""
    circuit = _circuit_of(book, thing)
    made = []
    for outlet in circuit.outlets if circuit is not None else ():
        guard = said(outlet.gfci)
        if guard is not None and not outlet.gfci_reset and outlet.gfci.value not in ("in the breaker", "none"):
            told = (
                later("Guard: {guard}") if guard.open else later("Guard: {guard}. Where to reset it is not on record.")
            )
            text = tell(told, guard=guard.text)
            made.append(Row(label=outlet.what, said=Said(text=text, tag=guard.tag, open=guard.open)))
    return tuple(made)


_OUTLET = (
    ("what", later("What")), ("place", later("Where")), ("kind", "Kind"), ("rating", "Rating"),
    ("gfci", "Shock guard (GFCI)"), ("tamper_resistant", "Tamper-resistant"),
    ("listed_for_ev", "Listed to charge cars"),
)  # fmt: skip


def _outlets(thing: Thing, columns: tuple[tuple[str, str], ...] = _OUTLET) -> Table | None:
    if not isinstance(thing, Circuit) or not thing.outlets:
        return None
    every = [tuple(_cell(item, field) for field, _ in columns) for item in thing.outlets]
    return table(later("Outlets"), tuple(heading for _, heading in columns), every)


def _runs(book: Book, thing: Thing) -> list[Run]:
    if isinstance(thing, Run):
        return [thing]
    wiring = book.installation.wirings.get(thing.circuit if isinstance(thing, Equipment) else thing.code)
    return book.installation.runs_of(wiring) if wiring is not None else []


def _grounding(book: Book, thing: Thing) -> Grounding | None:
    if not isinstance(thing, Panel):
        return None
    return thing.grounding or (book.record.service.grounding if thing is book.installation.service_panel else None)


def _electrodes(grounding: Grounding) -> Table | None:
    fields = ("kind", "work", "length", "spacing", "place", "resistance_note")
    columns = ("Electrode", "Work", "Length", "Spacing", "Where", "Note")
    every = [tuple(_cell(item, field) for field in fields) for item in grounding.electrodes]
    return table("Grounding electrodes", columns, every) if every else None


def _settings(here: Here, equipment: Equipment) -> Settings:
    return Settings(
        link=here.link(equipment.code),
        settings=tuple(
            (setting.name, said(setting.value) or plain("–"), setting.may_change or "")
            for setting in equipment.settings
        ),
        disconnect=rows(equipment.disconnect, *_DISCONNECT) if equipment.disconnect else (),
    )
