"""The catalogues read easily: short sentences, everyday words, and nothing that only a template could explain."""

from __future__ import annotations

import re
import string

import pytest

from handover.words import lines_of, one_line, words

CATALOGUES = ("notes", "reminders", "glossary")
TRADE_TEXTS = ("solar_breaker", "sub_panel", "not_dead", "line_side", "lock_sources", "transfer")  # for workers


def texts(entry, path=()):
    """Every text of a catalogue with the keys that lead to it."""
    if isinstance(entry, dict):
        for key, value in entry.items():
            yield from texts(value, (*path, key))
    else:
        yield path, str(entry)


def sentences(text):
    for line in text.splitlines():
        for sentence in re.split(r"(?<=[.!?])\s+", line.strip()):
            if sentence:
                yield sentence


def syllables(word):
    """Groups of vowels, less a silent e: the usual estimate, not a dictionary's count."""
    groups = re.findall(r"[aeiouy]+", word.lower())
    silent = word.lower().endswith("e") and not word.lower().endswith(("le", "ee")) and len(groups) > 1
    return max(1, len(groups) - silent)


def grade(text):
    """Flesch-Kincaid grade (Kincaid and others, 1975): 0.39 words a sentence + 11.8 syllables a word - 15.59."""
    told = list(sentences(text))
    every = re.findall(r"[A-Za-z']+", text)
    return 0.39 * len(every) / len(told) + 11.8 * sum(map(syllables, every)) / len(every) - 15.59


def for_homeowners():
    notes = {key: note for key, note in words("notes")["notes"].items() if key not in TRADE_TEXTS}
    troubles = words("notes")["troubles"]
    tasks = words("reminders")["reminders"]
    steps = {name: words("notes")[name] for name in ("switch_off", "dead", "words")}
    for name, entries in (("notes", notes), ("troubles", troubles), ("steps", steps), ("reminders", tasks)):
        for key, entry in entries.items():
            yield pytest.param(entry, id=f"{name}-{key}")


@pytest.mark.parametrize("name", CATALOGUES)
def test_sentences_are_short(name):
    long = [
        (path, sentence)
        for path, text in texts(words(name))
        for sentence in sentences(text)
        if len(sentence.split()) > 20
    ]
    assert long == []


@pytest.mark.parametrize("entry", list(for_homeowners()))
def test_a_homeowner_can_read_it(entry):
    told = "\n".join(text for path, text in texts(entry) if path[-1] != "source")
    assert grade(re.sub(r"\{\w+\}", "it", told)) <= 6.0


def test_the_grade_is_reckoned_as_published():
    """Our own count for two sentences: 10 words, 12 syllables, so 0.39 * 5 + 11.8 * 1.2 - 15.59 = 0.52."""
    assert grade("The cat sat on the table. A dog runs away.") == pytest.approx(0.52, abs=0.01)


@pytest.mark.parametrize("name", CATALOGUES)
def test_placeholders_are_plain_names(name):
    for path, text in texts(words(name)):
        for _, field, spec, conversion in string.Formatter().parse(text):
            assert field is None or (re.fullmatch(r"[a-z_]+", field) and not spec and not conversion), path


def test_facts_are_never_read_as_wording():
    assert lines_of("Call {name}.\n\nThen {name}.", {"name": "{x} {0} {name}"}) == (
        "Call {x} {0} {name}.",
        "Then {x} {0} {name}.",
    )
    with pytest.raises(KeyError):
        lines_of("Call {nobody}.", {})


def test_free_text_stands_on_one_line():
    assert one_line("  two\n lines\t here ") == "two lines here"
