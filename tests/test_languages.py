"""Every language says the same as English: the same catalogues, keys, placeholders and steps, and none left in English.

That a translation means the same no test can tell; whoever edits one text reads its counterparts against it.
"""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from test_words import texts

from handover.checks.run import run_checks
from handover.drawings.draw_all import draw_faces
from handover.editions import record_for
from handover.in_languages import _IN_NO_LANGUAGE, told_in
from handover.pack import Edition, Pack, Page
from handover.pages import render_pages
from handover.record.installation import Installation
from handover.record.reader import read_job
from handover.record.translated import squeezed, table_of, texts_of
from handover.reminders import reminders
from handover.safety_notes import safety_notes
from handover.words import OWN, _catalogue, _sentences, languages, speaking, words
from tests.messages import ROOT, every, in_record
from tests.pages.packs import pages_of

TRANSLATIONS = [language for language in languages() if language != OWN]
SUBJECTS = sorted(_catalogue(OWN).keys() - {"language"})
CATALOGUES = [name for name in SUBJECTS if name not in ("labels", "trade_words")]
"""The wording of signs is English on the wall: of the labels, only the card for the door is told in each language.
Which trade words are everyday words too differs from language to language."""
SAME_IN_ENGLISH = {"{where}: {off}."}
"""Texts without a word to translate."""
SAME = {"no", "motor", "20 A GFCI AFCI"}
"""Words that are the same in the languages there are."""
FORBIDS = {"es": r"\b(no|nunca|nada|nadie|ni|sin|ning\w+)\b"}
"""How a step of a language forbids; another language adds its words here."""
SAFETY_NOTE = re.compile("<section class=.hazard ")
pytestmark = pytest.mark.parametrize("language", TRANSLATIONS)


def told(language, name):
    with speaking(language):
        return dict(texts(words(name)))


def placeholders(text):
    return sorted(re.findall(r"\{(\w+)\}", text))


def steps_of(text):
    return [line for line in text.splitlines() if line.strip()]


def test_there_is_spanish(language):
    assert "es" in TRANSLATIONS
    assert "glossary" in CATALOGUES


def test_each_catalogue_is_there_and_no_other(language):
    assert {*CATALOGUES, "language", "pages"} <= _catalogue(language).keys() <= {*SUBJECTS, "language", "pages"}


@pytest.mark.parametrize("name", CATALOGUES)
def test_the_keys_are_the_same_and_in_the_same_order(language, name):
    """Hazards and reminders are shown in the order of their catalogue."""
    assert list(told(language, name)) == list(told(OWN, name))


@pytest.mark.parametrize("name", CATALOGUES)
def test_each_text_has_the_same_placeholders(language, name):
    english = told(OWN, name)
    other = {path: placeholders(text) for path, text in told(language, name).items()}
    assert other == {path: placeholders(text) for path, text in english.items()}


@pytest.mark.parametrize("name", CATALOGUES)
def test_each_text_has_the_same_number_of_steps(language, name):
    english = told(OWN, name)
    other = {path: len(steps_of(text)) for path, text in told(language, name).items()}
    assert other == {path: len(steps_of(text)) for path, text in english.items()}


@pytest.mark.parametrize("name", CATALOGUES)
def test_each_step_has_the_placeholders_of_its_counterpart(language, name):
    """A step that stood in another place would still pass the count."""
    english = told(OWN, name)
    moved = [
        (path, step)
        for path, text in told(language, name).items()
        for step, counterpart in zip(steps_of(text), steps_of(english[path]), strict=True)
        if placeholders(step) != placeholders(counterpart)
    ]
    assert moved == []


@pytest.mark.parametrize("name", CATALOGUES)
def test_nothing_is_left_in_english(language, name):
    english = told(OWN, name)
    for path, text in told(language, name).items():
        assert text.strip(), path
        left = set(steps_of(text)) & set(steps_of(english[path])) - SAME_IN_ENGLISH
        # A line that is a placeholder alone has no word either.
        assert not [line for line in left if re.sub(r"\{\w+\}", "", line).strip()], path


@pytest.mark.parametrize("name", CATALOGUES)
def test_numbers_and_codes_are_the_same(language, name):
    """A distance, a telephone number or a section of the code that differs would be a danger."""
    english = told(OWN, name)
    other = {path: sorted(re.findall(r"\d+(?:\.\d+)?", text)) for path, text in told(language, name).items()}
    assert other == {path: sorted(re.findall(r"\d+(?:\.\d+)?", text)) for path, text in english.items()}


@pytest.mark.parametrize("name", CATALOGUES)
def test_never_stays_never(language, name):
    """A step that forbids in English forbids in the translation, and none begins to."""
    english = told(OWN, name)
    for path, text in told(language, name).items():
        for step, counterpart in zip(steps_of(text), steps_of(english[path]), strict=True):
            if re.search(r"\b(never|do not)\b", counterpart, re.IGNORECASE):
                assert re.search(FORBIDS[language], step, re.IGNORECASE), (path, step)


