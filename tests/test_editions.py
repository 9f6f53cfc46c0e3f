"""Redaction happens once, on the record: what the posted edition may hold."""

from __future__ import annotations

import inspect
from pathlib import Path

import pytest

from handover.editions import private_values, record_for
from handover.pack import Edition
from handover.record import evidence, people, record, supply, wiring
from handover.record.facts import Basis, Part, Shown, mark_of
from handover.record.reader import read_job

DEMO = Path(__file__).parent.parent / "demo_property"


@pytest.fixture(scope="module")
def demo():
    return read_job(DEMO)


def models():
    for module in (people, supply, wiring, evidence, record):
        for _, model in inspect.getmembers(module, inspect.isclass):
            if issubclass(model, Part) and model.__module__ == module.__name__:
                yield model


def test_every_field_says_which_edition_may_show_it():
    """An unmarked field would be private by default; leaving the mark out must be a decision, so there are none."""
    unmarked = [
        f"{model.__name__}.{name}"
        for model in models()
        for name, field in model.model_fields.items()
        if not any(isinstance(mark, Shown) for mark in field.metadata)
    ]
    assert len(list(models())) > 30
    assert unmarked == []


def test_a_field_without_a_mark_is_private():
    class Newcomer(Part):
        told: str = ""

    assert mark_of(Newcomer.model_fields["told"]) is Shown.OWNER


def test_a_neutral_field_has_its_neutral_partner():
    for model in models():
        for name, field in model.model_fields.items():
            if mark_of(field) is Shown.NEUTRAL:
                assert f"{name}_posted" in model.model_fields, (model, name)


def test_the_owner_edition_is_the_record_itself(demo):
    assert record_for(Edition.OWNER, demo) is demo


def test_the_posted_record_holds_none_of_the_private_values(demo):
    posted = record_for(Edition.POSTED, demo)
    assert posted.site.address is None
    assert posted.site.people == ()
    assert posted.private_notes is None
    assert posted.permit.number.basis is Basis.NOT_SHOWN
    assert posted.site.name == demo.site.name
    text = repr(posted)
    values = dict(private_values(demo))
    assert len(values) > 10
    shown = [path for path, value in values.items() if len(value) > 4 and value in text and not _repeats(path)]
    assert shown == []


def _repeats(path):
    """Whether it is of a translation: as open as the text it tells (tests/test_leaks.py holds the private ones)."""
    return path.startswith("translations[")


def test_a_discreet_entry_is_posted_under_its_neutral_name(demo):
    def slot(of):
        return next(slot for panel in of.panels if panel.code == "P2" for slot in panel.slots if slot.spaces == (4,))

    assert slot(demo).says == "alarm box in the study"
    assert slot(record_for(Edition.POSTED, demo)).says == "study"
    assert "alarm box in the study" in dict(private_values(demo)).values()


def test_redaction_keeps_places_and_leaves_the_record_alone(demo):
    before = repr(demo)
    posted = record_for(Edition.POSTED, demo)
    assert posted.panels[0].written_at == demo.panels[0].written_at
    assert repr(demo) == before
