"""The connections of a database, of which a process has so many and no more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy.exc import TimeoutError as NoneFreeError
from sqlalchemy.pool import QueuePool

from clubplanner.errors import BusyError

if TYPE_CHECKING:
    from sqlalchemy.pool import PoolProxiedConnection


class PlainPool(QueuePool):
    """A pool that says in plain words that all its connections have been in use for too long."""

    def connect(self) -> PoolProxiedConnection:
        """Return a connection.

        Raises:
            BusyError: If none was given back for as long as anybody waits.
        """
        try:
            return super().connect()
        except NoneFreeError as fault:
            raise BusyError from fault
