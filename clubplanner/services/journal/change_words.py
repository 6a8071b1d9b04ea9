"""Changes of bookings in words: what a change did, and where a booking was and is."""

from __future__ import annotations

from collections import defaultdict
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import clock_in_zone, end_clock_in_zone, short_day
from clubplanner.language import _, marked, ngettext, term
from clubplanner.services.journal.record_words import summarise_records
from clubplanner.services.rows.journal.journal_rows import changed_from_row
from clubplanner.store.tables.ground_tables import AreaRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.journal import BookingState, ChangedBooking
    from clubplanner.store.tables.season_tables import ChangedRecordRow, ChangeRow


def describe_state(session: Session, state: BookingState, zone: ZoneInfo) -> str:
    """Write where and when a booking is: "Clubhouse third, Top pitch, Wed 25 Nov 18:00–19:15"."""
    area = session.get(AreaRow, state.area_id)
    place = _("ground that is gone") if area is None else _place(area)
    day = short_day(state.starts_at.astimezone(zone).date())
    return (
        f"{place}, {day} {clock_in_zone(state.starts_at, zone)}–"
        f"{end_clock_in_zone(state.ends_at, zone)}"
    )


@contextmanager
def hold_places(session: Session, entries: Iterable[ChangedBooking]) -> Iterator[None]:
    """Read the ground of all entries at once, and keep it for the block.

    A session forgets what nobody holds, and asks for each area and its pitch again, line by line.
    """
    numbers = {
        state.area_id
        for entry in entries
        for state in (entry.before, entry.after)
        if state is not None
    }
    areas = select(AreaRow).where(AreaRow.id.in_(numbers)).options(joinedload(AreaRow.pitch))
    held = session.scalars(areas).all() if numbers else ()
    yield
    del held


def _place(area: AreaRow) -> str:
    return part_in_words(area, area.pitch.name)


def summarise_change(row: ChangeRow, records: Sequence[ChangedRecordRow]) -> str:
    """Say what was done, for a change that nobody described.

    Args:
        row: The change.
        records: Those of its records that may be seen (`own_records_of`).
    """
    counts: dict[str, int] = defaultdict(int)
    for entry in row.bookings:
        counts[_verb(changed_from_row(entry))] += 1
    parts = [
        ngettext("%(num)s booking %(verb)s", "%(num)s bookings %(verb)s", count, verb=term(verb))
        for verb, count in counts.items()
    ]
    if records:
        parts.append(summarise_records(records))
    return ", ".join(parts)


def _verb(entry: ChangedBooking) -> str:
    was, now = entry.before, entry.after
    if was is None:
        return marked("added")
    if now.is_withdrawn != was.is_withdrawn:
        return marked("withdrawn") if now.is_withdrawn else marked("put back")
    if (was.area_id, was.starts_at, was.ends_at) != (now.area_id, now.starts_at, now.ends_at):
        return marked("moved")
    if was.is_fixed != now.is_fixed:
        return marked("fixed") if now.is_fixed else marked("set free")
    return marked("reworded")


def entry_words(session: Session, entry: ChangedBooking, zone: ZoneInfo) -> str:
    """Write what a change did to one booking."""
    verb = _verb(entry)
    after = describe_state(session, entry.after, zone)
    if verb == "moved" and entry.before is not None:
        before = describe_state(session, entry.before, zone)
        return _(
            "%(holder)s moved from %(before)s to %(after)s",
            holder=entry.after.holder,
            before=before,
            after=after,
        )
    return f"{entry.after.holder} {term(verb)}: {after}"
