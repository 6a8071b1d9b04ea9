"""Which ground does for a match, and at which times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.rules.case import Case
from clubplanner.domain.rules.ground.changeover import NAME as CHANGEOVER
from clubplanner.domain.rules.ground.held_ground import NAME as HELD
from clubplanner.domain.rules.people.coach import NAME as COACH
from clubplanner.domain.rules.people.travel import NAME as TRAVEL
from clubplanner.domain.times.times import clock_from_minute, instant_from_wall
from clubplanner.errors import MissingError
from clubplanner.fitting.games.matches import MatchGround, Suits, grounds_for_match
from clubplanner.language import _, figure
from clubplanner.services.places.scenes import load_scene
from clubplanner.services.rows.ground.own_sizes import load_formats

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.fixtures import Fixture
    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.domain.rules.case import Hindrance, Scene

SEEN_TO = {COACH, TRAVEL, CHANGEOVER}
"""Rules that a person sees to where a match needs it: they are told as cautions."""


@dataclass(frozen=True, slots=True)
class MatchOption:
    """Ground and kick-off that do for a match.

    Attributes:
        area_id: The area's number.
        kick_off_min: Minute of kick-off.
        place: The ground in words.
        needed: From when to when the ground is needed.
        displaces: How many trainings have to go.
        cautions: What to see to.
        is_full_size: Whether the published field fits.
    """

    area_id: int
    kick_off_min: int
    place: str
    needed: str
    displaces: int
    cautions: tuple[str, ...]
    is_full_size: bool

    @property
    def kick_off(self) -> str:
        """Time of kick-off."""
        return clock_from_minute(self.kick_off_min)


def match_options(session: Session, fixture: Fixture) -> Iterator[MatchOption]:
    """Yield the grounds and kick-offs that do for a match, those that disturb fewest first.

    Trainings may be displaced; another match, a hirer or a closure may not.

    Raises:
        MissingError: If the form of the game is not known any more.
    """
    scene = load_scene(session, fixture.day)
    game = _game(load_formats(session), fixture.format_code)
    if game is None:
        raise MissingError(
            _("The form “%(format_code)s” is not known any more.", format_code=fixture.format_code)
        )
    found: list[tuple[MatchOption, str, float]] = []
    for venue in scene.venues:
        for pitch in venue.pitches:
            if fixture.pitch_name and pitch.name != fixture.pitch_name:
                continue
            for ground in grounds_for_match(pitch, game):
                found += _times_on(scene, fixture, pitch, ground)
    order = {pitch.key: n for n, pitch in enumerate(p for v in scene.venues for p in v.pitches)}
    found.sort(
        key=lambda o: (
            not o[0].is_full_size,
            o[0].displaces,
            len(o[0].cautions),
            o[2],
            order[o[1]],
            o[0].kick_off_min,
        )
    )
    return (option for option, _unused, _other in found)


def _times_on(
    scene: Scene, fixture: Fixture, pitch: Pitch, ground: MatchGround
) -> Iterator[tuple[MatchOption, str, float]]:
    zone = scene.club.time_zone
    area = ground.area
    for minute in fixture.kick_offs(scene.club.step_minutes):
        during = fixture.needs(minute, zone)
        case = Case(
            scene,
            pitch,
            area,
            during,
            purpose=Purpose.MATCH,
            squad=scene.squads.get(fixture.squad_key),
            light_until=fixture.ends_at(instant_from_wall(fixture.day, minute, zone)),
        )
        found = hindrances(case)
        if any(one.rule not in SEEN_TO and not _can_go(one) for one in found):
            continue
        held = [b for one in found if one.rule == HELD for b in one.holders]
        start = during.starts_at.astimezone(zone)
        end = during.ends_at.astimezone(zone)
        option = MatchOption(
            area_id=scene.area_ids[pitch.key, area.key],
            kick_off_min=minute,
            place=part_in_words(area, pitch.name),
            needed=f"{start:%H:%M}–{end:%H:%M}",
            displaces=len(held),
            cautions=ground.cautions + tuple(one.words for one in found if one.rule in SEEN_TO),
            is_full_size=ground.suits is Suits.FULLY,
        )
        yield option, pitch.key, area.area_m2


def _can_go(hindrance: Hindrance) -> bool:
    """Tell whether all that stands in the way is training, which makes room for a match."""
    return hindrance.rule == HELD and all(
        one.purpose is Purpose.TRAINING for one in hindrance.holders
    )


def find_option(options: tuple[MatchOption, ...], choice: tuple[int, int]) -> MatchOption:
    """Return the option of an area's number and a minute of kick-off.

    Raises:
        MissingError: If there is none (any more).
    """
    for option in options:
        if (option.area_id, option.kick_off_min) == choice:
            return option
    raise MissingError(_("This ground is no longer to be had for the match; look again."))


def needs_in_words(fixture: Fixture, formats: Sequence[GameFormat]) -> str:
    """Write what a match needs: form, field, times, officials."""
    game = _game(formats, fixture.format_code)
    size = ""
    if game is not None:
        size = _(
            ", a field of %(length_m)s × %(width_m)s m (%(source)s)",
            length_m=figure(game.length_m, ".1f"),
            width_m=figure(game.width_m, ".1f"),
            source=game.source,
        )
    return (
        _(
            "%(format_code)s%(size)s. %(minutes)s minutes with half-time, "
            "%(warm_up_minutes)s before for warming up and %(after_minutes)s after. "
            "%(opponents)s %(officials)s",
            format_code=fixture.format_code,
            size=size,
            minutes=fixture.minutes,
            warm_up_minutes=fixture.warm_up_minutes,
            after_minutes=fixture.after_minutes,
            opponents=fixture.opponents,
            officials=fixture.officials,
        )
    ).strip()


def _game(formats: Sequence[GameFormat], code: str) -> GameFormat | None:
    return next((game for game in formats if game.code == code), None)
