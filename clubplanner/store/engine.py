"""Engines and sessions.

Read sessions see one state. Write sessions queue up first come, first served, and take the write
lock at once: SQLite's own, or that of `store/postgres.py`. Neither waits for the other: SQLite
writes ahead into a log (`store/sqlite.py`).
"""

from __future__ import annotations

import sqlite3
import time
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING

from sqlalchemy.engine import URL, Connection, Engine, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.orm import Session

from clubplanner.errors import AwayError, StoreError, UnsureError
from clubplanner.language import marked
from clubplanner.store import postgres, sqlite
from clubplanner.store.claims import Claim, count_writes, hold_claim
from clubplanner.store.disk import SharedWait, reach_disk
from clubplanner.store.journal.counting import keep_counting
from clubplanner.store.journal.journal import begin_journal, has_last_bookings, keep_journal
from clubplanner.store.rights import SCOPE, begin_within, keep_within
from clubplanner.store.stand import WRITTEN, Written, keep_stand, watch_writes
from clubplanner.store.together import SharedTransaction, Work
from clubplanner.store.turns import FairLock, turn_among_processes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.domain.club.clubs_within import Scope

BUSY_SECONDS = 15.0


class WriteSession(Session):
    """A session that writes: what it changes is held to rights, counted and kept in the journal.

    They listen to the class, since listening to each session anew takes as long as a statement.
    """


for _keep in (keep_within, keep_counting, keep_journal, keep_stand):
    _keep(WriteSession)


