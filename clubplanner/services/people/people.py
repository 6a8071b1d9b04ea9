"""The people page: who coaches and who may sign in, as what, and for which squads."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import delete, func, select
from sqlalchemy.orm import contains_eager, joinedload, selectinload

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.people.ways_in.browsers import SECRETARIES, person_from_row
from clubplanner.services.people.ways_in.names_taken import refuse_taken
from clubplanner.services.rows.coach_rows import WITH_COACHES, coaches_of
from clubplanner.services.rows.own_club import (
    is_held,
    load_club_within,
    load_clubs,
    own_people,
    own_squads,
    refuse_office,
    refuse_other_person,
    who_may_change,
)
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.rows.people.people_rows import (
    known_coach,
    load_known_person,
    role_of,
    withdraw_tokens_of,
)
from clubplanner.services.showing.choosing.choices import squads_to_choose
from clubplanner.store.rights import scope_of
from clubplanner.store.tables.people_tables import BrowserRow, PersonRow, SignInRow, SquadCoachRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.clubs_within import ClubWithin
    from clubplanner.services.showing.choosing.choices import Choice
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class PersonDraft:
    """What the form about a person says.

    Attributes:
        name: As the club says it.
        role: What the person may do.
        email: Blank when not known.
        squad_keys: The squads they coach.
        phone: Blank when not known.
        club: Number of the club within the record whose secretary they are; None for others.
    """

    name: str
    role: Role
    email: str
    squad_keys: tuple[str, ...] = ()
    phone: str = ""
    club: int | None = None


@dataclass(frozen=True, slots=True)
class PersonLine:
    """A person in the list.

    Attributes:
        person: Who.
        phone: Blank when not known.
        may_sign_in: Whether they may sign in, or coach only.
        squad_names: The squads they answer for, in the club's order.
        assisted_names: The squads they assist with.
        browsers: How many browsers are signed in.
        has_password: Whether a secretary has set one.
        squad_keys: Keys of all the squads they coach.
    """

    person: Person
    phone: str
    may_sign_in: bool
    squad_names: tuple[str, ...]
    assisted_names: tuple[str, ...]
    browsers: int
    has_password: bool
    squad_keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PersonPage:
    """A person to look at and change.

    Attributes:
        person: Who.
        phone: Blank when not known.
        may_sign_in: Whether they may sign in, or coach only.
        squad_keys: The squads they coach.
        version: The change shown; a form sends it back, so that the later of two is told.
        since: When the person was added.
        who_may: Who may change them, where whoever looks may not; blank else.
        may_be_ended: Whether whoever looks may end their access; a club's secretary's is ended by
            the office alone.
    """

    person: Person
    phone: str
    may_sign_in: bool
    squad_keys: tuple[str, ...]
    version: int
    since: datetime
    who_may: str = ""
    may_be_ended: bool = True


def list_people(store: Store, now: datetime) -> tuple[PersonLine, ...]:
    """List everybody who may sign in or coaches: secretaries first, then by name.

    To the secretary of a club those who coach its squads, and what they coach there.
    """
    order = (*SECRETARIES, Role.GROUNDSKEEPER, Role.COACH)
    with store.read() as session:
        coaching: dict[int, list[SquadCoachRow]] = defaultdict(list)
        for one in session.scalars(
            select(SquadCoachRow)
            .where(SquadCoachRow.ended_at.is_(None), *own_squads(session, SquadCoachRow.squad_id))
            .join(SquadCoachRow.squad)
            .order_by(SquadRow.position)
            .options(contains_eager(SquadCoachRow.squad))
        ):
            coaching[one.person_id].append(one)
        rows = session.scalars(
            select(PersonRow)
            .where(PersonRow.may_sign_in | PersonRow.id.in_(coaching))
            .where(*own_people(session, PersonRow.id))
            .options(selectinload(PersonRow.squads), joinedload(PersonRow.secretary_of))
        ).all()
        counts = dict(
            session.execute(
                select(BrowserRow.person_id, func.count(BrowserRow.id))
                .where(BrowserRow.ends_at > now)
                .group_by(BrowserRow.person_id)
            ).all()
        )
        return tuple(
            PersonLine(
                person_from_row(row),
                row.phone,
                row.may_sign_in,
                tuple(one.squad.name for one in coaching[row.id] if one.position == 0),
                tuple(one.squad.name for one in coaching[row.id] if one.position > 0),
                counts.get(row.id, 0),
                row.password_hash is not None,
                tuple(one.squad.key for one in coaching[row.id]),
            )
            for row in sorted(rows, key=lambda r: (order.index(role_of(r)), plain_name(r.name)))
        )


def squad_choices(store: Store) -> tuple[Choice, ...]:
    """List the squads a coach can look after, each with the name of its first coach."""
    with store.read() as session:
        coaches = coaches_of(session)
        return tuple(
            replace(choice, note=next((one.name for one in coaches.get(number, ())), ""))
            for number, choice in squads_to_choose(session)
        )


def club_choices(store: Store) -> tuple[ClubWithin, ...]:
    """List the clubs whose secretary somebody can be; none where the record names none."""
    with store.read() as session:
        return () if is_held(session) else load_clubs(session)


def see_person(store: Store, number: int) -> PersonPage:
    """Show one person.

    Raises:
        MissingError: If there is none, or their access has ended.
    """
    with store.read() as session:
        row = load_known_person(session, number)
        own = set(session.scalars(select(SquadRow.key).where(*own_squads(session))))
        keys = tuple(squad.key for squad in row.squads if squad.key in own)
        return PersonPage(
            person_from_row(row),
            row.phone,
            row.may_sign_in,
            keys,
            row.version,
            row.created_at,
            who_may_change(session, row),
            row.may_sign_in and not (row.secretary_of is not None and is_held(session)),
        )


def add_person(store: Store, draft: PersonDraft, now: datetime) -> int:
    """Let somebody sign in who could not so far; return their number.

    A coach who is known already, by address or by name, is the same person and keeps their squads.

    Raises:
        FaultyInputError: If the name or e-mail is taken, or a squad is not there.
    """
    with store.write() as session:
        _refuse_more_than_coaches(session, draft)
        row = known_coach(session, draft.name, draft.email, draft.squad_keys)
        refuse_taken(session, None if row is None else row.id, draft.name, draft.email)
        if row is None:
            row = PersonRow(
                email="",
                phone="",
                password_hash=None,
                version=0,
                created_at=now,
            )
            session.add(row)
        else:
            row.version += 1
        row.name, row.may_sign_in, row.ended_at = draft.name, True, None
        row.email, row.phone = draft.email or row.email, draft.phone or row.phone
        _set_role(session, row, draft)
        session.flush()
        _coach(session, row, {squad.key for squad in row.squads} | set(draft.squad_keys), now)
        return row.id


def change_person(
    store: Store, number: int, version: int, draft: PersonDraft, now: datetime
) -> bool:
    """Change somebody: they stay who they are, with calendars, addresses and browsers.

    Args:
        store: The database.
        number: Who.
        version: The change that was looked at; a later one stands.
        draft: What shall be; of the squads they coach, those left out go on without them.
        now: The present instant.

    Returns:
        Whether they are listed still: not who coaches no squad and may not sign in.

    Raises:
        FaultyInputError: If the name or e-mail is taken, or a squad is not there.
        MissingError: If the person is gone.
        OutdatedError: If somebody changed the person in the meantime.
        RefusedError: If no secretary would be left.
    """
    with store.write() as session:
        row = _load_version(session, number, version)
        refuse_other_person(session, row)
        _refuse_more_than_coaches(session, draft, row)
        refuse_taken(session, number, draft.name, draft.email)
        if row.role is Role.SECRETARY and draft.role is not Role.SECRETARY:
            _refuse_last_secretary(session, row)
        if role_of(row) is not draft.role or _club_of(row) != draft.club:
            row.password_hash = None
            _close_ways(session, number, now)
            _set_role(session, row, draft)
        row.name, row.email, row.phone = draft.name, draft.email, draft.phone
        row.version += 1
        _coach(session, row, set(draft.squad_keys), now)
        return row.may_sign_in or bool(row.squads)


def end_access(store: Store, number: int, version: int, now: datetime) -> str:
    """End somebody's access at once, in every browser; return their name.

    Squads they coach keep them as a coach: that ends where the squads are handed over.

    Raises:
        MissingError: If the person is gone.
        OutdatedError: If somebody changed the person in the meantime.
        RefusedError: If no secretary would be left.
    """
    with store.write() as session:
        row = _load_version(session, number, version)
        refuse_other_person(session, row)
        if row.role is Role.SECRETARY:
            _refuse_last_secretary(session, row)
        row.may_sign_in, row.ended_at, row.password_hash = False, now, None
        row.secretary_of = None
        row.version += 1
        _close_ways(session, number, now)
        return row.name


def _set_role(session: Session, row: PersonRow, draft: PersonDraft) -> None:
    """Write what somebody may do; to the records the secretary of a club is a coach besides."""
    if draft.role is not Role.CLUB_SECRETARY:
        row.role, row.secretary_of = draft.role, None
        return
    row.role = Role.COACH
    club = load_club_within(session, draft.club or 0)
    row.secretary_of = row.secretary_of or ClubSecretaryRow(club_id=club.id)
    row.secretary_of.club_id = club.id


def _club_of(row: PersonRow) -> int | None:
    return None if row.secretary_of is None else row.secretary_of.club_id


def _refuse_more_than_coaches(
    session: Session, draft: PersonDraft, row: PersonRow | None = None
) -> None:
    """Let the secretary of a club say of coaches of the club alone what they are.

    Raises:
        FaultyInputError: If no squad of the club is theirs.
        RefusedError: If it is about anybody else.
    """
    scope = scope_of(session)
    if scope is None or (row is not None and row.id == scope.person and draft.role is role_of(row)):
        return
    if draft.role is not Role.COACH:
        refuse_office(session)
    if not draft.squad_keys:
        words = _(
            "Tick the squads of %(club)s that they coach: whoever coaches none of them is added by "
            "the office of all clubs.",
            club=scope.club_name,
        )
        raise FaultyInputError([Problem("squads", "no-squad", words)])


def _close_ways(session: Session, number: int, now: datetime) -> None:
    """End a person's browsers, tokens, and the addresses still to be used."""
    session.execute(delete(BrowserRow).where(BrowserRow.person_id == number))
    session.execute(delete(SignInRow).where(SignInRow.person_id == number))
    withdraw_tokens_of(session, number, now)


