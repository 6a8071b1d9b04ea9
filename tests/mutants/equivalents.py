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
        where: Function or class, such as "Feed.__post_init__"; blank for wherever the line stands.
        was: The lines as they stand, each run of blanks as one space.
        becomes: What they may become.
        why: The reason.
    """

    module: str
    where: str
    was: str
    becomes: tuple[str, ...]
    why: str

    def covers(self, where: str, was: str, becomes: str) -> bool:
        """Tell whether a change is among these."""
        return self.where in {"", where} and self.was == was and becomes in self.becomes


def read_equivalents() -> tuple[Equivalent, ...]:
    """Read the list; an entry with `changes` is one for each pair of lines in it."""
    entries = tomllib.loads(PLACE.read_text("utf-8"))["equivalent"]
    return tuple(
        Equivalent(
            module=it["module"],
            where=it.get("where", ""),
            was=was,
            becomes=tuple(becomes),
            why=it["why"],
        )
        for it in entries
        for was, *becomes in it.get("changes") or [(it["was"], *it["becomes"])]
    )
