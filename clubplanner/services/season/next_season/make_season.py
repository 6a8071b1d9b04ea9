"""Making the next season: all of it in one transaction, or nothing."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import instant_from_wall, short_day
from clubplanner.errors import FaultyInputError, OutdatedError, RefusedError
from clubplanner.inputs.club_files.squads_file.squads import LONGEST_NAME
from clubplanner.language import _, ngettext
from clubplanner.services.rows.bookings.counting import count_bookings
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.season.next_season.answers import forget_answers
from clubplanner.services.season.next_season.dates import SeasonDates, own_seasons, season_that_ends
from clubplanner.services.season.next_season.looked_through import (
    build_next_season,
    digest_of_page,
    refuse_made,
)
from clubplanner.services.season.next_season.values import Fate, NewSquad, NextSeason, SquadNext
from clubplanner.services.setup.squads.ends import end_squad
from clubplanner.services.setup.squads.names import give_names
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from clubplanner.store.tables.link_tables import LinkRow, SessionLinkRow
from clubplanner.store.tables.run_tables import ShareRunRow
from clubplanner.store.tables.season_tables import TrainingHolidayRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow
from clubplanner.store.tables.turn_tables import SeasonRow, SquadNameRow, forget_earlier_names

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

ASK_COLUMNS = tuple(c.name for c in AskRow.__table__.c if c.name not in ("id", "squad_id"))
LAST_SIGN = timedelta(minutes=5)
"""A run of a share-out that has not shown for longer is dead."""


@dataclass(slots=True)
class _Turn:
    """A season that is being made.

    Attributes:
        session: The open write session.
        page: What was proposed, and corrected.
        dates: The season that ends, and how far it moves.
        season: Its row.
        start: The first instant of its first date.
        now: The present instant.
        today: Its date.
        rows: All squads by their numbers.
        kept: What the journal does not hold; see `SeasonRow`.
    """

    session: Session
    page: NextSeason
    dates: SeasonDates
    season: SeasonRow
    start: datetime
    now: datetime
    today: date
    rows: dict[int, SquadRow]
    kept: dict[str, Any] = field(default_factory=dict)

    @property
    def starts_on(self) -> date:
        """Its first date."""
        return self.season.starts_on


def make_next_season(store: Store, now: datetime, seen: str | None = None) -> str:
    """Make the next season as it is proposed and was corrected.

    Sessions before its first date keep the names that squads have today; whatever begins later has
    the new ones. What was typed about it is forgotten.

    Args:
        store: The database.
        now: The present instant.
        seen: Digest of the proposal that somebody looked at; None to make it unseen.

    Returns:
        What was done, a sentence.

    Raises:
        FaultyInputError: With all that is still asked or does not go together; nothing is changed.
        OutdatedError: If the proposal is another one than was looked at.
        RefusedError: If the next season is made already, or a share-out is being worked on.
    """
    with store.write() as session:
        refuse_made(session, now)
        _refuse_runs(session)
        page = build_next_season(session, now)
        if seen is not None and seen != digest_of_page(page):
            raise OutdatedError(
                _(
                    "The next season has changed since you looked at it. Nothing was made; look "
                    "at it again, then press once more."
                )
            )
        if page.problems or page.starts_on is None:
            raise FaultyInputError(page.problems)
        turn = _begin(session, page, page.starts_on, now)
        _rename(turn)
        _begin_squads(turn)
        _end_squads(turn)
        _settle_addresses(turn)
        _move_own_seasons(turn)
        _add_dates(turn)
        forget_answers(session)
        turn.season.kept = turn.kept
        words = _words(page)
        describe_change(session, words)
        return _("Made: %(words)s.", words=words)


def _begin(session: Session, page: NextSeason, starts_on: date, now: datetime) -> _Turn:
    today = now.astimezone(load_zone(session)).date()
    dates = season_that_ends(session, today)  # of the season before this one is there
    season = SeasonRow(starts_on=starts_on, made_at=now, kept={})
    session.add(season)
    session.flush()
    rows = {row.id: row for row in session.scalars(select(SquadRow))}
    start = instant_from_wall(starts_on, 0, load_zone(session))
    return _Turn(session, page, dates, season, start, now, today, rows)


def _refuse_runs(session: Session) -> None:
    alive = datetime.now(UTC) - LAST_SIGN  # as the machine's clock has it, like the runs' own
    running = select(ShareRunRow.id).where(
        ShareRunRow.ended_at.is_(None), ShareRunRow.seen_at > alive
    )
    if session.scalars(running).first() is not None:
        raise RefusedError(
            _("A share-out is being worked on; wait until it is done, or stop it, then make this.")
        )


def _rename(turn: _Turn) -> None:
    """Give squads their names, ages and numbers; those that are over let go of names in need."""
    session, going = turn.session, [s for s in turn.page.squads if s.fate.goes_on]
    names = {squad.number: squad.becomes.strip() for squad in going}
    wanted = {key_from_name(name) for name in names.values()}
    wanted |= {key_from_name(new.name) for new in _new_squads(turn.page)}
    taken = wanted | {row.key for row in turn.rows.values()}
    for row in turn.rows.values():
        if row.id not in names and row.key in wanted:
            names[row.id] = _free_name(row.name, turn.starts_on.year, taken)
            taken.add(key_from_name(names[row.id]))
    for squad in going:
        row = turn.rows[squad.number]
        row.age_group, row.players = squad.becomes_group.strip(), squad.players
        row.goalkeepers = min(row.goalkeepers, row.players)
    renamed = {n: name for n, name in names.items() if name != turn.rows[n].name}
    session.add_all(
        SquadNameRow(squad_id=n, season_id=turn.season.id, until=turn.start, name=turn.rows[n].name)
        for n in renamed
    )
    give_names(session, renamed)
    forget_earlier_names(session)
    count_bookings(
        session,
        BookingRow.squad_id.in_(renamed) & (BookingRow.starts_at >= turn.start),
        turn.now,
    )


def _free_name(name: str, year: int, taken: set[str]) -> str:
    """Return a name for a squad that is over, so that another one can have its own.

    A long one is cut, so that it is no longer than a squads file takes.
    """

    def ending_in(words: str) -> str:
        return name[: LONGEST_NAME - len(words)].rstrip() + words

    found, n = ending_in(f" ({year})"), 2
    while key_from_name(found) in taken:
        found, n = ending_in(f" ({year}, {n})"), n + 1
    return found


def _begin_squads(turn: _Turn) -> None:
    position = max((row.position for row in turn.rows.values()), default=-1)
    for n, new in enumerate(_new_squads(turn.page), start=1):
        name = new.name.strip()
        row = SquadRow(
            key=key_from_name(name),
            position=position + n,
            name=name,
            age_group=new.shown["group"].strip(),
            players=int(new.shown["players"]),
            goalkeepers=0,
        )
        like = None if new.like is None else turn.rows[new.like]
        row.asks = [] if like is None else [_same_ask(ask) for ask in like.asks]
        turn.session.add(row)
    turn.session.flush()


def _same_ask(ask: AskRow) -> AskRow:
    """Copy an ask; wishes about other squads are its own squad's."""
    return AskRow(**{name: getattr(ask, name) for name in ASK_COLUMNS} | {"partners": []})


