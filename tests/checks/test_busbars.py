"""Rules about a bus with several sources, and the breaker that feeds it backwards."""

from __future__ import annotations

import pytest

from handover.checks.busbars import backfed_breaker_position, backfed_breaker_secured, busbar_sources
from tests.jobs import result, results, swap, verdict

SOLAR = """
panels:
  - code: P1
    name: Main
    place: hall
    work: existing
    spaces: 6
    fed_at: top
    main_kind: main breaker
    main: 200 A
    bus: 200 A
    feed_through_lugs: no
    slots:
      - {spaces: [1, 3], breaker: 150 A, says: range and all else}
      - {spaces: [2], breaker: 60 A, says: shop}
      - {spaces: [5], blank: yes}
      - {spaces: [4, 6], breaker: 40 A, feeds: S1}
sources:
  - {code: S1, kind: solar, name: Solar, place: roof, work: existing, output_current: 32 A,
     bus_end: opposite end from the main}
"""


def test_worked_example_bus_200_200():
    """Distributor's technical answer: 200 A bus and main leave 40 A for 1.25 × the source: 32 A, 7680 W at 240 V."""
    found = result(busbar_sources, SOLAR)
    assert found.verdict == "pass"
    assert found.value is not None
    assert found.limit is not None
    assert (found.value.magnitude, round(found.limit.magnitude)) == (240, 240)
    assert [step.formula[:2] for step in found.working] == ["S ", "1:", "2:", "3:", "4:"]
    left = found.limit.magnitude - 200
    assert (round(left), round(left / 1.25), round(left / 1.25 * 240)) == (40, 32, 7680)
    assert verdict(busbar_sources, swap(SOLAR, "32 A", "33 A")) == "fail"


@pytest.mark.parametrize(("sources", "accepted"), [("40 A", True), ("50 A", False)])
def test_worked_example_bus_sum(sources, accepted):
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


@pytest.mark.parametrize(
    ("edition", "section"), [(2017, "705.12(B)(2)(3)"), (2020, "705.12(B)(3)"), (2023, "705.12(B)")]
)
def test_the_section_of_each_edition(edition, section):
    """Continuing education and forum quotes; 2026 was not read."""
    assert result(busbar_sources, SOLAR, edition).citation.section == section
    assert verdict(busbar_sources, SOLAR, 2026) == "undecided"


def test_a_panel_fed_at_its_center():
    """NEC 705.12(B)(4) of 2023: a dwelling's panel, sources at one end, 120 %."""
    center = swap(SOLAR, "fed_at: top", "fed_at: center")
    assert verdict(busbar_sources, center) == "pass"
    assert verdict(busbar_sources, swap(center, "fed_at: center", "fed_at: center\n    dwelling: no")) == "fail"
    shed = swap(center, "fed_at: center", "fed_at: center\n    separate_building: yes")
    assert verdict(busbar_sources, shed) == "undecided"


def test_a_space_nobody_recorded_may_hold_a_breaker():
    text = swap(swap(SOLAR, "150 A", "90 A"), "opposite end from the main", "same end as the main")
    assert verdict(busbar_sources, swap(text, "      - {spaces: [5], blank: yes}\n", "")) == "undecided"


def test_feed_through_lugs_leave_it_open_and_all_is_shown():
    found = result(busbar_sources, swap(SOLAR, "feed_through_lugs: no", "feed_through_lugs: yes"))
    assert (found.verdict, len(found.working)) == ("undecided", 5)


def test_engineered_or_controlled():
    """NEC 705.12, engineering supervision, and 705.13: only where the record confirms it."""
    text = swap(SOLAR, "output_current: 32 A", "output_current: 33 A")
    said = "confirmed: [{rule: busbar_sources, subject: P1, answer: yes, how: Listed control system.}]\n"
    assert verdict(busbar_sources, text + said) == "pass"
    assert verdict(busbar_sources, text + swap(said, "answer: yes", "answer: no")) == "fail"


NEW = swap(SOLAR, "place: roof, work: existing", "place: roof, work: new")
SHOP = "{spaces: [6], breaker: 60 A, says: shop}"


def test_the_breaker_at_the_far_end():
    """NEC 705.12: opposite the supply, where only 120 % allows the source.  Which row is last is geometry."""
    position = backfed_breaker_position
    assert verdict(position, NEW) == "pass"
    assert verdict(position, swap(NEW, "fed_at: top", "fed_at: bottom")) == "fail"
    assert verdict(position, swap(NEW, "    fed_at: top\n", "")) == "undecided"
    assert verdict(position, swap(NEW, "output_current: 32 A", "output_current: unknown")) == "undecided"
    moved = swap(swap(NEW, "spaces: [4, 6]", "spaces: [2, 4]"), "{spaces: [2],", "{spaces: [6],")
    assert verdict(position, moved) == "fail"
    blank = swap(swap(moved, SHOP, "{spaces: [6], blank: yes}"), "150 A", "170 A")
    assert verdict(position, blank) == "undecided"
    assert verdict(position, swap(blank, "170 A", "160 A")) == "not_applicable", "the sum of all breakers is enough"
    unsaid = swap(moved, "      - {spaces: [5], blank: yes}\n", "")
    assert verdict(position, unsaid) == "undecided", "the sum may hold"
    assert verdict(position, swap(NEW, "main: 200 A", "main: 150 A")) == "not_applicable"
    assert verdict(position, swap(NEW, "output_current: 32 A", "output_current: 60 A")) == "not_applicable"
    assert results(position, SOLAR) == [], "nothing of this job"
    down = swap(swap(NEW, "fed_at: top", "fed_at: top\n    numbering: down one side"), "[4, 6]", "[4, 5]")
    down = swap(down, "{spaces: [5], blank", "{spaces: [6], blank")
    assert verdict(position, down) == "undecided", "a blank space lies beyond"


