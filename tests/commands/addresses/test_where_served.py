"""Addresses that are handed out lead to where the pages are served, whoever makes them."""

from __future__ import annotations

import json
import re
import socket
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import pytest
from click.testing import CliRunner

from clubplanner.commands import main
from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from tests.builders import NOW
from tests.ports import free_port
from tests.serving import ask, run_command, serving

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store
    from tests.serving import Serving

EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - what a person may write
HERE = "on this machine only"
OF_THE_SQUAD = ("addresses", "add", "squad", "u13-kestrels", "--holder", "the squad", "--json")


def signed_in_cookie(store: Store) -> str:
    """Return the cookie of a secretary's browser."""
    number = add_person(store, PersonDraft("Kim Ashby", Role.SECRETARY, "", ()), NOW)
    with store.write() as session:
        return f"person={open_browser(session, number, 'A browser', NOW)}"


def page(served: Serving, path: str, cookie: str, host: str = "127.0.0.1") -> str:
    """Open a page as the secretary."""
    return ask(served.port, path, host, Cookie=cookie).body.decode()


def test_commands_print_where_the_server_serves(club_store: Store, store_path: Path) -> None:
    """Each address printed by another process opens on the server's own port."""
    port = free_port()
    with serving(store_path, "--port", str(port)) as served:
        assert served.address == f"http://127.0.0.1:{port}"
        key = run_command(store_path, "people", "let-in")
        feed = json.loads(run_command(store_path, *OF_THE_SQUAD).stdout)
        made = run_command(store_path, "addresses", "add", "squad", "u13-kestrels", "--holder", "K")
        printed = [key.stdout.strip(), feed["page"], feed["feed"]]
        printed += re.findall(r"http\S+", made.stdout)
        assert len(printed) == 5
        for address in printed:
            parts = urlsplit(address)
            assert parts.netloc == f"127.0.0.1:{port}"
            assert ask(port, parts.path).status == 200
    assert HERE in key.stderr
    assert HERE in made.stderr
    assert HERE in feed["cautions"][0]
    assert run_command(store_path, "people", "let-in").stdout.startswith(
        f"http://127.0.0.1:{port}/"
    )


def test_pages_hand_out_where_the_server_serves(club_store: Store, store_path: Path) -> None:
    """Addresses on pages begin with the server's own port, and pages say who cannot open them."""
    cookie = signed_in_cookie(club_store)
    with serving(store_path) as served:
        form = page(served, "/desk/addresses", cookie)
        assert HERE in form
        sent = ask(served.port, "/desk/squads", Cookie=cookie)
        assert HERE in sent.body.decode()
        feed = json.loads(run_command(store_path, *OF_THE_SQUAD).stdout)
        shown = page(served, urlsplit(feed["page"]).path, cookie)
        assert f"webcal://127.0.0.1:{served.port}/ground/" in shown
        calendar = ask(served.port, urlsplit(feed["feed"]).path).body.decode()
        assert f"127.0.0.1:{served.port}" in calendar.replace("\r\n ", "")


def test_a_forged_host_changes_no_address(club_store: Store, store_path: Path) -> None:
    """Whatever a request says its host is, addresses stay where the pages are served."""
    with serving(store_path) as served:
        feed = json.loads(run_command(store_path, *OF_THE_SQUAD).stdout)
        for path in (urlsplit(feed["page"]).path, urlsplit(feed["feed"]).path):
            answer = ask(
                served.port, path, Host="evil.example", X_Forwarded_Host="evil.example"
            ).body.decode()
            assert "evil.example" not in answer
            assert f"127.0.0.1:{served.port}" in answer.replace("\r\n ", "")


def test_the_address_that_is_set_comes_first_and_is_remembered(
    club_store: Store, store_path: Path
) -> None:
    """A command in another shell, where nothing is set, prints the server's public address."""
    public = "https://pitches.example.org"
    with serving(store_path, "--port", "0", CLUBPLANNER_PUBLIC_ADDRESS=f"{public}/") as served:
        assert served.address == public
        key = run_command(store_path, "people", "let-in")
    assert key.stdout.startswith(f"{public}/secretary/")
    assert key.stderr == ""
    other = run_command(
        store_path, "secretary", CLUBPLANNER_PUBLIC_ADDRESS="http://pitches.example"
    )
    assert other.stdout.startswith("http://pitches.example/secretary/")
    assert "without https" in other.stderr


def test_before_anything_was_served_the_usual_address_is_printed_with_a_word(
    club_store: Store, store_path: Path
) -> None:
    """Nobody is handed an address of which it is not known that it works."""
    key = run_command(store_path, "people", "let-in")
    assert key.stdout.startswith("http://127.0.0.1:8000/secretary/")
    assert "have not been served yet" in key.stderr


@pytest.mark.parametrize("host", [*EVERYWHERE, "::1", "[::1]", "localhost"])
def test_every_way_to_listen_gives_an_address_that_opens(
    club_store: Store, store_path: Path, host: str
) -> None:
    """Wildcards are no addresses: what is printed is one of the machine's, of the right form."""
    if ":" in host and not socket.has_dualstack_ipv6():
        pytest.skip("this machine has no IPv6")
    with serving(store_path, "--host", host, "--port", "0") as served:
        parts = urlsplit(served.address)
        assert parts.hostname not in (None, "", *EVERYWHERE)
        assert parts.port == served.port
        assert ask(served.port, "/", str(parts.hostname)).status == 200
        if host in EVERYWHERE:
            assert ask(served.port, "/", "127.0.0.1").status == 200
        if host == "::1":
            assert served.address.startswith("http://[::1]:")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--host", "nowhere.invalid"), "“nowhere.invalid” is no address of this machine; use"),
        (("--host", "203.0.113.77"), "“203.0.113.77” is no address of this machine; use --host"),
        (("--host", "x" * 300), "is no address of this machine; use --host 127.0.0.1"),
    ],
)
def test_a_host_that_cannot_be_listened_on_is_told(
    club_store: Store, store_path: Path, options: tuple[str, ...], words: str
) -> None:
    """What is wrong with a host is said plainly, and what to write instead."""
    done = CliRunner().invoke(main, ["--database", f"sqlite:///{store_path}", "serve", *options])
    assert done.exit_code == 2
    assert words in done.stderr


def test_a_taken_port_is_told_and_nothing_is_noted(club_store: Store, store_path: Path) -> None:
    """A server that could not begin changes no address that is handed out."""
    with serving(store_path) as served:
        for command in (("serve",), ("demo", "--folder", str(store_path.parent / "demo"))):
            done = run_command(store_path, *command, "--port", str(served.port))
            assert done.returncode == 2
            assert "choose another with --port" in done.stderr
            assert "Loaded" not in done.stderr
        done = run_command(store_path, "serve", "--host", "::", "--port", str(served.port))
        assert done.returncode == 2
        key = run_command(store_path, "people", "let-in").stdout
        assert key.startswith(served.address)


@pytest.mark.parametrize(
    "address",
    [
        "pitches.example.org",
        "https://",
        "ftp://x.example",
        "https://x.example/club?a",
        "http://a b",
    ],
)
def test_half_an_address_is_refused(club_store: Store, store_path: Path, address: str) -> None:
    """A setting that would make addresses that do not open stops the command, saying what to do."""
    command = ["--database", f"sqlite:///{store_path}", "secretary"]
    done = CliRunner().invoke(main, command, env={"CLUBPLANNER_PUBLIC_ADDRESS": address})
    assert done.exit_code == 2
    assert "Set CLUBPLANNER_PUBLIC_ADDRESS to a whole address" in done.stderr
