"""The rescue kit: which signs, tags and cards a place gets, what they say by edition, and that each can be read."""

from __future__ import annotations

import random
import re
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import cv2
import numpy as np
import pytest
import zxingcpp
from decoders import read_by_opencv
from jobs import job, swap

from handover.checks.markings import REQUIRED
from handover.drawings.text import width
from handover.editions import private_values, record_in
from handover.labels import make_kit, make_text_labels, not_made
from handover.labels.art import CAPITAL, Line
from handover.labels.directory import HIGHEST, NUMBER, WIDTH, explain
from handover.labels.plate import CARD, COLOURS, DETAIL, HALF_INCH, MESSAGE, SIGNAL, THREE_SIXTEENTHS
from handover.labels.text_codes import MOST_BYTES
from handover.labels.wording import catalogue, sign_wording
from handover.pack import Edition
from handover.record.reader import read_job
from handover.record.translated import texts_of
from handover.words import languages

sys.path.insert(0, str(Path(__file__).parent / "browser"))
from chromium import chromium

DEMO = Path(__file__).parent.parent / "demo_property"
SVG = "{http://www.w3.org/2000/svg}"
INCH = 25.4
SOLAR_WORDS = ("solar", "PV ", "MULTIPLE SOURCES", "RELOCATE")

BARE = """
panels:
  - code: P1
    name: Main panel
    place: hall
    outdoors: no
    work: changed
    spaces: 4
    main_kind: main breaker
    main: 200 A
    volts: 240 V
    slots:
      - {spaces: [1, 3], breaker: 40 A, feeds: C1, work: new}
      - {spaces: [2], breaker: 20 A, says: wtr htr W}
circuits: [{code: C1, name: Charger circuit, work: new, volts: 240 V}]
equipment:
  - {code: E1, name: Charger, kind: car charger, circuit: C1, place: port, outdoors: yes, work: new, set_current: 32 A,
     current: 48 A}
"""
SOLAR = """
sources:
  - {code: S1, kind: solar, name: Roof panels, place: roof, work: new, outdoors: yes, output_current: 16 A,
     disconnect: switch by the gate, stays_live: wires on the roof}
"""
STANDBY = """
sources:
  - {code: G1, kind: generator, name: Set, place: yard, work: new, outdoors: yes, starts_by_itself: unknown}
transfers: [{code: T1, name: Changeover, place: yard, work: new, kind: manual, source: G1, feeds: P2}]
"""


def kit(text: str = BARE):
    return {label.name: label for label in make_kit(job(text))}


@pytest.fixture(scope="module")
def demo():
    return {label.name: label for label in make_kit(read_job(DEMO))}


def said(label):
    return " ".join(text.text for text in ET.fromstring(label.svg).iter(f"{SVG}text"))


def lines_of_svg(label):
    """Every text of a label as a line with its box, reckoned from the file itself."""
    for text in ET.fromstring(label.svg).iter(f"{SVG}text"):
        bold = text.get("font-weight") == "bold"
        yield Line(
            text=text.text, x=float(text.get("x")), y=float(text.get("y")), size=float(text.get("font-size")), bold=bold
        )


def edition(text: str, year: int) -> str:
    return f"{text}\ncode: {{name: NEC, edition: {year}}}\n"


def test_a_job_without_other_sources_gets_no_sign_for_them():
    """No solar, no generator: no label that speaks of one, and no sign at all where the service was left alone."""
    text = BARE + "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1,"
    text += " disconnect_place: outside, replaced_on_this_job: no}\n"
    labels = kit(text)
    assert list(labels) == ["door-card", "door-card-es", "directory-P1", "rating-E1"]
    for label in labels.values():
        assert not [word for word in SOLAR_WORDS if word in said(label) + label.goes], label.name
    assert not_made(job(text)) == ()


