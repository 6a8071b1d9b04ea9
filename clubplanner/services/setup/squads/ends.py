"""A squad ends from a date on: what is to come of it goes, what was stays in the records.

Its sessions are withdrawn, so that calendars take them out themselves; its addresses go on opening
and say what happened. The rule book lets nothing of it be booked from that date on
(`services/rows/seasons/squad_seasons.py`), and share-outs of later dates leave it out.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.booked.waiting import AskState, SwapState
from clubplanner.domain.times.times import instant_from_wall, short_day
from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.addresses.hints import drop_hints
from clubplanner.services.giving.hints import about_offer, tell_of_lost_offer
from clubplanner.services.giving.waiting_list import serve_waiting
from clubplanner.services.rows.bookings.booking_rows import note_change
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.snapshot import WITH_NAMES, load_zone
from clubplanner.services.showing.states.squad_endings import ending_of
from clubplanner.store.journal.journal import describe_change, explain_change, mail_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import FixtureRow, SwapOfferRow, WaitingAskRow
from clubplanner.store.tables.squad_tables import SquadEndRow, SquadRow
from clubplanner.store.tables.turnout_tables import TurnoutRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class SquadEnded:
    """What the end of a squad takes along.

    Attributes:
        squad: Its name.
        from_day: The first date without it.
        sessions: How many sessions to come are withdrawn.
        matches: How many matches are called off.
        matches_kept: How many matches stay.
        asks: How many asks of the waiting list go.
        swaps: How many offers to change places go.
    """

    squad: str
    from_day: date
    sessions: int
    matches: int
    matches_kept: int
    asks: int
    swaps: int

    @property
    def words(self) -> str:
        """The same, a clause without a full stop."""
        parts = [
            _(
                "%(squad)s end, with no session from %(day)s on",
                squad=self.squad,
                day=short_day(self.from_day),
            ),
            ngettext("%(num)s session withdrawn", "%(num)s sessions withdrawn", self.sessions),
        ]
        if self.matches:
            parts.append(
                ngettext("one match called off", "%(num)s matches called off", self.matches)
            )
        if self.matches_kept:
            parts.append(ngettext("one match stays", "%(num)s matches stay", self.matches_kept))
        if self.asks:
            parts.append(
                ngettext(
                    "one ask of the waiting list goes",
                    "%(num)s asks of the waiting list go",
                    self.asks,
                )
            )
        if self.swaps:
            parts.append(
                ngettext(
                    "one offer to change places goes",
                    "%(num)s offers to change places go",
                    self.swaps,
                )
            )
        return ", ".join(parts)


def end_squad(
    session: Session,
    squad: SquadRow,
    from_day: date,
    now: datetime,
    *,
    why: str = "",
    goes_on_in: SquadRow | None = None,
    keeps_matches: bool = False,
) -> SquadEnded:
    """Let a squad end from a date on.

    Bookings that have begun, and all that lies before the date, stay. What it asks for every week
    stays in the records for the past, and counts for no later date.

    Args:
        session: The open write session; the caller describes the change.
        squad: The squad.
        from_day: The first local date without it.
        now: The present instant.
        why: For whoever came to it; may be blank.
        goes_on_in: The squad that its players go to, as for a merger; None for none.
        keeps_matches: Whether its matches stay.

    Returns:
        What went.
    """
    _keep_end(session, squad, from_day, why, goes_on_in)
    coming = find_coming(session, squad, from_day, now)
    fixtures = find_matches(session, squad, from_day)
    going = [row for row in coming if not (keeps_matches and row.purpose is Purpose.MATCH)]
    reason = Reason(Cause.SAID, ending_of(session, squad))
    for row in going:
        row.is_withdrawn = True
        note_change(row, now)
        explain_change(session, reason, row.id)
    if not keeps_matches:
        for fixture in fixtures:
            fixture.withdrawn_at = now
    asks = _end_asks(session, squad, from_day, reason.words)
    swaps = _end_swaps(session, [row.id for row in going], reason.words, now)
    _forget_turnouts(session, squad, from_day)
    session.flush()
    return SquadEnded(
        squad=squad.name,
        from_day=from_day,
        sessions=sum(row.purpose is not Purpose.MATCH for row in going),
        matches=0 if keeps_matches else len(fixtures),
        matches_kept=len(fixtures) if keeps_matches else 0,
        asks=asks,
        swaps=swaps,
    )


def end_squad_from(
    store: Store,
    squad_key: str,
    from_day: date,
    now: datetime,
    *,
    why: str = "",
    goes_on_in: str = "",
    keeps_matches: bool = False,
    mails: bool = True,
    seen: str | None = None,
) -> str:
    """Let a squad end from a date on, and offer its ground to whoever waits for some.

    Args:
        store: The database.
        squad_key: Key or name of the squad.
        from_day: The first local date without it: today or later.
        now: The present instant.
        why: For whoever came to it; may be blank.
        goes_on_in: Key or name of the squad that its players go to; blank for none.
        keeps_matches: Whether its matches stay.
        mails: Whether everybody is written to however far ahead it is; else only about what is
            soon, and calendars tell the rest.
        seen: Digest of what the person was shown to go; None to do it unseen.

    Returns:
        What was done, sentences.

    Raises:
        MissingError: If there is no such squad.
        OutdatedError: If something else would go than the person was shown.
        RefusedError: If the date has passed, the squad ends already, or it would go on in itself.
    """
    with store.write() as session:
        squad = find_squad(session, squad_key)
        other = find_squad(session, goes_on_in) if goes_on_in else None
        refuse_end(session, squad, from_day, now, other)
        if seen is not None and seen != digest_of(session, squad, from_day, now):
            raise OutdatedError(
                _(
                    "Something has changed since you looked, so more or less would go than you "
                    "were shown. Nothing was changed; look again."
                )
            )
        ended = end_squad(
            session, squad, from_day, now, why=why, goes_on_in=other, keeps_matches=keeps_matches
        )
        describe_change(session, ended.words)
        if mails:
            mail_change(session)
    return " ".join((f"{ended.words}.", *serve_waiting(store, now)))


def refuse_end(
    session: Session, squad: SquadRow, from_day: date, now: datetime, goes_on_in: SquadRow | None
) -> None:
    """Raise RefusedError, saying what to do, where a squad cannot end so."""
    if from_day < now.astimezone(load_zone(session)).date():
        raise RefusedError(_("This date has passed; a squad ends today at the earliest."))
    row = session.get(SquadEndRow, squad.id)
    if row is not None:
        raise RefusedError(
            _(
                "%(squad)s end already, with no session from %(day)s on; take that back first to "
                "choose another date.",
                squad=squad.name,
                day=short_day(row.from_day),
            )
        )
    if goes_on_in is squad:
        raise RefusedError(_("Choose another squad for its players to go to."))


def digest_of(session: Session, squad: SquadRow, from_day: date, now: datetime) -> str:
    """Return a short text that is the same while the same sessions and matches would go."""
    parts = [f"b{row.id}.{row.sequence}" for row in find_coming(session, squad, from_day, now)]
    parts += [f"m{row.id}" for row in find_matches(session, squad, from_day)]
    return hashlib.sha256("|".join(parts).encode()).hexdigest()[:16]


def find_coming(
    session: Session, squad: SquadRow, from_day: date, now: datetime
) -> Sequence[BookingRow]:
    """Return the bookings of a squad that begin on a local date or later, and are to come."""
    start = instant_from_wall(from_day, 0, load_zone(session))
    return session.scalars(
        select(BookingRow)
        .where(
            BookingRow.squad_id == squad.id,
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at >= start,
            BookingRow.starts_at > now,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(*WITH_NAMES)
    ).all()


def find_matches(session: Session, squad: SquadRow, from_day: date) -> Sequence[FixtureRow]:
    """Return the matches of a squad from a date on that have not been called off."""
    return session.scalars(
        select(FixtureRow)
        .where(
            FixtureRow.squad_id == squad.id,
            FixtureRow.day >= from_day,
            FixtureRow.withdrawn_at.is_(None),
        )
        .order_by(FixtureRow.day, FixtureRow.id)
    ).all()


def _keep_end(
    session: Session, squad: SquadRow, from_day: date, why: str, goes_on_in: SquadRow | None
) -> None:
    row = session.get(SquadEndRow, squad.id)
    if row is None:
        row = SquadEndRow(squad_id=squad.id)
        session.add(row)
    row.from_day, row.why = from_day, why
    row.goes_on_in_id = None if goes_on_in is None else goes_on_in.id
    session.flush()
    session.expire(row, ["goes_on_in"])


def _end_asks(session: Session, squad: SquadRow, from_day: date, answer: str) -> int:
    rows = session.scalars(
        select(WaitingAskRow).where(
            WaitingAskRow.squad_id == squad.id,
            WaitingAskRow.day >= from_day,
            WaitingAskRow.state == AskState.WAITING.value,
        )
    ).all()
    for row in rows:
        row.state, row.answer = AskState.REFUSED.value, answer
        drop_hints(session, f"ask {row.id}")
    return len(rows)


def _end_swaps(session: Session, numbers: Sequence[int], why: str, now: datetime) -> int:
    known = set(numbers)
    rows = [
        offer
        for offer in session.scalars(
            select(SwapOfferRow).where(SwapOfferRow.state == SwapState.OFFERED.value)
        )
        if known & {offer.own_id, offer.other_id}
    ]
    for offer in rows:
        offer.state = SwapState.TAKEN_BACK.value
        if offer.own_id in known:
            drop_hints(session, about_offer(offer))
        else:
            tell_of_lost_offer(session, offer, why, now)
    return len(rows)


def _forget_turnouts(session: Session, squad: SquadRow, from_day: date) -> None:
    for row in session.scalars(
        select(TurnoutRow).where(TurnoutRow.squad_id == squad.id, TurnoutRow.day >= from_day)
    ):
        session.delete(row)
