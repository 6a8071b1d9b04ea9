"""What is settled in records that were put in from a backup, and what is told of it."""

from __future__ import annotations

import secrets
from dataclasses import asdict, dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import insert, select, update
from sqlalchemy.orm import Session

from clubplanner.language import ENGLISH, _, speaking
from clubplanner.services.addresses.hints import Hint, hint_secretaries
from clubplanner.services.addresses.links import SECRET_BYTES
from clubplanner.services.calendars.feeds import KEPT_DAYS
from clubplanner.services.restoring.counting_on import (
    count_on,
    journal_sessions,
    newest_instant,
    settle_sessions,
)
from clubplanner.services.restoring.outside import Settling
from clubplanner.services.restoring.ways_in import (
    WaysIn,
    close_access,
    close_addresses,
    settle_people,
)
from clubplanner.services.rows.journal.journal_eras import begin_era, newest_change
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.share_out.runs.kept import State
from clubplanner.store.chunks import chunks_of
from clubplanner.store.journal.journal import begin_journal, describe_change, keep_journal
from clubplanner.store.stand import begin_stand
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.push_tables import PushedNoticeRow
from clubplanner.store.tables.restored_tables import RestoredRow
from clubplanner.store.tables.run_tables import ShareRunRow
from clubplanner.store.upkeep.moving import number_on

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import Connection

    from clubplanner.services.restoring.counting_on import Counted, Taken
    from clubplanner.services.restoring.former import Known, Stood


IN_CALENDARS = timedelta(days=KEPT_DAYS + 1)
"""What ended longer ago is in no calendar."""


BY = "the command line"
"""By whom, for the journal: there is nothing to be brought back on a page."""


@dataclass(frozen=True, slots=True)
class Found:
    """What was kept and what was lost.

    Attributes:
        club: Its name.
        ways_in: What became of what opens pages.
        is_known: Whether the replaced records said what has happened since.
        jump: By how much counts of calendars rose.
        put_back: Sessions to come that are again as they were.
        called_off: Sessions to come that were made since and are called off.
        untold: Sessions to come that were made since on ground that the backup does not know.
        closures: Closures and conditions of ground that were made since, and are gone.
        open: Addresses that open something now.
        withdrawn: Addresses that the backup has open and that open nothing now.
        lost: Addresses that were made since, for what the backup does not know.
        ended: People who could sign in by the backup and cannot now.
        gone: People who were noted since.
        unsure: Mails of which it is not known whether they went out.
    """

    club: str = ""
    ways_in: str = ""
    is_known: bool = False
    jump: int = 0
    put_back: int = 0
    called_off: int = 0
    untold: int = 0
    closures: int = 0
    open: int = 0
    withdrawn: int = 0
    lost: int = 0
    ended: int = 0
    gone: int = 0
    unsure: int = 0


