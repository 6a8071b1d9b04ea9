"""The small club, for the pages of signing in and of people."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import load_small_club
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club."""
    return load_small_club(empty_store)


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)
