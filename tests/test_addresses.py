"""The secret part of an address, and what goes into a code."""

from __future__ import annotations

import datetime as dt
import math

import pytest

from handover.addresses import ALPHABET, address_of, folder_of, is_pack_id, is_publish_address, new_pack_id
from handover.record.people import Dates, Job


def job(publish_at="https://packs.example.org/jv"):
    return Job.model_construct(publish_at=publish_at, pack="A" * 25, dates=Dates(finished="2026-06-12"))


def test_a_new_id_has_at_least_120_random_bits_and_no_letter_twice_mistaken():
    made = new_pack_id()
    assert len(made) * math.log2(len(ALPHABET)) >= 120
    assert set(made) <= set(ALPHABET)
    assert not set("01OIL") & set(ALPHABET)
    assert is_pack_id(made)
    assert len({new_pack_id() for _ in range(50)}) == 50


@pytest.mark.parametrize("text", ["", "A" * 24, "a" * 25, "O" * 25, "A" * 24 + "/"])
def test_what_is_no_id(text):
    assert not is_pack_id(text)


def test_the_address_is_all_capitals_and_ends_in_the_things_folder():
    assert address_of(job(), "C14") == "HTTPS://PACKS.EXAMPLE.ORG/JV/" + "A" * 25 + "/C14/"
    assert address_of(job("https://packs.example.org/")) == "HTTPS://PACKS.EXAMPLE.ORG/" + "A" * 25 + "/"
    assert folder_of("C14") == "C14/index.html"


@pytest.mark.parametrize(
    "text", ["https://a.example", "https://a.example:8443/X", "https://a-b.example/A/B", "https://a.example/a/b"]
)
def test_addresses_that_can_stand_in_a_code(text):
    assert is_publish_address(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "http://a.example",
        "a.example",
        "https://",
        "https://a.example/?x",
        "https://a.example/ä",
        "https://a.example//x",
    ],
)
def test_addresses_that_cannot(text):
    assert not is_publish_address(text)


def test_dates_are_read_as_dates():
    assert Dates(finished="2026-06-12").finished == dt.date(2026, 6, 12)
