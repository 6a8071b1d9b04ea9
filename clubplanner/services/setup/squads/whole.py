"""Squads with what they ask for as values, for whoever types no words: read, and written.

Written they are in the words of the squads file, so that one reader judges them
(`squad_forms.save_squad`).
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.errors import MissingError
from clubplanner.inputs.club_files.squads_file.squad_rows import no_ask, row_of_ask, row_of_squad
from clubplanner.inputs.club_files.squads_file.squads import CLUB
from clubplanner.language import _
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_asks, load_club, load_squads
from clubplanner.services.setup.squads.chosen_coach import ChosenCoaches
from clubplanner.services.setup.squads.forms import save_squad, squads_with_clubs, stand_of_squad
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class WholeSquad:
    """A squad with all that the secretary keeps of it.

    Attributes:
        squad: The squad, its club's name in it.
        asks: What it asks for.
        ends_on: The first date without it; None where it goes on.
        position: Its place in the club's order.
        stand: What stands now, as a digest: who changes it hands that back.
    """

    squad: Squad
    asks: tuple[Ask, ...]
    ends_on: date | None
    position: int
    stand: str = ""


def list_whole_squads(store: Store, keys: Collection[str] | None = None) -> tuple[WholeSquad, ...]:
    """List squads in the club's order; to the secretary of a club theirs.

    Args:
        store: The database.
        keys: Only these; None for all.
    """
    with store.read() as session:
        load_club(session)
        return tuple(_whole_squads(session, keys))


def see_whole_squad(store: Store, key: str, keys: Collection[str] | None = None) -> WholeSquad:
    """Return one squad.

    Args:
        store: The database.
        key: Which.
        keys: It has to be one of these; None for any.

    Raises:
        MissingError: If there is no such squad.
    """
    with store.read() as session:
        load_club(session)
        wanted = {key} if keys is None else {key} & set(keys)
        found = next(iter(_whole_squads(session, wanted)), None)
        if found is None:
            raise MissingError(_("There is no squad of this name."))
        return WholeSquad(
            found.squad,
            found.asks,
            found.ends_on,
            found.position,
            stand_of_squad(session, key),
        )


def save_whole_squad(
    store: Store,
    key: str,
    squad: Squad,
    asks: Sequence[Ask],
    stand: str,
    now: datetime,
    coach_is: str = "",
    first_coach: int | None = None,
) -> str:
    """Write a squad and what it asks for; return its key, which follows its name.

    Args:
        store: The database.
        key: Which squad; blank for a new one.
        squad: What it shall be; its key is not looked at.
        asks: What it asks for; empty for nothing.
        stand: The stand that was seen; blank for a new one.
        now: The present instant.
        coach_is: As `save_squad` takes it.
        first_coach: Number of the person who answers for it; None where it is as written.

    Raises:
        FaultyInputError: With every fault; `where` as `save_squad` tells it.
        MissingError: If the squad is gone.
        OutdatedError: If somebody changed it since it was seen.
    """
    with store.read() as session:
        names = {one.key: one.name for one in load_squads(session)}
    rows = [row_of_ask(ask, names) for ask in asks] or [no_ask()]
    chosen = ChosenCoaches("" if first_coach is None else str(first_coach))
    cells = {CLUB: "", **row_of_squad(squad)}
    return save_squad(store, key, cells, rows, stand, now, coach_is, chosen)


def _whole_squads(session: Session, keys: Collection[str] | None) -> list[WholeSquad]:
    own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
    asks: dict[str, list[Ask]] = defaultdict(list)
    for _unused, ask in load_asks(session):
        asks[ask.squad_key].append(ask)
    ends = dict(
        session.execute(select(SquadRow.key, SquadEndRow.from_day).join(SquadEndRow.squad)).all()
    )
    return [
        WholeSquad(one, tuple(asks[one.key]), ends.get(one.key), position)
        for position, one in enumerate(squads_with_clubs(session))
        if one.key in own and (keys is None or one.key in keys)
    ]
