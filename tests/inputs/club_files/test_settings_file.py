"""Settings are written as a file that reads back the same."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.inputs.club_files.settings import read_settings
from clubplanner.inputs.club_files.settings_file import MoneyWritten, write_settings
from tests.services.club_files import SETTINGS, text_of

RULES = """
[[ages]]
up_to = 10
latest_finish = "19:00"
wear_percent = 50
earliest_start = "16:00"

[[ages]]
up_to = 18

[[limits]]
venue = "Osier Lane"
pitch = "Meadow"
sessions = 6

"""


def test_settings_read_back_the_same() -> None:
    """Club, venues, stretches, breaks and rules are what they were, and nothing is left out."""
    text = text_of(SETTINGS)
    first = text.index("[[ages]]") if "[[ages]]" in text else len(text)
    read = read_settings(text[:first] + RULES, "club.toml")
    assert read.problems == ()
    assert read.club is not None
    written = write_settings(read.club, read.venues, read.stretches, read.breaks)
    again = read_settings(written, "again.toml")
    assert again.problems == ()
    assert (again.club, again.venues) == (read.club, read.venues)
    assert (again.stretches, again.breaks) == (read.stretches, read.breaks)
    assert not any(again.left_out.values())


def test_words_of_any_script_and_sign_read_back() -> None:
    """Quotes, backslashes, other scripts and half-known signs are escaped as TOML asks."""
    read = read_settings(text_of(SETTINGS), "club.toml")
    assert read.club is not None
    name = 'The "A" \\ نادي 東京 \u2028 [x] = # \u0001'
    club = replace(read.club, name=name)
    again = read_settings(write_settings(club, [], [], []), "again.toml")
    assert again.club is not None
    assert again.club.name == name


def test_a_venue_without_a_place_stays_so() -> None:
    """What nobody has said is left out, not made up."""
    read = read_settings(text_of(SETTINGS), "club.toml")
    assert read.club is not None
    venue = replace(read.venues[0], lon=None, lat=None, lights_off_min=None)
    written = write_settings(read.club, [venue], [], [])
    assert read_settings(written, "again.toml").venues == (venue,)


def test_for_how_long_things_are_kept_goes_out() -> None:
    """Where the club chose periods they are written, and read back the same."""
    read = read_settings(text_of(SETTINGS) + '\n[keep]\nask = "Jo"\nmails_days = 90\n', "club.toml")
    assert read.club is not None
    assert read.keeping is not None
    again = read_settings(write_settings(read.club, [], [], [], read.keeping), "again.toml")
    assert (again.problems, again.keeping) == ((), read.keeping)


MONEY = """
[money]
currency = "EUR"
notice_hours = 48
late_percent = 50
note = "To the treasurer by the 15th"

[[tariffs]]
payer = "club"
venue = "Osier Lane"
amount = "12.50"

[[tariffs]]
name = "Winter evenings"
payer = "hirer"
venue = "Osier Lane"
pitch = "Meadow"
part = "half-1"
amount = "30"
per = "hour"
adds = true
light = "floodlight"
days = "Mon-Wed, Fri"
from = "17:00"
to = "22:00"
season_from = "10-01"
season_to = "03-31"
starts = 2026-09-01
ends = 2027-08-31

[[reductions]]
payer = "squad"
up_to_age = 14
percent = 40
free_minutes = 600
venue = "Osier Lane"

[[reductions]]
payer = "hirer"
hirer = "The school"
percent = 100
"""


def test_money_goes_out_and_reads_back_the_same() -> None:
    """Terms, tariffs with every condition, and reductions."""
    start, _own, rest = text_of(SETTINGS).partition("[money]")
    without = f"{start}[[bookings]]{rest.partition('[[bookings]]')[2]}"
    read = read_settings(without + MONEY, "club.toml")
    assert read.problems == ()
    assert read.club is not None
    assert read.tariffs is not None
    assert read.reductions is not None
    tariffs = tuple(
        replace(one.tariff, amount=amount)
        for one, amount in zip(read.tariffs, (1250, 3000), strict=True)
    )
    reductions = tuple(one.reduction for one in read.reductions)
    money = MoneyWritten(read.terms, tariffs, reductions)
    again = read_settings(write_settings(read.club, [], [], [], None, money), "again.toml")
    assert (again.problems, again.terms, again.reductions) == ((), read.terms, read.reductions)
    assert again.tariffs is not None
    assert [one.tariff for one in again.tariffs] == [one.tariff for one in read.tariffs]
    assert [one.amount for one in again.tariffs] == ["12.50", "30.00"]
