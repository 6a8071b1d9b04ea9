"""People who sign in, and what each kind of them may do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.domain.club.clubs_within import Scope


class Role(StrEnum):
    """What somebody does in the club, as far as its pitches go.

    The secretary of a club within the record does for its squads what the secretary does for all.
    """

    SECRETARY = "secretary"
    CLUB_SECRETARY = "club's secretary"
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
        squad_keys: The squads somebody looks after: a coach theirs, the secretary of a club those
            of the club; empty for others.
        scope: What the secretary of a club is held to; None for everybody else.
    """

    number: int
    name: str
    role: Role
    email: str
    squad_keys: frozenset[str] = frozenset()
    scope: Scope | None = None

    @property
    def is_secretary(self) -> bool:
        """Whether the person may do everything."""
        return self.role is Role.SECRETARY

    @property
    def keeps_squads(self) -> bool:
        """Whether the person does a secretary's work: for all squads, or for those of a club."""
        return self.role in (Role.SECRETARY, Role.CLUB_SECRETARY)

    def looks_after(self, squad_key: str | None) -> bool:
        """Tell whether a squad is one of the person's own, or anybody's for a secretary."""
        return self.is_secretary or squad_key in self.squad_keys
