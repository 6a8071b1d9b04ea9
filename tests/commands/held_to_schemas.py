"""Holding what a command printed for a program to its schema."""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Any

from jsonschema import Draft202012Validator, FormatChecker

from clubplanner.commands.base.schemas import read_schema, schema_names

if TYPE_CHECKING:
    from collections.abc import Sequence


@cache
def validator_of(name: str) -> Any:
    """Return what checks the JSON of a command, formats of days and instants included."""
    return Draft202012Validator(json.loads(read_schema(name)), format_checker=FormatChecker())


def name_of(words: Sequence[object]) -> str:
    """Return the name of the command that was typed, options before and after it aside."""
    typed = list(map(str, words))
    pairs = (" ".join(typed[at : at + 2]) for at in range(len(typed)))
    known = set(schema_names())
    return next(one for one in [*pairs, *typed] if one in known)


def hold_to_schema(words: Sequence[object], printed: str) -> None:
    """Check what a command printed with --json.

    Args:
        words: The command as it was typed.
        printed: What it printed on standard output.

    Raises:
        ValidationError: Naming what does not fit.
    """
    validator_of(name_of(words)).validate(json.loads(printed))
