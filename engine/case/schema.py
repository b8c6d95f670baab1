"""The JSON Schema of the case format, for editors that complete and check while one types."""

from __future__ import annotations

import copy
from typing import Any

from engine.case.describing import case_format
from engine.case.vocabulary import UNSETTLED, Attribute, Vocabulary

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def case_schema(vocabulary: Vocabulary | None = None) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a case; with a vocabulary it knows the attributes, their values and the causes.

    What a schema cannot say (references, geometry, masses, days in order) only `read_case` checks.
    """
    schema = copy.deepcopy(dict(case_format()))
    definitions = schema["$defs"]
    for definition in (schema, *definitions.values()):
        _without_null(definition)
    if vocabulary is not None:
        _facts(definitions["Fact"], vocabulary)
        causes = {"enum": sorted(vocabulary.causes)}
        definitions["Conclusion"]["properties"]["causes"]["items"] = causes
        answers = definitions["AreaKey"]["properties"]
        answers["truth"]["items"] = causes
        answers["junior"] = causes
        for name in ("steps", "parting_steps", "catches_junior"):
            answers[name]["items"] = {"enum": sorted(vocabulary.steps)}
        answers["cautions"]["items"] = {"enum": sorted(vocabulary.cautions)}
    return {"$schema": DIALECT, **schema}


def _without_null(definition: dict[str, Any]) -> None:
    """A field of a case is left out, never empty: take the null out of what each field allows."""
    for name, field in definition.get("properties", {}).items():
        options = [option for option in field.get("anyOf", ()) if option.get("type") != "null"]
        if len(options) == 1:
            rest = {key: value for key, value in field.items() if key not in ("anyOf", "default")}
            definition["properties"][name] = {**rest, **options[0]}


def _facts(fact: dict[str, Any], vocabulary: Vocabulary) -> None:
    attributes = vocabulary.questions
    fact["properties"]["attribute"] = {
        "oneOf": [{"const": name, "title": attributes[name].title} for name in sorted(attributes)]
    }
    fact["allOf"] = [
        {
            "if": {"properties": {"attribute": {"const": name}}, "required": ["attribute"]},
            "then": {"properties": {"value": _values(attributes[name])}},
        }
        for name in sorted(attributes)
    ]


def _values(attribute: Attribute) -> dict[str, Any]:
    if attribute.kind != "number":
        return {"enum": [*attribute.words(), *UNSETTLED]}
    number: dict[str, Any] = {"type": "number"}
    if attribute.unit:
        number["description"] = f"in {attribute.unit}"
    if attribute.minimum is not None:
        number["minimum"] = attribute.minimum
    if attribute.maximum is not None:
        number["maximum"] = attribute.maximum
    return {"anyOf": [number, {"enum": list(UNSETTLED)}]}
