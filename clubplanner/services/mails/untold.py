"""What nobody got, and whom nothing reaches: on the secretary's first page until it is seen to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.told.notices import NotedChange
from clubplanner.language import _, ngettext
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.addresses.recipients import Recipients
from clubplanner.services.mails.knowing import not_reached_ahead
from clubplanner.services.mails.making.contents import (
    change_from_stored,
    is_own_mail,
    squads_of_mail,
)
from clubplanner.services.mails.making.following import correct, count_after
from clubplanner.services.mails.making.gathering import is_worth_telling, make_mail
from clubplanner.services.mails.making.last_told import KEPT, MailedAhead
from clubplanner.services.mails.sending.pauses import find_pause
from clubplanner.services.rows.own_club import own_squads
from clubplanner.store.tables.knowing_tables import MailAnewRow
from clubplanner.store.tables.notice_tables import MailRow, MailState
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.config import Config
    from clubplanner.services.mails.knowing import NotReached
    from clubplanner.services.mails.making.last_told import LastTold
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow

FAILED = (MailState.UNSENT, MailState.LAPSED, MailState.REFUSED)


@dataclass(frozen=True, slots=True)
class Undelivered:
    """A mail that nobody got, about sessions that are not over.

    Attributes:
        number: The mail's number.
        to: For whom it was.
        about: About whom.
        why: What the mail server said, or that there is none.
    """

    number: int
    to: str
    about: str
    why: str


@dataclass(frozen=True, slots=True)
class Untold:
    """What waits for the secretary.

    Attributes:
        sends: Whether a mail server is set up.
        paused: Why none goes out although there is one; blank while it takes them.
        undelivered: Mails that nobody got, the newest first; none where no server is set up.
        not_reached: Whom to ring about sessions of the coming week that were changed.
    """

    sends: bool
    paused: str
    undelivered: tuple[Undelivered, ...]
    not_reached: tuple[NotReached, ...]

    def __bool__(self) -> bool:
        """Tell whether anything waits."""
        return bool(self.paused or self.counts)

    @property
    def counts(self) -> str:
        """How much waits: "2 people not reached, 1 mail did not arrive"; blank for nothing."""
        parts = []
        if self.not_reached:
            people = len(self.not_reached)
            parts.append(
                ngettext("%(num)s person not reached", "%(num)s people not reached", people)
            )
        if self.undelivered:
            mails = len(self.undelivered)
            parts.append(
                ngettext("%(num)s mail did not arrive", "%(num)s mails did not arrive", mails)
            )
        return ", ".join(parts)


def see_untold(store: Store, config: Config, now: datetime) -> Untold:
    """Show what nobody got, and whom nothing reaches."""
    sends = config.mail_server is not None
    with store.read() as session:
        pause = find_pause(session) if sends else None
        failed = [mail for mail, _unused in _undelivered(session, now)] if sends else []
        return Untold(
            sends,
            "" if pause is None else pause.words,
            _lines(session, failed),
            not_reached_ahead(session, config, now),
        )


def _lines(session: Session, failed: Sequence[MailRow]) -> tuple[Undelivered, ...]:
    if not failed:
        return ()
    names: dict[int, str] = dict(session.execute(select(SquadRow.id, SquadRow.name)).all())
    lines = []
    for mail in failed:
        squads = ", ".join(names.get(number, "") for number in squads_of_mail(mail))
        to = f"{mail.name} ({mail.address})" if mail.name else mail.address
        lines.append(Undelivered(mail.id, to, squads, mail.words))
    return tuple(lines)


def send_again(store: Store, number: int | None, now: datetime) -> str:
    """Send a mail that nobody got once more, or all of them: what is true now, to who it is now.

    Pressed twice it is done once. Where the address is no longer the person's, it goes to the one
    that is.

    Args:
        store: The database.
        number: The mail's number; None for all.
        now: The present instant.

    Returns:
        What was done, a sentence.
    """
    with store.write() as session:
        found = [one for one in _undelivered(session, now) if number in (None, one[0].id)]
        changes: dict[str, dict[int, NotedChange]] = {}
        people: dict[str, Mailbox] = {}
        recipients = Recipients.load(session, now)
        for mail, told in found:
            session.add(MailAnewRow(mail_id=mail.id, at=now))
            for person in _readers(mail, recipients):
                address = person.address.lower()
                people.setdefault(address, person)
                of_person = changes.setdefault(address, {})
                for change in _anew(mail, address, recipients, told, now):
                    of_person.setdefault(change.number, change)
        mails = [
            make_mail(people[address], list(of_one.values()), now, now)
            for address, of_one in changes.items()
            if of_one
        ]
        session.add_all(mails)
    if not mails:
        return _("Nothing is left to send again.")
    return ngettext(
        "%(num)s mail is sent again within a minute.",
        "%(num)s mails are sent again within a minute.",
        len(mails),
    )


def _undelivered(session: Session, now: datetime) -> Iterator[tuple[MailRow, LastTold]]:
    """Yield the mails that nobody got and whose news is still news, the newest first."""
    found = session.scalars(
        select(MailRow)
        .where(*own_squads(session, MailRow.squad_id))
        .where(MailRow.state.in_(FAILED), MailRow.made_at > now - KEPT)
        .where(MailRow.id.not_in(select(MailAnewRow.mail_id)))
        .order_by(MailRow.id.desc())
    )
    rows = [row for row in found if is_own_mail(session, row)]
    if not rows:
        return
    numbers = {c.number for mail in rows for c in map(change_from_stored, mail.changes)}
    told, people = MailedAhead.ask(session, now).about(numbers), Recipients.load(session, now)
    shown: set[tuple[str, int]] = set()
    for mail in rows:
        address = mail.address.lower()
        news = {
            (address, change.number)
            for change in map(change_from_stored, mail.changes)
            if _is_news(address, change, told, now)
        }
        if address not in people.off and news - shown:  # a newer one may tell all of it, too
            shown |= news
            yield mail, told


def _is_news(address: str, change: NotedChange, told: LastTold, now: datetime) -> bool:
    said = told.said.get((address, change.number))
    if said is not None and said.sequence >= change.sequence:
        return False
    return is_worth_telling(change, now) or told.bookings[change.number].ends_at > now


def _readers(mail: MailRow, people: Recipients) -> Sequence[Mailbox]:
    """Return whom a mail's news is for now."""
    changes = [change_from_stored(each) for each in mail.changes]
    if all(change.is_left for change in changes):
        return [Mailbox(mail.name, mail.address)]
    current = {
        person.address.lower(): person
        for squad_id, may_open in squads_of_mail(mail).items()
        if may_open
        for person in people.told_about(squad_id)
    }
    if mail.address.lower() in current:
        return [current[mail.address.lower()]]
    named = [p for p in current.values() if plain_name(p.name) == plain_name(mail.name)]
    return named or list(current.values())


def _anew(
    mail: MailRow, address: str, people: Recipients, told: LastTold, now: datetime
) -> Iterator[NotedChange]:
    """Yield what one person has to hear of a mail's bookings, as they are now."""
    rows: Mapping[int, BookingRow] = told.bookings
    for change in map(change_from_stored, mail.changes):
        row = rows[change.number]
        found: NotedChange | None
        if change.is_left:
            count = count_after(row, address, told)
            found = NotedChange(
                change.number, change.before, change.after, count, now, change.squad_id, True
            )
        else:
            theirs = {person.address.lower() for person in people.told_about(row.squad_id)}
            found = correct(address, row, change.before, told, is_theirs=address in theirs)
        if found is not None and is_worth_telling(found, now):
            yield found