INTERLOCK = """
panels:
  - {code: P1, name: Main, place: hall, work: existing, spaces: 2, main_kind: main breaker, main: 200 A,
     slots: [{spaces: [1, 2], feeds: T1, work: new, breaker: {rating: 30 A, hold_down: yes}}]}
sources: [{code: G1, kind: generator, name: G, place: yard, work: new}]
transfers: [{code: T1, name: I, place: hall, work: new, kind: interlocked breakers, source: G1, feeds: P1}]
"""


def test_a_backfed_breaker_is_held_down():
    """NEC 408.36(D), from memory; inverters that work beside the utility are free of it by 705.12."""
    assert verdict(backfed_breaker_secured, INTERLOCK) == "pass"
    assert verdict(backfed_breaker_secured, swap(INTERLOCK, "hold_down: yes", "hold_down: no")) == "fail"
    assert verdict(backfed_breaker_secured, swap(INTERLOCK, ", hold_down: yes", "")) == "undecided"
    assert verdict(backfed_breaker_secured, NEW) == "not_applicable"
    battery = swap(swap(NEW, "kind: solar", "kind: battery"), "breaker: 40 A", "breaker: {rating: 40 A, hold_down: no}")
    assert verdict(backfed_breaker_secured, battery) == "undecided", "its inverter may need none"
    assert verdict(backfed_breaker_secured, swap(battery, "hold_down: no", "hold_down: yes")) == "pass"
    assert results(backfed_breaker_secured, SOLAR) == []


def bus_of(spaces: int, source: tuple[int, ...], fed_at: str, numbering: str = "odd left, even right") -> str:
    """A bus on which the source stands at the end that 120 % asks for, and every other space has a breaker of 40 A."""
    others = "".join(
        f"\n      - {{spaces: [{n}], breaker: 40 A, says: x}}" for n in range(1, spaces + 1) if n not in source
    )
    return f"""
panels:
  - code: P1
    name: Main
    place: hall
    work: existing
    spaces: {spaces}
    fed_at: {fed_at}
    numbering: {numbering}
    main_kind: main breaker
    main: 200 A
    bus: 200 A
    feed_through_lugs: no
    slots:
      - {{spaces: {list(source)}, breaker: 40 A, feeds: S1}}{others}
sources:
  - {{code: S1, kind: solar, name: Solar, place: roof, work: new, output_current: 32 A,
     bus_end: opposite end from the main}}
"""


ONE_SIDE = "down one side"


@pytest.mark.parametrize(
    ("spaces", "source", "fed_at", "numbering", "expected"),
    [
        (8, (5, 7), "top", "odd left, even right", "pass"),
        (8, (6, 8), "top", "odd left, even right", "pass"),
        (8, (3, 5), "top", "odd left, even right", "fail"),
        (8, (1, 3), "bottom", "odd left, even right", "pass"),
        (8, (2, 4), "bottom", "odd left, even right", "pass"),
        (8, (3, 5), "bottom", "odd left, even right", "fail"),
        (7, (5, 7), "top", "odd left, even right", "pass"),
        (7, (1, 3), "bottom", "odd left, even right", "pass"),
        (7, (2, 4), "bottom", "odd left, even right", "pass"),
        (8, (7, 8), "top", ONE_SIDE, "pass"),
        (8, (6, 7), "top", ONE_SIDE, "fail"),
        (8, (1, 2), "bottom", ONE_SIDE, "pass"),
        (8, (2, 3), "bottom", ONE_SIDE, "fail"),
        (8, (1, 3), "center", "odd left, even right", "pass"),
        (8, (6, 8), "center", "odd left, even right", "pass"),
        (8, (3, 5), "center", "odd left, even right", "fail"),
        (12, (3, 5), "center", "odd left, even right", "fail"),
        (8, (7, 8), "center", ONE_SIDE, "pass"),
        (8, (1, 2), "center", ONE_SIDE, "pass"),
        (8, (2, 3), "center", ONE_SIDE, "fail"),
        (8, (6, 7), "center", ONE_SIDE, "fail"),
    ],
)
def test_which_end_is_far_from_the_supply(spaces, source, fed_at, numbering, expected):
    """Geometry, counted by hand: a load's breaker in a row farther from the main than the source's fails it."""
    assert verdict(backfed_breaker_position, bus_of(spaces, source, fed_at, numbering)) == expected