def _end_squads(turn: _Turn) -> None:
    coaches: dict[str, list[int]] = {}
    for squad in turn.page.squads:
        if squad.fate not in (Fate.ENDS, Fate.MERGES):
            continue
        row = turn.rows[squad.number]
        other = None if squad.into is None else turn.rows[squad.into]
        end_squad(turn.session, row, turn.starts_on, turn.now, goes_on_in=other)
        if other is not None:
            people = [one.person for one in other.coaches]
            coaches.setdefault(str(other.id), [person.id for person in people])
            both = [*people, *(one.person for one in row.coaches)]
            set_coaches(turn.session, other, both, turn.now)
    turn.kept["coaches"] = coaches


def _settle_addresses(turn: _Turn) -> None:
    """End addresses, or let them go on: with their squad, or in the one it merges into."""
    ended: list[int] = []
    ended_sessions: list[int] = []
    moved: dict[str, int] = {}
    squads = {squad.number: squad for squad in turn.page.squads}
    links = select(LinkRow).where(LinkRow.squad_id.in_(squads), LinkRow.revoked_at.is_(None))
    for link in turn.session.scalars(links):
        squad = squads[link.squad_id or 0]
        if squad.ends_links:
            link.revoked_at = turn.now
            ended.append(link.id)
        elif squad.into is not None:
            moved[str(link.id)] = squad.number
            link.squad_id = squad.into
    ending = [squad.number for squad in squads.values() if squad.ends_links]
    passed = (
        select(SessionLinkRow)
        .join(SessionLinkRow.booking)
        .where(BookingRow.squad_id.in_(ending), SessionLinkRow.revoked_at.is_(None))
    )
    for one in turn.session.scalars(passed):
        one.revoked_at = turn.now
        ended_sessions.append(one.id)
    turn.kept |= {"ended": ended, "ended_sessions": ended_sessions, "moved": moved}


def _move_own_seasons(turn: _Turn) -> None:
    """Move the squads' own seasons that are over, as the stretches move."""
    going = {squad.number for squad in turn.page.squads if squad.fate.goes_on}
    for row in own_seasons(turn.session, turn.dates, turn.today)[0]:
        if row.squad_id in going:
            row.starts_on = None if row.starts_on is None else row.starts_on + turn.dates.shift
            row.ends_on = None if row.ends_on is None else row.ends_on + turn.dates.shift


def _add_dates(turn: _Turn) -> None:
    page, session = turn.page, turn.session
    for one in page.stretches:
        if not one.is_left_out:
            name = one.becomes.strip()
            session.add(
                StretchRow(
                    key=key_from_name(name), name=name, starts_on=one.first, ends_on=one.last
                )
            )
    for one in page.breaks:
        if not one.is_left_out:
            session.add(BreakRow(name=one.becomes.strip(), starts_on=one.first, ends_on=one.last))
    for holiday in page.holidays:
        if holiday.choice == "break":
            session.add(BreakRow(name=holiday.name, starts_on=holiday.day, ends_on=holiday.day))
        elif holiday.choice == "train":
            session.merge(TrainingHolidayRow(day=holiday.day))
    session.flush()


def _new_squads(page: NextSeason) -> Iterable[NewSquad]:
    return [new for new in page.begin if new.name.strip()]


def _words(page: NextSeason) -> str:
    """Write what a season is made of: "the season from Mon 6 Sep 2027, 18 squads, 3 stretches"."""
    going: list[SquadNext | NewSquad] = [s for s in page.squads if s.fate.goes_on]
    going += _new_squads(page)
    stretches = [one for one in page.stretches if not one.is_left_out]
    day = page.starts_on
    return ", ".join(
        (
            _(
                "the season from %(day)s %(year)s",
                day="" if day is None else short_day(day),
                year="" if day is None else day.year,
            ),
            ngettext("%(num)s squad", "%(num)s squads", len(going)),
            ngettext("%(num)s stretch", "%(num)s stretches", len(stretches)),
        )
    )
