"""Setting text: nothing lost, nothing too wide."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from handover.drawings.text import width, wrap


@settings(deadline=None)
@given(st.text(max_size=120), st.floats(min_value=40, max_value=300), st.booleans())
def test_wrapping_loses_nothing_and_keeps_to_the_width(text, room, bold):
    lines = wrap(text, 12, room, bold=bold)
    assert "".join("".join(lines).split()) == "".join(text.split())
    for line in lines:
        assert width(line, 12, bold=bold) <= room or len(line) == 1 or _one_long_letter(line)


def _one_long_letter(line: str) -> bool:
    """A letter that is wider than the line, with the accents that belong to it."""
    return sum(width(letter, 12) > 0 for letter in line) <= 1


def test_a_number_stays_with_its_unit_and_a_dot_never_begins_a_line():
    assert wrap("breaker of 60 A", 12, width("breaker of 60", 12)) == ("breaker of", "60 A")
    assert wrap("space 5 · NEW", 12, width("space 5 ·", 12) + 1) == ("space 5 ·", "NEW")


def test_a_long_word_goes_on_in_the_next_line():
    lines = wrap("Kurzschlussstromberechnung", 12, 80)
    assert len(lines) > 1
    assert "".join(lines) == "Kurzschlussstromberechnung"


def test_widths_are_those_of_the_font_file_with_the_margin():
    """DejaVu Sans 2.37: the advance of W is 989, of i 278 thousandths of an em (read from the font files)."""
    assert width("W", 1000) == 989 * 1.04
    assert width("i", 1000) == 278 * 1.04
