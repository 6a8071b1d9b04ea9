"""Time zones from the package's own data."""

from __future__ import annotations

import zoneinfo
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.times.zones import (
    LIKELY_ZONES,
    known_zones,
    zone_data,
    zone_from_name,
    zone_groups,
    zone_places,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def no_cached_zones() -> Iterator[None]:
    """Read zones anew in a test, and again after it."""
    zone_from_name.cache_clear()
    yield
    zone_from_name.cache_clear()


def test_every_known_zone_can_be_read() -> None:
    """What a club may write as its time zone is a time zone, under that name."""
    assert len(known_zones()) > 400
    for name in known_zones():
        assert zone_from_name(name).key == name


def test_a_zone_changes_its_clocks() -> None:
    """London is an hour ahead in summer (IANA time zone database, file europe)."""
    london = zone_from_name("Europe/London")
    winter, summer = datetime(2026, 1, 15, tzinfo=UTC), datetime(2026, 7, 15, tzinfo=UTC)
    assert winter.astimezone(london).utcoffset() == timedelta(0)
    assert summer.astimezone(london).utcoffset() == timedelta(hours=1)


@pytest.mark.usefixtures("no_cached_zones")
def test_the_machine_has_no_say(tmp_path: Path) -> None:
    """A machine whose own files say otherwise changes nothing."""
    folder = tmp_path / "Europe"
    folder.mkdir()
    (folder / "London").write_bytes(zone_data("Asia/Tokyo"))
    usual = zoneinfo.TZPATH
    zoneinfo.reset_tzpath([str(tmp_path)])
    zoneinfo.ZoneInfo.clear_cache()
    try:
        there = datetime(2026, 1, 15, tzinfo=UTC).astimezone(zoneinfo.ZoneInfo("Europe/London"))
        here = datetime(2026, 1, 15, tzinfo=UTC).astimezone(zone_from_name("Europe/London"))
    finally:
        zoneinfo.reset_tzpath(usual)
        zoneinfo.ZoneInfo.clear_cache()
    assert there.utcoffset() == timedelta(hours=9)
    assert here.utcoffset() == timedelta(0)


@pytest.mark.parametrize(
    "name",
    [
        "",
        " ",
        "Europe",
        "Europe/",
        "/Europe/London",
        "Europe/London\n",
        "../zones",
        "Europe/../Europe/London",
        "Europe\\London",
        "Mars/Olympus",
        "zone.tab",
        "leapseconds",
        "C:/Windows",
        "x" * 5000,
        "Európe/London",
    ],
)
def test_what_is_no_zone_is_refused(name: str) -> None:
    """Folders, other files, paths out of the package and inventions are no time zones."""
    with pytest.raises(ValueError, match=r"."):
        zone_from_name(name)


def test_a_zone_has_a_place() -> None:
    """As the table says: degrees and minutes, with seconds or without; UTC is nowhere."""
    places = zone_places()
    assert places["Europe/Berlin"] == pytest.approx((13 + 22 / 60, 52.5))
    assert places["Australia/Sydney"] == pytest.approx((151 + 13 / 60, -(33 + 52 / 60)))
    assert places["Antarctica/Troll"] == pytest.approx((2 + 32 / 60 + 6 / 3600, -(72 + 41 / 3600)))
    assert "UTC" not in places
    assert set(places) <= known_zones()
    assert len(places) > 400


def test_the_refusal_says_what_to_choose() -> None:
    """The message repeats the name, cut short, and gives one that exists."""
    with pytest.raises(ValueError, match="no time zone called 'Mars/Olympus'"):
        zone_data("Mars/Olympus")
    with pytest.raises(ValueError, match="Europe/London") as caught:
        zone_data("x" * 5000)
    assert len(str(caught.value)) < 200


@given(st.text())
def test_no_name_reaches_another_file(name: str) -> None:
    """A name that is not listed gives a ValueError and nothing else."""
    if name in known_zones():
        return
    with pytest.raises(ValueError, match=r"."):
        zone_from_name(name)


def test_the_list_of_zones_has_every_zone_once() -> None:
    """By part of the world; none that can be used is missing, and the likely ones exist."""
    groups = zone_groups()
    listed = [name for names in groups.values() for name in names]
    assert sorted(listed) == sorted(known_zones())
    assert len(listed) == len(set(listed))
    assert "Europe/Berlin" in groups["Europe"]
    assert set(LIKELY_ZONES) <= known_zones()
