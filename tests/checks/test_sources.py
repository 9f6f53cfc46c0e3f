"""Rules about solar, batteries, generators and transfer equipment."""

from __future__ import annotations

import pytest

from handover.checks.sources import (
    busbar_sources,
    source_neutral,
    sources_posted,
    standby_capacity,
    transfer_prevents_paralleling,
)
from tests.jobs import result, swap, verdict

SOLAR = """
panels:
  - code: P1
    name: Main
    place: hall
    work: existing
    spaces: 42
    main_kind: main breaker
    main: 200 A
    bus: 200 A
    feed_through_lugs: no
    slots:
      - {spaces: [1, 3], breaker: 150 A, says: range and all else}
      - {spaces: [2, 4], breaker: 60 A, says: shop}
      - {spaces: [40, 42], breaker: 40 A, feeds: S1}
sources:
  - {code: S1, kind: solar, name: Solar, place: roof, work: existing, output_current: 32 A,
     bus_end: opposite end from the main}
"""


def test_120_percent_of_a_200_a_bus():
    """Distributor's technical answer: 200 A bus and main leave 40 A for 1.25 × the source, that is 32 A."""
    found = result(busbar_sources, SOLAR)
    assert found.verdict == "pass"
    assert found.value is not None
    assert found.limit is not None
    assert (found.value.magnitude, round(found.limit.magnitude)) == (240, 240)
    assert [step.formula[:2] for step in found.working] == ["S ", "1:", "2:", "3:"], "every alternative is shown"
    assert verdict(busbar_sources, swap(SOLAR, "32 A", "33 A")) == "fail"


@pytest.mark.parametrize(("sources", "accepted"), [("40 A", True), ("50 A", False)])
def test_sum_rule_for_a_panel_fed_at_150_a(sources, accepted):
    """Code forum on 2020 705.12(B)(3)(1): bus 200 A, supply 150 A; 1.25 × 40 A is accepted, 1.25 × 50 A is not."""
    text = swap(SOLAR, "main: 200 A", "main: 150 A").replace("32 A", sources)
    text = swap(text, "opposite end from the main", "same end as the main")
    assert verdict(busbar_sources, text, edition=2020) == ("pass" if accepted else "fail")


def test_sum_of_all_breakers_is_enough_anywhere_on_the_bus():
    text = swap(swap(SOLAR, "150 A", "90 A"), "opposite end from the main", "same end as the main")
    assert verdict(busbar_sources, text) == "pass"
    assert verdict(busbar_sources, swap(text, "90 A", "101 A")) == "fail"
    assert verdict(busbar_sources, swap(text, "breaker: 90 A", "breaker: unknown")) == "undecided"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("bus: 200 A", "bus: unknown"),
        ("output_current: 32 A", "output_current: not checked"),
        ("opposite end from the main", "unknown"),
        ("feed_through_lugs: no", "feed_through_lugs: yes"),
        ("feed_through_lugs: no", "feed_through_lugs: unknown"),
        (", feeds: S1", ", says: solar"),
    ],
)
def test_what_is_not_known_of_the_bus_is_undecided(old, new):
    assert verdict(busbar_sources, swap(SOLAR, old, new)) == "undecided"


def test_no_bus_is_concerned():
    assert verdict(busbar_sources) == "not_applicable"
    text = swap(swap(SOLAR, ", feeds: S1", ", says: x"), "opposite end from the main", "supply side of the main")
    assert verdict(busbar_sources, text) == "not_applicable"


STANDBY = """
sources: [{code: G1, kind: generator, name: Generator, place: yard, work: existing, neutral: floating at the source}]
transfers:
  - {code: T1, name: Switch, place: hall, work: existing, kind: automatic, source: G1, feeds: P1, switches_neutral: no,
     load_management: yes}
"""


def test_standby_capacity():
    """NEC 702.4, from memory: automatic transfer needs the full load or load management; by hand any load will do."""
    assert verdict(standby_capacity, STANDBY) == "pass"
    assert verdict(standby_capacity, swap(STANDBY, "automatic", "manual")) == "not_applicable"
    assert verdict(standby_capacity, swap(STANDBY, "load_management: yes", "load_management: no")) == "undecided"
    assert verdict(standby_capacity, swap(STANDBY, "automatic", "unknown")) == "undecided"


@pytest.mark.parametrize(
    ("switched", "neutral", "expected"),
    [
        ("no", "floating at the source", "pass"),
        ("yes", "bonded at the source", "pass"),
        ("no", "bonded at the source", "fail"),
        ("yes", "floating at the source", "fail"),
        ("not checked", "floating at the source", "undecided"),
        ("no", "unknown", "undecided"),
    ],
)
def test_neutral_switching_and_bond_belong_together(switched, neutral, expected):
    """NEC 250.30, from memory: a bond at the source if, and only if, the transfer equipment switches the neutral."""
    text = swap(STANDBY, "switches_neutral: no", f"switches_neutral: {switched}")
    assert verdict(source_neutral, swap(text, "floating at the source", neutral)) == expected


@pytest.mark.parametrize(("rule", "subject"), [(sources_posted, "P1"), (transfer_prevents_paralleling, "T1")])
def test_questions_for_a_person(rule, subject):
    assert verdict(rule, STANDBY) == "undecided"
    said = f"confirmed: [{{rule: {rule.id}, subject: {subject}, answer: yes, how: Seen on the day.}}]\n"
    yes = result(rule, STANDBY + said)
    assert yes.verdict == "pass"
    assert "Seen on the day." in yes.reason
    assert verdict(rule, STANDBY + said.replace("answer: yes", "answer: no")) == "fail"
    assert verdict(rule, STANDBY + said.replace(subject, "X9")) == "undecided"


def test_nothing_to_post_without_other_sources():
    assert verdict(sources_posted) == "not_applicable"


@pytest.mark.parametrize("edition", [2020, 2023])
def test_the_neutral_rule_cites_portable_generators_only_where_one_may_be_meant(edition):
    """NEC 250.20(D) and 250.30 for permanently installed ones; 702.11 is about portable ones.  All from memory."""
    automatic = swap(STANDBY, "kind: manual", "kind: automatic") if "kind: manual" in STANDBY else STANDBY
    assert result(source_neutral, automatic, edition).citation.section == "250.20(D) and 250.30, from memory"
    by_hand = swap(automatic, "kind: automatic", "kind: interlocked breakers")
    assert "702.11 where the generator is portable" in result(source_neutral, by_hand, edition).citation.section
