"""What is laid by size alone: the largest single game, and practice areas of a wished size."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.fitting.games.singles import shrunk
from clubplanner.fitting.games.sizes import NARROWEST_M, is_room_for, most_m2_each
from clubplanner.fitting.games.words import pair_in_words
from clubplanner.fitting.outlines.known import fit_largest_again, fit_pieces_again
from clubplanner.fitting.setting_out.run_off import (
    clearance_in_words,
    grounds_to_try,
    is_clear,
    measure_clearance,
)
from clubplanner.fitting.setting_out.set_out import NOTHING, SetOut, list_corners
from clubplanner.language import _, ngettext
from clubplanner.outputs.drawings.plan_values import PlanPiece
from clubplanner.services.coach.fits.fit_drawings import draw_pieces

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.fitting.outlines.pieces import Piece, PieceFit
    from clubplanner.fitting.setting_out.ways import SessionNeed
    from clubplanner.services.coach.fits.fit_places import FitGround

MOST_DRAWN = 200
"""More rectangles than this cannot be told apart on a drawing."""


@dataclass(frozen=True, slots=True)
class PlacedShown:
    """Something placed on the ground.

    Attributes:
        sentence: What it is.
        drawing: Where it lies; blank where nothing fits.
        set_out: Its corners, by the numbers of the drawing.
    """

    sentence: str
    drawing: str = ""
    set_out: SetOut = NOTHING


def see_largest(ground: FitGround) -> PlacedShown | None:
    """Lay the largest rectangle of the ground, and say the sides of a game of everybody on it."""
    need = ground.need
    if need.outfield < 2:
        return None
    offers = [(fit_largest_again(part),) for part in grounds_to_try(need)]
    wide = [(piece,) for (piece,) in offers if piece is not None and piece.width_m >= NARROWEST_M]
    pieces = _clearest(wide, need)
    if not pieces:
        return None
    (piece,) = pieces
    piece = shrunk(piece, need.outfield * (most_m2_each(need) or math.inf))
    sides = pair_in_words((need.outfield + 1) // 2, need.outfield // 2)
    size = size_in_words(piece.length_m, piece.width_m)
    if is_room_for(need, need.outfield // 2, (piece.length_m, piece.width_m)):
        sentence = _(
            "%(sides)s on %(length_m)s, everybody in one game.", sides=sides, length_m=size
        )
    else:
        sentence = _("%(size)s, too small for a game of %(sides)s.", size=size, sides=sides)
    sentence = _with_run_off(sentence, [piece], need)
    drawn = PlanPiece(piece.polygon, sides, piece.length_m, piece.width_m)
    found = list_corners([piece], ground.anchors, pace_m=ground.pace_m)
    return PlacedShown(sentence, draw_pieces(ground, sentence, (drawn,), found, [piece]), found)


def see_practice(ground: FitGround) -> PlacedShown | None:
    """Lay practice areas of the wished size; None without a wish."""
    need, size = ground.need, ground.need.size_m
    if size is None:
        return None
    fits = [fit_pieces_again(part, *size) for part in grounds_to_try(need)]
    best = _clearest([fit.pieces for fit in fits if fit.pieces], need)
    fit = next((fit for fit in fits if best and fit.pieces == best), fits[-1])
    count = len(fit.pieces)
    words = size_in_words(*size)
    if count == 0:
        if fit.holds_turned:
            return PlacedShown(_("No practice area of %(words)s fits here.", words=words))
        return PlacedShown(
            _(
                "No practice area of %(words)s fits here along the edges of the ground.",
                words=words,
            )
        )
    sentence = ngettext(
        "%(num)s practice area of %(size)s fits, %(sure)s, edge to edge.",
        "%(num)s practice areas of %(size)s fit, %(sure)s, edge to edge.",
        count,
        size=words,
        sure=_how_sure(fit),
    )
    sentence = _with_run_off(sentence, fit.pieces, need)
    if count > MOST_DRAWN:
        return PlacedShown(_("%(sentence)s They are too many to draw.", sentence=sentence))
    found = list_corners(fit.pieces, ground.anchors, pace_m=ground.pace_m)
    pieces = tuple(
        PlanPiece(piece.polygon, "" if found.cones else str(n), piece.length_m, piece.width_m)
        for n, piece in enumerate(fit.pieces, start=1)
    )
    return PlacedShown(sentence, draw_pieces(ground, sentence, pieces, found, fit.pieces), found)


def _clearest(offers: Sequence[tuple[Piece, ...]], need: SessionNeed) -> tuple[Piece, ...]:
    """Return the first of some layouts that has its run-off, else the first; empty without any."""
    for pieces in offers:
        found = measure_clearance(pieces, need)
        if is_clear(None if found is None else found.metres, need.margin_m):
            return pieces
    return next(iter(offers), ())


def _with_run_off(sentence: str, pieces: Sequence[Piece], need: SessionNeed) -> str:
    """Add how much clear ground there is round what was laid."""
    clear = clearance_in_words(measure_clearance(pieces, need), need.margin_m)
    return f"{sentence} {clear}".strip()


def _how_sure(fit: PieceFit) -> str:
    """Say how many more there may be, and of which layouts that is known."""
    if fit.holds_turned:
        if fit.is_proved:
            return _("and no more")
        return _("perhaps up to %(bound)s", bound=fit.bound)
    if fit.is_proved:
        return _("and no more along the edges of the ground")
    return _("perhaps up to %(bound)s along the edges of the ground", bound=fit.bound)
