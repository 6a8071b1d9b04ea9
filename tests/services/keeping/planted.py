"""A lived-in club in whose records one person stands wherever somebody can stand."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any

from sqlalchemy import LargeBinary, String, cast, select, type_coerce, update

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.store.engine import open_store
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import REWRITTEN, Fate, Holds
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.columns import Ground
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.hire_tables import HireRow
from clubplanner.store.tables.keeping_tables import KeepingRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow
from clubplanner.store.tables.token_tables import TokenRow
from clubplanner.store.tables.turn_tables import NextSeasonAnswerRow
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.store.upkeep.moving import move_records
from tests.builders import NOW
from tests.records import is_file, make_place, open_records
from tests.services.money.money_club import fill_money
from tests.store.earlier import FULL, put_earlier

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

NAME, ADDRESS, PHONE = "Änne Weber-Lüttich", "aenne@weber.example", "+44 1632 960876"
TOLD = f"rang {NAME.upper()} <{ADDRESS}> on 01632 960876, and {NAME}s colleague"
CALENDAR = (
    "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1@x\r\nDTSTART:20261126T180000Z\r\nDURATION:PT1H\r\n"
    f"SUMMARY:Choir of {NAME[:7]}\r\n {NAME[7:]}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)
PLANTED: dict[Holds, Any] = {
    Holds.NAME: NAME,
    Holds.ADDRESS: ADDRESS,
    Holds.PHONE: PHONE,
    Holds.WORDS: TOLD,
    Holds.FILE: CALENDAR.encode(),
}
SIGNS = (
    NAME.encode(),
    NAME.upper().encode(),
    json.dumps(NAME)[1:-1].encode(),
    json.dumps(NAME.upper())[1:-1].encode(),
    ADDRESS.encode(),
    b"960876",
    b"960 876",
)
"""How they can be found in a file."""


def lived_in_store(folder: Path) -> Store:
    """Return the records of a club after some weeks of use, something in every table."""
    path = folder / "lived.sqlite"
    put_earlier(path, FULL[0])
    file = open_store(f"sqlite:///{path}")
    migrate(file)
    if is_file():
        return file
    target = folder / "moved.sqlite"
    make_place(target)
    store = open_records(target)
    migrate(store)
    move_records(file, store)
    file.close()
    return store


def plant(store: Store) -> int:
    """Write a person into every column that can hold something of one; return their number."""
    fill_money(store, NOW)
    number = add_person(store, PersonDraft(NAME, Role.COACH, ADDRESS, (), PHONE), NOW)
    with store.write() as session:
        open_browser(session, number, "Firefox", NOW)
        _fill(session)
        connection = session.connection()
        for name, marks in MARKS.items():
            table = Base.metadata.tables[name]
            keys = list(table.primary_key.columns)
            row = connection.execute(select(table).order_by(*keys)).mappings().first()
            if row is None or name == "person" or marks.fate is Fate.STAYS:
                continue
            values = {
                column: _planted(marks.columns[column], row[column])
                for column in marks.holding(*REWRITTEN)
            }
            if values:
                which = [key == row[key.name] for key in keys]
                connection.execute(update(table).where(*which).values(values))
    return number


def _fill(session: Session) -> None:
    """Put a row into tables that came after the kept club was made."""
    squad, area = (
        session.scalars(select(SquadRow)).first(),
        session.scalars(select(AreaRow)).first(),
    )
    assert squad is not None
    assert area is not None
    times = {"start_min": 600, "end_min": 660, "every_weeks": 1, "skips_breaks": False}
    session.add(
        HireRow(
            name="Hill Runners",
            contact="",
            phone="",
            note="",
            area_id=area.id,
            created_at=NOW,
            withdrawn_at=NOW,
            **times,
        )
    )
    session.add(SquadEndRow(squad_id=squad.id, from_day=date(2027, 6, 1), why="few"))
    session.add(NextSeasonAnswerRow(item="squad-1", given={"name": "U13"}, by="Kim"))
    session.add(KeepingRow(id=1, ask="the secretary", days={}))
    person = session.scalars(select(PersonRow.id).order_by(PersonRow.id)).first()
    whose = {"person_id": person, "purpose": "a table", "secret_hash": "none", "may_change": False}
    times_of_token = {"created_at": NOW, "ends_at": NOW, "used_at": None, "revoked_at": None}
    session.add(TokenRow(**whose, **times_of_token))
    session.flush()


def _planted(holds: Holds, value: Any) -> Any:
    if holds is not Holds.VALUES:
        return PLANTED[holds]
    if isinstance(value, list):
        return [*value, {"by": [TOLD]}]
    return {**(value or {}), "holder": NAME, "note": TOLD, NAME: 1}


def where_found(store: Store) -> list[str]:
    """Return the columns of all tables in which somebody stands, read past our own code."""
    found: list[str] = []
    with store.read() as session:
        for column in (one for table in Base.metadata.sorted_tables for one in table.c):
            is_bytes = isinstance(column.type, (LargeBinary, Ground))
            text = type_coerce(column, LargeBinary) if is_bytes else cast(column, String)
            values = session.connection().execute(select(text)).scalars().all()
            if any(sign in _bytes(value) for sign in SIGNS for value in values):
                found.append(f"{column.table.name}.{column.name}")
    return found


def _bytes(value: Any) -> bytes:
    if isinstance(value, bytes):
        return value.replace(b"\r\n ", b"")
    return str(value).replace("\r\n ", "").encode()
