"""The sheets of what holds ground, asks for it or is paid for it: from bookings to statements."""

from __future__ import annotations

import uuid
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.booked.waiting import AskState, SwapState
from clubplanner.domain.money.tariffs import Payer
from clubplanner.language import _
from clubplanner.services.folder.sheets.columns import (
    MOST,
    Clock,
    Column,
    Day,
    Instant,
    Number,
    Optional,
    Ref,
    Text,
    Whole,
    Word,
    YesNo,
)
from clubplanner.services.folder.sheets.sheet import CREATED, NUMBER, SQUAD, Sheet, nothing
from clubplanner.services.folder.sheets.statement_lines import StatementLines
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS, BookingRow
from clubplanner.store.tables.busy_tables import BusyBookingRow, BusyCalendarRow
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow
from clubplanner.store.tables.money_tables import StatementRow
from clubplanner.store.tables.season_tables import (
    ClosureDayRow,
    ClosureRow,
    FixtureRow,
    SwapOfferRow,
    WaitingAskRow,
)
from clubplanner.store.tables.turnout_tables import TurnoutRow

if TYPE_CHECKING:
    from clubplanner.services.folder.sheets.names import Names
    from clubplanner.services.folder.sheets.sheet import Values


def _settle_booking(values: Values, names: Names) -> None:
    """Put a booking on the ground of its part, and hold it to a day."""
    values["uid"] = values["uid"] or f"{uuid.uuid4()}@clubplanner"
    area = values["area_id"]
    values["pitch_id"] = names.pitches.get(area, 0)
    if values["cells"] is None:
        values["cells"] = names.cells.get(area, 0)
    seconds = (values["ends_at"] - values["starts_at"]).total_seconds()
    if not 0 < seconds <= LONGEST_BOOKING_HOURS * 3600:
        raise ValueError(_("The end must come after the start, within a day; correct one of them"))


def _settle_run(values: Values, names: Names) -> None:  # noqa: ARG001 - as all that settle
    if values["ends_at"] <= values["starts_at"]:
        raise ValueError(_("The end must come after the start"))


_GROUND = Column("ground", "area_id", Ref("area"))
_NOTE = Column("note", "note", Text())
_STARTS, _ENDS = (
    Column("starts", "starts_at", Instant()),
    Column("ends", "ends_at", Instant()),
)
_WITHDRAWN_AT = Column("withdrawn", "withdrawn_at", Optional(Instant()))
_BOOKING = Column("booking", "booking_id", Optional(Ref("booking")))

