"""People who sign in, and what each kind of them may do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What somebody does in the club, as far as its pitches go."""

    SECRETARY = "secretary"
    GROUNDSKEEPER = "groundskeeper"
    COACH = "coach"


@dataclass(frozen=True, slots=True)
class Person:
    """An adult who may sign in.

    Attributes:
        number: The person's number in the club's records.
        name: As the club says it.
        role: What the person may do.
        email: Blank when not known.
        squad_keys: The squads a coach looks after; empty for others.
    """

    number: int
    name: str
    role: Role
    email: str
    squad_keys: frozenset[str] = frozenset()

    @property
    def is_secretary(self) -> bool:
        """Whether the person may do everything."""
        return self.role is Role.SECRETARY

    def looks_after(self, squad_key: str | None) -> bool:
        """Tell whether a squad is one of the person's own, or anybody's for a secretary."""
        return self.is_secretary or squad_key in self.squad_keys
