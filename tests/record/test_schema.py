"""The JSON Schema for editors: valid itself, takes every job we ship, and knows a wrong key."""

from __future__ import annotations

import pytest
import yaml
from jsonschema import Draft202012Validator
from test_bad_jobs import GOOD

from handover.record.key_meanings import _BY_PART, meaning_of
from handover.record.record import Record
from handover.record.schema import job_schema
from handover.resources import shipped
from handover.starter import write_starter

ROOT = shipped()
SCHEMA = job_schema()


class _AsText(yaml.SafeLoader):
    """Dates stay text, as they do for an editor's JSON view of a file; numbers and truth values do not."""


_AsText.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in pairs if not tag.endswith(("timestamp", "bool"))]
    for letter, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def faults(data) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in Draft202012Validator(SCHEMA).iter_errors(data)]


def read(path):
    return yaml.load(path.read_text(encoding="utf-8"), Loader=_AsText)


def test_the_schema_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    "path",
    [*sorted((ROOT / "demo_property").glob("*.yaml")), ROOT / "tests" / "small_job" / "job.yaml", GOOD / "job.yaml"],
    ids=lambda path: f"{path.parent.name}/{path.name}",
)
def test_jobs_that_read_are_valid(path):
    assert faults(read(path)) == []


@pytest.mark.parametrize("kind", ["car-charger", "feeder", "heat-pump", "other"])
def test_starters_are_valid(tmp_path, kind):
    write_starter(tmp_path, kind)
    assert faults(read(tmp_path / "job.yaml")) == []


@pytest.mark.parametrize(
    ("data", "at"),
    [
        ({"jobb": {}}, "$"),
        ({"circuits": [{"code": "C1", "laod": "32 A"}]}, "$.circuits[0]"),
        ({"circuits": [{"code": "c1", "name": "x", "work": "new", "volts": "240 V"}]}, "$.circuits[0].code"),
        ({"circuits": {"code": "C1"}}, "$.circuits"),
        ({"job": {"kind": "bakery"}}, "$.job.kind"),
    ],
)
def test_the_editor_sees_what_the_reader_refuses(data, at):
    assert any(fault.startswith(f"{at}: ") for fault in faults(data))


def test_no_top_level_key_is_required_of_one_file():
    assert faults({}) == []


def _parts():
    return {"Record": SCHEMA, **SCHEMA["$defs"]}


def test_every_required_key_has_a_meaning():
    required = {(part, key) for part, schema in _parts().items() for key in schema.get("required", ())}
    required |= {("Record", key) for key, field in Record.model_fields.items() if field.is_required()}
    assert {(part, key) for part, key in required if not meaning_of(part, key)} == set()


def test_no_meaning_is_left_over():
    parts = _parts()
    left_over = [each for each in _BY_PART if each.split(".")[1] not in parts[each.split(".")[0]]["properties"]]
    assert left_over == []


def test_an_editor_shows_the_meaning():
    assert SCHEMA["$defs"]["Service"]["properties"]["at"]["description"].startswith("the code of the panel")
