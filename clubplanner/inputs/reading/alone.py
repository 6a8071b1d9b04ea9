"""Reading what one table of a file would hold, given by itself: the cells of a form."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from clubplanner.domain.problems import Problem
from clubplanner.inputs.reading.faults import Faults
from clubplanner.inputs.reading.toml_tables import TomlTable

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

_Value = TypeVar("_Value")


def read_alone(
    values: Mapping[str, object], read: Callable[[TomlTable], _Value | None]
) -> tuple[_Value | None, tuple[Problem, ...]]:
    """Read keys given by themselves; `where` of a problem is the key."""
    faults = Faults("")
    found = read(TomlTable("", dict(values), faults))
    problems = (
        Problem(
            fault.where.removeprefix(", ").strip(), fault.code, fault.form_words or fault.message
        )
        for fault in faults.found
    )
    return found, tuple(problems)
