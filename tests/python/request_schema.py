"""The schema of a request in one unit: ranges and defaults of the unit in place, and every object written out."""

from typing import Any

import kirtle

Schema = dict[str, Any]


def request_schema(unit: str, name: str = "request") -> Schema:
    """Returns the schema `name`, of a request on a draft or on a chart, in `unit`."""
    schema = kirtle.schema(name)
    own = schema["then" if unit == schema["if"]["properties"]["unit"]["const"] else "else"]
    whole: Schema = merged(without_references(schema, schema["$defs"]), own)
    return whole


def without_references(schema: Any, definitions: Schema) -> Any:
    """Returns a schema with each reference replaced by its definition."""
    if isinstance(schema, dict):
        named = definitions[schema["$ref"].removeprefix("#/$defs/")] if "$ref" in schema else schema
        return {key: without_references(value, definitions) for key, value in named.items() if key != "$defs"}
    return schema


def merged(common: Any, own: Any) -> Any:
    """Returns a schema with what it has in one unit only."""
    if isinstance(common, dict) and isinstance(own, dict):
        return {key: merged(common.get(key, value), own.get(key, value)) for key, value in {**common, **own}.items()}
    return own
