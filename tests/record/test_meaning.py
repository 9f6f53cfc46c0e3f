"""The parts of a record fit together: what each rule lets by.  What they refuse is in tests/bad_jobs, one by one."""

from __future__ import annotations

import pytest
from test_bad_jobs import BAD_JOBS, GOOD

from handover.problems import JobProblems
from handover.record import evidence, meaning_codes, meaning_evidence, meaning_wiring
from handover.record.meaning import meaning_problems
from handover.record.meaning_names import telling_word
from handover.record.people import EDITIONS
from handover.record.reader import read_job, read_record
from handover.record.record import Record
from handover.record.wiring import Step
from handover.record.yaml_reader import merge, read_yaml
from handover.resources import shipped

GOOD_TEXT = (GOOD / "job.yaml").read_text(encoding="utf-8")


def said(*changes: tuple[str, str], more: str = "") -> list[str]:
    """What is wrong with the good job after the changes: the first line of each problem, without its place."""
    text = GOOD_TEXT
    for find, put in changes:
        assert text.count(find) == 1, find
        text = text.replace(find, put)
    try:
        read_record(read_yaml("job.yaml", (text + more).encode()))
    except JobProblems as found:
        return [str(problem).splitlines()[0].split(": ", 1)[1] for problem in found.problems]
    return []


@pytest.mark.parametrize("job", ["demo_property", "tests/small_job", "tests/bad_jobs/_good"])
def test_our_own_jobs_have_no_problem(job):
    assert meaning_problems(read_job(shipped(*job.split("/")))) == []


@pytest.mark.parametrize("edition", EDITIONS)
def test_editions_that_are_held(edition):
    assert said(("edition: 2023", f"edition: {edition}")) == []


def test_an_existing_circuit_may_hang_on_a_breaker_nobody_found():
    circuits = "circuits:\n  - {code: C9, name: Shed light, work: existing, volts: unknown}\n"
    assert said(("circuits:\n", circuits)) == []


def test_a_feeder_may_leave_from_lugs_of_the_service_panel():
    on_lugs = ("        feeds: F1\n", "")
    assert said(on_lugs) == ['feeders F1 "Feeder to the house panel": no breaker feeds it']
    assert said(on_lugs, ("    spaces: 8\n", "    spaces: 8\n    feed_through_lugs: yes\n")) == []
    assert said(on_lugs, ("    spaces: 8\n", "    spaces: 8\n    feed_through_lugs: not checked\n")) == []
    assert len(said(on_lugs, ("    spaces: 8\n", "    spaces: 8\n    feed_through_lugs: no\n"))) == 1


def test_a_panel_may_hang_on_transfer_equipment():
    feeder = GOOD_TEXT[GOOD_TEXT.index("feeders:") : GOOD_TEXT.index("circuits:")]
    behind = (
        "sources:\n  - {code: G1, kind: generator, name: Standby set, place: outside, work: existing}\n"
        "transfers:\n"
        "  - {code: T1, name: Switch, place: outside, work: existing, kind: automatic, source: G1, feeds: P1}\n"
    )
    assert said(("feeds: F1", "feeds: T1"), (feeder, ""), more=behind) == []


@pytest.mark.parametrize(
    ("spaces", "fine"),
    [("[6, 8]", True), ("[8, 6]", False), ("[6, 10]", False), ("[5, 6]", False), ("[5, 7, 9]", True),
     ("[5, 7, 10]", False), ("[5, 6, 7, 8]", True)],
)  # fmt: skip
def test_breakers_take_spaces_down_one_side(spaces, fine):
    assert (said(("spaces: [3]\n", f"spaces: {spaces}\n")) == []) is fine


def test_a_panel_numbered_down_one_side():
    numbered = ("    spaces: 20\n", "    spaces: 20\n    numbering: down one side\n")
    assert said(numbered, ("spaces: [2, 4]", "spaces: [4, 5]")) == []


def test_two_circuits_that_share_a_neutral_name_each_other():
    second = "circuits:\n  - {code: C2, name: Lights, work: existing, volts: 120 V, multiwire_with: C1}\n"
    assert said(("circuits:\n", second)) == []
    assert said(("circuits:\n", second), ("    load: 32 A", "    load: 32 A\n    multiwire_with: C2")) == []
    third = f"{second}  - {{code: C3, name: Fan, work: existing, volts: 120 V, multiwire_with: C2}}\n"
    assert said(("circuits:\n", third)) == ['circuits C3 "Fan", multiwire_with: C2 shares its neutral with C1']


def test_days_may_fall_together():
    assert (
        said(("finished: 2026-05-05", "finished: 2026-05-06"), ("energized: 2026-05-04", "energized: 2026-05-06")) == []
    )


