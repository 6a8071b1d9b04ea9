"""What was read of ground, squads and people, kept as long as nobody, in any process, changes it.

The mark of `store/stand.py` tells: it is drawn anew in the transaction that changes any of the
tables of `HELD_AGAINST`, so only what is made of these tables alone may be remembered, and of
values that nobody changes. The clock, the language and who asks have no part in it.

A change touches one pitch or squad of many: what is stored of each is compared, and only what is
stored otherwise is made anew (`_read_venues`, `_read_squads`, `_read_asks`). So what has not
changed is the very same value as before, and what is made of it may be kept with it (`KeptWith`).
"""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING, Generic, TypeVar
from weakref import WeakKeyDictionary

from clubplanner.store.stand import read_setup_mark

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

Part = TypeVar("Part")
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


class KeptWith(Generic[Part, Value]):
    """What is made of a value that nobody changes, kept for the very same value.

    Args:
        make: Makes it of the value and what else is given; it asks nothing else.
        most: For how many values it is kept; those made first go first.
    """

    def __init__(self, make: Callable[..., Value], most: int) -> None:
        self._make = make
        self._most = most
        self._known: dict[int, tuple[Part, tuple[object, ...], Value]] = {}

    def __call__(self, part: Part, *given: object) -> Value:
        """Return what is made of a value, made anew where it is another or other things are given.

        Args:
            part: The value.
            given: What else it is made of, compared as equal.
        """
        known = self._known.get(id(part))
        if known is not None and known[0] is part and known[1] == given:
            return known[2]
        value = self._make(part, *given)
        with _KEEPING:
            self._known.pop(id(part), None)
            while len(self._known) >= self._most:
                del self._known[next(iter(self._known))]
            self._known[id(part)] = part, given, value
        return value


_KEEPING = Lock()
