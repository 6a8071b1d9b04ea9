"""A client: it books, moves and withdraws over HTTP, and keeps a ledger of what it was told."""

from __future__ import annotations

import random
import threading
import time
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.errors import PlannerError
from clubplanner.store.tables.booking_tables import BookingRow
from tests.torture.doors import ApiDoor, At, Change, FormDoor, Held, Outcome
from tests.torture.line import Line

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from clubplanner.store.engine import Store
    from tests.torture.club import Club
    from tests.torture.doors import Door

PATIENCE_S = 180
"""How long a client sends a change again until somebody tells what became of it."""
PAUSE_S = 0.1
MOST_HELD = 30
DAYS = 28
STEP_MIN = 15


@dataclass(frozen=True, slots=True)
class Try:
    """One line of a ledger.

    Attributes:
        mark: The words by which the records tell it.
        kind: What was tried.
        outcome: What came of it, as the client was told.
        sends: How often the form was sent.
        seconds: From the first sending to the answer.
    """

    mark: str
    kind: str
    outcome: Outcome
    sends: int
    seconds: float


class Client(threading.Thread):
    """Tries one change after the other until it is told to stop, or has tried enough.

    Args:
        number: Its own.
        seed: Of its choices.
        club: What it books.
        ports: Of the servers.
        store: Where it looks which number its booking got; it changes nothing there.
        now: The present instant.
        stop: Tells it to stop.
        most: How many changes it tries at most.
    """

    def __init__(
        self,
        number: int,
        seed: int,
        club: Club,
        ports: Sequence[int],
        store: Store,
        now: datetime,
        stop: threading.Event,
        most: int,
    ) -> None:
        super().__init__(name=f"client {number}", daemon=True)
        self.ledger: list[Try] = []
        self.held: list[Held] = []
        self.fault: BaseException | None = None
        self._number, self._club, self._store = number, club, store
        self._now, self._over, self._most = now, stop, most
        self._chance = random.Random(f"{seed} {number}")  # noqa: S311 - not for secrets
        self._line = Line(number, ports, self._chance)
        key = club.secrets[number]
        self._door: Door = (
            ApiDoor(self._line, club, key) if by_api(number) else FormDoor(self._line, key)
        )

    @property
    def broken_answers(self) -> int:
        """How many answers had status 500."""
        return self._door.broken

    def run(self) -> None:
        """Try changes."""
        try:
            while not self._over.is_set() and len(self.ledger) < self._most:
                self._try_something()
        except BaseException as fault:  # told by whoever joins this thread
            self.fault = fault
        finally:
            self._line.hang_up()

    def _try_something(self) -> None:
        chance = self._chance.random()
        if not self.held or (chance < 0.45 and len(self.held) < MOST_HELD):
            self._book()
        elif chance < 0.75:
            self._move(is_stale=False)
        elif chance < 0.82:
            self._move(is_stale=True)
        else:
            self._withdraw()

    def _book(self) -> None:
        at = self._somewhere()
        squad = None
        if self._chance.random() < 0.4:
            squad = self._chance.choice(list(self._club.squads))
        change = Change("book", self._mark(), self._key(), None, at, squad)
        if self._send(change) is Outcome.DONE:
            number = self._number_of(change.mark)
            if number is not None:  # else it was lost, which the ledger will tell
                self.held.append(Held(number, 0, at))

    def _move(self, *, is_stale: bool) -> None:
        held = self._chance.choice(self.held)
        at = self._somewhere()
        if at == held.at or (is_stale and held.sequence == 0):
            return
        change = Change("move", self._mark(), self._key(), held, at, is_stale=is_stale)
        outcome = self._send(change)
        if outcome is Outcome.DONE:
            held.sequence, held.at = held.sequence + 1, at
        elif outcome is Outcome.UNKNOWN:
            self.held.remove(held)

    def _withdraw(self) -> None:
        held = self._chance.choice(self.held)
        self.held.remove(held)
        self._send(Change("withdraw", self._mark(), self._key(), held))

    def _mark(self) -> str:
        return f"c{self._number}-{len(self.ledger)}"

    def _key(self) -> str:
        return f"{self._chance.getrandbits(96):024x}"

    def _somewhere(self) -> At:
        """Choose an area, a start and a length: half of them within a day, so that people are told.

        Nothing ends while a run may still go on.
        """
        length = timedelta(minutes=self._chance.choice((15, 30, 45, 60)))
        first = self._now.replace(minute=0, second=0, microsecond=0) + timedelta(hours=4)
        steps = 18 * 60 if self._chance.random() < 0.5 else DAYS * 24 * 60
        start = first + timedelta(minutes=STEP_MIN * self._chance.randrange(steps // STEP_MIN))
        return At(self._chance.choice(list(self._club.places)), start, start + length)

    def _send(self, change: Change) -> Outcome:
        """Send a change until it is answered, to whichever server, and note what was answered.

        Now and then it is sent once more after that, as by an impatient finger.
        """
        began = time.monotonic()
        outcome, sends = Outcome.UNKNOWN, 0
        while outcome is Outcome.UNKNOWN and time.monotonic() - began < PATIENCE_S:
            sends += 1
            outcome = self._door.send(change)
            if outcome is Outcome.UNKNOWN:
                time.sleep(PAUSE_S)
        taken = time.monotonic() - began
        kind = change.kind + (" by an old page" if change.is_stale else "") + self._door.name
        self.ledger.append(Try(change.mark, kind, outcome, sends, taken))
        if outcome is Outcome.DONE and self._chance.random() < 0.05:
            self._door.send(change)
        return outcome

    def _number_of(self, mark: str) -> int | None:
        def look() -> int | None:
            with self._store.read() as session:
                return session.scalars(select(BookingRow.id).where(BookingRow.note == mark)).first()

        number: int | None = patiently(look)
        return number


def by_api(number: int) -> bool:
    """Tell whether a client changes things by the API: every second one does."""
    return number % 2 == 1


def patiently(look: Callable[[], Any], seconds: float = 60) -> Any:
    """Look again while the database is away."""
    until = time.monotonic() + seconds
    while True:
        try:
            return look()
        except PlannerError:
            if time.monotonic() > until:
                raise
            time.sleep(PAUSE_S)
