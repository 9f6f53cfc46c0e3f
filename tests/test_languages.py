"""Every language says the same as English: the same catalogues, keys, placeholders and steps, and none left in English.

That a translation means the same no test can tell; whoever edits one text reads its counterparts against it.
"""

from __future__ import annotations

import re

import pytest
from test_words import texts

from handover.resources import shipped
from handover.words import words

FOLDER = shipped("site_templates", "words")
NOT_YET = {"labels.yaml"}
"""Catalogues that need not be there in each language: the wording of signs and the door card."""
TRANSLATIONS = sorted(path.name for path in FOLDER.iterdir() if path.is_dir() and path.name != "en")
CATALOGUES = sorted(path.stem for path in (FOLDER / "en").glob("*.yaml") if path.name not in NOT_YET)
SAME_IN_ENGLISH = {"{where}: {off}."}
"""Texts without a word to translate."""
FORBIDS = {"es": r"\b(no|nunca|nada|nadie|ni|sin|ning\w+)\b"}
"""How a step of a language forbids; another language adds its words here."""
pytestmark = pytest.mark.parametrize("language", TRANSLATIONS)


def told(language, name):
    return dict(texts(words(language, name)))


def placeholders(text):
    return sorted(re.findall(r"\{(\w+)\}", text))


def steps_of(text):
    return [line for line in text.splitlines() if line.strip()]


def test_there_is_spanish(language):
    assert "es" in TRANSLATIONS
    assert "glossary" in CATALOGUES


def test_each_catalogue_is_there_and_no_other(language):
    found = {path.name for path in (FOLDER / language).iterdir()}
    english = {path.name for path in (FOLDER / "en").iterdir()}
    assert english - NOT_YET <= found <= english


@pytest.mark.parametrize("name", CATALOGUES)
def test_the_keys_are_the_same_and_in_the_same_order(language, name):
    """Hazards and reminders are shown in the order of their catalogue."""
    assert list(told(language, name)) == list(told("en", name))


@pytest.mark.parametrize("name", CATALOGUES)
def test_each_text_has_the_same_placeholders(language, name):
    english = told("en", name)
    other = {path: placeholders(text) for path, text in told(language, name).items()}
    assert other == {path: placeholders(text) for path, text in english.items()}


@pytest.mark.parametrize("name", CATALOGUES)
def test_each_text_has_the_same_number_of_steps(language, name):
    english = told("en", name)
    other = {path: len(steps_of(text)) for path, text in told(language, name).items()}
    assert other == {path: len(steps_of(text)) for path, text in english.items()}


@pytest.mark.parametrize("name", CATALOGUES)
def test_each_step_has_the_placeholders_of_its_counterpart(language, name):
    """A step that stood in another place would still pass the count."""
    english = told("en", name)
    moved = [
        (path, step)
        for path, text in told(language, name).items()
        for step, counterpart in zip(steps_of(text), steps_of(english[path]), strict=True)
        if placeholders(step) != placeholders(counterpart)
    ]
    assert moved == []


@pytest.mark.parametrize("name", CATALOGUES)
def test_nothing_is_left_in_english(language, name):
    english = told("en", name)
    for path, text in told(language, name).items():
        assert text.strip(), path
        left = set(steps_of(text)) & set(steps_of(english[path])) - SAME_IN_ENGLISH
        # A line that is a placeholder alone has no word either.
        assert not [line for line in left if re.sub(r"\{\w+\}", "", line).strip()], path


@pytest.mark.parametrize("name", CATALOGUES)
def test_numbers_and_codes_are_the_same(language, name):
    """A distance, a telephone number or a section of the code that differs would be a danger."""
    english = told("en", name)
    other = {path: sorted(re.findall(r"\d+(?:\.\d+)?", text)) for path, text in told(language, name).items()}
    assert other == {path: sorted(re.findall(r"\d+(?:\.\d+)?", text)) for path, text in english.items()}


@pytest.mark.parametrize("name", CATALOGUES)
def test_never_stays_never(language, name):
    """A step that forbids in English forbids in the translation, and none begins to."""
    english = told("en", name)
    for path, text in told(language, name).items():
        for step, counterpart in zip(steps_of(text), steps_of(english[path]), strict=True):
            if re.search(r"\b(never|do not)\b", counterpart, re.IGNORECASE):
                assert re.search(FORBIDS[language], step, re.IGNORECASE), (path, step)


def test_a_heading_that_a_step_sends_to_is_quoted_as_it_stands(language):
    english, other = told("en", "notes"), told(language, "notes")
    heading = ("troubles", "utility_out", "heading")
    sent = [path for path, text in english.items() if f'"{english[heading]}"' in text]
    assert sent
    assert all(f'"{other[heading]}"' in other[path] for path in sent)
