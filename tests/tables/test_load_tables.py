"""The demand tables of Article 220: relations beside their entry, and examples published elsewhere."""

from __future__ import annotations

from itertools import pairwise

import pytest

from handover.tables.load_lookups import cooking_demand, cooking_percent, dryer_percent, lighting_tiers
from handover.tables.reader import NoRow
from handover.units import magnitude


def kva(appliances: int) -> float:
    return magnitude(cooking_demand(appliances, 2023).value, "kilovolt_ampere")


def share(looked) -> float:
    return magnitude(looked.value, "percent")


@pytest.mark.parametrize(("ranges", "demand"), [(1, 8), (2, 11), (3, 14), (10, 25), (24, 39), (30, 45)])
def test_column_c_as_published(ranges, demand):
    """NEC Table 220.55 column C, as Annex D examples and a trade magazine use it."""
    assert kva(ranges) == demand


def test_one_range_more_is_never_less_and_never_a_jump():
    """Column C rises by 3 kW a range to five, then by 1 kW, then by 3/4 kW, across the formulas' seams too."""
    rises = [kva(n + 1) - kva(n) for n in range(1, 80)]
    assert rises == [3.0] * 4 + [1.0] * 35 + [0.75] * 40


@pytest.mark.parametrize(("column", "seams"), [("a", []), ("b", [15, 20])])
def test_percentages_never_rise_and_their_sum_never_falls(column, seams):
    """One equal appliance more never lowers the demand, but where column B is printed in steps: 15 to 16, 20 to 21."""
    shares = [share(cooking_percent(column, n, 2023)) for n in range(1, 80)]
    assert shares == sorted(shares, reverse=True)
    falling = [n for n in range(1, 25) if (n + 1) * shares[n] < n * shares[n - 1]]
    assert falling == seams


def test_column_a_is_nowhere_below_column_b():
    assert all(cooking_percent("a", n, 2023).value >= cooking_percent("b", n, 2023).value for n in range(1, 80))


@pytest.mark.parametrize(("dryers", "percent"), [(1, 100), (4, 100), (5, 85), (9, 55), (10, 50), (11, 47), (23, 35)])
def test_dryers_as_published(dryers, percent):
    """NEC Table 220.54 as public pages quote it; 23: 47 less 1 for each above 11."""
    assert share(dryer_percent(dryers, 2023)) == percent


def test_the_dryers_formulas_meet():
    """35 % at 23, 25.5 % at 42, 25 % from 43 on: no step between two rows is larger than within them."""
    shares = [share(dryer_percent(n, 2023)) for n in range(11, 60)]
    assert shares == sorted(shares, reverse=True)
    assert max(a - b for a, b in pairwise(shares)) <= 1
    assert shares[-1] == 25


def test_lighting_tiers_leave_no_gap():
    tiers = lighting_tiers(2023).value
    assert tiers[0].above == 0
    assert tiers[-1].up_to is None
    assert all(one.up_to == other.above for one, other in pairwise(tiers))
    assert sum(tier.part_of(130_000) for tier in tiers) == 130_000


def test_each_edition_is_cited_by_its_number_and_2026_is_not_guessed():
    assert lighting_tiers(2020).source.startswith("NEC Table 220.42")
    assert lighting_tiers(2023).source.startswith("NEC Table 220.45")
    for look in (lambda: lighting_tiers(2026), lambda: dryer_percent(1, 2026), lambda: cooking_demand(1, 2026)):
        with pytest.raises(NoRow, match="2026"):
            look()


def test_no_appliances_have_no_row():
    with pytest.raises(NoRow, match="0 dryers"):
        dryer_percent(0, 2023)
