"""Labels: what they say, that nothing overlaps, and that their codes read back as printed."""

from __future__ import annotations

import re
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import cv2
import numpy as np
import pytest
import zxingcpp
from decoders import read_by_opencv
from jobs import job

from handover.labels import make_labels
from handover.labels.art import CAPITAL, NAME_SIZES, SMALLEST_CAPITAL, Row, Words, lay_out, to_svg
from handover.problems import JobProblems
from handover.qr import HIGHEST_VERSION, code_of
from handover.record.installation import Installation
from handover.record.reader import read_job

sys.path.insert(0, str(Path(__file__).parent / "browser"))
from chromium import chromium

DEMO = Path(__file__).parent.parent / "demo_property"
SVG = "{http://www.w3.org/2000/svg}"
DOTS_AN_INCH, PIXELS_AN_INCH = 300, 96

HOUSE = """
permit: {number: PM-77, authority: A county}
sources:
  - {code: S1, kind: solar, name: Roof panels, place: roof, work: existing, outdoors: yes, output_current: 16 A}
  - {code: G1, kind: generator, name: Set, place: yard, work: existing, starts_by_itself: unknown}
transfers: [{code: T1, name: Changeover, place: yard, work: existing, kind: automatic, source: G1, feeds: P2}]
panels:
  - code: P1
    name: Main panel
    place: hall
    outdoors: no
    work: existing
    spaces: 12
    main_kind: main breaker
    main: 200 A
    volts: 240 V
    slots:
      - {spaces: [1, 3], breaker: 40 A, feeds: C1}
      - {spaces: [2, 4], breaker: 60 A, feeds: T1}
      - {spaces: [5, 7], breaker: 50 A, feeds: F1}
      - {spaces: [10, 12], breaker: 20 A, feeds: S1}
  - {code: P2, name: Standby panel, place: hall, work: existing, spaces: 8, main_kind: main lugs, volts: 240 V}
  - {code: P3, name: Shed panel, place: shed, work: new, spaces: 8, main_kind: main breaker, main: 50 A, volts: unknown}
feeders: [{code: F1, name: Private name, name_posted: Shed feeder, work: new, volts: 240 V, to: P3}]
circuits:
  - code: C1
    name: Charger
    work: new
    volts: 240 V
    conductors:
      - {role: hot, count: 2, size: 8 AWG, material: copper, insulation: THWN-2}
      - {role: equipment ground, size: 10 AWG, material: copper, insulation: THWN-2}
equipment:
  - {code: E1, name: Charger, kind: car charger, circuit: C1, place: port, outdoors: yes, work: new, set_current: 32 A}
  - {code: E2, name: "<b>&\\"'", kind: other, circuit: C9, place: hall, outdoors: no, work: new}
"""


@pytest.fixture(scope="module")
def house():
    return {label.name: label for label in make_labels(Installation(job(HOUSE)))}


@pytest.fixture(scope="module")
def demo():
    return make_labels(Installation(read_job(DEMO)))


def said(label):
    return " ".join(text.text for text in ET.fromstring(label.svg).iter(f"{SVG}text"))


def test_everything_with_a_place_of_its_own_gets_a_label(house):
    assert list(house) == ["P1", "P2", "P3", "F1", "S1", "G1", "T1", "E1", "E2"]


def test_a_charger_says_breaker_setting_sources_and_wires(house):
    told = said(house["E1"])
    for part in (
        "E1", "Charger", "Off at P1 Main panel, spaces 1/3", "40 A, 240 V", "Set to 32 A: do not raise",
        "With that breaker off, no other source known", "Disconnect beside it: not recorded",
        "2 hot 8 AWG copper THWN-2, 1 ground 10 AWG copper THWN-2",
        "2026-06-12",
        "license 1", "PM-77", "record T-1, revision 1", "no proof that power is off",
    ):  # fmt: skip
        assert part in told


def test_what_is_not_recorded_is_said(house):
    assert "Off at: not recorded" in said(house["E2"])
    assert "50 A main breaker, unknown" in said(house["P3"])
    assert "Treat it as if it does" in said(house["G1"])


def test_only_what_gets_past_the_opened_device_also_feeds_a_thing(house):
    assert "Also fed by: S1 Roof panels, even with this main off" in said(house["P1"])
    assert "Also fed by: G1 Set, even with that breaker off" in said(house["P2"])
    assert "S1" not in said(house["P2"])
    for code, opened in (("P3", "this main"), ("F1", "that breaker"), ("E1", "that breaker")):
        assert f"With {opened} off, no other source known" in said(house[code])
    assert "Not recorded which of these also feed it: S1 Roof panels; G1 Set" in said(house["E2"])
    bare = {label.name: label for label in make_labels(Installation(job()))}
    assert "No other source known" in said(bare["P1"])


def test_a_source_of_which_nobody_knows_where_it_joins_is_warned_of_everywhere():
    battery = "sources: [{code: S1, kind: battery, name: Wall battery, place: hall, work: existing}]"
    labels = {label.name: label for label in make_labels(Installation(job(battery)))}
    assert "Also fed by: S1 Wall battery" in said(labels["P1"])


