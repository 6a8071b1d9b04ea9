"""What nobody has said yet, and what follows from it: goals, places, when the young are home.

What is not known never decides silently who goes without: `domain/ground/grounds.py` treats goals
that are not recorded as not known (`may_have_goal`), and the pages that lead to a share-out tell it
with these sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import _, ngettext
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_club
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow, SquadEndRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

MOST_NAMED = 4
YOUNG = 12
"""Up to this age it is told when nobody has said by when a squad is to finish."""
LATE_MIN = 20 * 60
"""What is late for them; common practice, no source."""


@dataclass(frozen=True, slots=True)
class NotSaid:
    """Something that is not known.

    Attributes:
        words: What it is, and what follows from it.
        venue_key: The venue to whose form it belongs; blank where it belongs to the club's rules.
        pitch_key: The first pitch whose form could say it, with its venue in `venue_key`; blank
            where it belongs to a venue or to the rules.
    """

    words: str
    venue_key: str = ""
    pitch_key: str = ""


def list_not_said(store: Store) -> tuple[NotSaid, ...]:
    """List what nobody has said yet and a share-out would have to know."""
    with store.read() as session:
        return (*_goals(session), *_places(session), *_late(session))


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


def _late(session: Session) -> tuple[NotSaid, ...]:
    """Tell of young squads that could be given a late time, as nobody has said how long they may.

    Also of those that prefer an earlier one: a wish may not be granted.
    """
    if session.get(ClubRow, 1) is None:
        return ()
    rules = load_club(session).rules
    asks = session.execute(
        select(SquadRow.name, SquadRow.age_group, AskRow.possible)
        .join(AskRow.squad)
        .outerjoin(SquadEndRow, SquadEndRow.squad_id == SquadRow.id)
        .where(AskRow.latest_finish_min.is_(None), SquadEndRow.squad_id.is_(None))
        .where(AskRow.sessions > 0, *own_squads(session))
        .order_by(SquadRow.position, SquadRow.id)
    )
    late: dict[str, int] = {}
    for name, group, possible in asks:
        years = age_from_group(group)
        if years is None or years > YOUNG or rules.for_age(years).latest_finish_min is not None:
            continue
        end = max((window[2] for window in possible), default=0)
        if end > LATE_MIN:
            late[name] = max(end, late.get(name, 0))
    if not late:
        return ()
    words = ngettext(
        "Nobody has said by when the young are to finish: as it asks, %(squads)s may get a time "
        "that ends at %(end)s.",
        "Nobody has said by when the young are to finish: as they ask, %(squads)s may get a time "
        "that ends at %(end)s.",
        len(late),
        squads=_some(list(late)),
        end=clock_from_minute(max(late.values())),
    )
    return (NotSaid(words),)


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    words = ", ".join(names[:MOST_NAMED])
    return _("%(names)s and %(more)s more", names=words, more=more) if more > 0 else words
