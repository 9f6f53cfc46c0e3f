"""The JSON Schema of the record, so that an editor completes and checks a job file while it is typed."""

from __future__ import annotations

from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from handover.record.facts import Written
from handover.record.key_meanings import meaning_of
from handover.record.record import Record


class _WithWrittenValues(GenerateJsonSchema):
    """pydantic's generator, told what text our own kinds of value take."""

    def function_plain_schema(self, schema: core_schema.PlainValidatorFunctionSchema) -> JsonSchemaValue:
        kind = getattr(schema["function"]["function"], "__self__", None)
        return kind.json_schema() if isinstance(kind, Written) else super().function_plain_schema(schema)

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        # A default is ours ("not recorded", no entries), nothing an editor should offer to write.
        return self.generate_inner(schema["schema"])


def job_schema() -> dict[str, Any]:
    """The schema of one job file (JSON Schema, draft 2020-12).

    No top-level key is required of a file, since a job may be spread over several files of one folder.
    """
    made: dict[str, Any] = Record.model_json_schema(schema_generator=_WithWrittenValues)
    made.pop("required", None)
    # The reader takes a breaker's rating alone in place of a whole breaker; pydantic's generator cannot see that.
    made["$defs"]["Slot"]["properties"]["breaker"]["anyOf"].append({"$ref": "#/$defs/Breaker/properties/rating"})
    for name, part in [("Record", made), *made["$defs"].items()]:
        for key, field in part.get("properties", {}).items():
            meaning = meaning_of(name, key)
            if meaning:
                field.setdefault("description", meaning)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema"} | made | {"title": "Handover job record"}
