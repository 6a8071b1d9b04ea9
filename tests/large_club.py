"""An invented club of any size with a full calendar, made in seconds: no search, plain arithmetic.

Every pitch of 100 × 64 m is cut into thirds; every squad has two sessions a week, on a third each,
one after the other in the same order everywhere, so that no two ever meet.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, insert, select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.hires import HireTimes
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.times import range_from_wall
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.evening.notice_board import turn_board
from clubplanner.services.hires.booking import write_hire
from clubplanner.services.hires.dates import HireWish, Looking
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.runs.kept import ask_for_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.webapp import create_app
from tests.builders import LONDON, NOW
from tests.services.money.money_club import fill_money
from tests.small_club import grounds_file, pitch_feature

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from flask import Flask

    from clubplanner.store.engine import Store

SEASON_STARTS = date(2026, 8, 31)
"""A Monday."""
STARTS_MIN = (17 * 60, 18 * 60 + 15, 19 * 60 + 30)
SESSION_MIN = 75
NAMES = ("Larks", "Finches", "Rooks", "Terns", "Herons", "Owls", "Kites", "Swifts", "Wrens", "Daws")
SETTINGS = """
[club]
name = "Alderby District"
time_zone = "Europe/London"

[[venues]]
name = "Marsh Lane"
lon = -1.2
lat = 52.9
opening = "Mon-Fri 17:00-22:00; Sat-Sun 09:00-18:00"
lights_off = "21:30"

[[stretches]]
name = "Winter"
starts = 2026-08-31
ends = 2027-06-04

