"""What coaches are told of offers to change places, and of what became of their asks."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.waiting import AskState, SwapState
from clubplanner.domain.club.told.notices import SOON
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.times.times import (
    clock_in_zone,
    end_clock_in_zone,
    instant_from_wall,
    short_day,
)
from clubplanner.language import _
from clubplanner.services.addresses.hints import Hint, drop_hints, hint_coaches
from clubplanner.services.rows.snapshot import load_zone

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.season_tables import SwapOfferRow, WaitingAskRow

PAGE = "/coach/give"
AT_ONCE = timedelta(seconds=2)
"""Whoever is answered so soon after asking reads the answer on the page they asked on."""


def about_offer(offer: SwapOfferRow) -> str:
    """Return how hints about an offer are marked."""
    return f"swap {offer.id}"


def tell_of_offer(session: Session, offer: SwapOfferRow, zone: ZoneInfo, now: datetime) -> None:
    """Tell the other squad's coach of an offer."""
    own, other = offer.own, offer.other

    def words() -> tuple[str, str]:
        subject = _(
            "%(own)s offer to change places with %(other)s", own=own.holder, other=other.holder
        )
        text = _(
            "%(by)s offers that %(own)s and %(other)s take each other's place:",
            by=offer.by,
            own=own.holder,
            other=other.holder,
        )
        lines = [f"{row.holder}: {where_in_words(row, zone)}" for row in (own, other)]
        note = [f"“{offer.note}”"] if offer.note else []
        return subject, "\n\n".join([text, "\n".join(lines), *note, _("Accept or decline here:")])

    ends_at = min(own.starts_at, other.starts_at)
    hint_coaches(session, other.squad_id, Hint(about_offer(offer), PAGE, ends_at, words), now)


def tell_of_answer(session: Session, offer: SwapOfferRow, now: datetime) -> None:
    """Tell whoever offered that their offer was accepted or declined.

    Not where the change of places is mailed itself.
    """
    drop_hints(session, about_offer(offer))
    own, other = offer.own, offer.other
    is_done = offer.state == SwapState.ACCEPTED.value
    if is_done and min(own.starts_at, other.starts_at) < now + SOON:
        return

    def words() -> tuple[str, str]:
        if is_done:
            return (
                _("%(other)s have changed places with you", other=other.holder),
                _("Your offer was accepted. Where %(own)s are now:", own=own.holder),
            )
        return (
            _("%(other)s keep their place", other=other.holder),
            _("Your offer to change places was declined; %(own)s stay too.", own=own.holder),
        )

    hint = Hint(f"{about_offer(offer)} answered", "/coach", own.ends_at, words)
    hint_coaches(session, own.squad_id, hint, now)


def tell_of_lost_offer(session: Session, offer: SwapOfferRow, why: str, now: datetime) -> None:
    """Tell whoever offered that the other squad is there no more to answer.

    Args:
        session: The open write session.
        offer: The offer that is over.
        why: Why, a clause without a full stop.
        now: The present instant.
    """
    drop_hints(session, about_offer(offer))
    own, other = offer.own, offer.other

    def words() -> tuple[str, str]:
        subject = _("%(other)s cannot change places with you any more", other=other.holder)
        over = _(
            "Your offer to change places is over; %(own)s stay where they are.", own=own.holder
        )
        return subject, f"{why}. {over}"

    hint = Hint(f"{about_offer(offer)} answered", "/coach", own.ends_at, words)
    hint_coaches(session, own.squad_id, hint, now)


def tell_of_ask(session: Session, ask: WaitingAskRow, now: datetime | None) -> None:
    """Tell a squad's coach what became of an ask that waited.

    Args:
        session: The open write session.
        ask: As it is now.
        now: The present instant; None to take when it was asked.
    """
    at = now or ask.asked_at
    if now is not None and now - ask.asked_at < AT_ONCE:
        return
    booking = ask.booking
    if now is not None and booking is not None and booking.starts_at < now + SOON:
        return  # the session itself is mailed
    ends_at = instant_from_wall(ask.day, ask.to_min, load_zone(session))
    is_granted = ask.state == AskState.GRANTED.value

    def words() -> tuple[str, str]:
        day = short_day(ask.day)
        if is_granted:
            subject = _("%(squad)s have ground on %(day)s", squad=ask.squad.name, day=day)
            return subject, ask.answer
        subject = _("%(squad)s: no ground on %(day)s", squad=ask.squad.name, day=day)
        refused = _("What you asked for was refused.")
        return subject, f"{refused} {ask.answer}".strip()

    hint_coaches(session, ask.squad_id, Hint(f"ask {ask.id}", PAGE, ends_at, words), at)


def where_in_words(row: BookingRow, zone: ZoneInfo) -> str:
    """Name the ground and the times of a session."""
    place = part_in_words(row.area, row.pitch.name)
    day = short_day(row.starts_at.astimezone(zone).date())
    times = f"{clock_in_zone(row.starts_at, zone)}–{end_clock_in_zone(row.ends_at, zone)}"
    return f"{place}, {day} {times}"
