"""A club brought back from a backup: the drill, with people outside who remember what they had.

Calendars are those of `tests/world`, which know RFC 5546, section 2.1.5, and nothing of ours.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select

from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.club.people import Role
from clubplanner.domain.club.told.notices import QuietHours
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.errors import MarkGoneError, MissingError, RefusedError
from clubplanner.services.addresses.links import revoke_squad_links
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.evening.bookings import move_booking
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.journal.since import present_mark, read_since
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.transport import Fate
from clubplanner.services.mails.sending.turning_off import turn_mails
from clubplanner.services.mails.untold import see_untold, send_again
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import find_person, open_browser, sign_out
from clubplanner.services.people.ways_in.passwords import (
    create_secretary_key,
    set_password,
    sign_in_with_password,
)
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link, see_link, use_link
from clubplanner.services.restoring.restored_page import see_restored
from clubplanner.services.restoring.restoring import Restored, Wish, restore_backup
from clubplanner.services.restoring.ways_in import WaysIn
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.runs.kept import State as RunState
from clubplanner.services.share_out.runs.kept import ask_for_run, see_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.stand import read_setup_mark, read_stand
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.upkeep.backups import make_backup
from clubplanner.store.upkeep.migrate import check_store
from tests.builders import LONDON, NOW, make_range
from tests.records import drop_records, is_file, make_place, open_records, place_of
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    PITCHES,
    TOP,
    book,
    find_area_id,
    pitch_feature,
    small_club_files,
)
from tests.store.earlier import FULL, put_earlier, rows_of
from tests.stores import ALL_THE_SAME, booking_row, count_rows
from tests.world.calendars import StubbornCalendar

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from email.message import EmailMessage
    from pathlib import Path

    from clubplanner.store.engine import Store

LATER = NOW + timedelta(hours=2)
"""When the club has gone on after the backup."""
THEN = NOW + timedelta(hours=3)
"""When it is brought back."""
ADDRESS = "https://pitches.example"
NOON = QuietHours(THEN.min.time(), THEN.min.time())
CONFIG = Config(
    "", ADDRESS, 0, MailServer("mail.example", 25, "none", "", "", "club@alderby.example"), NOON
)
JO, AL, KIM = (f"{name}@alderby.example" for name in ("jo", "al", "kim"))
PASSWORD, NEW_PASSWORD = "four words of a secretary", "five other words she chose"


@dataclass(slots=True)
class Outside:
    """People outside, and what they have.

    Attributes:
        feeds: Secret parts of addresses, each with the calendar that fetches it.
        inboxes: Mail address → its calendar, into which mails put entries.
        mails: To whom each mail went.
        off: Mail address → the secret part of the address that turns its mails off.
    """

    feeds: dict[str, StubbornCalendar] = field(default_factory=dict)
    inboxes: dict[str, StubbornCalendar] = field(default_factory=dict)
    mails: list[str] = field(default_factory=list)
    off: dict[str, str] = field(default_factory=dict)

    def fetch(self, store: Store, now: datetime) -> None:
        """Let every calendar that is open be fetched."""
        for secret, calendar in self.feeds.items():
            calendar.take(build_feed(store, secret, ADDRESS, now).data)

    def deliver(self, store: Store, now: datetime) -> list[str]:
        """Let the worker make a round; return to whom mails went out, but for the secretary."""
        before = len(self.mails)
        deliver(store, CONFIG, lambda: now, at_once=True, send=self._send)
        return sorted(to for to in self.mails[before:] if to != KIM)

    def _send(self, _server: MailServer, message: EmailMessage, to: str) -> tuple[Fate, str]:
        self.mails.append(to)
        self.off[to] = str(message["List-Unsubscribe"]).strip("<>").rpartition("/")[2]
        for part in message.walk():
            if part.get_content_type() == "text/calendar":
                self.inboxes.setdefault(to, StubbornCalendar()).take(part.get_content())
        return Fate.TAKEN, ""


@dataclass(slots=True)
class Club:
    """A club at the moment of its backup.

    Attributes:
        store: Its records.
        backup: The file.
        outside: The people outside.
        moved: A session that is moved later on.
        kept: One that stays as it is.
        secrets: Secret parts of addresses and keys by name.
    """

    store: Store
    backup: Path
    outside: Outside
    moved: int
    kept: int
    secrets: dict[str, str] = field(default_factory=dict)

    def restore(self, **wish: object) -> Restored:
        """Bring the club back over itself."""
        self.store.close()
        copy = self.backup.with_name("replaced.sqlite")
        given = {"ways_in": WaysIn.NOW, "is_replacing": True, **wish}
        return restore_backup(self.store, Wish(self.backup, copy, **given), THEN)  # type: ignore[arg-type]


def make_address(store: Store, squad: str, holder: str, email: str = "") -> str:
    """Hand out an address of a squad, and return its secret part."""
    made = create_link(store, LinkWish(LinkKind.SQUAD, squad, holder, email), NOW)
    return made.path.rpartition("/")[2]


@pytest.fixture
def club(small: Store, tmp_path: Path) -> Club:
    """Give the small club with sessions, addresses and people, just backed up."""
    day = NOW.date()
    moved = book(small, day=day)
    kept = book(small, HARRIERS, "third-2", day=day)
    outside = Outside()
    made = Club(small, tmp_path / "club.backup", outside, moved, kept)
    for name, squad, email in (
        ("jo", KESTRELS, JO),
        ("mo", HARRIERS, ""),
        ("al", HARRIERS, AL),
    ):
        made.secrets[name] = make_address(small, squad, name.title(), email)
    outside.feeds = {made.secrets["jo"]: StubbornCalendar()}
    key = create_secretary_key(small, NOW)
    made.secrets["kim"] = set_password(small, key, "Kim Ashby", KIM, PASSWORD, "Firefox", NOW)
    person = add_person(small, PersonDraft("Robin Hale", Role.COACH, "", (KESTRELS,)), NOW)
    with small.write() as session:
        made.secrets["phone"] = open_browser(session, person, "Chrome", NOW)
    made.secrets["once"] = hand_over_link(small, person, NOW)
    outside.fetch(small, NOW)
    outside.deliver(small, NOW)
    make_backup(small, made.backup, NOW)
    return made


def go_on(club: Club) -> None:
    """Let the club go on after the backup."""
    store, outside = club.store, club.outside
    day = NOW.date()
    during = make_range(day, 20 * 60, 21 * 60)
    move_booking(
        store, club.moved, 0, find_area_id(store, TOP, "third-3"), during, LATER, ALL_THE_SAME
    )
    club.secrets["made"] = str(
        book(
            store,
            day=day,
            area_key="third-2",
            start_min=19 * 60 + 30,
            end_min=20 * 60 + 45,
            now=LATER,
        )
    )
    outside.fetch(store, LATER)
    outside.deliver(store, LATER)


def entries(calendar: StubbornCalendar) -> set[tuple[datetime, bool]]:
    """Return when the entries of a calendar are, and whether they take place."""
    return {(entry.starts_at, entry.is_on) for entry in calendar.entries.values()}


def test_calendars_and_mailboxes_come_back_with_the_club(club: Club) -> None:
    """Who fetched or was mailed since ends with what the backup has, by the rule of RFC 5546."""
    planned = {(make_range(NOW.date()).starts_at, True)}
    feed, inbox = club.outside.feeds[club.secrets["jo"]], JO
    assert entries(feed) == planned
    go_on(club)
    assert len(entries(feed)) == 2
    assert entries(club.outside.inboxes[inbox]) == entries(feed)
    done = club.restore()
    assert (done.found.put_back, done.found.called_off, done.found.untold) == (1, 1, 0)
    club.outside.fetch(club.store, THEN)
    club.outside.deliver(club.store, THEN)
    for calendar in (feed, club.outside.inboxes[inbox]):
        assert {entry for entry in entries(calendar) if entry[1]} == planned
        assert len(entries(calendar)) == 2
    assert club.outside.deliver(club.store, THEN + timedelta(minutes=30)) == []


@pytest.mark.files
def test_counts_and_stamps_are_above_all_that_was_seen(club: Club) -> None:
    """Of every session, also of those that nobody changed since."""
    go_on(club)
    with club.store.read() as session:
        seen = {
            row.uid: (row.sequence, row.changed_at) for row in session.scalars(select(BookingRow))
        }
        stand = read_stand(session)
        mark = read_setup_mark(session)
    club.restore()
    with club.store.read() as session:
        rows = session.scalars(select(BookingRow)).all()
        assert {row.uid for row in rows} == set(seen)
        for row in rows:
            assert row.sequence > seen[row.uid][0]
            assert row.changed_at > seen[row.uid][1]
        assert read_stand(session) > stand
        assert read_setup_mark(session) not in {0, mark}, "nobody goes on with what they remember"


@pytest.mark.files
def test_what_was_made_since_can_be_had_back(club: Club) -> None:
    """The change that called it off is taken back like any other, and the session is on."""
    go_on(club)
    club.restore()
    made = int(club.secrets["made"])
    assert booking_row(club.store, made).is_withdrawn
    newest = list_changes(club.store, THEN)[0]
    assert "backup" in newest.words
    assert not newest.obstacles
    undo_change(club.store, newest.number, THEN)
    assert not booking_row(club.store, made).is_withdrawn


@pytest.mark.files
def test_told_mails_are_not_told_again(club: Club) -> None:
    """Nobody is written to whose sessions are as they were told."""
    move_booking(
        club.store,
        club.kept,
        0,
        find_area_id(club.store, TOP, "third-3"),
        make_range(NOW.date()),
        NOW,
        ALL_THE_SAME,
    )
    club.backup.unlink()
    make_backup(club.store, club.backup, NOW)  # before the worker's round
    assert club.outside.deliver(club.store, LATER) == [AL]
    club.restore()
    assert club.outside.deliver(club.store, THEN) == []
    with club.store.read() as session:
        assert session.scalar(select(func.count()).where(NoticeRow.told_at.is_(None))) == 0


def test_ways_in_are_as_they_are_now(club: Club) -> None:
    """Withdrawn, used up, signed out, replaced, turned off: none of it lives again."""
    store = club.store
    go_on(club)
    revoke_squad_links(store, HARRIERS, LATER)
    club.secrets["new"] = make_address(store, KESTRELS, "Pat")
    turn_mails(store, club.outside.off[JO], off=True, now=LATER)
    use_link(store, club.secrets["once"], "", "Chrome", LATER)
    sign_out(store, club.secrets["phone"])
    key = create_secretary_key(store, LATER)
    fresh = set_password(store, key, "Kim Ashby", KIM, NEW_PASSWORD, "F", LATER)
    done = club.restore()
    assert (done.found.withdrawn, done.found.open) == (2, 2)
    with pytest.raises(MissingError):
        build_feed(store, club.secrets["mo"], ADDRESS, THEN)
    for name in ("jo", "new"):
        build_feed(store, club.secrets[name], ADDRESS, THEN)
    with pytest.raises(MissingError):
        see_link(store, club.secrets["once"], "", THEN)
    assert find_person(store, club.secrets["phone"], THEN) is None
    assert find_person(store, fresh, THEN) is not None
    assert sign_in_with_password(store, "Kim Ashby", NEW_PASSWORD, "::1", "F", THEN)
    with pytest.raises(RefusedError):
        sign_in_with_password(store, "Kim Ashby", PASSWORD, "::1", "F", THEN)
    assert club.outside.deliver(store, THEN) == [AL]  # an address that was withdrawn: called off


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Store]:
    """Give a place where there are no records yet, of the kind of this run."""
    path = tmp_path / "new machine.sqlite"
    make_place(path)
    store = open_records(path)
    yield store
    store.close()
    drop_records(path)


def restore_into(place: Store, club: Club, ways_in: WaysIn) -> Restored:
    """Bring the club back where nothing says what has happened since."""
    copy = club.backup.with_name("none.sqlite")
    return restore_backup(place, Wish(club.backup, copy, ways_in), THEN)


def test_where_nothing_is_known_calendars_go_on_all_the_same(club: Club, place: Store) -> None:
    """Counts rise above any that can have been seen, and a session of since is served no more."""
    go_on(club)
    done = restore_into(place, club, WaysIn.BACKUP)
    assert not done.found.is_known
    assert done.copy is None
    feed = club.outside.feeds[club.secrets["jo"]]
    uids = set(feed.take(build_feed(place, club.secrets["jo"], ADDRESS, THEN).data))
    planned = {(make_range(NOW.date()).starts_at, True)}
    assert {(e.starts_at, e.is_on) for uid, e in feed.entries.items() if uid in uids} == planned
    assert len(feed.entries) == 2
    assert done.found.jump >= (THEN - NOW).total_seconds()


@pytest.mark.files
def test_where_nothing_is_known_one_has_to_say_what_opens(club: Club, place: Store) -> None:
    """Neither is a withdrawn address let live again, nor a calendar ended, without a word."""
    with pytest.raises(RefusedError, match=r"open something: 3; .* sign in: 2.*--ways-in closed"):
        restore_into(place, club, WaysIn.NOW)
    assert not is_file() or not place_of(place).exists()


@pytest.mark.files
def test_as_in_the_backup_opens_what_it_had_but_one_time_addresses(
    club: Club, place: Store
) -> None:
    """Addresses and passwords are as they were; browsers and what works once are gone."""
    done = restore_into(place, club, WaysIn.BACKUP)
    assert (done.found.open, done.found.withdrawn) == (3, 0)
    build_feed(place, club.secrets["mo"], ADDRESS, THEN)
    assert sign_in_with_password(place, "Kim Ashby", PASSWORD, "::1", "F", THEN)
    for name in ("phone", "kim"):
        assert find_person(place, club.secrets[name], THEN) is None
    with pytest.raises(MissingError):
        see_link(place, club.secrets["once"], "", THEN)


def test_closed_opens_nothing_until_the_secretary_gives_it_back(club: Club, place: Store) -> None:
    """All addresses are withdrawn by one change, which is taken back like any other."""
    done = restore_into(place, club, WaysIn.CLOSED)
    assert (done.found.open, done.found.withdrawn, done.found.ended) == (0, 3, 2)
    with pytest.raises(MissingError):
        build_feed(place, club.secrets["mo"], ADDRESS, THEN)
    with pytest.raises(RefusedError):
        sign_in_with_password(place, "Kim Ashby", PASSWORD, "::1", "F", THEN)
    key = create_secretary_key(place, THEN)
    set_password(place, key, "Kim Ashby", KIM, NEW_PASSWORD, "F", THEN)
    withdrawal = list_changes(place, THEN)[1]
    assert "withdrew all addresses" in withdrawal.words
    undo_change(place, withdrawal.number, THEN)
    build_feed(place, club.secrets["mo"], ADDRESS, THEN)


@pytest.mark.files
def test_mails_that_waited_wait_for_somebody_to_send_them(club: Club, place: Store) -> None:
    """Nobody knows whether they went out: they are among those that did not arrive."""
    during = make_range(NOW.date())
    third = find_area_id(club.store, TOP, "third-3")
    move_booking(club.store, club.kept, 0, third, during, NOW, ALL_THE_SAME)
    deliver(club.store, CONFIG, lambda: NOW, at_once=True, send=lambda *_: (Fate.LATER, "busy"))
    club.backup.unlink()
    make_backup(club.store, club.backup, NOW)
    done = restore_into(place, club, WaysIn.BACKUP)
    assert done.found.unsure == 1
    assert club.outside.deliver(place, THEN) == []
    assert len(see_untold(place, CONFIG, THEN).undelivered) == 1
    send_again(place, None, THEN)
    assert club.outside.deliver(place, THEN) == [AL]


@pytest.mark.files
def test_a_share_out_that_ran_has_ended(club: Club, place: Store) -> None:
    """Its process is not there any more, so nobody waits for it."""
    request = RunRequest(Work.STRETCH, Effort(seconds=30), stretch="winter")
    number = ask_for_run(club.store, request, NOW, NOW)
    club.backup.unlink()
    make_backup(club.store, club.backup, NOW)
    restore_into(place, club, WaysIn.BACKUP)
    shown = see_run(place, number, NOW)
    assert (shown.state, "backup" in shown.words) == (RunState.FAILED, True)


def test_records_are_not_replaced_without_a_word(club: Club) -> None:
    """Nor are those that somebody has open; either way they stay as they are."""
    before = count_rows(club.store)
    with pytest.raises(RefusedError, match=r"records already.*--replace.*replaced"):
        club.restore(is_replacing=False)
    club.store.close()
    other = open_records(place_of(club.store))
    with other.read() as session:
        session.scalar(select(func.count(BookingRow.id)))
    with pytest.raises(RefusedError, match=r"in use.*--although-served"):
        club.restore()
    assert count_rows(club.store) == before
    assert not club.backup.with_name("replaced.sqlite").exists()
    club.restore(is_served=True)
    with other.read() as session:
        assert session.scalar(select(func.count(BookingRow.id))) == 2
    other.close()


@pytest.mark.files
def test_what_was_replaced_is_kept_and_can_be_brought_back(club: Club) -> None:
    """Whoever took the wrong backup goes back, and calendars follow there, too."""
    go_on(club)
    done = club.restore()
    assert done.copy is not None
    again = restore_backup(
        club.store,
        Wish(done.copy, done.copy.with_name("again.sqlite"), is_replacing=True),
        THEN + timedelta(minutes=5),
    )
    assert again.found.put_back == 2
    club.outside.fetch(club.store, THEN + timedelta(minutes=10))
    feed = club.outside.feeds[club.secrets["jo"]]
    assert {is_on for _starts, is_on in entries(feed)} == {True}
    assert len(entries(feed)) == 2


@pytest.mark.files
def test_another_clubs_records_say_nothing_of_this_one(club: Club, club_store: Store) -> None:
    """Their people's access and addresses are not taken over."""
    club_store.close()
    wish = Wish(club.backup, club.backup.with_name("other.sqlite"), is_replacing=True)
    with pytest.raises(RefusedError, match="no records that say"):
        restore_backup(club_store, wish, THEN)
    done = restore_backup(club_store, replace(wish, ways_in=WaysIn.BACKUP), THEN)
    assert (done.found.club, done.found.is_known) == ("Alderby Rovers", False)