[[breaks]]
name = "Christmas"
starts = 2026-12-21
ends = 2027-01-03
"""
VENUE = """
[[venues]]
name = "{name}"
lon = -1.2
lat = 52.9
opening = "Mon-Fri 17:00-22:00; Sat-Sun 09:00-18:00"
lights_off = "21:30"
"""
HEAD = "squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground\n"


@dataclass(frozen=True, slots=True)
class LargeClub:
    """A club that is served.

    Attributes:
        app: Its web app.
        values: What stands in place of the parts of an address.
        secrets: The secret of a signed-in browser, by role.
    """

    app: Flask
    values: dict[str, str]
    secrets: dict[str, str]


def make_large_club(
    store: Store,
    squads: int,
    pitches: int,
    weeks: int,
    *,
    venues: int = 1,
    grass_every: int = 0,
    past: Callable[[Store], None] | None = None,
    propose: Callable[[Store], int] | None = None,
    squads_a_coach: int = 0,
) -> LargeClub:
    """Fill a migrated store: ground, squads with asks, people, addresses, a proposal, bookings.

    Args:
        store: An empty store.
        squads: How many; at most 22 a pitch have room.
        pitches: How many.
        weeks: How many weeks from the last day of August 2026 are booked.
        venues: Over how many venues the pitches are spread.
        grass_every: Every how many-th pitch is of grass, of which every fifth has no floodlights;
            0 for none.
        past: Adds what was before, once there are ground and squads.
        squads_a_coach: How many squads that follow each other have one coach; 0 for 97 coaches.
        propose: Keeps a proposal and returns its number; None for a second's search.
    """
    features = [
        pitch_feature(
            f"Pitch {n:02}",
            100,
            64,
            surface="grass" if grass_every and n % grass_every == 0 else "artificial",
            floodlights=not grass_every or n % (5 * grass_every) != 0,
        )
        for n in range(1, pitches + 1)
    ]
    names = ["Marsh Lane", *(f"Ground {n:02}" for n in range(2, venues + 1))]
    each = -(-pitches // venues)
    rows = "".join(
        f"U{8 + n % 11} {NAMES[n % 10]} {n:03},U{8 + n % 11},14,1,"
        f"Coach {n // squads_a_coach if squads_a_coach else n % 97:02},2,75,"
        "Mon-Fri 17:00-20:45,third\n"
        for n in range(squads)
    )
    more = "".join(VENUE.format(name=name) for name in names[1:])
    files = [
        ClubFile("club.toml", (SETTINGS + more).encode()),
        *(
            grounds_file(*features[each * n : each * (n + 1)], venue=name)
            for n, name in enumerate(names)
        ),
        ClubFile("squads.csv", (HEAD + rows).encode()),
    ]
    load_files(store, files, NOW)
    if past is not None:
        past(store)
    _book(store, weeks)
    return _open(store, propose or _search)


@contextmanager
def noting_statements(store: Store) -> Iterator[list[str]]:
    """Give a list that gets every statement sent to a store's database within the block."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_: Any) -> None:
        sent.append(statement)

    event.listen(store.engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(store.engine, "before_cursor_execute", note)


def _hire_out(store: Store) -> int:
    """Hire each pitch out on Sundays far ahead, as one change, and return one hire's number."""
    first = NOW.date() + timedelta(days=6 - NOW.weekday(), weeks=9)
    times = HireTimes(first, first + timedelta(weeks=2), 1, 600, 690)
    with store.write() as session:
        looking = Looking(session, first, times.last_on, NOW)
        for ground in session.scalars(select(AreaRow.id).where(AreaRow.cut == "whole")).all():
            wish = HireWish(f"Hirer {ground}", ground, times)
            row = write_hire(session, wish, looking.dates(wish, times.dates), NOW)
        session.flush()
        return row.id


def _book(store: Store, weeks: int) -> None:
    with store.write() as session:
        areas = session.execute(
            select(AreaRow, PitchRow)
            .join(PitchRow, AreaRow.pitch_id == PitchRow.id)
            .where(AreaRow.cut == "thirds")
            .order_by(PitchRow.position, AreaRow.position)
        ).all()
        squads = session.scalars(select(SquadRow).order_by(SquadRow.position)).all()
        places = [
            (day, start, n) for n in range(len(areas)) for start in STARTS_MIN for day in range(5)
        ]
        rows: list[dict[str, object]] = []
        for number, squad in enumerate(squads):
            for turn in range(2):
                day, start, place = places[(2 * number + turn) % len(places)]
                area, pitch = areas[place]
                for week in range(weeks):
                    on = SEASON_STARTS + timedelta(days=day, weeks=week)
                    during = range_from_wall(on, start, start + SESSION_MIN, LONDON)
                    rows.append(
                        {
                            "uid": f"{squad.key}-{turn}-{week}@large.example",
                            "pitch_id": pitch.id,
                            "area_id": area.id,
                            "cells": area.cells,
                            "starts_at": during.starts_at,
                            "ends_at": during.ends_at,
                            "purpose": Purpose.TRAINING,
                            "squad_id": squad.id,
                            "holder": squad.name,
                            "note": "",
                            "is_withdrawn": False,
                            "is_fixed": False,
                            "share_out_id": None,
                            "sequence": 0,
                            "created_at": NOW,
                            "changed_at": NOW,
                        }
                    )
        session.connection().execute(insert(BookingRow.__table__), rows)  # type: ignore[arg-type]


def _search(store: Store) -> int:
    return run_share_out(store, "winter", Effort(seconds=1), NOW).number


def _open(store: Store, propose: Callable[[Store], int]) -> LargeClub:
    with store.read() as session:
        squad = session.scalars(select(SquadRow).order_by(SquadRow.position)).first()
        booking = session.scalars(
            select(BookingRow)
            .where(BookingRow.ends_at > NOW, BookingRow.squad_id == (squad.id if squad else 0))
            .order_by(BookingRow.starts_at)
        ).first()
    if squad is None or booking is None:
        raise ValueError("Make a club with squads and weeks to come.")
    secrets = {}
    for name, role in (("Kim", Role.SECRETARY), ("Jo", Role.COACH), ("Al", Role.GROUNDSKEEPER)):
        own = (squad.key,) if role is Role.COACH else ()
        person = add_person(store, PersonDraft(f"{name} Ashby", role, "", own), NOW)
        with store.write() as session:
            secrets[role.value] = open_browser(session, person, "A browser", NOW)
    turn_board(store, is_on=True, now=NOW)
    number = propose(store)
    day = booking.starts_at.date()  # one on which somebody trains, in a small club as well
    match = f"date,kick-off,squad,opponent\n{day},17:30-18:30,{squad.name},Brook End\n"
    load_fixtures(store, ClubFile("fixtures.csv", match.encode()))
    hire = _hire_out(store)
    run = RunRequest(Work.STRETCH, Effort(seconds=30), stretch="winter")
    ask_for_run(store, run, NOW, datetime.now(UTC))
    wish = LinkWish(LinkKind.SQUAD, squad.key, "R")
    values = {
        "secret": create_squad_link(store, squad.key, "a test", NOW),
        "/calendar/<secret>": create_link(store, wish, NOW).path,
        "number": str(number),
        "/desk/bookings/<int:number>": f"/desk/bookings/{booking.id}",
        "/desk/bookings/<int:number>/places": f"/desk/bookings/{booking.id}/places",
        "/coach/sessions/<int:number>": f"/coach/sessions/{booking.id}",
        "/desk/season/hires/<int:number>": f"/desk/season/hires/{hire}",
        "/desk/share-outs/bookings/<int:number>": f"/desk/share-outs/bookings/{booking.id}",
        **fill_money(store, NOW),
        "/desk/evening": f"/desk/evening?venue=marsh-lane&date={booking.starts_at.date()}",
        "key": squad.key,
        "board": "marsh-lane",
        "venue": "marsh-lane",
        "pitch": "marsh-lane-pitch-01",
        "guide": "coach",
    }
    app = create_app(store, Config("", "http://127.0.0.1:8000"), lambda: NOW)
    return LargeClub(app, values, secrets)
