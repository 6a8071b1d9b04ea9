"""Who had which ground for how long, month by month, added up by the database.

A session that reaches over midnight into another month, or out of the report's dates, is cut there:
each part counts where it lies. How many sessions there are is counted where they begin.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import (
    BigInteger,
    Integer,
    case,
    cast,
    column,
    func,
    literal,
    select,
    values,
)

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.reports.report_values import Amount, GroundUse, Place, Use, User, Who
from clubplanner.services.rows.own_club import club_names_by_key, own_squads
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS, BookingRow
from clubplanner.store.tables.columns import Instant, seconds_between
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from sqlalchemy import CTE, ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.services.reports.slices import Slice

LONGEST = timedelta(hours=LONGEST_BOOKING_HOURS)


@dataclass(frozen=True, slots=True)
class AreaOf:
    """Where a booked area lies, and how large it is, in patches."""

    place: Place
    patches: int


def sum_uses(
    session: Session,
    slices: Sequence[Slice],
    areas: Mapping[int, AreaOf],
    users: Mapping[int, User],
) -> tuple[tuple[Use, ...], tuple[GroundUse, ...]]:
    """Return what was booked and not withdrawn, by who and by where; closed ground is no use.

    Both add up to the same. Each by the other would be as many values as there are bookings: a
    year of 2,000 squads on 300 pitches has half a million.

    Args:
        session: A reading session; who is held to a club's squads gets those.
        slices: Parts of time, none overlapping.
        areas: Every area by its number.
        users: Squads by their numbers.

    Returns:
        One for each user, purpose and part of time that has anything, and one for each pitch.
    """
    by_user: dict[tuple[int, Purpose, int | None, str], list[int]] = {}
    by_place: dict[tuple[int, Purpose, str], list[int]] = {}
    places = {of.place.pitch_key: of.place for of in areas.values()}
    for part, area, squad, purpose, name, seconds, begun in _summed(session, slices):
        of = areas[area]
        for row in (
            by_user.setdefault((part, purpose, squad, name), [0, 0, 0]),
            by_place.setdefault((part, purpose, of.place.pitch_key), [0, 0, 0]),
        ):
            row[0] += seconds
            row[1] += seconds * of.patches
            row[2] += begun
    return (
        tuple(
            Use(
                users[squad] if squad is not None else _user(purpose, name),
                slices[part].month,
                purpose,
                slices[part].is_past,
                Amount(*row),
            )
            for (part, purpose, squad, name), row in by_user.items()
        ),
        tuple(
            GroundUse(
                places[pitch], slices[part].month, purpose, slices[part].is_past, Amount(*row)
            )
            for (part, purpose, pitch), row in by_place.items()
        ),
    )


def _summed(session: Session, slices: Sequence[Slice]) -> Iterable[Any]:
    """Return part of time, area, squad, purpose, who else; seconds, and how many begin."""
    parts = _parts(slices)
    seconds = cast(func.sum(_seconds_within(parts)), BigInteger)
    begun = func.sum(
        case((BookingRow.starts_at >= parts.c.starts_at, literal(1)), else_=literal(0))
    )
    holder = case((BookingRow.squad_id.is_(None), BookingRow.written_holder), else_="").label(
        "holder_of_others"
    )
    kinds = (parts.c.part, BookingRow.area_id, BookingRow.squad_id, BookingRow.purpose, holder)
    query = (
        select(*kinds, seconds, begun)
        .select_from(parts)
        .join(
            BookingRow,
            (BookingRow.starts_at < parts.c.ends_at)
            & (BookingRow.ends_at > parts.c.starts_at)
            & (BookingRow.starts_at > parts.c.earliest),
        )
        .where(
            BookingRow.is_withdrawn.is_(False),
            BookingRow.purpose != Purpose.CLOSED,
            *own_squads(session, BookingRow.squad_id),
        )
        .group_by(*kinds[:4], "holder_of_others")
    )
    return session.execute(query)


def load_users(session: Session) -> dict[int, User]:
    """Return every squad as a user, by its number, in the club's order."""
    clubs = club_names_by_key(session)
    rows = session.execute(
        select(SquadRow.id, SquadRow.key, SquadRow.name, SquadRow.age_group)
        .where(*own_squads(session))
        .order_by(SquadRow.position, SquadRow.id)
    )
    return {
        number: User(Who.SQUAD, key, name, group, clubs.get(key, ""))
        for number, key, name, group in rows
    }


def _user(purpose: Purpose, name: str) -> User:
    kind = Who.HIRER if purpose is Purpose.HIRE else Who.OTHER
    return User(kind, name, name)


def _parts(slices: Sequence[Slice]) -> CTE:
    """Return parts of time as a table, by their place in the list.

    `earliest` bounds the start of what can reach into a part: no booking is longer than the guard
    lets it be, so the index on the start is read from there on, and not all the past.
    """
    return (
        values(
            column("part", Integer),
            column("starts_at", Instant),
            column("ends_at", Instant),
            column("earliest", Instant),
            name="parts",
        )
        .data(
            [
                (number, one.starts_at, one.ends_at, one.starts_at - LONGEST)
                for number, one in enumerate(slices)
            ]
        )
        .cte("parts_asked")
    )


def _seconds_within(parts: CTE) -> ColumnElement[Any]:
    """Return how long a booking is within a part of time."""
    start = case(
        (BookingRow.starts_at < parts.c.starts_at, parts.c.starts_at), else_=BookingRow.starts_at
    )
    end = case((BookingRow.ends_at > parts.c.ends_at, parts.c.ends_at), else_=BookingRow.ends_at)
    return seconds_between(start, end)
