"""What fits at one session of a squad, on a page of its own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_from_today
from clubplanner.services.coach.fits.kept_fits import fits_digest
from clubplanner.services.coach.fits.session_sizes import FitShown, see_what_fits
from clubplanner.services.coach.ground_page import coming_sessions, next_on, show_session
from clubplanner.services.coach.squad_evening import (
    FitForm,
    load_evening,
    place_of,
    wish_from_form,
    with_squad,
)
from clubplanner.services.showing.ground.plans import times_in_words

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.domain.club.squads import Squad
    from clubplanner.services.addresses.links import OwnSquad
    from clubplanner.services.coach.ground_page import ComingSession, SessionShown
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class FitsPage:
    """What fits at a session.

    Attributes:
        squad: Whose it is.
        players: As typed, as said for that day, or of the squad.
        goalkeepers: Of them.
        length_m: Length of a practice area as typed; None for no wish.
        width_m: Its width.
        day: The local date.
        day_words: The same with its weekday.
        session: The session; None where the squad has none on that date.
        fit: What fits there.
        digest: Of all that the answer hangs on, but how many come.
        is_first: Whether it is the first session of the date.
        others: Number and times of the other sessions of the date.
        following: The next session that is on; None without any.
    """

    squad: Squad
    players: int
    goalkeepers: int
    length_m: float | None
    width_m: float | None
    day: date
    day_words: str
    session: SessionShown | None
    fit: FitShown | None
    digest: str
    is_first: bool
    others: tuple[tuple[int, str], ...]
    following: ComingSession | None

    @property
    def is_next(self) -> bool:
        """Whether the squad's page without a date shows this session, as browsers keep it."""
        return self.following is not None and self.following.day == self.day


def see_fits(
    store: Store,
    secret: str | OwnSquad,
    day: date | None,
    number: int | None,
    form: FitForm,
    now: datetime,
) -> FitsPage:
    """Work out what fits at a squad's session.

    Args:
        store: The database.
        secret: The secret part of the squad's address, or a squad of one's own.
        day: The local date; None for that of the next session.
        number: The booking; None, or one that the squad has not on that date, for its first.
        form: What the coach typed; what is missing comes from the head count that was said for
            that day, else from the squad.
        now: The present instant.

    Raises:
        MissingError: If the address is not in use.
        RefusedError: If what was typed cannot be used.
    """
    evening = load_evening(store, secret, day, now)
    squad, ahead = evening.squad, evening.ahead
    own = evening.session(number)
    whole = with_squad(form, squad)
    place = None if own is None else place_of(own, evening)
    zone = ahead.teller.zone
    return FitsPage(
        squad=squad,
        players=whole.players or 0,
        goalkeepers=whole.goalkeepers or 0,
        length_m=whole.length_m,
        width_m=whole.width_m,
        day=evening.day,
        day_words=day_from_today(evening.day, ahead.today),
        session=None
        if own is None
        else show_session(
            own, evening.venues, evening.bookings, ahead, is_member=evening.is_member
        ),
        fit=None if place is None else see_what_fits(place, wish_from_form(form, squad)),
        digest="" if place is None else fits_digest(place, wish_from_form(FitForm(), squad)),
        is_first=own is evening.session(None),
        others=tuple((b.number, times_in_words(b, zone)) for b in evening.here if b is not own),
        following=next_on(coming_sessions(evening)),
    )
