"""Records in PostgreSQL: what is different there from a file, and what must not be."""

from __future__ import annotations

import os
import re
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import psycopg
import pytest
from sqlalchemy import make_url, select, text
from sqlalchemy.exc import IntegrityError

from clubplanner.errors import StoreError, UnsureError
from clubplanner.resources import invented_club_files
from clubplanner.store import postgres
from clubplanner.store.engine import open_store
from clubplanner.store.guard import CLASH_MARK, POSTGRES_GUARDS
from clubplanner.store.stand import read_setup_mark
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.season_tables import ChangedBookingRow
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.records import address_of, drop_records, make_place, open_records
from tests.serving import ask, run_command, serving
from tests.stores import make_wish, put_booking

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store
    from clubplanner.store.postgres_guard import Part

pytestmark = pytest.mark.server

WEAK_FUNCTION = """
    CREATE OR REPLACE FUNCTION area_guard_looks() RETURNS trigger LANGUAGE plpgsql
    AS 'BEGIN RETURN NEW; END'"""
WEAK_CONSTRAINT = f"""
    ALTER TABLE booking DROP CONSTRAINT "{CLASH_MARK}", ADD CONSTRAINT "{CLASH_MARK}"
    EXCLUDE USING gist (booking_ground(pitch_id, cells) WITH &&,
    int8range(starts_at, ends_at) WITH &&) WHERE (NOT is_withdrawn AND is_fixed)"""


@pytest.fixture
def new_path(tmp_path: Path) -> Iterator[Path]:
    """Give the place of an empty database."""
    path = tmp_path / "new.sqlite"
    make_place(path)
    yield path
    drop_records(path)


def raw(path: Path) -> psycopg.Connection[Any]:
    """Connect as another program would."""
    address = address_of(path)
    return psycopg.connect(address)


def run_sql(path: Path, *statements: str) -> None:
    """Change a database past our own code."""
    with raw(path) as connection:
        for statement in statements:
            connection.execute(statement.encode())


def test_options_of_the_address_hold_beside_ours(new_path: Path) -> None:
    """A schema named in the address is the one that is used, and no writer waits for ever."""
    run_sql(new_path, "CREATE SCHEMA rovers")
    store = open_store(f"{address_of(new_path)}&options=-csearch_path%3Drovers")
    try:
        with store.read() as session:
            shown = [
                session.scalar(text(f"SHOW {name}")) for name in ("search_path", "lock_timeout")
            ]
        assert shown == ["rovers", "15s"]
        migrate(store)
        check_store(store)
    finally:
        store.close()
    with raw(new_path) as connection:
        query = b"SELECT DISTINCT schemaname FROM pg_tables WHERE tablename = 'booking'"
        assert connection.execute(query).fetchall() == [("rovers",)]


def test_an_empty_database_becomes_a_guarded_one(new_path: Path) -> None:
    """Beginning a club makes every table and the guard; beginning it again changes nothing."""
    store = open_records(new_path)
    with pytest.raises(StoreError, match="no club in this database yet"):
        check_store(store)
    for _unused in range(2):
        assert migrate(store) is None
        check_store(store)
    store.close()
    with raw(new_path) as connection:
        rows = connection.execute("SELECT relname FROM pg_class WHERE relkind = 'r'").fetchall()
    assert set(Base.metadata.tables) <= {name for (name,) in rows}


