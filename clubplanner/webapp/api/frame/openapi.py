"""The description of the API (OpenAPI 3.1.1), made from the operations and the values themselves.

A schema is what pydantic writes of a value (JSON Schema 2020-12, the dialect of OpenAPI 3.1); the
words are the docstrings' and the fields' own.
"""

from __future__ import annotations

import inspect
import re
from functools import cache
from importlib.metadata import version
from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field
from pydantic.json_schema import models_json_schema

from clubplanner.webapp.api.frame.once import HEADER, PATTERN
from clubplanner.webapp.api.frame.operations import JSON, OPERATIONS
from clubplanner.webapp.api.frame.values import MOST_NUMBER, Value, example
from clubplanner.webapp.base.problem_details import MEDIA_TYPE, TITLES
from clubplanner.webapp.base.security import ANYBODY, MARK

if TYPE_CHECKING:
    from clubplanner.webapp.api.frame.operations import Operation

ABOUT = """\
What the club's pages show and do, for programs. A token of a person opens what the person may do;
their page hands one out, and shows it once.

Instants are RFC 3339 with an offset, on whole minutes; weekly times are the club's wall clock;
lengths of time are whole minutes. A change needs the ETag of what was read as If-Match. What is
posted carries an Idempotency-Key and is done once. Lists come in leaves: follow `next` by `cursor`.
Faults are problem details (RFC 9457)."""
PATHS: dict[str, str] = {
    "number": "By which the records know it.",
    "key": "Its short name in addresses.",
    "day": "A date, as 2026-11-25.",
}
"""What the parts of addresses mean."""
_PART = re.compile(r"<(?:(\w+):)?(\w+)>")
_COMMON = ("400", "404", "422", "429", "503")


class ErrorPlace(Value):
    """A fault of what was sent."""

    at: str = Field(description="A JSON pointer into the body, or the name of a parameter.")
    code: str = Field(description="The kind of fault, a word for programs.")
    detail: str = Field(description="What is the matter and what to do.")


class Hindering(Value):
    """A rule that stands in the way."""

    rule: str = Field(description="Its name.")
    detail: str = Field(description="What stands in the way, a sentence.")


class ProblemValue(Value):
    """What went wrong (RFC 9457)."""

    model_config = example(
        type="https://club.example.org/api/1/problems/not-there",
        title="There is nothing here",
        status=404,
        detail="There is no such squad.",
    )

    type: str = Field(description="An address that says what this kind of problem is.")
    title: str = Field(description="The kind, in words.")
    status: int = Field(description="The HTTP status.")
    detail: str = Field(description="What is the matter this time, and what to do.")
    instance: str | None = Field(None, description="The number to tell the club, if it broke.")
    errors: list[ErrorPlace] | None = Field(None, description="Every fault of what was sent.")
    clashes: list[str] | None = Field(None, description="Who holds the ground, a sentence each.")
    free: list[str] | None = Field(None, description="What is free nearby.")
    hindrances: list[Hindering] | None = Field(None, description="The rules in the way.")


@cache
def describe() -> dict[str, Any]:
    """Return the description, as it is the same for every club; the server is filled in."""
    names, schemas = _schemas()
    paths: dict[str, dict[str, Any]] = {}
    for one in OPERATIONS.values():
        address = _PART.sub(r"{\2}", one.rule)
        paths.setdefault(address, {})[one.method.lower()] = _describe(one, names)
    return {
        "openapi": "3.1.1",
        "info": {
            "title": "Clubplanner",
            "version": f"1 ({version('clubplanner')})",
            "description": ABOUT,
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
        },
        "tags": [{"name": name} for name in dict.fromkeys(o.subject for o in OPERATIONS.values())],
        "paths": paths,
        "security": [{"token": []}],
        "components": {
            "schemas": schemas,
            "securitySchemes": {
                "token": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": "A token for reading, or for reading and changing.",
                }
            },
            "responses": {
                "Problem": {
                    "description": "What went wrong; `type` is one of " + ", ".join(TITLES) + ".",
                    "content": {
                        MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/ProblemValue"}}
                    },
                }
            },
        },
    }


_Mode = Literal["validation", "serialization"]


