"""The verdict finds what is wrong: each figure counts the fault that it is for."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from email.message import EmailMessage
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.evening.bookings import add_booking, move_booking
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.store.guard import stand_up_guards, take_down_guards
from tests.builders import NOW, make_range
from tests.small_club import KESTRELS, TOP, find_area_id, find_squad_id
from tests.torture.ledger import Ledger, Outcome, Try
from tests.torture.post import Post
from tests.torture.test_torture import NOTHING_WRONG
from tests.torture.verdict import judge

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

THOUGH = Overruling("A test.", None)


def told(mark: str, outcome: Outcome = Outcome.DONE) -> Try:
    """Return a line of a ledger."""
    return Try(mark, "book", outcome, 1, 0.1)


LEDGER = [told("booked"), told("moved"), told("hired"), told("not booked", Outcome.REFUSED)]


@pytest.fixture
def store(small: Store) -> Store:
    """Give a club in which a squad's session was booked and moved, and ground was hired."""
    thirds = [find_area_id(small, TOP, f"third-{n}") for n in (1, 2)]
    squad = find_squad_id(small, KESTRELS)
    wish = BookingWish(thirds[0], make_range(), Purpose.TRAINING, squad, "", "booked", False)
    number = add_booking(small, wish, NOW, THOUGH).number
    move_booking(small, number, 0, thirds[1], make_range(), NOW, THOUGH, why="moved")
    hire = BookingWish(thirds[0], make_range(), Purpose.HIRE, None, "Choir", "hired", True)
    add_booking(small, hire, NOW, THOUGH)
    return small


def change(store: Store, *statements: str) -> None:
    """Change the records past everything that guards them."""
    with store.engine.begin() as connection:
        take_down_guards(connection)
        for statement in statements:
            connection.execute(text(statement))


def test_sound_records_are_found_sound(store: Store) -> None:
    """What was told is what is there."""
    assert judge(store, [LEDGER], Post()) == NOTHING_WRONG
    with store.engine.begin() as connection:
        stand_up_guards(connection)


def test_what_ledgers_and_journal_say_is_compared(store: Store) -> None:
    """Done but not there, refused but there, never answered."""
    ledger = [*LEDGER, told("gone"), told("moved", Outcome.REFUSED), told("?", Outcome.UNKNOWN)]
    expected = replace(NOTHING_WRONG, lost=1, against_its_word=1, open=1)
    assert judge(store, [ledger], Post()) == expected


@pytest.mark.files
@pytest.mark.parametrize(
    ("statement", "faults"),
    [
        (("UPDATE booking SET area_id = 3, cells = (SELECT cells FROM area WHERE id = 3), "
         "pitch_id = 1 WHERE note = 'hired'"), None),
        ("UPDATE booking SET sequence = 5 WHERE note = 'booked'", {"broken": 1}),
        ("UPDATE booking SET note = 'other' WHERE note = 'hired'", {"broken": 1}),
        ("DELETE FROM notice", {"unnoted": 2}),
        ("UPDATE notice SET is_wanted = true", {"untold": 2}),
        ("UPDATE changed_booking SET after = replace(after, 'hired', 'booked')",
         {"broken": 1, "lost": 1, "doubled": 1}),
    ],
)  # fmt: skip
def test_what_was_changed_behind_the_journal_is_found(
    store: Store, statement: str, faults: dict[str, int] | None
) -> None:
    """Each by its own figure."""
    change(store, statement)
    found = judge(store, [LEDGER], Post())
    if faults is None:
        assert found.broken == 1
    else:
        assert found == replace(NOTHING_WRONG, **faults)


@pytest.mark.files
def test_two_on_the_same_ground_are_found(store: Store) -> None:
    """Without asking the guard."""
    change(
        store,
        "UPDATE booking SET (area_id, pitch_id, cells) = (SELECT area_id, pitch_id, cells "
        "FROM booking WHERE note = 'booked')",
    )
    assert judge(store, [LEDGER], Post()).overlaps == 1


def test_mails_are_held_against_what_stands(store: Store) -> None:
    """A session told at a time at which it is not, and told twice by different mails."""
    with store.read() as session:
        uid = session.scalar(text("SELECT uid FROM booking WHERE note = 'booked'"))
    start = make_range().starts_at
    right = [telling(str(n), str(uid), f"{start:%Y%m%dT%H%M%SZ}") for n in (1, 1)]
    assert judge(store, [LEDGER], post_of(right)) == NOTHING_WRONG
    twice = [*right, telling("2", str(uid), f"{start:%Y%m%dT%H%M%SZ}")]
    assert judge(store, [LEDGER], post_of(twice)) == replace(NOTHING_WRONG, told_twice=1)
    late = f"{start + timedelta(hours=1):%Y%m%dT%H%M%SZ}"
    wrong = [telling("1", str(uid), late)]
    assert judge(store, [LEDGER], post_of(wrong)) == replace(NOTHING_WRONG, untold=1)


def post_of(mails: list[EmailMessage]) -> Post:
    """Return what mails say that arrived."""
    post = Post()
    for mail in mails:
        post.take(mail)
    return post


def test_a_ledger_is_read_as_it_was_written(tmp_path: Path) -> None:
    """Line by line, with the figures that were counted on the way."""
    ledger = Ledger(tmp_path / "ledger")
    assert list(ledger) == []
    for one in LEDGER:
        ledger.add(one)
    ledger.close()
    assert list(ledger) == LEDGER
    assert (ledger.count, ledger.outcomes["book", Outcome.REFUSED]) == (4, 1)


@pytest.mark.files
def test_a_booking_without_an_entry_is_found(store: Store) -> None:
    """Its chain is broken, and what made it is lost; the bookings beside it are sound."""
    change(
        store,
        "DELETE FROM changed_booking WHERE booking_id = "
        "(SELECT id FROM booking WHERE note = 'hired')",
    )
    assert judge(store, [LEDGER], Post()) == replace(NOTHING_WRONG, broken=1, lost=1)


def telling(number: str, uid: str, start: str) -> EmailMessage:
    """Return a mail that tells of a session."""
    lines = [
        *("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//A test//EN", "METHOD:REQUEST"),
        *("BEGIN:VEVENT", f"UID:{uid}", "SEQUENCE:1", "DTSTAMP:20261116T120000Z"),
        *(f"DTSTART:{start}", "END:VEVENT", "END:VCALENDAR", ""),
    ]
    mail = EmailMessage()
    mail["To"], mail["Message-ID"] = "robin@alderby.example", f"<{number}@alderby.example>"
    mail.set_content("Moved.")
    mail.add_alternative("\r\n".join(lines).encode(), maintype="text", subtype="calendar")
    return mail
