"""What changes when the night does: a player more or fewer, a goalkeeper, less ground."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.games.words import number_word
from clubplanner.fitting.setting_out.ways import MOST_PLAYERS
from clubplanner.language import _, figure, in_running_text, ngettext

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.fitting.setting_out.ways import SessionNeed, Way

_SAME_M = 0.05
"""Sizes nearer than this are the same."""


@dataclass(frozen=True, slots=True)
class Change:
    """One other night beside the one that was planned.

    Attributes:
        occasion: What is different: "One player fewer".
        best: The best way then; None when nothing fits.
        lines: What changes, in whole sentences; one that says so when nothing does.
    """

    occasion: str
    best: Way | None
    lines: tuple[str, ...]


def see_changes(
    need: SessionNeed, *, elsewhere: Sequence[tuple[str, SessionNeed]] = ()
) -> tuple[Change, ...]:
    """Show what other nights would change.

    Args:
        need: The night that was planned.
        elsewhere: Nights on other ground, each with the words that say so, such as a third for a
            half or a hall for a pitch.

    Returns:
        One player fewer, one more, one more of them in goal, as far as each can be, and the other
        grounds.

    Raises:
        ValueError: If a number of the question cannot be used.
    """
    before = _best(need)
    return tuple(
        Change(occasion, best := _best(other), tuple(_lines(before, best)))
        for occasion, other in (*_other_nights(need), *elsewhere)
    )


def compare_nights(before: SessionNeed, after: SessionNeed) -> tuple[str, ...]:
    """Say in whole sentences what changes from one night to another."""
    return tuple(_lines(_best(before), _best(after)))


def _other_nights(need: SessionNeed) -> Iterator[tuple[str, SessionNeed]]:
    if need.players > max(1, need.goalkeepers):
        yield _("One player fewer"), replace(need, players=need.players - 1)
    if need.players < MOST_PLAYERS:
        yield _("One player more"), replace(need, players=need.players + 1)
    if need.goalkeepers < need.players:
        keepers = number_word(need.goalkeepers + 1).capitalize()
        yield (
            ngettext(
                "%(count)s goalkeeper among them",
                "%(count)s goalkeepers among them",
                need.goalkeepers + 1,
                count=keepers,
            ),
            replace(need, goalkeepers=need.goalkeepers + 1),
        )


def _best(need: SessionNeed) -> Way | None:
    return next(iter(list_ways(need, most=1)), None)


def _lines(before: Way | None, after: Way | None) -> Iterator[str]:
    if after is None:
        yield _("No game fits any more.") if before else _("No game fits, as before.")
        return
    if before is None:
        yield _("Now there is room: %(title)s.", title=after.title)
        return
    found = [*_game_lines(before, after), *_player_lines(before, after)]
    nothing = (
        _("Nothing changes but who is on which side.") if after.games else _("Nothing changes.")
    )
    yield from found or [nothing]


def _game_lines(before: Way, after: Way) -> Iterator[str]:
    if before.title != after.title:
        yield _(
            "%(title)s, instead of %(before)s.",
            title=after.title,
            before=in_running_text(before.title),
        )
    if not (before.games and after.games):
        return
    sizes = [_size(way) for way in (before, after)]
    far = any(abs(a - b) > _SAME_M for a, b in zip(*sizes, strict=True))
    if far:
        yield (
            _(
                "Each game has %(length)s × %(width)s m, not %(was_length)s × %(was_width)s m; "
                "move the cones.",
                length=figure(sizes[1][0], ".1f"),
                width=figure(sizes[1][1], ".1f"),
                was_length=figure(sizes[0][0], ".1f"),
                was_width=figure(sizes[0][1], ".1f"),
            )
        )
    elif [game.piece for game in before.games] != [game.piece for game in after.games]:
        yield _("The games keep their size and lie elsewhere; move the cones.")
    if _ends(before) != _ends(after):
        yield _("Goals, end zones or goalkeepers change; see the list for each game.")


def _player_lines(before: Way, after: Way) -> Iterator[str]:
    if before.waiting != after.waiting:
        was = number_word(before.waiting)
        yield ngettext(
            "%(count)s waits at a time, not %(was)s.",
            "%(count)s wait at a time, not %(was)s.",
            after.waiting,
            count=number_word(after.waiting).capitalize(),
            was=was,
        )
    if after.extra_role and after.extra_role != before.extra_role:
        yield after.extra_role
    elif before.extra_role and not after.extra_role:
        yield _("Nobody is extra any more.")
    if not (before.games and after.games):
        return
    spaces = round(before.m2_per_outfield_player), round(after.m2_per_outfield_player)
    if spaces[0] != spaces[1]:
        yield _(
            "Each outfield player has %(space)s m², not %(was)s m².",
            space=spaces[1],
            was=spaces[0],
        )


def _size(way: Way) -> tuple[float, float]:
    return way.games[0].piece.length_m, way.games[0].piece.width_m


def _ends(way: Way) -> list[tuple[object, object]]:
    return [game.ends for game in way.games]
