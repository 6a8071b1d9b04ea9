"""What has fallen away from a proposal since it was made, because a squad ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.language import ngettext
from clubplanner.services.rows.seasons.squad_seasons import load_squad_ends
from clubplanner.services.showing.states.squad_endings import ending_in_words
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.proposals import Proposal


def tell_fallen_away(session: Session, proposal: Proposal) -> tuple[str, ...]:
    """Say which squads end before or within a proposal that is not published, a sentence each.

    Their sessions from then on are not booked when it is published; the ground stays free.
    """
    ends = load_squad_ends(session)
    if proposal.published_at is not None or not ends:
        return ()
    squads = session.scalars(select(SquadRow).where(SquadRow.id.in_(ends)))
    found = []
    for squad in squads:
        end = ends[squad.id]
        count = sum(
            day >= end.from_day
            for item in proposal.sessions
            if item.squad == squad.key
            for day in item.dates
        )
        if count:
            words = ngettext(
                "%(ending)s. One session of theirs falls away from this proposal.",
                "%(ending)s. %(num)s sessions of theirs fall away from this proposal.",
                count,
                ending=ending_in_words(squad.name, end),
            )
            found.append(words)
    return tuple(found)
