"""Fixtures into the club's records: from a file or by hand, completed from published tables."""

from __future__ import annotations

from dataclasses import asdict
from functools import lru_cache
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.fixtures import USUAL_AFTER, USUAL_WARM_UP, Fixture, MatchLength
from clubplanner.domain.club.comparing_names import is_called
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.fitting.games.matches import find_match_length, parse_match_lengths
from clubplanner.fitting.setting_out.formats import find_format
from clubplanner.inputs.club_files.fixtures import FixtureLine, is_fixture_table, read_fixtures
from clubplanner.inputs.reading.faults import list_words
from clubplanner.inputs.reading.table_files import read_table_file
from clubplanner.language import _, ngettext
from clubplanner.resources import published_table
from clubplanner.services.rows.ground.known_sizes import format_codes, published_formats
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.named import names_of
from clubplanner.services.rows.own_club import own_squads, refuse_other_squad
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.season_tables import FixtureRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.store.engine import Store


def load_fixtures(store: Store, file: ClubFile) -> str:
    """Load a fixtures file; known fixtures without ground are brought up to date.

    A fixture is known by its squad, date and opponent. One that has ground already keeps it.

    Args:
        store: The database.
        file: A table as text (.csv), or a workbook (.xlsx) with one or several.

    Returns:
        What was loaded, a sentence.

    Raises:
        FaultyInputError: With every fault of the file; nothing was changed.
    """
    with store.write() as session:
        fixtures = read_fixtures_into(session, file)
        return write_fixtures(session, [fixture for _row, fixture in fixtures])


def read_fixtures_into(session: Session, file: ClubFile) -> list[tuple[int, Fixture]]:
    """Read a fixtures file as the club knows squads and pitches; nothing is written.

    Returns:
        Each fixture with its row, counted from 1.

    Raises:
        FaultyInputError: With every fault of the file.
    """
    codes = format_codes(load_formats(session))
    found = read_table_file(file.data, file.name)
    problems = list(found.problems)
    tables = [one for one in found.tables if is_fixture_table(one.text)] or found.tables[:1]
    fixtures = []
    for table in tables:
        read = read_fixtures(table.text, table.name, codes)
        problems += read.problems
        for line in read.lines:
            fixture = _resolve(session, line, f"{table.name}, row {line.row}", problems)
            if fixture is not None:
                fixtures.append((line.row, fixture))
    if problems:
        raise FaultyInputError(problems)
    return fixtures


def write_fixtures(session: Session, fixtures: Sequence[Fixture]) -> str:
    """Write fixtures; known ones without ground are brought up to date. Return what was done."""
    added = sum(_write(session, fixture) is not None for fixture in fixtures)
    known = len(fixtures) - added
    words = ngettext("%(num)s fixture added", "%(num)s fixtures added", added)
    return words + (_(", %(known)s known already.", known=known) if known else ".")


def add_fixture(store: Store, line: FixtureLine) -> int:
    """Add a fixture by hand and return its number.

    Raises:
        FaultyInputError: With what is wrong; each problem's place is a form's field.
    """
    with store.write() as session:
        problems: list[Problem] = []
        fixture = _resolve(session, line, "squad", problems)
        if fixture is None:
            raise FaultyInputError(problems)
        number = _write(session, fixture)
        if number is None:
            raise FaultyInputError(
                [Problem("opponent", "known", _("This match is in the list already."))]
            )
        return number


def read_change(session: Session, row: FixtureRow, line: FixtureLine) -> Fixture:
    """Read what a fixture is to be from now on; its squad stays.

    Raises:
        FaultyInputError: With what is wrong; each problem's place is a form's field.
    """
    problems: list[Problem] = []
    fixture = _complete(session, line, row.squad, "format", problems)
    if not line.opponent:
        problems.append(Problem("opponent", "missing", _("Enter who comes.")))
    twin = _known(session, row.squad_id, line.day, line.opponent)
    if twin is not None and twin.id != row.id and twin.withdrawn_at is None:
        problems.append(Problem("opponent", "known", _("This match is in the list already.")))
    if fixture is None or problems:
        raise FaultyInputError(problems)
    return fixture


def write_change(row: FixtureRow, fixture: Fixture) -> None:
    """Write what a fixture is to be from now on; its ground is the caller's to settle."""
    row.day, row.opponent = fixture.day, fixture.opponent
    _copy(row, fixture)


def list_match_formats(store: Store) -> tuple[tuple[str, str], ...]:
    """Return code and words of every form of the game a match may have."""
    with store.read() as session:
        return tuple(
            (game.code, f"{game.code} ({game.body})" if game.body else game.code)
            for game in load_formats(session)
        )


def fixture_from_row(row: FixtureRow) -> Fixture:
    """Read a fixture."""
    return Fixture(
        squad_key=row.squad.key,
        day=row.day,
        kick_off_from=row.kick_off_from,
        kick_off_to=row.kick_off_to,
        opponent=row.opponent,
        format_code=row.format_code,
        minutes=row.minutes,
        warm_up_minutes=row.warm_up_minutes,
        after_minutes=row.after_minutes,
        pitch_name=row.pitch_name,
        officials=row.officials,
        opponents=row.opponents,
        note=row.note,
    )


