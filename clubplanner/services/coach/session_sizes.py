"""What fits on a squad's ground tonight: ways to play, and practice areas of a size."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.ground.measures import USUAL_PACE_M, size_in_words
from clubplanner.errors import RefusedError
from clubplanner.fitting.games.adjusting import adjust
from clubplanner.fitting.games.cautions import cautions
from clubplanner.fitting.games.changes import see_changes
from clubplanner.fitting.games.no_game import no_game_words
from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.games.singles import shrunk
from clubplanner.fitting.games.sizes import NARROWEST_M, is_room_for, most_m2_each
from clubplanner.fitting.games.words import pair_in_words
from clubplanner.fitting.outlines.known import fit_largest_again, fit_pieces_again
from clubplanner.fitting.setting_out.run_off import (
    clear_ground,
    clearance_in_words,
    grounds_to_try,
    is_clear,
    measure_clearance,
)
from clubplanner.fitting.setting_out.set_out import find_landmarks, list_set_out
from clubplanner.fitting.setting_out.spare import spare_ground
from clubplanner.language import _, ngettext
from clubplanner.outputs.drawings.plan_values import PlanPiece
from clubplanner.services.coach.fit_drawings import (
    END_ZONE_M,
    draw_games,
    draw_pieces,
    sides_in_words,
)
from clubplanner.services.coach.fit_places import (
    FitPlace,
    FitWish,
    goals_to_bring,
    need_of,
    spots_on,
)
from clubplanner.services.coach.format_words import NO_FORMATS, FormatsOnGround, formats_on

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.fitting.outlines.pieces import Piece, PieceFit
    from clubplanner.fitting.setting_out.ways import SessionNeed, Way

SHOWN_WAYS = 4
WAY_NAMES = tuple(str(number) for number in range(1, SHOWN_WAYS + 1))
"""How the picture of each way is called in its address."""
MOST_DRAWN = 200
"""More rectangles than this cannot be told apart on a drawing."""


@dataclass(frozen=True, slots=True)
class WayShown:
    """A way to play, in words and drawn, with the list of what to set out.

    Attributes:
        title: A few words.
        sizes: The games with their sizes, equal ones once.
        extra: What players who are over do; blank when nobody is.
        waiting: Who waits; blank when nobody does.
        clear: How much clear ground there is round the games.
        notes: Whole sentences a coach needs.
        adjustments: What to change when it is too hard, and when too easy; none without a game.
        spare: What ground is left beside the games; blank when none is of use.
        set_out: What to set out, in the order of doing it.
        drawing: The games on the ground; blank for work without a game.
    """

    title: str
    sizes: tuple[str, ...]
    extra: str
    waiting: str
    clear: str
    notes: tuple[str, ...]
    adjustments: tuple[str, ...]
    spare: str
    set_out: tuple[str, ...]
    drawing: str


@dataclass(frozen=True, slots=True)
class OtherNight:
    """What changes when one player more comes, or less ground is to be had."""

    occasion: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlacedShown:
    """Something placed on the ground: a sentence and its drawing, blank where nothing fits."""

    sentence: str
    drawing: str


@dataclass(frozen=True, slots=True)
class FitShown:
    """Everything that fits on one area.

    Attributes:
        ways: Ways to play, best first.
        largest: The largest single game, everybody in it; None where there is no room for one.
        practice: Practice areas of the wished size; None without a wish.
        cautions: The usual cautions.
        others: How the best way changes when the night does.
        formats: The sizes of games by age group, held against the ground.
        no_game: Why there is no way to play, and what can be done; blank where there is one.
    """

    ways: tuple[WayShown, ...]
    largest: PlacedShown | None
    practice: PlacedShown | None
    cautions: tuple[str, ...]
    others: tuple[OtherNight, ...] = ()
    formats: FormatsOnGround = NO_FORMATS
    no_game: str = ""

    @property
    def said(self) -> str:
        """All of it in one sentence, for whoever hears it: "4 v 4 fits; two other ways below."."""
        if not self.ways:
            return self.no_game or _("Nothing fits here.")
        best, others = self.ways[0].title, len(self.ways) - 1
        if not others:
            return _("What fits: %(best)s.", best=best)
        return ngettext(
            "What fits: %(best)s; %(num)s other way below.",
            "What fits: %(best)s; %(num)s other ways below.",
            others,
            best=best,
        )


def see_what_fits(
    place: FitPlace, wish: FitWish, *, most: int = SHOWN_WAYS, is_brief: bool = False
) -> FitShown:
    """Work out what fits on an area.

    Args:
        place: The ground.
        wish: What the coach typed.
        most: How many ways to show.
        is_brief: Whether to leave out other nights and the sizes of games.

    Raises:
        RefusedError: If a number cannot be used, saying which.
    """
    pitch, area = place.pitch, place.area
    need = need_of(place, wish)
    care = cautions(
        wish.age,
        wish.players,
        spots_on(pitch, area),
        goals_to_bring(pitch, wish),
        wish.target_goals,
        is_indoor=pitch.is_indoor,
    )
    if need is None:
        nothing = PlacedShown(_("Obstacles leave no ground on this area to play on."), "")
        return FitShown((), None, nothing, care)
    try:
        pace_m = USUAL_PACE_M if wish.pace_m is None else wish.pace_m
        ways = list_ways(need, most=most)
        others = () if is_brief else see_changes(need, elsewhere=_elsewhere(place, wish))
        return FitShown(
            ways=tuple(_see_way(pitch, area, need, way, pace_m) for way in ways),
            largest=_see_largest(pitch, area, need),
            practice=_see_practice(pitch, area, need),
            cautions=care,
            others=tuple(OtherNight(change.occasion, change.lines) for change in others),
            formats=NO_FORMATS
            if is_brief
            else formats_on(place.own_formats, wish.age, need.ground, place.on),
            no_game="" if ways else no_game_words(need),
        )
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def draw_fit(place: FitPlace, wish: FitWish, name: str) -> str | None:
    """Draw one of the pictures of `see_what_fits` alone.

    Args:
        place: The ground.
        wish: What the coach typed.
        name: "1" for the best way and so on, "practice" or "largest".

    Returns:
        The same drawing; None where there is none of that name.

    Raises:
        RefusedError: If a number cannot be used, saying which.
    """
    pitch, area = place.pitch, place.area
    need = need_of(place, wish)
    if need is None:
        return None
    try:
        if name in ("practice", "largest"):
            see = _see_practice if name == "practice" else _see_largest
            placed = see(pitch, area, need)
            return placed.drawing or None if placed else None
        drawn = [_draw_way(pitch, area, need, way) for way in list_ways(need, most=SHOWN_WAYS)]
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault
    return dict(zip(WAY_NAMES, drawn, strict=False)).get(name) or None


def _elsewhere(place: FitPlace, wish: FitWish) -> list[tuple[str, SessionNeed]]:
    """List the same session on the next smaller part of the pitch, and in the largest hall."""
    pitch, area = place.pitch, place.area
    places: list[tuple[str, Pitch, Area]] = []
    within = [
        other
        for other in pitch.areas
        if other.cells != area.cells and other.cells & area.cells == other.cells
    ]
    if within:
        part = max(within, key=lambda other: other.area_m2)
        share = round(100 * part.area_m2 / area.area_m2)
        places.append(
            (
                _("On %(area)s only, %(share)s %% of this ground", area=part.name, share=share),
                pitch,
                part,
            )
        )
    others = [hall for hall in place.halls if hall.key != pitch.key]
    if others and not pitch.is_indoor:
        hall = max(others, key=lambda one: one.areas[0].area_m2)
        places.append((_("In %(hall)s instead", hall=hall.name), hall, hall.areas[0]))
    needs = [(words, need_of(_moved(place, other, part), wish)) for words, other, part in places]
    return [(words, need) for words, need in needs if need is not None]


def _moved(place: FitPlace, pitch: Pitch, area: Area) -> FitPlace:
    """Ask about other ground; who is next door is known on the same pitch alone."""
    neighbours = place.neighbours if pitch == place.pitch else ()
    return replace(place, pitch=pitch, area=area, neighbours=neighbours)


def _see_largest(pitch: Pitch, area: Area, need: SessionNeed) -> PlacedShown | None:
    """Lay the largest rectangle of the ground, and say the sides of a game of everybody on it."""
    if need.outfield < 2:
        return None
    offers = [(fit_largest_again(ground),) for ground in grounds_to_try(need)]
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
    return PlacedShown(sentence, draw_pieces(pitch, area, sentence, (drawn,)))


def _see_practice(pitch: Pitch, area: Area, need: SessionNeed) -> PlacedShown | None:
    """Lay practice areas of the wished size; None without a wish."""
    size = need.size_m
    if size is None:
        return None
    fits = [fit_pieces_again(ground, *size) for ground in grounds_to_try(need)]
    best = _clearest([fit.pieces for fit in fits if fit.pieces], need)
    fit = next((fit for fit in fits if best and fit.pieces == best), fits[-1])
    count = len(fit.pieces)
    words = size_in_words(*size)
    if count == 0:
        if fit.holds_turned:
            return PlacedShown(_("No practice area of %(words)s fits here.", words=words), "")
        return PlacedShown(
            _(
                "No practice area of %(words)s fits here along the edges of the ground.",
                words=words,
            ),
            "",
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
        return PlacedShown(_("%(sentence)s They are too many to draw.", sentence=sentence), "")
    pieces = tuple(
        PlanPiece(piece.polygon, str(n), piece.length_m, piece.width_m)
        for n, piece in enumerate(fit.pieces, start=1)
    )
    return PlacedShown(sentence, draw_pieces(pitch, area, sentence, pieces))


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


def _see_way(pitch: Pitch, area: Area, need: SessionNeed, way: Way, pace_m: float) -> WayShown:
    sizes = tuple(
        _(
            "%(game)s on %(length_m)s",
            game=sides_in_words(game),
            length_m=size_in_words(game.piece.length_m, game.piece.width_m),
        )
        for game in way.games
    )
    change = adjust(need, way)
    return WayShown(
        title=way.title,
        sizes=tuple(_counted(sizes)),
        extra=way.extra_role or "",
        waiting=_("%(waiting)s wait and rotate.", waiting=way.waiting) if way.waiting else "",
        clear=way.clear,
        notes=way.notes,
        adjustments=() if change is None else (change.too_hard, change.too_easy),
        spare=_spare_in_words(need, way),
        set_out=_set_out_lines(pitch, way, pace_m),
        drawing=_draw_way(pitch, area, need, way),
    )


def _draw_way(pitch: Pitch, area: Area, need: SessionNeed, way: Way) -> str:
    return draw_games(pitch, area, way.title, way.games, need.goals) if way.games else ""


def _spare_in_words(need: SessionNeed, way: Way) -> str:
    ground = clear_ground(need.ground, need.hazards, need.margin_m)
    if ground is None:
        return ""
    spare = spare_ground(ground, [game.piece for game in way.games], need.gap_m)
    if spare is None or not way.games:
        return ""
    return _(
        "Spare ground for a warm-up or a second coach: %(length_m)s.",
        length_m=size_in_words(spare.length_m, spare.width_m),
    )


def _set_out_lines(pitch: Pitch, way: Way, pace_m: float) -> tuple[str, ...]:
    marks = find_landmarks(pitch.polygon, pitch.edges)
    if not marks or not way.games:
        return ()
    return list_set_out(way, marks, pitch.edges, pace_m=pace_m, zone_m=END_ZONE_M).lines


def _counted(sizes: Sequence[str]) -> list[str]:
    """Say equal games once, with their number."""
    counts = {size: sizes.count(size) for size in sizes}
    return [size if count == 1 else f"{count} × {size}" for size, count in counts.items()]
