"""What fits on a ground: equal pieces, and ways to play with those who come."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from pydantic import Field, model_validator

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, MissingError
from clubplanner.language import _
from clubplanner.services.coach.any_ground.fit_answers import LaidPiece, Wanted, WayAnswer
from clubplanner.services.coach.any_ground.fit_questions import ask_pieces, ask_sessions
from clubplanner.services.coach.fits.fit_here import outline_of
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.api.frame.faults_at import at_members
from clubplanner.webapp.api.frame.operations import operation
from clubplanner.webapp.api.frame.values import Day, Value, example
from clubplanner.webapp.api.shared.ground_at import PLACE, Place
from clubplanner.webapp.base.security import for_signed_in
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.coach.any_ground.fit_answers import OtherNightAnswer

_RECTANGLE = {"length_m": 60.0, "width_m": 40.0}
_LAID = {"x_m": 0.0, "y_m": 0.0, "length_m": 30.0, "width_m": 20.0, "turned_deg": 0.0}
_GAME = {"players": [4, 4], "goalkeepers": 0, "ground": _LAID}
_WAY = {
    "title": "4 v 4",
    "games": [_GAME],
    "waiting": 0,
    "m2_per_player": 75.0,
    "clear": "3 m of clear ground round it.",
    "notes": [],
    "too_hard": "Take a player out of each side.",
    "too_easy": "Make the ground smaller.",
    "set_out": ["A cone where the left end meets the lower side."],
}


class RectangleValue(Value):
    """A rectangle by its sides."""

    model_config = example(**_RECTANGLE)

    length_m: float = Field(ge=1, le=500)
    width_m: float = Field(ge=1, le=500)


class GroundAsked(Value):
    """Ground that is asked about: an area of the club's, or any rectangle."""

    model_config = example(place=PLACE, rectangle=None)

    place: Place | None = None
    rectangle: RectangleValue | None = None

    @model_validator(mode="after")
    def _is_one(self) -> Self:
        if (self.place is None) == (self.rectangle is None):
            raise ValueError(_("Give a place or a rectangle, one of the two."))
        return self


class PiecesAsked(Value):
    """Which pieces are to be laid, on which ground."""

    model_config = example(ground={"rectangle": _RECTANGLE}, piece=_RECTANGLE, gap_m=2.0)

    ground: GroundAsked
    piece: RectangleValue
    gap_m: float = Field(0.0, ge=0, le=100, description="Kept between any two.")
    margin_m: float = Field(0.0, ge=0, le=100, description="Kept from the edge.")


class LaidValue(Value):
    """A rectangle on the ground."""

    model_config = example(**_LAID)

    x_m: float = Field(description="Lower left corner before turning.")
    y_m: float
    length_m: float = Field(description="Along x before turning.")
    width_m: float = Field(description="Along y before turning.")
    turned_deg: float = Field(description="About that corner, counter-clockwise, below 90.")


class PiecesFound(Value):
    """How many equal pieces fit, and where they lie."""

    model_config = example(count=1, bound=1, bound_for="any layout", is_proved=True, pieces=[_LAID])

    count: int
    bound: int = Field(description="No layout holds more, of those that `bound_for` tells.")
    bound_for: str
    is_proved: bool = Field(description="Whether no such layout holds more than were laid.")
    pieces: list[LaidValue]


class SessionAsked(Value):
    """Who comes, and what there is to play with."""

    model_config = example(
        ground={"place": PLACE}, players=12, goalkeepers=1, age=12, goals=2, target_goals=0
    )

    ground: GroundAsked
    players: int = Field(ge=1, le=60, description="Goalkeepers among them.")
    goalkeepers: int = Field(0, ge=0, le=60)
    age: int | None = Field(None, ge=4, le=99, description="13 for under 13s; none for adults.")
    goals: int = Field(0, ge=0, le=40, description="Goals that can be moved.")
    target_goals: int = Field(0, ge=0, le=40, description="Small goals that nobody keeps.")
    day: Day | None = Field(None, description="For its season; today if left out.")


class GameLaid(Value):
    """One game."""

    model_config = example(**_GAME)

    players: tuple[int, int] = Field(description="Of the two sides, goalkeepers not counted.")
    goalkeepers: int
    ground: LaidValue


