"""A client: it books, moves and withdraws by its door, and keeps a ledger of what it was told.

Of twelve clients one sends forms, one calls the API and ten sit in offices, so that what is tried
meets as much as possible in the records, and pages and API are killed at work as well: a form costs
six times the processor of a change in an office, a call four times.
"""

from __future__ import annotations

import random
import threading
import time
from collections import defaultdict
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.errors import PlannerError
from clubplanner.store.tables.booking_tables import BookingRow
from tests.torture.doors import ApiDoor, At, Change, FormDoor, Held
from tests.torture.ledger import Outcome, Try
from tests.torture.line import Line
from tests.torture.office_door import OfficeDoor

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from clubplanner.store.engine import Store
    from tests.torture.club import Club
    from tests.torture.doors import Door
    from tests.torture.ledger import Ledger

PATIENCE_S = 180
"""How long a client sends a change again until somebody tells what became of it."""
PAUSE_S = 0.1
MOST_HELD = 30
AHEAD_H = 8
"""What is booked begins so many hours later at least: nothing ends while a run goes on."""
NEAR_H = 10
"""Who books near does so within so many hours from then on, and squads are told of it by mail."""
DAYS = 7
TRIES_A_DAY = 500
"""After so many tries of its own a client goes on to the next days: else these would hold more than
any days do, most of it withdrawn. Clients who go on alike meet each other."""
LAST_DAY = 310
STEP_MIN = 15
DOORS = ("form", "office", "API", *["office"] * 9)
"""By which door clients come in, by their numbers."""


class Client(threading.Thread):
    """Tries one change after the other until it is told to stop, or has tried enough.

    Args:
        number: Its own.
        seed: Of its choices.
        club: What it books.
        ports: Of the servers.
        offices: Ports of the offices.
        store: Where it looks what became of a change; it changes nothing there.
        ledger: Where it notes what it was told.
        now: The present instant.
        stop: Tells it to stop.
        most: How many changes it tries at most, those of earlier goes counted.
        held: What it held when an earlier go ended.
    """

    def __init__(
        self,
        number: int,
        seed: int,
        club: Club,
        ports: Sequence[int],
        offices: Sequence[int],
        store: Store,
        ledger: Ledger,
        now: datetime,
        stop: threading.Event,
        most: int,
        held: Sequence[Held] = (),
    ) -> None:
        super().__init__(name=f"client {number}", daemon=True)
        self.ledger = ledger
        self.held = list(held)
        self.slowest: tuple[float, str] = (0.0, "")
        self.fault: BaseException | None = None
        self._number, self._club, self._store = number, club, store
        self._now, self._over, self._most = now, stop, most
        self._chance = random.Random(f"{seed} {number}")  # noqa: S311 - not for secrets
        self._door = self._door_with(ports, offices)

    def _door_with(self, ports: Sequence[int], offices: Sequence[int]) -> Door:
        door = door_of(self._number)
        if door == "office":
            return OfficeDoor(offices, self._chance, self._look)
        line, key = Line(self._number, ports, self._chance), self._club.secrets[self._number]
        if door == "API":
            return ApiDoor(line, self._club, key, self._look)
        return FormDoor(line, key)

    @property
    def broken_answers(self) -> int:
        """How many answers had status 500."""
        return self._door.broken

    def run(self) -> None:
        """Try changes."""
        try:
            while not self._over.is_set() and self.ledger.count < self._most:
                self._try_something()
        except BaseException as fault:  # told by whoever joins this thread
            self.fault = fault
        finally:
            self._door.hang_up()
            self.ledger.close()

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
            made = self._door.made
            number = self._look(change) if made is None else made.number
            if number is not None:  # else it was lost, which the ledger will tell
                self.held.append(Held(number, 0, at, () if made is None else made.tags))

    def _move(self, *, is_stale: bool) -> None:
        held = self._chance.choice(self.held)
        at = self._somewhere()
        if at == held.at or (is_stale and not self._has_seen_older(held)):
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

    def _has_seen_older(self, held: Held) -> bool:
        """Tell whether a client knows how a booking stood before its last change."""
        return held.sequence > 0 and (door_of(self._number) != "API" or len(held.tags) > 1)

    def _mark(self) -> str:
        return f"c{self._number}-{self.ledger.count}"

    def _key(self) -> str:
        return f"{self._chance.getrandbits(96):024x}"

    def _somewhere(self) -> At:
        """Choose an area, a start and a length; one in ten is near, so that people are told."""
        length = timedelta(minutes=self._chance.choice((15, 30, 45, 60)))
        first = self._now.replace(minute=0, second=0, microsecond=0) + timedelta(hours=AHEAD_H)
        steps, days = NEAR_H * 60, 0
        if self._chance.random() >= 0.1:
            steps, days = DAYS * 24 * 60, 1 + self.ledger.count // TRIES_A_DAY % LAST_DAY
        minutes = STEP_MIN * self._chance.randrange(steps // STEP_MIN)
        start = first + timedelta(days=days, minutes=minutes)
        return At(self._chance.choice(list(self._club.places)), start, start + length)

    def _send(self, change: Change) -> Outcome:
        """Send a change until it is answered, to whichever server, and note what was answered.

        Now and then it is sent once more after that, as by an impatient finger.
        """
        began = time.monotonic()
        outcome, sends = Outcome.UNKNOWN, 0
        steps: dict[str, float] = defaultdict(float)
        while outcome is Outcome.UNKNOWN and time.monotonic() - began < PATIENCE_S:
            sends += 1
            sent = time.monotonic()
            outcome = self._door.send(change)
            steps[self._door.said] += time.monotonic() - sent
            if outcome is Outcome.UNKNOWN:
                time.sleep(PAUSE_S)
        taken = time.monotonic() - began
        kind = change.kind + (" by an old page" if change.is_stale else "") + self._door.name
        if taken > self.slowest[0]:
            told = ", ".join(f"{said} {seconds:.1f} s" for said, seconds in steps.items())
            self.slowest = taken, f"{change.mark}{self._door.name}, sent {sends} times: {told}"
        self.ledger.add(Try(change.mark, kind, outcome, sends, taken))
        if outcome is Outcome.DONE and self._chance.random() < 0.05:
            self._door.send(change)
        return outcome

    def _look(self, change: Change) -> int | None:
        """Return the number of the booking that a change of ours is of, once the change is kept."""
        held = change.held
        if held is None:  # the newest by the words it bears: a client's last is among the last
            query = select(BookingRow.id).where(BookingRow.note == change.mark)
            query = query.order_by(BookingRow.id.desc()).limit(1)
        else:
            is_later = BookingRow.sequence > held.sequence
            query = select(BookingRow.id).where(BookingRow.id == held.number, is_later)

        def look() -> int | None:
            with self._store.read_kept() as session:
                return session.scalars(query).first()

        number: int | None = patiently(look)
        return number


def door_of(number: int) -> str:
    """Return by which door a client comes in."""
    return DOORS[number % len(DOORS)]


def by_api(number: int) -> bool:
    """Tell whether a client needs a token of the API."""
    return door_of(number) == "API"


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
