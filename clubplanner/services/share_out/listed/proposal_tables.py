"""Proposals as tables to take away: the list of them, and one with its plan and what it changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, sentence, term, weekday_in_words
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.proposals.kept_proposals import load_proposal

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.services.proposals.differences.shown import DifferenceShown
    from clubplanner.services.proposals.proposal_page import ProposalPage
    from clubplanner.services.share_out.listed.share_out_list import ShareOutLine
    from clubplanner.store.engine import Store


def proposals_table(lines: Sequence[ShareOutLine], zone: ZoneInfo) -> Table:
    """Return the proposals, newest first."""
    columns = (
        Column(_("No."), Kind.NUMBER),
        Column(_("Proposal")),
        Column(_("Kind")),
        Column(_("Made"), Kind.INSTANT),
        Column(_("Published"), Kind.INSTANT),
        Column(_("Outcome")),
    )
    rows = [
        (
            one.number,
            one.stretch_name,
            one.sort_words,
            one.created_at,
            one.published_at,
            one.sentence,
        )
        for one in lines
    ]
    return Table(_("Share-outs"), columns, rows, zone=zone)


def proposal_tables(store: Store, page: ProposalPage) -> tuple[Table, ...]:
    """Return the plan of a proposal, what it changes, who goes without and how squads are served.

    Args:
        store: The database.
        page: What the page of the proposal shows.
    """
    words = f"{page.stretch_name}, {page.stretch_words}"
    served = (Column(_("Squad")), Column(_("Of the best it could have"), Kind.SHARE))
    return (
        _plan(store, page, words),
        _changes(page.difference, words),
        _refused(page, words),
        Table(
            _("How well each squad is served"),
            served,
            [(one.squad_name, one.percent / 100) for one in page.satisfactions],
            words,
        ),
    )


def _plan(store: Store, page: ProposalPage, words: str) -> Table:
    columns = (
        Column(_("Squad")),
        Column(_("Weekday")),
        Column(_("First date"), Kind.DATE),
        Column(_("Last date"), Kind.DATE),
        Column(_("Dates"), Kind.NUMBER),
        Column(_("From"), Kind.TIME),
        Column(_("Until"), Kind.TIME),
        Column(_("Ground")),
        Column(_("Not on")),
        Column(_("Put there by hand")),
    )
    with store.read() as session:
        sessions = load_proposal(session, page.number).sessions
    rows = [
        (
            one.squad_name,
            weekday_in_words(one.weekday),
            min(one.dates, default=None),
            max(one.dates, default=None),
            len(one.dates),
            one.start_min,
            one.end_min,
            one.ground_name,
            ", ".join(day.isoformat() for day in one.lost_dates),
            _("yes") if one.is_pinned else _("no"),
        )
        for one in sessions
    ]
    return Table(_("Plan"), columns, rows, words)


def _changes(difference: DifferenceShown, words: str) -> Table:
    columns = (
        Column(_("Squad")),
        Column(_("What happens")),
        Column(_("Was")),
        Column(_("Will be")),
        Column(_("On which dates")),
        Column(_("Dates"), Kind.NUMBER),
    )
    rows = [
        (
            squad.squad_name,
            sentence(term(line.change)),
            line.old,
            line.new,
            line.dates,
            line.count,
        )
        for squad in difference.squads
        for line in squad.lines
    ]
    return Table(_("What it changes"), columns, rows, words)


def _refused(page: ProposalPage, words: str) -> Table:
    columns = (
        Column(_("Squad")),
        Column(_("Sessions missing"), Kind.NUMBER),
        Column(_("In one sentence")),
        Column(_("What would help")),
        Column(_("What is in the way")),
    )
    rows = [
        (
            one.squad_name,
            one.missing,
            one.answer,
            " ".join(one.changes),
            " ".join(one.reasons[1:]),
        )
        for one in page.refusals
    ]
    return Table(_("Who goes without"), columns, rows, words)