def test_two_who_begin_at_once_begin_one_club(new_path: Path) -> None:
    """Two machines that are set up together find the same tables."""
    faults: list[Exception] = []

    def begin() -> None:
        store = open_records(new_path)
        try:
            migrate(store)
        except StoreError as fault:
            faults.append(fault)
        finally:
            store.close()

    threads = [threading.Thread(target=begin) for _unused in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert faults == []


def test_another_programs_database_is_left_alone(new_path: Path) -> None:
    """Tables of somebody else are no place for a club."""
    run_sql(new_path, "CREATE TABLE recipe (name text)")
    store = open_records(new_path)
    with pytest.raises(StoreError, match="another program's database"):
        migrate(store)
    store.close()


@pytest.mark.parametrize("part", POSTGRES_GUARDS, ids=lambda part: part.name)
def test_a_missing_part_of_the_guard_is_noticed(
    empty_store: Store, tmp_path: Path, part: Part
) -> None:
    """Nothing is served without every part; beginning the club again puts it back."""
    run_sql(tmp_path / "empty.sqlite", f"{part.drop} CASCADE")
    _is_noticed_and_put_back(empty_store)


@pytest.mark.parametrize(
    "weaker",
    [
        "ALTER TABLE booking DISABLE TRIGGER booking_guard",
        WEAK_FUNCTION,
        WEAK_CONSTRAINT,
    ],
)
def test_a_weaker_guard_is_noticed(empty_store: Store, tmp_path: Path, weaker: str) -> None:
    """A guard that is there by name alone is none."""
    run_sql(tmp_path / "empty.sqlite", weaker)
    _is_noticed_and_put_back(empty_store)


def _is_noticed_and_put_back(store: Store) -> None:
    with pytest.raises(StoreError, match=r"guard .*is missing or changed.*clubplanner init"):
        check_store(store)
    migrate(store)
    check_store(store)


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("ALTER TABLE club RENAME COLUMN language TO l", "“club” has no column “language”"),
        ("ALTER TABLE club ADD COLUMN motto text", "“club” has a column “motto” that is not this"),
        ("DROP TABLE wear_limit", "table “wear_limit” is missing"),
        ("CREATE TABLE recipe (name TEXT)", "table “recipe” is not one of this program's"),
        ("DROP INDEX ix_booking_starts_at", "lost its index “ix_booking_starts_at”"),
        ("CREATE UNIQUE INDEX one ON club (zone)", "table “club” has a strange index “one”"),
        ("ALTER TABLE club ALTER COLUMN name DROP NOT NULL", "“name” of table “club” is character"),
        ("ALTER TABLE club DROP CONSTRAINT ck_club_one_club", "lost its check “ck_club_one_club”"),
    ],
)
def test_another_shape_is_refused_in_plain_words(
    empty_store: Store, tmp_path: Path, statement: str, words: str
) -> None:
    """What is missing or strange is named."""
    run_sql(tmp_path / "empty.sqlite", statement)
    with pytest.raises(StoreError, match=re.escape(words)):
        check_store(empty_store)


