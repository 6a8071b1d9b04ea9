"""The words of a way to play: title, roles and notes, as a coach would say them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.sizes import has_published_area, published_m2_each
from clubplanner.fitting.ways import EndKind, Way

if TYPE_CHECKING:
    from clubplanner.fitting.ends import EndPlan
    from clubplanner.fitting.pieces import Piece
    from clubplanner.fitting.rotation import Rotation
    from clubplanner.fitting.sizes import Choice
    from clubplanner.fitting.splits import Split
    from clubplanner.fitting.ways import Game, SessionNeed

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True)
class Told:
    """What the notes of one way are about."""

    need: SessionNeed
    split: Split
    plan: EndPlan
    choice: Choice
    games: tuple[Game, ...]
    each_m2: float
    rotation: Rotation | None


def title_words(split: Split, choice: Choice) -> str:
    """Name a way in a few words: "Two games of 3 v 3, one of them 4 v 3"."""
    kinds = Counter(split.pairs)
    number = number_word(split.games).capitalize()
    noun = "game" if split.games == 1 else "games"
    level = [pair for pair in kinds if pair[0] == pair[1]]
    uneven = [pair for pair in kinds if pair[0] != pair[1]]
    if len(kinds) == 1:
        title = f"{number} {noun} of {_pair(split.pairs[0])}"
    elif len(level) == 1 and sum(kinds[pair] for pair in uneven) == 1:
        title = f"{number} {noun} of {_pair(level[0])}, one of them {_pair(uneven[0])}"
    else:
        parts = (f"{number_word(kinds[pair])} of {_pair(pair)}" for pair in kinds)
        title = f"{number} {noun}: {', '.join(parts)}"
    if choice.is_whole_ground:
        title += " on as much ground as there is"
    if split.waiting:
        resting = len(split.sides) - 2 * split.games
        noun = "side waits" if resting == 1 else "sides wait"
        title += f", {number_word(resting)} {noun} in turn"
    return title


def extra_words(split: Split) -> str | None:
    """Say what becomes of players who are over; None when all sides are equal."""
    extra = sum(size > split.side for size in split.sides)
    if not split.uneven_games and not (split.waiting and extra):
        return None
    if split.waiting and extra:
        who = "One extra player joins a side" if extra == 1 else f"{extra} extra players join sides"
        return f"{who}, or plays for whichever side has the ball; change who it is every turn."
    pair = next(pair for pair in split.pairs if pair[0] != pair[1])
    return (
        f"One extra player joins a side ({_pair(pair)}), or plays for whichever side has the "
        "ball; change who it is every few minutes."
    )


def note_words(told: Told) -> tuple[str, ...]:
    """Say what a coach needs to know, in whole sentences."""
    return (
        _size_note(told),
        *_ground_notes(told),
        *(f"Game {n}: {_ends(game)}." for n, game in enumerate(told.games, start=1)),
        *_goalkeeper_notes(told),
        *((told.rotation.summary, *told.rotation.lines) if told.rotation else ()),
    )


def without_game(need: SessionNeed, piece: Piece | None) -> tuple[Way, ...]:
    """Say what fewer than two outfield players can do."""
    if piece is None:
        return ()
    keepers = number_word(need.goalkeepers)
    if need.outfield == 1 and need.goalkeepers:
        noun = "goalkeeper" if need.goalkeepers == 1 else "goalkeepers"
        title = f"Shooting: one player and {keepers} {noun}"
        note = (
            "The player attacks the goal from changing distances; set an end zone if there is none."
        )
    elif need.outfield == 1:
        title, note = "Work on the ball, alone", "There is nobody to play against."
    else:
        noun = "goalkeeper" if need.goalkeepers == 1 else "goalkeepers"
        title, note = f"Work with {keepers} {noun}", "There are no outfield players for a game."
    room = f"There is room for {piece.length_m:.0f} × {piece.width_m:.0f} m."
    return (Way((), None, 0, None, 0.0, title, (note, room)),)


def number_word(number: int) -> str:
    """Write a number up to ten as a word."""
    return _NUMBERS[number] if 0 <= number < len(_NUMBERS) else str(number)


def _pair(pair: tuple[int, int]) -> str:
    return f"{pair[0]} v {pair[1]}"


def _size_note(told: Told) -> str:
    length, width = told.choice.size_m
    source = f" ({told.choice.source})" if told.choice.source else ""
    size = f"{_metres(length)} × {_metres(width)} m{source}"
    if len(told.games) == 1:
        return f"The game has {size}."
    return f"Each game has {size}, {_metres(told.need.gap_m)} m apart."


def _ground_notes(told: Told) -> list[str]:
    notes = [f"{told.each_m2:.0f} m² for each outfield player; goalkeepers are not counted."]
    ranges = [
        f"{least:.0f} to {most:.0f} m² each for {side} v {side}"
        for side in sorted({size for game in told.games for size in (game.side_a, game.side_b)})
        for least, most in filter(None, [published_m2_each(told.need, side)])
    ]
    if ranges:
        notes.append(f"Published practice areas give {' and '.join(ranges)}.")
    odd = [
        game
        for game in told.games
        if not has_published_area(told.need, (game.side_a, game.side_b), game.piece.area_m2)
    ]
    if odd and told.need.bands:
        which = "The game's ground" if len(told.games) == 1 else "The ground of a game"
        notes.append(f"{which} is outside the published practice areas for its numbers.")
    return notes


def _ends(game: Game) -> str:
    words = [
        f"{'an' if end.kind == EndKind.END_ZONE else 'a'} {end.kind}"
        + (" with a goalkeeper" if end.goalkeeper else "")
        for end in game.ends
    ]
    if game.ends[0] == game.ends[1]:
        return f"{words[0]} at each end"
    return f"{words[0]} at one end, {words[1]} at the other"


def _goalkeeper_notes(told: Told) -> list[str]:
    notes = [
        f"The fixed goal of game {game + 1} stands {off:.0f} m off the middle of its end."
        for game, off in told.plan.off_middle
    ]
    notes += [
        f"A fixed goal stands inside game {game + 1}: mark it off and keep play away from it."
        for game in told.plan.inside
    ]
    count = told.plan.without_goal
    if count:
        who = (
            "One goalkeeper has"
            if count == 1
            else f"{number_word(count).capitalize()} goalkeepers have"
        )
        notes.append(f"{who} no goal: keep an end zone, or join a side.")
    count = told.plan.without_end
    if count:
        noun = "goalkeeper waits" if count == 1 else "goalkeepers wait"
        notes.append(
            f"{number_word(count).capitalize()} {noun}: change over every few minutes, or work "
            "beside the game."
        )
    return notes


def _metres(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
