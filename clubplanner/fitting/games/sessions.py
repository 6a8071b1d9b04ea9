"""The coach's question: these players on this ground, how can they play?

Ways are listed best first, by these rules, each deciding only where those before it are even
(common practice, no source):

1. nobody stands about: fewest players who wait;
2. games of 1 v 1 only where nothing else is even so far;
3. no sides larger than in a match of the age group: fewest games that have them;
4. equal sides before a side with a player more: fewest uneven games;
5. a published size: fewest games whose ground is smaller than the smallest published for their
   numbers, or larger than the largest;
6. a goal for every goalkeeper;
7. all games between sides of one size;
8. small sides, 3 or 4 each on average, since everybody has the ball more often; for children,
   whose own match has fewer than eleven a side, this comes before 7;
9. fewer games, which need fewer pairs of eyes; then more ground.

Ground for each player never counts goalkeepers. Sizes come from the published bands given with
the question; beyond the largest side published they are scaled so that each player keeps the same
ground, and the way says so. Nobody has more ground than in a match of the age group: larger bands
are scaled down to that. Games keep clear of what lies round the ground first (`run_off.py`), and
are laid to the line only where none fits so. On less ground for each than in any band no game is
offered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.fitting.games.singles import lay_largest
from clubplanner.fitting.games.sizes import (
    Choice,
    has_published_area,
    is_for_children,
    is_room_for,
    most_a_side,
    most_m2_each,
    sizes_for,
)
from clubplanner.fitting.games.splits import (
    LARGEST_SIDE,
    LARGEST_SINGLE_SIDE,
    SMALLEST_ROTATING_SIDE,
    Split,
    everyone_plays,
    take_turns,
)
from clubplanner.fitting.games.straightening import Standpoint, straighten
from clubplanner.fitting.games.words import Told, extra_words, note_words, title_words, without_game
from clubplanner.fitting.setting_out.ends import EndPlan, plan_ends
from clubplanner.fitting.setting_out.laying import Layouts
from clubplanner.fitting.setting_out.rotation import plan_rotation
from clubplanner.fitting.setting_out.run_off import (
    clearance_in_words,
    grounds_to_try,
    is_clear,
    measure_clearance,
)
from clubplanner.fitting.setting_out.ways import Game, SessionNeed, Way, check_need

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from shapely import Polygon

    from clubplanner.fitting.outlines.pieces import Piece

MOST_WAYS = 12
"""More choices than this help nobody (common practice, no source)."""
_SMALL_SIDE = 3.5
_SIZES_TRIED = 3


@dataclass(frozen=True, slots=True)
class _Option:
    """A split on the ground, before it is put in words."""

    split: Split
    pieces: tuple[Piece, ...]
    plan: EndPlan
    choice: Choice
    rank: tuple[float, ...]


def list_ways(need: SessionNeed, *, most: int = MOST_WAYS) -> tuple[Way, ...]:
    """List ways to play a session, best first.

    Args:
        need: Ground, players, goals, and sizes to choose from.
        most: How many are wanted, 1 to `MOST_WAYS`; fewer are found faster, and are the first of
            all.

    Returns:
        At most so many; empty when the ground is too small for any of them. Where all are wanted,
        one game for everyone on as much ground as there is, is among them if there is room.

    Raises:
        ValueError: If a number of the question cannot be used.
    """
    check_need(need)
    first: tuple[Way, ...] = ()
    for ground in grounds_to_try(need):
        ways = tuple(_with_clearance(way, need) for way in _ways_on(ground, need, most))
        if ways and is_clear(ways[0].clear_m, need.margin_m):
            return ways
        first = first or ways
    return first


def _ways_on(ground: Polygon, asked: SessionNeed, most: int) -> tuple[Way, ...]:
    """List the ways on one ground, whatever lies round it."""
    if ground.is_empty:
        return ()
    need, standpoint = straighten(replace(asked, ground=ground))
    layouts = Layouts.of(need)
    if need.outfield < 2:
        return without_game(need, lay_largest(layouts, 1))
    ranked = sorted(_options(layouts, most), key=lambda option: option.rank)
    kept = ranked[:most]
    whole = [option for option in ranked if option.choice.is_whole_ground]
    if whole and most == MOST_WAYS and not any(option.choice.is_whole_ground for option in kept):
        kept[-1] = whole[0]
    return tuple(_way_from_option(option, need, standpoint) for option in kept)


def _with_clearance(way: Way, need: SessionNeed) -> Way:
    """Measure and say how much clear ground the games of a way have."""
    found = measure_clearance([game.piece for game in way.games], need)
    if found is None:
        return way
    words = clearance_in_words(found, need.margin_m)
    return replace(way, clear=words, clear_m=found.metres)


def _options(layouts: Layouts, most: int) -> list[_Option]:
    """Lay the splits that may be among the best, those that look best on paper first.

    The first rules are settled by a split alone, before anything is laid: once enough options are
    better by them, no further split can be among the best.
    """
    found: list[_Option] = []
    for least, splits in sorted(_by_paper(layouts.need), key=lambda item: item[0]):
        ahead = sum(option.rank[: len(least)] < least for option in found)
        is_single = splits[0].waiting == 0 and splits[0].games == 1
        if ahead < most or (is_single and most == MOST_WAYS):
            found += _lay_first(layouts, splits)
    return found


def _by_paper(need: SessionNeed) -> Iterator[tuple[tuple[float, ...], list[Split]]]:
    """List splits with the start of their rank, at best; of several the first that fits counts.

    Yields:
        One split in which nobody waits; or for one size of side all numbers of games at once, the
        most games first.
    """
    outfield = need.outfield
    for split in everyone_plays(outfield):
        yield _paper_rank(need, split), [split]
    for side in range(SMALLEST_ROTATING_SIDE, LARGEST_SIDE + 1):
        numbers = range(min(outfield // (2 * side), 6), 0, -1)
        offers = (take_turns(outfield, side, games) for games in numbers)
        splits = [offer for offer in offers if offer is not None]
        if splits:
            yield min(_paper_rank(need, split) for split in splits), splits


def _paper_rank(need: SessionNeed, split: Split) -> tuple[float, ...]:
    most = most_a_side(need) or LARGEST_SINGLE_SIDE
    too_large = sum(larger > most for larger, _ in split.pairs)
    return split.waiting, split.side == 1, too_large, split.uneven_games


def _lay_first(layouts: Layouts, splits: Sequence[Split]) -> Iterator[_Option]:
    """Lay the first of some splits that fits; a game for everyone on all the ground as well."""
    found = next(filter(None, (_best_size(layouts, split) for split in splits)), None)
    if found is not None:
        yield found
    split, need = splits[0], layouts.need
    if split.waiting or split.games > 1 or need.size_m is not None:
        return
    piece = lay_largest(layouts, need.outfield)
    if piece is None or (found is not None and piece.area_m2 <= _ground_m2(found.pieces)):
        return
    size = (piece.length_m, piece.width_m)
    if not is_room_for(need, split.side, size):
        return
    most_m2 = need.outfield * (most_m2_each(need) or math.inf)
    choice = Choice(size, "", is_whole_ground=True, is_of_age=piece.area_m2 >= 0.99 * most_m2)
    yield _option(layouts, split, (piece,), choice)


def _best_size(layouts: Layouts, split: Split) -> _Option | None:
    """Choose the largest size that fits and gives every goalkeeper a goal, else the largest."""
    best: _Option | None = None
    tried = 0
    for choice in sizes_for(layouts.need, split.side):
        if not is_room_for(layouts.need, split.side, choice.size_m):
            continue
        pieces = layouts.lay(choice.size_m, split.games)
        if pieces is None:
            continue
        option = _option(layouts, split, pieces, choice)
        if best is None or option.plan.shortfall < best.plan.shortfall:
            best = option
        tried += 1
        if not layouts.fixed or best.plan.shortfall == (0, 0) or tried == _SIZES_TRIED:
            break
    return best


def _option(layouts: Layouts, split: Split, pieces: tuple[Piece, ...], choice: Choice) -> _Option:
    need = layouts.need
    plan = plan_ends(pieces, layouts.fixed, need)
    odd_sizes = sum(
        not has_published_area(need, pair, piece.area_m2)
        for pair, piece in zip(split.pairs, pieces, strict=True)
    )
    waiting, *paper = _paper_rank(need, split)
    playing = [size for pair in split.pairs for size in pair]
    shape = (split.is_mixed, abs(sum(playing) / len(playing) - _SMALL_SIDE))
    rank = (
        waiting + plan.without_end,
        *paper,
        odd_sizes,
        plan.without_goal,
        *(reversed(shape) if is_for_children(need) else shape),
        split.games,
        -_ground_m2(pieces),
    )
    return _Option(split, pieces, plan, choice, rank)


def _way_from_option(option: _Option, need: SessionNeed, standpoint: Standpoint) -> Way:
    split, plan = option.split, option.plan
    games = tuple(
        Game(standpoint.on_ground(piece), *pair, ends)
        for piece, pair, ends in zip(option.pieces, split.pairs, plan.ends, strict=True)
    )
    playing = sum(game.side_a + game.side_b for game in games)
    rotation = None
    if split.waiting:
        rotation = plan_rotation(len(split.sides), split.games, need.turn_minutes)
    each = _ground_m2(option.pieces) / playing
    told = Told(need, split, plan, option.choice, games, each, rotation)
    return Way(
        games=games,
        extra_role=extra_words(split),
        waiting=split.waiting + plan.without_end,
        rotation=rotation,
        m2_per_outfield_player=each,
        title=title_words(split, option.choice),
        notes=note_words(told),
    )


def _ground_m2(pieces: Sequence[Piece]) -> float:
    return math.fsum(piece.area_m2 for piece in pieces)