def test_the_label_at_a_main_warns_of_what_starts_when_it_opens(house, demo):
    labels = {label.name: label for label in demo}
    for part in (
        "Opening this main makes G1 Standby generator start by itself (start delay: about 10 seconds).",
        "P2 Standby panel comes back live.",
        "First cut G1 at: breaker and red stop button under the generator's lid",
    ):
        assert part in said(labels["M1"])
    assert "start" not in said(labels["P1"])
    told = said(house["P1"])
    assert "Whether opening this main makes G1 Set start: unknown. Treat it as if it does (start delay: not" in told
    assert "First cut G1 at: not recorded" in told
    by_hand = HOUSE.replace("kind: automatic", "kind: manual")
    labels = {label.name: label for label in make_labels(Installation(job(by_hand)))}
    assert "With this main off, G1 Set can still feed P2 Standby panel through T1." in said(labels["P1"])


def test_a_main_never_cuts_its_own_supply_side(demo, house):
    told = {label.code: said(label) for label in demo}
    stays = "With this main off, its supply side stays LIVE: "
    assert f"{stays}only the utility cuts it." in told["M1"]
    assert f"{stays}off at P1 Main panel, spaces 14/16." in told["P3"]
    assert f"{stays}off at the main of M1 Meter-main." in told["P1"]
    assert stays not in told["P2"]  # main lugs


def test_equipment_says_how_often_its_breaker_may_be_tried(demo):
    told = {label.code: said(label) for label in demo}
    for code in ("E1", "E2", "E3", "E4"):
        assert "Push it fully OFF, then ON. Once. Trips again: leave it OFF, call." in told[code]


def test_what_was_there_before_does_not_look_like_this_jobs_work(demo):
    told = {label.code: said(label) for label in demo}
    for code, existing in (("M1", True), ("G1", True), ("S1", True), ("P3", False), ("E1", False)):
        assert ("Was there before this job; seen 2026-06-12" in told[code]) is existing
        assert ("Finished 2026-06-12" in told[code]) is not existing
        assert "555-0142" in told[code]
    assert "1 ground aluminum (size not checked)" in told["F2"]


def test_a_second_source_says_how_to_cut_it_and_what_stays_live(house, demo):
    labels = {label.name: label for label in demo}
    told = said(labels["S1"])
    for part in (
        "Cut it at: switch outside on the east wall, right of the meter cabinet",
        "Stays live after that: Wires from the roof to the inverter, in daylight",
        "Do not move its breaker. Place on the bus: opposite end from the main",
    ):
        assert part in told
    told = said(labels["G1"])
    for part in ("STARTS BY ITSELF (start delay: about 10 seconds)", "Fuel shutoff: valve on the tank, 12 ft from"):
        assert part in told
    for code in ("P2", "T1"):
        told = said(labels[code])
        assert "G1 Standby generator: STARTS BY ITSELF" in told
        assert "To cut both: first G1 at: breaker and red stop button under the generator's lid. Then M1" in told
    assert "Stays live after that: not recorded" in said(house["S1"])
    assert "Fuel shutoff: not recorded" in said(house["G1"])


def test_equipment_says_its_own_disconnect_and_whether_it_locks(demo):
    labels = {label.name: label for label in demo}
    assert "Disconnect: pull-out, on the wall, right of the unit; can be locked off" in said(labels["E3"])
    assert "That breaker is its disconnect; can be locked off" in said(labels["E1"])
    assert "Disconnect: cord and plug, at the receptacle" in said(labels["E2"])
    assert "Disconnect: switch, beside the studio door; cannot be locked off" in said(labels["E4"])


def test_no_label_goes_on_a_cover_that_comes_off(demo):
    goes = {label.name: label.goes for label in demo}
    assert goes["F1"].startswith("On the wall or fixed trim beside P1, level with spaces 14/16.")
    assert goes["P1"].startswith("On the wall or the fixed part of the enclosure, beside the door of P1")


def test_a_warning_is_not_cut_short(demo):
    for label in demo:
        assert "…" not in said(label), label.name


def test_a_feeder_bears_its_neutral_name(house):
    assert "Shed feeder" in said(house["F1"])
    assert "Private" not in house["F1"].svg + house["F1"].title


def test_free_text_is_text(house):
    assert "<b>" not in house["E2"].svg
    assert "<b>&\"'" in said(house["E2"])


def test_a_place_of_which_nothing_is_recorded_is_treated_as_outdoors(house):
    assert house["E2"].width_mm < house["E1"].width_mm == house["P3"].width_mm
    assert "not recorded" in house["P3"].material
    assert "sunlight" in house["P3"].material


def overlaps(one, other):
    hair = 0.001  # millimetres; lines of one text touch
    apart = one[2] <= other[0] + hair or other[2] <= one[0] + hair or one[3] <= other[1] + hair
    return not (apart or other[3] <= one[1] + hair)


