"""What somebody who lives with a thing asks of it, on its own page: how long it charges, what it feeds in an outage."""

from __future__ import annotations

from collections.abc import Iterator

from handover.charging import FROM, TO, charges, charging_power
from handover.pages.contents import Here, Thing, telephone
from handover.pages.leads import in_pieces
from handover.pages.shown import value_text
from handover.pages.switching import called
from handover.pages.views import Said
from handover.record.facts import Fact
from handover.record.supply import Source
from handover.record.wiring import Circuit, Equipment
from handover.trouble import solar_out
from handover.units import Quantity, magnitude, number_text, show
from handover.words import later, one_line, tell, words

Line = tuple[Said, ...]

_EXAMPLE = 60
"""The battery of the one example, in kWh: one of those that the table of charging times has."""


def everyday(here: Here, thing: Thing) -> tuple[Line, ...]:
    """The answers, one a line; empty for a thing that nobody asks of."""
    if isinstance(thing, Source):
        return tuple(_source(here, thing))
    if isinstance(thing, Circuit):
        on_it = here.book.installation.equipment_on(thing)
    else:
        on_it = [thing] if isinstance(thing, Equipment) else []
    return tuple(line for item in on_it if item.kind == "car charger" for line in _charger(here, item))


def volts_of(here: Here, item: Equipment) -> Fact[Quantity]:
    """The voltage of a piece of equipment; where nobody recorded it, that of its circuit."""
    circuit = _circuit(here, item)
    return item.volts if item.volts.known or circuit is None else circuit.volts


def _circuit(here: Here, item: Equipment) -> Circuit | None:
    return next((each for each in here.book.record.circuits if each.code == item.circuit), None)


def _charger(here: Here, item: Equipment) -> Iterator[Line]:
    current, volts = item.set_current.value, volts_of(here, item).value
    more = Said(text=tell("How long does the car charge?"), href=here.to_part("questions.html#charging"))
    times = charges(charging_power(volts, current)) if current is not None and volts is not None else ()
    example = next((each for each in times if magnitude(each.battery, "kilowatt_hour") == _EXAMPLE), None)
    if example is None:
        yield (more,)
    else:
        told = tell(
            "From {start} to {end}\u00a0%: a {battery} battery takes about {hours} hours.",
            start=number_text(FROM * 100), end=number_text(TO * 100), battery=show(example.battery),
            hours=f"{magnitude(example.time, 'hour'):.1f}",
        )  # fmt: skip
        yield Said(text=f"{told} "), more
    most = item.current.value
    if most is not None and current is not None and magnitude(most, "ampere") > magnitude(current, "ampere"):
        yield from _set_lower(here, item, show(most), show(current))


def _set_lower(here: Here, item: Equipment, most: str, current: str) -> Iterator[Line]:
    """That the charger was set below what it could take, and what the record says of the reason."""
    circuit = _circuit(here, item)
    if circuit is None or not circuit.why:
        lower = later("Its nameplate says {most}. It was set lower, to {current}. Why is not on record.")
        yield (Said(text=tell(lower, most=most, current=current)),)
        return
    told = tell(
        "Its nameplate says {most}. It was set lower on purpose, to {current}. The record says of its circuit: {why}",
        most=most, current=current, why=one_line(circuit.why),
    )  # fmt: skip
    notes = Said(text=tell("Notes of {code}", code=circuit.code), href=f"{here.code(circuit.code)}#why")
    yield Said(text=f"{told} "), notes


def _source(here: Here, source: Source) -> Iterator[Line]:
    book = here.book
    told = words("notes")
    if source.kind != "generator":
        out = solar_out(book.installation, told)
        if out:
            yield (Said(text=out),)
        yield here.tappable(_see(told["troubles"]["utility_out"]["heading"]))
        return
    transfers = [item for item in book.record.transfers if item.source == source.code]
    for item in transfers:
        panel, switch = called(book, item.feeds), called(book, item.code)
        fed = later("When the utility is out, it can feed {panel}. The switch for that: {switch}, {place}.")
        text = tell(fed, panel=panel, switch=switch, place=one_line(item.place))
        yield in_pieces(text, {panel: here.code(item.feeds), switch: here.code(item.code)})
    if not transfers:
        yield (Said(text=tell("Which panel it feeds, and by which switch, is not on record.")),)
    yield here.tappable(_see(told["troubles"]["generator_on"]["heading"]))
    yield _service(source)


def _see(heading: str) -> str:
    return tell('What to do then: see "{heading}".', heading=heading)


def _service(source: Source) -> Line:
    phone = source.operator_phone.value
    if phone is None:
        told = later(
            "For its service, or if its own breaker trips: call its service company. No number on record. {look}"
        )
        return (Said(text=tell(told, look=tell("Look on its label."))),)
    number = value_text(phone)
    text = tell("For its service, or if its own breaker trips: call its service company, {phone}.", phone=number)
    return in_pieces(text, {number: telephone(number)})
