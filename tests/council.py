"""A small invented council whose ground, that of the small club, two clubs share.

Both clubs have a squad of under tens. Kim Lee is the secretary of Weir Rovers, Noor Aziz of Brook
Athletic; Robin Hale and Sam Reed coach a club's squad each, Alex Moss a squad of either club.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import person_from_row
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.services.rows.own_club import load_clubs
from clubplanner.store.tables.people_tables import PersonRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import SETTINGS, TOP, find_area_id, find_squad_id, load_small_club

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.domain.club.people import Person
    from clubplanner.store.engine import Store

WEIR, BROOK = "Weir Rovers", "Brook Athletic"
WEIR_U10, WEIR_U12 = "weir-rovers-u10", "weir-rovers-u12-kestrels"
BROOK_U10, BROOK_U14 = "brook-athletic-u10", "brook-athletic-u14-harriers"
KIM, NOOR, OFFICE = "Kim Lee", "Noor Aziz", "Pat Hill"
COUNCIL_SETTINGS = SETTINGS.replace("Alderby Rovers", "Alderby Council") + (
    f'\n[[clubs]]\nname = "{WEIR}"\n\n[[clubs]]\nname = "{BROOK}"\n'
)
COUNCIL_SQUADS = """\
club,squad,age group,players,goalkeepers,coach,coach e-mail,coach phone,sessions a week,minutes,possible,least ground
Weir Rovers,U12 Kestrels,U12,14,1,Robin Hale,robin@example.org,01632 960111,1,75,Wed 18:00-19:15,third
Brook Athletic,U14 Harriers,U14,16,2,Sam Reed,sam@example.org,01632 960222,2,60,Mon-Fri 18:00-20:00,third
Weir Rovers,U10,U10,10,1,Alex Moss,alex@example.org,01632 960333,1,60,Mon-Fri 17:00-19:00,third
Brook Athletic,U10,U10,12,1,Alex Moss,alex@example.org,01632 960333,1,60,Mon-Fri 17:00-19:00,third
,Parks squad,U8,8,1,,,,1,60,Mon-Fri 17:00-18:00,third
"""  # noqa: E501 - a table
PARKS = "parks-squad"


def load_council(store: Store) -> Store:
    """Load the council's files, and its secretaries: of the whole, and of each club."""
    load_small_club(store, settings=COUNCIL_SETTINGS, squads=COUNCIL_SQUADS)
    add_person(store, PersonDraft(OFFICE, Role.SECRETARY, ""), NOW)
    for name, club in ((KIM, WEIR), (NOOR, BROOK)):
        draft = PersonDraft(name, Role.CLUB_SECRETARY, "", club=club_number(store, club))
        add_person(store, draft, NOW)
    return store


def club_number(store: Store, name: str) -> int:
    """Return the number of a club within the record."""
    with store.read() as session:
        return next(c.number for c in load_clubs(session, ended=True) if c.name == name)


def person_called(store: Store, name: str) -> Person:
    """Return somebody by name."""
    with store.read() as session:
        row = session.scalars(select(PersonRow).where(PersonRow.name == name)).one()
        return person_from_row(row)


def as_secretary(store: Store, name: str = KIM) -> Store:
    """Return the store as it is while the secretary of a club is at work."""
    person = person_called(store, name)
    return store.acting_for(person.name, person.scope)


def book_squad(
    store: Store,
    squad: str,
    area_key: str = "third-1",
    *,
    day: date = A_WEDNESDAY,
    start_min: int = 18 * 60,
    minutes: int = 60,
) -> int:
    """Put training of a squad in the books, as a fact; return its number."""
    wish = BookingWish(
        area_id=find_area_id(store, TOP, area_key),
        during=range_from_wall(day, start_min, start_min + minutes, LONDON),
        purpose=Purpose.TRAINING,
        squad_id=find_squad_id(store, squad),
        holder=squad,
        note="",
        is_fixed=False,
    )
    with replace(store, scope=None).write() as session:
        return insert_booking(session, wish, NOW).id
