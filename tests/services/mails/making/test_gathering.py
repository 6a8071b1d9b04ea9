"""Making mails of changes: cheap whatever waits, and once whoever else is at it."""

from __future__ import annotations

from contextlib import contextmanager
from datetime import time, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, event, func, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.mails.making import gathering
from clubplanner.services.mails.making.gathering import gather_mails
from clubplanner.services.rows.bookings.booking_rows import BookingWish, insert_booking
from clubplanner.store.journal.states import stored_state
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.knowing_tables import MailedRow
from clubplanner.store.tables.notice_tables import MailRow, NoticeRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import A_WEDNESDAY, LONDON
from tests.large_club import noting_statements
from tests.records import copy_records, open_records
from tests.services.mails.sending.test_delivering import LATER, NOON
from tests.small_club import KESTRELS, SQUADS, book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import pytest

    from clubplanner.store.engine import Store
    from clubplanner.store.tables.base import Base

HEAD = (
    "squad,age group,players,goalkeepers,coach,coach e-mail,sessions a week,minutes,possible,"
    "least ground\n"
)
ALWAYS = QuietHours(time(0), time(0))


def fill(store: Store, squads: int, weeks: int) -> Store:
    """Book each squad an hour today, which is mailed, and in each week after, which is not."""
    rows = "".join(
        f"U12 Side {n},U12,14,1,Coach {n},coach-{n}@alderby.example,1,60,Wed 17:00-22:00,third\n"
        for n in range(squads)
    )
    load_small_club(store, squads=HEAD + rows)
    with store.write() as session:
        areas = session.scalars(select(AreaRow.id).where(AreaRow.cut == "thirds")).all()
        for place, squad in enumerate(session.scalars(select(SquadRow))):
            for week in range(weeks + 1):
                start, area = divmod(place, len(areas))
                day = A_WEDNESDAY + timedelta(weeks=week)
                minute = 17 * 60 + 60 * start
                wish = BookingWish(
                    areas[area],
                    range_from_wall(day, minute, minute + 60, LONDON),
                    Purpose.TRAINING,
                    squad.id,
                    squad.name,
                    "",
                    is_fixed=True,
                )
                insert_booking(session, wish, NOON)
    return store


def statements(store: Store) -> list[str]:
    """Gather, and return the statements that were sent."""
    with noting_statements(store) as sent:
        gather_mails(store, ALWAYS, LATER)
    return sent


def counts(store: Store) -> tuple[int, int]:
    """Return how many mails there are, and how many notes are told."""
    with store.read() as session:
        told = select(func.count()).where(NoticeRow.told_at.is_not(None))
        return (
            session.scalar(select(func.count()).select_from(MailRow)) or 0,
            session.scalar(told) or 0,
        )


def test_a_mail_costs_one_statement_however_much_waits(
    empty_store: Store, empty_file: Path, tmp_path: Path
) -> None:
    """Four times the squads and ten times the notes: one more statement for each mail more."""
    copy_records(empty_file, tmp_path / "large.sqlite")
    large = open_records(tmp_path / "large.sqlite")
    few = statements(fill(empty_store, squads=3, weeks=2))
    many = statements(fill(large, squads=12, weeks=20))
    assert (counts(empty_store), counts(large)) == ((3, 3), (12, 12))
    assert len(many) - len(few) <= 12 - 3
    assert len(few) <= 24
    large.close()


def test_nothing_is_read_at_length_while_others_have_to_wait(empty_store: Store) -> None:
    """Notes, addresses and names are read before the transaction that writes begins."""
    sent = statements(fill(empty_store, squads=3, weeks=2))
    writes = [n for n, words in enumerate(sent) if words.startswith(("UPDATE", "INSERT"))]
    for words in sent[writes[0] :]:
        assert "JOIN" not in words
        assert "FROM link" not in words


