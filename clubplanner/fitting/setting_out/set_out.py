"""What to carry out and where to put it: cones and goals in the order one walks, bibs.

Each cone is told by itself, from lines and marks that can be found on the ground
(`places_in_words`), so that a mistake at one does not move the next. The numbers are those of the
drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.orientation.measures import USUAL_PACE_M
from clubplanner.fitting.outlines.pieces import check_lengths
from clubplanner.fitting.setting_out.cones import (
    USUAL_ZONE_M,
    ConeSpot,
    SpotKind,
    mark_in_words,
    spots_of_games,
    spots_of_pieces,
)
from clubplanner.fitting.setting_out.pacing import Distance, measure
from clubplanner.fitting.setting_out.walking import order_walk
from clubplanner.fitting.setting_out.ways import EndKind
from clubplanner.language import _, ngettext, sentence

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ground_lines import GroundLine, Spot
    from clubplanner.fitting.setting_out.places_in_words import Anchors
    from clubplanner.fitting.setting_out.ways import Game, Way

MOST_CONES = 40
"""More cones than this nobody lays out by a list (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Cone:
    """Where a cone or a carried goal goes.

    Attributes:
        number: In the order of walking, from 1.
        kind: What is put there.
        x_m: Along the pitch.
        y_m: Across the pitch.
        marks: What it marks: "corner of game 1".
        words: What it marks and where it goes, one sentence.
        legs: The distances by which it is told, each from where to where, metres.
    """

    number: int
    kind: SpotKind
    x_m: float
    y_m: float
    marks: str
    words: str
    legs: tuple[tuple[Spot, Spot], ...] = ()


@dataclass(frozen=True, slots=True)
class SetOut:
    """The list for one way to play.

    Attributes:
        sizes: Length and width of each game.
        first: What to know and find before the first cone: sizes, where the numbers begin, the
            lines of the own part. Whole sentences.
        cones: Every cone and carried goal in the order of walking; none where they are too many.
        bibs: For each colour, numbered from 1, how many bibs; goalkeepers wear their own.
        goals: Goals to bring on.
        target_goals: Small target goals to bring on.
        kit: What to bring. Whole sentences.
    """

    sizes: tuple[tuple[Distance, Distance], ...]
    first: tuple[str, ...]
    cones: tuple[Cone, ...]
    bibs: tuple[int, ...] = ()
    goals: int = 0
    target_goals: int = 0
    kit: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """Everything in the order of doing it; cones with their numbers."""
        cones = (f"{cone.number}. {cone.words}" for cone in self.cones)
        return (*self.first, *cones, *self.kit)


NOTHING = SetOut((), (), ())


def list_set_out(
    way: Way, anchors: Anchors, *, pace_m: float = USUAL_PACE_M, zone_m: float = USUAL_ZONE_M
) -> SetOut:
    """List what to set out for a way to play.

    Args:
        way: Its games.
        anchors: What can be found on the ground.
        pace_m: Length of the coach's pace.
        zone_m: Depth of an end zone.

    Returns:
        The list; without cones when the way has no game.

    Raises:
        ValueError: If a length cannot be used.
    """
    check_lengths(zone_m=zone_m)
    if not way.games:
        return NOTHING
    pieces = [game.piece for game in way.games]
    spots = spots_of_games(way.games, zone_m)
    first, cones = _walked(pieces, spots, anchors, pace_m)
    bibs = _bibs(way.games)
    kinds = [end.kind for game in way.games for end in game.ends]
    goals, targets = kinds.count(EndKind.PORTABLE_GOAL), kinds.count(EndKind.TARGET_GOAL)
    kit = tuple(_kit(way.games, bibs, goals, targets))
    return SetOut(_sizes(pieces, pace_m), first, cones, bibs, goals, targets, kit)


def list_corners(
    pieces: Sequence[Piece], anchors: Anchors, *, pace_m: float = USUAL_PACE_M
) -> SetOut:
    """List the corners of rectangles to set out.

    Args:
        pieces: Practice areas, or the ground of one game.
        anchors: What can be found on the ground.
        pace_m: Length of the coach's pace.

    Returns:
        The list; without cones where there are more than `MOST_CONES`.
    """
    spots = spots_of_pieces(pieces)
    if not spots or len(spots) > MOST_CONES:
        return NOTHING
    first, cones = _walked(pieces, spots, anchors, pace_m, are_games=False)
    return SetOut(_sizes(pieces, pace_m), first, cones)


def _walked(
    pieces: Sequence[Piece],
    spots: Sequence[ConeSpot],
    anchors: Anchors,
    pace_m: float,
    *,
    are_games: bool = True,
) -> tuple[tuple[str, ...], tuple[Cone, ...]]:
    """Number spots in the order of walking; before them stands what to know first."""
    start, name = anchors.start
    walk = [spots[n] for n in order_walk(start, [one.spot for one in spots])]
    placed = [anchors.place(one.spot, pace_m) for one in walk]
    are_several = are_games and len(pieces) > 1
    cones = []
    for number, (one, where) in enumerate(zip(walk, placed, strict=True), start=1):
        marks = mark_in_words(one.marks, are_several=are_several)
        words = _("%(marks)s: %(place)s.", marks=sentence(marks), place=where.words)
        cones.append(Cone(number, one.kind, *one.spot, marks, words, where.legs))
    used = dict.fromkeys(line for where in placed for line in where.lines)
    first = (
        *_sizes_in_words(_sizes(pieces, pace_m)),
        *_own_lines(used, anchors, pace_m),
        _begin(name),
    )
    return first, tuple(cones)


def _begin(name: str) -> str:
    if not name:
        return _("The numbers follow your walk from the way in.")
    return _("The numbers follow your walk from the %(mark)s.", mark=name)


def _own_lines(used: Iterable[GroundLine], anchors: Anchors, pace_m: float) -> Iterator[str]:
    """Tell where the part's own lines are, of those that are paced from."""
    for line in used:
        words = anchors.tell_line(line, pace_m)
        if words:
            yield words


def _sizes(pieces: Sequence[Piece], pace_m: float) -> tuple[tuple[Distance, Distance], ...]:
    return tuple(
        (measure(piece.length_m, pace_m), measure(piece.width_m, pace_m)) for piece in pieces
    )


def _sizes_in_words(sizes: Sequence[tuple[Distance, Distance]]) -> Iterator[str]:
    """Say how large each is; equal ones once."""
    if len(set(sizes)) == 1:
        length, width = (one.words for one in sizes[0])
        yield (
            _("%(length)s long, %(width)s wide.", length=length, width=width)
            if len(sizes) == 1
            else _("Each is %(length)s long and %(width)s wide.", length=length, width=width)
        )
        return
    for number, (length_m, width_m) in enumerate(sizes, start=1):
        yield _(
            "Game %(count)s is %(length)s long and %(width)s wide.",
            count=number,
            length=length_m.words,
            width=width_m.words,
        )


def _bibs(games: Sequence[Game]) -> tuple[int, ...]:
    """Count bibs by colour: two colours serve all games, each side one."""
    return sum(game.side_a for game in games), sum(game.side_b for game in games)


def _kit(
    games: Sequence[Game], bibs: tuple[int, ...], goals: int, target_goals: int
) -> Iterator[str]:
    first, second = bibs
    by_game = "; ".join(
        _(
            "game %(count)s: %(side_a)s and %(side_b)s",
            count=number,
            side_a=game.side_a,
            side_b=game.side_b,
        )
        for number, game in enumerate(games, start=1)
    )
    yield _(
        "Bibs: %(first)s of one colour and %(second)s of another (%(by_game)s).",
        first=first,
        second=second,
        by_game=by_game,
    )
    keepers = sum(end.goalkeeper for game in games for end in game.ends)
    if keepers:
        yield ngettext(
            "%(num)s goalkeeper wears a further colour.",
            "%(num)s goalkeepers wear a further colour.",
            keepers,
        )
    if goals:
        yield ngettext(
            "Bring %(num)s portable goal, enough people to carry each, and anchors; anchor every "
            "goal before anyone plays.",
            "Bring %(num)s portable goals, enough people to carry each, and anchors; anchor every "
            "goal before anyone plays.",
            goals,
        )
    if target_goals:
        yield ngettext(
            "Bring a small target goal to the middle of its end; peg or weight them as their maker "
            "says.",
            "Bring %(num)s small target goals, each to the middle of its end; peg or weight them "
            "as their maker says.",
            target_goals,
        )