def test_solar_gets_its_signs_and_nothing_of_a_generator():
    labels = kit(BARE + SOLAR)
    for name in ("sign-several-sources-P1", "sign-pv-disconnect-S1"):
        assert name in labels
    assert "switch by the gate" in said(labels["sign-several-sources-P1"])
    assert "Stays live: wires on the roof" in said(labels["sign-pv-disconnect-S1"])
    assert not [name for name in labels if "standby" in name or "inlet" in name]
    assert [line.partition(" (")[0] for line in not_made(job(BARE + SOLAR))] == [
        "S1, sign for rapid shutdown", "S1, sign on its DC raceway",
    ]  # fmt: skip


RAPID = "rapid_shutdown: yes, rapid_shutdown_switch: red knob by the meter, dc_raceway: east wall"


@pytest.mark.parametrize(
    ("year", "sections"),
    [(2017, ("690.56(C)", "690.56(C)(2)", "690.31(G)(3)")), (2020, ("690.56(C)", "690.56(C)(2)", "690.31(D)(2)")),
     (2023, ("690.12(D)", "690.12(D)(2)", "690.31(D)(2)"))],
)  # fmt: skip
def test_rapid_shutdown_and_dc_wires_are_marked_only_as_the_record_knows_them(year, sections):
    """Words, sections, colours and letters of 3/8 in (3/16 in below the title) are from memory."""
    text = edition(BARE + swap(SOLAR, "stays_live: wires on the roof", f"stays_live: wires on the roof, {RAPID}"), year)
    labels = kit(text)
    names = ("sign-rapid-shutdown-S1", "sign-rapid-shutdown-switch-S1", "sign-dc-raceway-S1")
    for name, section in zip(names, sections, strict=True):
        assert f"NEC {year}, {section}: from memory" in labels[name].why
        assert_sound(labels[name])
    first, switch, raceway = (labels[name] for name in names)
    assert said(first).startswith("SOLAR PV SYSTEM IS EQUIPPED WITH RAPID SHUTDOWN")
    assert "S1: switch at red knob by the meter" in said(first)
    assert COLOURS["YELLOW"][0] in first.svg
    assert said(switch) == "RAPID SHUTDOWN SWITCH FOR SOLAR PV SYSTEM"
    assert said(raceway) == "WARNING: PHOTOVOLTAIC POWER SOURCE"
    assert "Every 10 ft" in raceway.goes
    for red in (switch, raceway):
        assert COLOURS["RED"][0] in red.svg
        assert min(line.size for line in lines_of_svg(red)) * CAPITAL >= INCH * 3 / 8
    (title, *_), below = [line.size for line in lines_of_svg(first)], THREE_SIXTEENTHS
    assert title * CAPITAL >= INCH * 3 / 8
    assert below * CAPITAL >= INCH * 3 / 16
    assert not_made(job(text)) == ()


@pytest.mark.parametrize(
    ("known", "left"),
    [("rapid_shutdown: no, dc_raceway: east wall", []), ("rapid_shutdown: yes, dc_raceway: east wall", ["_switch."]),
     ("rapid_shutdown: unknown, dc_raceway: unknown", ["rapid_shutdown.", "dc_raceway."])],
)  # fmt: skip
def test_no_sign_promises_a_rapid_shutdown_that_is_not_recorded(known, left):
    text = BARE + swap(SOLAR, "stays_live: wires on the roof", known)
    assert not [name for name in kit(text) if "rapid" in name]
    lines = not_made(job(text))
    assert len(lines) == len(left)
    assert all(line.endswith(end) for line, end in zip(lines, left, strict=True))


def test_the_operator_who_can_switch_a_source_stands_on_the_sign_of_sources():
    """705.10 of 2023, from memory."""
    label = kit(BARE + SOLAR)["sign-several-sources-P1"]
    assert "Write in the emergency telephone number" in label.goes
    known = kit(BARE + swap(SOLAR, "stays_live: wires on the roof", "operator_phone: 555-0199"))
    assert "Operator of S1: 555-0199" in said(known["sign-several-sources-P1"])
    assert "Write in" not in known["sign-several-sources-P1"].goes


TEXT_CODES = (
    "job: {title: T, kind: other, number: T-1, pack: AAAAAAAAAAAAAAAAAAAAAAAAA, publish_at: https://packs.example,"
    " summary: S, dates: {finished: 2026-06-12}, text_codes: yes}\n"
)


