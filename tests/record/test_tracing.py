"""One statement of how far a panel's entries can be trusted: worked out here from the record slot by slot."""

from __future__ import annotations

import pytest

from handover.record.reader import read_job
from handover.record.tracing import tracing
from tests.jobs import job
from tests.pages.packs import JOBS

PANEL = """
panels: [{{code: P1, name: Main, place: hall, work: existing, spaces: 12, main_kind: main lugs, slots: [{slots}]}}]
"""


def told(slots, *, listing=False):
    (panel,) = job(PANEL.format(slots=slots)).panels
    return tracing(panel).told(listing=listing)


@pytest.mark.parametrize(
    ("slots", "said"),
    [
        ("{spaces: [1], breaker: 20 A, says: Attic}", "1 entry is copied from the card and not traced"),
        ("{spaces: [1], breaker: 20 A, says: Attic, traced: no}", "1 entry is copied from the card and not traced"),
        (
            "{spaces: [1], breaker: 20 A, says: Attic, traced: not checked}",
            "1 entry is copied from the card and not traced",
        ),
        ("{spaces: [1], breaker: 20 A, says_posted: Study}", "1 entry is copied from the card and not traced"),
        ("{spaces: [1], breaker: 20 A}", "space 1 is not identified"),
        ("{spaces: [1], breaker: 20 A, traced: yes}", "space 1 is not identified"),
        ("{spaces: [1, 3], breaker: 20 A}, {spaces: [2], breaker: 20 A}", "spaces 1/3 and 2 are not identified"),
        ("{spaces: [1, 3], breaker: 20 A, feeds: C1, traced: unknown}", "spaces 1/3 are not traced"),
        ("{spaces: [1], breaker: 20 A, says: Attic, traced: yes}", ""),
        ("{spaces: [1], breaker: 20 A, feeds: C1}", ""),
        ("{spaces: [1], blank: yes}", ""),
        (
            "{spaces: [1], breaker: 20 A, says: Attic, traced: yes}, {spaces: [2], breaker: 20 A, says: Hall}",
            "1 entry is copied from the card and not traced; space 1 is traced",
        ),
    ],
)
def test_each_kind_of_entry(slots, said):
    assert told(slots) == said


def test_the_spaces_are_listed_where_wanted():
    slots = "{spaces: [1, 3], breaker: 20 A, says: Attic}, {spaces: [2], breaker: 20 A, says: Hall}"
    assert told(slots, listing=True) == "2 entries are copied from the card and not traced (1/3, 2)"


def test_no_breaker_is_left_out_or_counted_twice():
    for panel in read_job(JOBS["demo"]).panels:
        found = tracing(panel)
        sorted_in = [*found.copied, *found.nameless, *found.not_followed, *found.followed]
        described = [slot for slot in panel.slots if slot.feeds and slot not in found.not_followed]
        blank = [slot for slot in panel.slots if slot.blank]
        assert sorted(slot.spaces for slot in (*sorted_in, *described, *blank)) == sorted(
            slot.spaces for slot in panel.slots
        )


def test_the_demo_s_main_panel():
    """Of its card: 22 and 35 traced, 37 without an entry, the other 23 copied."""
    main = next(panel for panel in read_job(JOBS["demo"]).panels if panel.code == "P1")
    assert tracing(main).told() == (
        "23 entries are copied from the card and not traced; space 37 is not identified; spaces 22 and 35 are traced"
    )
