"""Rules about generators and transfer equipment."""

from __future__ import annotations

import pytest

from handover.checks.sources import (
    generator_shutdown,
    source_neutral,
    sources_posted,
    standby_capacity,
    transfer_prevents_paralleling,
)
from tests.jobs import result, results, swap, verdict

STANDBY = """
sources: [{code: G1, kind: generator, name: Generator, place: yard, work: existing, neutral: floating at the source}]
transfers:
  - {code: T1, name: Switch, place: hall, work: existing, kind: automatic, source: G1, feeds: P1, switches_neutral: no,
     load_management: yes}
"""


def test_standby_capacity():
    """NEC 702.4, from memory: automatic transfer needs the full load or load management; by hand any load will do."""
    assert verdict(standby_capacity, STANDBY) == "pass"
    assert verdict(standby_capacity, swap(STANDBY, "automatic", "manual")) == "pass"
    bare = swap(STANDBY, "load_management: yes", "load_management: no, calculated_load: 58 A")
    assert verdict(standby_capacity, bare) == "undecided", "what the source gives is not recorded"
    enough = swap(bare, "neutral: floating", "output_current: 58 A, neutral: floating")
    assert verdict(standby_capacity, enough) == "pass"
    assert verdict(standby_capacity, swap(enough, "calculated_load: 58 A", "calculated_load: 59 A")) == "fail"
    unsaid = swap(swap(enough, "load: 58 A", "load: 59 A"), "load_management: no", "load_management: unknown")
    assert verdict(standby_capacity, unsaid) == "undecided"
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


def test_a_new_generator_is_stopped_from_outside():
    """NEC 445.18(D) of 2020 and 445.19(C) of 2023, EC&M; 2017 does not ask for it."""
    new = swap(STANDBY, "place: yard, work: existing", "place: yard, work: new, portable: no")
    assert [verdict(generator_shutdown, new, each) for each in (2017, 2020, 2023, 2026)] == [
        "not_applicable", "undecided", "undecided", "undecided",
    ]  # fmt: skip
    said = "confirmed: [{rule: generator_shutdown, subject: G1, answer: yes, how: Seen.}]\n"
    assert verdict(generator_shutdown, new + said) == "pass"
    assert result(generator_shutdown, new + said).citation.section == "445.19(C)"
    assert verdict(generator_shutdown, new + swap(said, "answer: yes", "answer: no")) == "fail"
    assert verdict(generator_shutdown, swap(new, "portable: no", "portable: yes")) == "not_applicable"
    assert verdict(generator_shutdown, swap(new, ", portable: no", "")) == "undecided"
    assert results(generator_shutdown, STANDBY) == []


def test_whether_neutral_and_bond_fit_in_words():
    assert result(source_neutral, STANDBY).reason == "Neutral not switched, not bonded at the source: these fit."
    wrong = swap(STANDBY, "switches_neutral: no", "switches_neutral: yes")
    assert result(source_neutral, wrong).reason == "Neutral switched, not bonded at the source: these do not fit."
