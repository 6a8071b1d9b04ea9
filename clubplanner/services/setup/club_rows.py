"""Writing what was read from files as rows: new things added, known ones brought up to date."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from sqlalchemy import func, or_, select

from clubplanner.domain.club.sharing_rules import rules_as_json
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.hours_typed import TypedTimeError, range_typed
from clubplanner.errors import ClashError
from clubplanner.inputs.club_files.settings import CLUB
from clubplanner.language import _, ngettext
from clubplanner.services.rows.bookings.booking_rows import (
    BookingWish,
    insert_booking,
)
from clubplanner.services.rows.club.keeping_rows import save_keeping
from clubplanner.services.rows.coach_rows import WITH_COACHES
from clubplanner.services.rows.own_club import is_held, own_squads
from clubplanner.services.rows.people.coaching import set_coaches
from clubplanner.services.rows.snapshot import load_zone, windows_as_json
from clubplanner.services.setup.clubs.club_squads import (
    join_by_name,
    put_in_clubs,
    put_in_own_club,
    set_clubs,
)
from clubplanner.services.setup.grounds.pitch_rows import PitchWriter
from clubplanner.services.setup.squads.coach_book import CoachBook, odds_in_words
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.club_tables import BreakRow, ClubRow, StretchRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow, SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.inputs.club_files.settings import SetBooking, SettingsRead

NOTHING: frozenset[str] = frozenset()


@dataclass(slots=True)
class ClubWriter:
    """Writes into one open transaction.

    Attributes:
        session: The transaction.
        now: The present instant.
        lines: What was written, in sentences.
        problems: What could not be; the caller then gives the transaction up.
    """

    session: Session
    now: datetime
    lines: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def pitches(self) -> PitchWriter:
        """Return what writes pitches, with the same lines and problems."""
        return PitchWriter(self.session, self.now, self.lines, self.problems)

    def write_settings(self, settings: SettingsRead) -> None:
        """Write club, venues, stretches and breaks; breaks are replaced as a whole."""
        if settings.clubs:
            self.problems += set_clubs(self.session, settings.clubs, self.now)
        if settings.club is not None:
            self.write_club(settings.club, settings.left_out.get(CLUB, NOTHING))
        if settings.keeping is not None:
            save_keeping(self.session, settings.keeping)
        for venue in settings.venues:
            self.write_venue(venue, settings.left_out.get(venue.key, NOTHING))
        for stretch in settings.stretches:
            self._write_stretch(stretch)
        self._write_breaks(settings)
        self._drop_stretches({stretch.key for stretch in settings.stretches})
        self.session.flush()
        self.lines.append(
            _(
                "%(venues)s, %(stretches)s and %(breaks)s",
                venues=ngettext("%(num)s venue", "%(num)s venues", len(settings.venues)),
                stretches=ngettext("%(num)s stretch", "%(num)s stretches", len(settings.stretches)),
                breaks=ngettext("%(num)s break", "%(num)s breaks", len(settings.breaks)),
            )
        )

    def _write_breaks(self, settings: SettingsRead) -> None:
        """Keep the breaks that stay; others go, or are added."""
        wanted = [(gap.name, gap.starts_on, gap.ends_on) for gap in settings.breaks]
        for row in self.session.scalars(select(BreakRow).order_by(BreakRow.id)):
            if (row.name, row.starts_on, row.ends_on) in wanted:
                wanted.remove((row.name, row.starts_on, row.ends_on))
            else:
                self.session.delete(row)
        self.session.add_all(
            BreakRow(name=name, starts_on=first, ends_on=last) for name, first, last in wanted
        )

    def write_squads(
        self,
        squads: Sequence[Squad],
        asks: Sequence[Ask],
        *,
        names_assistants: bool,
        names_clubs: bool = False,
        names_coaches: bool = True,
    ) -> None:
        """Write squads and their asks; a squad no longer in the file keeps its bookings only.

        Args:
            squads: The squads; their coaches are found among the people, or added.
            asks: What they ask for.
            names_assistants: Whether the file says who assists; else they stay who they are.
            names_clubs: Whether the file says which club each is of; else that stays as it is.
            names_coaches: Whether it says anything of coaches; else all stay who they are.
        """
        join_by_name(self.session, squads)
        known = self.session.scalars(select(SquadRow).options(WITH_COACHES))
        rows = {row.key: row for row in known}
        named = {squad.key for squad in squads}
        own = set(self.session.scalars(select(SquadRow.key).where(*own_squads(self.session))))
        left_out = [row for key, row in rows.items() if key in own - named]
        asked: dict[str, list[Ask]] = defaultdict(list)
        for ask in asks:
            asked[ask.squad_key].append(ask)
        for row in left_out:
            row.asks.clear()
        last = max((row.position for row in rows.values()), default=-1)
        new: list[SquadRow] = []
        for position, squad in enumerate(squads):
            row = rows.get(squad.key) or SquadRow(key=squad.key)
            self.session.add(row)
            if squad.key not in rows:
                new.append(row)
            if not is_held(self.session):
                row.position = position
            elif squad.key not in rows:  # the order of all squads is the office's
                row.position = last + len(new)
            _write_squad(row, squad, asked[squad.key])
            rows[squad.key] = row
        self.session.flush()
        if names_clubs:
            put_in_clubs(self.session, {rows[squad.key].id: squad.club for squad in squads})
        put_in_own_club(self.session, [row.id for row in new])
        if names_coaches:
            self._write_coaches(squads, rows, names_assistants=names_assistants)
        self.lines.append(
            _(
                "%(squads)s with %(asks)s",
                squads=ngettext("%(num)s squad", "%(num)s squads", len(squads)),
                asks=ngettext("%(num)s ask", "%(num)s asks", len(asks)),
            )
        )
        if left_out:
            names = ", ".join(row.name for row in left_out)
            self.lines.append(
                _("no longer in the file, so nothing is asked for: %(names)s", names=names)
            )

    def _write_coaches(
        self, squads: Sequence[Squad], rows: Mapping[str, SquadRow], *, names_assistants: bool
    ) -> None:
        book = CoachBook(self.session, [c for squad in squads for c in squad.coaches], self.now)
        odds = book.names_at_odds()
        self.problems += [Problem("", "differs", odds_in_words(*one)) for one in odds]
        for squad in squads:
            row = rows[squad.key]
            before = [one.person for one in row.coaches]
            people = [book.find(coach, row.id) for coach in squad.coaches]
            if not names_assistants:
                people += before[1:]
            if people != before:
                set_coaches(self.session, row, people, self.now)
            if before and people and before[0] is not people[0]:
                self.lines.append(
                    _(
                        "%(squad)s pass from %(before)s to %(coach)s",
                        squad=squad.name,
                        before=before[0].name,
                        coach=people[0].name,
                    )
                )

    def write_bookings(self, bookings: Sequence[SetBooking]) -> None:
        """Write set bookings that are not there yet.

        They are facts: no rule is asked, only whether the ground is held.
        """
        added = 0
        for booking in bookings:
            wish = self._wish_from(booking)
            if wish is None or self._is_known(wish):
                continue
            try:
                insert_booking(self.session, wish, self.now)
                added += 1
            except ClashError as clash:
                self.problems.append(Problem(booking.place, "clash", f"{clash}"))
        if bookings:
            self.lines.append(ngettext("%(num)s set booking", "%(num)s set bookings", added))

    def write_club(self, club: ClubSettings, left_out: Collection[str] = NOTHING) -> None:
        """Write the club's own choices; those left out stay as they are known."""
        found = self.session.get(ClubRow, 1)
        if found is not None:
            club = replace(club, **{name: getattr(found, name) for name in left_out})
        row = found or ClubRow(id=1)
        row.name, row.zone = club.name, club.zone
        row.step_minutes, row.changeover_minutes = club.step_minutes, club.changeover_minutes
        row.travel_minutes, row.language = club.travel_minutes, club.language
        row.rules = rules_as_json(club.rules)
        self.session.add(row)
        self.lines.append(club.name)

    def write_venue(self, venue: Venue, left_out: Collection[str] = NOTHING) -> None:
        """Write a venue's facts; those left out stay as they are known, a new venue comes last."""
        found = self.session.scalars(select(VenueRow).where(VenueRow.key == venue.key)).first()
        if found is not None:
            venue = replace(venue, **{name: getattr(found, name) for name in left_out})
        row = found or VenueRow(
            key=venue.key, position=self.session.scalar(select(func.count(VenueRow.id))) or 0
        )
        row.name, row.address = venue.name, venue.address
        row.lon, row.lat = venue.lon, venue.lat
        row.opening = windows_as_json(venue.opening)
        row.lights_off_min = venue.lights_off_min
        row.dusk_margin_minutes = venue.dusk_margin_minutes
        row.way_in, row.parking = venue.way_in, venue.parking
        row.contact, row.contact_phone = venue.contact, venue.contact_phone
        row.phone_for_parents = venue.phone_for_parents
        self.session.add(row)
        self.session.flush()

    def _write_stretch(self, stretch: Stretch) -> None:
        found = self.session.scalars(select(StretchRow).where(StretchRow.key == stretch.key))
        row = found.first() or StretchRow(key=stretch.key)
        row.name, row.starts_on, row.ends_on = stretch.name, stretch.starts_on, stretch.ends_on
        self.session.add(row)

    def _drop_stretches(self, kept: set[str]) -> None:
        """Drop stretches that left the settings, unless a share-out speaks of them."""
        used = select(ShareOutRow.stretch_id)
        gone = select(StretchRow).where(StretchRow.key.not_in(kept), StretchRow.id.not_in(used))
        for row in self.session.scalars(gone):
            self.session.delete(row)

    def _wish_from(self, booking: SetBooking) -> BookingWish | None:
        found = self.session.scalars(
            select(PitchRow)
            .join(PitchRow.venue)
            .where(VenueRow.key == booking.venue_key, PitchRow.name == booking.pitch_name)
        ).first()
        if found is None:
            text = _(
                "%(venue_key)s has no pitch “%(pitch_name)s”; correct the name.",
                venue_key=booking.venue_key,
                pitch_name=booking.pitch_name,
            )
            self.problems.append(Problem(booking.place, "no-such-pitch", text))
            return None
        wanted = booking.area_name or "whole"
        area = next((a for a in found.areas if wanted in (a.name, a.key)), None)
        if area is None:
            names = ", ".join(a.name for a in found.areas)
            text = _(
                "“%(found)s” has no area “%(wanted)s”; write one of: %(names)s.",
                found=found.name,
                wanted=wanted,
                names=names,
            )
            self.problems.append(Problem(booking.place, "no-such-area", text))
            return None
        zone = load_zone(self.session)
        try:
            during = range_typed(booking.day, booking.start_min, booking.end_min, zone)
        except TypedTimeError as fault:
            self.problems.append(Problem(booking.place, "not-a-time", str(fault)))
            return None
        squad = self.session.scalars(
            select(SquadRow).where(SquadRow.key == key_from_name(booking.holder))
        ).first()
        return BookingWish(
            area_id=area.id,
            during=during,
            purpose=booking.purpose,
            squad_id=None if squad is None else squad.id,
            holder=booking.holder,
            note=booking.note,
            is_fixed=True,
        )

    def _is_known(self, wish: BookingWish) -> bool:
        same = select(BookingRow.id).where(
            BookingRow.area_id == wish.area_id,
            BookingRow.starts_at == wish.during.starts_at,
            BookingRow.ends_at == wish.during.ends_at,
            or_(BookingRow.holder == wish.holder, BookingRow.written_holder == wish.holder),
        )
        return self.session.scalars(same).first() is not None


