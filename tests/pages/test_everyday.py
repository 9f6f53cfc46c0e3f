"""What somebody who lives with a thing asks of it stands on its page, from the record alone."""

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
  - {code: C1, name: Charger line, work: new, volts: 240 V, conductors: [], why: The wires were there.}
equipment:
  - {code: E1, name: Wall charger, kind: car charger, circuit: C1, place: garage, outdoors: no, work: new,
     volts: 240 V, current: 48 A, set_current: 24 A}
"""
SOURCE = "sources: [{code: S1, kind: generator, name: Set, place: shed, work: existing, operator_phone: 555-0177}]"


def section(body):
    return body.partition('<section id="everyday">')[2].partition("</section>")[0]


def read(body):
    return " ".join(html.unescape(re.sub(r"<[^>]*>", "", section(body))).split())


def made(text, code):
    return {page.path: page for page in render_pages(pack_of(job(text), Edition.POSTED))}[f"{code}/index.html"].body


def demo(path):
    return pages_of("demo", Edition.POSTED)[path].body


@pytest.mark.parametrize("code", ["C1", "E1"])
def test_how_long_the_car_charges_and_why_it_is_set_lower(code):
    """36 kWh of 60 at 7.68 kW less 10 %: 5.2 hours, as on the page of everyday questions."""
    body = demo(f"{code}/index.html")
    assert "From 20 to 80 %: a 60 kWh battery takes about 5.2 hours. How long does the car charge?" in read(body)
    assert 'href="../questions.html#charging"' in section(body)
    assert "Its nameplate says 48 A. It was set lower on purpose, to 32 A." in read(body)
    assert "The record says of its circuit: Set to 32 A so that the 40 A breaker carries it for hours" in read(body)
    assert 'href="../C1/#why"' in section(body) or 'href="../C1/index.html#why"' in section(body)
    assert '<li><a href="#everyday">Good to know</a></li>' in body


def test_in_spanish_too():
    told = read(demo("lang-es/E1/index.html"))
    assert "De 20 a 80 %: una batería de 60 kWh tarda unas 5.2 horas." in told
    assert "Se ajustó más bajo a propósito, a 32 A." in told


def test_no_reason_is_made_up():
    without = swap(CHARGER, ", why: The wires were there.", "")
    assert "It was set lower, to 24 A. Why is not on record." in read(made(without, "E1"))
    assert "of its circuit: The wires were there." in read(made(CHARGER, "E1"))
    for same in ("current: 24 A", "current: unknown"):
        assert "nameplate" not in read(made(swap(CHARGER, "current: 48 A", same), "E1"))


def test_without_the_set_current_no_time_is_given():
    told = read(made(swap(CHARGER, ", set_current: 24 A", ""), "E1"))
    assert told == "Good to know How long does the car charge?"


def test_other_things_have_no_such_part():
    assert 'id="everyday"' not in demo("C2/index.html")
    assert 'id="everyday"' not in demo("P1/index.html")


def test_the_generator_names_its_panel_its_switch_and_whom_to_call():
    body = demo("G1/index.html")
    told = read(body)
    assert "it can feed Standby panel (P2). The switch for that: Automatic transfer switch (T1), east wall" in told
    assert "call its service company. No number on record. Look on its label." in told
    assert 'href="../trouble.html#generator-on"' in section(body)
    assert all(f'href="../{code}/' in section(body) for code in ("P2", "T1"))


def test_a_generator_without_a_transfer_switch_says_so_and_its_number_dials():
    body = made(SOURCE, "S1")
    assert "Which panel it feeds, and by which switch, is not on record." in read(body)
    assert '<a href="tel:5550177">555-0177</a>' in section(body)


def test_the_solar_says_what_it_does_when_the_utility_is_out():
    body = demo("S1/index.html")
    assert "The solar usually shuts down by itself when the utility is out." in read(body)
    assert 'href="../trouble.html#utility-out"' in section(body)
    stored = swap(SOURCE, "generator", "battery")
    assert "This can keep parts of the house live: Set (S1)." in read(made(stored, "S1"))
