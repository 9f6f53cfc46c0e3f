"""Reminders follow from the record, count from its dates, and survive a calendar program."""

from __future__ import annotations

import datetime as dt
import re

import icalendar
import pytest
import vobject
from jobs import job

from handover.record.installation import Installation
from handover.reminders import calendar_bytes, reminders
from handover.words import languages, speaking

FINISHED = "2026-06-12"
ALWAYS = {"panel_look", "smoke_alarms", "read_record"}
PANEL = """
panels:
  - code: P1
    name: Main panel
    place: hall
    work: {work}
    spaces: 4
    main_kind: main breaker
    main: 200 A
    slots:
      - {{spaces: [1], breaker: {{rating: 20 A, gfci: {gfci}, afci: {afci}}}, feeds: C1}}
circuits:
  - code: C1
    name: Bench
    work: new
    volts: 120 V
    outlets: [{{what: receptacle, place: north wall, area: garage, kind: receptacle, gfci: {outlet}}}]
"""


def made(text=""):
    return reminders(Installation(job(text)))


def ids(text=""):
    return {reminder.id for reminder in made(text)}


def panel(work="existing", gfci="no", afci="no", outlet="none"):
    return PANEL.format(work=work, gfci=gfci, afci=afci, outlet=outlet)


def equipment(kind, **more):
    extra = "".join(f", {key}: {value}" for key, value in more.items())
    return f"equipment: [{{code: E1, name: Thing, kind: {kind}, circuit: C1, place: carport, work: existing{extra}}}]"


def source(kind):
    return f"sources: [{{code: S1, kind: {kind}, name: Other supply, place: yard, work: existing}}]"


def test_a_bare_house_gets_only_what_every_house_needs():
    assert ids() == ALWAYS


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (panel(gfci="yes"), {"gfci_test"}),
        (panel(outlet="in this receptacle"), {"gfci_test"}),
        (panel(outlet="in another receptacle"), set()),
        (panel(gfci="unknown"), set()),
        (panel(afci="yes"), {"afci_test"}),
        (panel(work="new"), {"thermal_check"}),
        (equipment("car charger"), {"charger_look"}),
        (equipment("heat pump"), {"heat_pump_look", "heat_pump_service"}),
        (equipment("surge protector"), {"surge_light"}),
        (equipment("kiln", outdoors="yes"), {"outdoor_look"}),
        (source("generator"), {"generator_look", "generator_test"}),
        (source("solar"), {"solar_look"}),
        (
            "runs: [{code: R1, name: Feeder, work: existing, method: EMT, "
            "path: [{step: straight, surroundings: underground}]}]",
            {"outdoor_look"},
        ),
    ],
)
def test_what_is_there_is_looked_after(text, expected):
    assert ids(text) == ALWAYS | expected


@pytest.mark.parametrize(
    ("said", "fitted"),
    [("none seen", False), ("not fitted", False), ("in the main panel", True), ("Northgale unit in the panel", True)],
)
def test_a_surge_protector_counts_only_where_one_is_said_to_be(said, fitted):
    service = "{utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: outside, "
    text = f"service: {service} surge_protection: {said}}}"
    assert ("surge_light" in ids(text)) is fitted


def test_dates_count_from_the_day_the_work_was_finished():
    by_id = {reminder.id: reminder for reminder in made(panel(gfci="yes", work="new"))}
    assert (by_id["gfci_test"].every_months, by_id["gfci_test"].first) == (1, dt.date(2026, 7, 12))
    assert (by_id["panel_look"].every_months, by_id["panel_look"].first) == (6, dt.date(2026, 12, 12))
    # First after one year, then every three.
    assert (by_id["thermal_check"].every_months, by_id["thermal_check"].first) == (36, dt.date(2027, 6, 12))


def test_work_finished_on_the_last_day_of_a_month_skips_no_month():
    """RFC 5545, 3.3.10: a date that a month does not have is left out, so entries begin on the 28th at the latest."""
    text = (
        "job: {title: T, kind: other, number: T-1, pack: AAAAAAAAAAAAAAAAAAAAAAAAA, "
        "publish_at: https://packs.example, summary: S, dates: {finished: 2026-12-31}}"
    )
    assert {reminder.first.day for reminder in made(text)} == {28}
    assert next(each.first for each in made(text) if each.id == "smoke_alarms") == dt.date(2027, 1, 28)


def test_each_says_who_why_and_on_what_ground():
    text = panel(gfci="yes", afci="yes", work="new") + equipment("car charger") + "\n" + source("generator")
    for reminder in made(text):
        assert all((reminder.what, reminder.how, reminder.who, reminder.why, reminder.source))
        assert "{" not in reminder.how


def test_tightening_is_never_scheduled():
    """Common practice: a good joint is not turned again; a hot one is remade."""
    text = panel(work="new") + equipment("heat pump")
    told = " ".join(f"{each.what} {each.how}" for each in made(text))
    assert "tightened blindly" in told
    assert not re.search(r"\b(re-?tighten|re-?torque)", told)


