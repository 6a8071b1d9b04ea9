"""The sorts of records that the journal keeps: what belongs to each, and what of it is left out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Table
from sqlalchemy import inspect as look_at

from clubplanner.domain.booked.waiting import AskState, SwapState
from clubplanner.language import marked
from clubplanner.store.tables.busy_tables import BusyCalendarRow
from clubplanner.store.tables.club_tables import (
    BreakRow,
    ClubRow,
    NoticeBoardRow,
    OwnFormatRow,
    StretchRow,
)
from clubplanner.store.tables.ground_tables import AreaRow, ObstacleRow, PitchRow, VenueRow
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow
from clubplanner.store.tables.keeping_tables import KeepingRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.money_tables import MoneyRow, ReductionRow, StatementRow, TariffRow
from clubplanner.store.tables.people_tables import PersonRow, SquadCoachRow
from clubplanner.store.tables.season_tables import (
    ClosureRow,
    FixtureRow,
    HolidayPlaceRow,
    SquadSeasonRow,
    SwapOfferRow,
    TrainingHolidayRow,
    WaitingAskRow,
    WearLimitRow,
)
from clubplanner.store.tables.squad_tables import AskRow, SquadEndRow, SquadRow
from clubplanner.store.tables.token_tables import TokenRow
from clubplanner.store.tables.turn_tables import SeasonRow
from clubplanner.store.tables.turnout_tables import TurnoutRow
from clubplanner.store.tables.webhook_tables import WebhookRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow, ClubWithinRow, SquadClubRow

if TYPE_CHECKING:
    from clubplanner.store.tables.base import Base


@dataclass(frozen=True, slots=True)
class Part:
    """Rows that belong to a record.

    Attributes:
        name: Under which they stand in its state.
        row: Their class.
        owner: The column that holds the record's number.
        left_out: Columns that are not kept, besides `id` and the owner.
    """

    name: str
    row: type[Base]
    owner: str
    left_out: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Sort:
    """A sort of record.

    Attributes:
        name: For people: "break".
        row: Its class, with one column as primary key.
        left_out: Columns that are not kept.
        parts: What belongs to it.
        is_restored: Whether a change of it can be taken back from its state alone.
        named_by: The class that its number is of, where it has no name of its own.
        taken_back_as: For records that others refer to: what a new one becomes when it is taken
            back, column by column, for it stays in the records. `NOW` is the instant of that.
        unless: A column; a row that has something in it is not kept in the journal. Blank for
            none.
    """

    name: str
    row: type[Base]
    left_out: frozenset[str] = frozenset()
    parts: tuple[Part, ...] = ()
    is_restored: bool = False
    named_by: type[Base] | None = None
    taken_back_as: tuple[tuple[str, str], ...] = ()
    unless: str = ""

    @property
    def table(self) -> Table:
        """Its table."""
        return table_of(self.row)

    @property
    def primary(self) -> str:
        """The name of its primary key."""
        return next(iter(self.table.primary_key.columns)).name


NOW = "now"

SORTS = (
    Sort(marked("club"), ClubRow),
    Sort(marked("venue"), VenueRow, frozenset({"position", "key", "contact_phone"})),
    Sort(
        marked("pitch"),
        PitchRow,
        frozenset({"position", "key", "venue_id"}),
        (
            Part(
                "areas",
                AreaRow,
                "pitch_id",
                frozenset({"position", "cells", "twelfths", "redrawn_at"}),
            ),
            Part("obstacles", ObstacleRow, "pitch_id"),
        ),
    ),
    Sort(marked("stretch"), StretchRow, frozenset({"key"}), is_restored=True),
    Sort(marked("break"), BreakRow, is_restored=True),
    Sort(
        marked("squad"),
        SquadRow,
        frozenset({"position", "key"}),
        (Part("asks", AskRow, "squad_id"),),
        is_restored=True,
    ),
    Sort(marked("club within"), ClubWithinRow, frozenset({"position", "key"})),
    Sort(marked("club of a squad"), SquadClubRow, is_restored=True, named_by=SquadRow),
    Sort(marked("secretary of a club"), ClubSecretaryRow, named_by=PersonRow),
    Sort(marked("size of a game"), OwnFormatRow, frozenset({"position"})),
    Sort(marked("own season"), SquadSeasonRow, is_restored=True, named_by=SquadRow),
    Sort(marked("end of a squad"), SquadEndRow, is_restored=True, named_by=SquadRow),
    Sort(marked("limit of use"), WearLimitRow, is_restored=True, named_by=PitchRow),
    Sort(marked("money"), MoneyRow, is_restored=True),
    Sort(marked("tariff"), TariffRow, is_restored=True),
    Sort(marked("reduction"), ReductionRow, is_restored=True),
    Sort(
        marked("statement"),
        StatementRow,
        frozenset({"lines", "issued_at"}),
        taken_back_as=(("withdrawn_at", NOW),),
    ),
    Sort(marked("holidays of"), HolidayPlaceRow, is_restored=True),
    Sort(marked("training on a public holiday"), TrainingHolidayRow, is_restored=True),
    Sort(
        marked("match"),
        FixtureRow,
        frozenset({"booking_id"}),
        is_restored=True,
        taken_back_as=(("withdrawn_at", NOW),),
    ),
    Sort(
        marked("closure"),
        ClosureRow,
        frozenset({"created_at"}),
        is_restored=True,
        taken_back_as=(("lifted_at", NOW),),
    ),
    Sort(
        marked("hire"),
        HireRow,
        frozenset({"phone", "created_at"}),
        (Part("dates", HireDateRow, "hire_id"),),
        is_restored=True,
        taken_back_as=(("withdrawn_at", NOW),),
    ),
    Sort(
        marked("session asked for"),
        WaitingAskRow,
        frozenset({"booking_id", "asked_at"}),
        is_restored=True,
        taken_back_as=(("state", AskState.TAKEN_BACK.value),),
    ),
    Sort(marked("turnout"), TurnoutRow, is_restored=True),
    Sort(
        marked("offer to change places"),
        SwapOfferRow,
        frozenset({"own_sequence", "other_sequence"}),
        taken_back_as=(("state", SwapState.TAKEN_BACK.value),),
    ),
    Sort(
        marked("calendar of others"),
        BusyCalendarRow,
        frozenset(
            {"url", "data", "etag", "modified", "problems", "tried_at", "read_at", "area_id"}
        ),
    ),
    Sort(marked("how long things are kept"), KeepingRow, is_restored=True),
    Sort(marked("notice board"), NoticeBoardRow, frozenset({"changed_at"})),
    Sort(
        marked("person"),
        PersonRow,
        frozenset({"email", "phone", "password_hash", "version", "created_at"}),
    ),
    Sort(marked("coach of a squad"), SquadCoachRow, frozenset({"began_at"})),
    Sort(marked("season"), SeasonRow, frozenset({"made_at", "kept"}), is_restored=True),
    Sort(
        marked("token"),
        TokenRow,
        frozenset({"secret_hash", "created_at", "used_at"}),
        is_restored=True,
        taken_back_as=(("revoked_at", NOW),),
    ),
    Sort(
        marked("address"),
        LinkRow,
        frozenset({"secret_hash", "email", "mail_id", "created_at"}),
        is_restored=True,
        taken_back_as=(("revoked_at", NOW),),
        unless="mail_id",  # each mail about changes makes its own
    ),
    Sort(
        marked("webhook"),
        WebhookRow,
        frozenset({"url", "secret", "mark", "created_at", "failing_since", "words"}),
        is_restored=True,
        taken_back_as=(("ended_at", NOW),),
    ),
)


NO_LONGER = (marked("cost of floodlights"),)
"""Sorts that only older entries name; what they tell stays, and is not taken back any more."""


SORT_OF_ROW = {sort.row: sort for sort in SORTS}


SORT_OF_NAME = {sort.name: sort for sort in SORTS}


PART_OF_ROW = {part.row: (sort, part) for sort in SORTS for part in sort.parts}


def table_of(row: type[Base]) -> Table:
    """Return the table of a class of rows."""
    table = look_at(row).local_table
    if not isinstance(table, Table):
        raise TypeError(f"{row.__name__} is no table.")
    return table
