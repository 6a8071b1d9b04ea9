"""The clubs of a server as the list says now, and the records of each.

The list is looked at again at most once a second, when somebody asks for a club. Changed wrongly,
it is told in the log and the clubs before it stay; changed rightly, clubs come, go and change
without a restart. What is in hand for a club that goes is finished with what it began with.
"""

from __future__ import annotations

import logging
import threading
import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.clubs.listing import KnownClub, plain_host, read_list
from clubplanner.errors import FaultyInputError, PlannerError, RefusedError
from clubplanner.store.engine import Store, open_store

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from clubplanner.config import Config, Settings

LOG = logging.getLogger("clubplanner.clubs")

LOOK_S = 1.0
REST_S = 60.0
"""After how long without use a club's connections are given back."""


@dataclass(eq=False, slots=True)
class OpenClub:
    """A club whose records can be used; two are the same only if they are one.

    Attributes:
        known: What the list says of it.
        store: Its records; nothing is connected before they are used.
        used_s: When it was used last, by the clock of `ClubsAtHand`; None once it is at rest.
    """

    known: KnownClub
    store: Store
    used_s: float | None = None

    @property
    def name(self) -> str:
        """Its short name."""
        return self.known.name

    @property
    def config(self) -> Config:
        """Its settings."""
        return self.known.config

    @property
    def is_at_rest(self) -> bool:
        """Whether nobody has asked for its pages lately."""
        return self.used_s is None


@dataclass(frozen=True, slots=True)
class Listed:
    """What was read at one time; never changed.

    Attributes:
        clubs: By short name, in the order of the list.
        places: Host → path → club.
    """

    clubs: Mapping[str, OpenClub] = field(default_factory=dict)
    places: Mapping[str, Mapping[str, OpenClub]] = field(default_factory=dict)


class ClubsAtHand:
    """The clubs there are.

    Args:
        file: The list.
        common: The settings of the process.
        settings: The same as they were written.
        clock_s: Counts seconds.

    Raises:
        RefusedError: If there is no list.
        FaultyInputError: If it has faults, with all of them.
    """

    def __init__(
        self,
        file: Path,
        common: Config,
        settings: Settings,
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self._file, self._common, self._settings = file, common, settings
        self._clock_s = clock_s
        self._lock = threading.Lock()
        self._mark = self._file_mark()
        self._looked_s = clock_s()
        self._is_well = True
        self._gone: list[tuple[float, Store]] = []
        self._listed = self._open(read_list(file, common, settings))

    @property
    def common(self) -> Config:
        """The settings of the process."""
        return self._common

    @property
    def clubs(self) -> Mapping[str, OpenClub]:
        """Every club by its short name, in the order of the list."""
        return self._listed.clubs

    @property
    def is_well(self) -> bool:
        """Whether the list as it stands in its file is the one that holds."""
        return self._is_well

    def find(self, host: str, path: str) -> OpenClub | None:
        """Return the club that a request is for, None for none.

        Args:
            host: As the request names it.
            path: The whole path that it asks for.
        """
        for place, club in self._listed.places.get(plain_host(host), {}).items():
            if path == place or path.startswith(f"{place}/"):
                club.used_s = self._clock_s()
                return club
        return None

    def name_of(self, host: str, path: str) -> str | None:
        """Return the short name of the club that a request is for, None for none."""
        club = self.find(host, path)
        return None if club is None else club.name

    def choose(self, name: str) -> OpenClub:
        """Return a club by its short name.

        Raises:
            RefusedError: If there is none of that name, saying which there are.
        """
        club = self.clubs.get(name)
        if club is None:
            names = ", ".join(self.clubs)
            raise RefusedError(f"{self._file} lists no club “{name}”; there are {names}.")
        return club

    def look_again(self) -> None:
        """Take in a list that was changed; whoever comes meanwhile goes by the one before."""
        if self._clock_s() - self._looked_s < LOOK_S or not self._lock.acquire(blocking=False):
            return
        try:
            self._looked_s = self._clock_s()
            mark = self._file_mark()
            if mark != self._mark:
                self._mark = mark
                self._take_in()
            self._let_rest()
        finally:
            self._lock.release()

    def close(self) -> None:
        """Give back every connection."""
        for club in self.clubs.values():
            club.store.close()
        for _since_s, store in self._gone:  # a page in hand when its club went asked on there
            store.close()

    def _take_in(self) -> None:
        try:
            known = read_list(self._file, self._common, self._settings)
        except PlannerError as fault:
            self._is_well = False
            problems = fault.problems if isinstance(fault, FaultyInputError) else (str(fault),)
            words = " ".join(str(problem) for problem in problems)
            LOG.error("the list of clubs is left as it was: %s", words)  # noqa: TRY400 - told whole
            return
        before = self._listed
        self._listed, self._is_well = self._open(known), True
        LOG.info("the list of clubs is taken in: %s", ", ".join(self.clubs))
        in_use = {id(club.store) for club in self.clubs.values()}
        for club in before.clubs.values():
            if id(club.store) not in in_use:
                club.store.close()
                self._gone.append((self._clock_s(), club.store))

    def _open(self, known: tuple[KnownClub, ...]) -> Listed:
        """Open what is new or changed; a club that is as it was stays the same."""
        before = self.clubs if hasattr(self, "_listed") else {}
        clubs: dict[str, OpenClub] = {}
        places: dict[str, dict[str, OpenClub]] = {}
        for one in known:
            old = before.get(one.name)
            if old is not None and old.known == one:
                club = old
            elif old is not None and old.config.database == one.config.database:
                club = OpenClub(one, old.store)
            else:
                club = OpenClub(one, open_store(one.config.database))
            clubs[one.name] = club
            for host in one.hosts:
                places.setdefault(host, {})[one.path] = club
        return Listed(clubs, places)

    def _let_rest(self) -> None:
        """Give back the connections of clubs that nobody has asked for lately."""
        now_s = self._clock_s()
        for club in self.clubs.values():
            if club.used_s is not None and now_s - club.used_s > REST_S:
                club.used_s = None
                club.store.close()
        for gone in [gone for gone in self._gone if now_s - gone[0] > REST_S]:
            self._gone.remove(gone)
            gone[1].close()

    def _file_mark(self) -> tuple[int, int, int] | None:
        """Return what changes when the file is written anew; None while it is not there."""
        try:
            stat = self._file.stat()
        except OSError:
            return None
        return stat.st_mtime_ns, stat.st_size, stat.st_ino