def test_where_to_press_is_told():
    how = next(each.how for each in made(panel(gfci="yes", outlet="in this receptacle")) if each.id == "gfci_test")
    assert "Breaker 1 in Main panel (P1).\nReceptacle, north wall." in how


OWN = """
reminders:
  - {code: Y1, what: Empty the drain pan, how: "Lift it; {pour} it out.\\nPut it back.", who: an electrician, every_months: 6, first: 2027-01-31}
  - {code: Y2, what: Ring us once, how: Call., who: you, every_months: 0, first: 2026-09-01}
"""  # noqa: E501


def test_the_contractors_own_come_last_and_as_written():
    *_, drain, once = made(OWN)
    assert (drain.id, drain.every_months, drain.first) == ("Y1", 6, dt.date(2027, 1, 31))
    assert drain.how == "Lift it; {pour} it out.\nPut it back."
    assert once.every_months == 0


def calendar(text=""):
    installation = Installation(job(text))
    return calendar_bytes(installation, reminders(installation))


def test_the_calendar_is_as_rfc_5545_wants_it():
    """RFC 5545: 3.1 CRLF and lines folded at 75 octets; 3.6.1 UID and DTSTAMP; 3.3.4 DATE values; 3.8.7.4 SEQUENCE."""
    data = calendar(panel(gfci="yes", work="new") + source("generator"))
    lines = data.split(b"\r\n")
    assert lines[-1] == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(map(len, lines)) <= 75
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    assert len(events) == len(made(panel(gfci="yes", work="new") + source("generator")))
    for event in events:
        assert isinstance(event.decoded("dtstart"), dt.date)
        assert not isinstance(event.decoded("dtstart"), dt.datetime)
        assert event["dtstart"].params["VALUE"] == "DATE"
        assert event.decoded("dtstamp") == dt.datetime(2026, 6, 12, tzinfo=dt.UTC)
        assert event.decoded("sequence") == 1
        assert "http" not in event["description"].lower()
        assert "555-0100" in event["description"]


def test_the_calendar_says_what_the_list_says():
    text = panel(gfci="yes") + OWN
    installation = Installation(job(text))
    every = reminders(installation)
    events = icalendar.Calendar.from_ical(calendar(text)).walk("VEVENT")
    for reminder, event in zip(every, events, strict=True):
        assert event["uid"] == f"AAAAAAAAAAAAAAAAAAAAAAAAA-{reminder.id}@handover"
        assert str(event["summary"]) == reminder.what
        assert str(event["description"]).startswith(reminder.how)
        assert event.decoded("dtstart") == reminder.first
        rule = event.get("rrule")
        if not reminder.every_months:
            assert rule is None
        elif reminder.every_months % 12:
            assert (rule["FREQ"], rule["INTERVAL"]) == (["MONTHLY"], [reminder.every_months])
        else:
            assert (rule["FREQ"], rule["INTERVAL"]) == (["YEARLY"], [reminder.every_months // 12])


def test_a_new_revision_updates_entries_instead_of_doubling_them():
    later = """
    revisions:
      - {number: 1, date: 2026-06-12, by: A tester, what: First issue.}
      - {number: 2, date: 2027-02-03, by: A tester, what: Second issue.}
    """
    first, second = (icalendar.Calendar.from_ical(calendar(text)).walk("VEVENT") for text in ("", later))
    assert [event["uid"] for event in first] == [event["uid"] for event in second]
    assert {event.decoded("sequence") for event in second} == {2}
    assert {event.decoded("dtstamp").date() for event in second} == {dt.date(2027, 2, 3)}


def calendar_in(language, text=""):
    with speaking(language):
        return calendar(text)


@pytest.mark.parametrize("language", languages())
def test_another_parser_reads_the_same_dates(language):
    """Vobject reads each entry, and dateutil its rule: the first day, and the next three times as counted by hand."""
    text = panel(gfci="yes", work="new") + source("generator") + OWN
    with speaking(language):
        every = reminders(Installation(job(text)))
    read = list(vobject.readOne(calendar_in(language, text).decode("utf-8")).vevent_list)
    assert len(read) == len(every)
    for reminder, event in zip(every, read, strict=True):
        assert event.summary.value == reminder.what
        assert event.dtstart.value == reminder.first
        if reminder.every_months:
            times = [when.date() for when in event.rruleset[:4]]
            assert times == [_months_on(reminder.first, reminder.every_months * turn) for turn in range(4)]


def _months_on(day, months):
    """The same day so many months later. A month without it is no case here."""
    years, month = divmod(day.month - 1 + months, 12)
    return day.replace(year=day.year + years, month=month + 1)


def test_a_calendar_in_another_language_updates_the_entries_of_the_first():
    first, other = (icalendar.Calendar.from_ical(calendar_in(each)).walk("VEVENT") for each in ("en", "es"))
    assert [event["uid"] for event in first] == [event["uid"] for event in other]
    assert {str(event["summary"]) for event in first} & {str(event["summary"]) for event in other} == set()


def test_same_record_same_bytes():
    assert calendar(panel(gfci="yes")) == calendar(panel(gfci="yes"))