class WayFound(Value):
    """A way to play."""

    model_config = example(**_WAY)

    title: str
    games: list[GameLaid] = Field(description="Those that are on at once.")
    waiting: int = Field(description="Players who wait at any moment.")
    m2_per_player: float
    clear: str = Field(description="How much clear ground there is round the games, a sentence.")
    notes: list[str] = Field(description="What a coach needs to know.")
    too_hard: str = Field(description="What to change when it is too hard.")
    too_easy: str = Field(description="What to change when it is too easy.")
    set_out: list[str] = Field(description="Cones and carried goals in the order of walking.")


class OtherNight(Value):
    """What changes on another night."""

    model_config = example(occasion="One player more", lines=["Play 4 v 5."])

    occasion: str
    lines: list[str]


class SessionFound(Value):
    """Ways to play, the best first; those in which nobody stands about come first.

    Sizes and cautions are guidance; the coach on the spot and the rules of the place decide.
    """

    model_config = example(ways=[_WAY], changes=[], no_way="")

    ways: list[WayFound]
    changes: list[OtherNight]
    no_way: str = Field(description="Why there is none; blank where there is one.")


@operation("POST", "/fits/pieces", answer=PiecesFound, takes=PiecesAsked, is_once=False)
@for_signed_in
def fit_pieces_on(body: PiecesAsked) -> PiecesFound:
    """Lay as many equal rectangles on a ground as can be found."""
    piece = f"{body.piece.length_m:.3f}x{body.piece.width_m:.3f}"
    ground = _outline(body.ground)
    try:
        found = ask_pieces(ground, piece, gap=body.gap_m, margin=body.margin_m)
    except FaultyInputError as fault:
        raise at_members(fault, _member) from fault
    return PiecesFound(
        count=found.count,
        bound=found.bound,
        bound_for=found.bound_for,
        is_proved=found.proved,
        pieces=[_laid(one) for one in found.pieces],
    )


@operation("POST", "/fits/sessions", answer=SessionFound, takes=SessionAsked, is_once=False)
@for_signed_in
def fit_session_on(body: SessionAsked) -> SessionFound:
    """List ways to play on a ground with those who come."""
    state = app_state()
    wanted = Wanted(
        players=body.players,
        on=body.day or state.today(club_zone(state.store)),
        goalkeepers=body.goalkeepers,
        age=body.age,
        goals=body.goals,
        target_goals=body.target_goals,
    )
    ground = _outline(body.ground)
    try:
        ways, changes, no_way = ask_sessions(ground, wanted)
    except FaultyInputError as fault:
        raise at_members(fault, _member) from fault
    return SessionFound(
        ways=[_way(one) for one in ways], changes=[_other(one) for one in changes], no_way=no_way
    )


def _outline(ground: GroundAsked) -> str:
    if ground.place is None:
        sides = ground.rectangle or RectangleValue(length_m=1.0, width_m=1.0)
        return f"{sides.length_m:.3f}x{sides.width_m:.3f}"
    try:
        return outline_of(app_state().store, ground.place.pitch, ground.place.area)
    except MissingError as fault:
        raise FaultyInputError([Problem("/ground/place", "no-such-ground", str(fault))]) from fault


def _member(where: str) -> str:
    return {"gap": "/gap_m", "margin": "/margin_m"}.get(where, f"/{where}" if where else "")


def _laid(one: LaidPiece) -> LaidValue:
    return LaidValue(
        x_m=one.x, y_m=one.y, length_m=one.length, width_m=one.width, turned_deg=one.angle
    )


def _way(way: WayAnswer) -> WayFound:
    return WayFound(
        title=way.title,
        games=[
            GameLaid(
                players=game.players, goalkeepers=game.goalkeepers, ground=_laid(game.rectangle)
            )
            for game in way.games
        ],
        waiting=way.waiting,
        m2_per_player=way.m2_per_player,
        clear=way.clear,
        notes=list(way.notes),
        too_hard=way.too_hard,
        too_easy=way.too_easy,
        set_out=[*way.set_out.first, *(cone.words for cone in way.set_out.cones)],
    )


def _other(one: OtherNightAnswer) -> OtherNight:
    return OtherNight(occasion=one.occasion, lines=list(one.lines))
