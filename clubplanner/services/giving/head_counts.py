"""Who comes on an evening, said by coaches and who stands in for them, and by the secretary."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from clubplanner.domain.club.turnouts import MOST_PLAYERS
from clubplanner.domain.times.times import day_in_words, short_day
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.services.addresses.session_links import session_link_of_secret
from clubplanner.services.giving.passing_on import session_now
from clubplanner.services.giving.requests import own_session
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.people.turnouts import load_turnout, note_turnout
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow


def say_head_count(
    store: Store, person: Person, number: int, players: int, goalkeepers: int, now: datetime
) -> str:
    """Note with how many a squad comes to one of its sessions.

    Args:
        store: The database.
        person: Its coach, or the secretary.
        number: The booking's number.
        players: How many come, goalkeepers among them.
        goalkeepers: Of them.
        now: The present instant.

    Returns:
        What was noted, a sentence.

    Raises:
        MissingError: If it is none of the person's sessions.
        RefusedError: If the session is over, or nobody can be so many.
    """
    _check(players, goalkeepers)
    with store.write(brief=True) as session:
        row = own_session(session, person, number)
        return _note(session, row, players, goalkeepers, person.name, now)


def say_head_count_in_place(
    store: Store, secret: str, players: int, goalkeepers: int, now: datetime
) -> str:
    """Note with how many a squad comes, said by whoever takes the session in the coach's place.

    Args:
        store: The database.
        secret: The secret part of the session's address.
        players: How many come, goalkeepers among them.
        goalkeepers: Of them.
        now: The present instant.

    Returns:
        What was noted, a sentence.

    Raises:
        MissingError: If the address is not in use.
        RefusedError: If the coach keeps the count, the session is off or over, or nobody can be so
            many.
    """
    _check(players, goalkeepers)
    with store.write(brief=True) as session:
        link = session_link_of_secret(session, secret)
        if not link.may_count:
            raise RefusedError(_("How many come is for the coach to say; give them a ring."))
        row = session_now(session, link)
        if row.is_withdrawn:
            raise RefusedError(_("This session is off; there is nobody to be reckoned with."))
        return _note(session, row, players, goalkeepers, link.holder, now)


def _check(players: int, goalkeepers: int) -> None:
    if not 1 <= players <= MOST_PLAYERS or not 0 <= goalkeepers <= players:
        raise RefusedError(
            _(
                "Enter 1 to %(most)s players, the goalkeepers counted among them.",
                most=MOST_PLAYERS,
            )
        )


def _note(
    session: Session, row: BookingRow, players: int, goalkeepers: int, by: str, now: datetime
) -> str:
    if row.ends_at <= now or row.squad_id is None:
        raise RefusedError(_("This session is over; there is nobody to be reckoned with."))
    day = row.starts_at.astimezone(load_zone(session)).date()
    said = replace(
        load_turnout(session, row.squad_id, day), players=players, goalkeepers=goalkeepers
    )
    note_turnout(session, row.squad_id, day, said, by, now)
    describe_change(
        session,
        _(
            "%(holder)s, %(day)s: %(players)s players come",
            holder=row.holder,
            day=short_day(day),
            players=players,
        ),
    )
    return _(
        "Noted for %(day)s: %(players)s players, %(keepers)s of them in goal.",
        day=day_in_words(day),
        players=players,
        keepers=goalkeepers,
    )


def say_who_comes(
    store: Store,
    day: date,
    said: Mapping[str, Mapping[str, Any]],
    by: str,
    now: datetime,
) -> int:
    """Note what is said of squads on a date; what is not named stays as it was said before.

    Args:
        store: The database.
        day: The local date.
        said: By squad key, fields of `Turnout` with their new values.
        by: Who says it.
        now: The present instant.

    Returns:
        Of how many squads something new was said.

    Raises:
        MissingError: If a squad is not there.
    """
    if not any(said.values()):
        return 0
    with store.write(brief=True) as session:
        fresh = 0
        for key, fields in said.items():
            squad = find_squad(session, key)
            turnout = load_turnout(session, squad.id, day)
            for name, value in fields.items():
                turnout = replace(turnout, **{name: value})
            fresh += note_turnout(session, squad.id, day, turnout, by, now)
        if fresh:
            words = _("said who comes, %(day)s", day=short_day(day))
            describe_change(session, words)
        return fresh
