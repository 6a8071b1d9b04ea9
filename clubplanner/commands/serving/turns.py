"""Threads of a server that are shared fairly among clubs.

Requests are answered in the order in which they come, but no club has more than `MOST_A_CLUB`
threads at a time: where all its requests wait for records that do not answer, or a thousand phones
ask it at once, its own requests queue up and those of the other clubs go past them.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from waitress.task import ThreadedTaskDispatcher

if TYPE_CHECKING:
    from collections.abc import Callable

    from waitress.channel import HTTPChannel

THREADS_FOR_MANY = 24
"""Waiting costs a thread little; four clubs in trouble at once still hold up nobody else."""
MOST_A_CLUB = 6


class TurnsByClub(ThreadedTaskDispatcher):  # type: ignore[misc]  # waitress has no types
    """Gives each thread the first request of a club that has not its share of threads already.

    Args:
        club_of: Returns whose a request is, by host and path; None for no club's.
    """

    def __init__(self, club_of: Callable[[str, str], str | None]) -> None:
        super().__init__()
        self._club_of = club_of
        self._in_hand: Counter[str | None] = Counter()

    def handler_thread(self, thread_no: int) -> None:
        """Answer one request after another until the thread is to stop."""
        while True:
            with self.lock:
                place = self._next()
                while place is None and self.stop_count == 0:
                    self.active_count -= 1
                    self.queue_cv.wait()
                    self.active_count += 1
                    place = self._next()
                if self.stop_count > 0 or place is None:
                    self.active_count -= 1
                    self.stop_count -= 1
                    self.threads.discard(thread_no)
                    self.thread_exit_cv.notify()
                    return
                task = self.queue[place]
                del self.queue[place]
                club = self._of(task)
                self._in_hand[club] += 1
            try:
                task.service()
            except BaseException:
                self.logger.exception("a request broke off")
            finally:
                with self.lock:
                    self._in_hand[club] -= 1
                    self.queue_cv.notify()

    def _next(self) -> int | None:
        """Return the place in the queue of the next request that has a turn; None for none."""
        for place, task in enumerate(self.queue):
            if self._in_hand[self._of(task)] < MOST_A_CLUB:
                return place
        return None

    def _of(self, channel: HTTPChannel) -> str | None:
        """Return whose the first request is that waits on a connection."""
        if not channel.requests:
            return None
        request = channel.requests[0]
        return self._club_of(request.headers.get("HOST", ""), request.path or "")
