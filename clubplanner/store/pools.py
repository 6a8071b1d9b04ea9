"""The connections of a database, of which a process has so many and no more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy.exc import TimeoutError as NoneFreeError
from sqlalchemy.pool import QueuePool

from clubplanner.errors import BusyError

if TYPE_CHECKING:
    from sqlalchemy.pool import ConnectionPoolEntry, PoolProxiedConnection


class PlainPool(QueuePool):
    """A pool that says in plain words that all its connections have been in use for too long.

    What is still in use when the pool is given up is closed when it comes back: a club may go while
    its last page is being made.
    """

    _is_given_up = False

    def dispose(self) -> None:
        """Close all connections, those in use when they come back."""
        self._is_given_up = True
        super().dispose()

    def _do_return_conn(self, record: ConnectionPoolEntry) -> None:
        """Take a connection back; how SQLAlchemy asks a pool to."""
        if self._is_given_up:
            record.close()
        else:
            super()._do_return_conn(record)

    def connect(self) -> PoolProxiedConnection:
        """Return a connection.

        Raises:
            BusyError: If none was given back for as long as anybody waits.
        """
        try:
            return super().connect()
        except NoneFreeError as fault:
            raise BusyError from fault
