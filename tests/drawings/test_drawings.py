"""Geometry and wording of every drawing, over many made-up installations."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections import Counter
from functools import partial
from pathlib import Path

import pytest
from clear_texts import crosses, texts_stand_apart
from drawing_samples import installation
from jobs import job

from handover.checks.result import CheckResult, Citation, Verdict
from handover.checks.run import run_checks
from handover.drawings import run_scale
from handover.drawings.draw_all import draw_all, draw_for_paper
from handover.drawings.find_again import hidden_runs, plan_letter_sheet, plan_sheet
from handover.drawings.geometry import SMALL, Box, Circle, Label, Line, Sheet
from handover.drawings.one_line import letter_sheet, one_line_sheet
from handover.drawings.panel_face import panel_sheet
from handover.drawings.run_map import run_letter_sheet, run_sheet
from handover.drawings.run_words import bend_total
from handover.drawings.svg import standalone, to_drawing
from handover.drawings.wall_view import wall_sheet, walls_of
from handover.drawings.words import is_cable
from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.record.wiring import PULL_POINTS, Step

SVG = "{http://www.w3.org/2000/svg}"
MANY = range(208)


def sheets(house: Installation) -> list[Sheet]:
    record = house.record
    faces = [panel_sheet(house, panel) for panel in record.panels]
    for panel in record.panels:
        faces += [panel_sheet(house, panel, slot.feeds) for slot in panel.slots if slot.feeds][:2]
    runs = [run_sheet(house, run) for run in record.runs] + [run_letter_sheet(house, run) for run in record.runs]
    plans = [made(house, run) for run in hidden_runs(house) for made in (plan_sheet, plan_letter_sheet)]
    return [one_line_sheet(house), letter_sheet(house), *faces, *runs, *plans]


@pytest.mark.parametrize("number", MANY)
def test_no_text_overlaps_another_or_leaves_its_frame_or_the_sheet(number):
    house = installation(number)
    for sheet in sheets(house):
        texts_stand_apart(sheet)


@pytest.mark.parametrize("number", MANY[:40])
def test_no_line_runs_through_a_text_and_none_leaves_the_sheet(number):
    house = installation(number)
    for sheet in sheets(house):
        labels = [mark for mark in sheet.marks if isinstance(mark, Label) and not mark.reverse]
        for mark in sheet.marks:
            if isinstance(mark, Line):
                assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in mark.points), (sheet.name, mark)
                top, end = min(y for _, y in mark.points), max(y for _, y in mark.points)
                near = [label for label in labels if label.y < end and label.bottom > top]
                assert not [label for label in near if crosses(mark, label)], (sheet.name, mark)
            elif isinstance(mark, Box):
                assert Box(0, 0, sheet.width, sheet.height).holds(mark), (sheet.name, mark)
            elif isinstance(mark, Circle):
                assert mark.r <= mark.x <= sheet.width - mark.r, (sheet.name, mark)


@pytest.mark.parametrize("number", MANY)
def test_every_space_of_a_panel_stands_once_on_its_face(number):
    house = installation(number)
    for panel in house.record.panels:
        sheet = panel_sheet(house, panel)
        numbers = [mark.text for mark in sheet.marks if isinstance(mark, Label) and mark.bold and mark.text.isdigit()]
        assert Counter(numbers) == Counter(str(space) for space in range(1, panel.spaces + 1))
        said = " ".join(sheet.sentences)
        for slot in panel.slots:
            where = "/".join(str(space) for space in slot.spaces)
            assert len(re.findall(rf"Spaces? {where}:", said)) == 1, where


@pytest.mark.parametrize("number", MANY)
def test_the_run_map_tells_every_step_and_the_one_line_every_code(number):
    house = installation(number)
    for run in house.record.runs:
        told = [sentence for sentence in run_sheet(house, run).sentences if sentence.startswith("Step ")]
        assert len(told) == len(run.path)
        assert all(step.step in sentence.lower() for step, sentence in zip(run.path, told, strict=True))
    record = house.record
    parts = (*record.panels, *record.circuits, *record.feeders, *record.sources, *record.transfers)
    for sheet in (one_line_sheet(house), letter_sheet(house)):
        # The heading of each thing is bold and begins with its code; a second wire to it only names it.
        heads = [mark.text for mark in sheet.marks if isinstance(mark, Label) and mark.bold]
        for part in parts:
            kind = "Panel " if part in record.panels else ""
            assert sum(bool(re.match(rf"{kind}{part.code}\b", head)) for head in heads) == 1, (sheet.name, part.code)
    said = " ".join(one_line_sheet(house).sentences)
    assert all(re.search(rf"\b{part.code}\b", said) for part in (*parts, *record.equipment))


@pytest.mark.parametrize("number", MANY[:24])
def test_all_that_is_drawn_is_said_in_words(number):
    house = installation(number)
    for sheet in (one_line_sheet(house), *(run_sheet(house, run) for run in house.record.runs)):
        said = set(re.findall(r"\w+", " ".join(sheet.sentences).lower()))
        texts = [mark.text for mark in sheet.marks if isinstance(mark, Label)]
        if sheet.name == "one-line":  # less the key to the lines, the legend and the foot
            texts = texts[:1] + texts[3 : texts.index("Symbols in this drawing")]
        foot = next((at for at, text in enumerate(texts) if text.startswith("Job T-1, revision")), len(texts))
        for text in texts[:foot]:
            cut = re.findall(r"\w+", text.lower())[1:-1]  # the first and last may be pieces of a long word
            assert not [word for word in cut if word not in said and not word.isdigit()], (sheet.name, text)


def test_svg_is_xml_with_title_description_and_unique_ids():
    for house in map(installation, MANY[:12]):
        drawings = draw_all(house)
        ids = []
        for name, drawing in drawings.items():
            root = ET.fromstring(drawing.svg)
            assert name == drawing.name
            assert root.get("role") == "img"
            own = {element.get("id"): element for element in root.iter() if element.get("id")}
            title, note = (own[id] for id in root.get("aria-labelledby").split())
            assert (title.tag, title.text) == (f"{SVG}title", drawing.title)
            assert note.tag == f"{SVG}desc"
            assert note.text
            assert root.get("viewBox").split()[:2] == ["0", "0"]
            ids += own
        assert len(ids) == len(set(ids))


def test_markup_in_a_name_stays_text():
    text = """
    panels:
      - {code: P1, name: 'A <b>"bold"</b> & co', place: hall, work: new, spaces: 2, main_kind: main lugs,
         slots: [{spaces: [1], breaker: 20 A, says: '</text><script>x</script>'}]}
    """
    house = Installation(job(text))
    svg = draw_all(house)["face-P1"].svg
    assert "<script" not in svg
    assert "<b>" not in svg
    told = "".join(element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text"))
    assert "</text><script>x" in told.replace(" ", "")


def test_a_drawing_by_itself_carries_its_style():
    svg = draw_all(installation(0))["one-line"].svg
    root = ET.fromstring(standalone(svg, ".drawing > .d-text { fill: #000 } /* & < */"))
    assert root.find(f"{SVG}style").text.strip() == ".drawing > .d-text { fill: #000 } /* & < */"
    assert root.get("viewBox")


def test_same_installation_same_bytes():
    assert [drawing.svg for drawing in draw_all(installation(7)).values()] == [
        drawing.svg for drawing in draw_all(installation(7)).values()
    ]


def test_names_of_the_drawings_in_order():
    text = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker,
         slots: [{spaces: [1, 3], breaker: 40 A, feeds: C1}]}
    circuits: [{code: C1, name: A circuit, work: new, volts: 240 V}]
    runs: [{code: R1, name: A run, work: new, method: EMT}]
    """
    assert list(draw_all(Installation(job(text)))) == ["one-line", "face-P1", "face-P1-C1", "run-R1"]


