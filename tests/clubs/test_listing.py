"""The list of clubs is read as its docstring says, and all that is wrong with it is told."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.clubs import listing
from clubplanner.clubs.listing import plain_host, read_list
from clubplanner.config import Config
from clubplanner.errors import RefusedError
from tests.clubs.lists import as_toml, faults_of, plain, read, settings

if TYPE_CHECKING:
    from pathlib import Path

COMMON = {
    "SMTP_HOST": "mail.example.org",
    "SMTP_USER": "everybody",
    "SMTP_PASSWORD": "a common password",
    "MAIL_FROM": "pitches@example.org",
    "METRICS_KEY": "a key of the whole server",
    "PUBLIC_ADDRESS": "https://not-of-a-club.example.org",
}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Name a list."""
    return tmp_path / "clubs.toml"


def test_the_form_in_the_docstring_is_the_form(file: Path) -> None:
    """What whoever runs a server copies from there is read, host and path as it says."""
    example = re.search(r"\n\n((?:    .*\n|\n)+)", str(listing.__doc__))
    assert example is not None
    clubs = read(file, example[1], **COMMON)
    assert list(clubs) == ["kestrels", "rovers"]
    assert (clubs["kestrels"].hosts, clubs["kestrels"].path) == (("kestrels.example.org",), "")
    rovers = clubs["rovers"]
    assert (rovers.hosts, rovers.path) == (("town.example.org", "town.internal"), "/rovers")
    assert rovers.config.public_address == "https://town.example.org/rovers"
    assert rovers.config.club == "rovers"
    assert rovers.config.database == "postgresql://clubplanner@db.example.org/rovers"


def test_records_lie_beside_the_list(file: Path, tmp_path: Path) -> None:
    """A command in whatever folder finds the same file; a whole path stays as it is."""
    clubs = {"kestrels": plain("kestrels"), "rovers": plain("rovers", records="sqlite:////x/y.db")}
    found = read(file, as_toml(clubs))
    assert found["kestrels"].config.database == f"sqlite:///{tmp_path}/kestrels.sqlite"
    assert found["rovers"].config.database == "sqlite:////x/y.db"


def test_what_a_club_does_not_say_is_common(file: Path) -> None:
    """The server's mail server holds for all, each with a sender of its own if it has one."""
    clubs = {
        "kestrels": plain("kestrels"),
        "rovers": plain("rovers", mail_from="rovers@example.org"),
    }
    found = read(file, as_toml(clubs), **COMMON)
    servers = [club.config.mail_server for club in found.values()]
    assert [s and (s.host, s.user, s.sender) for s in servers] == [
        ("mail.example.org", "everybody", "pitches@example.org"),
        ("mail.example.org", "everybody", "rovers@example.org"),
    ]


def test_a_mail_server_of_its_own_gets_no_common_password(file: Path) -> None:
    """Whoever runs a club's own mail server never sees what opens the common one."""
    own = plain("rovers", smtp_host="mail.rovers.example", smtp_port=2525, smtp_security="none")
    server = read(file, as_toml({"rovers": own}), **COMMON)["rovers"].config.mail_server
    assert server is not None
    assert (server.host, server.port, server.user, server.password) == (
        "mail.rovers.example",
        2525,
        "",
        "",
    )


def test_the_servers_own_key_opens_no_clubs_figures(file: Path) -> None:
    """Each club's figures have a key of their own, or none."""
    clubs = {"kestrels": plain("kestrels"), "rovers": plain("rovers", metrics_key="x" * 16)}
    found = read(file, as_toml(clubs), **COMMON)
    assert found["kestrels"].config.metrics_key == ""
    assert found["rovers"].config.metrics_key == "x" * 16