def _load_version(session: Session, number: int, version: int) -> PersonRow:
    row = load_known_person(session, number)
    if row.version != version:
        squads = ", ".join(squad.name for squad in row.squads)
        role = role_of(row).value
        now = ", ".join(part for part in (row.name, row.email, role, squads) if part)
        raise OutdatedError(
            _(
                "Somebody has changed this person in the meantime; what stands now is: "
                "%(now)s. Look at it, then make your change again.",
                now=now,
            )
        )
    return row


def _refuse_last_secretary(session: Session, row: PersonRow) -> None:
    words = last_secretary_words(session, row)
    if words:
        raise RefusedError(words)


def last_secretary_words(session: Session, row: PersonRow) -> str:
    """Say that nobody else could sign in as the secretary; blank where somebody can."""
    others = select(func.count(PersonRow.id)).where(
        PersonRow.role == Role.SECRETARY,
        PersonRow.may_sign_in,
        PersonRow.password_hash.is_not(None),
        PersonRow.id != row.id,
    )
    if session.scalar(others):
        return ""
    return _(
        "%(name)s is the only secretary who can sign in; let another one set a password first.",
        name=row.name,
    )


def _coach(session: Session, person: PersonRow, keys: Collection[str], now: datetime) -> None:
    """Let somebody coach these squads and no others: as the last one, or the first if none is."""
    query = select(SquadRow).where(*own_squads(session)).options(WITH_COACHES)
    rows = {row.key: row for row in session.scalars(query)}
    if not set(keys) <= set(rows):
        text = _("One of the squads no longer exists; look at the list again.")
        raise FaultyInputError([Problem("squads", "no-such-squad", text)])
    for key, row in rows.items():
        people = [one.person for one in row.coaches]
        if (person in people) != (key in keys):
            rest = [other for other in people if other is not person]
            set_coaches(session, row, [*rest, person] if key in keys else rest, now)
    session.expire(person, ["squads"])
