"""How squads were served in the stretches before a date, for the next share-out to make good."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select
from sqlalchemy.orm import joinedload

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.fair import balances
from clubplanner.domain.times.times import MINUTES_A_DAY, instant_from_wall
from clubplanner.services.proposals.proposals import Sort, saved_percent
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.club_tables import StretchRow
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session


@dataclass(slots=True)
class _Served:
    """Percent times weeks, and the weeks they were gathered in."""

    points: float = 0.0
    weeks: float = 0.0


def past_balances(session: Session, before: date) -> dict[str, float]:
    """Return by how many percent points each squad was served better than the average squad.

    A squad's percent in a stretch is what its published share-out gave it of what it could have
    had alone, times the part of its sessions that was not withdrawn since (closures, matches).
    Stretches count by the weeks of them that lie before the date. What a squad had that went on in
    another one counts for that one.

    Args:
        session: A reading session.
        before: First date of what is to be shared out next.

    Returns:
        By squad key, negative for worse; empty where nothing was published before.
    """
    served: dict[str, _Served] = defaultdict(_Served)
    zone = load_zone(session)
    heirs = _heirs(session, before)
    for stretch, row in _published_before(session, before):
        last = min(stretch.ends_on.toordinal() + 1, before.toordinal())
        weeks = (last - stretch.starts_on.toordinal()) / 7
        kept = _kept_parts(
            session,
            instant_from_wall(stretch.starts_on, 0, zone),
            min(
                instant_from_wall(stretch.ends_on, MINUTES_A_DAY, zone),
                instant_from_wall(before, 0, zone),
            ),
        )
        for entry in row.outcome["satisfactions"]:
            squad = served[heirs.get(entry["squad"], entry["squad"])]
            squad.points += saved_percent(entry) * kept.get(entry["squad"], 1.0) * weeks
            squad.weeks += weeks
    return balances({key: one.points / one.weeks for key, one in served.items() if one.weeks > 0})


def _heirs(session: Session, before: date) -> dict[str, str]:
    """Return which squads those go on in that have ended by a date, by their keys."""
    rows = session.scalars(
        select(SquadEndRow).where(
            SquadEndRow.goes_on_in_id.is_not(None), SquadEndRow.from_day <= before
        )
    )
    into = {row.squad_id: row.goes_on_in_id or row.squad_id for row in rows}
    keys = {row.id: row.key for row in session.execute(select(SquadRow.id, SquadRow.key))}
    heirs = {}
    for squad_id in into:
        heir = squad_id
        for _step in into:  # a circle, made by dates that cross, ends where it began
            heir = into.get(heir, heir)
        heirs[keys[squad_id]] = keys[heir]
    return heirs


def _published_before(session: Session, before: date) -> list[tuple[StretchRow, ShareOutRow]]:
    """Return the last published share-out of each stretch that began before a date."""
    found = session.execute(
        select(ShareOutRow.stretch_id, ShareOutRow.id)
        .join(ShareOutRow.stretch)
        .where(
            ShareOutRow.published_at.is_not(None),
            ShareOutRow.sort == Sort.STRETCH.value,
            StretchRow.starts_on < before,
        )
        .order_by(ShareOutRow.published_at, ShareOutRow.id)
    )
    latest = {stretch: number for stretch, number in found}  # noqa: C416 - the last one stays
    rows = session.scalars(
        select(ShareOutRow)
        .where(ShareOutRow.id.in_(latest.values()))
        .options(joinedload(ShareOutRow.stretch))
    )
    by_number = {row.id: row for row in rows}
    chosen = (by_number[number] for number in latest.values())
    return [(row.stretch, row) for row in chosen if row.stretch is not None]


def _kept_parts(session: Session, first: datetime, last: datetime) -> dict[str, float]:
    """Return which part of its training in a time each squad kept."""
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    numbers = (
        select(
            BookingRow.squad_id, BookingRow.is_withdrawn, func.count(BookingRow.id).label("number")
        )
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.starts_at >= first,
            BookingRow.starts_at < last,
        )
        .group_by(BookingRow.squad_id, BookingRow.is_withdrawn)
        .subquery()
    )
    rows = session.execute(
        select(SquadRow.key, numbers.c.is_withdrawn, numbers.c.number).join(
            SquadRow, SquadRow.id == numbers.c.squad_id
        )
    )
    for key, is_withdrawn, number in rows:
        counts[key][int(is_withdrawn)] += number
    return {key: kept / (kept + lost) for key, (kept, lost) in counts.items()}
