"""What can be said to a coach whose squad goes without in the plan that is published."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import MissingError
from clubplanner.services.proposals.kept_proposals import last_weekly
from clubplanner.services.proposals.kept_reasons import refusals_shown, told_together
from clubplanner.services.rows.seasons.stretches import stretch_of

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.kept_reasons import RefusalsTold


def going_without(
    session: Session, squads: Collection[str], today: date
) -> tuple[RefusalsTold, ...]:
    """Tell why some squads go without in the weekly plan of today's stretch, and what would help.

    Args:
        session: An open session.
        squads: Names of the squads.
        today: The present date.

    Returns:
        Nothing where no stretch is on, or no plan of it is published.
    """
    try:
        stretch = stretch_of(session, today)
    except MissingError:
        return ()
    proposal = last_weekly(session, stretch)
    if proposal is None:
        return ()
    kept = [one for one in proposal.saved["refusals"] if one["squad_name"] in squads]
    return told_together(refusals_shown(kept))