@dataclass(slots=True)
class Store:
    """One database and the ways to read and write it.

    Attributes:
        engine: Its connections.
        by: Who is at work, in words, for the journal.
        made: Gets the numbers of the changes made through this store, in order; None for nobody
            who asks.
        claim: On the work that the transactions are, of a form or a run; None for work that nobody
            else could do too.
        disk: Where writers wait for the disk; None for tests, which do not.
        scope: The club within whose records whoever is at work is held to; None for nobody who is.
    """

    engine: Engine
    _writers: FairLock = field(default_factory=lambda: FairLock(seconds=BUSY_SECONDS))
    by: str = marked("the planner")
    made: list[int] | None = None
    claim: Claim | None = None
    disk: SharedWait | None = None
    scope: Scope | None = None

    def acting_for(self, by: str, scope: Scope | None = None) -> Store:
        """Return the same database, with every change noted as this person's.

        Args:
            by: Who, in words.
            scope: The club within whose records they are held to; None for nobody who is.
        """
        return replace(self, by=by, made=None, claim=None, scope=scope)

    def noting(self, made: list[int]) -> Store:
        """Return the same database, with the numbers of changes added to a list."""
        return replace(self, made=made)

    def claimed(self, claim: Claim | None) -> Store:
        """Return the same database, with what is written being the work of a form or a run."""
        return replace(self, claim=claim)

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Open a session that sees one state and changes nothing.

        Raises:
            StoreError: If another program holds the database for longer than `BUSY_SECONDS`.
        """
        with Session(self.engine, expire_on_commit=False, autoflush=False) as session:
            session.info[SCOPE] = self.scope
            yield session

    @contextmanager
    def read_kept(self) -> Iterator[Session]:
        """Open a session as `read` does, that ends when the disk has all that it could see.

        For what others go on from by a count or a mark of changes: after a loss of power the same
        one would be given again, to another change.

        Raises:
            StoreError: If the database cannot be read, or the disk refuses.
        """
        seen_at = time.monotonic()
        with ExitStack() as kept:
            bind = self._own_connection(kept)
            with Session(bind, expire_on_commit=False, autoflush=False) as session:
                session.info[SCOPE] = self.scope
                yield session
                if self.disk is None or (
                    isinstance(bind, Connection) and postgres.is_all_on_disk(session.connection())
                ):
                    return
            try:
                self._reach_disk(bind, self.disk, seen_at)
            except OSError as fault:
                raise StoreError(sqlite.unwritable_words()) from fault

    @contextmanager
    def write(self, *, in_passing: bool = False, brief: bool = False) -> Iterator[Session]:
        """Open a session that writes in one transaction: all of it, or on an error nothing.

        Args:
            in_passing: Whether a loss of power may take it away again, so that nobody waits for the
                disk. What is written later is never kept without it.
            brief: Whether it is over in a moment, so that others who wait may share the transaction
                (`store/together.py`). The session must not be committed within.

        Raises:
            OutdatedError: If the work that it is has been claimed anew; nothing is written.
            RefusedError: If whoever is at work may not change some of it; nothing is written.
            StoreError: If another program or thread holds the database for longer than
                `BUSY_SECONDS`.
            UnsureError: If it is written, and the disk refused it or the server went away.
        """
        work = Work(is_waited_for=not in_passing)
        way = self._write_together if brief and self._may_share() else self._write_alone
        with way(work) as session:
            yield session

    @contextmanager
    def _write_alone(self, work: Work) -> Iterator[Session]:
        with ExitStack() as kept:
            with self._turn():
                sqlite.fold_log_in(self.engine)
                bind = self._own_connection(kept)
                session = kept.enter_context(WriteSession(bind, expire_on_commit=False))
                with _undone_on_error(session):
                    session.info[WRITTEN] = written = Written()
                    options = {"clubplanner_write": True, WRITTEN: written}
                    session.connection(execution_options=options)
                    with self._noting(session, work):
                        yield session
                    written_at = time.monotonic()
                    _commit(session, is_told=work.has_written)
            if work.has_written and work.is_waited_for:
                self._wait_for_disk(bind, written_at)

    @contextmanager
    def _write_together(self, work: Work) -> Iterator[Session]:
        shared: SharedTransaction | None = self._writers.take(joins=True)
        if shared is None:
            try:
                shared = self._begin_shared()
            except BaseException:
                self._writers.give_back(joins=True)
                raise
        fault: BaseException | None = None
        known = len(self.made or ())
        try:
            with shared.join() as session, self._noting(session, work):
                yield session
        except BaseException as raised:
            fault, work.has_written = raised, False
        others_wrote = shared.note(work)
        self._leave(shared)
        try:
            if fault is None or others_wrote:
                shared.await_end(work)
        except BaseException:
            if self.made is not None:
                del self.made[known:]
            raise
        if fault is not None:
            raise fault

    def _begin_shared(self) -> SharedTransaction:
        with ExitStack() as kept, ExitStack() as turn:
            file = sqlite.file_of(self.engine)
            turn.enter_context(
                turn_among_processes(None if file is None else sqlite.log_of(file), BUSY_SECONDS)
            )
            sqlite.fold_log_in(self.engine)
            connection = kept.enter_context(self.engine.connect())
            return SharedTransaction(connection, turn.pop_all(), kept.pop_all(), WriteSession)

    def _leave(self, shared: SharedTransaction) -> None:
        """Hand a shared transaction on to who waits, or end it for all."""
        if shared.may_go_on and self._writers.hand_on(shared):
            return
        written_at = time.monotonic()
        is_told = shared.end()
        self._writers.give_back(joins=True)
        disk_fault: UnsureError | None = None
        try:
            if is_told:
                self._wait_for_disk(shared.connection, written_at)
        except UnsureError as fault:
            disk_fault = fault
        finally:
            shared.close(disk_fault)

    def _may_share(self) -> bool:
        """Tell whether threads can share a connection: not to a database in memory."""
        return self.engine.dialect.name == postgres.NAME or sqlite.file_of(self.engine) is not None

    @contextmanager
    def _noting(self, session: Session, work: Work) -> Iterator[None]:
        """Let all that a session writes be noted, and held to rights and claims."""
        begin_within(session, self.scope)
        begin_journal(session, self.by, self.made)
        before = count_writes(session)
        yield
        session.flush()
        work.has_written = count_writes(session) > before or has_last_bookings(session)
        if self.claim is not None and work.has_written:
            hold_claim(session, self.claim)

    def _own_connection(self, kept: ExitStack) -> Engine | Connection:
        """Return what a write session has to do with: on PostgreSQL a connection kept to the end.

        It waits for the disk as well; a file's log needs none for that.
        """
        if self.engine.dialect.name != postgres.NAME:
            return self.engine
        return kept.enter_context(self.engine.connect())

    def _wait_for_disk(self, bind: Engine | Connection, written_at: float) -> None:
        if self.disk is None:
            return
        try:
            self._reach_disk(bind, self.disk, written_at)
        except (OSError, StoreError) as fault:
            raise UnsureError from fault

    @staticmethod
    def _reach_disk(bind: Engine | Connection, disk: SharedWait, written_at: float) -> None:
        if bind.dialect.name == postgres.NAME and isinstance(bind, Connection):
            reach, since = partial(postgres.reach_disk, bind), postgres.open_since(bind)
            disk.wait(reach, same_since=since, written_at=written_at)
        elif (file := sqlite.file_of(bind.engine)) is not None:
            disk.wait(partial(reach_disk, sqlite.log_of(file)))

    @contextmanager
    def _turn(self) -> Iterator[None]:
        """Wait for one's turn to write; PostgreSQL keeps its own queue."""
        file = sqlite.file_of(self.engine)
        log = None if file is None else sqlite.log_of(file)
        with self._writers, turn_among_processes(log, BUSY_SECONDS):
            yield

    @contextmanager
    def rebuild(self) -> Iterator[Connection]:
        """Open a connection that may rebuild tables, in one transaction: all of it, or nothing.

        A table that is made anew is gone for a moment, so what refers to it is looked at as a
        whole before the end, not statement by statement.

        Raises:
            StoreError: If a row refers to one that is not there.
        """
        if self.engine.dialect.name == postgres.NAME:
            with self._writers, postgres.rebuilding(self.engine) as connection:
                yield connection
            return
        with self._writers, sqlite.rebuilding(self.engine) as connection:
            yield connection

    def wipe(self) -> bool:
        """Leave nothing in SQLite's files of what was deleted or written over before.

        The file is written anew without free space, SQLite's log is folded into it and begun anew.
        PostgreSQL's own upkeep does the same in its time; nothing is done there.

        Returns:
            Whether it was done: not while somebody reads what was there before.
        """
        if sqlite.file_of(self.engine) is None:
            return True
        with self._writers:
            try:
                return sqlite.wipe(self.engine)
            except sqlite3.OperationalError:  # held by another program, or no room to do it
                return False

    def close(self) -> None:
        """Give back every connection."""
        self.engine.dispose()


