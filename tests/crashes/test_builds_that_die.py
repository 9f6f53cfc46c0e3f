"""The short form: a few builds killed, starved and set against each other.  ``run.py`` here is the long one."""

from __future__ import annotations

import random
import time
from collections import Counter

import pytest

from tests.crashes.builds import Place, cleared, held_to, killed, losses, size_of, starved, two_at_once


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """A whole pack, and how many seconds it took."""
    folder = tmp_path_factory.mktemp("kept")
    start = time.monotonic()
    status, said = Place(folder / "pack", folder).built()
    assert status == 0, said
    return folder / "pack", time.monotonic() - start


def test_a_build_killed_at_any_moment_loses_nothing_and_leaves_nothing(kept, tmp_path):
    pack, length = kept
    place, ended, left, dice = Place.prepared(tmp_path, pack), Counter(), [], random.Random(20)
    for number in range(30):
        before = ended["killed"]
        ended += killed(place, dice.uniform(0, length), with_helpers=number % 2 == 1)
        left += place.left_over()
        if ended["killed"] == before:
            length *= 0.8  # this machine has grown faster since the first build
        if ended["killed"] == 6:
            break
    assert ended["killed"] == 6
    assert left, "a killed build cannot tidy up, or was none killed while it wrote?"
    ended += cleared(place)
    assert losses(ended) == {}
    assert ended["whole"] == number + 1


@pytest.mark.parametrize("share", [1.02, 1.5, 1.9])
def test_a_disk_that_fills_keeps_the_old_pack_and_is_told(kept, tmp_path, share):
    pack, _ = kept
    place = Place.prepared(tmp_path, pack)
    before = {path: path.stat().st_mtime_ns for path in place.out.rglob("*")}
    ended = starved(place, **held_to(int(size_of(pack) * share), place))
    assert losses(ended) == {}
    assert ended["told"] == 1
    assert {path: path.stat().st_mtime_ns for path in place.out.rglob("*")} == before


def test_a_disk_with_just_enough_room_takes_the_new_pack(kept, tmp_path):
    pack, _ = kept
    place = Place.prepared(tmp_path, pack)
    ended = starved(place, **held_to(size_of(pack) * 20, place))
    assert losses(ended) == {}
    assert ended["built"] == 1


def test_two_builds_at_once_end_with_one_whole_pack(kept, tmp_path):
    pack, length = kept
    ended = two_at_once(Place.prepared(tmp_path, pack), length / 3)
    assert losses(ended) == {}
    assert ended["both built"] == 1
