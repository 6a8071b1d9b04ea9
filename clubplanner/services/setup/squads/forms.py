"""Squads and asks by form: the same words and the same reader as the squads file."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.clubs_within import find_club, full_name, own_name
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.domain.terms import SURFACES
from clubplanner.errors import FaultyInputError, OutdatedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.inputs.club_files.squads_file.squad_rows import (
    row_of_ask,
    row_of_squad,
    write_table,
)
from clubplanner.inputs.club_files.squads_file.squads import ASK_COLUMNS, CLUB, SQUAD_COLUMNS
from clubplanner.language import _, ngettext
from clubplanner.services.proposals.new_names import follow_in_proposals, load_spoken
from clubplanner.services.rows.ground.known_sizes import format_codes
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.own_club import (
    club_names_by_key,
    clubs_by_squad,
    is_held,
    load_clubs,
    own_squads,
)
from clubplanner.services.rows.snapshot import load_asks, load_club, load_squads
from clubplanner.services.setup.clubs.club_squads import put_in_clubs
from clubplanner.services.setup.loading import load_into
from clubplanner.services.setup.squads.chosen_coach import (
    SOMEBODY_NEW,
    ChosenCoaches,
    cells_with_choice,
    people_to_choose,
    put_chosen,
)
from clubplanner.services.setup.squads.first_coach import OTHER, settle_coach
from clubplanner.services.setup.squads.names import follow_in_wishes
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.services.showing.states.squad_endings import ending_of
from clubplanner.store.rights import scope_of
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Squad
    from clubplanner.store.engine import Store

_WHERE = re.compile(r"row (\d+), column (.+)$")
FILE = "squads.csv"
AS_WRITTEN = ChosenCoaches()
NEW = ""
"""Stands for the key of a squad that is not there yet."""


@dataclass(frozen=True, slots=True)
class SquadForm:
    """A squad as its form shows it, in the words of the squads file.

    Attributes:
        name: What it is called now; blank for a new one.
        squad: The cells about the squad, by column.
        asks: The cells of each ask, by column.
        coach_name: Who answers for it now; blank for nobody.
        seen: What stands now, as a digest: a form sends it back, so that the later of two is told.
        people: Who can be chosen as a coach.
        surfaces: Of the club's pitches; the usual ones as long as there is none.
        formats: Codes of the game formats that are known.
        ending: That it ends, in words; blank where it does not.
        clubs: The clubs that it can be of; empty where the record names none, and for the secretary
            of one.
    """

    name: str
    squad: dict[str, str]
    asks: tuple[dict[str, str], ...]
    coach_name: str
    seen: str
    people: tuple[Choice, ...] = ()
    surfaces: tuple[str, ...] = ()
    formats: tuple[str, ...] = ()
    ending: str = ""
    clubs: tuple[Choice, ...] = ()


def see_squad_form(store: Store, key: str) -> SquadForm:
    """Return a squad's form; with a blank key that of a new squad.

    Raises:
        MissingError: If there is no such squad.
    """
    with store.read() as session:
        load_club(session)
        if key == NEW:
            clubs = _clubs_to_choose(session)
            return SquadForm("", {}, (), "", _digest([]), *_lists(session), clubs=clubs)
        row = find_squad(session, key)
        own = rows_of_squads(session).get(row.key, [])
        squad = next(s for s in squads_with_clubs(session) if s.key == row.key)
        asks = tuple({column: line[column] for column in ASK_COLUMNS} for line in own)
        seen = _digest([row_of_squad(squad), *own])
        return SquadForm(
            squad.name,
            row_of_squad(squad),
            asks,
            squad.coach or squad.coach_email,
            seen,
            *_lists(session),
            ending=ending_of(session, row),
            clubs=_clubs_to_choose(session, squad.club),
        )


def _clubs_to_choose(session: Session, own: str = "") -> tuple[Choice, ...]:
    """Return the clubs that take part, and a squad's own even if it has ended."""
    clubs = () if is_held(session) else load_clubs(session, ended=True)
    return tuple(
        Choice(club.name, club.name) for club in clubs if not club.has_ended or club.name == own
    )


