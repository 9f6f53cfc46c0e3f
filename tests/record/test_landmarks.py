"""Two tapes and where they meet."""

from __future__ import annotations

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jobs import job

from handover.record.landmarks import agree, meeting, moved_by_an_inch, pairs_of

FEET = st.floats(min_value=-200, max_value=200)


def test_three_four_five():
    """Euclid's right triangle: 3 and 4 from two features 5 apart; the foot of the height at 9/5, the height 12/5."""
    assert meeting(5, 3, 4) == pytest.approx((1.8, 2.4))


@given(st.floats(min_value=5, max_value=200), FEET, FEET)
def test_a_point_is_found_from_its_own_distances(apart, x, y):
    met = meeting(apart, hypot(x, y), hypot(x - apart, y))
    assert met is not None
    assert met[0] == pytest.approx(x, abs=1e-6)
    assert met[1] == pytest.approx(abs(y), abs=1e-2)


def test_tapes_too_short_or_too_unlike_do_not_meet():
    assert meeting(20, 4, 12) is None
    assert meeting(20, 60, 12) is None
    assert meeting(0, 4, 4) is None


def test_tapes_that_miss_by_a_few_inches_meet_on_the_line():
    assert meeting(16, 3.9, 12) == pytest.approx((3.975, 0), abs=0.001)
    assert meeting(16, 3.7, 12) is None


def test_an_inch_moves_a_steep_crossing_little_and_a_flat_one_much():
    assert moved_by_an_inch(50, 30, 40) == pytest.approx(1 / 12, rel=0.02)  # a right angle
    assert moved_by_an_inch(16, 4, 12) == pytest.approx(8.5 / 12, rel=0.02)
    assert moved_by_an_inch(20, 4, 12) == 0


def test_two_points_agree_where_one_distance_between_the_features_fits_both():
    assert agree((4, 38), (47, 60))
    assert not agree((4, 12), (30, 2))


def test_a_point_that_names_the_features_the_other_way_about_is_turned():
    text = """
    runs:
      - code: R1
        name: A run
        work: new
        method: EMT
        landmarks:
          - {point: one, from_first: post, distance_first: 3 ft, from_second: wall, distance_second: 4 ft}
          - {point: two, from_first: Wall, distance_first: 4 ft, from_second: post, distance_second: 3 ft,
             features_apart: 5 ft, side: left}
    """
    (pair,) = pairs_of(job(text).runs[0])
    assert [point.distances for point in pair.points] == [(3, 4), (3, 4)]
    assert [point.side for point in pair.points] == [None, "right"]
    assert pair.feet == 5
