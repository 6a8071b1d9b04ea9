"""Problems and results as JSON: exact both ways, and every fault of a file at once.

Dates are written as "2026-09-07", fractions as "1/4", sets in order, the cells of a ground as their
numbers, minutes as whole numbers after midnight. Members with a default may be left out.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any, Never, TypeVar, cast

from clubplanner.sharing.files.file_shapes import record_of
from clubplanner.sharing.files.json_groups import Members
from clubplanner.sharing.files.json_shapes import Faults, shown
from clubplanner.sharing.files.references import check_references
from clubplanner.sharing.values.outcome import Outcome
from clubplanner.sharing.values.problem import Problem
from clubplanner.sharing.values.turns_taken import TurnsTaken
from clubplanner.sharing.values.validating import validate

if TYPE_CHECKING:
    from clubplanner.domain.problems import Problem as Fault

MOST_BYTES = 64 * 1024 * 1024
"""A file larger than this is not read."""
DIALECT = "https://json-schema.org/draft/2020-12/schema"

_Value = TypeVar("_Value")


def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a problem.

    It tells types, ranges and lengths; what one part of a file says about another, and that a
    fraction is at most 1, is checked on reading only.
    """
    parts: dict[str, Any] = {}
    rule = record_of(Problem).describe(parts)
    title = "A problem to share out: ground, days, rules and asks"
    return {"$schema": DIALECT, "title": title, **rule, "$defs": parts}


def write_value(value: Any) -> str:
    """Write a problem, a result or another value of these files as JSON text."""
    body = record_of(type(value)).write(value)
    return json.dumps(body, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def read_problem(data: bytes) -> tuple[Problem | None, tuple[Fault, ...]]:
    """Read a problem.

    Args:
        data: The file, UTF-8.

    Returns:
        The problem and no faults, or None and every fault with its place.
    """
    faults = Faults()
    problem = read_value(Problem, data, faults)
    if problem is None:
        return None, tuple(faults.found)
    is_sound = not faults.found
    check_references(problem, faults)
    if is_sound and not faults.found:
        for message in validate(problem):
            faults.add("$", "fault", message)
    return (None, tuple(faults.found)) if faults.found else (problem, ())


def read_outcome(data: bytes) -> tuple[Outcome | None, tuple[Fault, ...]]:
    """Read a result; whether it is true of its problem is for `verifying`.

    Args:
        data: The file, UTF-8.

    Returns:
        The result and no faults, or None and every fault with its place.
    """
    faults = Faults()
    outcome = read_value(Outcome, data, faults)
    return (None, tuple(faults.found)) if faults.found else (outcome, ())


def is_of_turns(data: bytes) -> bool:
    """Tell whether a result's file is one of turns, sound or not."""
    found = _parse(data, Faults())
    return isinstance(found, dict) and "turns" in found


def read_turns(data: bytes) -> tuple[TurnsTaken | None, tuple[Fault, ...]]:
    """Read a result of turns; whether it is true of its problem is for `checks.turns_told`.

    Args:
        data: The file, UTF-8.

    Returns:
        The result and no faults, or None and every fault with its place.
    """
    faults = Faults()
    taken = read_value(TurnsTaken, data, faults)
    return (None, tuple(faults.found)) if faults.found else (taken, ())


def read_value(kind: type[_Value], data: bytes, faults: Faults) -> _Value | None:
    """Read a dataclass of these files.

    Args:
        kind: The dataclass.
        data: The file, UTF-8.
        faults: Gets every fault.

    Returns:
        The value, with stand-ins where there are faults; None for what is no JSON at all.
    """
    found = _parse(data, faults)
    if faults.found:
        return None
    return cast("_Value", record_of(kind).read(found, "$", faults))


def _parse(data: bytes, faults: Faults) -> object:
    if len(data) > MOST_BYTES:
        limit = f"{MOST_BYTES // 1024 // 1024} MB"
        faults.add("$", "long", f"The file is larger than {limit}; share out fewer squads at once.")
        return None
    try:
        return json.loads(
            data.decode("utf-8-sig"), object_pairs_hook=Members, parse_constant=_refuse
        )
    except UnicodeDecodeError as fault:
        message = f"Byte {fault.start} is not UTF-8; save the file as UTF-8."
        faults.add("$", "encoding", message)
    except json.JSONDecodeError as fault:
        where = f"line {fault.lineno}, column {fault.colno}"
        faults.add("$", "json", f"Not JSON at {where} ({fault.msg}); mend it there.")
    except RecursionError:
        faults.add("$", "deep", "Lists and objects lie too deep in each other; take some out.")
    except ValueError as fault:
        faults.add("$", "json", f"A number cannot be read ({fault}); write a plain number.")
    return None


def _refuse(text: str) -> Never:
    raise ValueError(f"{shown(text)} is no JSON")
