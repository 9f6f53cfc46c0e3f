"""Facts, dates and codes as text for people.  Rounds through ``units.show`` and nowhere else."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from typing import Any

from handover.pages.views import Cell, Row, Said, Table
from handover.record.facts import Basis, Fact, Part
from handover.record.supply import Slot
from handover.units import Quantity, magnitude, number_text, show, ureg
from handover.words import later, tell, words

BASIS_WORDS = {
    Basis.RECORDED: "",
    Basis.MEASURED: later("measured"),
    Basis.NAMEPLATE: later("from the nameplate"),
    Basis.OBSERVED: later("seen, not measured"),
    Basis.DOCUMENT: later("from a document"),
    Basis.TOLD_BY_OWNER: later("told by the owner"),
    Basis.INFERRED: later("worked out, not seen"),
}
"""How a fact is known, in words a homeowner reads.  The rest of ``Basis`` carries no value."""

OPEN_WORDS = {Basis.UNKNOWN: later("Unknown"), Basis.NOT_CHECKED: later("Not checked")}

_MONTHS = (
    later("January"), later("February"), later("March"), later("April"), later("May"), later("June"), later("July"),
    later("August"), later("September"), later("October"), later("November"), later("December"),
)  # fmt: skip

_WAYS = (
    later("north"), later("northeast"), later("east"), later("southeast"), later("south"), later("southwest"),
    later("west"), later("northwest"),
)  # fmt: skip
"""Where a photo looks, as records mostly say it: told in every language, while words of a record's own stay."""

# Field names of the record that do not read as a label when their underscores become spaces.
_LABELS = {
    "bus": later("Bus rating"),
    "main": later("Main rating"),
    "main_interrupting": later("Main breaker can interrupt"),
    "interrupting": later("Breaker can interrupt"),
    "gfci": later("Ground-fault protection (GFCI)"),
    "afci": later("Arc-fault protection (AFCI)"),
    "neutral_bonded": later("Neutral bonded to ground here"),
    "terminals": later("Terminals rated"),
    "rating": later("Rating"),
    "volts": later("Volts"),
    "set_current": later("Set to"),
    "current": later("Nameplate current"),
    "minimum_circuit_ampacity": later("Least circuit ampacity on nameplate (MCA)"),
    "maximum_overcurrent": later("Largest breaker or fuse on nameplate (MOCP)"),
    "overcurrent_kind": later("Nameplate asks for"),
    "output_current": later("Output current"),
    "own_breaker": later("Rating of its own breaker or fuse"),
    "bus_end": later("Where it joins the panel"),
    "stays_live": later("What stays live"),
    "rapid_shutdown": later("Has rapid shutdown"),
    "rapid_shutdown_switch": later("Rapid shutdown is started at"),
    "dc_raceway": later("Where its DC wires run"),
    "operator_phone": later("Operator's emergency number"),
    "height": later("Height above floor or ground"),
    "listed": later("Listing mark"),
    "connection": later("Connected by"),
    "continuous": later("Runs for 3 hours or more"),
    "individual": later("Feeds one thing only"),
    "splices": later("Splices"),
    "access": later("How to reach it"),
    "spliced": later("Holds splices"),
    "pull_string": later("Pull string left in"),
    "service_receptacle": later("Distance to a service receptacle"),
    "upsized_for_voltage_drop_from": later("Conductor made larger than"),
    "all_present_used": later("All electrodes present are used"),
    "intersystem_bonding": later("Bonding point for other systems"),
    "short_circuit_rating": later("Short-circuit rating"),
    "directory": later("Directory"),
    "traced": later("Traced to what it feeds"),
    "kind": later("Kind"),
    "place": later("Place"),
    "within_sight": later("Within sight"),
    "distance": later("Distance"),
    "lockable": later("Lockable"),
    "readily_accessible": later("Readily accessible"),
    "needs_tool_to_open": later("Needs tool to open"),
}


def label_of(field: str) -> str:
    """The label of a record field, for people."""
    return _LABELS.get(field) or field.replace("_", " ").capitalize()


def date_text(date: dt.date) -> str:
    """``June 12, 2026``: the same on every machine, whatever its language."""
    return tell("{month} {day}, {year}", month=tell(_MONTHS[date.month - 1]), day=date.day, year=date.year)


def month_name(month: int) -> str:
    """``January`` for 1."""
    return tell(_MONTHS[month - 1])


def way_text(looking: str) -> str:
    """``north`` in the spoken language; other words of a record stay."""
    return tell(looking) if looking in _WAYS else looking


def listed(words: Iterable[str], last: str = later("and")) -> str:
    """``1, 3 and 5``."""
    every = list(words)
    return f" {tell(last)} ".join(part for part in (", ".join(every[:-1]), every[-1]) if part) if every else ""


def lines(*every: str | None) -> tuple[str, ...]:
    """The lines that say something."""
    return tuple(line for line in every if line)


def sentence(text: str) -> str:
    """A text that begins with a capital, for places written in small letters."""
    return text[:1].upper() + text[1:]


