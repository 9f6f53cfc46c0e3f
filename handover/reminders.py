"""What to look after, chosen by what the record holds, as a list and as a calendar file (RFC 5545).

Dates count from the day the work was finished, never from today, so that a rebuilt file updates an entry instead of
doubling it.  The only module that imports icalendar.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Any

import icalendar

from handover.pack import Reminder
from handover.record.evidence import ReminderSetting
from handover.record.installation import Installation, Position
from handover.record.wiring import Circuit, Outlet, Run
from handover.words import Named, codes_of, lines_of, names_of, one_line, spoken, tell, words

_OUTSIDE = ("outdoors", "roof", "underground")
_LAST_DAY_OF_ALL_MONTHS = 28
"""A monthly entry on the 29th to 31st would skip months (RFC 5545, 3.3.10: an invalid date is left out)."""
_SAYS_NONE = re.compile(r"(no|none|not|nothing)\b", re.IGNORECASE)


def reminders(installation: Installation) -> tuple[Reminder, ...]:
    """What this installation asks for, in the catalogue's order, then the contractor's own reminders."""
    record = installation.record
    chosen = chain(_protection(installation), _equipment(installation), _sources(installation), _always(installation))
    catalogue = words("reminders")
    made = [_from_catalogue(catalogue, each, record.job.dates.finished) for each in chosen]
    made.sort(key=lambda reminder: list(catalogue["reminders"]).index(reminder.id))
    return (*made, *(_own(catalogue, setting) for setting in record.reminders))


@dataclass(frozen=True, slots=True)
class _Chosen:
    """A reminder of the catalogue that this installation asks for: how often, the first time, about what."""

    id: str
    who: str
    every_months: int
    first_after_months: int
    facts: dict[str, str]
    codes: tuple[str, ...]


def _protection(installation: Installation) -> Iterator[_Chosen]:
    devices = _each_its_line(gfci_places(installation))
    breakers = [position.slot.feeds for position in installation.breakers_with("gfci")]
    codes = [*breakers, *(circuit.code for circuit, _ in _gfci_receptacles(installation))]
    if devices:
        yield _Chosen("gfci_test", "you", 1, 1, {"devices": devices}, _known(codes))
    arc = installation.breakers_with("afci")
    if arc:
        where = {"devices": _each_its_line(dict.fromkeys(map(_breaker, arc)))}
        yield _Chosen("afci_test", "you", 1, 1, where, _known(position.slot.feeds for position in arc))


def gfci_places(installation: Installation) -> tuple[str, ...]:
    """Where each GFCI is that can be tested or reset, breakers first; empty where none is known."""
    in_breakers = map(_breaker, installation.breakers_with("gfci"))
    return tuple(dict.fromkeys([*in_breakers, *(place for _, place in _gfci_receptacles(installation))]))


def _gfci_receptacles(installation: Installation) -> list[tuple[Circuit, str]]:
    """The circuit of each receptacle with a GFCI of its own, and how to find it."""

    def found_at(outlet: Outlet) -> str:
        reset = f" ({outlet.gfci_reset})" if outlet.gfci_reset else ""
        return one_line(f"{outlet.what}, {outlet.place}{reset}")

    return [
        (circuit, found_at(outlet))
        for circuit, outlet in installation.outlets()
        if outlet.gfci.value == "in this receptacle"
    ]


def _breaker(position: Position) -> str:
    panel = f"{position.panel.name} ({position.panel.code})"
    return one_line(tell("breaker {spaces} in {panel}", spaces=position.spaces, panel=panel))


def _equipment(installation: Installation) -> Iterator[_Chosen]:
    record = installation.record
    chargers = [item for item in record.equipment if item.kind == "car charger"]
    if chargers:
        yield _Chosen("charger_look", "look", 1, 1, _names(chargers), codes_of(chargers))
    heat_pumps = [item for item in record.equipment if item.kind == "heat pump"]
    if heat_pumps:
        yield _Chosen("heat_pump_look", "you", 1, 1, _names(heat_pumps), codes_of(heat_pumps))
        service = "the equipment's service company"
        yield _Chosen("heat_pump_service", service, 12, 12, _names(heat_pumps), codes_of(heat_pumps))
    surge = [item for item in record.equipment if item.kind == "surge protector"]
    fitted = record.service.surge_protection.value
    # The record says in words what is there; "none seen" and "no" are such words too.
    if surge or (fitted and not _SAYS_NONE.match(fitted)):
        names = _names(surge) if surge else {"names": one_line(fitted or "")}
        yield _Chosen("surge_light", "look", 1, 1, names, codes_of(surge))
    outside: list[Named] = [
        *(run for run in record.runs if _runs_outside(run)),
        *(it for it in record.equipment if it.outdoors.value),
    ]
    if outside:
        yield _Chosen("outdoor_look", "look", 6, 6, _names(outside), codes_of(outside))


def _runs_outside(run: Run) -> bool:
    return any(step.surroundings in _OUTSIDE or step.step == "expansion fitting" for step in run.path)


def _sources(installation: Installation) -> Iterator[_Chosen]:
    generators = [source for source in installation.record.sources if source.kind == "generator"]
    if generators:
        exercise = "; ".join(one_line(str(source.exercise)) for source in generators)
        yield _Chosen("generator_look", "you", 1, 1, _names(generators) | {"exercise": exercise}, codes_of(generators))
        service = "the equipment's service company"
        yield _Chosen("generator_test", service, 12, 12, _names(generators), codes_of(generators))
    solar = [source for source in installation.record.sources if source.kind == "solar"]
    if solar:
        yield _Chosen("solar_look", "look", 6, 6, _names(solar), codes_of(solar))


def _always(installation: Installation) -> Iterator[_Chosen]:
    record = installation.record
    yield _Chosen("panel_look", "look", 6, 6, _names(record.panels), codes_of(record.panels))
    yield _Chosen("smoke_alarms", "you", 1, 1, {}, ())
    new: list[Named] = [
        *(panel for panel in record.panels if panel.work != "existing"),
        *(feeder for feeder in record.feeders if feeder.work != "existing"),
        *(item for item in record.equipment if item.work != "existing"),
    ]
    if new:
        yield _Chosen("thermal_check", "an electrician", 36, 12, _names(new), codes_of(new))
    yield _Chosen("read_record", "you", 12, 12, {}, ())


def _names(things: Iterable[Named]) -> dict[str, str]:
    return {"names": names_of(things)}


def _each_its_line(places: Iterable[str]) -> str:
    """One place to press a line: they are walked to one by one."""
    return "\n".join(f"{place[:1].upper()}{place[1:]}." for place in places)


def _known(codes: Iterable[str | None]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(code for code in codes if code))


def _months_after(day: dt.date, months: int) -> dt.date:
    years, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return dt.date(years, month + 1, min(day.day, _LAST_DAY_OF_ALL_MONTHS))


def _from_catalogue(catalogue: dict[str, Any], chosen: _Chosen, finished: dt.date) -> Reminder:
    entry = catalogue["reminders"][chosen.id]
    return Reminder(
        id=chosen.id,
        what=entry["what"],
        how="\n".join(lines_of(entry["how"], chosen.facts)),
        who=catalogue["who"][chosen.who],
        every_months=chosen.every_months,
        first=_months_after(finished, chosen.first_after_months),
        why=entry["why"],
        source=entry["source"],
        codes=chosen.codes,
    )


def _own(catalogue: dict[str, Any], setting: ReminderSetting) -> Reminder:
    return Reminder(
        id=setting.code,
        what=setting.what,
        how=setting.how,
        who=catalogue["who"][setting.who],
        every_months=setting.every_months,
        first=setting.first,
        why=catalogue["own_why"],
        source=catalogue["own_source"],
    )


def calendar_bytes(installation: Installation, every: Iterable[Reminder]) -> bytes:
    """The reminders as one calendar file: all-day entries that repeat, readable without any link.

    Source: RFC 5545.  Each entry keeps its UID through every revision of the record, and the revision's number as
    SEQUENCE, so that a calendar takes a newer file as an update.
    """
    record = installation.record
    calendar = icalendar.Calendar()
    calendar.add("prodid", f"-//handover//reminders//{spoken().upper()}")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    for reminder in every:
        calendar.add_component(_event(installation, reminder))
    made: bytes = calendar.to_ical()
    assert record.job.pack.encode() in made or not calendar.subcomponents
    return made


def _event(installation: Installation, reminder: Reminder) -> icalendar.Event:
    record = installation.record
    revision = record.revisions[-1] if record.revisions else None
    issued = revision.date if revision is not None else record.job.dates.finished
    event = icalendar.Event()
    event.add("uid", f"{record.job.pack}-{reminder.id}@handover")
    event.add("dtstamp", dt.datetime.combine(issued, dt.time(), dt.UTC))
    event.add("sequence", revision.number if revision is not None else 0)
    event.add("dtstart", reminder.first)
    if reminder.every_months:  # the contractor may ask for a thing to be done once
        event.add("rrule", _repeats(reminder.every_months))
    event.add("summary", reminder.what)
    event.add("description", _told(installation, reminder))
    event.add("transp", "TRANSPARENT")  # a reminder does not make anybody's day busy
    return event


def _repeats(months: int) -> icalendar.vRecur:
    years, rest = divmod(months, 12)
    if rest:
        return icalendar.vRecur({"freq": "monthly", "interval": months})
    return icalendar.vRecur({"freq": "yearly", "interval": years})


def _told(installation: Installation, reminder: Reminder) -> str:
    catalogue, contractor = words("reminders"), installation.record.contractor
    facts = {
        "codes": ", ".join(reminder.codes),
        "contractor": one_line(contractor.name),
        "phone": one_line(contractor.phone),
    }
    also = lines_of(catalogue["also"], facts) if reminder.codes else ()
    ends = (reminder.who, reminder.why, *also, *lines_of(catalogue["call"], facts), catalogue["limits"])
    return "\n".join((reminder.how, "", *ends))
