"""The find-it-again plan: points where the tapes meet, nothing over anything else, and what is not known said."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from math import hypot

import pytest
from clear_texts import crosses, texts_stand_apart
from drawing_samples import hidden
from jobs import job

from handover.drawings.draw_all import draw_all
from handover.drawings.find_again import PRIVATE, find_again, hidden_runs, plan_letter_sheet, plan_sheet
from handover.drawings.geometry import WIDTH, Box, Circle, Label, Line, Sheet
from handover.drawings.plan_places import layout
from handover.record.installation import Installation
from handover.record.landmarks import meeting, pairs_of

HOUSES = tuple(hidden(number) for number in range(240))
FEATURES = "from_first: corner, from_second: post"


def a_run(*points: str, path: str = "{step: straight, length: 9 ft, surroundings: underground, cover: 20 in}") -> str:
    listed = ", ".join(f"{{point: p{place}, {FEATURES}, {point}}}" for place, point in enumerate(points, 1))
    return f"runs: [{{code: R1, name: A run, work: new, method: EMT, path: [{path}], landmarks: [{listed}]}}]"


def plan(text: str) -> Sheet:
    house = Installation(job(text))
    return plan_sheet(house, house.record.runs[0])


def texts(sheet: Sheet) -> list[str]:
    return [mark.text for mark in sheet.marks if isinstance(mark, Label)]


def said(sheet: Sheet) -> str:
    return " ".join(sheet.sentences)


@pytest.mark.parametrize("tenth", range(10))
def test_no_text_meets_another_or_a_line_and_nothing_leaves_the_sheet(tenth):
    """240 made-up records, on the phone and on paper."""
    for house in HOUSES[tenth::10]:
        for run in hidden_runs(house):
            for sheet in (plan_sheet(house, run), plan_letter_sheet(house, run)):
                assert sheet.width == WIDTH or sheet.name.endswith("-paper")
                page = Box(0, 0, sheet.width, sheet.height)
                texts_stand_apart(sheet)
                plain = [mark for mark in sheet.marks if isinstance(mark, Label) and not mark.reverse]
                for mark in sheet.marks:
                    if isinstance(mark, Line):
                        assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in mark.points)
                        top, end = min(y for _, y in mark.points), max(y for _, y in mark.points)
                        near = [label for label in plain if label.y < end and label.bottom > top]
                        assert not [label for label in near if crosses(mark, label)], (sheet.name, mark)
                    elif isinstance(mark, Circle):
                        assert mark.r <= mark.x <= sheet.width - mark.r
                    elif isinstance(mark, Box):
                        assert page.holds(mark)


def test_the_made_up_records_reach_every_kind_of_sketch():
    kinds = set()
    for house in HOUSES:
        for run in house.record.runs:
            for pair in pairs_of(run):
                made = layout(pair, 150, 300)
                kinds.add("none" if made is None else "to scale" if made.scale else "not to scale")
                kinds.add(f"{min(len(pair.points), 4)} points")
    assert kinds == {"none", "to scale", "not to scale", "1 points", "2 points", "3 points", "4 points"}


def test_a_point_drawn_to_scale_lies_at_its_distances_and_on_its_side():
    """Measured back in the drawing; the side by the sign of the cross product, y running down."""
    checked = 0
    for house in HOUSES:
        for run in house.record.runs:
            for pair in pairs_of(run):
                made = layout(pair, 150, 300)
                for spot in made.spots if made and made.scale else ():
                    (ax, ay), (bx, by), (px, py) = made.first, made.second, spot.at
                    first, second = spot.point.distances
                    assert hypot(px - ax, py - ay) / made.scale == pytest.approx(first, abs=0.3)
                    assert hypot(px - bx, py - by) / made.scale == pytest.approx(second, abs=0.3)
                    across = (bx - ax) * (py - ay) - (by - ay) * (px - ax)
                    off = meeting(pair.feet, first, second)[1]
                    if spot.point.side and off > 0.1:
                        assert (across > 0) == (spot.point.side == "right")
                        checked += 1
    assert checked > 50


def test_every_point_is_in_the_key_and_in_the_sentences_with_all_that_was_measured():
    for house in HOUSES[:80]:
        for run in hidden_runs(house):
            sheet = plan_sheet(house, run)
            told = said(sheet)
            for number, mark in enumerate(run.landmarks, 1):
                entry = [sentence for sentence in sheet.sentences if sentence.startswith(f"Point {number}:")]
                assert len(entry) == 1
                for fact in (mark.distance_first, mark.distance_second, mark.depth):
                    assert str(fact) in entry[0].replace("not known", "unknown"), (mark, entry)
                assert str(number) in texts(sheet)
            for mark in run.landmarks:
                assert " ".join(mark.from_first.replace(" · ", ", ").split()) in told


def test_all_that_is_drawn_is_said_in_words():
    for house in HOUSES[:80]:
        for run in hidden_runs(house):
            sheet = plan_sheet(house, run)
            drawn = [label for label in sheet.marks if isinstance(label, Label) and label.frame]
            for label in drawn:
                text = label.text.split(" ", 1)[-1] if "–" in label.text else label.text
                assert text == "?" or text in said(sheet), label


def test_points_of_the_same_two_features_share_a_sketch_whichever_is_named_first():
    sheet = plan(
        """
        runs:
          - code: R1
            name: A run
            work: new
            method: EMT
            landmarks:
              - {point: one, from_first: Corner, distance_first: 30 ft, from_second: post, distance_second: 40 ft,
                 features_apart: 50 ft, side: left}
              - {point: two, from_first: post, distance_first: 40 ft, from_second: corner, distance_second: 30 ft,
                 side: right}
              - {point: three, from_first: corner, distance_first: 3 ft, from_second: step, distance_second: 4 ft}
        """
    )
    assert sum("Measured from two features" in sentence for sentence in sheet.sentences) == 2
    assert "A to B: 50 ft · drawn to scale" in texts(sheet)
    told = said(sheet)
    assert "Point 1: one, 30 ft from A, 40 ft from B" in told
    assert "Point 2: two, 30 ft from A, 40 ft from B" in told
    assert told.count("Stand at A and face B: it lies to the left") == 2


def test_without_the_distance_between_the_features_it_is_not_to_scale_and_says_why():
    sheet = plan(a_run("distance_first: 30 ft, distance_second: 40 ft"))
    assert "A to B: distance not recorded · NOT TO SCALE" in " ".join(texts(sheet))
    assert "?" in texts(sheet)  # on the broken line between the features
    assert "not to scale" in said(sheet).lower()


def test_tapes_that_do_not_meet_are_said_and_not_drawn():
    good = "distance_first: 30 ft, distance_second: 40 ft, features_apart: 50 ft, side: left"
    sheet = plan(a_run(good, "distance_first: 4 ft, distance_second: 12 ft"))
    assert "these two distances do not meet" in said(sheet)
    assert len([mark for mark in sheet.marks if isinstance(mark, Circle) and mark.stroke == "dashed"]) == 1  # its badge
    alone = plan(a_run("distance_first: 4 ft, distance_second: 12 ft, features_apart: 50 ft"))
    assert "No sketch" in said(alone)


def test_an_unknown_side_is_drawn_broken_and_both_sides_are_to_be_searched():
    sheet = plan(a_run("distance_first: 30 ft, distance_second: 40 ft, features_apart: 50 ft"))
    assert "is not recorded: look on both" in said(sheet)
    assert [mark for mark in sheet.marks if isinstance(mark, Circle) and mark.stroke == "dashed"]


def test_a_flat_crossing_says_how_far_off_the_point_may_be():
    """An inch more in one of 4 ft and 12 ft over 16 ft moves the point off the line by 8.5 in (our own reckoning)."""
    flat = plan(a_run("distance_first: 4 ft, distance_second: 12 ft, features_apart: 16 ft"))
    assert "On the line through A and B" in said(flat)
    assert "An inch in one distance moves it by up to 9 in" in said(flat)
    steep = plan(a_run("distance_first: 30 ft, distance_second: 40 ft, features_apart: 50 ft"))
    assert "An inch" not in said(steep)


def test_only_a_buried_run_is_called_a_private_line():
    points = "distance_first: 30 ft, distance_second: 40 ft, features_apart: 50 ft"
    assert PRIVATE in said(plan(a_run(points)))
    assert PRIVATE not in said(plan(a_run(points, path="{step: straight, length: 9 ft, surroundings: in a wall}")))


def test_a_buried_run_without_points_says_that_where_it_lies_is_not_on_record():
    sheet = plan(a_run())
    assert "where it lies between its ends is not on record" in said(sheet)
    assert "Cover 20 in" in said(sheet)
    house = Installation(job(a_run(path="{step: straight, length: 9 ft, surroundings: indoors}")))
    assert not hidden_runs(house)
    assert "plan-R1" not in draw_all(house)


def test_stretches_alike_share_a_section_and_what_is_not_known_is_broken():
    alike = "{step: straight, length: 9 ft, surroundings: underground, cover: 20 in, warning_ribbon: yes}"
    other = "{step: straight, length: unknown, surroundings: underground, cover: unknown}"
    sheet = plan(a_run(path=f"{alike}, {alike}, {other}"))
    sections = [sentence for sentence in sheet.sentences if sentence.startswith("The trench")]
    assert len(sections) == 2
    assert "18 ft in all" in sections[0]
    assert "Warning ribbon above it" in sections[0]
    assert "Cover not known" in sections[1]
    assert "Length not recorded" in sections[1]
    assert "Warning ribbon not recorded" in sections[1]
    assert [mark for mark in sheet.marks if isinstance(mark, Line | Box) and mark.stroke == "dashed"]


def test_the_plan_is_svg_with_title_and_description():
    house = Installation(job(a_run("distance_first: 30 ft, distance_second: 40 ft, features_apart: 50 ft")))
    root = ET.fromstring(find_again(house, house.record.runs[0]).svg)
    title, note = (root.find(f"{{http://www.w3.org/2000/svg}}{name}") for name in ("title", "desc"))
    assert title.text == "Find again: run R1 A run · NEW"
    assert "says the same" in note.text


def test_each_length_names_its_two_ends_where_two_lines_nearly_meet():
    """The lines to two points close to each other, and a line too short for its own length beside it."""
    sheet = plan(
        """
        runs:
          - code: R1
            name: A run
            work: new
            method: EMT
            landmarks:
              - {point: one, from_first: east corner, distance_first: 4 ft 1 in, from_second: west corner,
                 distance_second: 38 ft, features_apart: 42 ft, side: right}
              - {point: two, from_first: east corner, distance_first: 47 ft 2 in, from_second: west corner,
                 distance_second: 60 ft 5 in, side: right}
              - {point: three, from_first: east corner, distance_first: 52 ft 2 in, from_second: west corner,
                 distance_second: 66 ft 4 in, side: right}
        """
    )
    lengths = [
        "A–1: 4 ft 1 in",
        "B–1: 38 ft",
        "A–2: 47 ft 2 in",
        "B–2: 60 ft 5 in",
        "A–3: 52 ft 2 in",
        "B–3: 66 ft 4 in",
    ]
    assert sorted(lengths) == sorted(text for text in texts(sheet) if "–" in text)
