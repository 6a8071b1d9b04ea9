"""Machines that ask for too much are held back."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.webapp import create_app
from clubplanner.webapp.serving import limits
from tests.builders import NOW
from tests.records import open_records, place_of
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


def test_a_machine_that_guesses_addresses_is_held_back(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After many pages that are not there it waits; other machines do not, nor does it for ever."""
    monkeypatch.setattr(limits, "MOST_MISSES", 5)
    times = [NOW]
    app = create_app(store, Config("", ADDRESS), lambda: times[0])
    client = app.test_client()
    codes = [client.get(f"/ground/guess-{n}").status_code for n in range(7)]
    assert codes == [404] * 5 + [429] * 2
    with client.get("/static/icon.svg") as picture:
        assert picture.status_code == 200
    known = sign_in(app, store)
    assert known.get("/me").status_code == 200
    elsewhere = {"REMOTE_ADDR": "192.0.2.9"}
    assert client.get("/sign-in", environ_overrides=elsewhere).status_code == 200
    times[0] = NOW.replace(minute=limits.WINDOW_SECONDS // 60)
    assert client.get("/sign-in").status_code == 200


def test_a_machine_that_changes_too_much_is_held_back(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forms are counted; looking stays free."""
    monkeypatch.setattr(limits, "MOST_CHANGES", 3)
    app = create_app(store, Config("", ADDRESS), lambda: NOW)
    client = sign_in(app, store)
    data = {"csrf_token": token(client, "/me")}
    codes = [client.post("/me/browsers/end-others", data=data).status_code for _ in range(5)]
    assert codes == [302] * 3 + [429] * 2
    assert client.get("/me").status_code == 200


def test_counters_forget_the_oldest_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """Memory stays bounded whatever addresses requests come from."""
    monkeypatch.setattr(limits, "MOST_MACHINES", 2)
    counter = limits.Counter(1)
    for machine in ("a", "b", "c"):
        counter.count(machine, 0.0)
    assert [counter.wait_s(machine, 10.0) for machine in "abc"] == [0, 290, 290]


@pytest.mark.parametrize(("proxies", "counted"), [(0, "127.0.0.1"), (1, "203.0.113.5")])
def test_the_machine_behind_a_proxy_is_believed_only_when_set(
    store: Store, proxies: int, counted: str
) -> None:
    """A made-up X-Forwarded-For moves nobody, unless the club says that a proxy stands there."""
    app = create_app(store, Config("", ADDRESS, proxies), lambda: NOW)
    seen: list[str] = []
    app.before_request(lambda: seen.append(limits.machine_address()))
    app.test_client().get("/", headers={"X-Forwarded-For": "198.51.100.9, 203.0.113.5"})
    assert seen == [counted]


def test_servers_share_what_one_machine_may_do(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two servers of one club let a machine do what one would, but for a first portion of each."""
    monkeypatch.setattr(limits, "MOST_CHANGES", 24)
    monkeypatch.setattr(limits, "PORTIONS", 8)
    other = open_records(place_of(store))
    times = [NOW]
    apps = [create_app(each, Config("", ADDRESS), lambda: times[0]) for each in (store, other)]
    clients = [sign_in(app, store, name=f"Kim {n}") for n, app in enumerate(apps)]
    data = [{"csrf_token": token(client, "/me")} for client in clients]

    def send_many(count: int) -> int:
        return sum(
            clients[n % 2].post("/me/browsers/end-others", data=data[n % 2]).status_code == 302
            for n in range(count)
        )

    done = send_many(60)
    assert 24 <= done <= 24 + 3
    times[0] = NOW + timedelta(seconds=limits.WINDOW_SECONDS + 1)
    assert send_many(6) == 6, "it is held up no longer than the window"
    other.close()


def test_a_few_forms_cost_the_records_no_row(
    store: Store, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Before its first portion is used up a machine is counted in memory alone."""
    monkeypatch.setattr("clubplanner.webapp.serving.limits.take_portion", None)
    client = sign_in(app, store)
    data = {"csrf_token": token(client, "/me")}
    assert [client.post("/me/browsers/end-others", data=data).status_code for _ in range(40)] == (
        [302] * 40
    )
