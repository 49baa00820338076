"""Fields of a request in JSON, from its schema: ranges, defaults, choices and descriptions."""

from typing import Any

from ._kirtle import schema


def fields(path: list[str], unit: str) -> dict[str, dict[str, Any]]:
    """Return the schemas of the fields of the object at a path in a request, by name; ranges of lengths are in `unit`."""
    request = schema("request")

    def properties(tree: dict[str, Any]) -> dict[str, Any]:
        found: dict[str, Any] = request["$defs"].get(tree.get("$ref", "").removeprefix("#/$defs/"), tree).get("properties", {})
        return found

    def fields_of(tree: dict[str, Any]) -> dict[str, Any]:
        for part in path:
            tree = properties(tree).get(part, {})
            tree = tree.get("items", tree)
        return properties(tree)

    in_unit = fields_of(request["then" if unit == "in" else "else"])
    return {name: row | in_unit.get(name, {}) for name, row in fields_of(request).items()}
