"""The markings that the code asks for, and what the record shows of them."""

from __future__ import annotations

import pytest

from handover.checks.markings import REQUIRED, required_markings
from handover.record.people import EDITIONS
from tests.checks.test_busbars import NEW, SOLAR
from tests.checks.test_chargers import CHARGER
from tests.jobs import result, results, swap, verdict

OLD = "service: {utility: U, volts: 120/240 V single-phase, rating: 200 A, at: P1, disconnect_place: out, REPLACED}\n"
KEPT = swap(OLD, "REPLACED", "replaced_on_this_job: no")


def marking(kind: str, at: str, shown: str = "note: Seen.") -> str:
    return f"markings: [{{kind: {kind}, at: {at}, {shown}}}]\n"


def test_every_marking_has_a_section_by_edition_and_none_of_2026():
    """2026 was not read, so nothing is decided by it."""
    assert all(set(each.section) <= {2017, 2020, 2023} for each in REQUIRED)
    assert all({2020, 2023} <= set(each.section) for each in REQUIRED)


def test_a_replaced_service_is_marked():
    """NEC 230.70(B), from memory."""
    text = swap(OLD, "REPLACED", "replaced_on_this_job: yes")
    assert verdict(required_markings, text) == "undecided"
    assert verdict(required_markings, text + marking("service disconnect", "P1")) == "pass"
    assert verdict(required_markings, text + marking("service disconnect", "P1", "photo: panel.jpg")) == "pass"
    assert verdict(required_markings, text + marking("service disconnect", "P1", "there: yes")) == "undecided"
    assert verdict(required_markings, text + marking("service disconnect", "P1", "there: no")) == "fail"
    told = swap(text, "_job: yes", "_job: yes, disconnect_marked: SERVICE DISCONNECT")
    assert verdict(required_markings, told) == "pass"
    assert results(required_markings, KEPT) == []
    assert verdict(required_markings, text, 2026) == "undecided"
    assert verdict(required_markings, text + marking("service disconnect", "P1"), 2026) == "undecided"


def test_the_label_at_a_backfed_breaker():
    """NEC 705.12: where the 120 % alternative is used; where no alternative needs the place, none is asked."""
    text = NEW + KEPT
    wanted = result(required_markings, text)
    assert (wanted.subject, wanted.verdict) == ("S1", "undecided")
    assert "do not relocate" in wanted.reason
    assert "other sources" in wanted.reason
    label = "labels_seen: [DO NOT RELOCATE THIS DEVICE], bus_end"
    told = swap(text, "bus_end", label) + marking("other sources", "S1")
    assert verdict(required_markings, told) == "pass"
    assert result(required_markings, told, 2017).citation.section == "705.12(B)(2)(3)(b); 705.10, from memory"
    bare = swap(told, "labels_seen: [DO NOT RELOCATE THIS DEVICE], ", "")
    assert verdict(required_markings, bare) == "undecided"
    assert verdict(required_markings, swap(bare, "main: 200 A", "main: 150 A")) == "pass", "1: anywhere on the bus"
    assert results(required_markings, SOLAR + KEPT) == [], "nothing of this job"


def test_the_label_of_the_sum():
    """NEC 705.12(B)(3) of 2023: where only the sum of all breakers allows the source."""
    text = swap(swap(NEW, "150 A", "90 A"), "opposite end from the main", "same end as the main") + KEPT
    text = swap(text, "hall\n    work: existing", "hall\n    work: changed")
    found = result(required_markings, text, subject="P1")
    assert found.verdict == "undecided"
    assert "705.12(B)(3)" in found.citation.section
    assert "sum of breakers" in found.reason


def test_a_charger_that_is_set_lower():
    """NEC 625.42(B) of 2023: the adjusted rating on a label; 2017 does not speak of it."""
    text = swap(CHARGER, "current: 48 A,", "current: 48 A, set_current: 32 A,") + KEPT
    assert verdict(required_markings, text) == "undecided"
    assert results(required_markings, text, 2017) == []
    labelled = swap(text, "set_current: 32 A,", "set_current: 32 A, rating_label: set to 32 A,")
    assert verdict(required_markings, labelled) == "pass"
    assert verdict(required_markings, text + marking("charger rating", "E1", "photo: label.jpg")) == "pass"
    assert results(required_markings, swap(text, "set_current: 32 A", "set_current: 48 A")) == []


@pytest.mark.parametrize(
    ("kind", "asked"), [("switch", True), ("pull-out", True), ("unknown", True), ("breaker", False)]
)
def test_the_purpose_of_each_switch(kind, asked):
    """NEC 110.22(A), from memory."""
    text = swap(CHARGER, "cable_length", f"disconnect: {{kind: {kind}, place: wall}}, cable_length") + KEPT
    assert [str(each.verdict) for each in results(required_markings, text)] == ["undecided"] * asked
    if asked:
        assert verdict(required_markings, text + marking("purpose of disconnect", "E1")) == "pass"


def test_signs_of_a_standby_source():
    """NEC 702.7(A), a magazine; 702.7(C) at an inlet, a forum."""
    text = (
        KEPT
        + """
sources: [{code: G1, kind: generator, name: G, place: yard, work: new, portable: yes}]
transfers: [{code: T1, name: I, place: hall, work: new, kind: manual, source: G1, feeds: P1}]
"""
    )
    found = result(required_markings, text)
    assert (found.subject, found.citation.section) == ("T1", "702.7(A); 702.7(C)")
    assert '"standby source", "generator inlet"' in found.reason
    marked = text.replace("portable: yes", "fuel: propane") + marking("standby source", "T1", "note: Seen.")
    assert verdict(required_markings, marked) == "undecided", "nobody said whether it is portable"
    assert verdict(required_markings, marked.replace("fuel: propane", "portable: no")) == "pass"


def test_receptacles_without_ground_are_advice():
    """NEC 406.4(D)(2), from memory: what was there before is not of this job."""
    text = KEPT + "findings: [{code: N1, what: No ground., place: bedrooms, kind: no equipment ground}]\n"
    found = result(required_markings, text)
    assert (found.subject, found.verdict, found.advice) == ("N1", "undecided", True)
    assert verdict(required_markings, text + marking("no equipment ground", "N1", "there: no")) == "fail"


@pytest.mark.parametrize("edition", EDITIONS)
def test_nothing_is_asked_of_a_job_that_touches_nothing(edition):
    assert results(required_markings, KEPT, edition) == []


def test_what_the_record_shows_of_a_marking_in_words():
    """The best evidence is named: not there, photo, note, elsewhere in the record, or nothing."""
    text = swap(OLD, "REPLACED", "replaced_on_this_job: yes")
    told = swap(text, "_job: yes", "_job: yes, disconnect_marked: SERVICE DISCONNECT")

    def shown(record: str) -> str:
        inputs = result(required_markings, record).inputs
        return next(given.value for given in inputs if given.meaning == "marking: service disconnect")

    kind = "service disconnect"
    assert shown(text) == "not recorded"
    assert shown(told) == "told elsewhere in the record"
    assert shown(text + marking(kind, "P1")) == "with a note"
    assert shown(text + marking(kind, "P1", "photo: panel.jpg")) == "with a photo"
    assert shown(text + marking(kind, "P1", "photo: panel.jpg, note: Seen.")) == "with a photo"
    assert shown(text + marking(kind, "P1", "photo: panel.jpg, there: no")) == "not there"
    assert shown(told + marking(kind, "P1")) == "with a note"
    assert shown(text + marking(kind, "P2")) == "not recorded"
    assert shown(text + marking("other sources", "P1")) == "not recorded"
