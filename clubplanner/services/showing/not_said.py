"""What nobody has said yet, and what follows from it: goals not recorded, venues without a place.

What is not known never decides silently who goes without: `domain/ground/grounds.py` treats goals
that are not recorded as not known (`may_have_goal`), and the pages that lead to a share-out tell it
with these sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.language import _, ngettext
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class NotSaid:
    """Something that is not known.

    Attributes:
        words: What it is, and what follows from it.
        venue_key: The venue to whose form it belongs; blank where it belongs to pitches.
        pitch_key: The first pitch whose form could say it, with its venue in `venue_key`; blank
            where it belongs to a venue.
    """

    words: str
    venue_key: str
    pitch_key: str = ""


def list_not_said(store: Store) -> tuple[NotSaid, ...]:
    """List what nobody has said yet and a share-out would have to know."""
    with store.read() as session:
        return (*_goals(session), *_places(session))


def goals_not_said(session: Session, placed: Iterable[tuple[str, str, str]]) -> tuple[NotSaid, ...]:
    """Tell of squads that need a goal and were placed where nobody has said whether one stands.

    Args:
        session: A reading session.
        placed: By session of a plan, key of the pitch, key of the ask and name of the squad.

    Returns:
        One for each such pitch, in the order of the plan.
    """
    needing = {
        str(number) for number in session.scalars(select(AskRow.id).where(AskRow.needs_goal))
    }
    pitches = session.execute(
        select(PitchRow.key, PitchRow.name, VenueRow.key, PitchRow.goals).join(PitchRow.venue)
    )
    names = {key: (name, venue) for key, name, venue, goals in pitches if goals is None}
    squads: dict[str, dict[str, None]] = {}
    for pitch, ask, squad in placed:
        if pitch in names and ask in needing:
            squads.setdefault(pitch, {})[squad] = None
    return tuple(
        NotSaid(
            ngettext(
                "%(squads)s needs a goal and was placed on %(pitch)s, where nobody has said yet "
                "whether one stands.",
                "%(squads)s need a goal and were placed on %(pitch)s, where nobody has said yet "
                "whether one stands.",
                len(found),
                squads=_some(list(found)),
                pitch=names[pitch][0],
            ),
            names[pitch][1],
            pitch,
        )
        for pitch, found in squads.items()
    )


def _goals(session: Session) -> tuple[NotSaid, ...]:
    asking = session.scalar(
        select(func.count(AskRow.squad_id.distinct())).where(AskRow.needs_goal.is_(True))
    )
    if not asking:
        return ()
    pitches = session.execute(
        select(VenueRow.key, PitchRow.key, PitchRow.name, PitchRow.goals)
        .join(PitchRow.venue)
        .order_by(VenueRow.position, PitchRow.position)
    ).all()
    open_ones = [row for row in pitches if row.goals is None]
    if open_ones:
        words = ngettext(
            "Where goals stand is not recorded for %(pitches)s. %(num)s squad needs a goal; until "
            "it is recorded, it may be placed there.",
            "Where goals stand is not recorded for %(pitches)s. %(num)s squads need a goal; until "
            "it is recorded, they may be placed there.",
            asking,
            pitches=_some([row.name for row in open_ones]),
        )
        return (NotSaid(words, open_ones[0][0], open_ones[0][1]),)
    if pitches and not any(row.goals for row in pitches):
        words = ngettext(
            "As recorded no goal stands on any pitch: %(num)s squad that needs one gets no ground.",
            "As recorded no goal stands on any pitch: %(num)s squads that need one get no ground.",
            asking,
        )
        return (NotSaid(words, pitches[0][0], pitches[0][1]),)
    return ()


def places_not_said(session: Session, placed: Iterable[str]) -> tuple[NotSaid, ...]:
    """Tell of unlit ground of a plan of which nobody can say when it gets dark there.

    Args:
        session: A reading session.
        placed: Keys of the pitches of the plan's sessions.
    """
    return _places(session, frozenset(placed))


def _places(session: Session, pitches: frozenset[str] | None = None) -> tuple[NotSaid, ...]:
    unlit = session.execute(
        select(PitchRow.key, VenueRow.key, VenueRow.name)
        .join(VenueRow.pitches)
        .where(VenueRow.lon.is_(None), PitchRow.is_lit.is_(False), PitchRow.is_indoor.is_(False))
        .order_by(VenueRow.position)
    ).all()
    venues = {venue: name for key, venue, name in unlit if pitches is None or key in pitches}
    if not venues:
        return ()
    words = _(
        "Nobody has said yet where %(venues)s lies: when it gets dark there is not known, and "
        "sessions on unlit ground may be placed after dark.",
        venues=_some(list(venues.values())),
    )
    return (NotSaid(words, next(iter(venues))),)


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    words = ", ".join(names[:MOST_NAMED])
    return _("%(names)s and %(more)s more", names=words, more=more) if more > 0 else words