def test_the_marked_breaker_has_heavy_frame_solid_arrow_and_words():
    house = next(house for house in map(installation, MANY) if any(slot.feeds for slot in house.record.panels[0].slots))
    panel = house.record.panels[0]
    code = next(slot.feeds for slot in panel.slots if slot.feeds)
    plain, marked = panel_sheet(house, panel), panel_sheet(house, panel, code)
    assert not [mark for mark in plain.marks if isinstance(mark, Box) and mark.stroke == "marked"]
    assert len([mark for mark in marked.marks if isinstance(mark, Box) and mark.stroke == "marked"]) == 1
    assert [mark.text for mark in marked.marks if isinstance(mark, Label) and mark.reverse] == ["THIS ONE"]
    assert any(isinstance(mark, Line) and mark.closed and mark.stroke == "solid" for mark in marked.marks)
    assert sum(sentence.startswith("THIS ONE") for sentence in marked.sentences) == 1
    with pytest.raises(ValueError, match="no slot"):
        panel_sheet(house, panel, "Z9")


def test_a_breaker_across_both_sides_is_told_once_and_its_spaces_stand_on_their_sides():
    text = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 6, main_kind: main lugs,
         slots: [{spaces: [1, 2, 3, 4], breaker: 200 A, says: Whole house}]}
    """
    house = Installation(job(text))
    sheet = panel_sheet(house, house.record.panels[0])
    numbers = {mark.text: mark.x for mark in sheet.marks if isinstance(mark, Label) and mark.text in "123456"}
    assert numbers["1"] < 100 < numbers["2"]
    assert sum("Whole house" in sentence for sentence in sheet.sentences) == 1


def test_bends_are_counted_from_the_last_pull_point():
    """NEC 2023, 358.26 counts bends between pull points; the angles are our own."""
    text = """
    runs:
      - {code: R1, name: A run, work: new, method: EMT, path: [{step: panel},
         {step: bend, degrees: 90°}, {step: offset, degrees: 60°}, {step: conduit body},
         {step: bend, degrees: 45°}, {step: bend, degrees: unknown}]}
    """
    run = job(text).runs[0]
    totals = [bend_total(run.path[: at + 1]) for at in range(len(run.path))]
    assert [total.degrees for total in totals] == [0, 90, 150, 0, 45, 45]
    assert totals[-1].missing == 1
    house = Installation(job(text))
    told = " ".join(run_sheet(house, run).sentences)
    assert "150° of 360° used" in told
    assert "At least 45° of 360° used; 1 angle not recorded" in told


@pytest.mark.parametrize("number", MANY)
def test_the_bends_said_are_those_since_the_last_place_that_opens(number):
    """Reckoned here from the texts of the record, backward from each bend."""
    house = installation(number)
    for run in house.record.runs:
        told = [sentence for sentence in run_sheet(house, run).sentences if sentence.startswith("Step ")]
        for at, (step, sentence) in enumerate(zip(run.path, told, strict=True)):
            if step.step not in ("bend", "offset", "saddle") or is_cable(run):
                continue
            degrees, missing = 0.0, 0
            for earlier in reversed(run.path[: at + 1]):
                if earlier.step in ("panel", "box", "conduit body", "equipment"):
                    break
                if earlier.step in ("bend", "offset", "saddle"):
                    degrees += float(earlier.degrees.written.rstrip("°")) if earlier.degrees.known else 0
                    missing += not earlier.degrees.known
            assert f"{degrees:g}° of 360° used" in sentence
            assert ("not recorded" in sentence.split("used")[1].split(".")[0]) is bool(missing)


@pytest.mark.parametrize("number", MANY)
def test_the_strip_is_to_scale_or_not_drawn(number):
    """Each square and dot stands as far along as the straight pieces before it; no strip where a length is missing."""
    house = installation(number)
    for run in house.record.runs:
        lengths = [step.length for step in run.path if step.step == "straight"]
        marks, said = run_scale.strip(run.path, 50)
        drawable = bool(lengths) and all(length.known for length in lengths)
        assert bool(marks) is bool(said) is drawable
        if not drawable:
            continue
        line = next(mark for mark in marks if isinstance(mark, Line) and mark.stroke == "heavy")
        (left, y), (right, _) = line.points
        feet, squares, dots = 0.0, {0.0}, set()
        for step in run.path:
            if step.step == "straight":
                feet += float(step.length.written.removesuffix(" ft"))
            elif step.step in ("bend", "offset", "saddle"):
                dots.add(feet)
            elif step.step in ("panel", "box", "conduit body", "equipment"):
                squares.add(feet)
        scale = (right - left) / feet
        drawn = [mark.x + mark.w / 2 for mark in marks if isinstance(mark, Box) and abs(mark.y + 5 - y) < 0.01]
        assert drawn == pytest.approx(sorted(left + at * scale for at in squares | {feet}))
        turned = [mark.x for mark in marks if isinstance(mark, Circle) and mark.y == y]
        assert turned == pytest.approx(sorted(left + at * scale for at in dots))


def test_what_room_is_left_in_a_run_comes_from_the_check():
    house = installation(4)
    run = house.record.runs[0]
    citation = Citation(code="NEC", edition="2023", section="Chapter 9 Table 1")
    made = partial(CheckResult, rule="spare_raceway", subject=run.code, question="?", citation=citation)
    for verdict, words in (
        ("pass", "Room for more wires by the check: two more"),
        ("undecided", "Room for more wires cannot be decided: two more"),
        ("not_applicable", None),
    ):
        result = made(verdict=Verdict(verdict), reason="two more")
        other = made(verdict=Verdict.PASS, reason="not ours", subject="R99")
        said = " ".join(run_sheet(house, run, (other, result)).sentences)
        assert (words in said) if words else ("Room for more" not in said)
        assert "not ours" not in said


def test_where_neutral_and_ground_are_joined_is_drawn_and_others_are_named():
    text = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker, neutral_bonded: 'yes'}
      - {code: P2, name: Sub, place: shed, work: existing, spaces: 4, main_kind: main lugs, neutral_bonded: %s}
    """
    for second, more in (("'no'", "the only such place in the record."), ("'yes'", "joined at P2 as well."),
                         ("unknown", "the only such place in the record; not known of P2.")):  # fmt: skip
        said = one_line_sheet(Installation(job(text % second))).sentences
        assert f"Panel P1: Neutral bonded to ground here: {more}" in said


