"""Clubs within the record, and which squads are theirs: named, renamed, ended, squads moved.

A squad of a club is called by the club's name and its own (`domain/club/clubs_within.py`), so
whoever moves a squad or renames a club renames squads: bookings, calendars and proposals follow.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select

from clubplanner.domain.club.clubs_within import ClubWithin, full_name, own_name
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.squads_file.squads import LONGEST_NAME
from clubplanner.language import _, ngettext
from clubplanner.services.rows.own_club import clubs_by_squad, load_club_within, load_clubs
from clubplanner.services.rows.people.people_rows import withdraw_tokens_of
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.setup.calendars_follow import count_renamed_squads, squad_names
from clubplanner.services.setup.squads.names import give_names
from clubplanner.store.rights import scope_of
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow, SignInRow
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow, ClubWithinRow, SquadClubRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Squad

LONGEST_CLUB = 60
"""Letters of a club's name: it stands in front of each of its squads."""


def set_clubs(session: Session, names: Sequence[str], now: datetime) -> list[Problem]:
    """Let there be these clubs and no others, as a settings file says.

    Args:
        session: The open write session.
        names: Their names, in order; known ones go on, those left out end.
        now: The present instant.

    Returns:
        Every fault; then the transaction is to be given up.
    """
    faults = [Problem("[[clubs]]", "name", words) for words in _name_faults(names)]
    if faults:
        return faults
    rows = {row.key: row for row in session.scalars(select(ClubWithinRow))}
    for position, name in enumerate(names):
        key = key_from_name(name)
        row = rows.pop(key, None) or ClubWithinRow(key=key)
        row.name, row.position, row.ended_at = name, position, None
        session.add(row)
    session.flush()
    for row in (row for row in rows.values() if row.ended_at is None):
        words = _end(session, row, now)
        if words:
            faults.append(Problem("[[clubs]]", "has-squads", words))
    return faults


def add_club(session: Session, name: str) -> ClubWithinRow:
    """Add a club, or let one that has ended take part again.

    Raises:
        FaultyInputError: If the name cannot be told from another one's.
    """
    clubs = load_clubs(session)
    key = key_from_name(name)
    names = [club.name for club in clubs]
    _refuse_name(name, names, names)
    row = session.scalars(select(ClubWithinRow).where(ClubWithinRow.key == key)).first()
    if row is None:
        count = session.scalar(select(func.count(ClubWithinRow.id))) or 0
        row = ClubWithinRow(key=key, position=count)
    row.name, row.ended_at = name, None
    session.add(row)
    session.flush()
    return row


def rename_club(session: Session, number: int, name: str, now: datetime) -> None:
    """Let a club be called otherwise, and its squads with it.

    Raises:
        FaultyInputError: If the name cannot be told from another one's, or is too long for a squad.
        MissingError: If there is no such club.
    """
    row = load_club_within(session, number)
    others = [club for club in load_clubs(session, ended=True) if club.number != number]
    taken = [club.name for club in others]
    _refuse_name(name, [club.name for club in others if not club.has_ended], taken)
    old, row.name, row.key = row.name, name, key_from_name(name)
    squads = session.scalars(select(SquadRow).where(SquadRow.id.in_(_squads_of(number)))).all()
    _rename(session, {one.id: full_name(name, own_name(old, one.name)) for one in squads}, now)


def end_club(session: Session, number: int, now: datetime) -> str:
    """Let a club take part no longer: its secretaries come in no more. Return its name.

    Raises:
        FaultyInputError: If squads of it go on.
        MissingError: If there is no such club.
    """
    row = load_club_within(session, number)
    words = _end(session, row, now)
    if words:
        raise FaultyInputError([Problem("club", "has-squads", words)])
    return row.name


def put_in_clubs(session: Session, clubs: Mapping[int, str]) -> None:
    """Say whose squads are.

    Args:
        session: The open write session.
        clubs: The name of a club by a squad's number; blank for a squad of none.

    Raises:
        FaultyInputError: If a squad of another club, or of none, is put into one that has ended.
    """
    known_clubs = load_clubs(session, ended=True)
    numbers = {club.name: club.number for club in known_clubs}
    ended = {club.name for club in known_clubs if club.has_ended}
    known = {squad: club.number for squad, club in clubs_by_squad(session).items()}
    for squad, name in clubs.items():
        wanted = numbers.get(name)
        if wanted == known.get(squad):
            continue
        if name in ended:
            words = _(
                "%(club)s takes part no longer: no squad is put into it. Choose another club, or "
                "let it take part again first.",
                club=name,
            )
            raise FaultyInputError([Problem("club", "ended", words)])
        _put(session, squad, wanted)
    session.flush()


def put_in_own_club(session: Session, squads: Sequence[int]) -> None:
    """Let squads that the secretary of a club has made be of that club."""
    scope = scope_of(session)
    for squad in squads if scope is not None else ():
        if session.get(SquadClubRow, squad) is None and scope is not None:
            session.add(SquadClubRow(squad_id=squad, club_id=scope.club))
    session.flush()


