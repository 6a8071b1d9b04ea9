"""A proposal drawn over time, against what stands or against another proposal."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from flask import render_template, request, url_for

from clubplanner.services.proposals.weeks.week import PITCHES, ProposalWeekWish, see_proposal_week
from clubplanner.services.share_out.listed.names import name_share_outs
from clubplanner.services.share_out.listed.share_out_list import list_numbers
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.share_out.sharing import pages

if TYPE_CHECKING:
    from clubplanner.services.proposals.weeks.week import ProposalWeekPage

OTHERS = 20
"""Proposals that can be chosen to compare with, the newest first."""


@pages.get("/<int:number>/week")
@for_secretary
def week(number: int) -> str:
    """Draw a week of a proposal against what stands, or against another proposal."""
    page = drawn_week(number)
    store = app_state().store
    numbers = [other for other in list_numbers(store) if other != number]
    others = name_share_outs(store, numbers[:OTHERS])
    kept = {"venue": page.venue.value}
    if page.other is not None:
        kept["other"] = str(page.other)
    return render_template(
        "share_out/week.html",
        page=page,
        others=others,
        kept=kept,
        leaf=leaf_through(page.pitches, PITCHES, "pitch"),
    )


def drawn_week(number: int, usual: date | None = None) -> ProposalWeekPage:
    """Return a proposal's week as the request asks for it.

    Args:
        number: The proposal.
        usual: A date of the week where the request names none; None for the first with a change.
    """
    state = app_state()
    wish = _wish(number)
    if wish.monday is None and wish.other is None and usual is not None:
        wish = replace(wish, monday=usual - timedelta(days=usual.weekday()))
    return see_proposal_week(
        state.store,
        wish,
        state.clock(),
        lambda place: url_for("share_outs.other", number=number, place=place),
        lambda booking: url_for("desk.booking", number=booking),
    )


def _wish(number: int) -> ProposalWeekWish:
    other, pitch = (_number(request.args.get(name, "")) for name in ("other", "pitch"))
    return ProposalWeekWish(
        number,
        None if other == number else other,
        request.args.get("venue") or None,
        _monday(),
        0 if pitch is None else pitch - 1,
    )


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 10 else None


def _monday() -> date | None:
    day = asked_day("week")
    return None if day is None else date.fromordinal(day.toordinal() - day.weekday())