def test_two_at_once_tell_once(empty_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who comes second, having read before the first has written, makes no mail twice."""
    store = fill(empty_store, squads=3, weeks=0)
    work_out, made = gathering._mails_about, []

    def late(*arguments: object) -> list[MailRow]:
        mails = work_out(*arguments)  # type: ignore[arg-type]
        monkeypatch.setattr(gathering, "_mails_about", work_out)
        made.append(gather_mails(store, ALWAYS, LATER))
        return mails

    monkeypatch.setattr(gathering, "_mails_about", late)
    assert gather_mails(store, ALWAYS, LATER) == 0
    assert made == [3]
    assert counts(store) == (3, 3)


def test_what_came_meanwhile_is_left_for_the_next_round(
    empty_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A change noted while mails are worked out is not noted as told with them."""
    store = fill(empty_store, squads=1, weeks=0)
    work_out = gathering._mails_about

    def late(*arguments: object) -> list[MailRow]:
        mails = work_out(*arguments)  # type: ignore[arg-type]
        with store.write() as session:
            squad = session.scalars(select(SquadRow)).one()
            area = session.scalars(select(AreaRow.id).where(AreaRow.cut == "thirds")).all()[1]
            during = range_from_wall(A_WEDNESDAY, 20 * 60, 21 * 60, LONDON)
            wish = BookingWish(area, during, Purpose.TRAINING, squad.id, "", "", is_fixed=True)
            insert_booking(session, wish, LATER)
        return mails

    monkeypatch.setattr(gathering, "_mails_about", late)
    assert gather_mails(store, ALWAYS, LATER) == 1
    monkeypatch.setattr(gathering, "_mails_about", work_out)
    assert counts(store) == (1, 1)
    assert gather_mails(store, ALWAYS, LATER + timedelta(minutes=3)) == 1
    assert counts(store) == (2, 2)


def test_first_coach_assistants_and_followers_are_written_to_once_each(empty_store: Store) -> None:
    """Whoever has an address, by whatever way it is known; a coach's follower for all squads."""
    squads = SQUADS.replace(",coach,", ",coach,coach e-mail,assistants,")
    squads = squads.replace("Robin Hale,", "Robin Hale,robin@x.example,Kim <kim@x.example>; Lee,")
    store = load_small_club(empty_store, squads=squads.replace("Sam Reed,", "Sam Reed,,,"))
    for kind, subject, email in (
        (LinkKind.COACH, "Kim", "KIM@x.example"),
        (LinkKind.COACH, "Lee", "ann@x.example"),
        (LinkKind.COACH, "Sam Reed", "other@x.example"),
        (LinkKind.SQUAD, KESTRELS, "parent@x.example"),
    ):
        create_link(store, LinkWish(kind, subject, "Somebody", email), NOON)
    book(store, now=NOON)
    gather_mails(store, ALWAYS, LATER)
    with store.read() as session:
        told = session.execute(select(MailRow.address, MailRow.name).order_by(MailRow.id)).all()
    assert [tuple(row) for row in told] == [
        ("robin@x.example", "Robin Hale"),
        ("kim@x.example", "Kim"),
        ("ann@x.example", "Somebody"),
        ("parent@x.example", "Somebody"),
    ]


def test_a_round_with_nothing_to_say_reads_nothing_of_what_was_said(empty_store: Store) -> None:
    """A whole season may be known by mail: only what may be amiss is loaded, row by row."""
    store = fill(empty_store, squads=3, weeks=20)
    with store.write() as session:
        for row in session.scalars(select(BookingRow)).all():
            told = {"address": f"coach-{(row.squad_id or 0) - 1}@alderby.example", "name": "Coach"}
            state = {"state": stored_state(row), "ends_at": row.ends_at, "mailed_at": NOON}
            session.add(MailedRow(booking_id=row.id, sequence=row.sequence, **told, **state))
        session.execute(delete(NoticeRow))
    with noting_loads(MailedRow, BookingRow) as loads:
        assert gather_mails(store, ALWAYS, LATER) == 0
        assert loads == []
        turn_to(store, "coach-1@alderby.example", "else@alderby.example")
        assert gather_mails(store, ALWAYS, LATER) == 2
    assert len(loads) == 2 * 21  # what the one of them was told of, and as it is


def turn_to(store: Store, before: str, after: str) -> None:
    """Give a squad's coach another mail address: the calendar behind the old one is let go."""
    with store.write() as session:
        session.scalars(select(PersonRow).where(PersonRow.email == before)).one().email = after


@contextmanager
def noting_loads(*tables: type[Base]) -> Iterator[list[Base]]:
    """Note every row of tables that becomes an object within the block."""
    loads: list[Base] = []

    def note(row: Base, _context: object) -> None:
        loads.append(row)

    for table in tables:
        event.listen(table, "load", note)
    try:
        yield loads
    finally:
        for table in tables:
            event.remove(table, "load", note)