@pytest.mark.files
def test_ground_that_was_closed_since_is_told(club: Club) -> None:
    """Somebody closed it for a reason, and has to look whether that still holds."""
    low = find_area_id(club.store, "marsh-lane-low-pitch", "whole")
    until = range_typed_until(NOW.date(), 0, NOW.date() + timedelta(days=3), 24 * 60, LONDON)
    close_ground(club.store, ClosureWish(low, until, Condition.CLOSED, "ice"), None, LATER)
    assert club.restore().found.closures == 1
    shown = see_restored(club.store, CONFIG, THEN)
    assert shown is not None
    assert "close that ground again" in shown.sessions[0]


@pytest.mark.files
def test_ground_and_squads_of_since_are_told_apart(club: Club) -> None:
    """A session on ground that the backup does not know is counted, and breaks nothing."""
    store = club.store
    settings = (*PITCHES, pitch_feature("New pitch", 60, 40))
    load_files(store, small_club_files(pitches=settings), LATER)
    during = make_range(NOW.date())
    new = find_area_id(store, "marsh-lane-new-pitch", "whole")
    move_booking(store, club.moved, 0, new, during, LATER, ALL_THE_SAME)
    book(
        store, pitch_key="marsh-lane-new-pitch", day=NOW.date(), start_min=20 * 60, end_min=21 * 60
    )
    club.outside.fetch(store, LATER)
    club.outside.deliver(store, LATER)
    done = club.restore()
    assert (done.found.put_back, done.found.untold) == (1, 1)
    assert club.outside.deliver(store, THEN) == [JO]
    club.outside.fetch(store, THEN)
    planned = (during.starts_at, True)
    assert planned in entries(club.outside.inboxes[JO])
    assert planned in entries(club.outside.feeds[club.secrets["jo"]])


