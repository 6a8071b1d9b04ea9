"""From a club's files to a plan, as a notebook does it."""

from __future__ import annotations

import csv
from dataclasses import replace
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest
import shapely

import clubplanner
from clubplanner.errors import StoreError
from clubplanner.resources import resource_folder
from tests.records import place_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

INVENTED = resource_folder("seed_data") / "invented_club"
GROUNDS = ("club.toml", "osier-lane.geojson", "millrace-centre.geojson", "sizes.csv")
PNG = b"\x89PNG\r\n\x1a\n"


def squad_rows() -> list[dict[str, object]]:
    """Return the invented squads as rows of a table, with a cell of each kind."""
    words = {"yes": True, "no": False, "": None}
    with (INVENTED / "squads.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            {name: words.get(cell, cell) for name, cell in row.items()}
            for row in csv.DictReader(file)
        ]
    return [{**row, "players": int(str(row["players"]))} for row in rows]


@pytest.fixture(scope="module")
def club() -> Iterator[clubplanner.Club]:
    """Give the invented club, its squads from rows."""
    paths = [INVENTED / name for name in GROUNDS]
    with clubplanner.read_club(*paths, squads=squad_rows()) as club:
        yield club


def test_a_club_is_what_its_files_say(club: clubplanner.Club) -> None:
    """Name, venues, pitches, squads and stretches."""
    assert club.name == "Tarnholt Wanderers"
    assert {venue.name for venue in club.venues} == {"Osier Lane", "Millrace Centre"}
    assert club.pitch("Top pitch") is club.pitches[0]
    assert [stretch.name for stretch in club.stretches] == ["Autumn", "Winter", "Spring"]
    by_name = {squad.name: squad for squad in club.squads}
    assert by_name["U7 Wrens"].players == 12
    with pytest.raises(clubplanner.MissingError, match="there are: Top pitch, "):
        club.pitch("Bottom pitch")


def test_files_and_rows_give_the_same_problem(club: clubplanner.Club) -> None:
    """A table of a notebook is read by the rules of the squads file."""
    paths = [INVENTED / name for name in (*GROUNDS, "squads.csv")]
    with clubplanner.read_club(*paths) as other:
        assert other.problem("Autumn") == club.problem("Autumn")


def test_faults_of_rows_are_told_by_row_and_column() -> None:
    """All of them at once, and no records are left behind."""
    first, second, *_rest = squad_rows()
    with pytest.raises(clubplanner.FaultyInputError) as told:
        clubplanner.read_club(INVENTED / "club.toml", squads=[first, {**second, "players": "some"}])
    assert "squads.csv, row 3, column players" in [fault.where for fault in told.value.problems]
    with pytest.raises(clubplanner.MissingError, match="cannot be read"):
        clubplanner.read_club(INVENTED / "no-such-file.toml")


def test_records_are_opened_and_not_changed(small: Store, tmp_path: Path) -> None:
    """A club's own database gives the same values; a path mistyped leaves no file behind."""
    address = small.engine.url.render_as_string(hide_password=False)
    before = place_of(small).read_bytes()
    with clubplanner.open_club(address) as club:
        assert club.name == "Alderby Rovers"
        assert club.problem(club.stretches[0].name).asks
    assert place_of(small).read_bytes() == before
    missing = tmp_path / "no-such.sqlite"
    with pytest.raises(StoreError):
        clubplanner.open_club(missing)
    assert not missing.exists()


def test_parts_are_the_pitchs_own_or_as_they_would_be(club: clubplanner.Club) -> None:
    """A pitch shared out in thirds gives these; quarters of another one cover it."""
    top = club.pitch("Top pitch")
    thirds = clubplanner.cut(top, 3)
    assert [part.name for part in thirds] == ["Railway third", "Middle third", "Clubhouse third"]
    assert set(thirds) <= set(top.areas)
    plain = clubplanner.make_pitch("60x40")
    quarters = clubplanner.cut(plain, 4)
    assert sum(part.area_m2 for part in quarters) == pytest.approx(2400)
    with pytest.raises(clubplanner.RefusedError, match="2, 3 or 4"):
        clubplanner.cut(plain, 7)


