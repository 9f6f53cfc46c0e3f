"""Who feeds whom: which sources keep a thing live after the device that switches it off is opened.

Expected values follow from the wiring that the job describes; no standard.
"""

from __future__ import annotations

import pytest
from jobs import job, swap

from handover.record.installation import Installation

HOUSE = """
sources:
  - {code: S1, kind: solar, name: Roof panels, place: roof, work: existing}
  - {code: S2, kind: battery, name: Shed battery, place: shed, work: existing}
  - {code: S3, kind: solar, name: Tapped, place: roof, work: existing, bus_end: supply side of the main}
  - {code: S4, kind: battery, name: Hall battery, place: hall, work: existing}
  - {code: G1, kind: generator, name: Set, place: yard, work: existing}
transfers: [{code: T1, name: Changeover, place: yard, work: existing, kind: automatic, source: G1, feeds: P3}]
panels:
  - code: P1
    name: Service
    place: hall
    work: existing
    spaces: 8
    main_kind: main breaker
    slots:
      - {spaces: [1, 3], breaker: 40 A, feeds: C1}
      - {spaces: [2, 4], breaker: 60 A, feeds: T1}
      - {spaces: [5, 7], breaker: 50 A, feeds: F2}
      - {spaces: [6, 8], breaker: 20 A, feeds: S1}
  - code: P2
    name: Shed
    place: shed
    work: existing
    spaces: 8
    main_kind: main lugs
    slots: [{spaces: [1, 3], breaker: 20 A, feeds: S2}]
  - code: P3
    name: Standby
    place: hall
    work: existing
    spaces: 8
    main_kind: main lugs
    slots: [{spaces: [2, 4], breaker: 20 A, feeds: S4}]
  - {code: P4, name: Beside, place: hall, work: existing, spaces: 8, main_kind: main breaker}
feeders:
  - {code: F2, name: To the shed, work: existing, volts: 240 V, to: P2}
  - {code: F4, name: Through the lugs, work: existing, volts: 240 V, to: P4}
circuits:
  - {code: C1, name: Range, work: existing, volts: 240 V}
  - {code: C2, name: On no breaker, work: existing, volts: 240 V}
equipment: [{code: E1, name: Range, kind: range, circuit: C1, place: hall, work: existing}]
"""


def past(code, house=HOUSE):
    return [source.code for source in Installation(job(house)).sources_past(code)]


@pytest.mark.parametrize(
    ("code", "sources"),
    [
        ("C1", []),
        ("E1", []),
        ("P4", []),  # its own main cuts it from the solar on P1
        ("F2", ["S2"]),  # the breaker in P1 cuts it from all but the battery at its far end
        ("P2", ["S2"]),
        ("P1", ["S1", "S2", "S3", "S4"]),  # not the set: transfer equipment keeps that from the bus
        ("F4", ["S1", "S2", "S3", "S4"]),  # only the main above its lugs switches it off
        ("P3", ["S4", "G1"]),
        ("T1", ["S4", "G1"]),
        ("S1", ["S1"]),
        ("C2", ["S1", "S2", "S3", "S4", "G1"]),
    ],
)
def test_sources_past_the_device_that_switches_a_thing_off(code, sources):
    assert past(code) == sources


@pytest.mark.parametrize(
    ("kind", "sources"),
    [("automatic", ["S4"]), ("manual", ["S4"]), ("interlocked breakers", ["S4", "G1"]), ("unknown", ["S4", "G1"])],
)
def test_a_main_behind_a_transfer_switch_cuts_the_second_source_but_an_interlocked_one_does_not(kind, sources):
    panel = "name: Standby\n    place: hall\n    work: existing\n    spaces: 8\n    main_kind: main "
    house = swap(HOUSE, f"{panel}lugs", f"{panel}breaker")
    assert past("P3", swap(house, "kind: automatic", f"kind: {kind}")) == sources


def test_a_source_of_which_nobody_recorded_where_it_joins_is_past_every_device():
    lost = "  - {code: S9, kind: battery, name: Lost, place: hall, work: existing}\n"
    house = swap(HOUSE, "transfers:", f"{lost.strip(chr(10))}\ntransfers:")
    assert past("C1", house) == ["S9"]
    assert past("P3", house) == ["S4", "G1", "S9"]