def test_warranties_and_reminders_may_lie_ahead():
    ahead = (
        "materials:\n  - {what: Breaker, quantity: '1', warranty_until: 2036-01-01}\n"
        "reminders:\n  - {code: W1, what: Look, how: Look, who: you, every_months: 12, first: 2027-01-01}\n"
    )
    assert said(more=ahead) == []


def test_an_inspection_before_the_permit():
    permit = "permit:\n  authority: County\n  issued: 2026-05-03\n  inspections: [{kind: rough, date: 2026-05-01}]\n"
    assert said(more=permit) == [
        "permit, inspections entry 1, date: 2026-05-01 is earlier than the permit's issue, 2026-05-03"
    ]


def test_a_result_is_answered_once():
    answer = "{rule: r, subject: C1, reason: x, by: x, date: 2026-05-05}"
    assert said(more=f"answers:\n  - {answer}\n  - {answer.replace('C1', 'C2')}\n") == []
    assert said(more=f"answers:\n  - {answer}\n  - {answer}\n") == [
        "answers entry 2, rule: r about C1 is answered already (line 120)"
    ]


def test_a_code_used_twice_in_two_files_says_in_which():
    instruments = "instruments:\n  - code: I1\n    name: Voltmeter\n"
    head = read_yaml("job.yaml", GOOD_TEXT.replace(instruments, "").encode())
    more = read_yaml("more.yaml", f"{instruments}  - {{code: E1, name: Meter}}\n".encode())
    with pytest.raises(
        JobProblems, match=r'more\.yaml:4: .* already used \(equipment E1 "Car charger", job\.yaml:\d+\)'
    ):
        read_record(merge([head, more]))


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("Burglar alarm", "Burglar"), ("ALARM PANEL", "ALARM"), ("front cameras", "cameras"), ("gun safe", "gun"),
        ("floor safe", "safe"), ("CPAP outlet", "CPAP"), ("oxygen concentrator", "oxygen"), ("stairlift", "stairlift"),
        ("Wi-Fi router", "Wi-Fi"), ("smoke alarm and safe", "safe"), ("garden gate", "gate"),
        ("smokes", None), ("smoke alarms", None), ("smoke and CO alarms", None), ("Carbon monoxide alarm", None),
        ("kitchen", None), ("safety switch", None), ("gateway lights", None), ("agate lamp", None), ("unsafe", None),
        ("", None),
    ],
)  # fmt: skip
def test_names_that_tell_a_stranger(name, word):
    assert telling_word(name) == word


def test_a_neutral_name_is_enough():
    assert said(("says: Kitchen", "says: Gun safe\n        says_posted: Hall circuit")) == []


@pytest.mark.parametrize("name", ["panel 1.jpg", "IMG_2.JPG", "a.b.png", "Zähler.jpg"])
def test_plain_file_names(name):
    assert meaning_evidence.is_plain_file_name(name)


@pytest.mark.parametrize(
    "name", ["a/b.jpg", "..\\b.jpg", "../b.jpg", ".b.jpg", "c:b.jpg", "/b.jpg", "a?.jpg", "aux.jpg"]
)
def test_names_that_lead_elsewhere(name):
    assert not meaning_evidence.is_plain_file_name(name)


def test_every_list_with_codes_is_looked_at():
    """A list added to the record whose entries have codes must be among those kept unique."""
    with_codes = {
        name
        for name, field in Record.model_fields.items()
        if any("code" in getattr(each, "model_fields", {}) for each in getattr(field.annotation, "__args__", ()))
    }
    assert with_codes == set(meaning_codes._KINDS)


def test_every_kind_of_reading_has_its_value():
    kinds = evidence.Reading.model_fields["kind"].annotation.__args__
    assert set(kinds) == set(meaning_evidence._ANSWERS)


def test_every_fact_of_a_step_that_is_held_to_kinds_is_a_fact_of_a_step():
    held = {*meaning_wiring._BELONGS_TO, *meaning_wiring._UNDERGROUND_ONLY}
    assert held <= set(Step.model_fields)


def test_every_bad_job_says_how_to_mend_it():
    for case in BAD_JOBS.iterdir():
        if case != GOOD:
            lines = (case / "expected.txt").read_text(encoding="utf-8").splitlines()
            assert len(lines) % 2 == 0, case.name
            assert all(line.startswith("    ") for line in lines[1::2]), case.name


def test_energy_management_names_a_feeder_of_the_record():
    managed = "\nservice_load: {{energy_management: {{limits: feeder, feeder: {}}}}}\n"
    assert any("F77" in problem for problem in said(more=managed.format("F77")))