def _write_squad(row: SquadRow, squad: Squad, asks: Sequence[Ask]) -> None:
    row.name, row.age_group = squad.name, squad.age_group
    row.players, row.goalkeepers = squad.players, squad.goalkeepers
    wanted = [_ask_row(ask) for ask in asks]
    if [*map(_ask_values, row.asks)] != [*map(_ask_values, wanted)]:
        row.asks = wanted


def _ask_row(ask: Ask) -> AskRow:
    return AskRow(
        sessions=ask.sessions,
        minutes=ask.minutes,
        possible=windows_as_json(ask.possible),
        preferred=windows_as_json(ask.preferred),
        least_m2=ask.least_ground.area_m2,
        least_share=ask.least_ground.share,
        least_format=ask.least_ground.format_code,
        surfaces=sorted(ask.surfaces),
        needs_goal=ask.needs_goal,
        needs_light=ask.needs_light,
        priority=ask.priority,
        latest_finish_min=ask.latest_finish_min,
        rest_days=ask.rest_days,
        no_day_before=sorted(ask.no_day_before),
        no_day_after=sorted(ask.no_day_after),
        most_in_a_row=ask.most_in_a_row,
        wishes=[
            [wish.grade, windows_as_json(wish.windows), list(wish.weekdays), wish.place]
            for wish in ask.wishes
        ],
        partners=[[item.kind, item.squad_key, item.grade] for item in ask.partners],
    )


def _ask_values(row: AskRow) -> list[object]:
    """Return what an ask says, whosever and whichever it is."""
    names = set(AskRow.__table__.columns.keys()) - {"id", "squad_id"}
    return [getattr(row, name) for name in sorted(names)]
