"""What a locked phone shows: the outcome first, with the date, in one short line."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.language import speaking
from clubplanner.outputs.calendars.feed import FeedEvent
from clubplanner.outputs.mails.mail_words import ChangeNotice, Holding
from clubplanner.outputs.pushes.push_words import BODY_LIMIT, PushedChange, push_words
from tests.builders import LONDON
from tests.outputs.notices import told_of

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
SIX = datetime(2026, 11, 25, 18, tzinfo=UTC)
HOUR = timedelta(hours=1)
GROUND = "Clubhouse third, Top pitch, Marsh Lane"


def change(
    starts_at: datetime = SIX,
    *,
    was: Holding | None = None,
    is_withdrawn: bool = False,
    purpose: Purpose = Purpose.TRAINING,
    reason: str = "",
    ground: str = GROUND,
) -> PushedChange:
    """Return a change of a session of an hour."""
    event = FeedEvent(
        uid="one",
        sequence=1,
        starts_at=starts_at,
        ends_at=starts_at + HOUR,
        changed_at=NOON,
        is_withdrawn=is_withdrawn,
        title="Kestrels",
        place="Marsh Lane",
        url="https://pitches.example/",
    )
    return PushedChange(ChangeNotice(event, told_of(event, was), ground, was), purpose, reason)


def body(*changes: PushedChange, following: datetime | None = None) -> str:
    """Return the words below the title."""
    told = push_words("U12 Kestrels", changes, following, NOON, LONDON)
    assert told.title == "U12 Kestrels"
    return told.body


def test_what_is_off_says_so_first_then_why_then_what_comes() -> None:
    """Whoever reads three words knows not to set out."""
    off = change(is_withdrawn=True, reason="pitch waterlogged")
    following = datetime(2026, 11, 26, 18, 45, tzinfo=UTC)
    assert body(off, following=following) == (
        "No training today (Wed 25 Nov): pitch waterlogged. Next: tomorrow (Thu 26 Nov), 18:45."
    )
    assert body(change(is_withdrawn=True)) == "No training today (Wed 25 Nov)."
    match = change(SIX + 24 * HOUR, is_withdrawn=True, purpose=Purpose.MATCH)
    assert body(match) == "No match tomorrow (Thu 26 Nov)."


def test_what_is_moved_says_where_it_is_now_then_where_it_was() -> None:
    """Both with day, times and ground."""
    was = Holding(SIX - HOUR, SIX, "Low pitch, Marsh Lane")
    assert body(change(was=was)) == (
        "Moved: today (Wed 25 Nov), 18:00–19:00, Clubhouse third, Top pitch, Marsh Lane. "
        "It was today (Wed 25 Nov), 17:00–18:00, Low pitch, Marsh Lane."
    )


def test_what_is_new_or_the_same_in_time_and_place_is_told_apart() -> None:
    """A note alone does not look like a move."""
    assert body(change()).startswith("On: today (Wed 25 Nov), 18:00–19:00, ")
    assert body(change(was=Holding(SIX, SIX + HOUR, GROUND))).startswith("Changed, see the page: ")
    later = change(SIX + 72 * HOUR)
    assert body(later).startswith("On: on Sat 28 Nov, 18:00")


def test_more_changes_are_counted() -> None:
    """One go is one notice."""
    off = change(is_withdrawn=True)
    assert body(off, change()).endswith(" 1 other change: see the page.")
    assert body(off, change(), change()).endswith(" 2 others: see the page.")


def test_endless_names_stay_short() -> None:
    """What does not fit would not be shown, and may not be sent."""
    long = "x" * 5000
    told = push_words(long, [change(ground=long, reason=long)], None, NOON, LONDON)
    assert len(told.title) <= 80
    assert len(told.body) <= BODY_LIMIT


def test_it_speaks_german() -> None:
    """With the German order of a date."""
    with speaking("de"):
        assert body(change(is_withdrawn=True)) == "Kein Training heute (Mi. 25. Nov.)."
