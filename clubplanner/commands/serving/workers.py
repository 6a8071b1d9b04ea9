"""A worker for many clubs: a thread each, so that none waits for another.

A mail server that is slow, a database that does not answer or is broken hold up the one thread that
needs them. Threads wait nearly always; they begin spread over a round, so that no two clubs have
their rounds at the same moment. Between two rounds a club holds no connection, so that as many
are open as are used (`max_connections` of a PostgreSQL counts them).
"""

from __future__ import annotations

import threading
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from clubplanner.commands.serving.worker import PAUSE_S, work_until
from clubplanner.logs import at_work_for

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from clubplanner.clubs.at_hand import ClubsAtHand, OpenClub

LOOK_S = 1.0
"""How often the list is looked at."""
IN_HAND_S = 60.0
"""How long rounds in hand may take once all is to end."""


class _Hand:
    """Works for one club until it is told to stop.

    Attributes:
        club: The club.
        stop: Tells it to.
        thread: In which it works.
    """

    def __init__(
        self, club: OpenClub, clock: Callable[[], datetime], pause_s: float, wait_s: float
    ) -> None:
        self.club = club
        self.stop = threading.Event()
        self._clock, self._pause_s, self._wait_s = clock, pause_s, wait_s
        self.thread = threading.Thread(target=self._work, name=f"worker {club.name}", daemon=True)
        self.thread.start()

    def _work(self) -> None:
        club = self.club
        with at_work_for(club.name):
            if self.stop.wait(self._wait_s):
                return
            work_until(
                club.store,
                club.config,
                self._clock,
                self.stop,
                self._pause_s,
                rest=club.store.close,
            )


def work_for_all(
    at_hand: ClubsAtHand,
    clock: Callable[[], datetime],
    stop: threading.Event,
    pause_s: float = PAUSE_S,
) -> None:
    """Work for all clubs of a list, as it changes, until `stop` is set.

    Rounds in hand are finished, within `IN_HAND_S` for all of them together.

    Args:
        at_hand: The clubs there are.
        clock: Gives the present instant, UTC.
        stop: Ends it.
        pause_s: Between two rounds of a club, seconds.
    """
    hands: dict[str, _Hand] = {}
    ending: list[_Hand] = []
    while True:
        at_hand.look_again()
        clubs = at_hand.clubs
        for name, hand in list(hands.items()):
            if clubs.get(name) is not hand.club:
                hand.stop.set()
                ending.append(hands.pop(name))
        fresh = [club for name, club in clubs.items() if name not in hands]
        for place, club in enumerate(fresh):
            hands[club.name] = _Hand(club, clock, pause_s, pause_s * place / len(fresh))
        if stop.wait(LOOK_S):
            break
        ending = [hand for hand in ending if hand.thread.is_alive()]
    ending += hands.values()
    for hand in ending:
        hand.stop.set()
    until_s = time.monotonic() + IN_HAND_S
    for hand in ending:
        hand.thread.join(max(0.0, until_s - time.monotonic()))


@contextmanager
def workers(
    at_hand: ClubsAtHand, clock: Callable[[], datetime], pause_s: float = PAUSE_S
) -> Iterator[None]:
    """Work for all clubs of a list beside what the block does."""
    stop = threading.Event()
    job = (at_hand, clock, stop, pause_s)
    thread = threading.Thread(target=work_for_all, args=job, name="workers", daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join(IN_HAND_S + LOOK_S)
