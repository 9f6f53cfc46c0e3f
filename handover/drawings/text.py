"""How wide a text will stand, and where it breaks, before any browser has seen it.

A reader's device chooses the font, so widths are those of a wide common sans: the advance widths of DejaVu Sans and
DejaVu Sans Bold (read from the font files, in thousandths of an em), with a margin.  Other sans fonts are narrower, or
within the margin (checked in a browser for those at hand; Verdana's width is from memory).
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

MARGIN = 1.04
LINE = 1.25
"""Height of a line in sizes: more than ascent and descent of DejaVu Sans (0.928 and 0.236)."""
BASELINE = 0.97
"""From the top of a line to its baseline, in sizes."""

_FIRST = 32
_REGULAR = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863,
    748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635,
    615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636,
    337, 636, 838,
)  # fmt: skip
_BOLD = (
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696,
    696, 696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995,
    837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500, 500, 675, 716, 593, 716,
    678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712,
    365, 712, 838,
)  # fmt: skip
_OTHER = {
    "°": 500, "·": 380, "×": 838, "–": 500, "—": 1000, "’": 380, "“": 657, "”": 657, "≥": 838, "→": 838, "…": 1000,
}  # fmt: skip
_UNKNOWN_LETTER = 1100  # Cyrillic, Greek, Arabic and the like, in whatever font the device has
_WIDE_LETTER = 1400  # East Asian full-width letters and pictographs
_UNIT = re.compile(r"(?:A|kA|V|kV|W|kW|VA|kVA|in|ft|in²|AWG|kcmil|Ω|mA|spaces?|poles?)\b[.,;:)]*")


@lru_cache(maxsize=16384)
def width(text: str, size: float, *, bold: bool = False) -> float:
    """The most that ``text`` takes on one line at ``size``, in the same unit as ``size``."""
    return sum(_width_of(letter, bold) for letter in text) * size * MARGIN / 1000


@lru_cache(maxsize=4096)
def _width_of(letter: str, bold: bool) -> int:
    place = ord(letter) - _FIRST
    if 0 <= place < len(_REGULAR):
        return (_BOLD if bold else _REGULAR)[place]
    if letter in _OTHER:
        return _OTHER[letter]
    if unicodedata.combining(letter) or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    parts = unicodedata.normalize("NFKD", letter)
    if parts != letter:  # é is as wide as e; ½ at most as wide as 1, / and 2
        return sum(_width_of(part, bold) for part in parts)
    return _WIDE_LETTER if unicodedata.east_asian_width(letter) in "WF" else _UNKNOWN_LETTER


@lru_cache(maxsize=8192)  # each drawing is made for two editions, and some once more for paper
def wrap(text: str, size: float, max_width: float, *, bold: bool = False) -> tuple[str, ...]:
    """``text`` on as many lines as it needs.  Nothing is cut off: a word too long for a line goes on in the next.

    A number stays with its unit.  Any white space counts as one space; empty text takes no line.
    """
    lines: list[str] = []
    line = ""
    for word in _words(text):
        longer = f"{line} {word}" if line else word
        if width(longer, size, bold=bold) <= max_width:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, size, max_width, bold)
        lines.extend(full)
    return (*lines, line) if line else tuple(lines)


def _words(text: str) -> list[str]:
    words: list[str] = []
    for word in text.split():
        if words and word == "·":
            words[-1] += " ·"  # a dot that parts two facts never begins a line
        elif words and words[-1][-1].isdigit() and len(words[-1]) < len("100000-1/2") and _UNIT.fullmatch(word):
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _pieces(word: str, size: float, max_width: float, bold: bool) -> list[str]:
    """A word cut where a line is full, rather behind a dash or stroke than elsewhere, never before an accent."""
    pieces, piece = [], ""
    for letter in word:
        joined = _width_of(letter, bold) == 0
        if piece and not joined and width(piece + letter, size, bold=bold) > max_width:
            break_at = max(piece.rfind("-"), piece.rfind("/"), piece.rfind(" ")) + 1
            keep = piece[:break_at] if break_at * 2 > len(piece) else piece
            pieces.append(keep.rstrip())
            piece = piece[len(keep) :]
        piece += letter
    return [*pieces, piece]
