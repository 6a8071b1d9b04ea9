"""Threads of a server are shared among clubs."""

from __future__ import annotations

import threading
from types import SimpleNamespace

from clubplanner.commands.serving.turns import MOST_A_CLUB, TurnsByClub

SOON_S = 30


class Channel:
    """A connection with one request, which is answered when it is told to be.

    Attributes:
        begun: Set once a thread has it in hand.
        go_on: Lets the thread finish.
    """

    def __init__(self, host: str) -> None:
        self.requests = [SimpleNamespace(headers={"HOST": host}, path="/")]
        self.begun, self.go_on = threading.Event(), threading.Event()

    def service(self) -> None:
        """Answer."""
        self.begun.set()
        assert self.go_on.wait(SOON_S)


def begin(threads: int) -> TurnsByClub:
    """Begin with so many threads; a host is its club."""
    turns = TurnsByClub(lambda host, _path: host or None)
    turns.set_thread_count(threads)
    return turns


def end(turns: TurnsByClub, channels: list[Channel]) -> None:
    """Let everything come to its end."""
    for channel in channels:
        channel.go_on.set()
    assert all(channel.begun.wait(SOON_S) for channel in channels)
    turns.shutdown(timeout=SOON_S)
    assert turns.threads == set()


def test_a_crowd_at_one_club_leaves_threads_to_the_others() -> None:
    """No club has more than its share; who comes later, for another club, is answered before."""
    turns = begin(MOST_A_CLUB + 2)
    crowd = [Channel("kestrels") for _unused in range(30)]
    for channel in crowd:
        turns.add_task(channel)
    late = [Channel("rovers"), Channel("")]
    for channel in late:
        turns.add_task(channel)
    assert all(channel.begun.wait(SOON_S) for channel in [*crowd[:MOST_A_CLUB], *late])
    assert not any(channel.begun.is_set() for channel in crowd[MOST_A_CLUB:])
    crowd[2].go_on.set()
    assert crowd[MOST_A_CLUB].begun.wait(SOON_S)
    assert not crowd[MOST_A_CLUB + 1].begun.is_set()
    end(turns, [*crowd, *late])


def test_each_club_is_answered_in_the_order_of_asking() -> None:
    """With a thread free and a turn, whoever came first is first, whichever the club."""
    turns = begin(1)
    order = [Channel("kestrels"), Channel("rovers"), Channel("kestrels")]
    for channel in order:
        turns.add_task(channel)
    for place, channel in enumerate(order):
        assert channel.begun.wait(SOON_S)
        assert [one.begun.is_set() for one in order] == [n <= place for n in range(3)]
        channel.go_on.set()
    end(turns, order)


def test_a_request_that_breaks_off_gives_its_turn_back() -> None:
    """A fault in the server's own code does not use a thread up, nor a club's share."""
    turns = begin(1)
    broken = [Channel("kestrels") for _unused in range(MOST_A_CLUB + 1)]
    for channel in broken:
        channel.service = lambda: 1 / 0  # type: ignore[method-assign, assignment]
        turns.add_task(channel)
    last = Channel("kestrels")
    turns.add_task(last)
    assert last.begun.wait(SOON_S)
    end(turns, [last])


def test_who_has_gone_away_meanwhile_holds_nobody_up() -> None:
    """A connection whose requests were taken away still has its turn, as nobody's."""
    turns = begin(1)
    gone = Channel("kestrels")
    gone.requests.clear()
    gone.go_on.set()
    turns.add_task(gone)
    assert gone.begun.wait(SOON_S)
    end(turns, [])
