"""What bookings are held against: the club without its bookings, read once and then remembered."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.ground.grounds import usable_ground
from clubplanner.domain.rules.case import Scene, days_looked_at
from clubplanner.domain.rules.ground.load import limits_of_pitches, percents_of_squads
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.ground.wear_limits import load_wear_limits
from clubplanner.services.rows.remembered import Remembered
from clubplanner.services.rows.seasons.squad_seasons import load_squad_seasons
from clubplanner.services.rows.snapshot import (
    Keys,
    load_asks,
    load_breaks,
    load_club,
    load_squads,
    load_venues,
)
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import timedelta

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.domain.rules.case import WeekLimit
    from clubplanner.domain.times.seasons import Break
    from clubplanner.domain.times.year import SquadSeason


class FormsHeld:
    """Which areas hold which forms of the game: worked out when asked, and remembered."""

    def __init__(self, formats: Iterable[GameFormat]) -> None:
        self._formats = {game.code: game for game in formats}
        self._known: dict[tuple[str, str, str], bool] = {}

    def __call__(self, pitch: Pitch, area: Area, code: str) -> bool:
        """Tell whether an area holds a form; an unknown code is held by none."""
        key = pitch.key, area.key, code
        if key not in self._known:
            game = self._formats.get(code)
            ground = None if game is None else usable_ground(area, pitch.obstacles)
            self._known[key] = game is not None and ground is not None and fits_format(ground, game)
        return self._known[key]


@dataclass(frozen=True, slots=True)
class HeldGround:
    """The ground of an area: its pitch, by number in the records, and its cells there."""

    pitch_id: int
    cells: int


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """What bookings are held against: all of a scene but the bookings. Nobody changes it.

    Beside it each area and each squad's key by their numbers in the records.
    """

    club: ClubSettings
    venues: Sequence[Venue]
    squads: Mapping[str, Squad]
    asks: Mapping[str, Sequence[Ask]]
    breaks: Sequence[Break]
    seasons: Mapping[str, SquadSeason]
    limits: Mapping[str, Sequence[WeekLimit]]
    reach: timedelta
    percents: Mapping[str, int]
    holds_form: FormsHeld
    area_ids: Mapping[tuple[str, str], int]
    grounds: Mapping[int, HeldGround]
    keys: Keys

    def scene(self, bookings: Sequence[Booking]) -> Scene:
        """Return the club with some bookings."""
        return Scene(
            club=self.club,
            venues=self.venues,
            bookings=bookings,
            squads=self.squads,
            asks=self.asks,
            breaks=self.breaks,
            seasons=self.seasons,
            limits=self.limits,
            reach=self.reach,
            percents=self.percents,
            holds_form=self.holds_form,
            area_ids=self.area_ids,
        )

    def with_same_coach(self, squad_key: str) -> frozenset[str]:
        """Return a squad's key with those of the squads that the same person answers for."""
        squad = self.squads.get(squad_key)
        coach = "" if squad is None else squad.coach_key
        others = (one.key for one in self.squads.values() if coach and one.coach_key == coach)
        return frozenset({squad_key, *others})


def load_held_against(session: Session) -> HeldAgainst:
    """Return what bookings are held against, read again only after it was changed by anybody."""
    return _HELD(session)


def known_held_against(session: Session) -> HeldAgainst | None:
    """Return what bookings are held against if it was read before and has not changed since."""
    return _HELD.known(session)


def _read_held_against(session: Session) -> HeldAgainst:
    club = load_club(session)
    squads = load_squads(session)
    venues = load_venues(session)
    grass = load_wear_limits(session)
    seasons = load_squad_seasons(session)
    numbers = {key: number for number, key in session.execute(select(SquadRow.id, SquadRow.key))}
    areas = session.execute(
        select(PitchRow.key, AreaRow.key, AreaRow.id, PitchRow.id, AreaRow.cells).join(
            AreaRow.pitch
        )
    ).all()
    asks: dict[str, list[Ask]] = defaultdict(list)
    for _unused, ask in load_asks(session):
        asks[ask.squad_key].append(ask)
    limits = limits_of_pitches(club.rules, grass, venues)
    return HeldAgainst(
        club=club,
        venues=venues,
        squads={squad.key: squad for squad in squads},
        asks=dict(asks),
        breaks=load_breaks(session),
        seasons={key: seasons[number] for key, number in numbers.items() if number in seasons},
        limits=limits,
        reach=days_looked_at((ask for own in asks.values() for ask in own), limits),
        percents=percents_of_squads(club.rules, grass, squads),
        holds_form=FormsHeld(load_formats(session)),
        area_ids={(pitch, area): number for pitch, area, number, *_unused in areas},
        grounds={
            number: HeldGround(pitch_id, cells) for _pitch, _area, number, pitch_id, cells in areas
        },
        keys=Keys(
            {number: (pitch, area) for pitch, area, number, *_unused in areas},
            {number: key for key, number in numbers.items()},
        ),
    )


_HELD = Remembered(_read_held_against)
