"""The sizes of games by age group, said of one piece of ground."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.ground.formats import sure_in_words
from clubplanner.domain.ground.orientation.measures import size_in_words, tenth
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.inputs.club_files.sizes import OWN
from clubplanner.language import _, figure, term
from clubplanner.services.rows.ground.known_sizes import format_codes, with_published

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from shapely import Polygon

    from clubplanner.domain.ground.formats import GameFormat

MOST_SHOWN = 6
USUAL_SPORT = "football"
"""Looked at where a club has no sizes of its own; those tell which sports it plays."""


@dataclass(frozen=True, slots=True)
class FormatFit:
    """A format of an age group, and whether its pitch fits on a ground.

    Attributes:
        game: The format.
        fits: Whether its pitch does, run-off not counted.
        has_run_off: Whether it does with its run-off; None where its source gives none.
    """

    game: GameFormat
    fits: bool
    has_run_off: bool | None = None

    @property
    def sentence(self) -> str:
        """The format in one line, with its source."""
        game = self.game
        goal = ""
        if game.goal_width_m is not None and game.goal_height_m is not None:
            goal = _(
                ", goal %(goal_width_m)s × %(goal_height_m)s m",
                goal_width_m=figure(game.goal_width_m, ".2f"),
                goal_height_m=figure(game.goal_height_m, ".2f"),
            )
        run_off = ""
        if game.run_off_m is not None:
            run_off = _(", %(run_off_m)s m clear all round", run_off_m=tenth(game.run_off_m))
        fits = _("fits here") if self.fits else _("does not fit here")
        if self.fits and self.has_run_off is not None:
            fits = _("fits here with that") if self.has_run_off else _("fits here to the line only")
        note = f" {game.note[:1].upper()}{game.note[1:]}." if game.note else ""
        return _(
            "%(body)s, %(code)s, %(players_a_side)s a side: "
            "%(length_m)s%(goal)s%(run_off)s; %(fits)s.%(note)s %(game)s",
            body=game.body,
            code=game.code,
            players_a_side=game.players_a_side,
            length_m=size_in_words(game.length_m, game.width_m),
            goal=goal,
            run_off=run_off,
            fits=fits,
            note=note,
            game=source_in_words(game),
        )


def source_in_words(game: GameFormat) -> str:
    """Say where a format comes from, and how sure a published one is."""
    words = "" if game.source == OWN else sure_in_words(game.standing)
    sure = f" ({words})" if words else ""
    return _("Source: %(source)s%(sure)s.", source=game.source, sure=sure)


@dataclass(frozen=True, slots=True)
class SportFit:
    """The formats of one sport whose pitch fits on a ground, run-off not counted.

    Attributes:
        sport: As its table calls it.
        codes: Those of the fewest players first.
        is_played: Whether the club's own table has the sport; where there is none, football is.
    """

    sport: str
    codes: tuple[str, ...]
    is_played: bool

    @property
    def words(self) -> str:
        """The sport and its formats: "football: 5v5, 7v7"."""
        name = term(self.sport)
        if self.codes == (self.sport.replace(" ", "-"),):
            return name
        return _("%(sport)s: %(codes)s", sport=name, codes=", ".join(self.codes))


@dataclass(frozen=True, slots=True)
class FormatsOnGround:
    """What the tables say about a ground.

    Attributes:
        of_age: The formats of the age group.
        fitting: For every sport the formats whose pitch fits; those that the club plays first.
    """

    of_age: tuple[FormatFit, ...] = ()
    fitting: tuple[SportFit, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """Whose pitch fits, in a sentence for the club's own sports and one for all others."""
        own, others = (
            "; ".join(item.words for item in self.fitting if item.is_played is played)
            for played in (True, False)
        )
        if not self.fitting:
            return (_("No pitch of the tables fits here."),)
        found = [
            _("Pitches that fit here, by their size alone: %(pitches)s.", pitches=own)
            if own
            else _("None of the club's own sports has a pitch that fits here.")
        ]
        if others:
            found.append(
                _(
                    "Of other sports, also by size alone (ask about surface, run-off and height): "
                    "%(pitches)s.",
                    pitches=others,
                )
            )
        return tuple(found)


NO_FORMATS = FormatsOnGround()


def formats_on(
    own: Sequence[GameFormat], age: int | None, ground: Polygon, on: date
) -> FormatsOnGround:
    """Hold a ground against the sizes of games.

    Args:
        own: The club's own table; it tells which sports the club plays, football where it is
            empty.
        age: The age group, 13 for under 13s; None for adults.
        ground: Valid polygon, metres.
        on: The date for which it is asked.
    """
    sports = {game.sport for game in own} or {USUAL_SPORT}
    known = with_published(own, on)
    fitting = [game for game in known if fits_format(ground, game)]
    of_age = [game for game in known if game.sport in sports and game.covers_age(age)]
    found = [
        SportFit(
            sport, format_codes(game for game in fitting if game.sport == sport), sport in sports
        )
        for sport in dict.fromkeys(game.sport for game in fitting)
    ]
    return FormatsOnGround(
        tuple(
            FormatFit(game, game in fitting, _with_run_off(ground, game))
            for game in of_age[:MOST_SHOWN]
        ),
        tuple(sorted(found, key=lambda item: not item.is_played)),
    )


def _with_run_off(ground: Polygon, game: GameFormat) -> bool | None:
    """Tell whether a ground holds a pitch and its run-off; None where none is published."""
    if game.run_off_m is None:
        return None
    more = 2 * game.run_off_m
    whole = replace(game, length_m=game.length_m + more, width_m=game.width_m + more)
    return fits_format(ground, whole)