def _lists(session: Session) -> tuple[tuple[Choice, ...], tuple[str, ...], tuple[str, ...]]:
    surfaces = session.scalars(select(PitchRow.surface).distinct().order_by(PitchRow.surface))
    formats = format_codes(load_formats(session))
    return people_to_choose(session), tuple(surfaces) or SURFACES, formats


def save_squad(
    store: Store,
    key: str,
    squad: Mapping[str, str],
    asks: Sequence[Mapping[str, str]],
    seen: str,
    now: datetime,
    coach_is: str = "",
    chosen: ChosenCoaches = AS_WRITTEN,
) -> str:
    """Write a squad and what it asks for; return its key, which follows its name.

    Args:
        store: The database.
        key: Which squad; blank for a new one.
        squad: The cells about the squad, by column.
        asks: The cells of each ask; at least one.
        seen: The digest that the form was shown with.
        now: The present instant.
        coach_is: `SAME` if another name corrects that of the first coach, `OTHER` if somebody
            else takes the squad over; blank if nobody was asked.
        chosen: Who was chosen from the people known.

    Raises:
        FaultyInputError: With every fault; `where` is the column for the squad's own cells, and
            "2 minutes" for a cell of the second ask.
        MissingError: If the squad is gone.
        OutdatedError: If somebody changed it since the form was shown.
    """
    if not squad.get("squad", "").strip() and not any(asks):
        text = _("Enter the squad's name, and what it asks for.")
        raise FaultyInputError([Problem("squad", "missing", text)])
    with store.write() as session:
        spoken = load_spoken(session)
        squad = _named_by_club(session, key, squad)
        wanted = key_from_name(squad["squad"])
        rows = rows_of_squads(session)
        order = [one.key for one in load_squads(session)]
        if key != NEW:
            _refuse_outdated(session, key, rows.get(key, []), seen)
        if wanted != key and wanted in order:
            text = _("Another squad has this name; choose one that nobody else has.")
            raise FaultyInputError([Problem("squad", "taken", text)])
        if key != NEW:
            find_squad(session, key).key = wanted
            follow_in_wishes(session, {key: wanted})
            order = [wanted if one == key else one for one in order]
        else:
            order.append(wanted)
        known = None if key == NEW else find_squad(session, wanted)
        cells, first = cells_with_choice(session, known, squad, chosen, now)
        if known is not None:
            said = OTHER if chosen.first == SOMEBODY_NEW else coach_is
            settle_coach(session, known, cells, said, now)
            rows = rows_of_squads(session, {wanted: squad["squad"]})
        rows.pop(wanted, None)
        rows[wanted] = [{**cells, **ask} for ask in asks] or [cells]
        _load(session, rows, order, wanted, now)
        put_in_clubs(session, {find_squad(session, wanted).id: squad.get(CLUB, "")})
        follow_in_proposals(session, spoken)
        put_chosen(session, find_squad(session, wanted), first, chosen, now)
        return wanted


def drop_asks(store: Store, key: str, seen: str, now: datetime) -> str:
    """Let a squad ask for nothing; it keeps its bookings. Return its name.

    Raises:
        FaultyInputError: If it is the last one that asks for something.
        MissingError: If the squad is gone.
        OutdatedError: If somebody changed it since the form was shown.
    """
    with store.write() as session:
        rows = rows_of_squads(session)
        _refuse_outdated(session, key, rows.get(key, []), seen)
        rows.pop(key, None)
        row = find_squad(session, key)
        if not rows:
            row.asks.clear()
        else:
            _load(session, rows, [one.key for one in load_squads(session)], key, now)
        return row.name


def _named_by_club(session: Session, key: str, squad: Mapping[str, str]) -> dict[str, str]:
    """Return the cells about a squad with its club, and called by it."""
    scope = scope_of(session)
    known = {} if key == NEW else clubs_by_squad(session)
    was = known.get(find_squad(session, key).id) if known else None
    name = " ".join(squad.get("squad", "").split())
    name = name if was is None else own_name(was.name, name)
    club = squad.get(CLUB, "") if scope is None else scope.club_name
    if (
        name
        and club
        and not (scope is None and find_club(load_clubs(session, ended=True), club) is None)
    ):
        name = full_name(club, name)
    return {**squad, "squad": name, CLUB: club}


