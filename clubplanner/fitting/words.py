"""The words of a way to play: title, roles and notes, as a coach would say them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.sizes import has_published_area, published_m2_each
from clubplanner.fitting.ways import EndKind, Way
from clubplanner.language import _, figure

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
        title = _(
            "%(count)s %(noun)s of %(pairs)s", count=number, noun=noun, pairs=_pair(split.pairs[0])
        )
    elif len(level) == 1 and sum(kinds[pair] for pair in uneven) == 1:
        title = _(
            "%(count)s %(noun)s of %(level)s, one of them %(uneven)s",
            count=number,
            noun=noun,
            level=_pair(level[0]),
            uneven=_pair(uneven[0]),
        )
    else:
        parts = (
            _("%(kinds)s of %(pair)s", kinds=number_word(kinds[pair]), pair=_pair(pair))
            for pair in kinds
        )
        title = f"{number} {noun}: {', '.join(parts)}"
    if choice.is_whole_ground:
        title += " " + _("on as much ground as there is")
    if split.waiting:
        resting = len(split.sides) - 2 * split.games
        noun = _("side waits") if resting == 1 else _("sides wait")
        title += _(", %(resting)s %(noun)s in turn", resting=number_word(resting), noun=noun)
    return title


def extra_words(split: Split) -> str | None:
    """Say what becomes of players who are over; None when all sides are equal."""
    extra = sum(size > split.side for size in split.sides)
    if not split.uneven_games and not (split.waiting and extra):
        return None
    if split.waiting and extra:
        who = (
            _("One extra player joins a side")
            if extra == 1
            else _("%(extra)s extra players join sides", extra=extra)
        )
        return _(
            "%(who)s, or plays for whichever side has the ball; change who it is every turn.",
            who=who,
        )
    pair = next(pair for pair in split.pairs if pair[0] != pair[1])
    return _(
        "One extra player joins a side (%(pair)s), or plays for whichever side has "
        "the ball; change who it is every few minutes.",
        pair=_pair(pair),
    )


def note_words(told: Told) -> tuple[str, ...]:
    """Say what a coach needs to know, in whole sentences."""
    return (
        _size_note(told),
        *_ground_notes(told),
        *(
            _("Game %(n)s: %(game)s.", n=n, game=_ends(game))
            for n, game in enumerate(told.games, start=1)
        ),
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
        title = _("Shooting: one player and %(keepers)s %(noun)s", keepers=keepers, noun=noun)
        note = _(
            "The player attacks the goal from changing distances; set an end zone if there is none."
        )
    elif need.outfield == 1:
        title, note = _("Work on the ball, alone"), _("There is nobody to play against.")
    else:
        noun = "goalkeeper" if need.goalkeepers == 1 else "goalkeepers"
        title, note = (
            _("Work with %(keepers)s %(noun)s", keepers=keepers, noun=noun),
            _("There are no outfield players for a game."),
        )
    room = _(
        "There is room for %(length_m)s × %(width_m)s m.",
        length_m=figure(piece.length_m, ".0f"),
        width_m=figure(piece.width_m, ".0f"),
    )
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
        return _("The game has %(size)s.", size=size)
    return _(
        "Each game has %(size)s, %(gap_m)s m apart.", size=size, gap_m=_metres(told.need.gap_m)
    )


def _ground_notes(told: Told) -> list[str]:
    notes = [
        _(
            "%(each_m2)s m² for each outfield player; goalkeepers are not counted.",
            each_m2=figure(told.each_m2, ".0f"),
        )
    ]
    ranges = [
        _(
            "%(least)s to %(most)s m² each for %(side)s v %(side)s",
            least=figure(least, ".0f"),
            most=figure(most, ".0f"),
            side=side,
        )
        for side in sorted({size for game in told.games for size in (game.side_a, game.side_b)})
        for least, most in filter(None, [published_m2_each(told.need, side)])
    ]
    if ranges:
        notes.append(_("Published practice areas give %(ranges)s.", ranges=" and ".join(ranges)))
    odd = [
        game
        for game in told.games
        if not has_published_area(told.need, (game.side_a, game.side_b), game.piece.area_m2)
    ]
    if odd and told.need.bands:
        which = _("The game's ground") if len(told.games) == 1 else _("The ground of a game")
        notes.append(
            _("%(which)s is outside the published practice areas for its numbers.", which=which)
        )
    return notes


def _ends(game: Game) -> str:
    words = [
        f"{_('an') if end.kind == EndKind.END_ZONE else 'a'} {end.kind}"
        + ((" " + _("with a goalkeeper")) if end.goalkeeper else "")
        for end in game.ends
    ]
    if game.ends[0] == game.ends[1]:
        return _("%(words)s at each end", words=words[0])
    return _("%(words)s at one end, %(words_2)s at the other", words=words[0], words_2=words[1])


def _goalkeeper_notes(told: Told) -> list[str]:
    notes = [
        _(
            "The fixed goal of game %(part)s stands %(off)s m off the middle of its end.",
            part=game + 1,
            off=figure(off, ".0f"),
        )
        for game, off in told.plan.off_middle
    ]
    notes += [
        _(
            "A fixed goal stands inside game %(part)s: mark it off and keep play away from it.",
            part=game + 1,
        )
        for game in told.plan.inside
    ]
    count = told.plan.without_goal
    if count:
        who = (
            _("One goalkeeper has")
            if count == 1
            else _("%(count)s goalkeepers have", count=number_word(count).capitalize())
        )
        notes.append(_("%(who)s no goal: keep an end zone, or join a side.", who=who))
    count = told.plan.without_end
    if count:
        noun = _("goalkeeper waits") if count == 1 else _("goalkeepers wait")
        notes.append(
            _(
                "%(count)s %(noun)s: change over every few minutes, or work beside the game.",
                count=number_word(count).capitalize(),
                noun=noun,
            )
        )
    return notes


def _metres(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
