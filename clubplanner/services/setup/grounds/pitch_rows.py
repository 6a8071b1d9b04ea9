"""Writing pitches that were read or drawn as rows: areas, their cells, and who has them booked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.ground.plans import STRAY_M2
from clubplanner.domain.problems import Problem
from clubplanner.errors import ClashError
from clubplanner.geometry.cells import find_cells
from clubplanner.geometry.shapes import interior_overlap_m2
from clubplanner.language import _, ngettext
from clubplanner.services.rows.bookings.booking_rows import lift_bookings, rewrite_cells
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.busy_tables import BusyCalendarRow
from clubplanner.store.tables.ground_tables import AreaRow, ObstacleRow, PitchRow, VenueRow
from clubplanner.store.tables.hire_tables import HireRow
from clubplanner.store.tables.money_tables import TariffRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ClosureRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from shapely import Polygon
    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch


@dataclass(slots=True)
class PitchWriter:
    """Writes into one open transaction.

    Attributes:
        session: The transaction.
        now: The present instant.
        lines: What was written, in sentences.
        problems: What could not be; the caller then gives the transaction up.
    """

    session: Session
    now: datetime
    lines: list[str]
    problems: list[Problem]

    def write_pitches(
        self, venue_key: str, pitches: Sequence[Pitch], *, places_venue: bool = True
    ) -> None:
        """Write a venue's pitches; booked ground keeps its bookings on the new cells.

        Args:
            venue_key: The venue.
            pitches: Its pitches, in their order.
            places_venue: Whether they say where a venue lies of which nobody has said it.
        """
        venue = self.session.scalars(select(VenueRow).where(VenueRow.key == venue_key)).one()
        for position, pitch in enumerate(pitches):
            self._write_pitch(venue, position, pitch)
        areas = sum(len(pitch.areas) for pitch in pitches)
        self.lines.append(
            _(
                "%(pitches)s with %(areas)s at %(venue)s",
                pitches=ngettext("%(num)s pitch", "%(num)s pitches", len(pitches)),
                areas=ngettext("%(num)s area", "%(num)s areas", areas),
                venue=venue.name,
            )
        )
        if places_venue:
            self._place_by_pitch(venue, pitches)

    def _place_by_pitch(self, venue: VenueRow, pitches: Sequence[Pitch]) -> None:
        """Say where a venue lies by where its first traced pitch does, if nobody has said it.

        When it gets dark is the same a few hundred metres away.
        """
        frame = next((pitch.frame for pitch in pitches if pitch.frame is not None), None)
        if venue.lon is None and frame is not None:
            venue.lon, venue.lat = round(frame.lon, 5), round(frame.lat, 5)
            self.lines.append(
                _("%(venue)s now lies where its pitches were traced", venue=venue.name)
            )

    def write_pitch(self, venue_key: str, pitch: Pitch) -> None:
        """Write one pitch; a new one comes last at its venue."""
        venue = self.session.scalars(select(VenueRow).where(VenueRow.key == venue_key)).one()
        found = next((row.position for row in venue.pitches if row.key == pitch.key), None)
        last = max((row.position for row in venue.pitches), default=-1)
        self._write_pitch(venue, last + 1 if found is None else found, pitch)

    def _write_pitch(self, venue: VenueRow, position: int, pitch: Pitch) -> None:
        found = self.session.scalars(select(PitchRow).where(PitchRow.key == pitch.key)).first()
        row = found or PitchRow(key=pitch.key)
        row.venue, row.position, row.name = venue, position, pitch.name
        row.surface, row.is_lit, row.is_indoor = pitch.surface, pitch.is_lit, pitch.is_indoor
        row.polygon, row.portable_goals = pitch.polygon, pitch.portable_goals
        frame = pitch.frame
        row.frame = None if frame is None else [frame.lon, frame.lat, frame.bearing_deg]
        edges = pitch.edges
        row.edges = {name: getattr(edges, name) for name in ("start", "far", "right", "left")}
        goals = [
            [g.x_m, g.y_m, g.along_deg, g.width_m, g.height_m, g.kind.value] for g in pitch.goals
        ]
        row.goals = goals if pitch.are_goals_known else None
        row.entrance = None if pitch.entrance is None else list(pitch.entrance)
        row.obstacles = [ObstacleRow(polygon=shape) for shape in pitch.obstacles]
        self.session.add(row)
        self.session.flush()
        self._write_areas(row, pitch)

    def _write_areas(self, row: PitchRow, pitch: Pitch) -> None:
        known = {area.key: area for area in row.areas}
        drawn = {area.key: area.cells for area in pitch.areas}
        gone = [area for key, area in known.items() if key not in drawn]
        left = [area for area in gone if not self._drop_area(row, area)]
        cells = find_cells([area.polygon for area in pitch.areas]) if left else []
        drawn |= {area.key: _cells_under(area.polygon, cells) for area in left}
        lifted = self._renumber([area for area in known.values() if area.key in drawn], drawn)
        for position, area in enumerate(pitch.areas):
            target = known.get(area.key) or AreaRow(key=area.key, pitch_id=row.id, cells=area.cells)
            target.position, target.name, target.cut = position, area.name, area.cut
            target.polygon, target.twelfths = area.polygon, area.twelfths
            self.session.add(target)
        self.session.flush()
        self.session.expire(row, ["areas"])
        try:
            rewrite_cells(self.session, row, lifted, self.now)
        except ClashError as clash:
            self.problems.append(
                Problem(
                    pitch.name,
                    "clash",
                    _("With these cuts two bookings would meet: %(clash)s", clash=clash),
                )
            )

    def _renumber(self, areas: Sequence[AreaRow], cells: Mapping[str, int]) -> Sequence[BookingRow]:
        """Give areas other cells, by key; return their bookings to come, lifted meanwhile."""
        changed = [area for area in areas if area.cells != cells[area.key]]
        lifted = lift_bookings(self.session, changed, self.now)
        for area in changed:
            area.cells = cells[area.key]
            area.redrawn_at = max(area.redrawn_at or self.now, self.now)
        self.session.flush()
        return lifted

    def _drop_area(self, row: PitchRow, area: AreaRow) -> bool:
        """Drop an area that left the file; bookings and their past alone keep it alive.

        Returns:
            Whether it is gone.
        """
        used = select(func.count(BookingRow.id)).where(BookingRow.area_id == area.id)
        live = used.where(BookingRow.is_withdrawn.is_(False), *BookingRow.not_over(self.now))
        journalled = select(func.count(ChangedBookingRow.id)).where(
            ChangedBookingRow.area_id == area.id
        )
        calendars = select(func.count(BusyCalendarRow.id)).where(BusyCalendarRow.area_id == area.id)
        closures = select(func.count(ClosureRow.id)).where(ClosureRow.area_id == area.id)
        hires = select(func.count(HireRow.id)).where(HireRow.area_id == area.id)
        tariffs = select(func.count(TariffRow.id)).where(TariffRow.area_id == area.id)
        coming = self.session.scalar(live) or 0
        if coming:
            self.problems.append(
                Problem(
                    f"{row.name}, “{area.name}”",
                    "booked",
                    ngettext(
                        "The file no longer has this area, but %(num)s booking still to come "
                        "stands on it; move or withdraw it first, or keep the area.",
                        "The file no longer has this area, but %(num)s bookings still to come "
                        "stand on it; move or withdraw them first, or keep the area.",
                        coming,
                    ),
                )
            )
        needed = (used, journalled, calendars, closures, hires, tariffs)
        if coming or any(self.session.scalar(count) for count in needed):
            return False
        self.session.delete(area)
        return True


def _cells_under(polygon: Polygon, cells: Sequence[Polygon]) -> int:
    """Return every cell an area that left the file reaches into; all, if it reaches none."""
    met = [
        n
        for n, cell in enumerate(cells)
        if interior_overlap_m2(polygon, cell) > min(STRAY_M2, cell.area / 2)
    ]
    return sum(1 << n for n in met or range(len(cells)))
