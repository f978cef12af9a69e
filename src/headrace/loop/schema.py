"""The JSON Schema of build and card files, from the same records that read them."""

from __future__ import annotations

from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaWarningKind, models_json_schema

from headrace.loop.buildfile import BuildFile
from headrace.parts.kinds import KINDS


class _Quiet(GenerateJsonSchema):
    """A default that is a figure has no JSON form and is left out of the schema; the code holds it."""

    ignored_warning_kinds: set[JsonSchemaWarningKind] = {  # noqa: RUF012 - an instance default of the base class
        "skipped-choice",
        "non-serializable-default",
    }


def build_schema() -> dict[str, Any]:
    """The schema of build.toml."""
    schema = BuildFile.model_json_schema(by_alias=True, schema_generator=_Quiet)
    return {"$comment": "build.toml of Headrace, format 1", **schema}


def card_schema() -> dict[str, Any]:
    """The schema of a card file: one of the kinds for each [[card]]."""
    kinds = list(dict.fromkeys(KINDS.values()))
    refs, defs = models_json_schema(
        [(kind, "validation") for kind in kinds],
        by_alias=True,
        ref_template="#/$defs/{model}",
        schema_generator=_Quiet,
    )
    cards = {"type": "array", "items": {"oneOf": [refs[(kind, "validation")] for kind in kinds]}}
    return {
        "$comment": 'card file of Headrace, format 1; like = "id" takes over what a card does not state',
        "type": "object",
        "properties": {"format": {"const": 1}, "card": cards},
        "required": ["format"],
        "additionalProperties": False,
        **defs,
    }
