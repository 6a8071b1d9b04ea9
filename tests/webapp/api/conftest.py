"""The small club's app, and programs of its people."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS
from tests.webapp.api.programs import Program, program_of
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store


@pytest.fixture
def app(small: Store) -> Flask:
    """Make the app of the small club, its clock stopped."""
    return create_app(small, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, small: Store) -> Program:
    """Give the secretary's program."""
    return program_of(app, small)


@pytest.fixture
def coach(app: Flask, small: Store) -> Program:
    """Give the program of the Kestrels' coach."""
    return program_of(app, small, Role.COACH, KESTRELS)