def test_a_second_code_holds_the_essentials_as_text_where_the_record_asks_for_it():
    assert list(make_text_labels(job(BARE))) == []
    labels = {label.name: label for label in make_text_labels(job(BARE + SOLAR + TEXT_CODES))}
    label = labels["text-E1"]
    assert label.address is None
    assert label.text.splitlines()[:3] == [
        "E1 Charger", "P1 sp 1/3, 40 A, 240 V, set 32 A", "Wire: not recorded",
    ]  # fmt: skip
    for part in ("Also on site: S1 solar", "2026-06-12 T-1 r1", "Test Electric lic 1"):
        assert part in label.text
    assert "opens no site" in said(label)
    demo = {label.name: label for label in make_text_labels(read_job(DEMO))}
    assert "Permit LMC-E-26-0417" in demo["text-E1"].text  # on paper only: no page of the posted edition has labels
    assert "Also on site: utility, S1 solar" in demo["text-G1"].text
    texts = [label for label in demo.values() if label.text]
    assert len(texts) == 13
    for label in texts:
        assert len(label.text.encode()) <= MOST_BYTES
        beside = re.sub(r"\s", "", said(label))
        assert re.sub(r"\s", "", label.text) in beside, label.name
        assert_sound(label)


@pytest.mark.parametrize("name", ["W" * 60, "配电箱照明回路" * 8, "é" * 60, "two words " * 8])
def test_a_text_code_never_holds_more_than_fits_and_no_source_is_cut(name):
    text = swap(BARE, "name: Charger,", f"name: '{name}',") + SOLAR + TEXT_CODES
    wires = ", ".join("{role: hot, size: 8 AWG, material: copper-clad aluminum, insulation: THWN-2}" for _ in range(9))
    text = swap(text, "name: Charger circuit,", f"name: Charger circuit, conductors: [{wires}],")
    (label,) = (label for label in make_text_labels(job(text)) if label.code == "E1")
    assert len(label.text.encode()) <= MOST_BYTES
    assert "S1 solar" in label.text
    assert_sound(label)


def test_a_generator_gets_a_standby_sign_and_no_solar_label():
    labels = kit(BARE + STANDBY)
    told = said(labels["sign-standby-source-P1"])
    assert "STANDBY POWER SOURCE ON THIS SITE" in told
    assert "Starts by itself: unknown; treat it as if it does" in told
    assert not [label.name for label in labels.values() if any(word in said(label) for word in SOLAR_WORDS)]


def test_the_inlet_sign_says_which_generator_may_be_connected_or_is_not_made():
    portable = swap(BARE + STANDBY, "starts_by_itself: unknown", "portable: yes, starts_by_itself: no")
    assert not [name for name in kit(portable) if "inlet" in name]
    assert any("switches_neutral" in line for line in not_made(job(portable)))
    for switched, words in (("yes", "BONDED NEUTRAL"), ("no", "FLOATING NEUTRAL")):
        known = swap(portable, "kind: manual", f"kind: manual, switches_neutral: {switched}")
        (label,) = (label for name, label in kit(known).items() if "inlet" in name)
        assert words in said(label)
        assert not_made(job(known)) == ()


@pytest.mark.parametrize(
    ("year", "words"),
    [
        (2017, "SERVICE DISCONNECT"),
        (2020, "EMERGENCY DISCONNECT, SERVICE DISCONNECT"),
        (2023, "EMERGENCY DISCONNECT, SERVICE DISCONNECT"),
        (2026, "EMERGENCY DISCONNECT, SERVICE DISCONNECT"),
    ],
)
def test_a_replaced_service_is_marked_as_its_edition_asks(year, words):
    """230.85 asks from 2020 on (a trade magazine); 2017 has 230.70(B) only (from memory); 2026 was not read."""
    text = (
        "service: {utility: A utility, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: outside,"
    )
    labels = kit(edition(f"{BARE}\n{text} replaced_on_this_job: yes}}", year))
    (label,) = (label for name, label in labels.items() if "disconnect-P1" in name)
    assert said(label) == words
    assert ("was not read" in label.why) == (year == 2026)
    red = COLOURS["RED"][0] in label.svg
    assert red == (year != 2017)
    if red:
        assert min(line.size for line in lines_of_svg(label)) * CAPITAL >= INCH / 2  # 230.85(E) of 2023, a trade blog
    assert "disconnect-P1" not in str(list(kit(f"{BARE}\n{text} replaced_on_this_job: no}}")))
    assert "sign-emergency-disconnect-P1" in kit(f"{BARE}\n{text} replaced_on_this_job: unknown}}")


