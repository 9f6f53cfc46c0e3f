"""The homeowner's pages of the demo pack are easy to read, by the Flesch-Kincaid grade (Kincaid and others, 1975).

``python tests/reading_grades.py PACKDIR`` lists the grades.  What it leaves out, and why, is said there.
"""

from __future__ import annotations

import re
from statistics import mean

import pytest
from reading_grades import FOR_HOMEOWNERS, averages, grade, running_text, texts_of, told_once
from test_words import TRADE_TEXTS, texts

from handover.words import speaking, words

HIGHEST, HIGHEST_MEAN = 8.0, 6.0
EASY_IN_SPANISH = 70.0
"""70 to 80 is "fairly easy" by Fernández Huerta's measure; the more, the easier."""


@pytest.fixture(scope="module")
def pages(demo_pack):
    return texts_of(demo_pack)


def test_no_page_is_above_grade_8(pages):
    assert set(FOR_HOMEOWNERS) < set(pages)
    assert len(pages) > 30
    assert {name: found for name, items in pages.items() if (found := grade(items)) > HIGHEST} == {}


def test_the_pages_are_at_grade_6_on_average(pages):
    assert mean(map(grade, pages.values())) <= HIGHEST_MEAN


def test_all_the_pages_as_one_text_are_at_grade_6(pages):
    """Warnings that stand on every page count once here."""
    assert grade(told_once(pages)) <= HIGHEST_MEAN


def test_what_is_read_is_the_running_text():
    html = """<html><head><title>no</title></head><body><nav><p>Not this way round the site.</p></nav><main>
<h1>Not this heading at all</h1><p>Push the <b>handle</b> of <span class="code">P1</span> to OFF</p><ul>
<li>Call 555-0118, then go out.<br>Wait there for the crew.</li><li>Main panel</li></ul>
<table><tr><td>Not a cell of a table</td></tr></table><figure><p>Not the words of drawings</p></figure>
<details><summary>For electricians only</summary><p>Not for the people of the house.</p></details>
<p>It is set to 4.5 A now.</p><section id="details"><p>Not what is for the worker.</p></section></main></body></html>"""
    assert running_text(html) == [
        "Push the handle of to OFF.",
        "Call , then go out.",
        "Wait there for the crew.",
        "It is set to 45 A now.",
    ]


def test_the_grade_is_that_of_the_published_formula():
    """Our own count: 12 words in 2 sentences with 13 syllables, so 0.39 * 6 + 11.8 * 13 / 12 - 15.59 = -0.47."""
    assert grade(["The cat sat on the table.", "A dog ran by the tree."]) == pytest.approx(-0.47, abs=0.01)
    assert grade(["The licensed electrician's documentation identifies interconnection requirements."]) > HIGHEST


def spanish_for_homeowners():
    with speaking("es"):
        told, tasks = words("notes"), words("reminders")
    notes = {key: note for key, note in told["notes"].items() if key not in TRADE_TEXTS}
    yield "notes", notes
    for part in ("troubles", "switch_off", "dead", "words"):
        yield part, told[part]
    yield "reminders", tasks["reminders"]


def ease(words_a_sentence, syllables_a_word):
    """Fernández Huerta, Medidas sencillas de lecturabilidad, Consigna 214 (1959)."""
    return 206.84 - 60 * syllables_a_word - 1.02 * words_a_sentence


def spanish_syllables(word):
    """The vowels that sound apart: i and u beside another vowel make one sound with it, but for an accented í or ú."""
    sounded = re.sub(r"([qg])u(?=[eéií])", r"\1", word.lower())
    return max(1, len(re.findall(r"[iuüy]?[aeoáéó](?:[iuü]|y\b)?|[íú]|[iuü]+|\by\b", sounded)))


@pytest.mark.parametrize(("part", "entry"), list(spanish_for_homeowners()))
def test_the_spanish_texts_are_fairly_easy(part, entry):
    told = [step for path, text in texts(entry) if path[-1] != "source" for step in text.splitlines() if step.strip()]
    text = " ".join(step if step[-1] in ".!?" else f"{step}." for step in told).format_map(_Filled())
    words_a_sentence, syllables_a_word = averages(text, "es")
    assert ease(words_a_sentence, syllables_a_word) >= EASY_IN_SPANISH
    # textstat takes a hyphen's places for syllables and so finds too few in Spanish ("agua" has one); hence once more.
    syllables = [spanish_syllables(word) for word in re.findall(r"[^\W\d_]+", text)]
    assert ease(words_a_sentence, mean(syllables)) >= EASY_IN_SPANISH


def test_spanish_syllables():
    """By hand: in-te-rrup-tor, to-ma-co-rrien-te, e-ner-gí-a, que-ma-do, ai-re, a-gua, muy, y."""
    words_and_counts = {"interruptor": 4, "tomacorriente": 5, "energía": 4, "quemado": 3, "aire": 2, "agua": 2,
                        "muy": 1, "y": 1, "apague": 3, "vacío": 3}  # fmt: skip
    assert {word: spanish_syllables(word) for word in words_and_counts} == words_and_counts


class _Filled(dict):
    """A short word for each placeholder."""

    def __missing__(self, name):
        return "eso"
