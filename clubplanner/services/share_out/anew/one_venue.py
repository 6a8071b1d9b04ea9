"""One venue shared out alone: whatever a plan has elsewhere stands where it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposals import Sort
from clubplanner.sharing.parts.cutting import plan_of, sessions_of
from clubplanner.store.tables.booking_tables import ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.proposals.proposals import ProposedSession
    from clubplanner.sharing.values.problem import Ask, Placement, Problem


@dataclass(frozen=True, slots=True)
class AtVenue:
    """A venue's part of a share-out.

    Attributes:
        problem: What can be shared out there, the sessions of its squads elsewhere pinned.
        standing: Every session elsewhere.
        start: Sessions at the venue until now.
    """

    problem: Problem
    standing: tuple[Placement, ...]
    start: tuple[Placement, ...]

    def whole(self, placements: Collection[Placement]) -> tuple[Placement, ...]:
        """Put what was shared out at the venue to all that stands elsewhere."""
        elsewhere = {(item.ask, item.session) for item in self.standing}
        wanted = {ask.key for ask in self.problem.asks if ask.possible}
        fresh = [
            item
            for item in placements
            if item.ask in wanted and (item.ask, item.session) not in elsewhere
        ]
        return sessions_of(plan_of([*self.standing, *fresh]))


def find_venue_key(venues: Sequence[Venue], wanted: str) -> str:
    """Return the key of the venue that a key or a name means.

    Raises:
        MissingError: If there is none.
    """
    for venue in venues:
        if wanted.casefold() in (venue.key.casefold(), venue.name.casefold()):
            return venue.key
    raise MissingError(
        _(
            "There is no venue %(wanted)s; there are %(names)s.",
            wanted=wanted,
            names=", ".join(venue.name for venue in venues),
        )
    )


def published_sessions(session: Session, stretch: Stretch) -> tuple[ProposedSession, ...]:
    """Return the sessions of the proposal of a stretch that was published last; none for none."""
    number = session.scalar(
        select(ShareOutRow.id)
        .join(ShareOutRow.stretch)
        .where(StretchRow.key == stretch.key)
        .where(ShareOutRow.sort == Sort.STRETCH.value)
        .where(ShareOutRow.published_at.is_not(None))
        .order_by(ShareOutRow.published_at.desc(), ShareOutRow.id.desc())
        .limit(1)
    )
    return () if number is None else load_proposal(session, number).sessions


def only_at(problem: Problem, venue: str, plan: Sequence[Placement]) -> AtVenue:
    """Leave of a problem what can be shared out at one venue.

    Args:
        problem: The problem of the whole.
        venue: Key of the venue.
        plan: Everybody's sessions until now.

    Raises:
        RefusedError: If nobody who lacks a session elsewhere could be there.
    """
    venue_of = {ground.key: ground.venue for ground in problem.grounds}
    elsewhere = plan_of([item for item in plan if venue_of[item.ground] != venue])
    free = {
        ask.key
        for ask in problem.asks
        if (not ask.venues or venue in ask.venues)
        and len(elsewhere.get(ask.key, ())) < ask.sessions
    }
    if not free:
        raise RefusedError(
            _("Every squad that may be at this venue has all its sessions at others.")
        )
    persons = {p for ask in problem.asks if ask.key in free for p in (ask.squad, ask.coach) if p}
    asks: list[Ask] = []
    for ask in problem.asks:
        own = elsewhere.get(ask.key, ())
        if ask.key in free:
            asks.append(replace(ask, venues=frozenset({venue}), pinned=own))
        elif own and {ask.squad, ask.coach} & persons:
            pinned = tuple(replace(item, session=n) for n, item in enumerate(own))
            asks.append(replace(ask, sessions=len(own), pinned=pinned, possible=()))
    squads = {ask.squad for ask in asks}
    pairs = tuple(p for p in problem.pairs if p.squad in squads and p.other in squads)
    return AtVenue(
        problem=replace(problem, asks=tuple(asks), pairs=pairs),
        standing=sessions_of(elsewhere),
        start=tuple(item for item in plan if item.ask in free and venue_of[item.ground] == venue),
    )
