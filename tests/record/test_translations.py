"""The record's own texts in another language: what counts as a translation, and where each one shows up.

The little job and its translations are made up here; no outside value is compared.
"""

from __future__ import annotations

import pytest
import yaml

from handover.editions import record_in
from handover.pack import Edition
from handover.record.facts import Basis
from handover.record.meaning_translations import translation_problems
from handover.record.translated import squeezed, table_of, texts_of, translated
from handover.untranslated import to_fill_in, untranslated
from tests.jobs import job

SUMMARY = "{text: For tests., says: Para pruebas.}"
PRIVATE = """
private_notes: Side gate sticks.
translations: [{text: Side gate sticks., says: La puerta lateral se atora.}]
"""


def problems(translations):
    return list(translation_problems(job(f"translations: [{translations}]")))


def test_a_text_of_the_record_may_be_translated():
    assert problems(SUMMARY) == []
    assert problems("") == []


def test_white_space_does_not_make_another_text():
    assert problems('{text: "For   tests.", says: Para pruebas.}') == []
    assert squeezed(" For \n tests. ") == "For tests."


def test_a_translation_of_nothing_is_named_with_the_text_it_may_mean():
    (found,) = problems("{text: For test., says: Para pruebas.}")
    assert "is no whole text of this record" in found.what
    assert "For tests." in found.remedy
    assert found.place.file == "job.yaml"
    assert found.place.line == 1


def test_a_translation_of_nothing_like_it_says_what_to_do():
    (found,) = problems("{text: Quite another thing altogether, says: Otra cosa.}")
    assert found.remedy == "Copy the whole text as it stands in the record, or take this out."


def test_a_text_is_translated_once():
    (found,) = problems(f"{SUMMARY}, {SUMMARY}")
    assert found.what == "is translated twice"
    assert found.remedy == "Keep one of the two."


@pytest.mark.parametrize("language", ["xx", "en", "ES"])
def test_a_language_without_pages_is_refused(language):
    (found,) = problems(f"{{text: For tests., language: {language}, says: Para pruebas.}}")
    assert found.what == f"there are no pages in {language!r}"
    assert found.remedy == "Write one of: es."


def test_the_same_text_in_two_languages_is_not_twice():
    found = problems(f"{SUMMARY}, {{text: For tests., language: xx, says: Test.}}")
    assert [problem.what for problem in found] == ["there are no pages in 'xx'"]


def test_only_whole_texts_are_put_in_and_the_rest_stays():
    record = job(f"translations: [{SUMMARY}]")
    told = translated(record, table_of(record.translations, "es"))
    assert told.job.summary == "Para pruebas."
    assert told.job.title == "A small job"
    assert record.job.summary == "For tests."
    assert told.job.written_at == record.job.written_at


def test_nothing_of_another_language_is_taken():
    record = job(f"translations: [{SUMMARY}]")
    assert table_of(record.translations, "xx") == {}
    assert record_in("xx", Edition.OWNER, record).job.summary == "For tests."


def test_what_the_program_reckons_with_is_never_translated():
    """``kind: other`` and ``work: existing`` steer the program; a fact's note and its value are the contractor's."""
    record = job("""
        circuits:
          - {code: C1, name: Heater, work: existing, volts: 240 V, conductors: [], terminals: 60 °C,
             splices: {value: none, basis: observed, note: by torchlight}}
        translations:
          - {text: existing, says: previo}
          - {text: other, says: otro}
          - {text: none, says: ninguno}
          - {text: by torchlight, says: con linterna}
    """)
    told = record_in("es", Edition.OWNER, record)
    circuit = told.circuits[0]
    assert (told.job.kind, circuit.work) == ("other", "existing")
    assert (circuit.splices.value, circuit.splices.note) == ("ninguno", "con linterna")
    assert circuit.splices.basis is Basis.OBSERVED


def test_translations_are_not_texts_to_translate():
    texts = [text for _, text in texts_of(job(f"translations: [{SUMMARY}]"))]
    assert "For tests." in texts
    assert "Para pruebas." not in texts


def test_the_posted_edition_holds_no_translation_of_a_private_text():
    record = job(PRIVATE)
    posted = record_in("es", Edition.POSTED, record)
    assert posted.translations == ()
    assert not [text for _, text in texts_of(posted) if "puerta" in text or "gate" in text]
    assert record_in("es", Edition.OWNER, record).private_notes == "La puerta lateral se atora."


def test_what_is_missing_comes_as_lines_to_fill_in():
    record = job(f"translations: [{SUMMARY}]")
    missing = untranslated("es", record)
    assert "For tests." not in missing
    assert "For tests." in untranslated("es", job())
    assert "A small job" in missing
    lines = yaml.safe_load(to_fill_in("es", missing))["translations"]
    assert [line["text"] for line in lines] == list(missing)
    assert all(line["language"] == "es" and line["says"] is None for line in lines)


def test_names_and_numbers_are_not_asked_for():
    missing = untranslated("es", job())
    assert not {"Main panel", "Test Electric", "A utility", "555-0100", "T-1"} & set(missing)


def test_a_text_that_is_a_name_too_is_not_asked_for():
    """Its translation would rename the panel as well."""
    assert "Main panel" not in untranslated("es", job("site: {name: Test house, building: Main panel}"))
    assert "Some house" in untranslated("es", job("site: {name: Test house, building: Some house}"))
