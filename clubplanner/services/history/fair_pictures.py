"""What each squad has had, drawn: all of them on one line, and those of a leaf a row each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _, figure, ngettext
from clubplanner.outputs.charts.fair_chart import FairRow, draw_fair, draw_spread

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.history.fairness import FairPage, SquadFair


@dataclass(frozen=True, slots=True)
class FairPictures:
    """Pictures of fairness, SVG elements.

    Attributes:
        spread: All squads that asked for something, on one line.
        wide: The squads shown, a row each.
        narrow: The same for a narrow screen.
    """

    spread: str
    wide: str
    narrow: str


def draw_fairness(page: FairPage, shown: Sequence[SquadFair]) -> FairPictures | None:
    """Draw how even the season has been so far.

    Args:
        page: All squads.
        shown: Those of the leaf looked at.

    Returns:
        None where nobody has had anything yet, of which there is nothing to see.
    """
    if page.jain is None or not shown:
        return None
    served = [squad.served for squad in page.squads if squad.served is not None]
    rows = [_row(squad) for squad in shown]
    title, words = _("What each squad has had so far"), _words(rows)
    under = sum(_row(squad).is_under for squad in page.squads)
    spread = ngettext(
        "%(num)s squad has had less than an even share.",
        "%(num)s squads have had less than an even share.",
        under,
    )
    return FairPictures(
        spread=draw_spread(served, _("All squads, from nothing to all they asked for"), spread),
        wide=draw_fair(rows, title, words),
        narrow=draw_fair(rows, title, words, is_narrow=True),
    )


def _row(squad: SquadFair) -> FairRow:
    ground = squad.ground
    return FairRow(
        name=squad.name,
        words=squad.words,
        had=squad.served,
        even=squad.even / squad.asked if squad.asked else None,
        good=None if ground is None else ground.good,
        bad=None if ground is None else ground.bad,
        earlier="" if squad.balance is None else figure(squad.balance, "+.0f"),
    )


def _words(rows: Sequence[FairRow]) -> str:
    """Say who had least and most, and who had the worst and the best ground."""
    said = []
    served = [row for row in rows if row.had is not None]
    if served:
        least = min(served, key=lambda row: row.had or 0.0)
        most = max(served, key=lambda row: row.had or 0.0)
        said.append(
            _(
                "%(least)s had least of what it asked for, %(most)s most.",
                least=least.name,
                most=most.name,
            )
        )
    known = [row for row in rows if row.good is not None]
    if known:
        known.sort(key=lambda row: (row.good or 0.0) - (row.bad or 0.0))
        said.append(
            _(
                "%(worst)s had the worst ground so far, %(best)s the best.",
                worst=known[0].name,
                best=known[-1].name,
            )
        )
    return " ".join([*said, _("The table has the numbers.")])
