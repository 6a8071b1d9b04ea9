"""The page behind the address of one session: for whoever takes it in the coach's place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import (
    clock_in_zone,
    day_from_today,
    day_in_words,
    end_clock_in_zone,
)
from clubplanner.language import _
from clubplanner.services.addresses.links import OPEN_AFTER, OneSession, is_ended
from clubplanner.services.addresses.session_links import session_link_of_secret
from clubplanner.services.coach.fits.fits_page import see_fits
from clubplanner.services.giving.passing_on import session_now
from clubplanner.services.rows.snapshot import booking_from_row, load_venues, load_zone
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.services.showing.states.state_shown import StateTeller

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.services.coach.fits.fits_page import FitsPage
    from clubplanner.services.coach.squad_evening import FitForm
    from clubplanner.services.showing.states.state_shown import StateShown
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class PassedSession:
    """What an address of one session is about now.

    Attributes:
        squad_name: Whose session.
        when: The date and its times in words.
        holder: Who has the address.
        made_by: Who passed it on.
        may_count: Whether who has the address may say with how many the squad comes.
        closes: Until when the address opens, a local time.
        is_ended: Whether it opens nothing any more.
        is_off: Whether nobody has to set out for it.
        state: What to say of a session that is off; None where there are no more words than that.
        way: Whose session, for all that shows it; None where it is over or off.
        day: Its local date.
    """

    squad_name: str
    when: str
    holder: str
    made_by: str
    may_count: bool
    closes: str
    is_ended: bool
    is_off: bool
    state: StateShown | None
    way: OneSession | None
    day: date


@dataclass(frozen=True, slots=True)
class OneSessionPage:
    """What the page shows.

    Attributes:
        passed: What the address is about.
        ground: The session's ground; None where it is over or off.
    """

    passed: PassedSession
    ground: FitsPage | None


def see_passed_session(store: Store, secret: str, now: datetime) -> PassedSession:
    """Tell what an address of one session is about now.

    Args:
        store: The database.
        secret: The secret part of the address.
        now: The present instant.

    Raises:
        MissingError: If the address is unknown or was withdrawn.
    """
    with store.read() as session:
        link = session_link_of_secret(session, secret)
        row = session_now(session, link)
        zone = load_zone(session)
        is_over, is_off = is_ended(row.ends_at, now), row.is_withdrawn
        today = now.astimezone(zone).date()
        day = row.starts_at.astimezone(zone).date()
        state = None
        if is_off:
            booking, venues = booking_from_row(row), load_venues(session)
            states = load_states(session, [booking], venues, zone)
            state = StateTeller(states, venues, zone, today).shown(booking)
        starts, ends = clock_in_zone(row.starts_at, zone), end_clock_in_zone(row.ends_at, zone)
        key = "" if row.squad is None else row.squad.key
        return PassedSession(
            squad_name=row.holder,
            when=f"{day_in_words(day) if is_over else day_from_today(day, today)}, {starts}–{ends}",
            holder=link.holder,
            made_by=link.made_by,
            may_count=link.may_count,
            closes=clock_in_zone(row.ends_at + OPEN_AFTER, zone),
            is_ended=is_over,
            is_off=is_off,
            state=state,
            way=None if is_over or is_off else OneSession(key, row.id),
            day=day,
        )


def see_one_session(store: Store, secret: str, form: FitForm, now: datetime) -> OneSessionPage:
    """Show the session behind an address, and what fits there for the numbers typed.

    Args:
        store: The database.
        secret: The secret part of the address.
        form: What was typed; what is missing comes from the head count, else from the squad.
        now: The present instant.

    Raises:
        MissingError: If the address is unknown or was withdrawn.
        RefusedError: If what was typed cannot be used.
    """
    passed = see_passed_session(store, secret, now)
    if passed.way is None:
        return OneSessionPage(passed, None)
    found = see_fits(store, passed.way, passed.day, passed.way.number, form, now)
    return OneSessionPage(passed, found)


def ended_words(passed: PassedSession) -> str:
    """Say that an address has ended, and whom to ask."""
    return _(
        "This address was for one session, %(squad)s, %(when)s. It ended with it. If you need the "
        "ground of another one, ask the squad's coach.",
        squad=passed.squad_name,
        when=passed.when,
    )