def move_squad(session: Session, squad: SquadRow, club: ClubWithin | None, now: datetime) -> None:
    """Let a squad belong to a club, or to none, and be called so.

    Raises:
        FaultyInputError: If that club has a squad of that name.
    """
    old = clubs_by_squad(session).get(squad.id)
    if (old and old.number) == (club and club.number):
        return
    plain = squad.name if old is None else own_name(old.name, squad.name)
    name = plain if club is None else full_name(club.name, plain)
    taken = select(SquadRow.id).where(SquadRow.key == key_from_name(name), SquadRow.id != squad.id)
    if session.scalars(taken).first() is not None:
        words = _("There is a squad called %(name)s; give this one another name first.", name=name)
        raise FaultyInputError([Problem("club", "taken", words)])
    _put(session, squad.id, None if club is None else club.number)
    _rename(session, {squad.id: name}, now)


def join_by_name(session: Session, squads: Sequence[Squad]) -> None:
    """Let squads of no club that a file puts into one be called so before they are written.

    Else the file's would be new ones, and those known would ask for nothing any more.
    """
    named = [squad for squad in squads if squad.club]
    if not named:
        return
    rows = {row.key: row for row in session.scalars(select(SquadRow))}
    of_a_club = clubs_by_squad(session)
    for squad in named:
        plain = rows.get(key_from_name(own_name(squad.club, squad.name)))
        is_free = plain is not None and plain.id not in of_a_club
        if plain is not None and is_free and squad.key not in rows:
            plain.key = squad.key
    session.flush()


def _end(session: Session, row: ClubWithinRow, now: datetime) -> str:
    """End a club; return why it cannot, a full sentence, or blank."""
    today = now.astimezone(load_zone(session)).date()
    going_on = [name for name, end in _going_on(session, row.id) if end is None or end > today]
    if going_on:
        return ngettext(
            "%(club)s has a squad that goes on: %(squads)s. Let it end, or move it to another "
            "club, first.",
            "%(club)s has %(num)s squads that go on: %(squads)s. Let them end, or move them to "
            "another club, first.",
            len(going_on),
            club=row.name,
            squads=", ".join(going_on),
        )
    row.ended_at = now
    of_club = select(ClubSecretaryRow.person_id).where(ClubSecretaryRow.club_id == row.id)
    for person in session.scalars(select(PersonRow).where(PersonRow.id.in_(of_club))).all():
        session.execute(delete(BrowserRow).where(BrowserRow.person_id == person.id))
        session.execute(delete(SignInRow).where(SignInRow.person_id == person.id))
        withdraw_tokens_of(session, person.id, now)
        person.secretary_of = None
        person.may_sign_in, person.ended_at = False, now
        person.version += 1
    session.flush()
    return ""


def _going_on(session: Session, number: int) -> Iterator[tuple[str, date | None]]:
    rows = session.execute(
        select(SquadRow.name, SquadEndRow.from_day)
        .outerjoin(SquadEndRow, SquadEndRow.squad_id == SquadRow.id)
        .where(SquadRow.id.in_(_squads_of(number)))
        .order_by(SquadRow.position)
    )
    yield from rows


def _squads_of(number: int) -> Select[int]:
    return select(SquadClubRow.squad_id).where(SquadClubRow.club_id == number)


def _put(session: Session, squad: int, club: int | None) -> None:
    row = session.get(SquadClubRow, squad)
    if row is not None and club is None:
        session.delete(row)
    elif row is not None and club is not None:
        row.club_id = club
    elif club is not None:
        session.add(SquadClubRow(squad_id=squad, club_id=club))


def _rename(session: Session, names: Mapping[int, str], now: datetime) -> None:
    """Let squads be called otherwise.

    Raises:
        FaultyInputError: If a name is longer than the squads file, and so a squad's form, takes.
    """
    too_long = [name for name in names.values() if len(name) > LONGEST_NAME]
    if too_long:
        words = _(
            "“%(name)s” would be the name of a squad, and has %(letters)s letters; use at most "
            "%(longest)s: shorten the squad's name first, or the club's.",
            name=too_long[0],
            letters=len(too_long[0]),
            longest=LONGEST_NAME,
        )
        raise FaultyInputError([Problem("club", "too-long", words)])
    before = squad_names(session)
    give_names(session, names)
    count_renamed_squads(session, before, now)


def _refuse_name(name: str, others: Sequence[str], taken: Sequence[str]) -> None:
    """Refuse a name that is none beside others, or that means one of those taken."""
    faults = _name_faults([*others, name])
    if not faults and key_from_name(name) in map(key_from_name, taken):
        faults = [_("Two clubs are called %(name)s; give each a name of its own.", name=name)]
    if faults:
        raise FaultyInputError([Problem("club", "name", words) for words in faults])


def _name_faults(names: Sequence[str]) -> list[str]:
    """Say what stands against names of clubs: each squad's name begins with one of them."""
    faults = []
    if not all(name.strip() for name in names):
        faults.append(_("Enter the club's name."))
    for name in names:
        if len(name) > LONGEST_CLUB:
            words = _(
                "Write at most %(longest)s letters: every squad of the club is called so.",
                longest=LONGEST_CLUB,
            )
            faults.append(words)
        longer = [n for n in names if n != name and own_name(name, n) != own_name("", n)]
        faults += [
            _(
                "“%(longer)s” begins with “%(name)s”, which is another club: of squads one could "
                "not tell whose they are. Write one of them in other words.",
                longer=one,
                name=name,
            )
            for one in longer
        ]
    return faults