BOOKINGS = Sheet(
    "bookings.csv",
    BookingRow,
    (
        Column("uid", "uid", Optional(Text(), "")),
        _GROUND,
        _STARTS,
        _ENDS,
        Column("purpose", "purpose", Word(Purpose)),
        Column("squad", "squad_id", Optional(Ref("squad"))),
        Column("who", "holder", Text()),
        _NOTE,
        Column("withdrawn", "is_withdrawn", YesNo()),
        Column("fixed", "is_fixed", YesNo()),
        Column("overruled", "overruled", Text()),
        Column("share-out", "share_out_id", Optional(Ref("share_out"))),
        Column("times changed", "sequence", Optional(Whole(), 0)),
        CREATED,
        Column("changed", "changed_at", Instant(is_now=True)),
        Column("pieces", "cells", Optional(Whole(1, MOST))),
    ),
    "everything that holds or held ground; uid and times changed are what calendars know it by; "
    "pieces says which pieces of its pitch it held where that was drawn otherwise then",
    called_by="uid",
    settle=_settle_booking,
)
BOOKED = (
    BOOKINGS,
    Sheet(
        "closures.csv",
        ClosureRow,
        (
            _GROUND,
            _STARTS,
            _ENDS,
            Column("condition", "condition", Word(Condition)),
            Column("words", "words", Text()),
            Column("reason", "reason", Text()),
            CREATED,
            Column("lifted", "lifted_at", Optional(Instant())),
        ),
        "ground that is or was closed, or open with a condition",
        called_by=NUMBER,
        settle=_settle_run,
    ),
    Sheet(
        "closure-days.csv",
        ClosureDayRow,
        (
            Column("closure", "closure_id", Ref("closure")),
            Column("booking", "booking_id", Ref("booking")),
        ),
        "the bookings that hold closed ground",
    ),
    Sheet(
        "matches.csv",
        FixtureRow,
        (
            Column("date", "day", Day()),
            Column("kick-off", "kick_off_from", Clock()),
            Column("kick-off until", "kick_off_to", Clock()),
            SQUAD,
            Column("opponent", "opponent", Text()),
            Column("format", "format_code", Text()),
            Column("minutes", "minutes", Whole()),
            Column("warm-up", "warm_up_minutes", Whole()),
            Column("changeover", "after_minutes", Whole()),
            Column("pitch", "pitch_name", Text()),
            Column("officials", "officials", Text()),
            Column("opponents", "opponents", Text()),
            _NOTE,
            _BOOKING,
            _WITHDRAWN_AT,
        ),
        "matches at home, each with the booking of its ground",
    ),
    Sheet(
        "hires.csv",
        HireRow,
        (
            Column("name", "name", Text()),
            Column("contact", "contact", Text()),
            Column("phone", "phone", Text()),
            _NOTE,
            _GROUND,
            Column("from", "start_min", Clock()),
            Column("to", "end_min", Clock()),
            Column("every weeks", "every_weeks", Whole(1, 2)),
            Column("skips breaks", "skips_breaks", YesNo()),
            CREATED,
            _WITHDRAWN_AT,
        ),
        "who from outside takes ground, and whom to call",
        called_by=NUMBER,
    ),
    Sheet(
        "hire-dates.csv",
        HireDateRow,
        (
            Column("hire", "hire_id", Ref("hire")),
            Column("date", "day", Day()),
            _BOOKING,
            Column("ended", "is_ended", YesNo()),
        ),
        "the dates of each hire, with their bookings",
    ),
    Sheet(
        "other-calendars.csv",
        BusyCalendarRow,
        (
            Column("name", "name", Text()),
            _GROUND,
            Column("address", "url", Text()),
            Column("read", "read_at", Optional(Instant())),
            Column("ended", "ended_at", Optional(Instant())),
        ),
        "calendars of others that hold our ground; an address may be known to few: keep it so",
        called_by=NUMBER,
        given={
            "data": nothing,
            "etag": str,
            "modified": str,
            "problems": list,
            "tried_at": nothing,
        },
    ),
    Sheet(
        "other-bookings.csv",
        BusyBookingRow,
        (
            Column("booking", "booking_id", Ref("booking")),
            Column("calendar", "calendar_id", Ref("busy_calendar")),
        ),
        "the bookings that calendars of others asked for",
        is_sorted=True,
    ),
    Sheet(
        "turnouts.csv",
        TurnoutRow,
        (
            SQUAD,
            Column("date", "day", Day()),
            Column("players", "players", Optional(Whole())),
            Column("goalkeepers", "goalkeepers", Optional(Whole())),
            Column("comes", "is_coming", Optional(YesNo())),
            Column("from", "from_min", Optional(Clock())),
            Column("until", "until_min", Optional(Clock())),
            Column("minutes", "minutes", Optional(Whole())),
            Column("said by", "said_by", Text()),
            Column("said", "said_at", Instant(is_now=True)),
        ),
        "who comes on an evening, and with how many",
    ),
    Sheet(
        "asked-for.csv",
        WaitingAskRow,
        (
            SQUAD,
            Column("date", "day", Day()),
            Column("from", "from_min", Clock()),
            Column("to", "to_min", Clock()),
            Column("minutes", "minutes", Whole()),
            Column("least share", "least_share", Number()),
            Column("wants more", "wants_more", YesNo()),
            _BOOKING,
            Column("by", "by", Text()),
            _NOTE,
            Column("asked", "asked_at", Instant(is_now=True)),
            Column("state", "state", Word(AskState)),
            Column("answer", "answer", Text()),
        ),
        "sessions, or more ground, that coaches asked for",
    ),
    Sheet(
        "swaps.csv",
        SwapOfferRow,
        (
            Column("own", "own_id", Ref("booking")),
            Column("other", "other_id", Ref("booking")),
            Column("own times changed", "own_sequence", Whole()),
            Column("other times changed", "other_sequence", Whole()),
            Column("by", "by", Text()),
            _NOTE,
            Column("offered", "offered_at", Instant(is_now=True)),
            Column("state", "state", Word(SwapState)),
        ),
        "offers to change places",
    ),
    Sheet(
        "statements.csv",
        StatementRow,
        (
            Column("number", "number", Whole(1)),
            Column("payer", "payer", Word(Payer)),
            Column("squad", "squad_id", Optional(Ref("squad"))),
            Column("venue", "venue_id", Optional(Ref("venue"))),
            Column("name", "name", Text()),
            Column("month", "month", Day()),
            Column("currency", "currency", Text()),
            Column("total", "total", Whole(0, MOST)),
            Column("lines", "lines", StatementLines()),
            _NOTE,
            Column("issued", "issued_at", Instant(is_now=True)),
            _WITHDRAWN_AT,
            Column("why", "why", Text()),
        ),
        "statements as they were issued; totals are in the smallest units of the currency",
        is_sorted=True,
    ),
)
