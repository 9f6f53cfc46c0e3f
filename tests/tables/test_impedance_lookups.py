"""Impedances and C values: their relation to other tables, and what is read for an edition that was not seen."""

from __future__ import annotations

import math

import pytest

from handover.record.facts import WireSize
from handover.tables.impedance_lookups import (
    circular_mils_of,
    direct_resistance,
    effective_impedance,
    fault_c,
    reactance,
    resistance,
)
from handover.tables.lookups import size_of
from handover.tables.reader import NoRow, read_table

SMALL = ("14", "12", "10", "8", "6", "4", "3")
PER_DEGREE = {"copper": 0.00323, "aluminum": 0.00330}  # NEC Chapter 9 Table 8, note 2


@pytest.mark.parametrize("conduit", ["pvc", "steel"])
@pytest.mark.parametrize(("metal", "head"), [("copper", "cu"), ("aluminum", "al")])
def test_to_3_awg_table_9_prints_table_8_with_fewer_digits(conduit, metal, head):
    """NEC Chapter 9, both tables: why the finer print is read.  Beyond, alternating current meets more resistance."""
    for row in read_table("ac_impedance_ch9_t9").rows:
        printed = row[f"r_{head}_{conduit}"]
        if row["size"] in SMALL and printed:
            finer = direct_resistance(size_of(row), metal, 2023).value
            assert abs(float(printed) - finer) <= 0.5 * 10 ** -len(printed.partition(".")[2]) + 1e-9
            assert resistance(size_of(row), metal, conduit, 2023).value == finer
    big = WireSize("2", "AWG")
    assert resistance(big, "copper", "steel", 2023).value == 0.20
    assert direct_resistance(big, "copper", 2023).value == 0.194


@pytest.mark.parametrize(("metal", "head"), [("copper", "cu"), ("aluminum", "al")])
@pytest.mark.parametrize(("steel", "conduit"), [(True, "steel"), (False, "pvc")])
def test_c_values_follow_from_cold_conductors_lying_close(metal, head, steel, conduit):
    """Physics: C = 1000 / √(R² + X²), with R of Table 8 at 25 °C and 0.8 of the X that Table 9 prints; within 4.5 %.

    The values are from memory; this finds a wrong digit in any place that matters.
    """
    last = 0.0
    for row in read_table("fault_c_values").rows:
        size = size_of(row)
        r = direct_resistance(size, metal, 2023).value * (1 - PER_DEGREE[metal] * 50)
        x = 0.8 * reactance(size, metal, conduit, 2023).value
        c = fault_c(size, metal, steel=steel).value
        assert c == pytest.approx(1000 / math.hypot(r, x), rel=0.045), (row["size"], head)
        assert c > last
        last = c
        assert fault_c(size, metal, steel=False).value >= fault_c(size, metal, steel=True).value


def test_c_values_seen_on_a_public_worksheet():
    """A single-phase fault worksheet of an inspector's office: copper in plastic, 3/0 13923 and 6 AWG 2430."""
    assert fault_c(WireSize("3/0", "AWG"), "copper", steel=False).value == 13923
    assert fault_c(WireSize("6", "AWG"), "copper", steel=False).value == 2430


def test_an_edition_that_was_not_seen_is_read_from_the_last_one_and_says_so():
    size = WireSize("6", "AWG")
    for looked in (
        direct_resistance(size, "copper", 2026),
        reactance(size, "copper", "pvc", 2026),
        effective_impedance(size, "copper", "pvc", 2026),
        resistance(WireSize("4/0", "AWG"), "aluminum", "pvc", 2026),
    ):
        assert looked.source.endswith("as printed in 2023")
    assert "as printed" not in direct_resistance(size, "copper", 2017).source


def test_what_is_not_printed_is_refused():
    for ask in (
        lambda: fault_c(WireSize("18", "AWG"), "copper", steel=True),
        lambda: effective_impedance(WireSize("14", "AWG"), "aluminum", "pvc", 2023),
        lambda: circular_mils_of(WireSize("22", "AWG")),
    ):
        with pytest.raises(NoRow):
            ask()
    assert reactance(WireSize("14", "AWG"), "aluminum", "pvc", 2023).value == 0.058
