"""Whose records a session may change: the one place where a club's secretary is held to the club.

Like the journal it listens to the session itself, so that no service can forget it: what is changed
is collected with whose it was before and whose it is then, and a transaction that changes anything
of another club's, or of the office's, is given up as a whole. A table that is not named here is the
office's. Where there is no scope, as for the office, coaches and commands, nothing is listened to.

Services ask `services/rows/own_club.py`, which asks this module, so that pages say it beforehand.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, inspect, select

from clubplanner.domain.club.people import Role
from clubplanner.errors import RefusedError
from clubplanner.language import _
from clubplanner.store.stand import StandRow
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.following_tables import JournalEraRow
from clubplanner.store.tables.knowing_tables import (
    FollowedRow,
    HintRow,
    LookRow,
    MailAnewRow,
    MailedRow,
)
from clubplanner.store.tables.link_tables import LinkRow, SessionLinkRow
from clubplanner.store.tables.notice_tables import MailRow, NoticeRow
from clubplanner.store.tables.pasting_tables import TableHeadingRow
from clubplanner.store.tables.people_tables import (
    BrowserRow,
    FormSecretRow,
    PersonRow,
    SentFormRow,
    SignInRow,
    SignInTryRow,
    SquadCoachRow,
)
from clubplanner.store.tables.push_tables import PushedNoticeRow, PushReaderRow, PushRow
from clubplanner.store.tables.season_tables import (
    ChangedBookingRow,
    ChangedRecordRow,
    ChangeRow,
    FixtureRow,
    SquadSeasonRow,
    SwapOfferRow,
    WaitingAskRow,
)
from clubplanner.store.tables.squad_tables import AskRow, SquadEndRow, SquadRow
from clubplanner.store.tables.token_tables import TokenRow
from clubplanner.store.tables.turn_tables import SquadNameRow
from clubplanner.store.tables.turnout_tables import TurnoutRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow, ClubWithinRow, SquadClubRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sqlalchemy.orm import ORMExecuteState, Session

    from clubplanner.domain.club.clubs_within import Scope
    from clubplanner.store.tables.base import Base

SCOPE = "scope"
"""Under which a session knows what whoever is at work is held to."""
FOLLOWS = "rights_follow"
"""An execution option: the statement tidies up, whosever rows it finds."""
_SEEN, _LIFTED = "rights_seen", "rights_lifted"

OF_SQUAD: dict[type[Base], str] = {
    SquadRow: "id",
    AskRow: "squad_id",
    SquadEndRow: "squad_id",
    SquadSeasonRow: "squad_id",
    SquadNameRow: "squad_id",
    SquadCoachRow: "squad_id",
    SquadClubRow: "squad_id",
    BookingRow: "squad_id",
    FixtureRow: "squad_id",
    WaitingAskRow: "squad_id",
    TurnoutRow: "squad_id",
    MailRow: "squad_id",
}
"""Rows of a squad, by the column that says of which; what has none there is the office's."""
OF_PERSON: dict[type[Base], str] = {
    PersonRow: "id",
    BrowserRow: "person_id",
    SignInRow: "person_id",
    TokenRow: "person_id",
}
OF_BOOKING: dict[type[Base], str] = {SessionLinkRow: "booking_id", SwapOfferRow: "own_id"}
MACHINERY = frozenset(
    {
        *(ChangeRow, ChangedBookingRow, ChangedRecordRow, NoticeRow, PushedNoticeRow, StandRow),
        *(SentFormRow, FormSecretRow, SignInTryRow, LookRow, PushRow, PushReaderRow),
        *(HintRow, MailedRow, FollowedRow, TableHeadingRow, JournalEraRow),
    }
)
"""What the program itself notes of whatever was changed, read, sent or told."""

Owners = frozenset[int | None]
"""The numbers of the clubs that something is of; None for no club, empty for nobody's."""
NOBODY: Owners = frozenset()


@dataclass(slots=True)
class _Seen:
    """What a transaction has changed so far: whose it was, the rows there are, and those gone."""

    owners: list[Owners] = field(default_factory=list)
    rows: dict[int, Base] = field(default_factory=dict)
    gone: list[Base] = field(default_factory=list)
    new_squads: list[SquadRow] = field(default_factory=list)


def keep_within(sessions: type[Session]) -> None:
    """Let each write session of a class be held to its scope, if `begin_within` gives it one."""
    event.listen(sessions, "before_flush", _note_rows)
    event.listen(sessions, "persistent_to_deleted", _note_gone)
    event.listen(sessions, "do_orm_execute", _note_statement)
    event.listen(sessions, "before_commit", _refuse_others)
    event.listen(sessions, "after_rollback", _forget)


