"""What people outside were told and have, row by row, after the records were brought back.

Pure: rows of the backup and of the replaced records in, the rows that stand out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.services.restoring.former import ASIDE, OUTSIDE, TOLD, WAYS_IN
from clubplanner.services.restoring.ways_in import rows_of_ways_in
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.notice_tables import MailState
from clubplanner.store.tables.push_tables import PushState

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from clubplanner.services.restoring.former import Known, Row, Rows
    from clubplanner.services.restoring.ways_in import WaysIn


@dataclass(frozen=True, slots=True)
class Settling:
    """All that decides what stands.

    Attributes:
        backup: What the backup knows.
        former: What the replaced records know; None where they are of another club, or none.
        served: Where the pages are served by the records that are replaced, whosever they are.
        same: What both know under the same numbers, sessions that were kept as withdrawn among it.
        ways_in: What becomes of what opens pages.
        counts: Booking → its count, as far as a calendar may hold it.
        form_secret: A new secret for forms: those that were open are shown once more.
        now: The present instant.
    """

    backup: Known
    former: Known | None
    served: list[Row]
    same: Mapping[str, frozenset[int]]
    ways_in: WaysIn
    counts: Mapping[int, int]
    form_secret: str
    now: datetime

    def rows(self) -> Rows:
        """Return the rows of all tables of `OUTSIDE`, in an order in which they can be put in."""
        opening, is_former = rows_of_ways_in(self.backup, self.former, self.ways_in, self.now)
        told = self._told()
        aside = self._aside(is_former=is_former)
        chosen: Rows = {}
        held: dict[str, set[object]] = {}
        for table in Base.metadata.sorted_tables:
            if table.name not in OUTSIDE:
                continue
            if table.name in WAYS_IN:
                rows, from_former = opening[table.name], is_former
            elif table.name in TOLD:
                rows, from_former = told[table.name], self.former is not None
            else:
                rows, from_former = aside[table.name], self.former is not None and is_former
            chosen[table.name] = [
                row for row in rows if self._is_held(table.name, row, held, from_former)
            ]
            held[table.name] = {row.get("id") for row in chosen[table.name]}
        return chosen

    def _told(self) -> Rows:
        """Return what people were told; what waits is told once, or put among what is not known."""
        known = self.backup if self.former is None else self.former
        rows: Rows = {name: list(known.outside[name]) for name in TOLD}
        counts = {number: row["sequence"] for number, row in known.bookings.items()}
        rows["followed"] = [
            row | {"sequence": row["sequence"] + self._risen(row["booking_id"], counts)}
            for row in rows["followed"]
        ]
        for name in ("mail", "hint"):
            in_backup = {row["message_id"] for row in self.backup.outside[name]}
            rows[name] = [row for one in rows[name] for row in self._waits(one, in_backup)]
        rows["push"] = [
            self._ended(row, PushState.LAPSED, "") if row["state"] == PushState.WAITING else row
            for row in rows["push"]
        ]
        if self.former is None:
            rows["mail_pause"] = []
        return rows

    def _waits(self, row: Row, in_backup: set[str]) -> list[Row]:
        """Return what becomes of a mail: what waits about things that are not so is dropped."""
        if row["state"] != MailState.WAITING:
            return [row]
        if self.former is not None:
            return [row] if row["message_id"] in in_backup else []
        words = _(
            "The records were brought back from a backup; whether this went out is not known."
        )
        return [self._ended(row, MailState.LAPSED, words)]

    def _aside(self, *, is_former: bool) -> Rows:
        known = self.former if self.former is not None and is_former else self.backup
        rows: Rows = {name: list(known.outside[name]) for name in ASIDE}
        latest = self.backup if self.former is None else self.former
        for name in ("sent_form", "sign_in_try", "push_key"):
            rows[name] = list(latest.outside[name]) or list(self.backup.outside[name])
        rows["served"] = self.served or rows["served"]
        rows["form_secret"] = [{"id": 1, "value": self.form_secret}]
        rows["pushed_notice"] = list(self.backup.outside["pushed_notice"])
        return rows

    def _ended(self, row: Row, state: MailState | PushState, words: str) -> Row:
        return row | {"state": state, "words": words, "ended_at": self.now}

    def _risen(self, number: int, counts: Mapping[int, int]) -> int:
        return self.counts.get(number, 0) - counts.get(number, self.counts.get(number, 0))

    def _is_held(
        self, table: str, row: Row, held: Mapping[str, set[object]], from_former: bool
    ) -> bool:
        """Tell whether all that a row speaks of is there, and the same thing."""
        for key in Base.metadata.tables[table].foreign_keys:
            value, other = row[key.parent.name], key.column.table.name
            if value is None or other == "notice":
                continue
            if other in OUTSIDE and value not in held[other]:
                return False
            if other not in OUTSIDE and from_former and value not in self.same[other]:
                return False
        if from_former:
            return all(self._knows(state) for state in _states(table, row)) and all(
                number in self.same["booking"] for number in _numbers(table, row)
            )
        return True

    def _knows(self, state: Row) -> bool:
        return (
            state["area_id"] in self.same["area"]
            and state["pitch_id"] in self.same["pitch"]
            and (state["squad_id"] is None or state["squad_id"] in self.same["squad"])
        )


def _states(table: str, row: Row) -> list[Row]:
    """Return what a row says of bookings, as the journal keeps them."""
    if table == "mailed":
        return [row["state"]]
    if table in ("mail", "push"):
        both = [change[key] for change in row["changes"] for key in ("before", "after")]
        return [state for state in both if state is not None]
    return []


def _numbers(table: str, row: Row) -> list[int]:
    return [change["number"] for change in row["changes"]] if table in ("mail", "push") else []