def write_squads_file(store: Store) -> bytes:
    """Return every squad that asks for something as a squads file; of a club, its own."""
    with store.read() as session:
        own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
        found = rows_of_squads(session)
        rows = [line for key, lines in found.items() if key in own for line in lines]
    return write_table(rows, is_for_sheets=True).encode()


def squads_with_clubs(session: Session) -> tuple[Squad, ...]:
    """Return all squads, in the club's order, each with the name of its club within the record."""
    clubs = club_names_by_key(session)
    squads = load_squads(session)
    return tuple(replace(one, club=clubs.get(one.key, "")) for one in squads) if clubs else squads


def rows_of_squads(
    session: Session, renamed: Mapping[str, str] | None = None
) -> dict[str, list[dict[str, str]]]:
    """Return the rows of the squads file as it stands, by squad.

    Args:
        session: An open session.
        renamed: New names of squads that have the keys of these already.
    """
    squads = {squad.key: squad for squad in squads_with_clubs(session)}
    names = {key: squad.name for key, squad in squads.items()} | dict(renamed or {})
    rows: dict[str, list[dict[str, str]]] = {}
    for _unused, ask in load_asks(session):
        line = {**row_of_squad(squads[ask.squad_key]), **row_of_ask(ask, names)}
        rows.setdefault(ask.squad_key, []).append(line)
    return rows


def _load(
    session: Session,
    rows: Mapping[str, list[dict[str, str]]],
    order: Sequence[str],
    key: str,
    now: datetime,
) -> None:
    """Load the table anew, and tell the faults of one squad's rows at their fields."""
    keys = [one for one in order if one in rows] or list(rows)
    if key in rows and key not in keys:
        keys.append(key)
    lines = [line for one in keys for line in rows[one]]
    before = sum(len(rows[one]) for one in keys[: keys.index(key)]) if key in keys else 0
    try:
        load_into(session, [ClubFile(FILE, write_table(lines).encode())], now)
    except FaultyInputError as fault:
        raise FaultyInputError(
            [_at_field(problem, before) for problem in fault.problems]
        ) from fault


def _at_field(problem: Problem, before: int) -> Problem:
    """Point a fault of the table at the form's field: row 2 of the file is the first one."""
    match = _WHERE.search(problem.where)
    if match is None:
        return problem
    number, column = int(match[1]) - 1 - before, match[2]
    where = column if column in SQUAD_COLUMNS else f"{number} {column}"
    return Problem(where, problem.code, problem.message)


def stand_of_squad(session: Session, key: str) -> str:
    """Return what stands of a squad and its asks, as a digest.

    Raises:
        MissingError: If there is no such squad.
    """
    row = find_squad(session, key)
    squad = next(s for s in squads_with_clubs(session) if s.key == row.key)
    return _digest([row_of_squad(squad), *rows_of_squads(session).get(row.key, [])])


def _refuse_outdated(
    session: Session, key: str, own: Sequence[Mapping[str, str]], seen: str
) -> None:
    row = find_squad(session, key)
    squad = next(s for s in squads_with_clubs(session) if s.key == row.key)
    if _digest([row_of_squad(squad), *own]) != seen:
        stands = "; ".join(
            _(
                "%(sessions)s × %(minutes)s min, %(possible)s",
                sessions=line["sessions a week"],
                minutes=line["minutes"],
                possible=line["possible"],
            )
            for line in own
        )
        raise OutdatedError(
            _(
                "Somebody has changed %(squad)s in the meantime; what stands now: "
                "%(players)s, %(stands)s. Look at it, then save yours again.",
                squad=squad.name,
                players=ngettext("%(num)s player", "%(num)s players", squad.players),
                stands=stands or _("asks for nothing"),
            )
        )


def _digest(rows: Sequence[Mapping[str, str]]) -> str:
    return hashlib.sha256(write_table(rows).encode()).hexdigest()[:16]