def test_a_dwelling_fed_by_a_feeder_has_an_emergency_disconnect_from_2023_on():
    """225.41 (a maker's page)."""
    new = "{code: P2, name: Back, place: hall, work: new, spaces: 4, main_kind: main breaker, separate_building: yes}"
    text = swap(BARE, "circuits:", f"  - {new}\ncircuits:")
    name = "sign-emergency-disconnect-building-P2"
    assert name in kit(text)
    assert name not in kit(edition(text, 2020))
    assert name not in kit(swap(text, "separate_building: yes", "separate_building: yes, dwelling: no"))


def test_every_sign_names_its_section_and_source(demo):
    for label in demo.values():
        if label.name.startswith("sign-"):
            assert re.match(r"NEC 2023, \d{3}\.\d+", label.why), label.name
            assert re.search("memory|digest|blog|magazine|page|our words|maker|quotation", label.why), label.name


def test_the_sections_are_those_of_the_check():
    """One home for facts would be better; the check cites by rule, the catalogue by wording, so they are compared."""
    of_check = {required.kind: required.section for required in REQUIRED}
    compared = 0
    for entry in catalogue()["signs"].values():
        sections = of_check.get(entry["marking"])
        for wording in entry["editions"] if sections and entry["signal"] != "RED" else ():
            for year in map(int, wording["editions"]):
                assert sections[year].startswith(wording["section"]), entry["title"]
                compared += 1
    assert compared >= 20


def test_an_edition_that_does_not_ask_has_no_wording():
    assert sign_wording("emergency_disconnect", 2017) is None
    assert sign_wording("service_disconnect", 2023) is None
    assert sign_wording("service_disconnect", 2026) is None
    assert "2026 text was not read" in sign_wording("several_sources", 2026).why


def test_isolate_also_names_every_switch_in_order(demo):
    told = said(demo["sign-isolate-also-P2"])
    assert "1. G1 Standby generator: breaker and red stop button" in told
    assert told.index("1. G1") < told.index("2. M1 Meter-main, spaces 1/3, through T1")
    assert "sign-isolate-also-P3" not in demo


def test_what_is_there_already_is_said(demo):
    for name in ("sign-pv-disconnect-S1", "sign-do-not-relocate-S1", "rating-E1"):
        assert demo[name].state.startswith("Recorded as there already"), name
    for name in ("sign-several-sources-M1", "sign-standby-source-M1", "fed-from-P3", "fed-from-E4"):
        assert demo[name].state.startswith("Recorded as there already"), name  # confirmed, or under markings
    assert "before this job" in demo["sign-isolate-also-P2"].state
    missing = kit(BARE + "markings: [{kind: charger rating, at: E1, there: no}]")
    assert missing["rating-E1"].state == "Recorded as missing: post it."
    assert kit()["rating-E1"].state == ""


def test_a_charger_without_a_recorded_setting_gets_no_rating_label():
    text = swap(BARE, ", set_current: 32 A", "")
    assert "rating-E1" not in kit(text)
    assert any("set_current" in line for line in not_made(job(text)))
    told = said(kit()["rating-E1"])
    assert "CHARGER SET TO 32 A" in told
    assert "Nameplate 48 A. Breaker 40 A at P1 Main panel, spaces 1/3." in told


