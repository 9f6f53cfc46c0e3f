"""The example job says what its pictures and its story fix.  Expected values: the demo's own scenario, no standard."""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path

import pytest

from handover.addresses import is_pack_id, is_publish_address
from handover.pack import Edition
from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.record.schema import job_schema
from handover.units import magnitude
from handover.untranslated import untranslated

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "demo_property"
SMALL = ROOT / "tests" / "small_job"


@pytest.fixture(scope="module")
def record():
    return read_job(DEMO)


@pytest.fixture(scope="module")
def house(record):
    return Installation(record)


def run_length(run):
    """Feet of all straight pieces of a run."""
    return sum(magnitude(step.length.value, "foot") for step in run.path if step.length.known)


def test_the_new_circuits_stand_where_the_picture_shows_them(house):
    """main-panel-open.jpg: the new breaker in 14/16, a 40 A pair in 18/20, SOLAR in 40/42; studio-panel.jpg for P3."""
    spaces = {code: house.position(code).subject for code in ("F1", "C1", "S1", "T1", "C2", "C3", "C4", "C8")}
    assert spaces == {
        "F1": "P1/14/16", "C1": "P1/18/20", "S1": "P1/40/42", "T1": "M1/1/3",
        "C2": "P3/1/3", "C3": "P3/2/4", "C4": "P3/5", "C8": "P3/9",
    }  # fmt: skip
    assert [house.position(code).slot.breaker.rating.written for code in ("F1", "C1", "S1", "C2", "C3")] == [
        "60 A", "40 A", "20 A", "30 A", "20 A",
    ]  # fmt: skip


def test_every_space_of_every_panel_is_accounted_for_once(record):
    assert {panel.code: panel.spaces for panel in record.panels} == {"M1": 8, "P1": 42, "P2": 12, "P3": 12}
    for panel in record.panels:
        taken = sorted(space for slot in panel.slots for space in slot.spaces)
        assert taken == list(range(1, panel.spaces + 1)), panel.code
        for slot in panel.slots:
            assert slot.blank is (slot.breaker is None), slot.spaces


def test_blank_plates_are_those_of_the_pictures(house):
    """Blank in main-panel-open.jpg: 31, 34, 36, 38, 39, 41; in studio-panel.jpg: 10, 12."""
    blank = {
        code: sorted(space for slot in house.panels[code].slots if slot.blank for space in slot.spaces)
        for code in ("P1", "P3")
    }
    assert blank == {"P1": [31, 34, 36, 38, 39, 41], "P3": [10, 12]}


def test_exactly_one_breaker_could_not_be_traced(record):
    untraced = [
        (panel.code, slot.spaces) for panel in record.panels for slot in panel.slots if slot.traced.value is False
    ]
    assert untraced == [("P1", (37,))]


def test_the_spare_breaker_feeds_nothing_and_says_so(house):
    spare = next(slot for slot in house.panels["P3"].slots if slot.spaces == (11,))
    assert spare.breaker is not None
    assert spare.feeds is None
    assert spare.says == "spare"
    assert "after the photo" in spare.note


def test_ten_circuits_stand_behind_the_transfer_switch(house):
    assert sum(not slot.blank for slot in house.panels["P2"].slots) == 10
    assert house.backed_up(house.panels["P2"])
    assert not house.backed_up(house.panels["P1"])


def test_run_lengths(house):
    """The story's lengths: 110 ft from the main panel to the studio panel, 46 ft to the charger."""
    assert run_length(house.runs["R1"]) == pytest.approx(110)
    assert run_length(house.runs["R2"]) == pytest.approx(46)


def test_bends_between_pull_points_stay_in_hand(record):
    """At most 360 degrees between pull points: NEC 352.26 (PVC) and 358.26 (EMT), 2023."""
    pull_points = ("panel", "box", "conduit body", "equipment")
    for run in record.runs:
        since = 0.0
        for step in run.path:
            since = 0.0 if step.step in pull_points else since
            since += magnitude(step.degrees.value, "degree") if step.degrees.known else 0
            assert since <= 360, run.code


def test_trench_cover_and_ground_rods_agree_with_their_pictures(house):
    """trench-open.jpg: about 20 in of cover; ground-rods.jpg: rods 6 ft apart."""
    covers = {step.cover.written for step in house.runs["R1"].path if step.cover.known}
    assert covers == {"20 in"}
    rods = house.panels["P3"].grounding.electrodes
    assert [(rod.length.written, rod.spacing.written) for rod in rods] == [("8 ft", "6 ft")] * 2


def test_every_landmark_can_be_found_by_two_distances(house):
    """Two circles cross only if the distances reach each other: 42 ft between the house corners, 16 ft the studio's.

    Both widths follow from the demo's plan: sweep 4 ft from one house corner and 38 ft from the other along the wall.
    """
    for mark in house.runs["R1"].landmarks:
        apart = 42 if "house" in mark.from_first else 16
        first, second = (magnitude(fact.value, "foot") for fact in (mark.distance_first, mark.distance_second))
        assert abs(first - second) <= apart <= first + second + 1e-9, mark.point


def test_every_picture_is_used_once_and_described(record):
    assert Counter(photo.file for photo in record.photos) == Counter(p.name for p in (DEMO / "photos").iterdir())
    for photo in record.photos:
        assert len(photo.alt) > 60, photo.file
        assert photo.caption != photo.alt
        assert photo.of, photo.file
        assert photo.marks, photo.file
        assert all(0 < mark.x < 1 and 0 < mark.y < 1 for mark in photo.marks)


