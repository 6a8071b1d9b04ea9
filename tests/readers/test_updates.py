"""Updates and withdrawals, met in any order, lead every reader to the same calendar.

The rule: of two versions of an event the one with the higher SEQUENCE is the newer, and of two
with the same SEQUENCE the one with the later DTSTAMP. Source: RFC 5546, section 2.1.5.
"""

from __future__ import annotations

import dataclasses
import itertools
import random
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.outputs.calendars.feed import FeedEvent, write_feed
from tests.outputs.calendars.test_feed import make_event, make_feed
from tests.readers.readers import Seen, read_with_recurring, read_with_vobject
from tests.readers.test_same_instants import expected

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from tests.readers.readers import Reading

HOUR = timedelta(hours=1)


def apply(versions: Iterable[Seen]) -> dict[str, Seen]:
    """Return the calendar of someone who meets versions of events one after the other."""
    calendar: dict[str, Seen] = {}
    for new in versions:
        held = calendar.get(new.uid)
        if held is None or (new.sequence, new.stamp_s) > (held.sequence, held.stamp_s):
            calendar[new.uid] = new
    return calendar


def change(event: FeedEvent, **changes: object) -> FeedEvent:
    """Return the next version of an event, an hour later."""
    return dataclasses.replace(
        event,
        sequence=event.sequence + 1,
        changed_at=event.changed_at + HOUR,
        **changes,  # type: ignore[arg-type]
    )


def history() -> list[list[FeedEvent]]:
    """Return what the feed held after each change: moves, a swap of ground, withdrawals.

    The first event moves in time and then to other ground; the second takes the ground that
    became free; the third is withdrawn, stands again at another time, and is withdrawn for good.
    """
    one, two, three = (make_event(uid=f"{number}@club.example") for number in (1, 2, 3))
    states = [[one, two, three]]
    one = change(one, starts_at=one.starts_at + 2 * HOUR, ends_at=one.ends_at + 2 * HOUR)
    three = change(three, is_withdrawn=True)
    states.append([one, two, three])
    one, two = change(one, place="Hill Road"), change(two, title="U12 Kestrels: south third")
    three = change(three, is_withdrawn=False, ends_at=three.ends_at + HOUR)
    states.append([one, two, three])
    two, three = change(two, lines=("Bring bibs",)), change(three, is_withdrawn=True)
    states.append([one, two, three])
    return states


def test_any_order_of_feeds_gives_the_last_state(
    read: Callable[[Mapping[str, bytes]], Reading],
) -> None:
    """Four states of a feed, met in each of their 24 orders and twice over, end as the fourth."""
    states = history()
    seen = read({str(n): write_feed(make_feed(*state)) for n, state in enumerate(states)})
    last = {event.uid: expected(event) for event in states[-1]}
    for order in itertools.permutations(seen.values()):
        assert apply(itertools.chain(*order, *reversed(order))) == last


def test_events_may_be_met_one_by_one() -> None:
    """Single events out of all states, shuffled 200 times, end as the last state."""
    states = history()
    contents = {str(n): write_feed(make_feed(*state)) for n, state in enumerate(states)}
    versions = [event for events in read_with_vobject(contents).values() for event in events]
    last = {event.uid: expected(event) for event in states[-1]}
    shuffler = random.Random(2026)  # noqa: S311 - no secret
    for _ in range(200):
        shuffler.shuffle(versions)
        assert apply(versions) == last


def test_the_later_stamp_wins_among_equals() -> None:
    """Of two versions with the same SEQUENCE the later DTSTAMP wins, in either order."""
    event = make_event()
    later = dataclasses.replace(event, changed_at=event.changed_at + HOUR, place="Hill Road")
    contents = {"a": write_feed(make_feed(event)), "b": write_feed(make_feed(later))}
    (first,), (second,) = read_with_vobject(contents).values()
    for order in ([first, second], [second, first]):
        assert apply(order) == {event.uid: expected(later)}


def test_an_old_version_with_a_late_stamp_does_not_win() -> None:
    """SEQUENCE goes before DTSTAMP: what was only sent again later stays behind what was moved."""
    event = make_event()
    sent_again = dataclasses.replace(event, changed_at=event.changed_at + 5 * HOUR)
    moved = change(event, ends_at=event.ends_at + HOUR)
    contents = {"a": write_feed(make_feed(moved)), "b": write_feed(make_feed(sent_again))}
    (first,), (second,) = read_with_recurring(contents).values()
    for order in ([first, second], [second, first]):
        assert apply(order) == {event.uid: expected(moved)}


CHANGES = st.lists(
    st.tuples(st.integers(-48, 48), st.integers(1, 6), st.booleans()), min_size=1, max_size=6
)


@settings(max_examples=40, deadline=None)
@given(changes=CHANGES, order=st.randoms(use_true_random=False))
def test_any_history_in_any_order(
    changes: list[tuple[int, int, bool]], order: random.Random
) -> None:
    """Drawn histories of moves, withdrawals and returns end at their last version in any order."""
    start = datetime(2026, 10, 24, 18, tzinfo=UTC)
    versions = [make_event(starts_at=start, ends_at=start + HOUR)]
    for shift, hours, is_withdrawn in changes:
        begins = start + shift * HOUR
        versions.append(
            change(
                versions[-1],
                starts_at=begins,
                ends_at=begins + hours * HOUR,
                is_withdrawn=is_withdrawn,
            )
        )
    feeds = {str(n): write_feed(make_feed(version)) for n, version in enumerate(versions)}
    seen = [event for events in read_with_vobject(feeds).values() for event in events]
    order.shuffle(seen)
    assert apply(seen) == {versions[-1].uid: expected(versions[-1])}
