"""Unchanged feeds are not built again, and changed ones always are."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import update

from clubplanner.domain.times.times import end_of_day
from clubplanner.errors import MissingError
from clubplanner.services.addresses.links import create_squad_link, revoke_squad_links
from clubplanner.services.calendars.feed_memory import FeedMemory
from clubplanner.services.calendars.feeds import KEPT_DAYS, build_feed
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.store.tables.ground_tables import VenueRow
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.services.calendars.test_feeds import ADDRESS
from tests.small_club import HARRIERS, KESTRELS, SETTINGS, book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.store.engine import Store


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with one session of the Kestrels."""
    load_small_club(empty_store)
    book(empty_store)
    return empty_store


@pytest.fixture
def secret(store: Store) -> str:
    """Give the secret of the Kestrels' address."""
    return create_squad_link(store, KESTRELS, "a test", NOW)


def rename_venue(store: Store) -> None:
    """Change a venue past the session, by a statement."""
    with store.write() as session:
        session.execute(update(VenueRow).values(name="Marsh Lane East"))


def reload(store: Store) -> None:
    """Load the club again with a new time zone."""
    load_small_club(store, settings=SETTINGS.replace("Europe/London", "Europe/Dublin"))


CHANGES: tuple[Callable[[Store], object], ...] = (
    lambda store: book(store, HARRIERS, "third-2"),
    lambda store: withdraw_booking(store, 1, 0, NOW),
    rename_venue,
    reload,
)


def test_it_is_remembered_until_something_changes(store: Store, secret: str) -> None:
    """A new address of somebody else changes no calendar."""
    memory = FeedMemory()
    assert memory.unchanged_digest(store, secret, NOW) is None
    file = memory.build(store, secret, ADDRESS, NOW)
    create_squad_link(store, HARRIERS, "somebody else", NOW)
    assert memory.unchanged_digest(store, secret, NOW) == file.digest
    assert build_feed(store, secret, ADDRESS, NOW).digest == file.digest


@pytest.mark.parametrize("change", CHANGES)
def test_any_change_makes_it_forget(
    store: Store, secret: str, change: Callable[[Store], object]
) -> None:
    """Of bookings, squads or ground, by rows or by statements."""
    memory = FeedMemory()
    memory.build(store, secret, ADDRESS, NOW)
    change(store)
    assert memory.unchanged_digest(store, secret, NOW) is None


def test_what_fails_is_not_counted(store: Store, secret: str) -> None:
    """A change that was rolled back leaves the memory as it was."""
    memory = FeedMemory()
    file = memory.build(store, secret, ADDRESS, NOW)
    with pytest.raises(RuntimeError, match="power cut"):
        _break_off(store)
    assert memory.unchanged_digest(store, secret, NOW) == file.digest


def _break_off(store: Store) -> None:
    with store.write() as session:
        session.execute(update(VenueRow).values(name="Nowhere"))
        raise RuntimeError("power cut")


def test_time_alone_changes_a_feed(store: Store, secret: str) -> None:
    """A withdrawn session leaves when its day is over, another one after a year."""
    memory = FeedMemory()
    ends_at = make_range(A_WEDNESDAY).ends_at
    file = memory.build(store, secret, ADDRESS, NOW)
    assert file.valid_until == ends_at + timedelta(days=KEPT_DAYS)
    withdraw_booking(store, 1, 0, NOW)
    withdrawn = memory.build(store, secret, ADDRESS, NOW)
    midnight = end_of_day(ends_at, LONDON)
    assert withdrawn.valid_until == midnight
    just_before = midnight - timedelta(seconds=1)
    assert memory.unchanged_digest(store, secret, just_before) == withdrawn.digest
    assert memory.unchanged_digest(store, secret, midnight) is None
    assert memory.build(store, secret, ADDRESS, midnight).valid_until is None


def test_a_withdrawn_address_opens_nothing(store: Store, secret: str) -> None:
    """However well it is remembered."""
    memory = FeedMemory()
    memory.build(store, secret, ADDRESS, NOW)
    revoke_squad_links(store, KESTRELS, NOW)
    with pytest.raises(MissingError, match="no longer"):
        memory.unchanged_digest(store, secret, NOW)


def test_memory_is_bounded(store: Store, secret: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The feed that was not asked for longest is forgotten first."""
    monkeypatch.setattr("clubplanner.services.calendars.feed_memory.MOST_FEEDS", 1)
    memory = FeedMemory()
    memory.build(store, secret, ADDRESS, NOW)
    other = create_squad_link(store, HARRIERS, "a test", NOW)
    kept = memory.build(store, other, ADDRESS, NOW)
    assert memory.unchanged_digest(store, secret, NOW) is None
    assert memory.unchanged_digest(store, other, NOW) == kept.digest