@pytest.mark.parametrize(
    "name", [FULL[0], *(pytest.param(name, marks=pytest.mark.files) for name in FULL[1:])]
)
def test_a_backup_of_an_earlier_version_comes_back_in_the_newest_shape(
    place: Store, tmp_path: Path, name: str
) -> None:
    """Whoever lost everything has the last copy, however old; addresses open what they did."""
    kept = tmp_path / "kept years ago"
    people = put_earlier(kept, name)
    wish = Wish(kept, tmp_path / "none.sqlite", WaysIn.BACKUP)
    before = rows_of(kept)
    done = restore_backup(place, wish, NOW + timedelta(days=1))
    check_store(place)
    assert done.taken_at is None
    counts = count_rows(place)
    for table in ("booking", "squad", "pitch", "changed_booking", "mailed", "link"):
        assert counts[table] == len(before.get(table, [])), table
    with place.read() as session:
        lowest = session.scalar(select(func.min(BookingRow.sequence)))
        assert lowest is not None
        assert lowest >= done.found.jump
    feed = build_feed(place, people.squad, ADDRESS, NOW)
    assert feed.data.count(b"BEGIN:VEVENT") > 3
    assert find_person(place, people.browsers["secretary"], NOW) is None
    book(place, start_min=21 * 60, end_min=21 * 60 + 15)
    assert rows_of(kept) == before


