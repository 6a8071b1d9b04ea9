"""The words of a notice on a phone: what is the case now first, short enough for a locked screen.

The one place where a change of a booking becomes such words: `push_words`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import clock_in_zone, end_clock_in_zone, short_day
from clubplanner.language import _, ngettext
from clubplanner.outputs.plain_text import one_line

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from clubplanner.outputs.mails.mail_words import ChangeNotice

TITLE_LIMIT = 80
"""Characters; a locked phone shows about half of it (common practice, no source)."""
BODY_LIMIT = 400
GROUND_LIMIT = 120
REASON_LIMIT = 100


@dataclass(frozen=True, slots=True)
class PushWords:
    """What a phone shows.

    Attributes:
        title: One line: whose session it is.
        body: One line: what became of it.
    """

    title: str
    body: str


@dataclass(frozen=True, slots=True)
class PushedChange:
    """A change of one booking, as a phone is told it.

    Attributes:
        notice: What was and what is.
        purpose: What the ground is for.
        reason: Why, in words; blank where nobody said.
    """

    notice: ChangeNotice
    purpose: Purpose
    reason: str = ""


def push_words(
    squad_name: str,
    changes: Sequence[PushedChange],
    following: datetime | None,
    now: datetime,
    zone: ZoneInfo,
) -> PushWords:
    """Return the words about a squad's changes.

    Args:
        squad_name: Whose.
        changes: One or more; the first is told, the others are counted.
        following: When the squad's next session starts; None if none is booked.
        now: The present instant.
        zone: The club's.
    """
    first, more = changes[0], len(changes) - 1
    parts = [_outcome(first, now, zone)]
    if first.notice.event.is_withdrawn and following is not None:
        day, clock = _day(following, now, zone), clock_in_zone(following, zone)
        parts.append(_("Next: %(day)s, %(clock)s.", day=day, clock=clock))
    if more:
        parts.append(
            ngettext("%(num)s other change: see the page.", "%(num)s others: see the page.", more)
        )
    return PushWords(one_line(squad_name, TITLE_LIMIT), one_line(" ".join(parts), BODY_LIMIT))


def _outcome(change: PushedChange, now: datetime, zone: ZoneInfo) -> str:
    notice = change.notice
    event, was = notice.event, notice.was
    day = _day(event.starts_at, now, zone)
    if event.is_withdrawn:
        words = (
            _("No match %(day)s", day=day)
            if change.purpose is Purpose.MATCH
            else _("No training %(day)s", day=day)
        )
        reason = one_line(change.reason, REASON_LIMIT)
        return _ended(f"{words}: {reason}" if reason else words)
    now_on = _when_and_where(event.starts_at, event.ends_at, notice.ground, now, zone)
    if was is None:
        return _("On: %(when)s.", when=now_on)
    before = _when_and_where(was.starts_at, was.ends_at, was.ground, now, zone)
    if before == now_on:
        return _("Changed, see the page: %(when)s.", when=now_on)
    return _("Moved: %(when)s. It was %(before)s.", when=now_on, before=before)


def _when_and_where(
    starts_at: datetime, ends_at: datetime, ground: str, now: datetime, zone: ZoneInfo
) -> str:
    times = f"{clock_in_zone(starts_at, zone)}–{end_clock_in_zone(ends_at, zone)}"
    return f"{_day(starts_at, now, zone)}, {times}, {one_line(ground, GROUND_LIMIT)}"


def _ended(words: str) -> str:
    """End a sentence; dates end in a full stop in some languages, and what people type may."""
    return words if words.endswith((".", "!", "?", "…")) else f"{words}."


def _day(instant: datetime, now: datetime, zone: ZoneInfo) -> str:
    """Name a day: with its date, too, since a phone may be looked at a day later."""
    day, today = instant.astimezone(zone).date(), now.astimezone(zone).date()
    date = short_day(day)
    if day == today:
        return _("today (%(date)s)", date=date)
    if day == today + timedelta(days=1):
        return _("tomorrow (%(date)s)", date=date)
    return _("on %(date)s", date=date)