@pytest.mark.parametrize(
    ("trip", "bars", "said"),
    [("common_trip: 'yes'", ["heavy"], "move together."), ("common_trip: 'no'", [], "they do not move together."),
     ("common_trip: unknown", ["dashed"], "not recorded whether the handles move together.")],
)  # fmt: skip
def test_handles_are_drawn_tied_only_where_the_record_says_so(trip, bars, said):
    text = f"""
    panels:
      - {{code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main lugs,
         slots: [{{spaces: [1, 3], breaker: {{rating: 40 A, {trip}}}, says: Range}}]}}
    """
    house = Installation(job(text))
    sheet = panel_sheet(house, house.record.panels[0])
    drawn = [mark.stroke for mark in sheet.marks if isinstance(mark, Line) and mark.points[0][0] == mark.points[1][0]]
    assert drawn == bars
    assert said in " ".join(sheet.sentences)


def test_the_one_line_lists_what_nobody_knows():
    house = Installation(read_job(Path(__file__).parent.parent / "crowded_house"))
    for sheet in (one_line_sheet(house), letter_sheet(house)):
        said = " ".join(sheet.sentences)
        assert "Not known, as recorded:" in said
        assert "U1: Several breakers of the main panel feed wiring that nobody has followed." in said
        told = "P3: 2 entries are copied from the card and not traced (3, 6); spaces 1, 2, 4, 5 and 7/9 are traced"
        assert f"{told}." in said
        drawn = " ".join(mark.text for mark in sheet.marks if isinstance(mark, Label))
        assert told in drawn
    assert "Not known, as recorded" not in " ".join(one_line_sheet(Installation(job())).sentences)