def _schemas() -> tuple[dict[tuple[type[Value], str], Any], dict[str, Any]]:
    """Return the reference of each value by the way it goes, and all schemas."""
    wanted: dict[tuple[type[Value], _Mode], None] = {(ProblemValue, "serialization"): None}
    for one in OPERATIONS.values():
        wanted[(one.answer, "serialization")] = None
        if one.takes is not None:
            wanted[(one.takes, "validation")] = None
    found, definitions = models_json_schema(
        list(wanted), ref_template="#/components/schemas/{model}"
    )
    names = {(model, mode): schema for (model, mode), schema in found.items()}
    return names, dict(sorted(definitions["$defs"].items()))  # type: ignore[return-value]


def _describe(one: Operation, names: dict[tuple[type[Value], str], Any]) -> dict[str, Any]:
    summary, _blank, more = inspect.cleandoc(one.view.__doc__ or "").partition("\n\n")
    told: dict[str, Any] = {
        "operationId": one.name,
        "summary": " ".join(summary.split()),
        "tags": [one.subject],
        "parameters": [*_path_parts(one), *_query(one), *_headers(one)],
        "responses": _responses(one, names),
    }
    if more:
        told["description"] = more
    if one.takes is not None:
        told["requestBody"] = {
            "required": True,
            "content": {JSON: {"schema": names[(one.takes, "validation")]}},
        }
    if getattr(one.view, MARK) == ANYBODY:
        told["security"] = []
    return told


def _path_parts(one: Operation) -> list[dict[str, Any]]:
    number = {"type": "integer", "minimum": 1, "maximum": MOST_NUMBER}
    word = {"type": "string", "minLength": 1, "pattern": "^[^/]+$"}
    return [
        {
            "name": name,
            "in": "path",
            "required": True,
            "description": PATHS[name],
            "schema": number if kind == "int" else word,
        }
        for kind, name in _PART.findall(one.rule)
    ]


def _query(one: Operation) -> list[dict[str, Any]]:
    if one.query is None:
        return []
    schema = one.query.model_json_schema(ref_template="#/components/schemas/{model}")
    return [
        {
            "name": name,
            "in": "query",
            "required": name in schema.get("required", ()),
            "description": part.pop("description", ""),
            "schema": part,
        }
        for name, part in schema.get("properties", {}).items()
    ]


def _headers(one: Operation) -> list[dict[str, Any]]:
    told = []
    if one.needs_condition:
        words = "The ETag of what was read."
        told.append(_header("If-Match", words, {"type": "string", "pattern": '^".+"$'}))
    if one.is_once:
        words = "A new one for each new request; the same for a repeat, which is not done again."
        told.append(_header(HEADER, words, {"type": "string", "pattern": PATTERN}))
    return told


def _header(name: str, words: str, schema: dict[str, Any]) -> dict[str, Any]:
    return {
        "name": name,
        "in": "header",
        "required": True,
        "description": words,
        "schema": schema,
    }


def _responses(one: Operation, names: dict[tuple[type[Value], str], Any]) -> dict[str, Any]:
    tag = {"description": "Of this state.", "schema": {"type": "string"}}
    headers: dict[str, Any] = {"ETag": tag}
    if one.status == 201:
        where = {"description": "Where what was made is.", "schema": {"type": "string"}}
        headers["Location"] = where
    if one.changes:
        words = "The change, where one was made; `rel` is `related`."
        headers["Link"] = {"description": words, "schema": {"type": "string"}}
    told: dict[str, Any] = {
        str(one.status): {
            "description": (one.answer.__doc__ or "").partition("\n")[0],
            "headers": headers,
            "content": {one.media_type: {"schema": names[(one.answer, "serialization")]}},
        }
    }
    if one.method == "GET":
        told["304"] = {"description": "It is as If-None-Match says it was."}
    problem = {"$ref": "#/components/responses/Problem"}
    told.update(dict.fromkeys(_problem_statuses(one), problem))
    told["default"] = problem
    return told


def _problem_statuses(one: Operation) -> list[str]:
    found = set(_COMMON)
    if getattr(one.view, MARK) != ANYBODY:
        found |= {"401", "403"}
    if one.changes:
        found |= {"409"}
    if one.takes is not None:
        found |= {"413", "415"}
    if one.needs_condition:
        found |= {"412", "428"}
    return sorted(found)
