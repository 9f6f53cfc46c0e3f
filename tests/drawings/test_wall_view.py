"""The wall view: everything on its wall, in order, at its height; what is not known said and drawn broken."""

from __future__ import annotations

import pytest
from clear_texts import crosses, texts_stand_apart
from drawing_samples import walls
from jobs import job

from handover.checks.run import run_checks
from handover.drawings.draw_all import draw_all, draw_for_paper
from handover.drawings.geometry import WIDTH, Box, Label, Line, Sheet
from handover.drawings.wall_view import NO_ORDER, ends_of, height_fact, wall_letter_sheet, wall_sheet, walls_of
from handover.record.installation import Installation

HOUSES = tuple(walls(number) for number in range(210))


def on_a_wall(*things: str) -> Sheet:
    listed = ", ".join(
        f"{{name: A box, place: hall, work: new, kind: junction box, wall: North, {each}}}" for each in things
    )
    house = Installation(job(f"boxes: [{listed}]"))
    return wall_sheet(house, walls_of(house)[0])


@pytest.mark.parametrize("tenth", range(10))
def test_no_text_meets_another_or_a_line_and_nothing_leaves_the_sheet(tenth):
    """210 made-up records, on the phone and on paper."""
    for house in HOUSES[tenth::10]:
        for wall in walls_of(house):
            for sheet in (wall_sheet(house, wall), wall_letter_sheet(house, wall)):
                assert sheet.width == WIDTH or sheet.name.endswith("-paper")
                page = Box(0, 0, sheet.width, sheet.height)
                texts_stand_apart(sheet)
                labels = [mark for mark in sheet.marks if isinstance(mark, Label)]
                for mark in sheet.marks:
                    if isinstance(mark, Line):
                        assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in mark.points)
                        assert not [label for label in labels if crosses(mark, label)], (sheet.name, mark)
                    elif isinstance(mark, Box):
                        assert page.holds(mark), (sheet.name, mark)


def test_every_thing_on_a_wall_is_drawn_and_said_once_with_its_height():
    for house in HOUSES:
        for wall in walls_of(house):
            sheet = wall_sheet(house, wall)
            for thing in wall.things:
                badges = [
                    mark for mark in sheet.marks if isinstance(mark, Label) and mark.frame and mark.text == thing.code
                ]
                assert len(badges) == 1
                (sentence,) = [
                    each for each in sheet.sentences if each.startswith((f"{thing.code},", f"{thing.code}."))
                ]
                high = height_fact(thing)
                assert (str(high) if high.known else "height not" if thing.code[0] != "P" else "handle not") in sentence


def test_heights_are_to_scale_and_in_order_from_the_left():
    """The floor is the heavy line; a thing twice as high hangs twice as far above it (our own figures)."""
    sheet = on_a_wall(
        "code: B1, height: 60 in, from_left: 9 ft",
        "code: B2, height: 30 in, from_left: 2 ft",
        "code: B3, height: 45 in",
    )
    at = {mark.text: mark.frame for mark in sheet.marks if isinstance(mark, Label) and mark.frame}
    floor = next(mark.points[0][1] for mark in sheet.marks if isinstance(mark, Line) and mark.stroke == "heavy")
    high = {code: floor - (box.y + box.h / 2) for code, box in at.items()}
    assert high["B1"] == pytest.approx(2 * high["B2"])
    assert high["B3"] == pytest.approx(1.5 * high["B2"])
    assert at["B2"].x < at["B1"].x < at["B3"].x
    assert NO_ORDER in sheet.sentences[0]
    assert "Distance from the left end not recorded" in sheet.sentences[-1]
    assert NO_ORDER not in on_a_wall("code: B1, height: 60 in").sentences[0]


def test_an_unknown_height_is_broken_and_said():
    sheet = on_a_wall("code: B1, height: unknown")
    (badge,) = [mark.frame for mark in sheet.marks if isinstance(mark, Label) and mark.frame]
    assert badge.stroke == "dashed"
    assert "height not known" in " ".join(sheet.sentences)
    assert "?" in [mark.text for mark in sheet.marks if isinstance(mark, Label)]


def test_a_panel_shows_the_room_kept_before_it():
    text = """
    panels:
      - {code: P1, name: Main, place: hall, work: existing, spaces: 4, main_kind: main lugs, wall: hall,
         headroom: 80 in, handle_height: 60 in, working_depth: 36 in}
    """
    house = Installation(job(text))
    sheet = wall_sheet(house, walls_of(house)[0])
    floor = next(mark.points[0][1] for mark in sheet.marks if isinstance(mark, Line) and mark.stroke == "heavy")
    (room,) = [mark for mark in sheet.marks if isinstance(mark, Box) and mark.stroke == "faint"]
    (panel,) = [mark.frame for mark in sheet.marks if isinstance(mark, Label) and mark.frame]
    assert room.h == pytest.approx((floor - panel.y - panel.h / 2) * 80 / 60)
    assert "Room kept before it: 36 in deep, width not recorded, headroom 80 in" in " ".join(sheet.sentences)


