"""What feeds were when they were last built, so that an unchanged one need not be built again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.services.addresses.links import hash_secret, link_of_secret
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.store.stand import read_stand

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.services.calendars.feeds import FeedFile
    from clubplanner.store.engine import Store

MOST_FEEDS = 10_000


@dataclass(frozen=True, slots=True)
class _Known:
    stand: int
    valid_until: datetime | None
    digest: str


class FeedMemory:
    """Digests of feeds, for one app; secrets are known by their hashes alone."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._known: OrderedDict[str, _Known] = OrderedDict()

    def unchanged_digest(self, store: Store, secret: str, now: datetime) -> str | None:
        """Return a feed's digest if it is certain that nothing in it has changed since; else None.

        Raises:
            MissingError: If the address is not in use.
        """
        with store.read() as session:
            link_of_secret(session, secret)
            stand = read_stand(session)
        with self._lock:
            known = self._known.get(hash_secret(secret))
        if known is None or known.stand != stand:
            return None
        if known.valid_until is not None and now >= known.valid_until:
            return None
        return known.digest

    def build(self, store: Store, secret: str, public_address: str, now: datetime) -> FeedFile:
        """Build a feed and remember its digest.

        Raises:
            MissingError: If the address is not in use.
        """
        file = build_feed(store, secret, public_address, now)
        with self._lock:
            self._known[hash_secret(secret)] = _Known(file.stand, file.valid_until, file.digest)
            self._known.move_to_end(hash_secret(secret))
            while len(self._known) > MOST_FEEDS:
                self._known.popitem(last=False)
        return file
