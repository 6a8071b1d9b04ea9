"""What to say where no game is to be had: why, and what can be done all the same."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.games.sizes import is_room_for, tightest_band
from clubplanner.language import _, figure, in_running_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.fitting.setting_out.ways import SessionNeed, Way

MOST_GROUPS = 6
"""With more groups than this nobody gets enough of an evening (common practice, no source)."""


def no_game_words(need: SessionNeed) -> str:
    """Say why there is no way to play, and in how many groups there would be one.

    Args:
        need: The coach's question, to which `list_ways` has no answer.

    Returns:
        One or two sentences.
    """
    for groups, part, way in _in_groups(need):
        return _(
            "No game fits on this ground for so many players at once. In %(groups)s groups that "
            "use it in turn, %(players)s players at a time, one fits: %(title)s.",
            groups=groups,
            players=part.players,
            title=in_running_text(way.title),
        )
    tightest = tightest_band(need)
    if tightest is None:
        return _("No game fits on this ground: it is too small or too narrow.")
    least_m2, source = tightest
    if need.size_m is not None:
        size = (figure(need.size_m[0], "g"), figure(need.size_m[1], "g"))
        if is_room_for(need, 1, need.size_m):
            return _(
                "No game of %(length_m)s × %(width_m)s m for so many players fits on this ground.",
                length_m=size[0],
                width_m=size[1],
            )
        return _(
            "%(length_m)s × %(width_m)s m is too small for a game. The smallest published practice "
            "area gives each outfield player %(least_m2)s m² (%(source)s).",
            length_m=size[0],
            width_m=size[1],
            least_m2=figure(least_m2, ".0f"),
            source=source,
        )
    return _(
        "No game fits on this ground: it is too small or too narrow. The smallest published "
        "practice area gives each outfield player %(least_m2)s m² (%(source)s).",
        least_m2=figure(least_m2, ".0f"),
        source=source,
    )


def _in_groups(need: SessionNeed) -> Iterator[tuple[int, SessionNeed, Way]]:
    """Share the players out among groups that come one after the other, fewest groups first."""
    for groups in range(2, MOST_GROUPS + 1):
        part = replace(
            need,
            players=-(-need.players // groups),
            goalkeepers=need.goalkeepers // groups,
        )
        if part.outfield < 2:
            return
        for way in list_ways(part, most=1):
            yield groups, part, way