def test_a_writer_that_waits_too_long_is_told(
    empty_store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When another program never ends its work, writing ends with words; reading goes on."""
    monkeypatch.setattr("clubplanner.store.engine.BUSY_SECONDS", 1)
    store = open_records(tmp_path / "empty.sqlite")
    with empty_store.write(), store.read() as session:
        assert session.get(ClubRow, 1) is None
        with pytest.raises(StoreError, match="busy with another change"), store.write():
            pass
    with store.write() as session:
        session.execute(text("SELECT 1"))
    store.close()


def test_a_reader_sees_one_state(club_store: Store, store_path: Path) -> None:
    """What somebody else writes meanwhile is seen by the next look, not by half of this one."""
    with club_store.read() as session:
        before = session.scalar(select(ClubRow.name))
        run_sql(store_path, "UPDATE club SET name = 'Changed'")
        session.expire_all()
        assert session.scalar(select(ClubRow.name)) == before
    with club_store.read() as session:
        assert session.scalar(select(ClubRow.name)) == "Changed"


def test_a_writer_sees_what_the_one_before_it_wrote(club_store: Store) -> None:
    """Two writers at once count one after the other, not over each other."""

    def count() -> None:
        for _unused in range(10):
            with club_store.write() as session:
                club = session.get_one(ClubRow, 1)
                club.name = f"{club.name}+"

    threads = [threading.Thread(target=count) for _unused in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).name.count("+") == 30


def rename(store: Store, name: str) -> str:
    """Change something small; return how far the server's log was before the commit."""
    with store.write() as session:
        session.get_one(ClubRow, 1).name = name
        session.flush()
        return str(session.scalar(text("SELECT pg_current_wal_insert_lsn()")))


def test_whoever_is_answered_is_on_the_disk(club_store: Store, store_path: Path) -> None:
    """The commit does not wait for it, what follows does, for all before it in the log."""
    own = make_url(address_of(store_path)).update_query_dict(
        {"options": "-c synchronous_commit=on"}
    )
    with closing(open_store(own)) as store:
        rename(store, "At rest")  # connections are made
        for n in range(5):
            before = rename(store, f"Name {n}")
            query = text("SELECT pg_current_wal_flush_lsn() >= CAST(:before AS pg_lsn)")
            with club_store.read() as session:
                assert session.scalar(query, {"before": before})


def test_the_turn_is_given_back_before_the_disk_is_waited_for(
    club_store: Store, store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who comes meanwhile writes; who waits is answered when the disk is done."""
    reached, let_go = threading.Event(), threading.Event()

    def reach(_connection: object) -> None:
        reached.set()
        assert let_go.wait(120)

    monkeypatch.setattr("clubplanner.store.postgres.reach_disk", reach)
    with closing(open_store(address_of(store_path))) as store, ThreadPoolExecutor(1) as pool:
        first = pool.submit(rename, store, "First")
        assert reached.wait(120)
        rename(club_store, "Second")
        assert not first.done()
        let_go.set()
        first.result(20)


def test_a_server_that_began_anew_before_the_disk_had_it_is_not_believed(
    club_store: Store, store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may have lost the end of its log: whoever wrote learns that nobody knows, not “done”."""
    there = postgres.reach_disk
    query = b"""SELECT pg_terminate_backend(pid) FROM pg_stat_activity
        WHERE datname = current_database() AND pid <> pg_backend_pid()"""

    def reach(*given: Any) -> None:
        monkeypatch.setattr("clubplanner.store.postgres.reach_disk", there)
        with raw(store_path) as connection:  # as a server does that begins anew
            connection.execute(query)
        there(*given)

    with closing(open_store(address_of(store_path))) as store:
        rename(store, "At rest")
        monkeypatch.setattr("clubplanner.store.postgres.reach_disk", reach)
        with pytest.raises(UnsureError, match="This was written"):
            rename(store, "Lost?")
        rename(store, "Kept")
    club_store.engine.dispose()
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).name == "Kept"


def test_what_others_count_by_waits_for_the_servers_disk(
    club_store: Store, store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever wrote still waits; who reads by `read_kept` takes the log there, others do not."""
    reached, let_go = threading.Event(), threading.Event()
    there = postgres.reach_disk

    def reach(_connection: object) -> None:
        reached.set()
        assert let_go.wait(120)

    own = make_url(address_of(store_path)).update_query_dict(
        {"options": "-c synchronous_commit=on"}
    )
    flushed = text("SELECT pg_current_wal_flush_lsn() >= CAST(:seen AS pg_lsn)")
    inserted = text("SELECT CAST(pg_current_wal_insert_lsn() AS text)")
    with (
        closing(open_store(own)) as store,
        closing(open_store(own)) as other,
        ThreadPoolExecutor(1) as pool,
    ):
        monkeypatch.setattr("clubplanner.store.postgres.reach_disk", reach)
        first = pool.submit(rename, store, "First")
        assert reached.wait(120)
        monkeypatch.setattr("clubplanner.store.postgres.reach_disk", there)
        with other.read_kept() as session:
            assert session.get_one(ClubRow, 1).name == "First"
            seen = session.scalar(inserted)
        with other.read() as session:
            assert session.scalar(flushed, {"seen": seen})
        assert not first.done()
        let_go.set()
        first.result(20)


def test_a_reader_asks_the_disk_only_for_what_is_not_there_yet(
    club_store: Store, store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A quiet club's calendars write nothing; where another server has to have it, all ask."""
    asked: list[object] = []
    monkeypatch.setattr("clubplanner.store.postgres.reach_disk", asked.append)
    with closing(open_store(address_of(store_path))) as store:
        for is_there, count in ((True, 0), (False, 1)):
            words = f"SELECT {is_there}"
            monkeypatch.setattr("clubplanner.store.postgres._ALL_ON_DISK", words)
            with store.read_kept() as session:
                session.get_one(ClubRow, 1)
            assert len(asked) == count


def test_a_server_that_ends_in_the_moment_of_a_commit_leaves_it_open(
    club_store: Store, store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may have done it: nobody is told that nothing was changed."""
    with closing(open_store(address_of(store_path))) as store:
        there = store.engine.dialect.do_commit

        def commit(connection: Any) -> None:
            there(connection)
            raise psycopg.OperationalError("server closed the connection unexpectedly")

        rename(store, "At rest")
        monkeypatch.setattr(store.engine.dialect, "do_commit", commit)
        with pytest.raises(UnsureError, match="This was written"):
            rename(store, "Answered by nobody")
        monkeypatch.setattr(store.engine.dialect, "do_commit", there)
        with store.read() as session:
            assert session.get_one(ClubRow, 1).name == "Answered by nobody"


def test_a_change_and_its_entry_go_in_one_message(club_store: Store) -> None:
    """It is not taken for a change of what bookings are held against, and is kept as any."""
    with club_store.read() as session:
        before = read_setup_mark(session)
    number = put_booking(club_store, make_wish(club_store))
    with club_store.read() as session:
        assert read_setup_mark(session) == before
        entry = session.scalars(
            select(ChangedBookingRow).where(ChangedBookingRow.booking_id == number)
        ).one()
        assert entry.before is None
        assert entry.after["squad_id"] is not None
        assert entry.change.by == club_store.by
        notice = session.scalars(select(NoticeRow).where(NoticeRow.entry_id == entry.id)).one()
        assert notice.squad_id == entry.after["squad_id"]


def test_other_programs_that_book_at_once_are_kept_apart(
    club_store: Store, store_path: Path
) -> None:
    """Two that know nothing of our order: the second waits for the first, and is refused."""
    number = put_booking(club_store, make_wish(club_store))
    names = [column.name for column in BookingRow.__table__.columns if column.name != "id"]
    columns = ", ".join(names)
    day = ", ".join(
        {
            "uid": "uid || '-' || %s",
            "starts_at": "starts_at + 86400",
            "ends_at": "ends_at + 86400",
        }.get(name, name)
        for name in names
    )
    copy = f"INSERT INTO booking ({columns}) SELECT {day} FROM booking WHERE id = {number}"  # noqa: S608
    refused: list[str] = []
    with raw(store_path) as one, raw(store_path) as other:
        one.execute(copy.encode(), ["one"])

        def insert() -> None:
            try:
                other.execute(copy.encode(), ["other"])
            except psycopg.errors.ExclusionViolation as fault:
                refused.append(str(fault))
            other.rollback()

        waiting = threading.Thread(target=insert)
        waiting.start()
        waiting.join(0.3)
        assert waiting.is_alive()
        one.commit()
        waiting.join(30)
    assert len(refused) == 1
    assert CLASH_MARK in refused[0]


def test_ground_is_not_changed_while_somebody_books_it(club_store: Store, store_path: Path) -> None:
    """A change of cells waits for the booking that was put there, and is refused after it."""
    number = put_booking(club_store, make_wish(club_store))
    with club_store.read() as session:
        area = session.get_one(BookingRow, number).area_id
    redraw = f"UPDATE area SET cells = cells + 2 WHERE id = {area}"  # noqa: S608
    refused: list[str] = []
    run_sql(store_path, f"UPDATE booking SET is_withdrawn = true WHERE id = {number}")  # noqa: S608
    with raw(store_path) as one, raw(store_path) as other:
        back = f"UPDATE booking SET is_withdrawn = false WHERE id = {number}"  # noqa: S608
        one.execute(back.encode())

        def change() -> None:
            try:
                other.execute(redraw.encode())
            except psycopg.errors.IntegrityError as fault:
                refused.append(str(fault))
            other.rollback()

        waiting = threading.Thread(target=change)
        waiting.start()
        waiting.join(0.3)
        assert waiting.is_alive()
        one.commit()
        waiting.join(30)
    assert len(refused) == 1
    assert "ground is booked" in refused[0]


def test_a_server_that_is_away_is_told_in_plain_words(tmp_path: Path) -> None:
    """Whoever asks learns whom to ask, and no address with a password."""
    store = open_store(f"postgresql://club:secret@/club?host={tmp_path}")
    with pytest.raises(StoreError, match="database server does not answer") as told:
        check_store(store)
    assert "secret" not in str(told.value)


def test_a_server_that_ends_meanwhile_is_told_and_found_again(
    empty_store: Store, tmp_path: Path
) -> None:
    """A connection that was cut off is told once; the next look opens another."""
    cut = (
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database()"
    )
    with empty_store.read() as session:
        session.get(ClubRow, 1)
        run_sql(tmp_path / "empty.sqlite", f"{cut} AND pid <> pg_backend_pid()")
        with pytest.raises(StoreError, match="database server does not answer"):
            session.execute(text("SELECT 1"))
    with empty_store.read() as session:
        assert session.get(ClubRow, 1) is None


def test_a_connection_that_was_cut_off_at_rest_is_not_noticed(
    empty_store: Store, tmp_path: Path
) -> None:
    """A server that was started anew between two looks is simply asked again."""
    cut = (
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
        "WHERE datname = current_database() AND pid <> pg_backend_pid()"
    )
    with empty_store.read() as session:
        session.get(ClubRow, 1)
    run_sql(tmp_path / "empty.sqlite", cut)
    with empty_store.read() as session:
        assert session.get(ClubRow, 1) is None
    run_sql(tmp_path / "empty.sqlite", cut)
    with empty_store.write() as session:
        assert session.get(ClubRow, 1) is None


def test_a_user_who_may_not_write_is_told(empty_store: Store) -> None:
    """A read-only server, or a user without the right, is said as such."""
    with empty_store.read() as session:
        session.execute(text("SET TRANSACTION READ ONLY"))
        with pytest.raises(StoreError, match="records cannot be written"):
            session.execute(text("UPDATE stand SET number = 1"))


def test_an_old_server_is_refused() -> None:
    """Before version 15 a server is told as too old."""
    old: Any = SimpleNamespace(info=SimpleNamespace(server_version=140_012))
    with pytest.raises(StoreError, match="PostgreSQL 14; use version 15"):
        postgres._refuse_old(old, None)


def test_a_rule_of_the_database_is_an_error_of_integrity(club_store: Store) -> None:
    """What the guard refuses is told as the same kind of error as on SQLite."""
    wish = make_wish(club_store)
    put_booking(club_store, wish)
    with club_store.write() as session, pytest.raises(IntegrityError, match="too long"):
        session.execute(text("UPDATE booking SET ends_at = starts_at + 90001"))


def test_the_run_has_a_server_of_its_own() -> None:
    """Tests of the server use none that somebody else has data in."""
    assert "records-" in os.environ["CLUBPLANNER_TEST_SERVER"]


def test_the_program_runs_on_it(new_path: Path) -> None:
    """Begun, loaded, shared out by a process of its own and served, as on a file."""
    assert run_command(new_path, "init").returncode == 0
    files = [str(path) for path in invented_club_files()]
    assert run_command(new_path, "club", "load", *files).returncode == 0
    done = run_command(new_path, "share-out", "run", "autumn", "--seconds", "2", "--json")
    assert done.returncode == 0, done.stderr
    with serving(new_path) as served:
        assert ask(served.port, "/health").body == b"well\n"
        assert ask(served.port, "/sign-in").status == 200