def coded(record):
    """Every code that the record gives out, once for each time it does."""
    groups = (
        record.panels, record.sources, record.transfers, record.feeders, record.circuits, record.runs, record.boxes,
        record.equipment, record.instruments, record.findings, record.unknowns, record.reminders,
    )  # fmt: skip
    return [item.code for group in groups for item in group if item.code]


@pytest.mark.parametrize("folder", [DEMO, SMALL], ids=["demo", "small"])
def test_every_code_is_given_out_once_and_every_mention_of_one_leads_somewhere(folder):
    made = read_job(folder)
    codes = coded(made)
    assert [code for code, times in Counter(codes).items() if times > 1] == []
    mentioned = [code for item in (*made.photos, *made.findings, *made.unknowns) for code in item.of]
    mentioned += [item.of for item in (*made.readings, *made.torques)]
    mentioned += [item.for_code for item in made.materials if item.for_code]
    mentioned += [item.instrument for item in made.readings if item.instrument]
    mentioned += [code for wiring in (*made.feeders, *made.circuits) for code in wiring.runs]
    mentioned += [step.box or step.code for run in made.runs for step in run.path if step.box or step.code]
    assert set(mentioned) <= set(codes)


def test_every_new_circuit_was_tested(record):
    tested = {reading.of for reading in record.readings if reading.kind == "insulation resistance"}
    assert {wiring.code for wiring in (*record.feeders, *record.circuits) if wiring.work == "new"} <= tested


def test_one_story_about_cards_old_supply_and_the_lights_switch(record, house):
    """No typed directory was made; the studio's old cord is gone; what the picture leaves out is said."""
    (final,) = (visit for visit in record.permit.inspections if visit.kind == "final")
    assert "cards of both panels" in final.note
    assert "handwritten" in house.panels["P1"].directory.value.lower()
    assert "taken away" in house.wirings["F1"].why
    assert any("extension cord" in finding.what for finding in record.findings)
    picture = next(photo for photo in record.photos if photo.file == "studio-panel.jpg")
    assert "computer-rendered" in picture.caption
    assert house.position("C8").slot.breaker.gfci.value
    assert [step.box for step in house.runs["R5"].path if step.box] == ["B8", "B7"]


def test_some_things_are_honestly_unknown(record, house):
    assert str(record.service.fault_current) == "unknown"
    assert str(house.transfers["T1"].switches_neutral) == "not checked"
    assert len(record.not_checked) >= 5
    assert any(advice.decision == "declined" for advice in record.advice)


def test_the_posted_wording_of_the_alarm_circuit_is_neutral(record):
    from handover.editions import record_for

    posted = record_for(Edition.POSTED, record)
    slot = next(slot for panel in posted.panels if panel.code == "P2" for slot in panel.slots if slot.spaces == (4,))
    assert slot.says == "study"
    assert posted.site.people == ()
    assert posted.site.address is None


@pytest.mark.parametrize("folder", [DEMO, SMALL], ids=["demo", "small"])
def test_invented_numbers_and_hosts_only(folder):
    """Telephone numbers 555-01xx are kept for fiction (North American Numbering Plan); .example by RFC 2606."""
    made = read_job(folder)
    assert is_pack_id(made.job.pack)
    assert is_publish_address(made.job.publish_at)
    text = "\n".join(path.read_text("utf-8") for path in sorted(folder.glob("*.yaml")))
    assert all(re.fullmatch(r"555-01\d\d", number) for number in re.findall(r"\b\d{3}-\d{4}\b", text))
    assert all(host.endswith(".example") for host in re.findall(r"(?:https://|@)([\w.-]+)", text))


def test_the_schema_beside_the_job_is_the_present_one():
    """Written again with: handover.record.schema.job_schema(), so that editors check what the reader reads."""
    stored = json.loads((DEMO / ".handover" / "job.schema.json").read_text("utf-8"))
    assert stored == job_schema()


def test_every_file_names_the_schema_and_the_small_job_is_short():
    for path in (*sorted(DEMO.glob("*.yaml")), SMALL / "job.yaml"):
        first = path.read_text("utf-8").splitlines()[0]
        assert first == "# yaml-language-server: $schema=.handover/job.schema.json", path.name
    assert len((SMALL / "job.yaml").read_text("utf-8").splitlines()) < 100


def test_every_text_of_the_demo_that_its_spanish_pages_show_is_in_spanish(record):
    assert untranslated("es", record) == ()


def test_numbers_and_markings_of_the_demo_s_translations_are_those_of_its_texts(record):
    """A length, a space or a section that differs would be a danger; a marking is read off the handle."""
    assert len(record.translations) > 150
    for item in record.translations:
        assert sorted(re.findall(r"\d+", item.says)) == sorted(re.findall(r"\d+", item.text)), item.text
        for marking in re.findall(r"\b[A-Z]{4,}\b|\b[A-Z]{1,3}\d+\b", item.text):
            assert marking in item.says, item.text


def test_the_demo_s_translations_forbid_what_its_texts_forbid(record):
    for item in record.translations:
        if re.search(r"\b(never|nothing|nobody)\b", item.text, re.IGNORECASE):
            assert re.search(r"\b(no|nunca|nada|nadie|ni|sin)\b", item.says, re.IGNORECASE), item.text
