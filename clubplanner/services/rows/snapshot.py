"""From rows to frozen values, and back for the parts that are stored as JSON."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from sqlalchemy import Text, cast, select
from sqlalchemy.orm import selectinload

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import rules_from_json
from clubplanner.domain.club.squads import Ask, AskWish, LeastGround, Partner, Squad
from clubplanner.domain.times.seasons import Break, Stretch
from clubplanner.domain.times.times import TimeRange, Window
from clubplanner.errors import NoClubError
from clubplanner.services.rows.coach_rows import coaches_of
from clubplanner.services.rows.ground.ground_values import load_venues as load_venues
from clubplanner.services.rows.ground.ground_values import pitch_from_row as pitch_from_row
from clubplanner.services.rows.ground.ground_values import venue_from_row as venue_from_row
from clubplanner.services.rows.ground.ground_values import windows_from_json
from clubplanner.services.rows.remembered import Remembered
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import BreakRow, ClubRow, StretchRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from clubplanner.store.tables.turn_tables import earlier_name

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from zoneinfo import ZoneInfo

    from sqlalchemy import ColumnElement, Row, Select
    from sqlalchemy.orm import Session


_CLUB = "club row"
AT_ONCE = 10_000
"""Numbers in one query."""
MOST_ASKS = 10_000
"""How many asks are remembered."""
MOST_SQUADS = 10_000
"""How many squads are remembered."""
_OF_SQUAD = (
    SquadRow.key,
    SquadRow.name,
    SquadRow.age_group,
    SquadRow.players,
    SquadRow.goalkeepers,
)
_ASK_PLAIN = (
    AskRow.sessions,
    AskRow.minutes,
    AskRow.least_m2,
    AskRow.least_share,
    AskRow.least_format,
    AskRow.needs_goal,
    AskRow.needs_light,
    AskRow.priority,
    AskRow.latest_finish_min,
    AskRow.rest_days,
    AskRow.most_in_a_row,
)
_ASK_LISTS = (
    AskRow.possible,
    AskRow.preferred,
    AskRow.surfaces,
    AskRow.no_day_before,
    AskRow.no_day_after,
    AskRow.wishes,
    AskRow.partners,
)


@dataclass(frozen=True, slots=True)
class Keys:
    """Keys by numbers in the records: (pitch key, area key) of areas, and those of squads."""

    grounds: Mapping[int, tuple[str, str]]
    squads: Mapping[int, str]


def load_club(session: Session) -> ClubSettings:
    """Return the club's own settings.

    Raises:
        NoClubError: If no club has been loaded yet.
    """
    row = session.get(ClubRow, 1)
    if row is None:
        raise NoClubError
    session.info[_CLUB] = row  # a session forgets rows that nobody holds, and asks for them again
    return ClubSettings(
        row.name,
        row.zone,
        row.step_minutes,
        row.changeover_minutes,
        row.travel_minutes,
        rules_from_json(row.rules),
        row.language,
    )


def load_zone(session: Session) -> ZoneInfo:
    """Return the club's time zone."""
    return load_club(session).time_zone


def load_squads(session: Session) -> tuple[Squad, ...]:
    """Return all squads, in the club's order; read again once they or their coaches changed."""
    return _SQUADS(session)


def load_asks(session: Session) -> tuple[tuple[int, Ask], ...]:
    """Return all asks with their numbers, in the order of the squads; read again once changed."""
    return _ASKS(session)


def load_stretches(session: Session) -> tuple[Stretch, ...]:
    """Return the stretches of the season by date."""
    rows = session.scalars(select(StretchRow).order_by(StretchRow.starts_on))
    return tuple(stretch_from_row(row) for row in rows)


def load_breaks(session: Session) -> tuple[Break, ...]:
    """Return the breaks by date."""
    rows = session.scalars(select(BreakRow).order_by(BreakRow.starts_on))
    return tuple(Break(row.name, row.starts_on, row.ends_on) for row in rows)


