"""What fits on a ground given by its size or outline, without a club."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.fitting.games.adjusting import adjust
from clubplanner.fitting.games.changes import see_changes
from clubplanner.fitting.games.no_game import no_game_words
from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.games.sizes import published_m2_each
from clubplanner.fitting.outlines.largest import fit_largest
from clubplanner.fitting.outlines.pieces import fit_pieces
from clubplanner.fitting.setting_out.formats import match_of_age
from clubplanner.fitting.setting_out.laying import ends_of
from clubplanner.fitting.setting_out.run_off import (
    OUTDOORS_M,
    Hazard,
    HazardKind,
    clear_ground,
    edges_of,
)
from clubplanner.fitting.setting_out.set_out import list_corners, list_set_out
from clubplanner.fitting.setting_out.spare import spare_ground
from clubplanner.fitting.setting_out.ways import SessionNeed
from clubplanner.services.coach.any_ground.fit_answers import (
    GameEnd,
    LaidGame,
    LaidPiece,
    OtherNightAnswer,
    PiecesAnswer,
    PublishedGround,
    Turns,
    Wanted,
    WayAnswer,
)
from clubplanner.services.coach.any_ground.fit_inputs import (
    check_distances,
    faulty,
    ground_from_words,
    size_from_words,
)
from clubplanner.services.coach.any_ground.fit_set_out import (
    SetOutAnswer,
    Walk,
    answer_of,
    plain_anchors,
)
from clubplanner.services.rows.ground.known_sizes import published_bands, published_formats

if TYPE_CHECKING:
    from collections.abc import Iterator

    from shapely import Polygon

    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.places_in_words import Anchors
    from clubplanner.fitting.setting_out.rotation import Rotation
    from clubplanner.fitting.setting_out.ways import Game, Way

FOR_ANY = "any layout"
FOR_EDGES = "pieces along the edges"
THOROUGH = 150.0
"""Work allowed where no person waits between keystrokes: a few seconds at worst."""


def ask_pieces(
    ground: str, piece: str, *, gap: float, margin: float, walk: Walk | None = None
) -> PiecesAnswer:
    """Work out how many equal pieces fit on a ground.

    Args:
        ground: "86x52" in metres, or a polygon as well-known text.
        piece: "9x5" in metres.
        gap: Distance between any two pieces, metres.
        margin: Distance from the edge, metres.
        walk: How to number the corners for setting out; None where that is not asked.

    Raises:
        FaultyInputError: If a number or the outline cannot be used.
    """
    outline = ground_from_words(ground)
    length, width = size_from_words(piece, "piece")
    anchors = None if walk is None else plain_anchors(outline, walk.entrance)
    check_distances(gap=gap, margin=margin)
    try:
        fit = fit_pieces(outline, length, width, gap_m=gap, margin_m=margin, effort=THOROUGH)
    except ValueError as fault:
        raise faulty("", "cannot-be-used", str(fault)) from fault
    return PiecesAnswer(
        count=fit.count,
        bound=fit.bound,
        bound_for=FOR_ANY if fit.holds_turned else FOR_EDGES,
        proved=fit.is_proved,
        pieces=tuple(_laid(piece) for piece in fit.pieces),
        set_out=None if anchors is None else answer_of(list_corners(fit.pieces, anchors)),
    )


def ask_sessions(
    ground: str, wanted: Wanted, instead: str | None = None
) -> tuple[tuple[WayAnswer, ...], tuple[OtherNightAnswer, ...], str]:
    """List ways to play on a ground, best first, and how the best changes when the night does.

    Args:
        ground: As for `ask_pieces`.
        wanted: Who comes, and with what.
        instead: Another ground to compare with; None for none.

    Returns:
        The ways, none when the ground is too small for any; the changes; and why there is no way,
        with what can be done, blank where there is one.

    Raises:
        FaultyInputError: If a number or an outline cannot be used.
    """
    outline = ground_from_words(ground)
    anchors = plain_anchors(outline, wanted.entrance)
    other = None if instead is None else ground_from_words(instead)
    size = None if wanted.size is None else size_from_words(wanted.size, "size")
    if wanted.margin is not None:
        check_distances(margin=wanted.margin)
    others = [ground_from_words(words, "neighbours") for words in wanted.neighbours]
    beside = [Hazard(HazardKind.NEIGHBOUR, shape) for shape in others]
    if wanted.age is not None and not 0 <= wanted.age <= 99:
        raise faulty("age", "not-an-age", f"Give an age from 0 to 99, not {wanted.age}.")
    try:
        need = SessionNeed(
            ground=outline,
            players=wanted.players,
            goalkeepers=wanted.goalkeepers,
            age=wanted.age,
            portable_goals=wanted.goals,
            target_goals=wanted.target_goals,
            size_m=size,
            bands=published_bands(),
            match=match_of_age(wanted.own, published_formats(), wanted.age, on=wanted.on),
            hazards=(*_edges(outline, wanted), *beside),
            margin_m=_margin(wanted),
        )
        ways = list_ways(need)
        elsewhere = (
            ()
            if other is None
            else (
                (
                    f"On {instead}",
                    replace(need, ground=other, hazards=(*_edges(other, wanted), *beside)),
                ),
            )
        )
        changes = see_changes(need, elsewhere=elsewhere)
        no_game = "" if ways else no_game_words(need)
    except ValueError as fault:
        raise faulty("", "cannot-be-used", str(fault)) from fault
    return (
        tuple(_way_answer(way, need, anchors) for way in ways),
        tuple(OtherNightAnswer(change.occasion, change.lines) for change in changes),
        no_game,
    )


def ask_largest(
    ground: str, *, aspect: float | None, margin: float, walk: Walk | None = None
) -> tuple[LaidPiece | None, SetOutAnswer | None]:
    """Find the largest rectangle on a ground.

    Args:
        ground: As for `ask_pieces`.
        aspect: Length over width, either way round; None for any shape.
        margin: Distance from the edge, metres.
        walk: How to number the corners for setting out; None where that is not asked.

    Returns:
        The rectangle, None when there is no room for one; and its corners as cones, None where
        that was not asked or there is no rectangle.

    Raises:
        FaultyInputError: If a number or the outline cannot be used.
    """
    outline = ground_from_words(ground)
    anchors = None if walk is None else plain_anchors(outline, walk.entrance)
    check_distances(margin=margin)
    try:
        piece = fit_largest(outline, aspect=aspect, margin_m=margin)
    except ValueError as fault:
        raise faulty("", "cannot-be-used", str(fault)) from fault
    if piece is None:
        return None, None
    cones = None if anchors is None else answer_of(list_corners([piece], anchors))
    return _laid(piece), cones


def _laid(piece: Piece) -> LaidPiece:
    """Write a piece by the corner, extents and turn of less than a quarter."""
    angle = piece.angle_deg % 360.0
    quarters = int(angle // 90.0 + 1e-9)
    corner = piece.corners[-quarters % 4]
    is_odd = quarters % 2 == 1
    length, width = (piece.width_m, piece.length_m) if is_odd else (piece.length_m, piece.width_m)
    return LaidPiece(
        round(corner[0], 6),
        round(corner[1], 6),
        round(length, 6),
        round(width, 6),
        round(angle - 90.0 * quarters, 6),
    )


def _margin(wanted: Wanted) -> float:
    if wanted.margin is not None:
        return wanted.margin
    return OUTDOORS_M if wanted.neighbours else 0.0


def _edges(ground: Polygon, wanted: Wanted) -> tuple[Hazard, ...]:
    """Return a ground's edges as something to keep clear of, unless only neighbours are."""
    return () if wanted.margin is None and wanted.neighbours else edges_of(ground)


