"""The coming weeks of some squads, and how each session differs from the usual one."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.language import _, weekday_in_words

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.domain.times.seasons import Break


@dataclass(frozen=True, slots=True)
class Meeting:
    """A session as far as it can differ from another.

    Attributes:
        number: The booking's number.
        squad: Whose, in words.
        day: The local date.
        start_min: Local start, minutes after midnight.
        end_min: Local end, minutes after midnight of `day`.
        place: Where; equal for equal ground.
    """

    number: int
    squad: str
    day: date
    start_min: int
    end_min: int
    place: str

    @property
    def monday(self) -> date:
        """The Monday of its week."""
        return self.day - timedelta(days=self.day.weekday())


@dataclass(frozen=True, slots=True)
class Gap:
    """A usual session that a week goes without.

    Attributes:
        squad: Whose, in words.
        day: When it would be.
        reason: The break it falls into; blank when there is none.
    """

    squad: str
    day: date
    reason: str


@dataclass(frozen=True, slots=True)
class Week:
    """One week.

    Attributes:
        monday: Its first day.
        meetings: The sessions with what differs from the usual one, by time; no words when
            nothing does.
        gaps: The usual sessions that it goes without.
    """

    monday: date
    meetings: tuple[tuple[Meeting, tuple[str, ...]], ...]
    gaps: tuple[Gap, ...]


_Slot = tuple[str, int]
"""A squad and a weekday."""
_Usual = dict[_Slot, tuple[Meeting, ...]]
"""What a squad usually has on a weekday, the most usual first."""


def compare_weeks(meetings: Sequence[Meeting], breaks: Sequence[Break]) -> tuple[Week, ...]:
    """Put sessions into weeks and say how each differs from the usual one.

    Usual is, for each squad and weekday that it meets on at least twice, the time and ground it
    has most often; of equals the earliest. Where it meets several times on most of these days, as
    many are usual. Each session of a day is held against the usual one nearest to it, and no two
    against the same.

    Args:
        meetings: Sessions of one or more squads, in any order.
        breaks: The club's breaks, which explain gaps.

    Returns:
        Every week from the first session's to the last one's, also those without any.
    """
    if not meetings:
        return ()
    ordered = sorted(meetings, key=lambda m: (m.day, m.start_min, m.squad))
    usual = _usual(ordered)
    first, last = ordered[0].monday, ordered[-1].monday
    count = (last - first).days // 7 + 1
    mondays = [first + timedelta(weeks=n) for n in range(count)]
    return tuple(
        _week(monday, [m for m in ordered if m.monday == monday], usual, breaks, ordered[0].day)
        for monday in mondays
    )


def _usual(meetings: Sequence[Meeting]) -> _Usual:
    slots: dict[_Slot, list[Meeting]] = {}
    for meeting in meetings:
        slots.setdefault(_slot(meeting), []).append(meeting)
    return {slot: _most_common(found) for slot, found in slots.items() if len(_days(found)) > 1}


def _most_common(meetings: Sequence[Meeting]) -> tuple[Meeting, ...]:
    """Return what is had most often, as many as on most days; of equals the earliest."""
    on_most_days = Counter(sorted(_days(meetings).values())).most_common(1)[0][0]
    by_kind: dict[tuple[int, int, str], list[Meeting]] = {}
    for meeting in meetings:
        by_kind.setdefault(_kind(meeting), []).append(meeting)
    return tuple(found[0] for found in sorted(by_kind.values(), key=len, reverse=True))[
        :on_most_days
    ]


def _days(meetings: Sequence[Meeting]) -> Counter[date]:
    return Counter(meeting.day for meeting in meetings)


def _slot(meeting: Meeting) -> _Slot:
    return meeting.squad, meeting.day.weekday()


def _kind(meeting: Meeting) -> tuple[int, int, str]:
    return meeting.start_min, meeting.end_min, meeting.place


def _held_against(meetings: Sequence[Meeting], usual: _Usual) -> list[Meeting | None]:
    """Return for each session of a week the usual one of its weekday, nearest pairs first."""
    pairs = sorted(
        (
            (_kind(meeting) != _kind(known), abs(meeting.start_min - known.start_min), n, k)
            for n, meeting in enumerate(meetings)
            for k, known in enumerate(usual.get(_slot(meeting), ()))
        )
    )
    against: list[Meeting | None] = [None] * len(meetings)
    taken = set()
    for _is_other, _apart, n, k in pairs:
        slot = _slot(meetings[n])
        if against[n] is None and (slot, k) not in taken:
            against[n] = usual[slot][k]
            taken.add((slot, k))
    return against


def _week(
    monday: date,
    meetings: Sequence[Meeting],
    usual: _Usual,
    breaks: Sequence[Break],
    first_day: date,
) -> Week:
    here = {_slot(meeting) for meeting in meetings}
    gaps = [
        Gap(squad, day, _break_on(day, breaks))
        for squad, weekday in sorted(usual, key=lambda slot: (slot[1], slot[0]))
        if (squad, weekday) not in here and (day := monday + timedelta(days=weekday)) >= first_day
    ]
    against = zip(meetings, _held_against(meetings, usual), strict=True)
    shown = tuple((m, _differences(m, known, usual, gaps)) for m, known in against)
    instead = {m.squad for m in meetings if _missing(m, usual, gaps) is not None}
    return Week(monday, shown, tuple(gap for gap in gaps if gap.squad not in instead))


def _differences(
    meeting: Meeting, known: Meeting | None, usual: _Usual, gaps: Sequence[Gap]
) -> tuple[str, ...]:
    if not any(squad == meeting.squad for squad, _unused in usual):
        return ()
    if known is not None:
        return (*_time_words(known, meeting), *_place_words(known, meeting))
    missing = _missing(meeting, usual, gaps)
    if missing is None:
        return (_("extra session"),)
    weekday = missing.day.weekday()
    known = usual[meeting.squad, weekday][0]
    words = _("instead of %(weekday)s", weekday=weekday_in_words(weekday))
    return (words, *_time_words(known, meeting), *_place_words(known, meeting))


def _missing(meeting: Meeting, usual: _Usual, gaps: Sequence[Gap]) -> Gap | None:
    """Return the one usual session of the week that a session on another day stands in for."""
    if _slot(meeting) in usual:
        return None
    missing = [gap for gap in gaps if gap.squad == meeting.squad]
    return missing[0] if len(missing) == 1 else None


def _time_words(usual: Meeting, meeting: Meeting) -> list[str]:
    words = []
    shift = meeting.start_min - usual.start_min
    if shift:
        words.append(
            _("%(minutes)s min later than usual", minutes=shift)
            if shift > 0
            else _("%(minutes)s min earlier than usual", minutes=-shift)
        )
    longer = (meeting.end_min - meeting.start_min) - (usual.end_min - usual.start_min)
    if longer:
        words.append(
            _("%(minutes)s min longer", minutes=longer)
            if longer > 0
            else _("%(minutes)s min shorter", minutes=-longer)
        )
    return words


def _place_words(usual: Meeting, meeting: Meeting) -> list[str]:
    return (
        [] if usual.place == meeting.place else [_("not on %(place)s as usual", place=usual.place)]
    )


def _break_on(day: date, breaks: Sequence[Break]) -> str:
    return next((gap.name for gap in breaks if gap.starts_on <= day <= gap.ends_on), "")