def begin_within(session: Session, scope: Scope | None) -> None:
    """Hold a write session to a scope; without one it may change everything.

    Args:
        session: A session whose transaction has begun.
        scope: What whoever is at work is held to.
    """
    session.info[SCOPE] = scope
    session.info[_SEEN] = None if scope is None else _Seen()


@contextmanager
def by_rule_of_all(session: Session) -> Iterator[None]:
    """Let the program do what follows from a change for everybody, whosever it was.

    A place that is given back goes to who waits longest; proposals call a squad by its new name.
    """
    if scope_of(session) is None:
        yield
        return
    session.flush()
    session.info[_LIFTED] = True
    try:
        yield
        session.flush()
    finally:
        session.info[_LIFTED] = False


def scope_of(session: Session) -> Scope | None:
    """Return what whoever is at work is held to; None for nobody who is."""
    found: Scope | None = session.info.get(SCOPE)
    return found


def clubs_of_squads(session: Session, squads: Iterable[int | None]) -> Owners:
    """Return whose some squads are."""
    numbers = {squad for squad in squads if squad is not None}
    found = dict(
        session.execute(
            select(SquadClubRow.squad_id, SquadClubRow.club_id).where(
                SquadClubRow.squad_id.in_(numbers)
            )
        ).all()
    )
    return frozenset(found.get(number) for number in numbers)


def clubs_of_person(session: Session, person: int) -> Owners:
    """Return whose a coach is: of the clubs whose squads they coach, or coached if none now.

    The secretary of the whole, those of clubs and groundskeepers are nobody's: the office's.
    """
    row = session.get(PersonRow, person)
    if row is None or row.role is not Role.COACH or _is_club_secretary(session, person):
        return NOBODY
    coached = session.execute(
        select(SquadCoachRow.squad_id, SquadCoachRow.ended_at).where(
            SquadCoachRow.person_id == person
        )
    ).all()
    now = [squad for squad, ended_at in coached if ended_at is None]
    return clubs_of_squads(session, now or [squad for squad, _ended in coached])


def refuse(session: Session, owners: Owners) -> None:
    """Refuse what whoever is at work may not do, by whose it is, and say who may.

    Raises:
        RefusedError: Naming them.
    """
    scope = scope_of(session)
    if scope is not None and not scope.covers(owners):
        with session.no_autoflush:
            raise RefusedError(who_may(session, owners))


def who_may(session: Session, owners: Owners) -> str:
    """Say who may do what somebody may not, by whose it is: a full sentence or two."""
    others = [number for number in owners if number is not None]
    query = select(ClubWithinRow.id, ClubWithinRow.name).order_by(ClubWithinRow.position)
    clubs = session.execute(query.where(ClubWithinRow.id.in_(others))).all()
    office = _office(session)
    if not clubs:
        return _("That is for the office of all clubs: %(office)s.", office=office)
    secretaries = session.execute(
        select(ClubSecretaryRow.club_id, PersonRow.name)
        .join(PersonRow, PersonRow.id == ClubSecretaryRow.person_id)
        .where(PersonRow.may_sign_in)
        .order_by(PersonRow.name)
    ).all()
    named = []
    for number, club in clubs:
        names = ", ".join(name for of, name in secretaries if of == number)
        named.append(f"{club} ({names})" if names else club)
    scope = scope_of(session)
    if len(owners) > 1 or (scope is not None and scope.club in owners):
        return _(
            "It is of several: %(clubs)s. Only the office of all clubs may change it: %(office)s.",
            clubs=", ".join(named),
            office=office,
        )
    return _(
        "It belongs to %(club)s; that club may change it, and the office of all clubs: %(office)s.",
        club=named[0],
        office=office,
    )


def _office(session: Session) -> str:
    """Name who keeps the whole: the secretaries, or the record itself as long as there is none."""
    names = session.scalars(
        select(PersonRow.name)
        .where(PersonRow.role == Role.SECRETARY, PersonRow.may_sign_in)
        .order_by(PersonRow.name)
    ).all()
    return ", ".join(names) or session.scalars(select(ClubRow.name)).first() or ""


def _is_club_secretary(session: Session, person: int) -> bool:
    query = select(ClubSecretaryRow.person_id).where(ClubSecretaryRow.person_id == person)
    return session.scalars(query).first() is not None


def _owners(session: Session, kind: type[Base], values: dict[str, Any]) -> Owners:
    """Return whose a row is, by its values."""
    if kind in OF_SQUAD:
        return clubs_of_squads(session, [values[OF_SQUAD[kind]]])
    if kind in OF_PERSON:
        return _owners_of_person(session, values[OF_PERSON[kind]])
    if kind in OF_BOOKING:
        return _owners_of_booking(session, values[OF_BOOKING[kind]])
    if kind is LinkRow:
        if values["person_id"] is not None:
            return clubs_of_person(session, values["person_id"])
        return clubs_of_squads(session, [values["squad_id"]])
    if kind is MailAnewRow:
        mail = session.get(MailRow, values["mail_id"])
        return NOBODY if mail is None else clubs_of_squads(session, [mail.squad_id])
    return NOBODY


