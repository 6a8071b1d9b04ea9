"""The squads page: who there is, what they ask for, what they have."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.times.times import day_in_short
from clubplanner.domain.times.windows import told_days, write_windows
from clubplanner.language import _
from clubplanner.services.rows.own_club import is_held, load_clubs, own_squads
from clubplanner.services.rows.snapshot import load_asks, load_club, load_squads
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SquadShown:
    """A squad in the list.

    Attributes:
        squad: The squad.
        asks: What it asks for, a sentence an ask.
        coming: How many bookings it has ahead.
        links: How many addresses of it are in use.
        ends_on: The first date without it; None where it does not end.
    """

    squad: Squad
    asks: tuple[str, ...]
    coming: int
    links: int
    ends_on: date | None = None

    @property
    def ends(self) -> str:
        """The first date without it, short; blank where it does not end."""
        return "" if self.ends_on is None else day_in_short(self.ends_on)


@dataclass(frozen=True, slots=True)
class SquadsPage:
    """What the squads page shows; to the office also whether the record names clubs within it."""

    club_name: str
    squads: tuple[SquadShown, ...]
    names_clubs: bool = False


def see_squads(store: Store, now: datetime) -> SquadsPage:
    """List the squads.

    Raises:
        MissingError: If no club has been loaded yet.
    """
    with store.read() as session:
        club = load_club(session)
        asks = [ask for _unused, ask in load_asks(session)]
        coming = _counts(
            session,
            select(SquadRow.key, func.count(BookingRow.id))
            .join(BookingRow, BookingRow.squad_id == SquadRow.id)
            .where(BookingRow.is_withdrawn.is_(False), *BookingRow.not_over(now))
            .group_by(SquadRow.key),
        )
        links = _counts(
            session,
            select(SquadRow.key, func.count(LinkRow.id))
            .join(LinkRow, LinkRow.squad_id == SquadRow.id)
            .where(LinkRow.revoked_at.is_(None))
            .group_by(SquadRow.key),
        )
        query = select(SquadRow.key, SquadEndRow.from_day).join(SquadEndRow.squad)
        ends = dict(session.execute(query).all())
        own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
        shown = tuple(
            SquadShown(
                squad,
                tuple(ask_in_words(ask) for ask in asks if ask.squad_key == squad.key),
                coming.get(squad.key, 0),
                links.get(squad.key, 0),
                ends.get(squad.key),
            )
            for squad in load_squads(session)
            if squad.key in own
        )
        names_clubs = not is_held(session) and bool(load_clubs(session))
    return SquadsPage(club.name, shown, names_clubs)


def ask_in_words(ask: Ask) -> str:
    """Write an ask as a sentence: "2 × 75 min, Mon 17:30-20:00; …"."""
    return _(
        "%(sessions)s × %(minutes)s min, %(possible)s",
        sessions=ask.sessions,
        minutes=ask.minutes,
        possible=told_days(write_windows(ask.possible)),
    )


def _counts(session: Session, query: Select[str, int]) -> dict[str, int]:
    return dict(session.execute(query).all())
