"""A session's state in words, for whoever stands at the bus stop: the outcome first, then the rest.

Pages, calendars, mails and boards all take their words from here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Outcome
from clubplanner.domain.times.times import (
    clock_in_zone,
    day_in_words,
    end_clock_in_zone,
    near_day,
    short_day_from_today,
    when_in_words,
)
from clubplanner.language import _, sentence, term

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.session_state import Reason, SessionState, Spot

SHORT_LABEL = 30
"""Characters of a condition that may stand in a title."""


@dataclass(frozen=True, slots=True)
class Told:
    """A session whose state is put into words.

    Attributes:
        state: Its state.
        spot: Where it is; of one that is off, where it was last.
        purpose: What it is.
        zone: The club's time zone.
        today: The local date of whoever reads it; None where it may be read on any day.
        is_only_one: Whether the squad has nothing else on that day.
        is_left: Whether it goes on without whoever reads this.
    """

    state: SessionState
    spot: Spot
    purpose: Purpose
    zone: ZoneInfo
    today: date | None = None
    is_only_one: bool = True
    is_left: bool = False

    @property
    def label(self) -> str:
        """The outcome in a word or two; blank for a session that is on as planned."""
        if self.is_left:
            return _("No longer yours")
        if self.state.outcome is Outcome.LIMITED:
            (first, *others) = self.state.conditions
            if not others and len(first.allowed) <= SHORT_LABEL:
                return sentence(first.allowed)
            return _("With a condition")
        return {Outcome.OFF: _("Off"), Outcome.MOVED: _("Moved")}.get(self.state.outcome, "")

    @property
    def headline(self) -> str:
        """What to know, in a sentence with its reason; blank for a session that is as planned."""
        if self.is_left:
            return _("No longer yours: the session itself goes on.")
        words = {
            Outcome.OFF: self._off,
            Outcome.MOVED: self._moved,
            Outcome.LIMITED: self._limited,
        }.get(self.state.outcome)
        return "" if words is None else words()

    @property
    def short(self) -> str:
        """Reason, or where it was to be, for a list that names the session itself."""
        if self.is_left:
            return _("The session itself goes on.")
        if self.state.outcome is Outcome.OFF:
            parts = [reason_in_words(self.state.reason), *self._instead()]
            return ". ".join(sentence(part).rstrip(".") for part in parts if part)
        if self.state.outcome is Outcome.MOVED and self.state.was is not None:
            was = _("was %(was)s", was=self._other_than_now(self.state.was))
            reason = reason_in_words(self.state.reason)
            return f"{was} ({reason})" if reason else was
        return self._conditions()

    @property
    def differs(self) -> bool:
        """Whether there is anything to say."""
        return self.is_left or self.state.differs

    @property
    def lines(self) -> tuple[str, ...]:
        """All there is to say, the outcome first; none of a session that is on as planned."""
        return (self.headline, *self.details()) if self.differs else ()

    def details(self) -> tuple[str, ...]:
        """What else there is to know, a sentence each."""
        return () if self.is_left else tuple(self._details())

    def seen_from(self, spot: Spot) -> Told:
        """Return it as whoever looks for it in vain at a spot has to hear of it."""
        if not self.state.is_off:
            return replace(
                self, state=replace(self.state.off_here(spot), instead=self.spot), spot=spot
            )
        if spot == self.state.was:
            return self
        return replace(self, state=self.state.off_here(spot), spot=spot)

    def where(self, spot: Spot, *, with_day: bool = False) -> str:
        """Write a spot: "18:00–19:15, Clubhouse third, Top pitch"; its date if it is another."""
        day = _day(spot, self.zone)
        times = times_of(spot, self.zone)
        if with_day or day != _day(self.spot, self.zone):
            times = f"{short_day_from_today(day, self.today)}, {times}"
        return ", ".join(part for part in (times, spot.place) if part)

    def _other_than_now(self, was: Spot) -> str:
        """Write of another spot what is not as it is now."""
        if was.during == self.spot.during and was.place:
            return was.place
        place = "" if was.place == self.spot.place else was.place
        return self.where(replace(was, place=place))

    def _off(self) -> str:
        own = self.state.was or self.spot
        when = when_in_words(_day(own, self.zone), self.today)
        clock = clock_in_zone(own.during.starts_at, self.zone)
        is_only_one = self.is_only_one and self.state.instead is None
        if not is_only_one:
            words = _(
                "%(purpose)s %(when)s at %(clock)s is off",
                purpose=sentence(term(self.purpose.value)),
                when=when,
                clock=clock,
            )
        elif self.purpose is Purpose.TRAINING:
            words = _("No training %(when)s", when=when)
        elif self.purpose is Purpose.MATCH:
            words = _("No match %(when)s", when=when)
        elif self.purpose is Purpose.CLOSED:
            words = _("No longer closed %(when)s", when=when)
        else:
            words = _("Nothing booked any more %(when)s", when=when)
        return _with_reason(words, reason_in_words(self.state.reason))

    def _moved(self) -> str:
        was = self.state.was
        day = _day(self.spot, self.zone)
        is_same_day = was is None or _day(was, self.zone) == day
        where = ", ".join(p for p in (times_of(self.spot, self.zone), self.spot.place) if p)
        if is_same_day:
            when = when_in_words(day, self.today)
            return _("Moved %(when)s: now %(where)s.", when=when, where=where)
        to = ", ".join(filter(None, (near_day(day, self.today), day_in_words(day))))
        return _("Moved to %(day)s: %(where)s.", day=to, where=where)

    def _limited(self) -> str:
        when = when_in_words(_day(self.spot, self.zone), self.today)
        return _(
            "With a condition %(when)s: %(conditions)s.",
            when=when,
            conditions=self._conditions(),
        )

    def _conditions(self) -> str:
        return "; ".join(f"{one.allowed} ({one.reason})" for one in self.state.conditions)

    def _instead(self) -> Iterator[str]:
        if self.state.instead is not None:
            yield _("Instead: %(where)s.", where=self.where(self.state.instead))

    def _details(self) -> Iterator[str]:
        state = self.state
        if state.outcome is Outcome.MOVED:
            reason = reason_in_words(state.reason)
            if reason:
                yield _("Why: %(reason)s.", reason=reason.rstrip("."))
        if state.outcome in (Outcome.MOVED, Outcome.OFF) and state.was is not None:
            yield _("It was to be: %(where)s.", where=self.where(state.was))
        if state.planned is not None:
            yield _("At first it was to be: %(where)s.", where=self.where(state.planned))
        yield from self._instead()
        if state.outcome is Outcome.MOVED:
            yield from (one.sentence for one in state.conditions)
        if state.since is not None and state.differs:
            yield _("Changed: %(moment)s.", moment=self._moment(state.since))

    def _moment(self, instant: datetime) -> str:
        day = short_day_from_today(instant.astimezone(self.zone).date(), self.today)
        return f"{day}, {clock_in_zone(instant, self.zone)}"


def reason_in_words(reason: Reason) -> str:
    """Say why a session was changed, as a clause; blank where nobody said."""
    words = reason.words.strip()
    told = {
        Cause.COACH: _("handed back by the coach"),
        Cause.SECRETARY: _("withdrawn by the secretary"),
        Cause.MATCH: _("a match of %(squad)s needs the ground", squad=words),
        Cause.SWAP: _("places changed with %(squad)s", squad=words),
    }
    if reason.cause in (Cause.COACH, Cause.SECRETARY):
        return f"{told[reason.cause]}, {words}" if words else told[reason.cause]
    return told.get(reason.cause, words)


def times_of(spot: Spot, zone: ZoneInfo) -> str:
    """Write a spot's local times: "18:00–19:15"."""
    during = spot.during
    return f"{clock_in_zone(during.starts_at, zone)}–{end_clock_in_zone(during.ends_at, zone)}"


def _with_reason(words: str, reason: str) -> str:
    return f"{words}: {reason.rstrip('.')}." if reason else f"{words}."


def _day(spot: Spot, zone: ZoneInfo) -> date:
    return spot.during.starts_at.astimezone(zone).date()