def open_file(path: Path) -> Store:
    """Open a database by its file, whatever signs are in its name."""
    return open_store(URL.create("sqlite", database=str(path)))


def shown_address(address: str) -> str:
    """Write a database's address as it may be shown: without the password in it."""
    url = make_url(address)
    kept = {name: value for name, value in url.query.items() if name != "password"}
    return url.set(query=kept).render_as_string(hide_password=True)


def open_store(url: str | URL, *, waits_for_disk: bool = True) -> Store:
    """Open a database by its SQLAlchemy address, such as "sqlite:///club.sqlite".

    Nothing is connected yet.

    Args:
        url: The address.
        waits_for_disk: Whether what is written outlives a loss of power; for tests not.

    Raises:
        StoreError: If the address cannot be read, or is neither SQLite's nor PostgreSQL's.
    """
    try:
        address = make_url(url)
    except ArgumentError as fault:
        raise StoreError(
            f"“{url}” is not a database address; write one like sqlite:///club.sqlite"
        ) from fault
    if address.get_backend_name() == postgres.NAME:
        server = postgres.make_engine(address, BUSY_SECONDS)
        watch_writes(server)
        wait = SharedWait() if waits_for_disk else None
        return Store(server, FairLock(postgres.AT_ONCE, BUSY_SECONDS), disk=wait)
    if address.get_backend_name() != "sqlite":
        raise StoreError(
            "Records are kept in SQLite or PostgreSQL; use an address that starts with sqlite:/// "
            "or postgresql://"
        )
    engine = sqlite.make_engine(address, BUSY_SECONDS)
    watch_writes(engine)
    is_waited_for = waits_for_disk and sqlite.file_of(engine) is not None
    return Store(engine, disk=SharedWait() if is_waited_for else None)


def _commit(session: Session, *, is_told: bool) -> None:
    """Commit; a server that goes away in that moment has done it or not.

    Args:
        session: Of a write session.
        is_told: Whether it has written what somebody is told of.
    """
    try:
        session.commit()
    except AwayError as fault:
        if is_told:
            raise UnsureError from fault
        raise


@contextmanager
def _undone_on_error(session: Session) -> Iterator[None]:
    """Take back what a session did before its turn ends, if it ends in an error."""
    try:
        yield
    except BaseException:
        session.close()
        raise