def test_tags_say_from_where_a_thing_is_fed(demo):
    assert "FED FROM P1 Main panel, spaces 14/16" in said(demo["fed-from-P3"])
    assert "60 A breaker. P1 is here: utility room, north wall" in said(demo["fed-from-P3"])
    assert "DISCONNECT E3 Studio heat pump Fed from P3 Studio panel, spaces 2/4, 20 A" in said(demo["fed-from-E3"])
    assert "the DISCONNECT of this building" in said(demo["fed-from-P3"])
    assert "fed-from-P2" not in demo  # left alone on this job


def test_the_route_label_says_how_to_find_the_line_and_what_to_switch_off(demo):
    told = said(demo["route-R1"])
    for part in (
        "Private line", "811", "R1 P1 Main panel to P3 Studio panel", "96 ft 7 in in the ground",
        "Recorded cover at least 20 in", "switch off: P1 Main panel, spaces 14/16, 60 A",
        "First 30° bend: 47 ft 2 in from north-east corner of the house, 60 ft 5 in from",
    ):  # fmt: skip
        assert part in told
    assert [name for name in demo if name.startswith("route")] == ["route-R1"]


def test_no_route_label_says_that_it_shows_every_line(demo):
    assert "Call 811 all the same" in said(demo["route-R1"])
    assert "Other lines may be in the ground" in said(demo["route-R1"])


def test_a_route_of_unknown_depth_and_length_says_so():
    run = """
runs:
  - code: R1
    name: To the shed
    work: new
    method: UF-B
    path: [{step: panel, code: P1}, {step: straight, surroundings: underground}, {step: box, at: shed wall}]
"""
    told = said(kit(BARE + run)["route-R1"])
    assert "P1 Main panel to shed wall" in told
    assert "Length in the ground: not recorded" in told
    assert "Depth: not recorded" in told


def test_the_door_card_says_whom_to_call_and_both_sources(demo):
    told = said(demo["door-card"])
    assert "Only P3 Studio panel off, from outside it: P1 Main panel, spaces 14/16, utility room" in told
    assert "G1 Standby generator is running and feeds P2 Standby panel: treat it as live" in told
    for part in ("Call 911", "555-0118", "555-0142", "Standby generator (G1)", "Rooftop solar (S1)", "Once"):
        assert part in told
    assert told.index("Standby generator") < told.index("Outside shutoff") < told.index("Rooftop solar")
    assert "Not outdoors" in demo["door-card"].goes


def test_the_directory_is_complete_and_explains_its_short_words(demo):
    card = demo["directory-P1"]
    told = said(card)
    numbers = [int(line.text) for line in lines_of_svg(card) if line.size == NUMBER and line.text.isdigit()]
    assert sorted(numbers) == list(range(1, 43))
    for part in (
        "wtr: water",
        "htr: heater",
        "A/C: air conditioner",
        "GFI: same as GFCI",
        "Not explained anywhere: W, C.",
    ):
        assert part in told
    assert "not known what it feeds" in told
    assert "not traced" in told
    assert "directory-P2" not in demo


def test_short_words_are_explained_or_said_to_be_unexplained():
    assert explain(["Kitchen lights"], catalogue()) == ({}, [])
    assert explain(["wtr htr W"], catalogue()) == ({"wtr": "water", "htr": "heater"}, ["W"])


def test_nothing_private_comes_to_hang_on_a_wall(demo):
    record = read_job(DEMO)
    everything = " ".join(said(label) + label.title for label in demo.values())
    private = [text for path, text in private_values(record) if len(text) > 4]
    assert len(private) > 20
    told = (record_in(language, Edition.POSTED, record) for language in languages())
    shown_openly = {"Larkmere County", *(text for each in told for _, text in texts_of(each))}
    assert [text for text in private if text in everything and text not in shown_openly] == []
    for word in ("Brask", "Heronsedge", "LMC-E", "alarm box"):
        assert word not in everything


def test_an_entry_is_posted_in_its_neutral_wording():
    text = swap(BARE, "says: wtr htr W", "says: gun safe alarm, says_posted: study")
    told = said(kit(text)["directory-P1"])
    assert "study" in told
    assert "gun safe" not in told


