"""Matches of a table into the club's records."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import clock_from_minute, short_day
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.fixtures import COLUMNS
from clubplanner.language import _
from clubplanner.services.evening.matches.fixture_rows import (
    fixture_from_row,
    read_fixtures_into,
    write_fixtures,
)
from clubplanner.services.pasting.sent import CHANGED, NEW, SAME, Change, Taken, faults_at_cells
from clubplanner.services.rows.ground.known_sizes import format_codes
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.season_tables import FixtureRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.fixtures import Fixture
    from clubplanner.inputs.pasting.understanding import LooseTable, Understood

Key = tuple[str, "date", str]
"""By which a match is known: squad, date, opponent."""
FILE = "fixtures.csv"


def take_matches(session: Session, table: LooseTable, understood: Understood) -> Taken:
    """Write the matches of a table, unless something is asked; the caller keeps or gives up.

    A match is known by squad, date and opponent; one that has ground already keeps what it has.

    Args:
        session: The open write session.
        table: What was sent.
        understood: What was understood of it.
    """
    rows = understood.rows
    file = ClubFile(FILE, _text([row.cells for row in rows]).encode())
    squads = select(SquadRow.key, SquadRow.name).order_by(SquadRow.position)
    names = dict(session.execute(squads).all())
    choices = {
        "no-such-squad": list(names.values()),
        "no-such-pitch": list(session.scalars(select(PitchRow.name).order_by(PitchRow.id))),
        "no-format": format_codes(load_formats(session)),
    }

    def row_of(number: int) -> int | None:
        return rows[number - 2].row if 0 <= number - 2 < len(rows) else None

    try:
        fixtures = read_fixtures_into(session, file)
    except FaultyInputError as fault:
        asked, problems = faults_at_cells(fault.problems, table, understood, row_of, choices)
        return Taken((), (*understood.asked, *asked), tuple(problems))
    known = _known(session)
    changes = tuple(
        _change(fixture, names[fixture.squad_key], known, row_of(number) or 0)
        for number, fixture in fixtures
    )
    if understood.asked:
        return Taken(changes, understood.asked)
    words = write_fixtures(session, [fixture for _number, fixture in fixtures])
    return Taken(changes, lines=(words,))


def _text(rows: Sequence[Mapping[str, str]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([row.get(column, "") for column in COLUMNS] for row in rows)
    return text.getvalue()


def _known(session: Session) -> dict[Key, tuple[Fixture, bool]]:
    """Return every match that is on, by squad, date and opponent, and whether it has ground."""
    rows = session.scalars(select(FixtureRow).where(FixtureRow.withdrawn_at.is_(None)))
    found = {}
    for row in rows:
        fixture = fixture_from_row(row)
        key = (fixture.squad_key, fixture.day, fixture.opponent)
        found[key] = (fixture, row.booking_id is not None)
    return found


def _change(
    fixture: Fixture, squad: str, known: Mapping[Key, tuple[Fixture, bool]], row: int
) -> Change:
    stood = known.get((fixture.squad_key, fixture.day, fixture.opponent))
    words = [
        short_day(fixture.day),
        _kick_off(fixture),
        _("%(minutes)s min", minutes=fixture.minutes),
        fixture.format_code,
        fixture.pitch_name,
    ]
    what = NEW if stood is None else SAME if stood[1] or stood[0] == fixture else CHANGED
    return Change(
        name=_("%(squad)s v %(opponent)s", squad=squad, opponent=fixture.opponent),
        what=what,
        rows=(row,),
        as_read=(", ".join(word for word in words if word),),
    )


def _kick_off(fixture: Fixture) -> str:
    first, last = clock_from_minute(fixture.kick_off_from), clock_from_minute(fixture.kick_off_to)
    return first if first == last else f"{first}–{last}"