def test_an_outline_that_crosses_itself_is_told() -> None:
    """A bow tie is no pitch, and neither is a size that is none."""
    bow_tie = shapely.Polygon([(0, 0), (40, 30), (40, 0), (0, 30)])
    with pytest.raises(clubplanner.RefusedError, match="Self-intersection"):
        clubplanner.make_pitch(bow_tie)
    with pytest.raises(clubplanner.FaultyInputError) as told:
        clubplanner.make_pitch("long")
    assert "30x20" in told.value.problems[0].message
    with pytest.raises(clubplanner.RefusedError, match="no cut fifths"):
        clubplanner.make_pitch("60x40", cuts=["fifths"])


def test_drawings_show_themselves_and_are_kept(club: clubplanner.Club, tmp_path: Path) -> None:
    """As SVG in a notebook, as a file by the ending of its name."""
    top = club.pitch("Top pitch")
    drawn = clubplanner.draw(top, clubplanner.cut(top, 3)[0])
    assert "Railway third" in "".join(ET.fromstring(drawn._repr_svg_()).itertext())  # noqa: S314
    drawn.save(tmp_path / "third.svg")
    drawn.save(tmp_path / "third.PNG", width_px=400)
    assert (tmp_path / "third.svg").read_text(encoding="utf-8") == drawn.svg
    assert (tmp_path / "third.PNG").read_bytes().startswith(PNG)
    for name, says in (("third.jpg", ".svg or .png"), ("none/third.svg", "cannot be written")):
        with pytest.raises(clubplanner.RefusedError, match=says):
            drawn.save(tmp_path / name)
    with pytest.raises(clubplanner.RefusedError, match="4000 pixels"):
        drawn.save(tmp_path / "third.png", width_px=10**6)
    whole = clubplanner.draw(top).svg
    assert whole != clubplanner.draw(top, *clubplanner.cut(top, 2)).svg


def test_what_fits_on_a_part(club: clubplanner.Club) -> None:
    """Ways to play with the goals that stand there, drawn; why there is none, where there is."""
    top = club.pitch("Top pitch")
    third = clubplanner.cut(top, 3)[0]
    fits = clubplanner.fit_sessions(top, third, players=14, goalkeepers=1, age=12)
    assert fits.ways
    assert fits.ways[0].title in fits._repr_html_()
    assert fits.draw(1).svg in fits._repr_html_()
    none = clubplanner.fit_sessions(clubplanner.make_pitch("3x2"), players=30)
    assert not none.ways
    assert none.why_none in none._repr_html_()
    with pytest.raises(clubplanner.RefusedError):
        none.draw()
    with pytest.raises(clubplanner.RefusedError, match="players"):
        clubplanner.fit_sessions(top, players=0)


def test_pieces_and_the_largest_rectangle() -> None:
    """On plain ground as counted by hand: 60 × 40 m hold 6 × 8 pieces of 10 × 5 m."""
    plain = clubplanner.make_pitch("60x40")
    fit = clubplanner.fit_pieces(plain, "10x5")
    assert (fit.count, fit.is_proved) == (48, True)
    largest = clubplanner.fit_largest(plain, aspect=1.0)
    assert largest is not None
    assert (largest.length_m, largest.width_m) == pytest.approx((40, 40), abs=0.01)
    with pytest.raises(clubplanner.RefusedError, match="aspect"):
        clubplanner.fit_largest(plain, aspect=0)


def test_a_plan_is_told_checked_explained_and_kept(club: clubplanner.Club, tmp_path: Path) -> None:
    """Rows for a table of another library, faults by separate code, words, and two files."""
    plan = clubplanner.solve(club.problem("Autumn"), seconds=1)
    assert plan.faults() == ()
    rows = plan.rows()
    assert len(rows) == len(plan.outcome.placements) > 20
    assert set(rows[0]) == {"day", "start", "end", "squad", "ground", "venue"}
    assert plan.sentence in plan._repr_html_()
    squads = {ask.squad_name for ask in plan.problem.asks}
    assert all(plan.explain(name) for name in sorted(squads)[:3])
    with pytest.raises(clubplanner.MissingError, match="no ask"):
        plan.explain("nobody")
    paths = tmp_path / "problem.json", tmp_path / "result.json"
    plan.save(*paths)
    assert clubplanner.read_plan(*paths) == plan
    assert clubplanner.read_problem(paths[0]) == plan.problem
    with pytest.raises(clubplanner.RefusedError, match="cannot be written"):
        plan.save(tmp_path / "none" / "problem.json", paths[1])
    lost = replace(plan.outcome, placements=plan.outcome.placements[1:])
    assert clubplanner.Plan(plan.problem, lost).faults()