LONG = (
    "Very long name of a thing that somebody wrote without a thought for labels, and a Donaudampfschiffahrtswort " * 9
)
WORDS = [
    Words(code="P1", name="Main panel", rows=(Row("Fed from M1", 4.4, bold=True), Row("No other source known"))),
    Words(code="ABCDEF7", name=LONG, rows=(Row(LONG, 4.4, bold=True), Row(LONG), Row("W" * 400), Row("短い" * 90))),
    Words(code="P1", name="X", rows=()),
]


@pytest.mark.parametrize("words", WORDS, ids=("plain", "long", "bare"))
@pytest.mark.parametrize("size", [(100.0, 0.8), (110.0, 1.0)], ids=("indoors", "outdoors"))
@pytest.mark.parametrize("letters", [40, 60, 87])
def test_nothing_leaves_the_label_or_meets_another_thing(words, size, letters):
    art = lay_out(words, code_of("A" * letters), label_width=size[0], module=size[1])
    boxes = [line.box for line in art.lines]
    *_, quiet_bottom = art.quiet_box
    for box in (*boxes, art.quiet_box, art.badge):
        assert box[0] >= 1
        assert box[1] >= 1
        assert box[2] <= art.width - 1
        assert box[3] <= art.height - 1
    assert not [box for box in boxes if overlaps(box, art.quiet_box)]
    assert not overlaps(art.quiet_box, art.badge)
    assert art.rule + 0.35 <= art.quiet_box[1]
    for place, box in enumerate(boxes):
        assert not [other for other in boxes[place + 1 :] if overlaps(box, other)]
    assert quiet_bottom <= art.height


def test_letters_are_large_enough():
    """A quarter of an inch for a name that fits (common practice at arm's length), never under 2.2 mm."""
    art = lay_out(WORDS[0], code_of("A" * 40), label_width=100.0, module=0.8)
    assert NAME_SIZES[0] * CAPITAL >= 25.4 / 4
    assert art.lines[0].size == NAME_SIZES[0]
    assert min(line.size for line in art.lines) * CAPITAL >= SMALLEST_CAPITAL


def test_the_art_is_in_real_millimetres_and_black_on_white(demo):
    for label in demo:
        root = ET.fromstring(label.svg)
        assert root.get("width") == f"{label.width_mm:g}mm"
        assert root.get("height") == f"{label.height_mm:g}mm"
        assert root.get("viewBox") == f"0 0 {label.width_mm:g} {label.height_mm:g}"
        assert set(re.findall(r"#[0-9a-f]+", label.svg)) <= {"#000", "#fff"}
        assert "Arial, Helvetica, sans-serif" in label.svg
        scale = float(re.search(r"scale\(([\d.]+)\)", label.svg)[1])
        assert scale >= 0.8
        assert scale >= 1.0 or label.width_mm == 100


def test_same_words_same_bytes(demo):
    assert [label.svg for label in make_labels(Installation(read_job(DEMO)))] == [label.svg for label in demo]


def test_too_long_an_address_is_a_problem_with_its_line():
    text = (
        "job:\n  title: T\n  kind: other\n  number: T-1\n  pack: AAAAAAAAAAAAAAAAAAAAAAAAA\n"
        f"  publish_at: https://{'a-long-folder.' * 9}example\n  summary: S\n  dates: {{finished: 2026-06-12}}\n"
    )
    with pytest.raises(JobProblems) as caught:
        make_labels(Installation(job(text)))
    (problem,) = caught.value.problems
    assert problem.place.line == 6
    assert "shorter" in problem.remedy


def test_the_codes_read_back_at_print_size(demo, house):
    """Drawn by a browser at 300 dots an inch and read by two decoders that share no code."""
    odd = lay_out(WORDS[1], code_of(f"HTTPS://{'A' * 70}/C1/"), label_width=100.0, module=0.8)
    art = [(label.svg, label.address) for label in (*demo, *house.values())] + [
        (to_svg(odd), f"HTTPS://{'A' * 70}/C1/")
    ]
    with chromium() as browser:
        page = browser.new_page(device_scale_factor=DOTS_AN_INCH / PIXELS_AN_INCH)
        for svg, address in art:
            page.set_content(f'<body style="margin:0">{svg}')
            shot = page.locator("svg").screenshot()
            inside = page.evaluate(INSIDE)
            assert inside == [], address
            picture = cv2.imdecode(np.frombuffer(shot, np.uint8), cv2.IMREAD_GRAYSCALE)
            (read,) = zxingcpp.read_barcodes(picture)
            assert read.text == address
            assert code_of(address).version <= HIGHEST_VERSION
            assert read.ec_level == code_of(address).level == "Q"
            assert address in read_by_opencv(picture)


# The texts that, as the browser really set them, leave the label or enter the code's box.
INSIDE = """() => {
  const all = document.querySelector('svg').getBoundingClientRect();
  const code = document.querySelector('path').getBoundingClientRect();
  return [...document.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    const out = box.left < all.left + 3 || box.right > all.right - 3 || box.bottom > all.bottom - 1;
    const met = box.right > code.left && box.left < code.right && box.bottom > code.top && box.top < code.bottom;
    return out || met;
  }).map(text => text.textContent);
}"""
