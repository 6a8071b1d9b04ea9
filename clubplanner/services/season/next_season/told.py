"""What making the next season does, ends and loses, said before anybody presses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.times.times import instant_from_wall, short_day
from clubplanner.language import _, ngettext
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.season.next_season.values import Fate, NewSquad, SquadNext
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

MOST_NAMES = 6
"""Squads named in one sentence; more are counted."""


def tell_squads(squads: Sequence[SquadNext], begin: Sequence[NewSquad]) -> Iterator[str]:
    """Yield what becomes of the squads and of their addresses."""
    renamed = [s for s in squads if s.fate.goes_on and s.becomes != s.name]
    if renamed:
        yield ngettext(
            "%(num)s squad gets another name; its calendars, sheets and mails follow it.",
            "%(num)s squads get other names; their calendars, sheets and mails follow them.",
            len(renamed),
        )
    ending = [s for s in squads if s.fate is Fate.ENDS]
    if ending:
        yield _(
            "%(names)s end: what they had stays in the records, and nothing is asked for them.",
            names=_listed(ending),
        )
    names = {squad.number: squad.becomes for squad in squads}
    for squad in squads:
        if squad.fate is Fate.MERGES and squad.into in names:
            yield _(
                "%(squad)s go on in %(other)s, who take their past, their coaches and, where these "
                "go on, their addresses. Ask whether the number of players is right.",
                squad=squad.name,
                other=names[squad.into],
            )
    new = [one for one in begin if one.name.strip()]
    if new:
        yield _("%(names)s begin.", names=", ".join(one.name for one in new[:MOST_NAMES]))
    yield from _tell_links(squads)


def tell_own_seasons(running: Sequence[SquadRow]) -> Iterator[str]:
    """Yield of which squads the own season cannot be moved yet."""
    if running:
        yield _(
            "A season of its own still runs: %(names)s. Its dates stay; set them on the page of "
            "the year when it is over.",
            names=_listed(running),
        )


def tell_stay(
    session: Session, squads: Collection[SquadNext], starts_on: date | None, now: datetime
) -> Iterator[str]:
    """Yield what stays as it is, what is withdrawn, and what cannot be taken back."""
    if starts_on is None:
        return
    start = instant_from_wall(starts_on, 0, load_zone(session))
    coming = (
        select(func.count(BookingRow.id))
        .join(SquadRow, BookingRow.squad_id == SquadRow.id)
        .where(BookingRow.is_withdrawn.is_(False), BookingRow.starts_at > now)
    )
    left = session.scalar(coming.where(BookingRow.starts_at < start)) or 0
    if left:
        yield ngettext(
            "%(num)s session before %(day)s stays, under the squad's name of today; rules of age "
            "change at once.",
            "%(num)s sessions before %(day)s stay, under the squads' names of today; rules of age "
            "change at once.",
            left,
            day=short_day(starts_on),
        )
    going = [squad.number for squad in squads if squad.fate in (Fate.ENDS, Fate.MERGES)]
    lost = session.scalar(
        coming.where(BookingRow.starts_at >= start, BookingRow.squad_id.in_(going))
    )
    if lost:
        yield ngettext(
            "%(num)s booking of squads that end is withdrawn.",
            "%(num)s bookings of squads that end are withdrawn.",
            lost,
        )
    open_ones = session.scalar(
        select(func.count(ShareOutRow.id)).where(ShareOutRow.published_at.is_(None))
    )
    if open_ones:
        yield ngettext(
            "%(num)s share-out is not published; it stays open, for the dates it was made for.",
            "%(num)s share-outs are not published; they stay open, for the dates they were made "
            "for.",
            open_ones,
        )
    yield _(
        "It can be taken back in one go until it begins, as long as nothing new stands on it: "
        "no share-out of its stretches, no booking, address or coach of a squad that begins."
    )


def _tell_links(squads: Sequence[SquadNext]) -> Iterator[str]:
    on = sum(s.links for s in squads if not s.ends_links)
    end = sum(s.links for s in squads if s.ends_links)
    if on:
        yield ngettext(
            "%(num)s address goes on; whoever has it need do nothing.",
            "%(num)s addresses go on; whoever has one need do nothing.",
            on,
        )
    if end:
        yield ngettext(
            "%(num)s address ends: it opens nothing any more, and a new one has to be handed out.",
            "%(num)s addresses end: they open nothing any more, and new ones have to be handed "
            "out.",
            end,
        )


def _listed(squads: Sequence[SquadNext] | Sequence[SquadRow]) -> str:
    words = ", ".join(squad.name for squad in squads[:MOST_NAMES])
    if len(squads) > MOST_NAMES:
        words += " " + _("and %(more)s more", more=len(squads) - MOST_NAMES)
    return words
