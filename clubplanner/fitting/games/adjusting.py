"""When a game is too hard or too easy: one line each, from the numbers of the way that is on.

Space is changed first, by the next published size that the ground holds; then numbers: players of
both sides who play with whoever has the ball make it easier to keep (an overload), a defender more
makes it harder. That more space and an overload ease play is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.fitting.games.sizes import is_room_for, sizes_for, tightest_band
from clubplanner.fitting.games.words import pair_in_words
from clubplanner.fitting.outlines.known import fit_pieces_again
from clubplanner.fitting.setting_out.run_off import grounds_to_try
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.fitting.setting_out.ways import Game, SessionNeed, Way

_OTHER_SIZE = 1.1
"""Sizes nearer than this, by their ground, are the same to anybody who plays on them."""
_FEWEST_TO_MOVE = 3
"""With fewer a side, one who changes over leaves nobody to pass to."""
_LESS = 0.8
"""Where nothing smaller is published, sides are cut to this part (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Adjustment:
    """What one coach can do.

    Attributes:
        too_hard: One line for when sides lose the ball at once.
        too_easy: One line for when nobody is tested.
    """

    too_hard: str
    too_easy: str


def adjust(need: SessionNeed, way: Way) -> Adjustment | None:
    """Say what to change when a way is too hard or too easy.

    Args:
        need: The question it answers.
        way: One of its ways.

    Returns:
        A line for each; None for work without a game.
    """
    if not way.games:
        return None
    larger = next(_other_sizes(need, way, is_larger=True), None)
    smaller = next(_other_sizes(need, way, is_larger=False), None)
    return Adjustment(_easier(way, larger), _harder(way, smaller or _cut(need, way)))


def _easier(way: Way, size: tuple[float, float] | None) -> str:
    overload = _overload(way.games[0])
    if size is None:
        return _(
            "Too hard? Larger games do not suit this ground or age: let sides keep the ball more "
            "easily, %(overload)s.",
            overload=overload,
        )
    return _(
        "Too hard? More space, %(length)s × %(width)s m for each game (%(each)s m² each); or an "
        "overload, %(overload)s.",
        length=figure(size[0], "g"),
        width=figure(size[1], "g"),
        each=figure(_each(way, size), ".0f"),
        overload=overload,
    )


def _harder(way: Way, size: tuple[float, float] | None) -> str:
    underload = _underload(way.games[0])
    if size is None:
        return _("Too easy? %(change)s.", change=underload[:1].upper() + underload[1:])
    return _(
        "Too easy? Less space, %(length)s × %(width)s m for each game (%(each)s m² each); or "
        "%(change)s.",
        length=figure(size[0], "g"),
        width=figure(size[1], "g"),
        each=figure(_each(way, size), ".0f"),
        change=underload,
    )


def _overload(game: Game) -> str:
    """Say who plays for whichever side has the ball, so that it is one or two more."""
    if game.side_a != game.side_b:
        return _(
            "%(sides)s and one who plays for whichever side has the ball",
            sides=pair_in_words(game.side_b, game.side_b),
        )
    if game.side_a == 1:
        return _("the coach plays for whoever has the ball")
    fewer = game.side_a - 1
    return _(
        "%(sides)s and two who play for whichever side has the ball",
        sides=pair_in_words(fewer, fewer),
    )


def _underload(game: Game) -> str:
    """Say who is outnumbered, so that it is harder to keep the ball: nobody is taken out."""
    if game.side_a != game.side_b:
        return _(
            "let the larger side defend, %(sides)s", sides=pair_in_words(game.side_b, game.side_a)
        )
    if game.side_a < _FEWEST_TO_MOVE:
        return _("allow two touches each")
    return _(
        "defend with one more, %(sides)s", sides=pair_in_words(game.side_a - 1, game.side_a + 1)
    )


def _other_sizes(need: SessionNeed, way: Way, *, is_larger: bool) -> Iterator[tuple[float, float]]:
    """Yield published sizes next to that of a way, the nearest first, that the ground holds."""
    game = way.games[0]
    now = game.piece.area_m2
    sizes = sorted(
        (choice.size_m for choice in sizes_for(replace(need, size_m=None), game.side_b)),
        key=lambda size: size[0] * size[1],
        reverse=not is_larger,
    )
    for size in sizes:
        ratio = size[0] * size[1] / now
        is_next = ratio >= _OTHER_SIZE if is_larger else ratio <= 1 / _OTHER_SIZE
        holds = _is_room(need, size, len(way.games)) if is_larger else _is_game(need, way, size)
        if is_next and holds:
            yield size


def _cut(need: SessionNeed, way: Way) -> tuple[float, float] | None:
    """Return the size of a way's games with shorter sides; None where that is no game any more."""
    game = way.games[0]
    size = round(game.piece.length_m * _LESS, 1), round(game.piece.width_m * _LESS, 1)
    return size if _is_game(need, way, size) else None


def _is_game(need: SessionNeed, way: Way, size: tuple[float, float]) -> bool:
    """Tell whether a size leaves everybody as much ground as the smallest published gives."""
    tightest = tightest_band(need)
    least_m2 = tightest[0] if tightest else 0.0
    return is_room_for(need, way.games[0].side_b, size) and _each(way, size) >= least_m2 - 0.5


def _is_room(need: SessionNeed, size: tuple[float, float], count: int) -> bool:
    """Tell whether a ground holds so many games of a size with the run-off that is asked for."""
    ground = next(grounds_to_try(need))
    return fit_pieces_again(ground, *size, gap_m=need.gap_m, enough=count).count >= count


def _each(way: Way, size: tuple[float, float]) -> float:
    return size[0] * size[1] / (way.games[0].side_a + way.games[0].side_b)
