"""What is usual for a squad, and how a week differs from it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.club.told.coming_weeks import Gap, Meeting, compare_weeks
from clubplanner.domain.times.seasons import Break

TUESDAY = Meeting(1, "U12 Kestrels", date(2026, 11, 17), 1080, 1155, "Clubhouse third")
CHRISTMAS = Break("Christmas", date(2026, 12, 21), date(2027, 1, 3))


def later(meeting: Meeting, days: int, **changes: object) -> Meeting:
    """Return a meeting some days later."""
    return replace(meeting, day=meeting.day + timedelta(days=days), **changes)  # type: ignore[arg-type]


def weekly(count: int, meeting: Meeting = TUESDAY) -> list[Meeting]:
    """Return the same meeting week by week."""
    return [later(meeting, 7 * n) for n in range(count)]


def words_of(meetings: list[Meeting], breaks: tuple[Break, ...] = ()) -> list[tuple[str, ...]]:
    """Return what differs, session by session."""
    return [words for week in compare_weeks(meetings, breaks) for _, words in week.meetings]


def test_equal_weeks_differ_in_nothing() -> None:
    """Four equal sessions are four weeks without a word."""
    weeks = compare_weeks(weekly(4), ())
    assert [week.monday for week in weeks] == [
        date(2026, 11, 16) + timedelta(weeks=n) for n in range(4)
    ]
    assert words_of(weekly(4)) == [()] * 4
    assert all(not week.gaps for week in weeks)


def test_other_times_and_ground_are_told() -> None:
    """Start, length and place are each told, against what is had most often."""
    meetings = weekly(4)
    meetings[1] = replace(meetings[1], start_min=1110, end_min=1200, place="Hall")
    meetings[3] = replace(meetings[3], start_min=1065)
    assert words_of(meetings) == [
        (),
        ("30 min later than usual", "15 min longer", "not on Clubhouse third as usual"),
        (),
        ("15 min earlier than usual", "15 min longer"),
    ]


def test_of_two_equally_common_the_earlier_is_usual() -> None:
    """With turns every other week the first place is the usual one."""
    meetings = weekly(4)
    for n in (1, 3):
        meetings[n] = replace(meetings[n], place="Hall")
    told = ("not on Clubhouse third as usual",)
    assert words_of(meetings) == [(), told, (), told]


def test_a_week_without_says_so_and_why() -> None:
    """A missing session is a gap, with the break it falls into."""
    meetings = weekly(8)
    del meetings[5:7]  # 22 and 29 December
    del meetings[2]  # 1 December
    gaps = [gap for week in compare_weeks(meetings, (CHRISTMAS,)) for gap in week.gaps]
    assert gaps == [
        Gap("U12 Kestrels", date(2026, 12, 1), ""),
        Gap("U12 Kestrels", date(2026, 12, 22), "Christmas"),
        Gap("U12 Kestrels", date(2026, 12, 29), "Christmas"),
    ]


def test_another_day_in_place_of_the_usual_one() -> None:
    """A session on another day of a week without the usual one is told as one change."""
    meetings = weekly(3)
    meetings[1] = later(meetings[1], 1, place="Hall")
    weeks = compare_weeks(meetings, ())
    assert words_of(meetings)[1] == ("instead of Tuesday", "not on Clubhouse third as usual")
    assert weeks[1].gaps == ()


def test_a_session_more_than_usual_is_extra() -> None:
    """A day on which the squad does not usually meet, besides the usual one."""
    meetings = [*weekly(3), later(TUESDAY, 9)]
    assert words_of(meetings) == [(), (), ("extra session",), ()]


def test_a_second_session_on_a_usual_day_is_extra() -> None:
    """Whichever comes first that day: the one nearest the usual is the usual one."""
    late = later(TUESDAY, 7, start_min=1180, end_min=1240, place="Hall")
    early = later(TUESDAY, 7, start_min=960, end_min=1020)
    assert words_of([*weekly(3), late]) == [(), (), ("extra session",), ()]
    assert words_of([*weekly(3), early]) == [(), ("extra session",), (), ()]


def test_two_sessions_on_every_such_day_are_both_usual() -> None:
    """Morning and evening are each held against their own."""
    evening = replace(TUESDAY, start_min=1180, end_min=1240, place="Hall")
    meetings = [*weekly(3), *weekly(3, evening)]
    meetings[4] = replace(meetings[4], start_min=1190, end_min=1250)
    assert words_of(meetings) == [(), (), (), ("10 min later than usual",), (), ()]
    twice_once = [TUESDAY, replace(TUESDAY, start_min=1180, end_min=1240)]
    assert words_of(twice_once) == [(), ()], "one day makes nothing usual"


def test_what_happens_once_is_not_compared() -> None:
    """With one session, or one each on several days, nothing is usual and nothing missing."""
    assert words_of([TUESDAY]) == [()]
    assert words_of([TUESDAY, later(TUESDAY, 8)]) == [(), ()]
    assert compare_weeks([], ()) == ()


def test_squads_are_compared_each_with_itself() -> None:
    """Another squad's time is no change of one's own."""
    other = replace(TUESDAY, squad="U14 Harriers", start_min=1170, end_min=1245)
    assert words_of([*weekly(2), *weekly(2, other)]) == [()] * 4


def test_days_before_the_first_session_are_not_missed() -> None:
    """A week that has begun misses nothing of what has passed."""
    thursday = later(TUESDAY, 2, place="Hall")
    meetings = [*weekly(3, thursday), *(later(TUESDAY, 7 * n) for n in (1, 2))]
    assert compare_weeks(meetings, ())[0].gaps == ()


@given(
    st.lists(
        st.builds(
            Meeting,
            st.integers(1, 99),
            st.sampled_from(["A", "B"]),
            st.dates(date(2026, 9, 1), date(2026, 11, 30)),
            st.integers(960, 1200),
            st.integers(1201, 1300),
            st.sampled_from(["x", "y"]),
        ),
        max_size=25,
    )
)
def test_every_session_is_in_its_week_once(meetings: list[Meeting]) -> None:
    """Whatever the sessions, none is lost or shown twice, and gaps are days without one."""
    weeks = compare_weeks(meetings, ())
    shown = [m for week in weeks for m, _ in week.meetings]
    assert sorted(map(repr, shown)) == sorted(map(repr, meetings))
    for week in weeks:
        assert week.monday.weekday() == 0
        assert all(m.monday == week.monday for m, _ in week.meetings)
        taken = {(m.squad, m.day) for m, _ in week.meetings}
        assert not taken & {(gap.squad, gap.day) for gap in week.gaps}
