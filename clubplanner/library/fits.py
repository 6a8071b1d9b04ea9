"""What fits on a pitch or a part of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from html import escape
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import usable_ground
from clubplanner.errors import RefusedError
from clubplanner.fitting.games.no_game import no_game_words
from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.outlines.largest import fit_largest as largest_on
from clubplanner.fitting.outlines.pieces import fit_pieces as pieces_on
from clubplanner.fitting.setting_out.set_out import list_set_out
from clubplanner.library.pictures import Picture
from clubplanner.services.coach.any_ground.fit_inputs import size_from_words
from clubplanner.services.coach.fits.fit_drawings import draw_games
from clubplanner.services.coach.fits.fit_places import (
    CLEARANCE_M,
    FitGround,
    FitPlace,
    FitWish,
    need_of,
)

if TYPE_CHECKING:
    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.fitting.outlines.pieces import Piece, PieceFit
    from clubplanner.fitting.setting_out.ways import Way

NO_ROOM = "Obstacles leave no ground to play on here."


@dataclass(frozen=True, slots=True)
class Fits:
    """Ways to play on a ground, best first; a notebook shows the first one drawn.

    Attributes:
        ways: Each with its games, who waits, and whole sentences a coach needs.
        why_none: Why there is no way, and what can be done; blank where there is one.
        ground: Where, and what was asked.
    """

    ways: tuple[Way, ...]
    why_none: str
    ground: FitGround | None

    def draw(self, number: int = 1) -> Picture:
        """Draw a way: its games, their goals, and cones by number.

        Args:
            number: Which, counted from 1.

        Raises:
            RefusedError: If there is no such way, or it has no game.
        """
        if not 1 <= number <= len(self.ways):
            raise RefusedError(self.why_none or f"There are {len(self.ways)} ways, no {number}.")
        way = self.ways[number - 1]
        if self.ground is None or not way.games:
            raise RefusedError(f"“{way.title}” has no game to draw.")
        cones = list_set_out(way, self.ground.anchors, pace_m=self.ground.pace_m)
        return Picture(draw_games(self.ground, way.title, way.games, cones))

    def _repr_html_(self) -> str:
        titles = "".join(f"<li>{escape(way.title)}</li>" for way in self.ways)
        has_game = bool(self.ways) and bool(self.ways[0].games)
        drawn = self.draw().svg if has_game else ""
        return f"{drawn}<ol>{titles}</ol>" if titles else f"<p>{escape(self.why_none)}</p>"


def fit_sessions(
    pitch: Pitch,
    part: Area | None = None,
    *,
    players: int,
    goalkeepers: int = 0,
    age: int | None = None,
    on: date | None = None,
    portable_goals: int | None = None,
    target_goals: int = 0,
    size: str | None = None,
    margin_m: float | None = None,
    neighbours: tuple[Polygon, ...] = (),
) -> Fits:
    """List ways to play a session on a pitch or a part of it.

    Sizes are published practice areas and forms of the game; local rules and whoever is in charge
    on the day decide.

    Args:
        pitch: The pitch, with its goals and obstacles.
        part: Where on it; None for the whole pitch.
        players: How many come, goalkeepers among them.
        goalkeepers: Of them.
        age: Years of the age group, 13 for under 13s; None for adults.
        on: The date, for its season; None for today.
        portable_goals: Goals that can be brought on; None for those the pitch has.
        target_goals: Small goals that nobody keeps.
        size: Size each game is to have, such as "30x20", metres; None for published sizes.
        margin_m: Clear metres to keep all round; None for what is published.
        neighbours: Ground of this pitch on which others are at that time, metres of the pitch.

    Raises:
        FaultyInputError: If the size is none.
        RefusedError: If a number cannot be used.
    """
    length_m, width_m = (None, None) if size is None else size_from_words(size, "size")
    place = FitPlace(
        pitch=pitch,
        area=pitch.areas[0] if part is None else part,
        on=date.today() if on is None else on,  # noqa: DTZ011 - the reader's own day
        neighbours=neighbours,
    )
    wish = FitWish(
        players=players,
        goalkeepers=goalkeepers,
        length_m=length_m,
        width_m=width_m,
        age=age,
        portable_goals=portable_goals,
        target_goals=target_goals,
        margin_m=margin_m,
    )
    try:
        need = need_of(place, wish)
        if need is None:
            return Fits((), NO_ROOM, None)
        ways = tuple(list_ways(need))
        why_none = "" if ways else no_game_words(need)
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault
    return Fits(ways, why_none, FitGround.of(place, wish, need))


def fit_pieces(
    pitch: Pitch, size: str, part: Area | None = None, *, gap_m: float = 0.0, margin_m: float = 0.0
) -> PieceFit:
    """Lay as many equal rectangles as can be found.

    Args:
        pitch: The pitch; its obstacles are left free.
        size: Such as "9x5", metres; turned by quarters.
        part: Where on it; None for the whole pitch.
        gap_m: Kept between pieces.
        margin_m: Kept from the edge.

    Returns:
        The pieces, and how many there can be at most.

    Raises:
        FaultyInputError: If the size is none.
        RefusedError: If a number cannot be used, or there is no ground.
    """
    length_m, width_m = size_from_words(size, "size")
    ground = _ground(pitch, part)
    try:
        return pieces_on(ground, length_m, width_m, gap_m=gap_m, margin_m=margin_m)
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def fit_largest(
    pitch: Pitch, part: Area | None = None, *, aspect: float | None = None, margin_m: float = 0.0
) -> Piece | None:
    """Find the largest rectangle on a pitch or a part of it.

    Args:
        pitch: The pitch; its obstacles are left free.
        part: Where on it; None for the whole pitch.
        aspect: Length over width, either way round; None for any shape.
        margin_m: Kept from the edge.

    Returns:
        The rectangle; None when there is room for none.

    Raises:
        RefusedError: If a number cannot be used, or there is no ground.
    """
    try:
        return largest_on(_ground(pitch, part), aspect=aspect, margin_m=margin_m)
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def _ground(pitch: Pitch, part: Area | None) -> Polygon:
    area = pitch.areas[0] if part is None else part
    ground = usable_ground(area, pitch.obstacles, clearance_m=CLEARANCE_M)
    if ground is None:
        raise RefusedError(NO_ROOM)
    return ground
