"""Mutants that are no fault: they do the same, or what they do differently nobody can see."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

PLACE = Path(__file__).with_name("equivalents.toml")


@dataclass(frozen=True, slots=True)
class Equivalent:
    """Changes of one line (or statement of several lines) that are no fault.

    Attributes:
        module: Below `clubplanner/`.
        was: The lines as they stand, each run of blanks as one space.
        becomes: What they may become.
        why: The reason.
    """

    module: str
    was: str
    becomes: tuple[str, ...]
    why: str


def read_equivalents() -> tuple[Equivalent, ...]:
    """Read the list."""
    entries = tomllib.loads(PLACE.read_text("utf-8"))["equivalent"]
    return tuple(
        Equivalent(it["module"], it["was"], tuple(it["becomes"]), it["why"]) for it in entries
    )