def test_walls_worded_alike_are_one_and_only_named_walls_are_drawn():
    house = Installation(
        job(
            """
            boxes:
              - {code: B1, name: One, place: hall, work: new, kind: pull box, wall: North  wall}
              - {code: B2, name: Two, place: hall, work: new, kind: pull box, wall: north wall}
              - {code: B3, name: Three, place: hall, work: new, kind: pull box}
            """
        )
    )
    assert [name for name in draw_all(house) if name.startswith("wall")] == ["wall-B1-B2"]
    assert "wall-B1-B2-paper" in draw_for_paper(house)


def test_more_than_four_things_go_on_in_a_second_view():
    sheet = on_a_wall(*(f"code: B{number}, height: 40 in" for number in range(1, 7)))
    floors = [mark for mark in sheet.marks if isinstance(mark, Line) and mark.stroke == "heavy"]
    assert len(floors) == 2


def test_things_equally_far_along_hang_above_each_other_where_there_is_room():
    def places(high: str) -> list[float]:
        sheet = on_a_wall("code: B1, height: 36 in, from_left: 4 ft", f"code: B2, height: {high}, from_left: 4 ft")
        return [mark.frame.x for mark in sheet.marks if isinstance(mark, Label) and mark.frame]

    assert len(set(places("69 in"))) == 1
    assert len(set(places("38 in"))) == 2


def test_a_wall_with_more_than_twelve_things_takes_several_drawings_and_each_thing_is_in_one():
    boxes = "\n".join(
        f"  - {{code: B{n}, name: Box, place: hall, work: new, kind: pull box, wall: north, from_left: {n} ft}}"
        for n in range(1, 15)
    )
    house = Installation(job(f"boxes:\n{boxes}"))
    first, second = walls_of(house)
    assert first.name == "north, part 1 of 2 from the left"
    assert second.drawing == "wall-B13-B14"
    assert [thing.code for wall in (first, second) for thing in wall.things] == [f"B{n}" for n in range(1, 15)]


def test_the_room_asked_for_stands_beside_the_room_kept():
    """NEC 2023 110.26(A): 36 in deep (Table 110.26(A)(1), condition 1 to 150 V), 30 in wide, 78 in high (6-1/2 ft)."""
    record = job(
        """
        panels:
          - {code: P1, name: Main, place: hall, work: new, spaces: 4, main_kind: main lugs, wall: hall, width: 15 in,
             working_depth: 40 in, working_width: 31 in, headroom: 80 in}
        """
    )
    house = Installation(record)
    (wall,) = walls_of(house)
    asked = "NEC 2023 110.26(A) asks for at least: depth 36 in, width 30 in, headroom 78 in"
    assert asked in " ".join(wall_sheet(house, wall, run_checks(record)).sentences)
    assert "asks for" not in " ".join(wall_sheet(house, wall).sentences)
    other = Installation(job("panels: [{code: P1, name: Main, place: hall, work: existing, spaces: 4,"
                             " main_kind: main lugs, wall: hall}]"))  # fmt: skip
    assert "asks for" not in " ".join(wall_sheet(other, wall, run_checks(other.record)).sentences)


def _with_a_panel(facts: str) -> Installation:
    panel = f"{{code: P1, name: A, place: x, work: new, spaces: 4, main_kind: main lugs, {facts}}}"
    return Installation(job(f"panels: [{panel}]"))


def _ends(wall: str, fact: str) -> tuple[str, str] | None:
    house = _with_a_panel(f"wall: '{wall}', from_left: 4 ft{fact}")
    (found,) = walls_of(house)
    return ends_of(found)


@pytest.mark.parametrize(
    ("wall", "fact", "ends"),
    [
        ("studio, south wall", ", outdoors: no", ("east", "west")),
        ("utility room, north wall", ", outdoors: no", ("west", "east")),
        ("north wall of the house, outside", ", outdoors: yes", ("east", "west")),
        ("east wall, outside", "", ("south", "north")),
        ("West wall", ", outdoors: no", ("south", "north")),
        ("carport, north wall", ", outdoors: yes", None),  # seen from within the carport, or from the yard
        ("north wall", "", None),
        ("north wall, outside", ", outdoors: no", None),
        ("north-east wall", ", outdoors: no", None),
        ("west wall of the north room", ", outdoors: no", None),
        ("Northgate hall", ", outdoors: no", None),
    ],
)
def test_the_ends_of_a_wall_are_named_where_the_record_tells_them(wall, fact, ends):
    """Who faces south has east to the left; the same wall from the other side has it to the right."""
    assert _ends(wall, fact) == ends


def test_the_drawing_says_which_end_is_which():
    house = _with_a_panel("wall: south wall, from_left: 4 ft, outdoors: no")
    sheet = wall_sheet(house, walls_of(house)[0])
    drawn = {mark.text: mark for mark in sheet.marks if isinstance(mark, Label)}
    assert drawn["toward east"].x < drawn["toward west"].x
    assert "Left end: east. Right end: west" in sheet.sentences[0]
    assert "4 ft from the left end (the east end)" in sheet.sentences[1]
