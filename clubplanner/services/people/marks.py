"""How much waits for somebody, for a mark on their pages: looked up with every page, so cheaply."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select
from sqlalchemy.orm import aliased

from clubplanner.domain.booked.waiting import AskState, SwapState
from clubplanner.domain.club.people import Role
from clubplanner.services.rows.own_club import own_people, own_squads
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.people_tables import SignInRow
from clubplanner.store.tables.season_tables import SwapOfferRow, WaitingAskRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from datetime import datetime
    from typing import Any

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.store.engine import Store


_OWN, _OTHER = aliased(BookingRow), aliased(BookingRow)
_OFFERS = (  # made once: it takes longer to make than to ask
    select(func.count(SwapOfferRow.id))
    .join(_OWN, _OWN.id == SwapOfferRow.own_id)
    .join(_OTHER, _OTHER.id == SwapOfferRow.other_id)
    .join(SquadRow, SquadRow.id == _OTHER.squad_id)
    .where(SwapOfferRow.state == SwapState.OFFERED.value)
    .where(_OWN.is_withdrawn.is_(False), _OTHER.is_withdrawn.is_(False))
)


@dataclass(frozen=True, slots=True)
class Marks:
    """What waits for somebody.

    Attributes:
        offers: Offers to change places: to a coach's squads, all that stand for the secretary.
        asks: Asks that wait; for the secretary alone.
        requests: People who want to be let in and have no answer; for the secretary alone.
    """

    offers: int = 0
    asks: int = 0
    requests: int = 0

    def __bool__(self) -> bool:
        """Tell whether anything waits."""
        return bool(self.offers or self.asks or self.requests)


def marks_for(store: Store, person: Person, now: datetime) -> Marks:
    """Return what waits for somebody, in one statement."""
    if person.role is Role.GROUNDSKEEPER:
        return Marks()
    with store.read() as session:
        if not person.keeps_squads:
            of_theirs = SquadRow.key.in_(sorted(person.squad_keys))
            return Marks(_count(session, _offers(now).where(of_theirs)))
        asks = select(func.count(WaitingAskRow.id)).where(
            WaitingAskRow.state == AskState.WAITING.value,
            WaitingAskRow.day >= now.date(),
            *own_squads(session, WaitingAskRow.squad_id),
        )
        requests = select(func.count(SignInRow.id)).where(
            SignInRow.browser_hash.is_not(None),
            SignInRow.secret_hash.is_(None),
            SignInRow.ends_at > now,
            *own_people(session, SignInRow.person_id),
        )
        offers = _offers(now).where(*own_squads(session))
        queries = (offers, asks, requests)
        offered, waiting, asked = session.execute(
            select(*(query.scalar_subquery() for query in queries))
        ).one()
        return Marks(offered, waiting, asked)


def _offers(now: datetime) -> Select[Any]:
    """Return the query for how many offers stand whose sessions have not begun."""
    return _OFFERS.where(_OWN.starts_at > now, _OTHER.starts_at > now)


def _count(session: Session, query: Select[Any]) -> int:
    return session.scalar(query) or 0