def line_from_fixture(fixture: Fixture) -> FixtureLine:
    """Write a fixture as a file would say it."""
    values = asdict(fixture)
    return FixtureLine(row=0, squad=values.pop("squad_key"), **values)


def load_fixture(session: Session, number: int) -> FixtureRow:
    """Return a fixture that has not been called off.

    Raises:
        MissingError: If there is none of that number.
    """
    row = find_fixture(session, number)
    if row.withdrawn_at is not None:
        raise MissingError(_("There is no such match, or it has been called off."))
    return row


def find_fixture(session: Session, number: int) -> FixtureRow:
    """Return a fixture, also one that has been called off.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(FixtureRow, number)
    if row is None:
        raise MissingError(_("There is no such match, or it has been called off."))
    refuse_other_squad(session, row.squad_id)
    return row


def has_ground(row: FixtureRow) -> bool:
    """Tell whether a match has ground that still stands."""
    return row.booking is not None and not row.booking.is_withdrawn


@lru_cache(maxsize=1)
def match_lengths() -> tuple[MatchLength, ...]:
    """Return the published match lengths by age."""
    return parse_match_lengths(published_table("match_lengths.csv"))


def _resolve(
    session: Session, line: FixtureLine, where: str, problems: list[Problem]
) -> Fixture | None:
    own = own_squads(session)
    squads = session.scalars(select(SquadRow).where(*own).order_by(SquadRow.position)).all()
    squad = next(
        (row for row in squads if is_called(line.squad, *names_of(session, row.key, row.name))),
        None,
    )
    count = len(problems)
    if squad is None:
        known = list_words(row.name for row in squads) or _("none yet")
        problems.append(
            Problem(
                where,
                "no-such-squad",
                _("There is no squad “%(squad)s”; write %(known)s.", squad=line.squad, known=known),
            )
        )
    pitches = session.scalars(select(PitchRow.name)).all()
    if line.pitch_name and line.pitch_name not in pitches:
        problems.append(
            Problem(
                where,
                "no-such-pitch",
                _(
                    "There is no pitch “%(pitch_name)s”; write %(pitches)s, or leave it blank.",
                    pitch_name=line.pitch_name,
                    pitches=list_words(pitches),
                ),
            )
        )
    if squad is None or len(problems) > count:
        return None
    return _complete(session, line, squad, where, problems)


def _complete(
    session: Session, line: FixtureLine, squad: SquadRow, where: str, problems: list[Problem]
) -> Fixture | None:
    """Fill in form and length of the game from the squad's age."""
    age = age_from_group(squad.age_group)
    code = line.format_code
    if not code:
        published = find_format(published_formats(), age, on=line.day)  # own sizes are for training
        game = published or find_format(load_formats(session), age, on=line.day)
        if game is None:
            problems.append(
                Problem(
                    where,
                    "no-format",
                    _(
                        "No published form of the game covers %(squad)s; name one.",
                        squad=squad.name,
                    ),
                )
            )
            return None
        code = game.code
    length = find_match_length(match_lengths(), age)
    minutes = line.minutes or (length.minutes if length is not None else None)
    if minutes is None:
        problems.append(
            Problem(
                where,
                "no-length",
                _("Say how many minutes %(squad)s play, half-time too.", squad=squad.name),
            )
        )
        return None
    return Fixture(
        squad_key=squad.key,
        day=line.day,
        kick_off_from=line.kick_off_from,
        kick_off_to=line.kick_off_to,
        opponent=line.opponent,
        format_code=code,
        minutes=minutes,
        warm_up_minutes=USUAL_WARM_UP if line.warm_up_minutes is None else line.warm_up_minutes,
        after_minutes=USUAL_AFTER if line.after_minutes is None else line.after_minutes,
        pitch_name=line.pitch_name,
        officials=line.officials,
        opponents=line.opponents,
        note=line.note,
    )


def _write(session: Session, fixture: Fixture) -> int | None:
    """Write a fixture; return its number if it is new."""
    squad = session.scalars(select(SquadRow).where(SquadRow.key == fixture.squad_key)).one()
    row = _known(session, squad.id, fixture.day, fixture.opponent)
    is_new = row is None or row.withdrawn_at is not None
    if row is None:
        row = FixtureRow(squad_id=squad.id, day=fixture.day, opponent=fixture.opponent)
        session.add(row)
    if is_new or not has_ground(row):
        _copy(row, fixture)
    session.flush()
    return row.id if is_new else None


def _known(session: Session, squad_id: int, day: date, opponent: str) -> FixtureRow | None:
    return session.scalars(
        select(FixtureRow).where(
            FixtureRow.squad_id == squad_id,
            FixtureRow.day == day,
            FixtureRow.opponent == opponent,
        )
    ).first()


_COPIED: Sequence[str] = (
    "kick_off_from",
    "kick_off_to",
    "format_code",
    "minutes",
    "warm_up_minutes",
    "after_minutes",
    "pitch_name",
    "officials",
    "opponents",
    "note",
)


def _copy(row: FixtureRow, fixture: Fixture) -> None:
    for name in _COPIED:
        setattr(row, name, getattr(fixture, name))
    row.withdrawn_at = None
