"""Clubs within a record: a council that shares its ground among clubs keeps one record for all.

A squad belongs to one of them at most. On plans all squads stand side by side, so one that belongs
to a club is called by the club's name and its own: two clubs may both have an under 12.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.keys import key_from_name

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence


@dataclass(frozen=True, slots=True)
class ClubWithin:
    """A club within the record.

    Attributes:
        number: In the records; 0 for one that is only read from a file.
        name: As people call it.
        has_ended: Whether it takes part no longer; it has no squads that go on then.
    """

    number: int
    name: str
    has_ended: bool = False

    @property
    def key(self) -> str:
        """What its name is compared by."""
        return key_from_name(self.name)


@dataclass(frozen=True, slots=True)
class Scope:
    """What the secretary of one club may change: the records of its squads, and nothing else.

    Where nobody is held to a scope, as in the office of the whole, there is none.

    Attributes:
        club: The club's number.
        club_name: Its name.
        person: The secretary's own number in the records.
    """

    club: int
    club_name: str
    person: int

    def covers(self, clubs: Collection[int | None]) -> bool:
        """Tell whether something may be changed, by whose it is.

        Args:
            clubs: The number of each club that it is of; None for what is of no club. Empty where
                it is nobody's, such as ground, a closure or a hire: that is the office's.
        """
        return bool(clubs) and set(clubs) == {self.club}


def full_name(club: str, squad: str) -> str:
    """Return what a squad of a club is called: "Brook Rovers U12"; its own name without a club.

    Args:
        club: The club's name; blank for none.
        squad: The squad's name, with the club's in front of it or without.
    """
    own = own_name(club, squad)
    return own if key_from_name(own) == key_from_name(club) else f"{club} {own}".strip()


def own_name(club: str, squad: str) -> str:
    """Return a squad's name without that of its club in front of it.

    A squad that is called like its club, and nothing else, keeps that name.
    """
    words, first = squad.split(), club.split()
    rest = words[len(first) :]
    is_in_front = [*map(str.casefold, words[: len(first)])] == [*map(str.casefold, first)]
    return " ".join(rest if first and is_in_front and rest else words)


def find_club(clubs: Sequence[ClubWithin], name: str) -> ClubWithin | None:
    """Return the club of a name, however it is spaced and written; None for none."""
    key = key_from_name(name)
    return next((club for club in clubs if club.key == key), None)
