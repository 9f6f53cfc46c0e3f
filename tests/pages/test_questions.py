"""Everyday questions: every answer comes from the record, and none is the good one by default.

The demo's figures are worked by hand from its files; the small jobs are made up here.
"""

from __future__ import annotations

import html
import re

import pytest
from jobs import job, swap
from packs import pack_of, pages_of

from handover.pack import Edition
from handover.pages import render_pages

CHARGER = """
panels:
  - {code: P1, name: Main panel, place: hall, work: existing, spaces: 4, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 3], breaker: 40 A, feeds: C1}, {spaces: [2], blank: yes}]}
circuits:
  - {code: C1, name: Charger line, work: new, volts: 240 V, conductors: []}
equipment:
  - {code: E1, name: Wall charger, kind: car charger, circuit: C1, place: garage, outdoors: no, work: new,
     volts: 240 V, set_current: 24 A}
"""


def read(page):
    """What a page shows, as one line."""
    body = page.body[page.body.index("<main") : page.body.index("</main>")]
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", body)).split())


def questions(text="", edition=Edition.OWNER):
    pages = {page.path: page for page in render_pages(pack_of(job(text), edition))}
    return read(pages["questions.html"])


def demo(path="questions.html", edition=Edition.OWNER):
    return read(pages_of("demo", edition)[path])


def test_it_is_reached_from_the_start_in_both_languages():
    for edition in Edition:
        pages = pages_of("demo", edition)
        for folder in ("", "lang-es/"):
            assert 'href="questions.html"' in pages[f"{folder}index.html"].body
            assert f"{folder}questions.html" in pages


@pytest.mark.parametrize("edition", Edition)
def test_every_question_has_an_answer(edition):
    told = demo(edition=edition)
    order = ["What did I get?", "A new 60 A feeder runs", "What works when the utility is out?", "G1) can feed",
             "How long does the car charge?", "about 3.5 hours", "What may I not change?", "Never put in",
             "What can still be added?", "6 spaces are free", "What do I tell a buyer", "One-page summary",
             "Who do I call?", "911"]  # fmt: skip
    places = [told.rindex(part) for part in order]
    assert places == sorted(places)


def test_what_was_got_with_its_warranty():
    told = demo()
    assert "60 A two-pole breaker, main panel (1) June 12, 2027 Call us." in told
    assert "6 AWG XHHW-2 copper (345 ft) Not on record" in told


def test_a_job_without_materials_says_so():
    assert "What was fitted is not on record." in questions()


def test_the_demo_s_charger():
    """240 V x 32 A = 7.68 kW, of which 90 % is 6.912 kW: 24 kWh 3.5 h, 36 kWh 5.2 h, 48 kWh 6.9 h, 60 kWh 8.7 h."""
    told = demo()
    assert "It is set to 32 A. At 240 V that is up to 7.68 kW." in told
    assert "40 kWh about 3.5 hours 60 kWh about 5.2 hours 80 kWh about 6.9 hours 100 kWh about 8.7 hours" in told
    assert "10 % of it is lost on the way. That is common practice" in told
    assert "The car may take less" in told
    assert "it adds 32 A to the load. The supply of the house is made for 200 A." in told
    assert "The sum for the whole house was checked, and it is within the supply." in told


def test_another_charger_by_hand():
    """240 V x 24 A = 5.76 kW, of which 90 % is 5.184 kW: 24 / 5.184 = 4.63, 60 / 5.184 = 11.57 hours."""
    told = questions(CHARGER)
    assert "At 240 V that is up to 5.76 kW." in told
    assert "40 kWh about 4.6 hours" in told
    assert "100 kWh about 11.6 hours" in told
    assert "it adds 24 A to the load" in told


def test_a_sum_that_cannot_be_decided_is_no_pass():
    told = questions(CHARGER)
    assert "cannot be decided: facts are missing" in told
    assert "within the supply" not in told


def test_without_the_set_current_no_time_is_given():
    for missing, known in ((", set_current: 24 A", "not on record"), ("24 A", "unknown"), ("24 A", "not checked")):
        text = swap(CHARGER, missing, "" if known == "not on record" else known)
        told = questions(text)
        assert f"This cannot be worked out. The set current is: {known}." in told
        assert "hours" not in told


def test_without_the_voltage_no_time_is_given():
    """The circuit's voltage stands in for one that the charger's entry leaves out; where neither is known, nothing."""
    of_circuit = swap(CHARGER, "     volts: 240 V, set_current", "     set_current")
    assert "At 240 V" in questions(of_circuit)
    told = questions(swap(of_circuit, "volts: 240 V", "volts: unknown"))
    assert "This cannot be worked out. The voltage is: unknown." in told
    assert "hours" not in told


def test_a_supply_of_unknown_size_is_said_to_be_so():
    service = "service: {utility: A, volts: 120/240 V single-phase, rating: unknown, at: P1, disconnect_place: out}\n"
    assert "The size of the supply is not on record." in questions(service + CHARGER)