@pytest.mark.files
def test_a_mark_from_after_the_backup_is_gone(club: Club) -> None:
    """Numbers are given again, so that whoever had seen the first ones would miss the others.

    Whoever was no further than the backup goes on, and is told what the restoring did.
    """
    before = present_mark(club.store, NOW)
    make_backup(club.store, club.backup.with_name("later.backup"), NOW)
    go_on(club)
    after = present_mark(club.store, LATER)
    club.backup = club.backup.with_name("later.backup")
    club.restore()
    with pytest.raises(MarkGoneError):
        read_since(club.store, after)
    followed = read_since(club.store, before)
    states = [one.after for one in followed.happenings if one.after is not None]
    assert [state["is_withdrawn"] for state in states] == [False, True]
    assert "backup" in followed.happenings[0].words
    assert read_since(club.store, followed.mark).happenings == ()
    assert present_mark(club.store, THEN) == followed.mark


@pytest.mark.files
def test_no_mark_is_good_that_the_backup_does_not_know(club: Club) -> None:
    """A backup from before anybody followed says nothing of who did since."""
    mark = present_mark(club.store, LATER)
    club.restore()
    with pytest.raises(MarkGoneError):
        read_since(club.store, mark)
    assert read_since(club.store, present_mark(club.store, THEN)).happenings == ()
