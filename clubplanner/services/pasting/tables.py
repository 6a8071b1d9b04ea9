"""Looking at a table that was pasted or dropped, and taking it in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.squads_file.squads import CLUB
from clubplanner.inputs.pasting.contents import guess_columns
from clubplanner.inputs.pasting.headings import (
    find_heading_row,
    headings_of,
    plain_heading,
    propose_columns,
)
from clubplanner.inputs.pasting.kinds import CLUB_HEADINGS, HIRES, LEFT_OUT, MATCHES, SQUADS
from clubplanner.inputs.pasting.understanding import (
    ClubWords,
    LooseTable,
    Understood,
    lone_rows,
    taken_rows,
    understand,
)
from clubplanner.language import _
from clubplanner.services.pasting.hires import take_hires
from clubplanner.services.pasting.kept_headings import keep_headings, load_headings
from clubplanner.services.pasting.matches import take_matches
from clubplanner.services.pasting.sent import SentTable, Taken
from clubplanner.services.pasting.squads import take_squads
from clubplanner.services.rows.ground.known_sizes import format_codes
from clubplanner.services.rows.ground.own_sizes import load_formats
from clubplanner.services.rows.own_club import is_held, load_clubs
from clubplanner.services.rows.snapshot import load_club, load_zone
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.ground_tables import PitchRow

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

TAKE: dict[str, Callable[[Session, SentTable, LooseTable, Understood, datetime], Taken]] = {
    SQUADS: take_squads,
    MATCHES: lambda session, _sent, table, understood, _now: take_matches(
        session, table, understood
    ),
    HIRES: lambda session, _sent, table, understood, now: take_hires(
        session, table, understood, now
    ),
}
MOST_LETTERS = 500_000
"""Of all cells: more do not travel with a page."""


@dataclass(frozen=True, slots=True)
class TableLook:
    """What a table is taken for, and what taking it in would do.

    Attributes:
        sent: What was sent, with heading row, columns and rows left out as they are taken now.
        table: The table in it.
        headings: Of each column; blank where there is none.
        understood: What was understood.
        taken: What would be written, and what is asked.
        unsure: Whether some column's heading is not known: their list is shown open.
    """

    sent: SentTable
    table: LooseTable
    headings: tuple[str, ...]
    understood: Understood
    taken: Taken
    unsure: bool

    @property
    def can_be_taken(self) -> bool:
        """Whether nothing is in the way."""
        return not (self.taken.asked or self.taken.problems)


def look_at_table(store: Store, sent: SentTable, now: datetime) -> TableLook:
    """Say what taking a table in would do; nothing is changed.

    Raises:
        FaultyInputError: If it cannot be looked at at all.
        MissingError: If there is no club yet.
    """
    _refuse_large(sent)
    with store.write() as session:
        look = _look(session, sent, now)
        session.rollback()
    return look


def take_table(store: Store, sent: SentTable, now: datetime) -> TableLook:
    """Take a table in as a whole, or, if something is asked, nothing of it.

    Returns:
        The look; what was written is in the lines of `taken`, none where something is asked.

    Raises:
        FaultyInputError: If it cannot be looked at at all.
        MissingError: If there is no club yet.
    """
    _refuse_large(sent)
    with store.write() as session:
        words = {
            SQUADS: _("took in a table of squads"),
            MATCHES: _("took in a table of matches"),
            HIRES: _("took in a table of hires"),
        }
        describe_change(session, words[sent.kind])
        look = _look(session, sent, now)
        if look.can_be_taken:
            keep_headings(session, sent.kind, look.headings, look.table.columns)
        else:
            session.rollback()
    return look


def _look(session: Session, sent: SentTable, now: datetime) -> TableLook:
    load_club(session)
    today = now.astimezone(load_zone(session)).date()
    is_for_clubs = sent.kind == SQUADS and not is_held(session) and bool(load_clubs(session))
    sent = replace(sent, names_clubs=is_for_clubs)
    remembered = load_headings(session, sent.kind)
    heading_row = sent.heading_row
    if heading_row is None or not 0 <= heading_row <= len(sent.rows):
        heading_row = find_heading_row(sent.rows, sent.kind, remembered)
    headings = headings_of(sent.rows, heading_row)
    columns = sent.columns
    if columns is None or len(columns) != len(headings):
        columns = propose_columns(headings, sent.about, remembered)
        kept_out = frozenset(
            n for n, heading in enumerate(headings) if plain_heading(heading) in remembered
        )
        below = sent.rows[heading_row:]
        columns = guess_columns(columns, below, sent.about, today, kept_out)
        columns = _with_clubs(columns, headings) if is_for_clubs else columns
    columns = tuple(one if one in sent.about.words else LEFT_OUT for one in columns)
    table = LooseTable(sent.rows, heading_row, columns)
    said = sent.said
    if sent.columns is None:
        said = replace(said, left_out=said.left_out | frozenset(lone_rows(table)))
    sent = replace(sent, heading_row=heading_row, columns=columns, said=said)
    words = ClubWords(
        format_codes(load_formats(session)),
        tuple(session.scalars(select(PitchRow.surface).distinct().order_by(PitchRow.surface))),
        today,
    )
    understood = understand(table, sent.about, said, words)
    taken = _taken(session, sent, table, understood, now)
    unsure = any(
        heading and column == LEFT_OUT and plain_heading(heading) not in remembered
        for heading, column in zip(headings, columns, strict=True)
    )
    return TableLook(sent, table, headings, understood, taken, unsure or not heading_row)


def _with_clubs(columns: tuple[str, ...], headings: tuple[str, ...]) -> tuple[str, ...]:
    """Take the first column over which it says so for the names of clubs."""
    place = next((n for n, one in enumerate(headings) if plain_heading(one) in CLUB_HEADINGS), None)
    if place is None or CLUB in columns:
        return columns
    return (*columns[:place], CLUB, *columns[place + 1 :])


def _taken(
    session: Session, sent: SentTable, table: LooseTable, understood: Understood, now: datetime
) -> Taken:
    named = sent.about.named_by
    missing = [
        column
        for column in sent.about.required
        if column not in table.columns and column not in sent.said.for_all
    ]
    if named in missing:
        words = (
            _("Say below which column holds the hirer.")
            if sent.kind == HIRES
            else _("Say below which column holds the squad’s name.")
        )
        return Taken((), understood.asked, (Problem("columns", "missing-column", words),))
    if not taken_rows(table, sent.said):
        words = _("No row is left to be taken in; look which row holds the headings.")
        return Taken((), (), (Problem("heading", "empty", words),))
    return TAKE[sent.kind](session, sent, table, understood, now)


def _refuse_large(sent: SentTable) -> None:
    if sum(len(cell) for row in sent.rows for cell in row) > MOST_LETTERS:
        words = _("The table is too large for one page; leave out columns or part it.")
        raise FaultyInputError([Problem("table", "too-large", words)])
