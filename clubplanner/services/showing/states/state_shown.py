"""A session's state as pages show it: the banner, and the line in a list."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.session_state import Outcome
from clubplanner.domain.booked.state_words import Told
from clubplanner.language import _
from clubplanner.services.showing.states.session_states import places_in_words, spot_of

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.session_state import SessionState, Spot
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.times import TimeRange


@dataclass(frozen=True, slots=True)
class StateShown:
    """What a page says of a session that is not simply on.

    Attributes:
        outcome: "off", "moved" or "limited", for the look of it.
        label: The outcome in a word or two.
        headline: What to know, in a sentence.
        details: What else there is to know, a sentence each.
        short: Reason, or where it was to be, beside the session in a list.
    """

    outcome: str
    label: str
    headline: str
    details: tuple[str, ...]
    short: str

    @property
    def is_off(self) -> bool:
        """Whether nobody has to set out for it."""
        return self.outcome == "off"

    @property
    def line(self) -> str:
        """Label and the rest, for words that are read aloud or stand in a line of text."""
        return f"{self.label}: {self.short}" if self.short else self.label

    @classmethod
    def of(cls, told: Told, *first: str) -> StateShown:
        """Return what a page says of a session that is not simply on.

        Args:
            told: Its state, to be put into words.
            first: Sentences before its own details.
        """
        details = (*first, *told.details())
        return cls(told.state.outcome.value, told.label, told.headline, details, told.short)


@dataclass(frozen=True, slots=True)
class StateTeller:
    """Puts states of sessions into words for one page.

    Attributes:
        states: By booking number.
        venues: All venues of the club.
        zone: The club's time zone.
        today: The local date; None for words that may be read on any day.
    """

    states: Mapping[int, SessionState]
    venues: Sequence[Venue]
    zone: ZoneInfo
    today: date | None = None

    def shown(
        self,
        booking: Booking,
        others: Sequence[Booking] = (),
        following: Booking | None = None,
        at: Spot | None = None,
    ) -> StateShown | None:
        """Return what there is to say of a booking; None for one that is on as planned.

        Args:
            booking: The session.
            others: What else the squad has, to see whether it is the day's only one.
            following: The squad's next session, told with one that is off; None for none.
            at: Where one that is off is looked for; None for where it stood last.
        """
        state = self.states.get(booking.number)
        if state is None or not state.differs or state.is_dropped:
            return None
        told = self.told(booking, others)
        if at is not None and told.state.is_off:
            told = told.seen_from(at)
        return self._shown(told, following)

    def elsewhere(self, booking: Booking) -> StateShown | None:
        """Return from where a session was moved; None for one that is where it was to be.

        Conditions are left out: whoever shows a whole venue tells them once for their ground.
        """
        shown = self.shown(booking)
        return shown if shown is not None and shown.outcome == Outcome.MOVED else None

    def missed_here(
        self, bookings: Sequence[Booking], pitches: Collection[str], during: TimeRange
    ) -> list[tuple[Booking, StateShown]]:
        """Return sessions as they were to be somewhere, with what to say of them there.

        Args:
            bookings: Any; those that are there, or never were to be, are left out.
            pitches: Keys of the pitches.
            during: When.
        """
        found = []
        for booking in bookings:
            state = self.states.get(booking.number)
            spots = () if state is None or state.is_dropped else state.missed_at
            near = (s for s in spots if s.pitch_key in pitches and s.during.overlaps(during))
            was = next(near, None)
            if was is None:
                continue
            is_there = booking.pitch_key in pitches and booking.during.overlaps(during)
            if is_there and not booking.is_withdrawn:
                continue
            told = self.told(booking).seen_from(was)
            there = replace(
                booking, pitch_key=was.pitch_key, area_key=was.area_key, during=was.during
            )
            found.append((there, self._shown(told)))
        return found

    def _shown(self, told: Told, following: Booking | None = None) -> StateShown:
        state = told.state
        if not state.is_off or state.instead is not None or following is None:
            return StateShown.of(told)
        spot = spot_of(following, places_in_words(self.venues))
        return StateShown.of(told, _("Next: %(when)s.", when=told.where(spot, with_day=True)))

    def told(self, booking: Booking, others: Sequence[Booking] = ()) -> Told:
        """Return a booking whose state is put into words."""
        day = self._day(booking)
        return Told(
            self.states[booking.number],
            spot_of(booking, places_in_words(self.venues)),
            booking.purpose,
            self.zone,
            self.today,
            is_only_one=not any(
                other.squad_key == booking.squad_key
                and other.number != booking.number
                and not other.is_withdrawn
                and self._day(other) == day
                for other in others
            ),
        )

    def is_gone(self, booking: Booking) -> bool:
        """Tell whether a later plan does without a session: nobody needs to hear of it."""
        state = self.states.get(booking.number)
        return booking.is_withdrawn and (state is None or state.is_dropped)

    def _day(self, booking: Booking) -> date:
        return booking.during.starts_at.astimezone(self.zone).date()
