"""The club that is asked: something in every table, somebody of each kind, a key of each kind."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.booked.hires import HireTimes
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.session_links import add_session_link
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.hires.booking import book_hire
from clubplanner.services.hires.dates import HireWish
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link
from clubplanner.services.rows.own_club import load_clubs
from clubplanner.services.setup.clubs.club_squads import move_squad
from clubplanner.services.setup.clubs.page import name_club
from clubplanner.store.engine import open_store
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from clubplanner.webapp.base.runner import Runner
from clubplanner.webapp.base.state import EXTENSION
from tests.builders import A_WEDNESDAY, NOW
from tests.council import BROOK, BROOK_U14, KIM, WEIR, WEIR_U12, club_number
from tests.records import open_records
from tests.services.money.money_club import fill_money
from tests.small_club import HARRIERS, KESTRELS, TOP, find_area_id
from tests.store.lived_in import live_in

if TYPE_CHECKING:
    from datetime import datetime
    from pathlib import Path

    from flask import Flask

    from clubplanner.store.engine import Store

NOBODY, OTHER_COACH = "nobody", "other coach"
WHO = (NOBODY, *(role.value for role in Role), OTHER_COACH)
"""Who asks; parents are nobody with an address of the squad."""
OWN_SQUADS = {Role.COACH.value: WEIR_U12, OTHER_COACH: BROOK_U14}
ADDRESS = "http://127.0.0.1:8000"
HIRER_PHONE = "01632 960123"
PRIVATE = (HIRER_PHONE, "kim@alderby.example", "sam@alderby.example", "jo@alderby.example")
"""Words of the records that are for the desk alone, or for whom they belong to."""


@dataclass(frozen=True, slots=True)
class Keys:
    """What opens something.

    Attributes:
        browsers: The cookie of a signed-in browser, by who has it; blank for nobody.
        paths: Addresses with a secret in them.
    """

    browsers: dict[str, str]
    paths: tuple[str, ...]

    @property
    def secrets(self) -> tuple[str, ...]:
        """The secret parts of the addresses, and the browsers' own."""
        return (*(path.split("/")[2] for path in self.paths), *self.browsers.values())


class NoRunner(Runner):
    """Writes runs of share-outs down and starts none: a search would outlive its round."""

    def launch(self, store: Store, number: int) -> None:
        """Leave the run to somebody else."""


class Clock:
    """A clock that is put to an instant."""

    def __init__(self, now: datetime = NOW) -> None:
        self.now = now

    def __call__(self) -> datetime:
        """Return the present instant."""
        return self.now


def make_club(path: Path) -> Keys:
    """Make the club's database at a path and return what opens it."""
    store = open_store(f"sqlite:///{path}")
    migrate(store)
    ways = live_in(store)
    _name_clubs(store)
    sam = PersonDraft("Sam Reed", Role.COACH, "sam@alderby.example", (BROOK_U14,))
    kim = PersonDraft(KIM, Role.CLUB_SECRETARY, "", club=club_number(store, WEIR))
    drafts = {OTHER_COACH: sam, Role.CLUB_SECRETARY.value: kim}
    browsers = {who: _let_in(store, draft) for who, draft in drafts.items()}
    keeper = _number_of(store, "Alex Marsh")
    times = HireTimes(A_WEDNESDAY.replace(day=28), A_WEDNESDAY.replace(month=12), 1, 600, 690)
    wish = HireWish(
        "Lantern walkers", find_area_id(store, TOP, "whole"), times, "Ada Nyman", HIRER_PHONE
    )
    book_hire(store, wish, NOW)
    fill_money(store, NOW)
    with store.write() as session:
        passed = add_session_link(
            session, _next_session(store), "Jo", "Robin Hale", NOW, may_count=True
        )
    jo = create_link(store, LinkWish(LinkKind.SQUAD, WEIR_U12, "Jo", "jo@alderby.example"), NOW)
    paths = (
        f"/mails/{jo.path.rpartition('/')[2]}",
        f"/ground/{ways.squad}",
        f"/session/{passed}",
        f"/calendar/{ways.coach}",
        f"/calendar/{ways.pitch}",
        f"/let-in/{hand_over_link(store, keeper, NOW)}",
        f"/secretary/{create_secretary_key(store, NOW)}",
    )
    store.close()
    _settle(path)
    return Keys({NOBODY: "", **ways.browsers, **browsers}, paths)


def open_club(path: Path, clock: Clock) -> tuple[Flask, Store]:
    """Open the database at a path and make its app, with a runner that starts nothing."""
    store = open_records(path)
    app = create_app(store, Config("", ADDRESS), clock)
    state = app.extensions[EXTENSION]
    app.extensions[EXTENSION] = replace(state, runner=NoRunner(lambda: clock.now))
    return app, store


def put_back(source: Path, target: Path) -> None:
    """Put a database back as it was made, under a store that has it open and is at rest."""
    with sqlite3.connect(source) as kept, sqlite3.connect(target) as used:
        kept.backup(used)
    kept.close()
    used.close()


def _name_clubs(store: Store) -> None:
    """Let two clubs share the ground, a squad each."""
    for name in (WEIR, BROOK):
        name_club(store, name)
    with store.write() as session:
        clubs = {club.name: club for club in load_clubs(session)}
        for key, name in ((KESTRELS, WEIR), (HARRIERS, BROOK)):
            squad = session.scalars(select(SquadRow).where(SquadRow.key == key)).one()
            move_squad(session, squad, clubs[name], NOW)


def _let_in(store: Store, draft: PersonDraft) -> str:
    """Let somebody sign in, and return their browser's secret."""
    number = add_person(store, draft, NOW)
    with store.write() as session:
        return open_browser(session, number, "Safari on an iPad", NOW)


def _settle(path: Path) -> None:
    """Write what lies in the log beside a database into it, so that it can be copied."""
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()


def _number_of(store: Store, name: str) -> int:
    with store.read() as session:
        return session.scalars(select(PersonRow.id).where(PersonRow.name == name)).one()


def _next_session(store: Store) -> int:
    with store.read() as session:
        return (
            session.scalars(
                select(BookingRow.id)
                .where(BookingRow.starts_at > NOW, BookingRow.is_withdrawn.is_(False))
                .where(BookingRow.squad.has(key=WEIR_U12))
                .order_by(BookingRow.starts_at)
            ).first()
            or 0
        )
