"""What fits on a squad's ground tonight: ways to play, and practice areas of a size."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.errors import RefusedError
from clubplanner.fitting.games.adjusting import adjust
from clubplanner.fitting.games.cautions import cautions
from clubplanner.fitting.games.changes import see_changes
from clubplanner.fitting.games.no_game import no_game_words
from clubplanner.fitting.games.sessions import list_ways
from clubplanner.fitting.setting_out.run_off import clear_ground
from clubplanner.fitting.setting_out.set_out import NOTHING, SetOut, list_set_out
from clubplanner.fitting.setting_out.spare import spare_ground
from clubplanner.language import _, ngettext
from clubplanner.services.coach.fits.fit_drawings import END_ZONE_M, draw_games, sides_in_words
from clubplanner.services.coach.fits.fit_places import (
    FitGround,
    FitPlace,
    FitWish,
    goals_to_bring,
    need_of,
    spots_on,
)
from clubplanner.services.coach.fits.format_words import NO_FORMATS, FormatsOnGround, formats_on
from clubplanner.services.coach.fits.placed_sizes import PlacedShown, see_largest, see_practice
from clubplanner.services.coach.fits.remembered import ANSWERS, question

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.fitting.setting_out.ways import SessionNeed, Way

SHOWN_WAYS = 4
WAY_NAMES = tuple(str(number) for number in range(1, SHOWN_WAYS + 1))
"""How the picture of each way is called in its address."""


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
        set_out: What to set out; its cones have the numbers of the drawing.
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
    set_out: SetOut
    drawing: str


@dataclass(frozen=True, slots=True)
class OtherNight:
    """What changes when one player more comes, or less ground is to be had."""

    occasion: str
    lines: tuple[str, ...]


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

    def drawing(self, name: str) -> str:
        """Return a drawing by its name, as in `draw_fit`; blank where there is none of it."""
        placed = {"practice": self.practice, "largest": self.largest}
        if name in placed:
            one = placed[name]
            return "" if one is None else one.drawing
        return dict(zip(WAY_NAMES, (way.drawing for way in self.ways), strict=False)).get(name, "")

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
    asked = _ways_asked(place, wish, most, is_brief)
    answer = ANSWERS.get_or_make(asked, lambda: _work_out(place, wish, most, is_brief))
    if is_brief:
        return answer
    nights = f"{question(place, wish)} other nights"
    return replace(answer, others=ANSWERS.get_or_make(nights, lambda: _other_nights(place, wish)))


def _ways_asked(place: FitPlace, wish: FitWish, most: int, is_brief: bool) -> str:
    """Put what the ways to play hang on as a question; halls matter to other nights alone."""
    return f"{question(replace(place, halls=()), wish)} {most} {is_brief}"


def _work_out(place: FitPlace, wish: FitWish, most: int, is_brief: bool) -> FitShown:
    """Work out what fits, but for other nights."""
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
        nothing = PlacedShown(_("Obstacles leave no ground on this area to play on."))
        return FitShown((), None, nothing, care)
    try:
        ground = FitGround.of(place, wish, need)
        ways = list_ways(need, most=most)
        return FitShown(
            ways=tuple(_see_way(ground, way) for way in ways),
            largest=see_largest(ground),
            practice=see_practice(ground),
            cautions=care,
            formats=NO_FORMATS
            if is_brief
            else formats_on(place.own_formats, wish.age, need.ground, place.on),
            no_game="" if ways else no_game_words(need),
        )
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def _other_nights(place: FitPlace, wish: FitWish) -> tuple[OtherNight, ...]:
    """Say how the best way changes when the night does."""
    need = need_of(place, wish)
    if need is None:
        return ()
    try:
        changes = see_changes(need, elsewhere=_elsewhere(place, wish))
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault
    return tuple(OtherNight(change.occasion, change.lines) for change in changes)


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
    known: FitShown | None = ANSWERS.get(_ways_asked(place, wish, SHOWN_WAYS, False))
    if known is not None:
        return known.drawing(name) or None
    need = need_of(place, wish)
    if need is None:
        return None
    try:
        ground = FitGround.of(place, wish, need)
        if name in ("practice", "largest"):
            placed = (see_practice if name == "practice" else see_largest)(ground)
            return placed.drawing or None if placed else None
        ways = dict(zip(WAY_NAMES, list_ways(need, most=SHOWN_WAYS), strict=False))
        return _lay_way(ground, ways[name])[1] or None if name in ways else None
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


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


def _see_way(ground: FitGround, way: Way) -> WayShown:
    sizes = tuple(
        _(
            "%(game)s on %(length_m)s",
            game=sides_in_words(game),
            length_m=size_in_words(game.piece.length_m, game.piece.width_m),
        )
        for game in way.games
    )
    change = adjust(ground.need, way)
    set_out, drawing = _lay_way(ground, way)
    return WayShown(
        title=way.title,
        sizes=tuple(_counted(sizes)),
        extra=way.extra_role or "",
        waiting=_("%(waiting)s wait and rotate.", waiting=way.waiting) if way.waiting else "",
        clear=way.clear,
        notes=way.notes,
        adjustments=() if change is None else (change.too_hard, change.too_easy),
        spare=_spare_in_words(ground.need, way),
        set_out=set_out,
        drawing=drawing,
    )


def _lay_way(ground: FitGround, way: Way) -> tuple[SetOut, str]:
    """Return what to set out for a way, and its drawing with the same numbers."""
    if not way.games:
        return NOTHING, ""
    found = list_set_out(way, ground.anchors, pace_m=ground.pace_m, zone_m=END_ZONE_M)
    return found, draw_games(ground, way.title, way.games, found)


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


def _counted(sizes: Sequence[str]) -> list[str]:
    """Say equal games once, with their number."""
    counts = {size: sizes.count(size) for size in sizes}
    return [size if count == 1 else f"{count} × {size}" for size, count in counts.items()]