def test_a_face_counts_free_spaces_and_names_breakers_of_which_nothing_is_recorded():
    text = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 6, main_kind: main breaker,
         slots: [{spaces: [1, 3], breaker: 60 A, says: Range}, {spaces: [2], breaker: 15 A, says: Hall, traced: 'yes'},
         {spaces: [4], blank: 'yes'}, {spaces: [6], breaker: 15 A, says: Attic}]}
    """
    house = Installation(job(text))
    said = " ".join(panel_sheet(house, house.record.panels[0]).sentences)
    assert "6 spaces, 1 of them without a breaker" in said  # space 5 is not in the record, so not called free
    assert "2 entries are copied from the card and not traced (1/3, 6); space 2 is traced." in said


def test_a_panel_is_called_not_backed_up_only_where_nothing_else_could_carry_it():
    text = """
    sources:
      - {code: G1, kind: generator, name: Set, place: yard, work: existing}
      - {code: S1, kind: %s, name: Other, place: roof, work: existing}
    transfers: [{code: T1, name: Changeover, place: yard, work: new, kind: automatic, source: G1, feeds: P2}]
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker,
         slots: [{spaces: [1, 3], breaker: 60 A, feeds: T1}]}
      - {code: P2, name: Standby, place: hall, work: existing, spaces: 4, main_kind: main lugs,
         slots: [{spaces: [1], breaker: 15 A, says: Fridge}, {spaces: [2], breaker: 15 A, says: Well pump}]}
    """
    for kind, off in (("solar", True), ("battery", False), ("vehicle", False)):
        house = Installation(job(text % kind))
        main, standby = (panel_sheet(house, panel).sentences[0] for panel in house.record.panels)
        assert ("Not backed up: G1 Set does not feed it" in main) is off
        assert "Backed up: stays on" in standby
        assert "Not backed up" not in standby
    assert any("Backs up P2: Fridge; Well pump" in sentence for sentence in one_line_sheet(house).sentences)


def test_what_hides_a_piece_lies_above_it_in_the_ground_and_before_it_elsewhere():
    text = """
    runs:
      - {code: R1, name: A run, work: new, method: EMT,
         path: [{step: straight, length: 3 ft, surroundings: underground, behind: lawn},
         {step: straight, length: 3 ft, surroundings: in a wall, behind: plaster}]}
    """
    house = Installation(job(text))
    told = " ".join(run_sheet(house, house.record.runs[0]).sentences)
    assert "Above it: lawn" in told
    assert "Behind it: plaster" in told


def test_a_bend_tells_which_way_it_turns_where_that_is_recorded():
    runs = "runs: [{code: R1, name: Run, work: new, method: EMT, path: [{step: bend, degrees: 90°%s}]}]"
    for facts, told in ((", turns: up to the charger", True), ("", False)):
        house = Installation(job(runs % facts))
        said = " ".join(run_sheet(house, house.record.runs[0]).sentences)
        assert ("Turns up to the charger" in said) == told


def test_what_is_not_recorded_is_drawn_as_such():
    text = """
    runs:
      - {code: R1, name: A run, work: new, method: EMT,
         path: [{step: panel}, {step: straight, length: unknown, surroundings: underground}, {step: penetration}]}
    circuits: [{code: C1, name: A circuit, work: new, volts: 240 V}]
    """
    house = Installation(job(text))
    run = " ".join(run_sheet(house, house.record.runs[0]).sentences)
    for words in ("length not known", "Cover not recorded", "Seal not recorded", "What it carries is not recorded"):
        assert words in run, words
    sheet = one_line_sheet(house)
    said = " ".join(sheet.sentences)
    for words in ("fault current not recorded", "Circuits whose breaker is not recorded", "Conductors not recorded"):
        assert words in said, words
    assert any(isinstance(mark, Box) and mark.stroke == "dashed" for mark in sheet.marks)


def test_wires_that_the_record_does_not_describe_are_dashed_and_said():
    text = """
    sources: [{code: G1, kind: generator, name: Set, place: yard, work: existing}]
    transfers: [{code: T1, name: Changeover, place: yard, work: new, kind: automatic, source: G1, feeds: P2}]
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main breaker,
         grounding: {electrodes: [{kind: ground rod}]},
         slots: [{spaces: [1, 3], breaker: 60 A, feeds: T1, work: new}]}
      - {code: P2, name: Standby, place: hall, work: existing, spaces: 4, main_kind: main lugs}
    """
    sheet = one_line_sheet(Installation(job(text)))
    said = [sentence for sentence in sheet.sentences if "Conductors not recorded" in sentence]
    for start in ("60 A breaker", "Second supply of T1, from G1", "From T1 to panel P2"):
        assert len([sentence for sentence in said if sentence.startswith(start)]) == 1, start
    # Three dashed wires that turn off, each going on dashed downward; those two with no breaker on them from the top.
    dashed = [mark.points for mark in sheet.marks if isinstance(mark, Line) and mark.stroke == "dashed"]
    turns = [points for points in dashed if points[0][1] == points[1][1]]
    down = [points for points in dashed if points[0][0] == points[1][0]]
    assert len(turns) == 3
    assert len(down) >= 3
    assert sum(any(drop[0] == turn[1] for drop in down) for turn in turns) == 2


def test_paper_sheets_show_the_same_texts_as_the_strips():
    for house in map(installation, MANY[:12]):
        for run in house.record.runs:
            strip, paper = run_sheet(house, run), run_letter_sheet(house, run)
            assert [mark.text for mark in strip.marks if isinstance(mark, Label)] == [
                mark.text for mark in paper.marks if isinstance(mark, Label)
            ]
            assert paper.height <= strip.height
            assert paper.name == f"{strip.name}-paper"
        names = [house.record.panels[0].code, *(part.code for part in house.record.sources)]
        drawn = " ".join(mark.text for mark in letter_sheet(house).marks if isinstance(mark, Label))
        assert all(re.search(rf"\b{name}\b", drawn) for name in names)
    assert list(draw_for_paper(installation(0)))[:2] == ["one-line-paper", "run-R1-paper"]


def test_coordinates_are_short():
    for drawing in draw_all(installation(3)).values():
        assert not re.findall(r"\d\.\d{3,}", re.sub(r">[^<]*<", "><", drawing.svg))
    assert to_drawing(one_line_sheet(installation(3))).svg.isprintable() is False  # lines, not one long line


def test_the_drawing_counts_bends_from_the_pull_points_that_the_check_counts_from():
    bend = Step.model_validate({"step": "bend", "degrees": "90°"})
    for kind in PULL_POINTS:
        assert bend_total([bend, Step.model_validate({"step": kind}), bend]).degrees == 90, kind


def test_the_crowded_house_is_drawn_clear_and_its_one_line_prints_with_letters_of_6_points():
    """42 spaces, three panels: a whole job read from its folder.  A Letter page less margins of 0.5 in is 7.5 by 10."""
    house = Installation(read_job(Path(__file__).parent.parent / "crowded_house"))
    results = run_checks(house.record)
    walls = [wall_sheet(house, wall, results) for wall in walls_of(house)]
    for sheet in (*sheets(house), *walls):
        texts_stand_apart(sheet)
    paper = letter_sheet(house)
    assert min(7.5 * 72 / paper.width, 9.4 * 72 / paper.height) * SMALL >= 6
