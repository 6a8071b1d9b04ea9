"""May this booking be here? What everybody asks who puts or moves one by hand.

Whoever does so puts the booking where it is to go, then asks: what breaks a rule of the rule book
is taken back with the transaction, unless the secretary was told of it and says why it is done all
the same. Ground that is closed asks no rule; neither does what only writes down facts, such as the
bookings of a club's files.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose, draft_booking
from clubplanner.domain.rules.book import hindrances
from clubplanner.domain.rules.case import Case
from clubplanner.errors import HinderedError
from clubplanner.language import _
from clubplanner.services.places.places import ask_for
from clubplanner.services.places.scenes import load_scene_at
from clubplanner.services.rows.bookings.booking_rows import ground_of, load_area
from clubplanner.services.rows.bookings.held_against import known_held_against, load_held_against
from clubplanner.services.rows.snapshot import booking_from_row
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.rules.case import Hindrance, Scene
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.services.rows.bookings.booking_rows import BookingWish
    from clubplanner.store.tables.booking_tables import BookingRow


@dataclass(frozen=True, slots=True)
class Overruling:
    """A person's choice to do a thing although rules stand in the way.

    Attributes:
        because: Why; blank while it has not been chosen.
        told: The words of the rules that the person has read; only these are overruled. None for
            whatever stands in the way, where the person asked for that.
    """

    because: str = ""
    told: frozenset[str] | None = frozenset()

    def covers(self, found: Sequence[Hindrance]) -> bool:
        """Tell whether all of some hindrances are overruled; held ground never is."""
        if not self.because or any(one.is_final for one in found):
            return False
        return self.told is None or all(one.words in self.told for one in found)


NOWHERE = -1
"""The number of a booking that is only wanted."""
KEEP_THE_RULES = Overruling()
"""Nothing is overruled."""


def booking_as_wished(session: Session, wish: BookingWish, number: int | None = None) -> Booking:
    """Return a booking as it is wanted, for the rules to look at; it stands nowhere yet.

    Raises:
        MissingError: If the area is gone.
    """
    known = known_held_against(session)
    keys = None if known is None else known.keys.grounds.get(wish.area_id)
    ground = ground_of(session, wish.area_id)
    if keys is None:
        area = load_area(session, wish.area_id)
        keys = area.pitch.key, area.key
    squad = None if wish.squad_id is None else session.get(SquadRow, wish.squad_id)
    return draft_booking(
        number=NOWHERE if number is None else number,
        pitch_key=keys[0],
        area_key=keys[1],
        cells=ground.cells,
        during=wish.during,
        purpose=wish.purpose,
        squad_key=None if squad is None else squad.key,
        holder=wish.holder,
        note=wish.note,
        is_fixed=wish.is_fixed,
    )


def case_at(
    scene: Scene,
    booking: Booking,
    pitch: Pitch,
    area: Area,
    during: TimeRange,
    was: TimeRange | None = None,
) -> Case:
    """Return the case of a booking at some place and time, for the rules to look at.

    Args:
        scene: The club round that day.
        booking: Whose, why, and its number, by which it stands in nobody's way.
        pitch: Where.
        area: Which part of it.
        during: When.
        was: When it is now; None for a new booking.
    """
    key = booking.squad_key or ""
    is_training = booking.purpose is Purpose.TRAINING
    there = booking if during is booking.during else replace(booking, during=during)
    return Case(
        scene,
        pitch,
        area,
        during,
        purpose=booking.purpose,
        squad=scene.squads.get(key),
        ask=ask_for(there, scene.asks.get(key, ())) if is_training else None,
        number=booking.number,
        was=was,
    )


def against(
    scene: Scene, booking: Booking, pitch: Pitch, area: Area, during: TimeRange
) -> tuple[Hindrance, ...]:
    """Return the rules, besides held ground, that would be broken if a booking moved there."""
    found = hindrances(case_at(scene, booking, pitch, area, during, booking.during))
    return tuple(one for one in found if not one.is_final)


def what_hinders_row(
    session: Session, row: BookingRow, was: TimeRange | None = None
) -> tuple[Hindrance, ...]:
    """Return every rule that a booking breaks where it stands; closed ground breaks none.

    Args:
        session: A session in which the booking stands there already.
        row: The booking.
        was: When it was before; None for a new one, or to be told of everything.
    """
    if row.purpose is Purpose.CLOSED:
        return ()
    return _look(session, row, was)


def what_hinders_wish(session: Session, wish: BookingWish) -> tuple[Hindrance, ...]:
    """Return every rule that a booking would break that stands nowhere yet; closed ground none.

    Raises:
        MissingError: If the area is gone.
    """
    if wish.purpose is Purpose.CLOSED:
        return ()
    load_held_against(session)
    return _look_at(session, booking_as_wished(session, wish), None)


def hold_all_to_rules(session: Session, placed: Sequence[tuple[BookingRow, TimeRange]]) -> None:
    """Let bookings stand where they were just put only if none of them breaks a rule.

    Args:
        session: The open write session, in which all of them stand where they are to be.
        placed: Each with when it was before.

    Raises:
        HinderedError: Naming the rules for the first that breaks any, and whose it is.
    """
    for row, was in placed:
        found = _look(session, row, was)
        if found:
            advice = _("Choose another place for %(holder)s.", holder=row.holder)
            raise HinderedError(found, advice)


def _look(session: Session, row: BookingRow, was: TimeRange | None) -> tuple[Hindrance, ...]:
    session.flush()
    return _look_at(session, booking_from_row(row, load_held_against(session).keys), was)


def _look_at(session: Session, booking: Booking, was: TimeRange | None) -> tuple[Hindrance, ...]:
    scene = load_scene_at(session, booking)
    pitch = scene.pitches[booking.pitch_key]
    area = pitch.area(booking.area_key)
    return hindrances(case_at(scene, booking, pitch, area, booking.during, was))


def hold_to_rules(
    session: Session,
    row: BookingRow,
    overruling: Overruling = KEEP_THE_RULES,
    was: TimeRange | None = None,
) -> tuple[Hindrance, ...]:
    """Let a booking stand where it was just put only if no rule is broken, or on purpose.

    What was overruled is kept with the booking; where no rule stands in the way, nothing is.

    Args:
        session: The open write session.
        row: The booking where it is to be.
        overruling: What the person chose.
        was: When it was before; None for a new one.

    Returns:
        The rules that were overruled.

    Raises:
        HinderedError: Naming every rule; the caller lets it end the transaction.
    """
    found = what_hinders_row(session, row, was)
    hold_to_found(row, found, overruling)
    return found


def hold_to_found(row: BookingRow, found: Sequence[Hindrance], overruling: Overruling) -> None:
    """Let a booking stand only if no rule was found broken, or on purpose; keep what was overruled.

    Raises:
        HinderedError: Naming every rule; the caller lets it end the transaction.
    """
    if found and not overruling.covers(found):
        raise HinderedError(found)
    because = overruling.because if found else ""
    if row.overruled != because:  # a row that is given what it has is looked at again all the same
        row.overruled = because


def although(done: str, found: Sequence[Hindrance], because: str) -> str:
    """Add to a clause for the journal which rules were overruled, and why."""
    if not found:
        return done
    return _(
        "%(done)s, although: %(rules)s Because: %(reason)s",
        done=done,
        rules=" ".join(one.words for one in found),
        reason=because.rstrip(". "),
    )
