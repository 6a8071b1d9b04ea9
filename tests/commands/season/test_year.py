"""The year from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import SETTINGS, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_the_year_is_shown_and_edited(empty_store: Store, tmp_path: Path) -> None:
    """Holidays, breaks and squads' seasons, in words and as JSON; faults exit with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    assert "holidays of GB, ENG count" in run(path, "year", "set-holidays", "GB", "ENG").output
    assert "Not decided: 2027-03-26 Good Friday" in run(path, "year", "show").output
    assert "as usual" in run(path, "year", "train-on", "2027-03-26").output
    added = run(path, "year", "add-break", "Easter", "2027-03-29", "2027-03-29")
    assert "Easter is a break." in added.output
    shown = json.loads(run(path, "year", "show", "--json").output)
    assert shown["undecided"] == []
    assert [b["name"] for b in shown["breaks"]] == ["Christmas", "Easter"]
    number = str(shown["breaks"][1]["number"])
    assert "no break any more" in run(path, "year", "withdraw-break", number).output
    squad = run(path, "year", "set-squad", "u12-kestrels", "--last", "2027-03-01")
    assert "U12 Kestrels train until 2027-03-01." in squad.output
    wrong = run(path, "year", "set-holidays", "XX")
    assert wrong.exit_code == 2
    assert "not a known country" in wrong.output


def test_a_stretch_gets_other_dates_by_command(empty_store: Store, tmp_path: Path) -> None:
    """Looked at first; then its weeks go on, and end earlier again."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    monday = NOW.date() + timedelta(days=7 - NOW.weekday())
    wednesdays = [monday + timedelta(days=2 + 7 * n) for n in range(4)]
    with empty_store.write() as session:
        row = session.scalars(select(StretchRow)).one()
        row.starts_on, row.ends_on = monday - timedelta(days=30), wednesdays[1]
        session.delete(session.scalars(select(BreakRow)).one())
    for day in wednesdays[:2]:
        book(empty_store, day=day, is_fixed=False)
    last = ("--last", str(wednesdays[3]))
    looked = run(path, "year", "change-stretch", "winter", *last, "--look", "--json")
    assert json.loads(looked.output)["booked"] == 2
    assert "2 sessions booked." in run(path, "year", "change-stretch", "winter", *last).output
    earlier = run(path, "year", "change-stretch", "winter", "--last", str(wednesdays[1]), "--mails")
    assert "2 sessions withdrawn." in earlier.output


def test_the_next_season_is_corrected_and_made(empty_store: Store, tmp_path: Path) -> None:
    """Shown, corrected squad by squad, made once; what does not go together exits with 2."""
    path, year = tmp_path / "empty.sqlite", NOW.year
    settings = SETTINGS.replace("2027", f"{year + 1}").replace("2026", f"{year}")
    load_small_club(empty_store, settings=settings)
    assert "U12 Kestrels: older → U13 Kestrels (U13)" in run(path, "year", "show-next").output
    squad = ("year", "change-next", "u12 kestrels")
    assert "merges" in run(path, *squad, "--into", "nobody").output
    assert "write which other squad" in run(path, "year", "make-next").output
    assert "proposed anew" in run(path, "year", "forget-next").output
    assert "U13 Kites" in run(path, *squad, "--name", "U13 Kites").output
    shown = json.loads(run(path, "year", "show-next", "--json").output)
    assert [one["name"] for one in shown["squads"]] == ["U13 Kites", "U15 Harriers"]
    assert "2 squads, 1 stretch" in run(path, "year", "make-next").output
    assert "made already" in run(path, "year", "show-next").output
    result = run(path, "year", "change-next", "nobody")
    assert result.exit_code == 2
    assert "no squad “nobody”" in result.output
