"""What stands in the way of erasing somebody, and what is left to see to by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.club.people import Role
from clubplanner.language import _, ngettext, quoted, term
from clubplanner.services.keeping.subjects import load_hires
from clubplanner.services.keeping.table_words import TABLE_WORDS
from clubplanner.services.people.people import last_secretary_words
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import Holds
from clubplanner.store.sqlite import file_of
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.hire_tables import HireDateRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.upkeep.copies import copies_beside

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from sqlalchemy import Engine
    from sqlalchemy.orm import Session

    from clubplanner.services.keeping.rows_about import RowAbout
    from clubplanner.services.keeping.subjects import Known

MOST_TOLD = 6


def obstacles(session: Session, known: Known, now: datetime, asker: int | None) -> tuple[str, ...]:
    """Say what has to be done before somebody can be erased."""
    return tuple(_obstacles(session, known, now, asker))


def _obstacles(session: Session, known: Known, now: datetime, asker: int | None) -> Iterator[str]:
    if known.person:
        yield from _of_person(session, session.get_one(PersonRow, known.person), asker)
    elif known.shared and known.subject.hire is None:
        yield _(
            "%(names)s: among the people. Open the person there and erase them from there.",
            names=", ".join(known.shared),
        )
    if not known.own:
        yield _("Enter a name, a mail address or a telephone number.")
    coming = _dates_to_come(session, known, now)
    if coming:
        yield ngettext(
            "A hire of theirs has %(num)s date still to come; end it first.",
            "Hires of theirs have %(num)s dates still to come; end them first.",
            coming,
        )


def _of_person(session: Session, row: PersonRow, asker: int | None) -> Iterator[str]:
    if row.id == asker:
        yield _("That is you. Another secretary has to do it.")
    if row.may_sign_in and row.role is Role.SECRETARY and row.password_hash is not None:
        last = last_secretary_words(session, row)
        if last:
            yield last
    if row.squads:
        squads = ", ".join(squad.name for squad in row.squads)
        yield _(
            "%(name)s still coaches %(squads)s; hand over the squads first.",
            name=row.name or row.email,
            squads=squads,
        )


def _dates_to_come(session: Session, known: Known, now: datetime) -> int:
    hires = [row.id for row in load_hires(session, known)]
    coming = select(func.count(HireDateRow.id)).join(HireDateRow.booking)
    return (
        session.scalar(
            coming.where(
                HireDateRow.hire_id.in_(hires),
                BookingRow.is_withdrawn.is_(False),
                *BookingRow.not_over(now),
            )
        )
        or 0
    )


def cautions(known: Known, found: Sequence[RowAbout], engine: Engine) -> tuple[str, ...]:
    """Say what erasing leaves, and who has to see to it."""
    return tuple(_cautions(known, found, engine))


def _cautions(known: Known, found: Sequence[RowAbout], engine: Engine) -> Iterator[str]:
    if known.shared and (known.person or known.subject.hire is not None):
        yield _(
            "Somebody else is called %(names)s, too. Where only the name stands nobody can tell "
            "who is meant, so it stays there.",
            names=", ".join(known.shared),
        )
    short = [name for name in known.traces.names if len(name.split()) == 1]
    if short:
        yield _(
            "%(names)s: a name of one word is found only where it stands alone, not inside "
            "sentences.",
            names=", ".join(short),
        )
    things = list(dict.fromkeys(_things(found)))
    if things:
        yield _(
            "What is called so stays and has to be renamed on its own page: %(things)s.",
            things=", ".join(things[:MOST_TOLD]),
        )
    others = [one.row["name"] for one in found if one.table == "person" and not one.is_theirs]
    if others:
        yield _(
            "An address or number of theirs stands with somebody else as well and stays there: "
            "%(names)s.",
            names=", ".join(others),
        )
    file = file_of(engine)
    copies = copies_beside(file) if file is not None else []
    if copies:
        yield _(
            "Copies from before upgrades still have them; whoever looks after the computer "
            "deletes what is not needed: %(copies)s.",
            copies=", ".join(copies),
        )
    yield _(
        "Backups, mails that went out, calendars on other people's devices and what other programs "
        "have been told are out of reach."
    )


def _things(found: Sequence[RowAbout]) -> Iterator[str]:
    for one in found:
        columns = MARKS[one.table].columns
        if any(columns[name] is Holds.THING for name in one.columns):
            called = one.row.get("name") or one.row.get("pitch_name") or ""
            yield (
                f"{term(TABLE_WORDS[one.table])} {quoted(called)}"
                if called
                else term(TABLE_WORDS[one.table])
            )
