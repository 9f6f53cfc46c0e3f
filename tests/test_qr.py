"""Codes hold their address, stay small, and their outlines are the very modules."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from handover.addresses import ALPHABET
from handover.qr import HIGHEST_VERSION, QUIET_ZONE, TooLong, code_of, outline, terminal_code, text_code

ADDRESS = "HTTPS://PACKS.EXAMPLE/23456789ABCDEFGHJKMNPQRST/C14/"


def painted(code, scale=8):
    """The outline filled by the even-odd rule, as a browser or an engraver fills it."""
    loops = [
        np.array([[int(number) * scale for number in point.split()] for point in loop.split("L")], np.int32)
        for loop in outline(code).replace("M", "").split("Z")
        if loop
    ]
    field = np.full((code.side * scale, code.side * scale), 255, np.uint8)
    cv2.fillPoly(field, loops, 0)
    return field


@pytest.mark.parametrize(
    ("length", "version", "level"),
    [(47, 3, "Q"), (48, 4, "Q"), (67, 4, "Q"), (68, 5, "Q"), (87, 5, "Q"), (88, 4, "M"), (122, 5, "M")],
)
def test_capacity(length, version, level):
    """ISO/IEC 18004, table 7, alphanumeric: 3-Q 47, 4-Q 67, 5-Q 87, 4-M 90, 5-M 122 characters."""
    code = code_of("A" * length)
    assert (code.version, code.level) == (version, level)
    assert len(code.modules) == 17 + 4 * version


def test_an_address_that_needs_a_denser_code_is_refused():
    with pytest.raises(TooLong, match="123 characters"):
        code_of("A" * 123)
    assert "shorter" in TooLong.remedy


def test_a_letter_outside_the_small_alphabet_is_refused():
    with pytest.raises(ValueError, match="alphanumeric"):
        code_of("https://lower.example/")


def test_the_outline_is_the_code():
    code = code_of(ADDRESS)
    middle = painted(code)[4::8, 4::8] == 0
    inner = middle[QUIET_ZONE:-QUIET_ZONE, QUIET_ZONE:-QUIET_ZONE]
    assert (inner == np.array(code.modules)).all()
    assert middle.sum() == inner.sum()  # nothing in the quiet zone


@settings(max_examples=25, deadline=None)
@given(st.text(ALPHABET, min_size=25, max_size=25), st.text(ALPHABET, min_size=1, max_size=7))
def test_any_pack_and_code_read_back(pack, code):
    address = f"HTTPS://PACKS.EXAMPLE/{pack}/{code}/"
    made = code_of(address)
    assert made.version <= HIGHEST_VERSION
    assert made.level == "Q"
    (read,) = zxingcpp.read_barcodes(painted(made))
    assert read.text == address


def test_a_code_for_the_terminal_reads_back():
    """Two rows of modules a line of half blocks, light on dark as segno prints them: turned to pixels and read."""
    text = "http://127.0.0.1:8000/posted/PACK/index.html"
    halves = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}
    rows = []
    for line in terminal_code(text).splitlines():
        pairs = [halves[letter] for letter in line]
        rows += [[pair[0] for pair in pairs], [pair[1] for pair in pairs]]
    picture = np.kron(np.array(rows, np.uint8) * 255, np.ones((6, 6), np.uint8))
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.text == text


@pytest.mark.parametrize(
    "text", ["cut at: ·panel· in the hall", "Núñez & Søn, 240 V ±5 %", "§ 110.26; 3 × 6 mm²", "配电箱 P1"]
)
def test_a_text_code_is_read_as_it_was_written(text):
    """Readers guess what letters beyond ASCII are, and take some of Latin-1 for Japanese."""
    (found,) = zxingcpp.read_barcodes(painted(text_code(text)))
    assert found.text == text
