"""One transaction for brief changes of writers who wait: each does its own, all are kept at once.

Beginning a transaction, taking the turn, committing and waiting for the disk take most of a small
change's time, above all where a server is asked. So who has done a brief change hands the open
transaction on to whoever waits next, if that one's is brief, too, and waits; the last one commits
for all. Each member's work lies behind a savepoint, so that it is taken back alone where it fails.

Each sees what those before it did, as if that had been kept. So nobody is told anything before the
end: what was refused for another member's sake was refused for nothing if the commit fails.
"""

from __future__ import annotations

import threading
import time
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import AwayError, BusyError, StoreError, UnsureError
from clubplanner.store.stand import WRITTEN, Written, count_calendars

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection
    from sqlalchemy.orm import Session

MOST = 16
"""Members of a transaction."""
LONGEST_S = 0.2
"""After so long nobody joins any more: the first one waits."""


@dataclass(slots=True)
class Work:
    """What a member did.

    Attributes:
        has_written: Whether it wrote what somebody is told of.
        is_waited_for: Whether the disk has to have it before anybody is told.
    """

    has_written: bool = False
    is_waited_for: bool = True


class SharedTransaction:
    """A transaction that members have one after the other; it begins with its first.

    Args:
        connection: That of the transaction, with its options, before it has begun.
        turn: Given back when the transaction is over.
        kept: Given back when the disk was waited for.
        sessions: The class of the members' sessions.
    """

    def __init__(
        self,
        connection: Connection,
        turn: ExitStack,
        kept: ExitStack,
        sessions: type[Session],
    ) -> None:
        written = Written()
        self.connection = connection.execution_options(clubplanner_write=True, **{WRITTEN: written})
        self._turn, self._kept, self._sessions = turn, kept, sessions
        self._transaction = connection.begin()
        self._begun_at = time.monotonic()
        self._mark = written.mark
        self._members = 0
        self._is_counted = False
        self._is_lost = False
        self._has_written = False
        self._fault: BaseException | None = None
        self._disk_fault: BaseException | None = None
        self._is_done, self._is_kept = threading.Event(), threading.Event()

    @contextmanager
    def join(self) -> Iterator[Session]:
        """Open a member's session; what it does is taken back if it ends in an error.

        The first one has the transaction itself, so that one alone needs no savepoint.
        """
        is_first = self._members == 0
        self._members += 1
        written = Written()
        written.mark, written.counts_later = self._mark, True
        self.connection.execution_options(**{WRITTEN: written})
        mode = "rollback_only" if is_first else "create_savepoint"
        try:
            with self._sessions(
                self.connection,
                expire_on_commit=False,
                join_transaction_mode=mode,  # type: ignore[arg-type]
            ) as session:
                session.info[WRITTEN] = written
                yield session
                session.commit()
        except BaseException as fault:
            self._is_lost = is_first or not self._is_open()
            if self._is_lost:
                self._fault = fault
            raise
        self._mark = written.mark if written.is_setup_kept else None
        self._is_counted |= written.is_touched

    def note(self, work: Work) -> bool:
        """Take notice of what a member did; tell whether others wrote something before it."""
        before = self._has_written
        self._has_written |= work.has_written
        return before

    @property
    def may_go_on(self) -> bool:
        """Whether one more may join."""
        is_young = time.monotonic() - self._begun_at < LONGEST_S
        return is_young and self._members < MOST and not self._is_lost and self._is_open()

    def end(self) -> bool:
        """Commit for all, and give the turn back; whoever did not wait for the disk is told then.

        Returns:
            Whether it was committed, and somebody has to be told of it.
        """
        try:
            with self._turn:
                if self._is_lost:
                    with suppress(Exception):
                        self._transaction.rollback()
                else:
                    self._commit()
        except BaseException as fault:
            self._fault = fault
        self._is_done.set()
        return self._fault is None and self._has_written

    def _commit(self) -> None:
        try:
            if self._is_counted:
                count_calendars(self.connection)
            self._transaction.commit()
        except BaseException:
            with suppress(Exception):
                self._transaction.rollback()
            raise

    def close(self, disk_fault: BaseException | None = None) -> None:
        """Let all members be told.

        Args:
            disk_fault: Why the disk may not have it; None where it has.
        """
        self._disk_fault = disk_fault
        try:
            self._kept.close()
        finally:
            self._is_kept.set()

    def await_end(self, work: Work) -> None:
        """Return once a member's work is kept.

        Raises:
            StoreError: If all of it was given up, also for another member's sake.
            UnsureError: If it was written, and the server went away or the disk refused it.
        """
        is_waited_for = work.has_written and work.is_waited_for
        (self._is_kept if is_waited_for else self._is_done).wait()  # to be woken once is enough
        if isinstance(self._fault, AwayError) and not self._is_lost and work.has_written:
            raise UnsureError from self._fault
        if isinstance(self._fault, StoreError):
            own = type(self._fault)
            raise own.__new__(own, *self._fault.args) from self._fault
        if self._fault is not None:
            raise BusyError from self._fault
        if is_waited_for and self._disk_fault is not None:
            raise UnsureError from self._disk_fault

    def _is_open(self) -> bool:
        """Tell whether the transaction can go on; some faults end it whole."""
        if self.connection.invalidated or not self._transaction.is_active:
            return False
        driver = self.connection.connection.dbapi_connection
        return bool(getattr(driver, "in_transaction", True))  # only SQLite's knows, and needs it
