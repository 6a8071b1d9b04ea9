"""The page of the clubs within the record: named, renamed, ended by the office."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.language import _
from clubplanner.services.rows.own_club import clubs_by_squad, load_club_within, load_clubs
from clubplanner.services.setup.clubs.club_squads import add_club, end_club, rename_club
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class ClubLine:
    """A club in the list.

    Attributes:
        number: Of the club.
        name: Its name.
        has_ended: Whether it takes part no longer.
        squads: How many squads it has.
        secretaries: The names of its secretaries, and their numbers.
    """

    number: int
    name: str
    has_ended: bool
    squads: int
    secretaries: tuple[tuple[int, str], ...]


def see_clubs(store: Store) -> tuple[ClubLine, ...]:
    """List the clubs within the record, those that have ended last."""
    with store.read() as session:
        clubs = load_clubs(session, ended=True)
        counts = Counter(club.number for club in clubs_by_squad(session).values())
        named: dict[int, list[tuple[int, str]]] = defaultdict(list)
        for club, number, name in session.execute(
            select(ClubSecretaryRow.club_id, PersonRow.id, PersonRow.name)
            .join(PersonRow, PersonRow.id == ClubSecretaryRow.person_id)
            .order_by(PersonRow.name)
        ):
            named[club].append((number, name))
        return tuple(
            ClubLine(
                club.number,
                club.name,
                club.has_ended,
                counts[club.number],
                tuple(named[club.number]),
            )
            for club in sorted(clubs, key=lambda one: one.has_ended)
        )


def has_clubs(store: Store) -> bool:
    """Tell whether the record names clubs within it."""
    with store.read() as session:
        return bool(load_clubs(session, ended=True))


def name_club(store: Store, name: str) -> None:
    """Add a club; one that has ended takes part again.

    Raises:
        FaultyInputError: If the name cannot be told from another one's.
    """
    with store.write() as session:
        add_club(session, name)
        describe_change(session, _("%(club)s shares the ground", club=name))


def name_club_anew(store: Store, number: int, name: str, now: datetime) -> None:
    """Let a club be called otherwise, and its squads with it.

    Raises:
        FaultyInputError: If the name cannot be told from another one's.
        MissingError: If there is no such club.
    """
    with store.write() as session:
        was = load_club_within(session, number).name
        rename_club(session, number, name, now)
        describe_change(session, _("%(was)s are called %(name)s", was=was, name=name))


def let_club_end(store: Store, number: int, now: datetime) -> str:
    """Let a club take part no longer: its secretaries come in no more. Return its name.

    Raises:
        FaultyInputError: If squads of it go on.
        MissingError: If there is no such club.
    """
    with store.write() as session:
        name = end_club(session, number, now)
        describe_change(session, _("%(club)s takes part no longer", club=name))
        return name
