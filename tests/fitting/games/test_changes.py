"""What changes when the night does."""

from __future__ import annotations

import shapely

from clubplanner.fitting import (
    SessionNeed,
    compare_nights,
    list_ways,
    see_changes,
)
from tests.fitting.shapes import HALL, THIRD, read_bands

OWEN = tuple(band for band in read_bands() if band.source.startswith("Owen"))
HALF = shapely.box(0, 0, 50, 64)


def night(players: int = 14, goalkeepers: int = 1, **rest: object) -> SessionNeed:
    """Build a night on the half."""
    ground = rest.get("ground", HALF)
    assert isinstance(ground, shapely.Polygon)
    return SessionNeed(ground, players, goalkeepers, 13, bands=OWEN)


def test_each_other_night_has_its_best_way() -> None:
    """One fewer, one more, a second goalkeeper and a third are shown with their best ways."""
    changes = see_changes(night(), elsewhere=[("On a third", night(ground=THIRD))])
    assert [change.occasion for change in changes] == [
        "One player fewer",
        "One player more",
        "Two goalkeepers among them",
        "On a third",
    ]
    nights = (night(13), night(15), night(14, 2), night(ground=THIRD))
    assert [change.best for change in changes] == [list_ways(other)[0] for other in nights]


def test_one_fewer_makes_the_sides_even() -> None:
    """With one fewer nobody is extra, and everybody has more room."""
    lines = see_changes(night(ground=THIRD))[0].lines
    assert "Two games of 3 v 3, instead of two games of 3 v 3, one of them 4 v 3." in lines
    assert "Nobody is extra any more." in lines


def test_from_half_to_hall() -> None:
    """In a hall the games are smaller, and the cones move."""
    lines = compare_nights(night(), night(ground=HALL))
    assert any("move the cones" in line for line in lines)
    assert any("Each outfield player has" in line for line in lines)


def test_the_same_night_changes_nothing() -> None:
    """Compared with itself a night has nothing to change."""
    assert compare_nights(night(), night()) == ("Nothing changes but who is on which side.",)


def test_where_nothing_fits() -> None:
    """Ground too small for a game is said, whichever night it is."""
    tiny = shapely.box(0, 0, 2, 2)
    assert compare_nights(night(), night(ground=tiny)) == ("No game fits any more.",)
    assert compare_nights(night(ground=tiny), night(ground=tiny)) == ("No game fits, as before.",)
    assert compare_nights(night(ground=tiny), night())[0].startswith("Now there is room")


def test_numbers_at_their_ends() -> None:
    """A lone goalkeeper has no one fewer, and sixty players have no one more."""
    assert [change.occasion for change in see_changes(night(1, 1))] == ["One player more"]
    assert "One player more" not in {change.occasion for change in see_changes(night(60, 0))}
