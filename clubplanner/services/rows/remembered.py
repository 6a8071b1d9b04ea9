"""What was read of ground, squads and people, kept as long as nobody, in any process, changes it.

The mark of `store/stand.py` tells: it is drawn anew in the transaction that changes any of the
tables of `HELD_AGAINST`, so only what is made of these tables alone may be remembered, and of
values that nobody changes. The clock, the language and who asks have no part in it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar
from weakref import WeakKeyDictionary

from clubplanner.store.stand import read_setup_mark

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

Value = TypeVar("Value")


class Remembered(Generic[Value]):
    """One value for each database, read again only after it was changed by anybody.

    Args:
        read: Reads it.
        mark: Gives the mark of what it is made of; None in a session that has changed some of it.
    """

    def __init__(
        self,
        read: Callable[[Session], Value],
        mark: Callable[[Session], int | None] = read_setup_mark,
    ) -> None:
        self._read = read
        self._mark = mark
        self._known: WeakKeyDictionary[object, tuple[int, Value]] = WeakKeyDictionary()

    def __call__(self, session: Session) -> Value:
        """Return the value as the session sees it."""
        known = self.known(session)
        if known is not None:
            return known
        value, mark = self._read(session), self._mark(session)
        if mark is not None:
            self._known[session.get_bind().engine] = mark, value
        return value

    def known(self, session: Session) -> Value | None:
        """Return it if it was read before and has not changed since, else None."""
        known = self._known.get(session.get_bind().engine)
        return known[1] if known is not None and known[0] == self._mark(session) else None