def test_the_steps_say_which_alternative_holds():
    """NEC 705.12(B): 1.25 × 32 A + 200 A = 240 A, no more than 1.2 × 200 A; breakers 250 A without the main."""
    told = [(step.value, step.numbers) for step in result(busbar_sources, SOLAR).working]
    assert [value for value, _ in told] == [
        "40 A", "240 A: does not hold", "240 A: holds", "250 A: does not hold", "not usable",
    ]  # fmt: skip
    assert told[2][1] == "40 A + 200 A, 1.2 × 200 A; opposite end: yes"
    center = [step.value for step in result(busbar_sources, swap(SOLAR, "fed_at: top", "fed_at: center")).working]
    assert center[2:] == ["not usable", "250 A: does not hold", "240 A: holds"]


@pytest.mark.parametrize(
    "gone", ["{spaces: [5], blank: yes}", "{spaces: [1, 3], breaker: 150 A, says: range and all else}"]
)
def test_the_sum_of_breakers_needs_every_space_the_first_and_the_last_too(gone):
    text = swap(swap(SOLAR, "150 A", "90 A"), "opposite end from the main", "same end as the main")
    gone = gone.replace("150 A", "90 A")
    assert verdict(busbar_sources, swap(text, f"      - {gone}\n", "")) == "undecided"


def test_an_inverter_behind_its_own_transfer_switch_is_no_backfed_breaker():
    """NEC 408.36(D): the breaker of a source that reaches the panel only through another switch is not backfed."""
    behind = """
transfers: [{code: T1, name: I, place: hall, work: new, kind: manual, source: S1, feeds: P1}]
"""
    assert [each.subject for each in results(backfed_breaker_secured, NEW)] == ["S1"]
    assert results(backfed_breaker_secured, NEW + behind) == []
    other = "  - {code: S2, kind: generator, name: G, place: yard, work: existing}\n" + swap(
        behind, "source: S1", "source: S2"
    )
    assert [each.subject for each in results(backfed_breaker_secured, NEW + other)] == ["S1"]


def test_the_last_space_of_the_panel_counts_as_well():
    """The sum of all breakers needs every space; a space beyond the source's row may hold a breaker."""
    text = swap(swap(SOLAR, "150 A", "90 A"), "opposite end from the main", "same end as the main")
    assert verdict(busbar_sources, swap(text, "spaces: 6\n", "spaces: 7\n")) == "undecided"
    assert verdict(backfed_breaker_position, swap(NEW, "spaces: 6\n", "spaces: 7\n")) == "undecided"
    more = swap(
        text,
        "      - {spaces: [5], blank: yes}\n",
        "      - {spaces: [5], blank: yes}\n      - {spaces: [8], blank: yes}\n",
    )
    assert verdict(busbar_sources, more) == "pass", "a space too many is for the rule about spaces"


def test_a_device_that_is_held_and_one_that_is_not_in_words():
    assert result(backfed_breaker_secured, INTERLOCK).reason == "The breaker has a fastener of its own."
    loose = swap(INTERLOCK, "hold_down: yes", "hold_down: no")
    assert result(backfed_breaker_secured, loose).reason == "The breaker has no fastener of its own."
    automatic = swap(INTERLOCK, "kind: interlocked breakers", "kind: automatic")
    assert results(backfed_breaker_secured, automatic) == []


def test_the_limit_that_a_failing_bus_is_told_against():
    """1.25 × 33 A + 200 A against 1.2 × 200 A at the far end, and against 200 A at the near one."""
    far = result(busbar_sources, swap(SOLAR, "output_current: 32 A", "output_current: 33 A"))
    assert (far.verdict, far.value.magnitude, far.limit.magnitude) == ("fail", 241.25, 240)
    near = result(busbar_sources, swap(SOLAR, "opposite end from the main", "same end as the main"))
    assert (near.verdict, near.value.magnitude, near.limit.magnitude) == ("fail", 240, 200)
    steps = [step.numbers for step in result(busbar_sources, swap(SOLAR, "fed_at: top", "fed_at: center")).working]
    assert steps[2].endswith("opposite end: fed at its center")
    assert steps[4].endswith("one end: yes")
    assert [step.numbers for step in far.working][4].endswith("one end: not fed at its center")


def test_only_sources_beside_the_utility_reach_the_bus():
    """A generator never does, nor solar that transfer equipment parts from the utility."""
    generator = swap(SOLAR, "kind: solar", "kind: generator")
    assert verdict(busbar_sources, generator) == "not_applicable"
    parted = SOLAR + "transfers: [{code: T1, name: I, place: hall, work: new, kind: manual, source: S1, feeds: P1}]\n"
    assert verdict(busbar_sources, parted) == "not_applicable"


def test_a_source_ahead_of_the_main_does_not_reach_the_bus_even_with_a_breaker():
    """NEC 705.11: joined on the supply side of the service disconnect."""
    ahead = swap(SOLAR, "opposite end from the main", "supply side of the main")
    assert [(found.subject, str(found.verdict)) for found in results(busbar_sources, ahead)] == [
        ("S1", "not_applicable")
    ]