def load_bookings(
    session: Session,
    during: TimeRange,
    *purposes: Purpose,
    which: ColumnElement[bool] | None = None,
    most: int | None = None,
    skip: int = 0,
) -> tuple[Booking, ...]:
    """Return the bookings that are not withdrawn and touch a range, by start.

    Args:
        session: An open session.
        during: The range.
        purposes: Only what is booked for one of these; none for whatever is booked.
        which: A further condition on the rows; None for none.
        most: How many, the first ones; None for all.
        skip: How many are left out before these.
    """
    found = session.execute(
        bookings_with_names()
        .where(
            *BookingRow.running_between(during.starts_at, during.ends_at),
            BookingRow.is_withdrawn.is_(False),
            *((BookingRow.purpose.in_(purposes),) if purposes else ()),
            *(() if which is None else (which,)),
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .limit(most)
        .offset(skip or None)
    )
    return tuple(booking_from_columns(session, row) for row in found)


def load_numbered(session: Session, numbers: Collection[int]) -> tuple[Booking, ...]:
    """Return the bookings of these numbers, withdrawn ones too, by start."""
    wanted = sorted(numbers)
    found: list[Booking] = []
    for start in range(0, len(wanted), AT_ONCE):
        chunk = wanted[start : start + AT_ONCE]
        rows = session.execute(bookings_with_names().where(BookingRow.id.in_(chunk)))
        found += [booking_from_columns(session, row) for row in rows]
    return tuple(sorted(found, key=lambda one: (one.during.starts_at, one.number)))


@cache
def bookings_with_names() -> Select[*tuple[Any, ...]]:
    """Return the columns of a booking, with the keys of its ground and its squad.

    Columns, as rows made into objects would take four times as long. The query is made once: making
    it takes longer than asking it.
    """
    return (
        select(*_BOOKING)
        .join(PitchRow, PitchRow.id == BookingRow.pitch_id)
        .join(AreaRow, AreaRow.id == BookingRow.area_id)
        .outerjoin(SquadRow, SquadRow.id == BookingRow.squad_id)
    )


def booking_from_columns(session: Session, row: Sequence[Any]) -> Booking:
    """Read a booking as `booking_from_row` does: under what its squad was called then.

    Args:
        session: An open session.
        row: The columns of `bookings_with_names`.
    """
    (
        number, uid, pitch, area, cells, starts_at, ends_at, purpose, squad, name, written, note,
        is_withdrawn, sequence, changed_at, is_fixed, squad_number,
    ) = row  # fmt: skip
    if squad_number is not None:
        name = earlier_name(session, squad_number, starts_at) or name
    return Booking(
        number, uid, pitch, area, cells, TimeRange(starts_at, ends_at), purpose, squad,
        written if name is None else name, note, is_withdrawn, sequence, changed_at, is_fixed,
        squad_number,
    )  # fmt: skip


_BOOKING = (
    BookingRow.id,
    BookingRow.uid,
    PitchRow.key,
    AreaRow.key,
    BookingRow.cells,
    BookingRow.starts_at,
    BookingRow.ends_at,
    BookingRow.purpose,
    SquadRow.key,
    SquadRow.name,
    BookingRow.written_holder,
    BookingRow.note,
    BookingRow.is_withdrawn,
    BookingRow.sequence,
    BookingRow.changed_at,
    BookingRow.is_fixed,
    BookingRow.squad_id,
)


WITH_NAMES = (
    selectinload(BookingRow.pitch),
    selectinload(BookingRow.area),
    selectinload(BookingRow.squad),
)
"""Loads what `booking_from_row` reads, in one query each."""


def squad_from_row(row: SquadRow | Row[Any], coaches: Sequence[Coach]) -> Squad:
    """Read a squad.

    Args:
        row: The squad.
        coaches: Its coaches, the first one first.
    """
    return _squad(tuple(getattr(row, one.key) for one in _OF_SQUAD), tuple(coaches))


def _read_squads(session: Session) -> tuple[Squad, ...]:
    rows = session.execute(
        select(SquadRow.id, *_OF_SQUAD).order_by(SquadRow.position, SquadRow.id)
    ).all()
    coaches = coaches_of(session)
    return tuple(_squad(tuple(stored), coaches.get(number, ())) for number, *stored in rows)


@lru_cache(maxsize=MOST_SQUADS)
def _squad(stored: tuple[Any, ...], coaches: tuple[Coach, ...]) -> Squad:
    """Make a squad of what is stored of it, once as long as that and its coaches are the same."""
    key, name, age_group, players, goalkeepers = stored
    first = coaches[0] if coaches else Coach("")
    return Squad(
        key,
        name,
        age_group,
        players,
        goalkeepers,
        first.name,
        first.email,
        first.phone,
        first.number,
        coaches[1:],
    )


def _read_asks(session: Session) -> tuple[tuple[int, Ask], ...]:
    rows = session.execute(
        select(AskRow.id, SquadRow.key, *_ASK_PLAIN, *(cast(one, Text) for one in _ASK_LISTS))
        .join(AskRow.squad)
        .order_by(SquadRow.position, AskRow.id)
    )
    return tuple((number, _ask(*stored)) for number, *stored in rows)


_SQUADS, _ASKS = Remembered(_read_squads), Remembered(_read_asks)


@lru_cache(maxsize=MOST_ASKS)
def _ask(squad_key: str, *stored: Any) -> Ask:
    """Make an ask of what is stored of it; lists as text, so that the same is made once.

    A council's asks are thousands, of which a change touches one.
    """
    plain, lists = stored[: len(_ASK_PLAIN)], stored[len(_ASK_PLAIN) :]
    values = {one.key: value for one, value in zip(_ASK_PLAIN, plain, strict=True)}
    read = {one.key: json.loads(text) for one, text in zip(_ASK_LISTS, lists, strict=True)}
    least = [values.pop(name) for name in ("least_m2", "least_share", "least_format")]
    return Ask(
        squad_key=squad_key,
        possible=windows_from_json(read["possible"]),
        preferred=windows_from_json(read["preferred"]),
        least_ground=LeastGround(*least),
        surfaces=frozenset(read["surfaces"]),
        no_day_before=frozenset(read["no_day_before"]),
        no_day_after=frozenset(read["no_day_after"]),
        wishes=tuple(
            AskWish(grade, windows_from_json(windows), tuple(days), place)
            for grade, windows, days, place in read["wishes"]
        ),
        partners=tuple(Partner(*item) for item in read["partners"]),
        **values,
    )


def stretch_from_row(row: StretchRow) -> Stretch:
    """Read a stretch."""
    return Stretch(row.key, row.name, row.starts_on, row.ends_on)


def booking_from_row(row: BookingRow, known: Keys | None = None) -> Booking:
    """Read a booking.

    Args:
        row: The booking.
        known: Keys that need not be read from the records; None for none.
    """
    ground = None if known is None else known.grounds.get(row.area_id)
    squad = None if known is None or row.squad_id is None else known.squads.get(row.squad_id)
    if ground is None:
        ground = row.pitch.key, row.area.key
    if squad is None and row.squad is not None:
        squad = row.squad.key
    return Booking(
        number=row.id,
        uid=row.uid,
        pitch_key=ground[0],
        area_key=ground[1],
        cells=row.cells,
        during=TimeRange(row.starts_at, row.ends_at),
        purpose=row.purpose,
        squad_key=squad,
        holder=row.holder,
        note=row.note,
        is_withdrawn=row.is_withdrawn,
        sequence=row.sequence,
        changed_at=row.changed_at,
        is_fixed=row.is_fixed,
        squad_number=row.squad_id,
    )


def windows_as_json(windows: tuple[Window, ...]) -> list[list[int]]:
    """Write windows as they are stored."""
    return [[window.weekday, window.start_min, window.end_min] for window in windows]
