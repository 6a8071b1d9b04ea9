"""The one computer of the club's own network from which calendars may be read."""

from __future__ import annotations

import socket
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config, NearHost, config_from_environment
from clubplanner.errors import RefusedError
from clubplanner.services.addresses.public_hosts import is_near
from clubplanner.services.calendars import fetching
from clubplanner.services.calendars.fetching import Fetched, Reach, fetch_calendar
from tests.services.calendars.test_fetching import HERE, Site, always, code_of, ok, running

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Near = Callable[[str], Reach]

PRIVATE = "10.1.2.3"
INSIDE = "internal-address"


@pytest.fixture
def site(monkeypatch: pytest.MonkeyPatch) -> Iterator[Site]:
    """Run a server that also answers under an address of a private network."""
    connect = socket.create_connection

    def lead(address: tuple[str, int], timeout: float) -> socket.socket:
        return connect((HERE, address[1]), timeout)

    monkeypatch.setattr(socket, "create_connection", lead)
    with running(Site({"/c.ics": ok()})) as served:
        yield served


def near(site: Site, *addresses: str, name: str = "hall.example") -> Reach:
    """Return a reach in which a name and the server's port may lie near."""
    port = int(site.url().rpartition(":")[2].partition("/")[0])
    return Reach(resolve=always(*(addresses or (PRIVATE,))), near=NearHost(name, port))


def test_a_named_computer_of_the_own_network_is_read(site: Site) -> None:
    """Whoever runs the planner can name one; its name counts in any letters, with a dot or not."""
    assert isinstance(fetch_calendar(site.url(), reach=near(site)), Fetched)
    for host in ("HALL.example", "hall.example."):
        assert isinstance(fetch_calendar(site.url(host=host), reach=near(site)), Fetched)


def test_no_other_computer_of_the_network_is_read(site: Site) -> None:
    """Another name, the address behind the name, another port, or no name at all stay outside."""
    reach = near(site)
    for host in ("other.example", "x.hall.example", PRIVATE):
        assert code_of(fetch_calendar(site.url(host=host), reach=reach)) == INSIDE
    assert code_of(fetch_calendar("http://hall.example:1/c.ics", reach=reach)) == INSIDE
    nobody = Reach(resolve=always(PRIVATE))
    assert code_of(fetch_calendar(site.url(), reach=nobody)) == INSIDE
    assert site.asked == []


@pytest.mark.parametrize(
    "address",
    [
        *("127.0.0.1", "::1", "169.254.169.254", "fe80::1", "0.1.2.3", "100.64.0.1", "224.0.0.1"),
        *("::ffff:127.0.0.1", "::10.0.0.1", "64:ff9b::10.0.0.1", "64:ff9b:1::10.0.0.1"),
        *("2002:a00:1::1", "fd00::1%eth0", "::ffff:0:10.0.0.1", "no address"),
    ],
)
def test_its_name_opens_nothing_but_the_own_network(site: Site, address: str) -> None:
    """Where the name leads to the planner's own computer or the provider's, it is refused.

    Loopback, link-local, shared and translated addresses (RFC 6890, RFC 4291, RFC 6052).
    """
    assert not is_near(address)
    assert code_of(fetch_calendar(site.url(), reach=near(site, PRIVATE, address))) == INSIDE
    assert site.asked == []


def test_a_name_that_moves_away_gains_nothing(site: Site) -> None:
    """The connection goes to the address that was checked, and each time it is checked."""
    answers = iter([[PRIVATE], ["127.0.0.1"]])
    reach = Reach(resolve=lambda _host, _port: next(answers), near=near(site).near)
    assert isinstance(fetch_calendar(site.url(), reach=reach), Fetched)
    assert code_of(fetch_calendar(site.url(), reach=reach)) == INSIDE
    assert len(site.asked) == 1


def test_nobody_is_led_to_it_by_another(site: Site) -> None:
    """A redirect from a public computer leads to nothing near; one within the named one does."""
    site.answers["/out"] = (302, {"Location": site.url("/c.ics")}, b"")
    site.answers["/on"] = (302, {"Location": "/c.ics"}, b"")
    site.answers["/away"] = (302, {"Location": site.url("/c.ics", host="other.example")}, b"")

    def resolve(host: str, _port: int) -> list[str]:
        return ["93.184.216.34"] if host == "public.example" else [PRIVATE]

    reach = Reach(resolve=resolve, near=near(site).near)
    away = fetch_calendar(site.url("/out", host="public.example"), reach=reach)
    assert code_of(away) == INSIDE
    assert isinstance(fetch_calendar(site.url("/on"), reach=reach), Fetched)
    assert code_of(fetch_calendar(site.url("/away"), reach=reach)) == INSIDE


@pytest.mark.parametrize(
    ("text", "host"),
    [
        ("", None),
        ("hall.club.lan", NearHost("hall.club.lan")),
        (" Hall.Club.LAN:8080 ", NearHost("hall.club.lan", 8080)),
        ("192.168.1.20", NearHost("192.168.1.20")),
        ("[fd00::20]:8080", NearHost("fd00::20", 8080)),
    ],
)
def test_the_environment_names_it(
    monkeypatch: pytest.MonkeyPatch, text: str, host: NearHost | None
) -> None:
    """It is a setting of the machine alone."""
    monkeypatch.setenv("CLUBPLANNER_CALENDAR_HOST", text)
    assert config_from_environment().calendar_host == host


@pytest.mark.parametrize(
    "text", ["http://hall.lan", "hall.lan/", "a b", "hall.lan:0", "hall.lan:70000", "*.lan", "a,b"]
)
def test_what_names_no_one_computer_is_told(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    """A setting that names more than one, or none, is refused at the start."""
    monkeypatch.setenv("CLUBPLANNER_CALENDAR_HOST", text)
    with pytest.raises(RefusedError, match="CLUBPLANNER_CALENDAR_HOST"):
        config_from_environment()


def test_settings_reach_the_fetch(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the configuration names is what a fetch may reach."""
    seen: list[Reach] = []
    monkeypatch.setattr(fetching, "fetch_calendar", lambda *_a, reach: seen.append(reach))
    fetching.fetch_within(Config(calendar_host=NearHost("hall.lan")))("http://x", fetching.Marks())
    assert [reach.near for reach in seen] == [NearHost("hall.lan")]