def test_a_heading_that_a_step_sends_to_is_quoted_as_it_stands(language):
    english, other = told(OWN, "notes"), told(language, "notes")
    heading = ("troubles", "utility_out", "heading")
    sent = [path for path, text in english.items() if f'"{english[heading]}"' in text]
    assert sent
    assert all(f'"{other[heading]}"' in other[path] for path in sent)


@pytest.mark.parametrize("job", ["demo", "small"])
def test_a_page_of_a_code_has_every_safety_note_of_its_english_page(language, job):
    """Those for electricians too: who reads this language may be the one who opens the panel."""
    pages = pages_of(job, Edition.POSTED)
    codes = [path for path in pages if re.fullmatch(r"[A-Z]\d+/index\.html", path)]
    told_there = [len(SAFETY_NOTE.findall(pages[path].body)) for path in codes]
    assert told_there == [len(SAFETY_NOTE.findall(pages[f"lang-{language}/{path}"].body)) for path in codes]
    assert min(told_there) >= 1
    proof = told(language, "notes")["notes", "not_dead", "hazard"]
    assert all(proof in pages[f"lang-{language}/{path}"].body for path in codes)


def sentences(language):
    """The program's own sentences in a language, each by its English one."""
    return _sentences(language)


def test_every_sentence_of_the_program_is_translated_and_none_besides(language):
    wanted = {*every(), *in_record()}
    assert wanted - sentences(language).keys() == set()
    assert sentences(language).keys() - wanted == set()
    assert all(text.strip() for text in sentences(language).values())


def test_each_sentence_has_its_facts(language):
    """``{panel}`` and ``%(date)s`` stand in both, and the numbers are the same."""
    for english, other in sentences(language).items():
        for fact in (r"\{\w+\}", r"%\(\w+\)s", r"\d+"):
            assert set(re.findall(fact, other)) == set(re.findall(fact, english)), english


def lines_read(pages):
    """Each piece of text of some pages, as somebody reads it or has it read to them."""
    bodies = " ".join(page.body for page in pages)
    spoken = re.findall(r'(?:aria-label|alt|data-head)="([^"]*)"', bodies)
    return {squeezed(html.unescape(text)).strip(" .,:;·") for text in (*re.findall(r">([^<]+)<", bodies), *spoken)}


MARKED = re.compile(rf'<span lang="{OWN}">[^<]*</span>|<img lang="{OWN}" [^>]*>')


def parts_in_both(pages, english):
    """Pieces of the texts of some pages that hold a word and stand on the English pages too."""
    both = lines_read(pages) & english
    parts = {part.strip() for text in both for part in re.split(r"[:;,()]", text)}
    return {part for part in parts if re.search(r"[a-z]{3}|[A-Z]{2} [A-Z]{2}", part)}


def drawn(drawings):
    """The drawings as if each were a page: their letters are read too."""
    return [Page(path=name, title="", body=drawing.svg, reader="worker") for name, drawing in drawings.items()]


def keys_of(record):
    return {key for key, _ in texts_of(record)}


@pytest.mark.parametrize("job", ["demo_property", "tests/small_job", "tests/crowded_house", "tests/other_house"])
def test_a_page_shows_nothing_in_english_but_the_record_s_own_words(language, job):
    """A text that stands on English pages too is a name, a number or a word of the record."""
    record = read_job(ROOT / job)
    shown = record_for(Edition.OWNER, record)
    installation = Installation(shown)
    pack = Pack(
        edition=Edition.OWNER, record=shown, installation=installation, results=run_checks(record),
        drawings=draw_faces(installation), photos=(), labels=(), notes=safety_notes(installation),
        reminders=reminders(installation),
    )  # fmt: skip
    other = told_in(language, pack, record)
    pages = other.pages
    assert len(pages) >= 10
    english = lines_read((*render_pages(pack), *drawn(pack.drawings)))
    of_the_record = {
        key: " | ".join(squeezed(text) for at, text in texts_of(shown) if at == key) for key in keys_of(shown)
    }
    own = " | ".join((*of_the_record.values(), *languages().values()))
    assert {
        part for part in parts_in_both((*pages, *drawn(other.drawings)), english) if part.lower() not in own.lower()
    } - SAME == set()
    # What is English says so, but for people, makers and markings.
    unmarked = parts_in_both((replace(page, body=MARKED.sub(">", page.body)) for page in pages), english)
    alike = [text for text, says in table_of(record.translations, language).items() if text == says]
    names = " | ".join((*(of_the_record.get(key, "") for key in _IN_NO_LANGUAGE), *alike, *languages().values()))
    assert {part for part in unmarked if part.lower() not in names.lower()} - SAME == set()