def _owners_of_person(session: Session, person: int | None) -> Owners:
    """Return whose a person's own rows are; the secretary's own are theirs."""
    scope = scope_of(session)
    if person is None or scope is None:
        return NOBODY
    is_self = person == scope.person
    return frozenset({scope.club}) if is_self else clubs_of_person(session, person)


def _owners_of_booking(session: Session, number: int) -> Owners:
    squad = session.scalars(select(BookingRow.squad_id).where(BookingRow.id == number)).first()
    return clubs_of_squads(session, [squad])


def _note_rows(session: Session, *_unused: object) -> None:
    """Keep whose the rows were that are about to be written over, from the database itself."""
    seen: _Seen | None = session.info[_SEEN]
    if seen is None or session.info.get(_LIFTED):
        return
    with session.no_autoflush:
        for row in (*session.new, *session.dirty, *session.deleted):
            if type(row) in MACHINERY or id(row) in seen.rows:
                continue
            if row in session.dirty and not session.is_modified(row):
                continue
            seen.rows[id(row)] = row
            if isinstance(row, SquadRow) and row in session.new:
                seen.new_squads.append(row)
            if row not in session.new:
                seen.owners.append(_stored_owners(session, type(row), inspect(row).identity))


def _note_gone(session: Session, row: Base) -> None:
    """Keep a row that goes because nothing holds it any more: only the flush finds that out."""
    seen: _Seen | None = session.info[_SEEN]
    if seen is None or session.info.get(_LIFTED):
        return
    if type(row) not in MACHINERY and id(row) not in seen.rows:
        seen.gone.append(row)


def _stored_owners(session: Session, kind: type[Base], identity: Any) -> Owners:
    """Return whose a row is as it stands in the database."""
    table = inspect(kind).local_table
    keys = list(inspect(kind).primary_key)
    found = session.connection().execute(
        select(table).where(
            *(column == value for column, value in zip(keys, identity, strict=True))
        )
    )
    values = found.mappings().first()
    if kind is SwapOfferRow and values is not None:  # either squad may answer or let it go
        both = [_owners_of_booking(session, values[name]) for name in ("own_id", "other_id")]
        scope = scope_of(session)
        return next((one for one in both if scope is not None and scope.covers(one)), both[0])
    return NOBODY if values is None else _owners(session, kind, dict(values))


def _note_statement(state: ORMExecuteState) -> None:
    """Look at the rows that one statement writes over."""
    if state.is_select or state.session.info[_SEEN] is None:
        return
    mapper = state.bind_mapper
    if mapper is None or not (state.is_insert or state.is_update or state.is_delete):
        return
    is_lifted = state.session.info.get(_LIFTED) or state.execution_options.get(FOLLOWS)
    if is_lifted or mapper.class_ in MACHINERY:
        return
    where = getattr(state.statement, "whereclause", None)
    if state.is_insert or where is None:
        raise RuntimeError("Change such rows one by one: whose they are is looked at row by row.")
    session, seen = state.session, state.session.info[_SEEN]
    for identity in session.execute(select(*mapper.primary_key).where(where)).all():
        seen.owners.append(_stored_owners(session, mapper.class_, identity))


def _refuse_others(session: Session) -> None:
    """Give the transaction up if any of what it changed was, or is, not of the scope."""
    seen: _Seen | None = session.info[_SEEN]
    if seen is None:
        return
    session.flush()
    with session.no_autoflush:
        for owners in seen.owners:
            refuse(session, owners)
        for row in seen.gone:
            refuse(session, _owners_now(session, row))
        made_now = {row.id for row in seen.new_squads}
        for row in seen.rows.values():
            if isinstance(row, SquadClubRow) and row.squad_id not in made_now:
                refuse(session, NOBODY)  # whose a squad is decides the office
            if inspect(row).persistent:
                refuse(session, _owners_now(session, row))
    session.info[_SEEN] = _Seen()


def _owners_now(session: Session, row: Base) -> Owners:
    kind = type(row)
    if kind is SwapOfferRow:
        return _stored_owners(session, kind, inspect(row).identity)
    names = inspect(kind).columns.keys()
    return _owners(session, kind, {name: getattr(row, name) for name in names})


def _forget(session: Session) -> None:
    session.info[_SEEN] = None if scope_of(session) is None else _Seen()