_GLOSSED = ("inverter", "meter-main", "rough-in", "energized", "AHJ")


def glossed(text: str) -> str:
    """A text for a homeowner with what a trade word means behind it, the first time it stands there."""
    meanings = words("glossary")
    for word in _GLOSSED:
        found = re.search(rf"\b{re.escape(word)}\b", text, re.IGNORECASE)
        if found:
            meaning = str(meanings[word]).split(". ")[0].rstrip(".")
            text = f"{text[: found.end()]} ({meaning[0].lower()}{meaning[1:]}){text[found.end() :]}"
    return text


def spaces_text(slot: Slot) -> str:
    """``spaces 18 and 20`` or ``space 5``."""
    numbers = [str(space) for space in slot.spaces]
    if len(numbers) == 1:
        return tell("space {number}", number=numbers[0])
    return tell("spaces {numbers}", numbers=listed(numbers))


def amperes_text(fact: Fact[Quantity]) -> str:
    """``40 amperes``, or what is known instead."""
    if fact.value is None:
        known = tell(OPEN_WORDS.get(fact.basis, later("Not on record"))).lower()
        return tell("amperes {known}", known=known)
    return tell("{number} amperes", number=number_text(magnitude(fact.value, "ampere")))


def value_text(value: object) -> str:
    """A value for people, for facts that were not written as text."""
    if isinstance(value, ureg.Quantity):
        return show(value)
    if isinstance(value, bool):
        return tell("yes") if value else tell("no")
    if isinstance(value, dt.date):
        return date_text(value)
    return tell(str(value))


def said(fact: Fact[Any], href: str = "") -> Said | None:
    """A fact as shown.  None for one that the record leaves out or this edition does not show: no row, no claim."""
    if fact.basis in OPEN_WORDS:
        return Said(text=tell(OPEN_WORDS[fact.basis]), open=True, note=fact.note or "")
    if fact.value is None:
        return None
    text = value_text(fact.value) if isinstance(fact.value, dt.date) else tell(fact.written) or value_text(fact.value)
    return Said(text=text, tag=tell(BASIS_WORDS.get(fact.basis, "")), note=fact.note or "", href=href)


def plain(text: object, href: str = "", tag: str = "") -> Said:
    """Text that is no fact: a name, a code, a place."""
    return Said(text=str(text), href=href, tag=tag)


def rows(part: Part, *fields: str) -> tuple[Row, ...]:
    """The named fields of a part as rows, in that order, without those that are not on record."""
    made = []
    for field in fields:
        value = getattr(part, field)
        shown = said(value) if isinstance(value, Fact) else plain(value_text(value)) if value else None
        if shown is not None:
            made.append(Row(label=label_of(field), said=shown))
    return tuple(made)


def table(
    caption: str, columns: tuple[str, ...], lines: Iterable[tuple[Said | None, ...]], *, narrow: bool = False
) -> Table:
    """A table; a cell with nothing on record is a dash.  A column that nobody filled is left out."""
    every = [tuple(line) for line in lines]
    used = [place for place in range(len(columns)) if any(line[place] is not None for line in every)]
    return Table(
        caption=caption,
        columns=tuple(columns[place] for place in used),
        rows=tuple(tuple(_cell(columns[place], line[place]) for place in used) for line in every),
        narrow=narrow,
    )


def _cell(column: str, shown: Said | None) -> Cell:
    return Cell(column=column, said=shown or Said(text="–"), empty=shown is None)


def open_facts(part: Part, of: str = "") -> Iterator[tuple[str, str, Said]]:
    """Every fact of a part that is unknown or was not checked: what it belongs to, its label, as shown."""
    if isinstance(part, Slot):
        here = f"{of}, {spaces_text(part)}"
    else:
        own = (getattr(part, name, None) for name in ("code", "name"))
        here = " ".join(word for word in own if isinstance(word, str)) or of
    for field in type(part).model_fields:
        value = getattr(part, field)
        if isinstance(value, Fact):
            shown = said(value)
            if shown is not None and shown.open:
                yield here, label_of(field), shown
        elif isinstance(value, Part):
            yield from open_facts(value, _within(here, field))
        elif isinstance(value, tuple):
            for which, item in _told_apart(value):
                # A slot is named by its spaces.
                yield from open_facts(item, here if isinstance(item, Slot) else f"{_within(here, field)} ({which})")


def _told_apart(value: tuple[Any, ...]) -> Iterator[tuple[str, Part]]:
    """The parts of a list, each with what tells it from the others: which conductor, outlet or rod it is."""
    parts = [part for part in value if isinstance(part, Part)]
    names = [_which(part) for part in parts]
    for place, (name, part) in enumerate(zip(names, parts, strict=True), 1):
        yield (name if name and names.count(name) == 1 else f"{name} {place}".strip()), part


def _which(part: Part) -> str:
    names = (getattr(part, field, None) for field in ("role", "what", "point", "step", "terminal", "file", "kind"))
    return next((name for name in names if isinstance(name, str)), "")


def _within(of: str, field: str) -> str:
    return f"{of}, {label_of(field).lower()}" if of else label_of(field)
