"""The small club, a push service of our own, and ways to put a phone to it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.services.addresses.links import create_squad_link
from tests.push_service import Service, push_service
from tests.small_club import KESTRELS, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.store.engine import Store

NOON = datetime(2026, 11, 25, 12, 0, 7, 482_193, tzinfo=UTC)
"""The Wednesday of the bookings, six hours before they start."""
BEFORE = NOON - timedelta(days=7)


@pytest.fixture(scope="session")
def running_service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """Give a running push service; see `service`."""
    with push_service(tmp_path_factory.mktemp("push")) as running:
        yield running


@pytest.fixture
def service(running_service: Service) -> Service:
    """Give a push service that has taken nothing yet and takes everything."""
    running_service.taken.clear()
    running_service.status, running_service.retry_after = 201, ""
    return running_service


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club, nothing to tell."""
    return load_small_club(empty_store)


@pytest.fixture
def secret(store: Store) -> str:
    """Give the secret of an address of the Kestrels."""
    return create_squad_link(store, KESTRELS, "a parent", BEFORE)
