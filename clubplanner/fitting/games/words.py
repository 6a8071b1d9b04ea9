"""The words of a way to play: title, roles and notes, as a coach would say them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.games.sizes import has_published_area, most_m2_each, published_m2_each
from clubplanner.fitting.setting_out.ways import EndKind, Way
from clubplanner.language import _, figure, marked, ngettext, term

if TYPE_CHECKING:
    from clubplanner.fitting.games.sizes import Choice
    from clubplanner.fitting.games.splits import Split
    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ends import EndPlan
    from clubplanner.fitting.setting_out.rotation import Rotation
    from clubplanner.fitting.setting_out.ways import Game, SessionNeed

_NUMBERS = (
    marked("none"),
    marked("one"),
    marked("two"),
    marked("three"),
    marked("four"),
    marked("five"),
    marked("six"),
    marked("seven"),
    marked("eight"),
    marked("nine"),
    marked("ten"),
)
_ENDS = {
    EndKind.FIXED_GOAL: marked("a fixed goal"),
    EndKind.PORTABLE_GOAL: marked("a portable goal"),
    EndKind.TARGET_GOAL: marked("a small target goal"),
    EndKind.END_ZONE: marked("an end zone"),
}


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
    level = [pair for pair in kinds if pair[0] == pair[1]]
    uneven = [pair for pair in kinds if pair[0] != pair[1]]
    if len(kinds) == 1:
        title = ngettext(
            "%(count)s game of %(sides)s",
            "%(count)s games of %(sides)s",
            split.games,
            count=number,
            sides=pair_in_words(*split.pairs[0]),
        )
    elif len(level) == 1 and sum(kinds[pair] for pair in uneven) == 1:
        title = _(
            "%(count)s games of %(level)s, one of them %(uneven)s",
            count=number,
            level=pair_in_words(*level[0]),
            uneven=pair_in_words(*uneven[0]),
        )
    else:
        parts = (
            _(
                "%(count)s of %(sides)s",
                count=number_word(kinds[pair]),
                sides=pair_in_words(*pair),
            )
            for pair in kinds
        )
        title = _("%(count)s games: %(kinds)s", count=number, kinds=", ".join(parts))
    if choice.is_of_age:
        title += " " + _("with as much ground for each as in a match of their age")
    elif choice.is_whole_ground:
        title += " " + _("on as much ground as there is")
    if split.waiting:
        resting = len(split.sides) - 2 * split.games
        title += ngettext(
            ", %(count)s side waits in turn",
            ", %(count)s sides wait in turn",
            resting,
            count=number_word(resting),
        )
    return title


def extra_words(split: Split) -> str | None:
    """Say what becomes of players who are over; None when all sides are equal."""
    extra = sum(size > split.side for size in split.sides)
    if not split.uneven_games and not (split.waiting and extra):
        return None
    if split.waiting and extra:
        return ngettext(
            "One extra player joins a side, or plays for whichever side has the ball; change who "
            "it is every turn.",
            "%(num)s extra players join sides, or plays for whichever side has the ball; change "
            "who it is every turn.",
            extra,
        )
    pair = next(pair for pair in split.pairs if pair[0] != pair[1])
    return _(
        "One extra player joins a side (%(pair)s), or plays for whichever side has "
        "the ball; change who it is every few minutes.",
        pair=pair_in_words(*pair),
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
        title = ngettext(
            "Shooting: one player and %(count)s goalkeeper",
            "Shooting: one player and %(count)s goalkeepers",
            need.goalkeepers,
            count=keepers,
        )
        note = _(
            "The player attacks the goal from changing distances; set an end zone if there is none."
        )
    elif need.outfield == 1:
        title = _("Work on the ball, alone")
        note = _(
            "There is nobody to play against: skills on the ball alone, or passing and 1 v 1 with "
            "the coach (common practice, no source)."
        )
    else:
        title = ngettext(
            "Work with %(count)s goalkeeper",
            "Work with %(count)s goalkeepers",
            need.goalkeepers,
            count=keepers,
        )
        note = _("There are no outfield players for a game.")
    room = _(
        "There is room for %(length_m)s × %(width_m)s m.",
        length_m=figure(piece.length_m, ".0f"),
        width_m=figure(piece.width_m, ".0f"),
    )
    return (Way((), None, 0, None, 0.0, title, (note, room)),)


def number_word(number: int) -> str:
    """Write a number up to ten as a word."""
    return term(_NUMBERS[number]) if 0 <= number < len(_NUMBERS) else str(number)


def pair_in_words(one: int, other: int) -> str:
    """Write the sides of a game: "3 v 3"."""
    return _("%(one)s v %(other)s", one=one, other=other)


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
        notes.append(_("Published practice areas give %(ranges)s.", ranges=_(" and ").join(ranges)))
    most = most_m2_each(told.need)
    if most is not None and told.need.match is not None:
        notes.append(
            _(
                "A match of their age, %(code)s of %(body)s, has %(most_m2)s m² for each player, "
                "goalkeepers counted.",
                code=told.need.match.code,
                body=told.need.match.body,
                most_m2=figure(most, ".0f"),
            )
        )
    odd = [
        game
        for game in told.games
        if not has_published_area(told.need, (game.side_a, game.side_b), game.piece.area_m2)
    ]
    if odd and told.need.bands:
        notes.append(
            _("The game's ground is outside the published practice areas for its numbers.")
            if len(told.games) == 1
            else _("The ground of a game is outside the published practice areas for its numbers.")
        )
    return notes


def _ends(game: Game) -> str:
    words = [
        term(_ENDS[end.kind]) + (" " + _("with a goalkeeper") if end.goalkeeper else "")
        for end in game.ends
    ]
    if game.ends[0] == game.ends[1]:
        return _("%(end)s at each end", end=words[0])
    return _("%(one)s at one end, %(other)s at the other", one=words[0], other=words[1])


def _goalkeeper_notes(told: Told) -> list[str]:
    notes = [
        _(
            "The fixed goal of game %(game)s stands %(off)s m off the middle of its end.",
            game=game + 1,
            off=figure(off, ".0f"),
        )
        for game, off in told.plan.off_middle
    ]
    notes += [
        _(
            "A fixed goal stands inside game %(game)s: mark it off and keep play away from it.",
            game=game + 1,
        )
        for game in told.plan.inside
    ]
    count = told.plan.without_goal
    if count:
        notes.append(
            ngettext(
                "%(count)s goalkeeper has no goal: keep an end zone, or join a side.",
                "%(count)s goalkeepers have no goal: keep an end zone, or join a side.",
                count,
                count=number_word(count).capitalize(),
            )
        )
    count = told.plan.without_end
    if count:
        notes.append(
            ngettext(
                "%(count)s goalkeeper waits: change over every few minutes, or work beside the "
                "game.",
                "%(count)s goalkeepers wait: change over every few minutes, or work beside the "
                "game.",
                count,
                count=number_word(count).capitalize(),
            )
        )
    return notes


def _metres(value: float) -> str:
    return figure(value, ".0f" if f"{value:.1f}".endswith(".0") else ".1f")