def _way_answer(way: Way, need: SessionNeed, anchors: Anchors) -> WayAnswer:
    pieces = [game.piece for game in way.games]
    ground = clear_ground(need.ground, need.hazards, need.margin_m)
    spare = spare_ground(ground, pieces, need.gap_m) if pieces and ground else None
    change = adjust(need, way)
    return WayAnswer(
        title=way.title,
        games=tuple(_laid_game(game) for game in way.games),
        extras=sum(game.side_a - game.side_b for game in way.games),
        extra_role=way.extra_role,
        waiting=way.waiting,
        turns=way.rotation.lines if way.rotation else (),
        rotation=_turns(way.rotation),
        m2_per_player=round(way.m2_per_outfield_player, 2),
        published_m2=tuple(_published(need, way)),
        spare=None if spare is None else _laid(spare),
        notes=way.notes,
        too_hard=change.too_hard if change else "",
        too_easy=change.too_easy if change else "",
        clear=way.clear,
        clear_metres=None if way.clear_m is None else round(way.clear_m, 3),
        set_out=answer_of(list_set_out(way, anchors)),
    )


def _turns(rotation: Rotation | None) -> Turns | None:
    if rotation is None:
        return None
    return Turns(
        rotation.sides,
        rotation.turns,
        rotation.minutes_a_turn,
        rotation.plays_minutes,
        rotation.rests_minutes,
    )


def _published(need: SessionNeed, way: Way) -> Iterator[PublishedGround]:
    for side in sorted({size for game in way.games for size in (game.side_a, game.side_b)}):
        found = published_m2_each(need, side)
        if found is not None:
            yield PublishedGround(side, round(found[0], 2), round(found[1], 2))


def _laid_game(game: Game) -> LaidGame:
    first, second = (
        GameEnd(str(end.kind), end.goalkeeper, round(x, 6), round(y, 6))
        for end, ((x, y), _) in zip(game.ends, ends_of(game.piece), strict=True)
    )
    return LaidGame(
        players=(game.side_a, game.side_b),
        goalkeepers=first.goalkeeper + second.goalkeeper,
        rectangle=_laid(game.piece),
        goals=(first, second),
    )
