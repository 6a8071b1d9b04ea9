"""Pictures of what fits: the drawings of the coach's page as PNG, each by its own address."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.outputs.drawings.caption import with_caption
from clubplanner.outputs.drawings.picture import PICTURE_WIDTH_PX, png_from_svg
from clubplanner.resources import font_files
from clubplanner.services.addresses.links import squad_of_secret
from clubplanner.services.coach.fits.fit_places import FitPlace, neighbours_there
from clubplanner.services.coach.fits.session_sizes import draw_fit
from clubplanner.services.coach.squad_evening import FitForm, wish_from_form
from clubplanner.services.rows.coach_rows import coaches_from_row
from clubplanner.services.rows.ground.own_sizes import load_own_formats
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.rows.people.turnouts import load_turnout, with_turnout
from clubplanner.services.rows.snapshot import (
    WITH_NAMES,
    booking_from_row,
    load_bookings,
    load_club,
    load_venues,
    squad_from_row,
)
from clubplanner.services.showing.ground.plans import caption_of
from clubplanner.services.showing.states.squad_endings import squad_on
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from clubplanner.services.addresses.links import OwnSquad
    from clubplanner.store.engine import Store


def draw_fit_picture(
    store: Store, secret: str | OwnSquad, number: int, name: str, form: FitForm
) -> bytes:
    """Draw a way to play, the practice areas or the largest game as a PNG.

    Args:
        store: The database.
        secret: The secret part of the squad's address, or a squad of one's own.
        number: The squad's booking.
        name: Which picture, as in `draw_fit`.
        form: What the coach typed; what is missing comes from the head count that was said for
            that day, else from the squad.

    Returns:
        The drawing of the page under who, when and where.

    Raises:
        MissingError: If the address is not in use, the booking is not this squad's, or there is
            no such picture for these numbers.
        RefusedError: If what was typed cannot be used.
    """
    with store.read() as session:
        club = load_club(session)
        row = squad_of_secret(session, secret)
        booking_row = session.get(BookingRow, number, options=WITH_NAMES)
        if booking_row is not None:
            day = booking_row.starts_at.astimezone(club.time_zone).date()
            row = squad_on(session, row, day)
        if booking_row is None or booking_row.squad_id != row.id:
            raise MissingError(_("This squad has no such booking."))
        booking = booking_from_row(booking_row)
        venue, pitch = find_pitch(load_venues(session), booking.pitch_key)
        said = load_turnout(session, row.id, day)
        squad = with_turnout(squad_from_row(row, coaches_from_row(row)), said)
        own = load_own_formats(session)
        bookings = load_bookings(session, booking.during)
    wish = wish_from_form(form, squad)
    others = neighbours_there(pitch, booking, bookings)
    place = FitPlace(pitch, pitch.area(booking.area_key), day, own, neighbours=others)
    svg = draw_fit(place, wish, name)
    if svg is None:
        raise MissingError(_("There is no such picture for these numbers; go back to the page."))
    captioned = with_caption(svg, caption_of(booking, (venue, pitch), club))
    return png_from_svg(captioned, PICTURE_WIDTH_PX, font_files())