@dataclass(frozen=True, slots=True)
class Settled:
    """The records as the backup has them, and all that is settled in them.

    Attributes:
        there: Where the backup's rows were put in.
        backup: What they say.
        replaced: What the records said that were replaced.
        stood: The replaced records' bookings, by number; empty where these tell nothing.
        is_known: Whether the replaced records are of the same club, and tell what happened since.
        ways_in: What becomes of addresses, access and passwords.
        taken_at: When the backup was made; None where it does not say.
        now: The present instant.
    """

    there: Connection
    backup: Known
    replaced: Known
    stood: Mapping[int, Stood]
    is_known: bool
    ways_in: WaysIn
    taken_at: datetime | None
    now: datetime

    @property
    def former(self) -> Known | None:
        """What the replaced records say; None where they tell nothing of this club."""
        return self.replaced if self.is_known else None

    def settle(self) -> Found:
        """Settle everything, and return what was kept and what was lost."""
        taken_at = self.taken_at or newest_instant(self.there) or self.now
        span = (min(taken_at, self.now), self.now)
        since = self.now - IN_CALENDARS
        counted = count_on(self.there, self.backup, self.former, span, since)
        same = self.backup.same_things(self.replaced)
        with Session(self.there, expire_on_commit=False) as session:
            begin_era(session, newest_change(session), self.now)
            club = session.get(ClubRow, 1)
            with speaking(ENGLISH if club is None else club.language):
                taken = settle_sessions(session, self.stood, same, counted, self.now)
                same |= {"booking": same["booking"] | set(taken.called_off)}
                self._put_outside(same, since)
                self._settle_told(counted)
                found = Found(
                    "" if club is None else club.name,
                    self.ways_in.value,
                    self.is_known,
                    counted.jump,
                    len(taken.put_back),
                    len(taken.called_off),
                    taken.untold,
                    len(self.replaced.closures - self.backup.closures) if self.is_known else 0,
                )
                found = self._settle_ways_in(session, found, same)
                self._tell(session, taken, found, counted)
            session.commit()
        return found

    def _put_outside(self, same: Mapping[str, frozenset[int]], since: datetime) -> None:
        booking = BookingRow.__table__
        counts = select(booking.c.id, booking.c.sequence).where(booking.c.ends_at > since)
        settling = Settling(
            self.backup,
            self.former,
            self.replaced.outside["served"],
            same,
            self.ways_in,
            {row.id: row.sequence for row in self.there.execute(counts)},
            secrets.token_urlsafe(SECRET_BYTES),
            self.now,
        )
        tables = Base.metadata.tables
        for name, rows in settling.rows().items():
            for chunk in chunks_of(rows):
                self.there.execute(insert(tables[name]), chunk)
        number_on(self.there, Base.metadata.sorted_tables)

    def _settle_told(self, counted: Counted) -> None:
        """Let notes be told once, runs have ended and every kept calendar be looked at anew."""
        notice = NoticeRow.__table__
        untold = select(notice.c.id, notice.c.entry_id).where(notice.c.told_at.is_(None))
        still = frozenset() if self.former is None else self.former.untold
        waiting = [(number, entry) for number, entry in self.there.execute(untold)]
        told = [number for number, entry in waiting if (number, entry) not in still]
        for chunk in chunks_of(told):
            self.there.execute(
                update(notice).where(notice.c.id.in_(chunk)).values(told_at=counted.stamp)  # type: ignore[arg-type]
            )
        pushed = PushedNoticeRow.__table__
        self.there.execute(
            insert(pushed).from_select(  # type: ignore[arg-type]
                ["notice_id", "noted_at"],
                select(notice.c.id, notice.c.changed_at).where(
                    notice.c.id.not_in(select(pushed.c.notice_id))
                ),
            )
        )
        run = ShareRunRow.__table__
        self.there.execute(
            update(run)  # type: ignore[arg-type]
            .where(run.c.state.in_([state.value for state in State if state.is_live]))
            .values(
                state=State.FAILED.value,
                ended_at=self.now,
                fault=_("The records were brought back from a backup meanwhile. Repeat it."),
            )
        )
        begin_stand(self.there, max(self.backup.stand, self.replaced.stand) + 1)

    def _settle_ways_in(
        self, session: Session, found: Found, same: Mapping[str, frozenset[int]]
    ) -> Found:
        former = self.former
        opened = self.backup.handed_out()
        ended = 0
        if self.ways_in is WaysIn.CLOSED:
            keep_journal(session)
            begin_journal(session, BY)
            describe_change(session, _("ended everybody's access, to be given anew"))
            ended = close_access(session, self.now)
            session.commit()
            describe_change(session, _("withdrew all addresses, to be given anew"))
            close_addresses(session, self.now)
            session.commit()
        elif self.ways_in is WaysIn.NOW and former is not None:
            ended = settle_people(self.there, former, same, self.now)
        link = Base.metadata.tables["link"]
        query = select(link.c.secret_hash).where(
            link.c.revoked_at.is_(None), link.c.mail_id.is_(None)
        )
        still = set(self.there.execute(query).scalars())
        made = set() if former is None else former.handed_out()
        mails = self.backup.outside["mail"] if former is None else []
        return replace(
            found,
            open=len(still),
            withdrawn=len(opened - still),
            lost=len(made - opened - still),
            ended=ended,
            gone=0 if former is None else len(former.people.keys() - self.backup.people.keys()),
            unsure=sum(row["state"] == "waiting" for row in mails),
        )

    def _tell(self, session: Session, taken: Taken, found: Found, counted: Counted) -> None:
        """Note the restoring itself, and what became of sessions, where people will see it."""
        words = _("the records were brought back from a backup")
        change = journal_sessions(session, taken, BY, words, counted.stamp)
        row = RestoredRow(
            at=self.now,
            taken_at=self.taken_at,
            change_id=change,
            found=asdict(found),
            seen_at=None,
        )
        session.add(row)
        session.flush()
        zone = load_zone(session) if session.get(ClubRow, 1) is not None else None
        if zone is not None:
            hint = Hint(
                f"restored {row.id}",
                "/desk/season/restored",
                self.now + timedelta(days=7),
                lambda: (
                    _("The records were brought back from a backup"),
                    _(
                        "What was kept, what was lost and who has to hear of it stands on this "
                        "page:"
                    ),
                ),
            )
            hint_secretaries(session, hint, self.now)
