"""A judge of values by those JSON Schema keywords that the schema of a problem uses.

The words are those of JSON Schema 2020-12, Validation, chapter 6, and Core, chapters 8 and 10.
"""

from __future__ import annotations

import json
import re
from typing import Any


def is_allowed(value: Any, rule: dict[str, Any], root: dict[str, Any]) -> bool:
    """Judge a value by the JSON Schema keywords that the schema uses, and no others."""
    known = {"$schema", "$defs", "title", "description", "format", *KEYWORDS, "$ref", "anyOf"}
    assert set(rule) <= known | {"type", "enum"}
    if "$ref" in rule:
        return is_allowed(value, root["$defs"][rule["$ref"].rsplit("/", 1)[1]], root)
    if "anyOf" in rule:
        return any(is_allowed(value, one, root) for one in rule["anyOf"])
    if "enum" in rule and value not in rule["enum"]:
        return False
    if "type" in rule and not is_of_type(value, rule["type"]):
        return False
    if not all(test(value, rule[word]) for word, test in KEYWORDS.items() if word in rule):
        return False
    if isinstance(value, dict):
        members = rule["properties"]
        return all(
            key in members and is_allowed(item, members[key], root) for key, item in value.items()
        )
    if isinstance(value, list):
        return all(is_allowed(item, rule["items"], root) for item in value)
    return True


def is_of_type(value: object, name: str) -> bool:
    """Tell whether a value is of a JSON Schema type; 6.0 is an integer, true is no number."""
    if name in ("integer", "number"):
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        return number and (name == "number" or float(str(value)).is_integer())
    kinds = {"string": str, "boolean": bool, "null": type(None), "array": list, "object": dict}
    return isinstance(value, kinds[name])


KEYWORDS: dict[str, Any] = {
    "minimum": lambda value, limit: value >= limit,
    "maximum": lambda value, limit: value <= limit,
    "exclusiveMinimum": lambda value, limit: value > limit,
    "minLength": lambda value, limit: len(value) >= limit,
    "maxLength": lambda value, limit: len(value) <= limit,
    "pattern": lambda value, limit: re.search(limit, value) is not None,
    "minItems": lambda value, limit: len(value) >= limit,
    "maxItems": lambda value, limit: len(value) <= limit,
    "uniqueItems": lambda value, _: len({json.dumps(item) for item in value}) == len(value),
    "required": lambda value, names: set(names) <= set(value),
    "properties": lambda *_: True,
    "items": lambda *_: True,
    "additionalProperties": lambda *_: True,
}
