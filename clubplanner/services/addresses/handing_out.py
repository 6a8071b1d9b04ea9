"""The addresses of all squads in one press: whose there are, and new ones, each named.

A squad has one for parents and players, which its coach passes on; a coach has one of a calendar
of all their squads. What is in use is not made anew unless it is asked for, and goes on opening:
only hashes are kept, so that nobody can show an address again.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.errors import RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.addresses.links import (
    LONGEST_SECRET,
    SECRET_BYTES,
    hash_secret,
    new_link,
)
from clubplanner.services.rows.coach_rows import WITH_COACHES, coaches_from_row
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.own_club import is_own_coach, own_squads
from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.coaches import Coach
    from clubplanner.store.engine import Store


class Reader(StrEnum):
    """Whom an address is for."""

    FAMILIES = "families"
    COACHES = "coaches"


class Scope(StrEnum):
    """Whose addresses are made."""

    NONE_YET = "none-yet"
    ALL = "all"
    TICKED = "ticked"


@dataclass(frozen=True, slots=True)
class HandOutWish:
    """Which addresses somebody asks for in one press.

    Attributes:
        readers: For whom.
        scope: Whose: of those that have none yet, of all, or of the squads named.
        squad_keys: The squads, where they are named.
    """

    readers: frozenset[Reader]
    scope: Scope = Scope.NONE_YET
    squad_keys: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Subject:
    """What one address is about: a squad, or a coach with all their squads.

    Attributes:
        reader: For whom it is.
        number: Of the squad, or of the coach.
        name: What it is called.
        squads: The squads that it shows, by name.
        in_use: How many addresses of it are in use.
        coaches: Who coaches the squad, the first one first; the coach alone.
    """

    reader: Reader
    number: int
    name: str
    squads: tuple[str, ...]
    in_use: int
    coaches: tuple[Coach, ...]

    @property
    def holder(self) -> str:
        """For whom it is, so that it can be withdrawn by name."""
        return self.name if self.reader is Reader.COACHES else _("parents and players")

    @property
    def purpose(self) -> str:
        """Say what it is for, in a sentence or two."""
        if self.reader is Reader.FAMILIES:
            return _(
                "For parents and players of %(squad)s: where and when they train, until when there "
                "is light, and the calendar. For the squad alone.",
                squad=self.name,
            )
        return _(
            "For %(coach)s alone: the calendar of %(squads)s.",
            coach=self.name,
            squads=", ".join(self.squads),
        )


@dataclass(frozen=True, slots=True)
class Strip:
    """One address of the sheet: a strip to cut off.

    Attributes:
        name: Of the squad or coach.
        purpose: What it is for.
        secret: Its secret part, which is kept nowhere.
        reader: For whom it is.
    """

    name: str
    purpose: str
    secret: str
    reader: Reader

    @property
    def path(self) -> str:
        """Where it leads, from the slash on."""
        room = "ground" if self.reader is Reader.FAMILIES else "calendar"
        return f"/{room}/{self.secret}"


@dataclass(frozen=True, slots=True)
class SquadLine:
    """A squad to tick.

    Attributes:
        key: The squad.
        name: Its name.
        coaches: Who coaches it, in words; blank for nobody.
        in_use: How many addresses of it are in use.
    """

    key: str
    name: str
    coaches: str
    in_use: int


def list_squads_to_hand(store: Store) -> tuple[SquadLine, ...]:
    """List the squads with how many addresses of each are in use."""
    with store.read() as session:
        in_use = _in_use(session, LinkRow.squad_id)
        return tuple(
            SquadLine(
                row.key,
                row.name,
                ", ".join(one.name or one.email for one in coaches_from_row(row)),
                in_use.get(row.id, 0),
            )
            for row in _squads(session)
        )


def keys_of_squads(store: Store, names: Iterable[str]) -> frozenset[str]:
    """Return the keys of squads that are given by key or name.

    Raises:
        MissingError: If there is no such squad; naming those there are.
    """
    with store.read() as session:
        return frozenset(find_squad(session, name).key for name in names)


def make_sheet(store: Store, wish: HandOutWish, now: datetime) -> tuple[Strip, ...]:
    """Make the addresses of a sheet; squads first, in the club's order, then coaches.

    Raises:
        RefusedError: If nothing is asked for, or nobody is left to make one for.
    """
    with store.write() as session:
        subjects = subjects_of(session, wish)
        strips = []
        for subject in subjects:
            secret = secrets.token_urlsafe(SECRET_BYTES)
            session.add(link_row(subject, hash_secret(secret), subject.holder, now))
            strips.append(Strip(subject.name, subject.purpose, secret, subject.reader))
        describe_change(
            session,
            ngettext(
                "made a sheet of %(num)s address to hand out",
                "made a sheet of %(num)s addresses to hand out",
                len(strips),
            ),
        )
        return tuple(strips)


def strips_again(store: Store, carried: Sequence[str]) -> tuple[Strip, ...]:
    """Return the strips of addresses that a page has just shown, and brings along.

    Those that were withdrawn in the meantime are left out.

    Args:
        store: The database.
        carried: Their secret parts, in order.

    Raises:
        RefusedError: If none of them opens anything.
    """
    by_hash = {hash_secret(one): one for one in carried if len(one) <= LONGEST_SECRET}
    with store.read() as session:
        known: dict[tuple[Reader, int], Subject] = {
            (subject.reader, subject.number): subject
            for subject in _all_subjects(session, _squads(session), frozenset(Reader))
        }
        strips: dict[str, Strip] = {}
        hashes = list(by_hash)
        for chunk in chunks_of(hashes):
            is_it = LinkRow.secret_hash.in_(chunk), LinkRow.revoked_at.is_(None)
            for row in session.scalars(select(LinkRow).where(*is_it)):
                subject = known.get(_subject_key(row))
                if subject is not None:
                    secret = by_hash[row.secret_hash]
                    strips[secret] = Strip(subject.name, subject.purpose, secret, subject.reader)
    if not strips:
        raise RefusedError(_("These addresses have been withdrawn; make a new sheet."))
    return tuple(strips[secret] for secret in dict.fromkeys(carried) if secret in strips)


def subjects_of(session: Session, wish: HandOutWish) -> list[Subject]:
    """Return what new addresses are to be about.

    Raises:
        RefusedError: If nothing is asked for, or nobody is left to make one for.
    """
    if not wish.readers:
        raise RefusedError(_("Say for whom: parents and players, coaches, or both."))
    squads = _squads(session)
    if wish.scope is Scope.TICKED:
        if not wish.squad_keys:
            raise RefusedError(_("Tick the squads, or choose all of them."))
        missing = wish.squad_keys - {row.key for row in squads}
        if missing:
            raise RefusedError(_("One of the squads no longer exists; look at the list again."))
        squads = [row for row in squads if row.key in wish.squad_keys]
    elif wish.squad_keys:
        raise RefusedError(
            _("Squads are ticked: choose “only those ticked”, or take the ticks away.")
        )
    subjects = _all_subjects(session, squads, wish.readers)
    if wish.scope is Scope.NONE_YET:
        if subjects and all(subject.in_use for subject in subjects):
            raise RefusedError(
                _(
                    "Everybody has an address already, and those stay as they are. Choose all, or "
                    "tick squads, for whom another one is to be made."
                )
            )
        subjects = [subject for subject in subjects if not subject.in_use]
    if not subjects:
        raise RefusedError(
            _("There is nobody to make an address for: no squad, or no coach of these squads.")
        )
    return subjects


def link_row(subject: Subject, secret_hash: str, holder: str, now: datetime) -> LinkRow:
    """Return a new address of a squad or coach."""
    is_squad = subject.reader is Reader.FAMILIES
    return new_link(
        secret_hash,
        holder,
        now,
        squad_id=subject.number if is_squad else None,
        person_id=None if is_squad else subject.number,
    )


def _all_subjects(
    session: Session, squads: Iterable[SquadRow], readers: Collection[Reader]
) -> list[Subject]:
    found: list[Subject] = []
    coaches: dict[int, Coach] = {}
    names: dict[int, list[str]] = {}
    in_use = _in_use(session, LinkRow.squad_id)
    for row in squads:
        own = coaches_from_row(row)
        if Reader.FAMILIES in readers:
            uses = in_use.get(row.id, 0)
            found.append(Subject(Reader.FAMILIES, row.id, row.name, (row.name,), uses, own))
    if Reader.COACHES in readers:
        wanted = {coach.number for row in squads for coach in coaches_from_row(row)}
        for row in _squads(session):  # a calendar has all squads of a coach, ticked or not
            for coach in coaches_from_row(row):
                coaches.setdefault(coach.number, coach)
                names.setdefault(coach.number, []).append(row.name)
        in_use = _in_use(session, LinkRow.person_id)
        for number, coach in coaches.items():
            if number in wanted and is_own_coach(session, number):
                called = coach.name or coach.email
                own_names = tuple(names[number])
                uses = in_use.get(number, 0)
                found.append(Subject(Reader.COACHES, number, called, own_names, uses, (coach,)))
    return found


def _squads(session: Session) -> list[SquadRow]:
    query = select(SquadRow).where(*own_squads(session)).options(WITH_COACHES)
    return list(session.scalars(query.order_by(SquadRow.position, SquadRow.id)))


def _in_use(session: Session, column: object) -> dict[int, int]:
    """Count the addresses in use by squad or by coach; those that stand in mails do not count."""
    counted = (
        select(column, func.count(LinkRow.id))  # type: ignore[call-overload]
        .where(column.is_not(None), LinkRow.revoked_at.is_(None), LinkRow.mail_id.is_(None))  # type: ignore[attr-defined]
        .group_by(column)
    )
    return dict(session.execute(counted).all())


def _subject_key(row: LinkRow) -> tuple[Reader, int]:
    if row.squad_id is not None:
        return Reader.FAMILIES, row.squad_id
    return Reader.COACHES, row.person_id or 0