def test_a_job_without_a_charger_does_not_ask_about_one():
    assert "car charge" not in questions()


def test_a_setting_is_changed_by_whom_the_record_names():
    told = demo()
    assert "Highest charging current: 32 A an electrician only" in told
    assert "Operation: heat and cool, 68 °F you" in told
    assert "Access: open without a card or an account Not on record" in told
    assert "Never raise the current of Car charger (E1)." in told
    assert "Never move the solar breaker to another place: Main panel (P1), spaces 40 and 42." in told


def test_a_set_current_is_the_electrician_s_though_nobody_listed_it_as_a_setting():
    told = questions(CHARGER)
    assert "Wall charger Highest current: 24 A an electrician only" in told
    assert "No setting is on record." in questions()


def test_nothing_goes_on_without_the_utility_that_is_not_on_record():
    assert "So expect all of it to be off." in questions()
    told = demo()
    assert "So expect all of it" not in told
    assert "Off in Studio panel (P3), as its card says: Kiln receptacle" in told
    assert "solar usually shuts down" in told


def test_free_spaces_are_counted_only_where_each_is_on_record():
    """CHARGER: 4 spaces, 1/3 taken, 2 blank, of 4 nothing is said; the demo's main panel has 6 blank plates."""
    assert "Main panel (P1) Not every space is on record" in questions(CHARGER)
    every = swap(CHARGER, "{spaces: [2], blank: yes}", "{spaces: [2], blank: yes}, {spaces: [4], blank: yes}")
    assert "Main panel (P1) 2 spaces are free" in questions(every)
    one = swap(CHARGER, "{spaces: [2], blank: yes}", "{spaces: [2], blank: yes}, {spaces: [4], breaker: 20 A}")
    assert "Main panel (P1) 1 space is free" in questions(one)
    none = swap(CHARGER, "{spaces: [2], blank: yes}", "{spaces: [2], breaker: 20 A}, {spaces: [4], breaker: 20 A}")
    assert "Main panel (P1) No space is free" in questions(none)
    assert "Main panel (P1) 6 spaces are free" in demo()


def test_what_is_left_is_never_rounded_up():
    """The checks leave 40.93 A of the demo's service and 3.3 A of its feeder (tests of spare_service, spare_feeder)."""
    told = demo()
    assert "The supply of the house Up to 40 A by the sum. Ask an electrician." in told
    assert "Studio feeder (F1) Up to 3 A by the sum. Ask an electrician." in told


def test_what_is_left_is_told_beside_a_plug_in_heater():
    """1,500 W at 120 V: 12.5 A."""
    told = demo()
    supply, _, feeder = told.partition("How much more it could carry")[2].partition("Studio feeder (F1)")
    assert "Up to 40 A by the sum. Ask an electrician. That is more than one plug-in heater takes." in supply
    assert "Up to 3 A by the sum. Ask an electrician. That is less than one plug-in heater takes." in feeder
    assert "has 1,500 W. At 120 V it takes 12.5 A: 1,500 divided by 120. That size is common practice" in feeder
    assert "tiene 1,500 W. Con 120 V toma 12.5 A" in demo("lang-es/questions.html")
    assert "heater" not in questions()


def test_a_supply_that_nobody_reckoned_has_no_room_by_default():
    assert "The supply of the house Cannot be decided: facts are missing. Ask an electrician." in questions()


def test_the_permit_and_what_came_of_each_visit():
    told = demo()
    assert "final passed, June 12, 2026" in told
    assert "No permit is on record." in questions()
    assert "No visit of an inspector is on record." in questions("permit: {authority: A town}")
    visits = "permit: {authority: A town, inspections: [{kind: final}, {kind: rough-in, result: not checked}]}"
    assert "final Not on record rough-in Not checked" in questions(visits)


def test_whom_to_call():
    told = demo()
    for line in ("Tidewater Bend Power Cooperative 555-0118", "Juniper Vale Electric 555-0142", "Before you dig 811",
                 "Standby generator (G1) No number on record", "Studio heat pump (E3) Northmere Air"):  # fmt: skip
        assert line in told
    assert "811" not in questions()
    source = "sources: [{code: S1, kind: battery, name: Store, place: shed, work: existing, operator_phone: 555-0177}]"
    told = questions(source)
    assert "Store (S1) 555-0177" in told
    assert "No number on record" not in told


def test_the_posted_edition_shows_no_number_of_the_permit_and_no_name():
    told = demo(edition=Edition.POSTED)
    for private in ("LMC-E-26-0417", "Ottoline", "Heronsedge", "Pellmere Electrical Supply"):
        assert private not in told


def test_the_spanish_page_says_the_same_figures():
    told = demo("lang-es/questions.html")
    assert "Con 240 V eso es hasta 7.68 kW." in told
    assert "40 kWh unas 3.5 horas 60 kWh unas 5.2 horas 80 kWh unas 6.9 horas 100 kWh unas 8.7 horas" in told
    assert "El suministro de la casa Hasta 40 A según la suma." in told