def test_every_fault_is_told_at_once_with_its_place(file: Path) -> None:
    """Whoever wrote the list mends it in one go, from words that say what to write."""
    clubs: dict[str, dict[str, object]] = {
        "Big Club": plain("big"),
        "rovers": {"records": "", "public_address": "rovers.example.org", "colour": "red"},
        "swifts": plain(
            "swifts", smtp_security="maybe", mail_from="nobody", quiet_hours="late", metrics_key="k"
        ),
        "wrens": plain("wrens", "https://town.example.org/metrics", records="mysql://db/wrens"),
        "larks": plain("larks", hosts=[], smtp_port=True),
    }
    said = faults_of(file, "loose = 1\n" + as_toml(clubs))
    places = [one.partition(": ")[0] for one in said]
    assert places == [
        "clubs.toml, loose",
        "clubs.toml, Big Club",
        "clubs.toml, rovers, colour",
        "clubs.toml, rovers, records",
        "clubs.toml, swifts, smtp_host",
        "clubs.toml, swifts, smtp_security",
        "clubs.toml, swifts, mail_from",
        "clubs.toml, swifts, quiet_hours",
        "clubs.toml, swifts, metrics_key",
        "clubs.toml, wrens, records",
        "clubs.toml, wrens, public_address",
        "clubs.toml, larks, hosts",
        "clubs.toml, larks, smtp_port",
    ]
    assert "Set quiet_hours to two times of day" in " ".join(said)


@pytest.mark.parametrize(
    "second",
    [
        "https://town.example.org/rovers",
        "http://TOWN.example.org./rovers/",
        "https://town.example.org",
        "https://town.example.org/rovers/youth",
    ],
)
def test_no_club_lies_within_another(file: Path, second: str) -> None:
    """A browser gives what it keeps for a path to all below it, so that is refused."""
    clubs = {
        "rovers": plain("rovers", "https://town.example.org/rovers"),
        "swifts": plain("swifts", second.rstrip("/")),
    }
    (said,) = faults_of(file, as_toml(clubs))
    assert "place of rovers, or one lies within the other" in said


def test_neighbours_are_no_kin(file: Path) -> None:
    """A path that only begins alike is another one, and so is the same path elsewhere."""
    clubs = {
        "one": plain("one", "https://town.example.org/rovers"),
        "two": plain("two", "https://town.example.org/rovers-youth"),
        "three": plain("three", "https://village.example.org/rovers"),
    }
    assert faults_of(file, as_toml(clubs)) == []


def test_records_belong_to_one_club(file: Path, tmp_path: Path) -> None:
    """Two clubs never share a file, by whatever way it is named."""
    clubs = {
        "rovers": plain("rovers"),
        "swifts": plain("swifts", records=f"sqlite:///{tmp_path}/./rovers.sqlite"),
        "wrens": plain("wrens", records="postgresql://a@db/birds"),
        "larks": plain("larks", records="postgresql://b@db/birds"),
    }
    said = faults_of(file, as_toml(clubs))
    assert [one.rpartition("are ")[2] for one in said] == [
        "the records of rovers; each club needs its own.",
        "the records of wrens; each club needs its own.",
    ]


def test_no_fault_tells_a_password(file: Path) -> None:
    """What is wrong with an address is told without the address."""
    clubs = {"rovers": plain("rovers", records="postgresql//u:pass-word@db", smtp_password="hush")}
    said = faults_of(file, as_toml(clubs))
    assert said
    assert not re.search("pass-word|hush", " ".join(said))


@pytest.mark.parametrize("text", ["", "[rovers", "x" * 1_000_001, "[a]\n[a]"])
def test_what_is_no_list_is_told(file: Path, text: str) -> None:
    """An empty file, half a table and a table twice are told as such."""
    with pytest.raises(Exception, match=r"(?i)fault|too large"):
        read(file, text)


def test_a_list_that_is_not_there_is_told(tmp_path: Path) -> None:
    """A mistyped name of the file is told with what the machine says of it."""
    with pytest.raises(RefusedError, match=r"nothing\.toml cannot be read \(No such file"):
        read_list(tmp_path / "nothing.toml", Config(), settings())


@pytest.mark.parametrize(
    ("written", "plainly"),
    [
        ("Town.Example.org:8000", "town.example.org"),
        ("town.example.org.", "town.example.org"),
        ("[::1]:8000", "::1"),
        ("127.0.0.1:8000", "127.0.0.1"),
        ("fußball.example", "fussball.example"),
        ("käfer.example", "xn--kfer-loa.example"),
        ("", ""),
    ],
)
def test_hosts_are_compared_as_the_dns_does(written: str, plainly: str) -> None:
    """Port, capital letters and the last dot say nothing (RFC 4343; RFC 3490, ToASCII)."""
    assert plain_host(written) == plainly
