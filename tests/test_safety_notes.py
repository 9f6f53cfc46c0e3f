"""Hazards follow from the record, bear the right signal word, and fill in what the record knows."""

from __future__ import annotations

import re

import pytest
from jobs import job

from handover.record.installation import Installation
from handover.safety_notes import deference, safety_notes
from handover.words import words

ALWAYS = {"tripped", "smell", "water", "never", "not-dead", "line-side"}


def notes(text=""):
    return {note.id: note for note in safety_notes(Installation(job(text)))}


def source(kind, **more):
    extra = "".join(f", {key}: {value}" for key, value in more.items())
    return f"sources: [{{code: S1, kind: {kind}, name: Other supply, place: yard, work: existing{extra}}}]\n"


def panels(slots="[]", second=""):
    return (
        "panels:\n  - {code: P1, name: Main panel, place: hall, work: existing, spaces: 8, main_kind: main breaker, "
        f"main: 200 A, slots: {slots}}}\n{second}"
    )


SECOND = """  - {code: P2, name: Shed, place: yard, work: new, spaces: 4, main_kind: main lugs, separate_building: yes}
feeders: [{code: F1, name: Shed feeder, work: new, volts: 240 V, to: P2, runs: [R1]}]
"""
SHED = panels("[{spaces: [1, 3], breaker: 60 A, feeds: F1}]", SECOND)
BURIED = """
runs:
  - code: R1
    name: Line to the shed
    work: new
    method: PVC schedule 40
    path: [{step: straight, surroundings: underground, cover: %s}, {step: straight, surroundings: underground, cover: 24 in}]
"""  # noqa: E501


def test_a_bare_house_gets_what_every_house_needs():
    assert set(notes()) == ALWAYS


SOURCES = {"two-sources", "lock-sources"}
GENERATOR = {"generator-starts", "generator-exhaust", "generator-cord"}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (source("solar"), SOURCES | {"solar-daylight"}),
        (source("battery"), SOURCES | {"stored-energy"}),
        (source("vehicle"), SOURCES | {"stored-energy"}),
        (source("generator"), SOURCES | GENERATOR),
        (source("generator", starts_by_itself="no"), SOURCES | {"generator-exhaust", "generator-cord"}),
        (source("generator", starts_by_itself="unknown"), SOURCES | GENERATOR),
        (SHED, {"sub-panel", "separate-building"}),
        (SHED + BURIED % "20 in", {"sub-panel", "separate-building", "underground"}),
        ("equipment: [{code: E1, name: A, kind: car charger, circuit: C1, place: port, work: new}]", {"charger"}),
        ("unknowns: [{what: A cable, place: attic, tried: Nothing., treat_as: Live.}]", {"unknown-cables"}),
        ("findings: [{what: Loose end, place: attic, kind: unexplained cable}]", {"unknown-cables"}),
        ("findings: [{what: Two-wire, place: bedroom, kind: no equipment ground}]", {"no-ground"}),
        ("findings: [{what: Seen, place: den, kind: aluminum branch wiring}]", {"aluminum"}),
        ("findings: [{what: Wet, place: den, kind: water}]", set()),
        (panels("[{spaces: [2], breaker: 20 A}]"), {"untraced"}),
        (panels("[{spaces: [2], breaker: 20 A, says: Attic, traced: no}]"), {"untraced"}),
        (panels("[{spaces: [2], breaker: 20 A, says: Attic, traced: not checked}]"), {"untraced"}),
        (panels("[{spaces: [2], breaker: 20 A, says: Attic, traced: yes}]"), set()),
        (panels("[{spaces: [2], blank: yes}]"), set()),
    ],
)  # fmt: skip
def test_hazards_follow_from_the_record(text, expected):
    assert set(notes(text)) == ALWAYS | expected


def test_a_solar_breaker_keeps_its_place():
    found = notes(source("solar") + panels("[{spaces: [6, 8], breaker: 20 A, feeds: S1}]"))
    assert "P1 6/8" in found["solar-breaker"].hazard
    assert set(found["solar-breaker"].codes) == {"S1", "P1"}


def test_transfer_equipment_is_live_from_either_side():
    text = (
        source("generator", disconnect="under the lid")
        + "transfers: [{code: T1, name: D, place: yard, work: existing, kind: automatic, source: S1, feeds: P2}]\n"
        + panels("[{spaces: [1, 3], breaker: 60 A, feeds: T1}]", SECOND.splitlines()[0])
    )
    note = notes(text)["transfer"]
    assert "Then lock out the utility side: T1 at P1, spaces 1/3." in note.avoid
    assert "First stop and lock out the other source: S1 Other supply: under the lid." in note.avoid


def test_danger_is_kept_for_what_will_kill():
    """ANSI Z535.4: DANGER only where death or serious injury will follow; here, bare parts that stay live."""
    text = source("generator") + SHED + BURIED % "20 in"
    assert {note.id for note in notes(text).values() if note.signal == "DANGER"} == {"line-side"}
    assert notes(text)["line-side"].audience == "worker"
    assert " will " in notes(text)["line-side"].consequence
    for note in notes(text).values():
        if note.signal == "WARNING":
            assert not re.search(r"will (kill|die)", note.consequence)


def test_the_depth_is_the_least_recorded_or_said_to_be_missing():
    assert "Least cover recorded: 20 in." in " ".join(notes(SHED + BURIED % "20 in")["underground"].avoid)
    assert "Least cover recorded: 24 in." in " ".join(notes(SHED + BURIED % "unknown")["underground"].avoid)
    none = notes(SHED + (BURIED % "unknown").replace("24 in", "not checked"))["underground"]
    assert "Its depth is not recorded." in " ".join(none.avoid)
    assert set(none.codes) >= {"R1", "F1"}


def test_a_disconnect_nobody_recorded_is_said_to_be_missing():
    assert any("its disconnect is not recorded" in line for line in notes(source("solar"))["lock-sources"].avoid)


def test_free_text_is_put_in_as_it_stands():
    text = source("generator", disconnect='"{x} <b> lid"')
    assert any("S1 Other supply: {x} <b> lid" in line for line in notes(text)["generator-starts"].avoid)


def test_every_note_of_the_catalogue_can_appear():
    text = (
        "sources:\n"
        "  - {code: S1, kind: solar, name: A, place: roof, work: existing}\n"
        "  - {code: S2, kind: generator, name: B, place: yard, work: existing}\n"
        "  - {code: S3, kind: battery, name: C, place: shed, work: existing}\n"
        "transfers: [{code: T1, name: D, place: yard, work: existing, kind: manual, source: S2, feeds: P2}]\n"
        + panels("[{spaces: [1, 3], breaker: 60 A, feeds: F1}, {spaces: [2], breaker: 20 A}, "
                 "{spaces: [6, 8], breaker: 20 A, feeds: S1}]", SECOND)
        + BURIED % "20 in"
        + "equipment: [{code: E1, name: Charger, kind: car charger, circuit: C1, place: carport, work: new}]\n"
        "findings:\n"
        "  - {what: A, place: den, kind: aluminum branch wiring}\n"
        "  - {what: B, place: den, kind: no equipment ground}\n"
        "  - {what: C, place: den, kind: unexplained cable}\n"
    )  # fmt: skip
    found = notes(text)
    assert set(found) == {id.replace("_", "-") for id in words("notes")["notes"]}
    assert all(note.hazard and note.consequence and note.avoid and note.codes for note in found.values())


def test_the_record_defers():
    told = " ".join(deference("June 12, 2026"))
    for words_of in ("local code", "utility", "makers' instructions", "licensed", "June 12, 2026", "not an inspection"):
        assert words_of in told