def overlaps(one, other):
    hair = 0.02  # millimetres; a file's numbers are rounded to a hundredth
    apart = one[2] <= other[0] + hair or other[2] <= one[0] + hair or one[3] <= other[1] + hair
    return not (apart or other[3] <= one[1] + hair)


def quiet_box(label):
    """Left, top, right, bottom of the code with its quiet zone; None for a label without one."""
    for path in ET.fromstring(label.svg).iter(f"{SVG}path"):
        placed = re.fullmatch(r"translate\(([\d.]+) ([\d.]+)\) scale\(([\d.]+)\)", path.get("transform") or "")
        if placed:
            x, y, module = map(float, placed.groups())
            reach = max(float(number) for number in re.findall(r"\d+", path.get("d")))
            return x, y, x + (reach + 4) * module, y + (reach + 4) * module
    return None


def assert_sound(label):
    """No text leaves the label, meets another, or enters the code's quiet zone; the file is in real millimetres."""
    root = ET.fromstring(label.svg)
    assert root.get("width") == f"{label.width_mm:g}mm"
    assert root.get("viewBox") == f"0 0 {label.width_mm:g} {label.height_mm:g}"
    boxes = [line.box for line in lines_of_svg(label)]
    for box in boxes:
        assert box[0] >= 1, label.name
        assert box[1] >= 0.7, label.name
        assert box[2] <= label.width_mm - 1, label.name
        assert box[3] <= label.height_mm - 0.7, label.name
    quiet = quiet_box(label)
    for place, box in enumerate(boxes):
        assert not [other for other in boxes[place + 1 :] if overlaps(box, other)], label.name
        assert quiet is None or not overlaps(box, quiet), label.name


def test_no_text_leaves_its_label_or_meets_another(demo):
    for label in (*demo.values(), *kit(BARE + SOLAR).values(), *kit(BARE + STANDBY).values()):
        assert_sound(label)
        assert "…" not in said(label), label.name


LONG = "Very long name that somebody wrote without a thought for cards and a Donaudampfschiffahrtswort "


@pytest.mark.parametrize("seed", range(60))
def test_generated_directories_hold_every_space_once_and_fit_their_sheets(seed):
    """Up to 84 spaces, breakers of 1 to 3 poles, long names, things unknown, either numbering."""
    chance = random.Random(seed)
    spaces, single = chance.choice((4, 12, 30, 42, 60, 84)), chance.random() < 0.25
    step, free, slots = 1 if single else 2, set(range(1, spaces + 1)), []
    for space in range(1, spaces + 1):
        poles = [space + step * pole for pole in range(chance.choice((1, 1, 1, 2, 3)))]
        if not free.issuperset(poles) or chance.random() < 0.1:
            continue
        free -= set(poles)
        name = chance.choice(("range", "wtr htr", "Kitchen counter, left of the sink", LONG, "W" * 60))
        traced = chance.choice(("yes", "no", "unknown"))
        more = chance.choice(("blank: yes", f'breaker: 20 A, says: "{name}"', "breaker: unknown"))
        slots.append(f"      - {{spaces: {poles}, {more}, traced: {traced}}}")
    text = (
        f"panels:\n  - code: P1\n    name: {LONG[: chance.choice((10, 90))]}\n    place: hall\n    work: new\n"
        f"    spaces: {spaces}\n    main_kind: main lugs\n"
        f"    numbering: {'down one side' if single else 'odd left, even right'}\n    slots:\n"
    )
    labels = [label for name, label in kit(text + "\n".join(slots)).items() if name.startswith("directory")]
    numbers = []
    for label in labels:
        assert_sound(label)
        assert (label.width_mm, label.height_mm <= HIGHEST + 60) == (WIDTH, True)
        numbers += [int(line.text) for line in lines_of_svg(label) if line.size == NUMBER and line.text.isdigit()]
        assert len(labels) == 1 or f"of {len(labels)}." in said(label)
    assert sorted(numbers) == list(range(1, spaces + 1))


