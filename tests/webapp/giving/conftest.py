"""A club with coaches who give and take."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    book,
    load_small_club,
)
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club: 1 is the Kestrels' session, 2 the Harriers' on the same evening."""
    load_small_club(empty_store)
    book(empty_store, KESTRELS, "third-1")
    book(empty_store, HARRIERS, "third-2", end_min=19 * 60)
    return empty_store


@pytest.fixture
def people(store: Store) -> tuple[FlaskClient, FlaskClient, FlaskClient]:
    """Give the browsers of the Kestrels' coach, the Harriers' coach and the secretary."""
    app = create_app(store, Config("", ADDRESS), lambda: NOW)
    return (
        sign_in(app, store, Role.COACH, KESTRELS, name="Robin"),
        sign_in(app, store, Role.COACH, HARRIERS, name="Sam"),
        sign_in(app, store, name="Kim"),
    )
