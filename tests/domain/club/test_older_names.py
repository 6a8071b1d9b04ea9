"""Names and ages of squads a year on: by rule where one is clear, else left alone and asked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.club.older_names import a_year_older
from clubplanner.domain.club.squads import age_from_group


@pytest.mark.parametrize(
    ("name", "age_group", "becomes", "becomes_group"),
    [
        ("Under 12 Kites", "U12", "Under 13 Kites", "U13"),
        ("Under 12s", "Under 12s", "Under 13s", "Under 13s"),
        ("U-9", "u9 girls", "U-10", "u10 girls"),
        ("U9 Girls A", "U9", "U10 Girls A", "U10"),
        ("12U Hawks", "U12", "13U Hawks", "U13"),
        ("Sub-14", "U14", "Sub-15", "U15"),
        ("JO12-1", "JO12", "JO13-1", "JO13"),
        ("U12-2", "U12", "U13-2", "U13"),
        ("Kites", "U12", "Kites", "U13"),
        ("Kites 2", "U12", "Kites 2", "U13"),
        ("Jahrgang 2014", "U12", "Jahrgang 2014", "U13"),
        ("2014er", "U12", "2014er", "U13"),
        ("E-Jugend", "U10", "E-Jugend", "U11"),
        ("E-Jugend", "U11", "D-Jugend", "U12"),
        ("D-Juniorinnen", "U13", "C-Juniorinnen", "U14"),
        ("U17 B-Junioren", "U17", "U18 A-Junioren", "U18"),
        ("U11 (E-Jugend)", "U11", "U12 (D-Jugend)", "U12"),
        ("Men's First", "Adult", "Men's First", "Adult"),
        ("Ü32", "Adult", "Ü32", "Adult"),
        ("1. Herren", "", "1. Herren", ""),
        ("U23", "U23", "U23", "U23"),
    ],
)
def test_a_clear_rule_is_followed(
    name: str, age_group: str, becomes: str, becomes_group: str
) -> None:
    """Marks of age move by a year; adults, numbers of teams and years of birth stay.

    Letters by years: DFB-Jugendordnung, section 5, from memory.
    """
    older = a_year_older(name, age_group)
    assert (older.name, older.age_group, older.doubt) == (becomes, becomes_group, "")


@pytest.mark.parametrize(
    ("name", "age_group"),
    [
        ("E-Jugend", ""),  # ten or eleven?
        ("E1-Jugend", "U11"),  # the first of the older, or of all?
        ("D-Jugend", "U10"),  # letter and age do not go together
        ("U9/10", "U9"),
        ("U12/U13 Girls", "U12"),
        ("U18 Reds", "U18"),
        ("Bambini", "U7"),
        ("Kites 2014", "U12"),  # of which year is the year?
        ("青年U12", "U12"),
        ("صقور ١٢", "U12"),
        ("青年队", ""),
        ("Juniors", ""),
    ],
)
def test_where_no_rule_is_clear_the_name_is_left_alone_and_asked(name: str, age_group: str) -> None:
    """Nothing is guessed; the reason is a sentence."""
    older = a_year_older(name, age_group)
    assert older.name == name
    assert older.doubt.endswith(".")


def test_several_years_on() -> None:
    """A club that left a season out goes on where it is."""
    assert a_year_older("U12 Kites", "U12", 2).name == "U14 Kites"


@given(st.text(max_size=30), st.text(max_size=12))
def test_no_name_breaks_it(name: str, age_group: str) -> None:
    """Any text at all becomes something, and what has an age is no younger."""
    older = a_year_older(name, age_group)
    age, was = age_from_group(older.age_group), age_from_group(age_group)
    assert was is None or age in (was, was + 1)