def test_letters_are_as_high_as_the_distance_asks():
    """ANSI Z535.2 as sign makers restate it: signal word 1/150 of the distance, message 1/300, at least 0.16 in.

    For 3 ft in bad light (double), and so for 6 ft in good light; a directory's 1/8 in is common practice.
    """
    three_feet = 36 * INCH
    assert max(three_feet / 150, INCH * 3 / 8) <= SIGNAL * CAPITAL
    assert max(2 * three_feet / 300, INCH / 4) <= MESSAGE * CAPITAL
    assert DETAIL * CAPITAL >= 0.16 * INCH
    assert CARD * CAPITAL >= INCH / 8
    assert HALF_INCH * CAPITAL >= INCH / 2


def luminance(colour):
    """WCAG 2.2, relative luminance."""
    digits = colour[1:] if len(colour) == 7 else "".join(digit * 2 for digit in colour[1:])
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_signal_words_stand_out_in_colour_and_in_grey():
    """The ratio of luminances, which is all that is left in grey, is at least 4.5 (WCAG 2.2); ink by ANSI Z535.4."""
    for signal, (ground, ink) in COLOURS.items():
        bright, dark = sorted((luminance(ground), luminance(ink)), reverse=True)
        assert (bright + 0.05) / (dark + 0.05) >= 4.5, signal
    assert [COLOURS[signal][1] for signal in ("DANGER", "WARNING", "CAUTION", "NOTICE")] == [
        "#fff", "#000", "#000", "#fff",
    ]  # fmt: skip


def test_the_signal_word_is_written_beside_its_colour(demo):
    for label in demo.values():
        for signal in ("WARNING", "CAUTION"):
            assert (COLOURS[signal][0] in label.svg) == (signal in [line.text for line in lines_of_svg(label)])


def test_the_sheet_says_where_and_on_what(demo):
    for label in demo.values():
        assert label.goes.endswith("."), label.name
        assert label.material.endswith("."), label.name
    assert "sunlight" in demo["sign-several-sources-M1"].material
    assert "sunlight" not in demo["sign-isolate-also-P1"].material
    assert "colors shown" in demo["route-R1"].material


def test_several_findings_of_no_ground_share_their_strips():
    finding = "{what: No ground., place: PLACE, kind: no equipment ground}"
    both = ", ".join(finding.replace("PLACE", place) for place in ("bedroom", "study"))
    strips = [label for label in make_kit(job(f"{BARE}\nfindings: [{both}]")) if "bedroom; study" in label.goes]
    assert [label.name for label in strips] == ["sign-no-equipment-ground-P1", "sign-gfci-protected-P1"]


def test_a_strip_goes_on_the_cover_of_an_outlet(demo):
    """A cover for one device is 2.75 in wide (common size)."""
    for name in ("sign-no-equipment-ground-N1", "sign-gfci-protected-N1"):
        assert demo[name].width_mm <= 2.75 * INCH
        (line,) = lines_of_svg(demo[name])
        assert width(line.text, line.size, bold=True) <= demo[name].width_mm - 5
    assert "never before" in demo["sign-gfci-protected-N1"].goes


def test_the_browser_sets_every_text_inside_and_the_codes_read_back(demo):
    with chromium() as browser:
        page = browser.new_page(device_scale_factor=300 / 96)
        for label in (*demo.values(), *make_text_labels(read_job(DEMO))):
            page.set_content(f'<body style="margin:0">{label.svg}')
            assert page.evaluate(OUTSIDE) == [], label.name
            if label.held:
                shot = page.locator("svg").screenshot()
                picture = cv2.imdecode(np.frombuffer(shot, np.uint8), cv2.IMREAD_GRAYSCALE)
                (read,) = zxingcpp.read_barcodes(picture)
                assert read.text == label.held
                assert label.held in read_by_opencv(picture), label.name


OUTSIDE = """() => {
  const all = document.querySelector('svg').getBoundingClientRect();
  return [...document.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    return box.left < all.left + 3 || box.right > all.right - 3 || box.bottom > all.bottom - 2 || box.top < all.top;
  }).map(text => text.textContent);
}"""
