"""Another first or last date of a stretch: its weeks go on over new dates, or end with the old.

All is told before it is done: what would be booked, what a rule keeps from being booked and where
else it could go, and what would be withdrawn. It is one change, taken back as one.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import (
    TimeRange,
    clock_in_zone,
    end_clock_in_zone,
    short_day,
)
from clubplanner.errors import OutdatedError
from clubplanner.language import _, ngettext
from clubplanner.services.places.places import place_in_words
from clubplanner.services.rows.bookings.booking_rows import (
    flush,
    load_area,
    note_change,
    refuse_clash,
)
from clubplanner.services.rows.seasons.stretches import find_stretch
from clubplanner.services.rows.snapshot import (
    load_zone,
)
from clubplanner.services.season.added_weeks import places_for, plan_dates
from clubplanner.services.season.year import write_stretch
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.journal.journal import describe_change, explain_change, mail_change
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.season.added_weeks import Plan, Wish
    from clubplanner.store.engine import Store

LEAVE_OUT, ALL_THE_SAME = "leave out", "all the same"
"""The choices for a session that a rule stands in the way of, besides other places."""
MOST_PLACES = 4
"""Other places that are offered for one session."""
MOST_LOOKED_FOR = 60
"""Sessions for which other places are looked for; further ones are told without."""


@dataclass(frozen=True, slots=True)
class Clashing:
    """A session on a new date that a rule stands in the way of.

    Attributes:
        key: Names it in a form.
        words: Whose, when and where.
        why: The rules, sentences.
        choices: What can be done: other places first, then leaving it out, and having it all the
            same where that is for the secretary to decide.
    """

    key: str
    words: str
    why: tuple[str, ...]
    choices: tuple[Choice, ...]


@dataclass(frozen=True, slots=True)
class ForeseenDates:
    """What other dates of a stretch would change.

    Attributes:
        key: The stretch.
        name: What it is to be called.
        first: Its new first date.
        last: Its new last date, included.
        first_now: Its first date so far.
        last_now: Its last date so far, included.
        booked: How many sessions would be booked as in the weeks before.
        standing: How many are booked there already.
        clashes: Those that a rule stands in the way of, by date.
        not_continued: Squads whose sessions do not go on, with why, a sentence each.
        withdrawn: How many sessions of share-outs would be withdrawn.
        by_hand: How many that a person put there lie outside then.
        seen: Digest of all that, for the form that does it.
    """

    key: str
    name: str
    first: date
    last: date
    first_now: date
    last_now: date
    booked: int
    standing: int
    clashes: tuple[Clashing, ...]
    not_continued: tuple[str, ...]
    withdrawn: int
    by_hand: int
    seen: str

    @property
    def is_quiet(self) -> bool:
        """Whether no booking would change, and nothing is to be told."""
        return not (
            self.booked or self.clashes or self.not_continued or self.withdrawn or self.by_hand
        )


def find_stretch_dates(store: Store, key: str) -> Stretch:
    """Return a stretch by key or name.

    Raises:
        MissingError: Naming the stretches there are.
    """
    with store.read() as session:
        return find_stretch(session, key)


def see_stretch_dates(
    store: Store, key: str, name: str, first: date, last: date, now: datetime
) -> ForeseenDates:
    """Say what other dates of a stretch would change; nothing is changed.

    Args:
        store: The database.
        key: Which stretch.
        name: What it is to be called.
        first: Its new first date.
        last: Its new last date, included.
        now: The present instant.

    Raises:
        MissingError: If there is no such stretch.
    """
    with store.read() as session:
        stretch = find_stretch(session, key)
        zone = load_zone(session)
        plan = plan_dates(
            session, stretch, replace(stretch, starts_on=first, ends_on=last), now, zone
        )
        clashing = [one for one in plan.wishes if not one.is_as_before]
        return ForeseenDates(
            key=stretch.key,
            name=name,
            first=first,
            last=last,
            first_now=stretch.starts_on,
            last_now=stretch.ends_on,
            booked=len(plan.wishes) - len(clashing),
            standing=plan.standing,
            clashes=tuple(
                _told(plan, one, zone, looks=n < MOST_LOOKED_FOR) for n, one in enumerate(clashing)
            ),
            not_continued=plan.not_continued,
            withdrawn=sum(not row.is_fixed for row in plan.gone),
            by_hand=sum(row.is_fixed for row in plan.gone),
            seen=plan.digest,
        )


def change_stretch_dates(
    store: Store,
    key: str,
    name: str,
    first: date,
    last: date,
    decisions: Mapping[str, str],
    now: datetime,
    *,
    withdraws_by_hand: bool = False,
    mails: bool = False,
    seen: str | None = None,
) -> str:
    """Give a stretch other dates, and let its weeks go on or end with them.

    Args:
        store: The database.
        key: Which stretch.
        name: What it is to be called.
        first: Its new first date.
        last: Its new last date, included.
        decisions: What to do with each session that a rule stands in the way of, by its key; left
            out, it is not booked.
        now: The present instant.
        withdraws_by_hand: Whether what a person put outside the new dates is withdrawn, too.
        mails: Whether everybody is written to about what is withdrawn, however far ahead it is.
        seen: Digest of what the person was shown; None to do it unseen.

    Returns:
        What was done, sentences.

    Raises:
        ClashError: If two of the sessions would meet, or somebody has taken the ground.
        MissingError: If there is no such stretch.
        OutdatedError: If something else would change than the person was shown.
        RefusedError: If the dates run backwards or two stretches would overlap.
    """
    with store.write() as session:
        stretch = find_stretch(session, key)
        zone = load_zone(session)
        plan = plan_dates(
            session, stretch, replace(stretch, starts_on=first, ends_on=last), now, zone
        )
        if seen is not None and seen != plan.digest:
            raise OutdatedError(
                _(
                    "Bookings have changed since you looked, so this would change something else "
                    "than you were shown. Nothing was changed; look again."
                )
            )
        done = [write_stretch(session, stretch.key, name, first, last)]
        gone = [row for row in plan.gone if withdraws_by_hand or not row.is_fixed]
        booked, left_out = _book(session, plan, decisions, now)
        _withdraw(session, gone, name, now)
        if booked:
            done.append(ngettext("%(num)s session booked.", "%(num)s sessions booked.", booked))
        if left_out:
            done.append(ngettext("One left out.", "%(num)s left out.", left_out))
        if gone:
            done.append(
                ngettext("%(num)s session withdrawn.", "%(num)s sessions withdrawn.", len(gone))
            )
        if gone and mails:
            mail_change(session)
        describe_change(session, " ".join(done).rstrip("."))
        return " ".join(done)


def _told(plan: Plan, wish: Wish, zone: ZoneInfo, *, looks: bool) -> Clashing:
    booking = wish.booking
    places = places_for(plan, wish) if looks else ()
    choices = [
        Choice(_value(place), f"{place_in_words(place, booking.during, zone)}, {place.venue_name}")
        for place in places
    ]
    choices.append(Choice(LEAVE_OUT, _("not on this date")))
    if not wish.is_held:
        choices.append(Choice(ALL_THE_SAME, _("all the same, as in the weeks before")))
    area, pitch = wish.habit.like.area, wish.habit.like.pitch
    place = part_in_words(area, pitch.name)
    times = (
        f"{clock_in_zone(booking.during.starts_at, zone)}–"
        f"{end_clock_in_zone(booking.during.ends_at, zone)}"
    )
    return Clashing(
        wish.key,
        f"{booking.holder}, {short_day(wish.day)} {times}, {place}",
        tuple(one.words for one in wish.found),
        tuple(choices),
    )


def _value(place: Place) -> str:
    return f"{place.area_id}@{int(place.during.starts_at.timestamp())}"


def _book(
    session: Session,
    plan: Plan,
    decisions: Mapping[str, str],
    now: datetime,
) -> tuple[int, int]:
    """Book what goes on; return how many sessions are, and how many are left out."""
    booked, elsewhere = 0, []
    for wish in plan.wishes:
        choice = LEAVE_OUT if wish.found else ""
        if not wish.is_as_before:
            choice = decisions.get(wish.key, LEAVE_OUT)
        if wish.is_as_before or (choice == ALL_THE_SAME and not wish.is_held):
            reason = wish.habit.like.overruled or _("as in the weeks before")
            row = _new_row(wish.habit.like, wish.booking.during, now)
            row.overruled = reason if wish.found else ""
            session.add(row)
            booked += 1
        elif choice not in (LEAVE_OUT, ALL_THE_SAME):
            elsewhere.append((wish, choice))
    flush(session)
    for wish, choice in elsewhere:
        place = next((p for p in places_for(plan, wish) if _value(p) == choice), None)
        if place is None:
            raise OutdatedError(
                _(
                    "%(squad)s can no longer go there on %(day)s. Nothing was changed; look again.",
                    squad=wish.booking.holder,
                    day=short_day(wish.day),
                )
            )
        area = load_area(session, place.area_id)
        refuse_clash(session, area, place.during)
        row = _new_row(wish.habit.like, place.during, now)
        row.area_id, row.pitch_id, row.cells = area.id, area.pitch_id, area.cells
        row.is_fixed = True
        session.add(row)
        flush(session)
        booked += 1
    return booked, len(plan.wishes) - booked


def _new_row(like: BookingRow, during: TimeRange, now: datetime) -> BookingRow:
    return BookingRow(
        uid=f"{uuid.uuid4()}@clubplanner",
        pitch_id=like.pitch_id,
        area_id=like.area_id,
        cells=like.area.cells,
        starts_at=during.starts_at,
        ends_at=during.ends_at,
        purpose=Purpose.TRAINING,
        squad_id=like.squad_id,
        written_holder=like.holder,
        note="",
        is_withdrawn=False,
        is_fixed=like.is_fixed,
        share_out_id=like.share_out_id,
        sequence=0,
        created_at=now,
        changed_at=now,
    )


def _withdraw(session: Session, rows: Sequence[BookingRow], name: str, now: datetime) -> None:
    for row in rows:
        row.is_withdrawn = True
        note_change(row, now)
        explain_change(session, Reason(Cause.SAID, _("%(name)s ends before", name=name)), row.id)
