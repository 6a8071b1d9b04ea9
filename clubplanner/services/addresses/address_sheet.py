"""The sheet of addresses as a PDF, each strip with its code to scan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_in_words
from clubplanner.language import _
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.outputs.papers.address_sheet import AddressSheet, AddressStrip
from clubplanner.outputs.papers.setting import set_sheet
from clubplanner.resources import resource_folder
from clubplanner.services.rows.snapshot import load_club

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from clubplanner.services.addresses.handing_out import Strip
    from clubplanner.store.engine import Store


def code_words(strip: Strip) -> str:
    """Say what a strip's code opens."""
    return _("The address for %(holder)s", holder=strip.name)


def print_addresses(
    store: Store, strips: Sequence[Strip], public_address: str, now: datetime
) -> bytes:
    """Set strips as a PDF of A4 pages.

    Args:
        store: The database.
        strips: What to print.
        public_address: What addresses begin with.
        now: When it is made.
    """
    with store.read() as session:
        club = load_club(session)
    made = now.astimezone(club.time_zone)
    sheet = AddressSheet(
        club=club.name,
        title=_("Addresses to hand out"),
        strips=tuple(
            AddressStrip(
                name=one.name,
                purpose=one.purpose,
                address=f"{public_address}{one.path}",
                code=draw_qr(f"{public_address}{one.path}", code_words(one)),
                code_words=code_words(one),
            )
            for one in strips
        ),
        note=_("Scan the square or type the address; whoever has it can open it."),
        made=_(
            "Made %(day)s, %(time)s.", day=day_in_words(made.date()), time=made.strftime("%H:%M")
        ),
    )
    folder = resource_folder("web")
    source = (folder / "templates" / "calendars" / "address_sheet.typ").read_text("utf-8")
    return set_sheet(sheet, source, (str(folder / "static" / "fonts"),), now)
