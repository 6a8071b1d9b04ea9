"""The list is taken in while it changes; changed wrongly, the one before holds."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

import pytest

from clubplanner.clubs.at_hand import LOOK_S, REST_S, ClubsAtHand
from clubplanner.config import Config
from tests.clubs.lists import as_toml, plain, settings, write

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

TWO = {"kestrels": plain("kestrels"), "rovers": plain("rovers", "https://town.example.org/rovers")}


class Clock:
    """A clock that is put on by hand."""

    now_s = 0.0

    def __call__(self) -> float:
        """Tell the time."""
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    """Give a clock."""
    return Clock()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Give a list of two clubs."""
    file = tmp_path / "clubs.toml"
    write(file, as_toml(TWO))
    return file


@pytest.fixture
def at_hand(file: Path, clock: Clock) -> Iterator[ClubsAtHand]:
    """Read the list."""
    found = ClubsAtHand(file, Config(), settings(), clock)
    yield found
    found.close()


def look(at_hand: ClubsAtHand, clock: Clock) -> None:
    """Let time pass, and look again."""
    clock.now_s += LOOK_S
    at_hand.look_again()


@pytest.mark.parametrize(
    ("host", "path", "name"),
    [
        ("kestrels.example.org", "/desk", "kestrels"),
        ("KESTRELS.example.org:8443", "", "kestrels"),
        ("town.example.org", "/rovers", "rovers"),
        ("town.example.org", "/rovers/desk", "rovers"),
        ("town.example.org", "/roversmore", None),
        ("town.example.org", "/", None),
        ("town.example.org", "//rovers", None),
        ("elsewhere.example.org", "/rovers", None),
        ("", "/", None),
    ],
)
def test_a_club_is_found_by_host_and_path(
    at_hand: ClubsAtHand, host: str, path: str, name: str | None
) -> None:
    """Both have to be its own."""
    assert at_hand.name_of(host, path) == name


def test_clubs_come_and_go_without_a_restart(
    at_hand: ClubsAtHand, file: Path, clock: Clock
) -> None:
    """One that is as it was stays the very same, with all that was made for it."""
    kestrels = at_hand.clubs["kestrels"]
    write(file, as_toml({"kestrels": TWO["kestrels"], "swifts": plain("swifts")}))
    assert list(at_hand.clubs) == ["kestrels", "rovers"]
    look(at_hand, clock)
    assert list(at_hand.clubs) == ["kestrels", "swifts"]
    assert at_hand.clubs["kestrels"] is kestrels
    assert at_hand.name_of("town.example.org", "/rovers") is None
    assert at_hand.name_of("swifts.example.org", "/") == "swifts"


def test_a_club_with_other_settings_keeps_its_records_open(
    at_hand: ClubsAtHand, file: Path, clock: Clock
) -> None:
    """Its writers go on queueing up at one place; other records are opened anew."""
    before = dict(at_hand.clubs)
    changed = {
        "kestrels": {**TWO["kestrels"], "quiet_hours": "20:00-06:00"},
        "rovers": {**TWO["rovers"], "records": "sqlite:///other.sqlite"},
    }
    write(file, as_toml(changed))
    look(at_hand, clock)
    kestrels, rovers = at_hand.clubs["kestrels"], at_hand.clubs["rovers"]
    assert kestrels is not before["kestrels"]
    assert kestrels.store is before["kestrels"].store
    assert rovers.store is not before["rovers"].store


@pytest.mark.parametrize("text", ["", "[kestrels", as_toml({"kestrels": {}}), None])
def test_changed_wrongly_the_clubs_before_stay(
    at_hand: ClubsAtHand,
    file: Path,
    clock: Clock,
    text: str | None,
    caplog: pytest.LogCaptureFixture,
) -> None:
    """Half a file, a faulty one or none at all ends no club; the log says what is wrong, once."""
    before = dict(at_hand.clubs)
    if text is None:
        file.unlink()
    else:
        write(file, text)
    with caplog.at_level(logging.ERROR, "clubplanner.clubs"):
        look(at_hand, clock)
        look(at_hand, clock)
    assert dict(at_hand.clubs) == before
    assert not at_hand.is_well
    (said,) = caplog.messages
    assert said.startswith("the list of clubs is left as it was: ")
    write(file, as_toml({"kestrels": TWO["kestrels"]}))
    look(at_hand, clock)
    assert at_hand.is_well
    assert list(at_hand.clubs) == ["kestrels"]


def test_who_is_not_asked_for_gives_its_connections_back(
    at_hand: ClubsAtHand, clock: Clock, tmp_path: Path
) -> None:
    """Of many clubs only those hold connections whose pages somebody opens."""
    (tmp_path / "kestrels.sqlite").touch()
    (tmp_path / "rovers.sqlite").touch()
    for host, path in (("kestrels.example.org", "/"), ("town.example.org", "/rovers")):
        club = at_hand.find(host, path)
        assert club is not None
        club.store.engine.connect().close()
    clock.now_s += REST_S
    at_hand.find("kestrels.example.org", "/")
    look(at_hand, clock)
    idle = {name: club.store.engine.pool.checkedin() for name, club in at_hand.clubs.items()}  # type: ignore[attr-defined]
    assert idle == {"kestrels": 1, "rovers": 0}


def test_what_a_page_in_hand_opened_of_a_club_that_went_is_closed(
    at_hand: ClubsAtHand, file: Path, clock: Clock, tmp_path: Path
) -> None:
    """It goes on asking there after the club's connections were given back."""
    (tmp_path / "rovers.sqlite").touch()
    rovers = at_hand.clubs["rovers"].store
    write(file, as_toml({"kestrels": TWO["kestrels"]}))
    look(at_hand, clock)
    rovers.engine.connect().close()
    assert rovers.engine.pool.checkedin() == 1  # type: ignore[attr-defined]
    clock.now_s += REST_S
    look(at_hand, clock)
    assert rovers.engine.pool.checkedin() == 0  # type: ignore[attr-defined]
