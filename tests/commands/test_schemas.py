"""What commands print with --json: a schema each, closed, and printed by the program itself."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click
import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from clubplanner.commands import main
from clubplanner.commands.base.schemas import read_schema, schema_names
from tests.use.commands import leaf_commands

if TYPE_CHECKING:
    from collections.abc import Iterator

FILES = {"share-out solve", "share-out reshare", "share-out explain"}
"""Print parts of the files that they work on; those have a schema of their own in the code."""


def command_of(words: str) -> click.Command:
    """Return a command by its words."""
    command: click.Command = main
    for word in words.split():
        assert isinstance(command, click.Group)
        found = command.get_command(click.Context(command), word)
        assert found is not None
        command = found
    return command


def test_every_command_with_json_has_a_schema_and_no_other() -> None:
    """A command that a program reads says what it prints."""
    with_json = {
        words
        for words in leaf_commands()
        if any("--json" in param.opts for param in command_of(words).params)
    }
    assert set(schema_names()) == with_json


def objects_in(schema: Any) -> Iterator[dict[str, Any]]:
    """Yield each part of a schema that says something of a value."""
    if isinstance(schema, dict):
        if "type" in schema or "properties" in schema:
            yield schema
        for part in schema.values():
            yield from objects_in(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from objects_in(part)


@pytest.mark.parametrize("name", schema_names())
def test_a_schema_is_one_and_leaves_nothing_open(name: str) -> None:
    """Each is a schema of the draft it names, with members and items told to the last one."""
    schema = json.loads(read_schema(name))
    Draft202012Validator.check_schema(schema)
    assert schema["title"] == f"clubplanner {name} --json"
    if name in FILES:
        return
    for part in objects_in(schema):
        kinds = part.get("type", ())
        if "object" in kinds:
            assert part.get("additionalProperties", True) not in (True, {}), part
            assert set(part.get("required", ())) <= set(part.get("properties", ())), part
        if "array" in kinds:
            assert part.get("items") or part.get("prefixItems"), part


@pytest.mark.parametrize("run", ["run", "run-again", "run-evening", "run-tonight", "run-turns"])
def test_a_proposal_is_told_alike_by_every_command_that_makes_one(run: str) -> None:
    """What the page of a proposal gains is in the schema of each, its sessions in one alone."""
    shown, made = (json.loads(read_schema(name)) for name in ("proposals show", f"share-out {run}"))
    alike = {name: part for name, part in shown["properties"].items() if name != "sessions"}
    assert {name: made["properties"].get(name) for name in alike} == alike
    assert set(alike) & set(shown["required"]) <= set(made["required"])


def test_the_program_prints_its_schemas() -> None:
    """A program that reads asks the program it reads from."""
    listed = CliRunner().invoke(main, ["schemas", "list"]).output.splitlines()
    assert listed == schema_names()
    printed = CliRunner().invoke(main, ["schemas", "show", "squads", "list"]).output
    assert json.loads(printed)["items"]["required"][:2] == ["key", "name"]
    asked = CliRunner().invoke(main, ["schemas", "show", "squads", "find"])
    assert asked.exit_code == 2
    assert "prints no JSON" in asked.stderr
