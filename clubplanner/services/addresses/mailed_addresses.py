"""Addresses that go out by mail: one mail a person, with all that is theirs.

Only hashes are kept, so that the mail in the outbox has no address in it: the row of each is made
with the mail, opens nothing as long as it waits, and gets its secret part when the mail is handed
over. A try that the server refused reached nobody, and its addresses wait again. After a try of
which nobody knows what became, its addresses go on opening, and the next has others.
"""

from __future__ import annotations

import secrets
import uuid
from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import clock_in_zone, short_day
from clubplanner.errors import RefusedError
from clubplanner.language import ENGLISH, _, ngettext, speaking
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.addresses.handing_out import Reader, Subject, link_row, subjects_of
from clubplanner.services.addresses.links import SECRET_BYTES, hash_secret
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.knowing_tables import HintRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailOffRow, MailState

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.persons.coaches import Coach
    from clubplanner.services.addresses.handing_out import HandOutWish
    from clubplanner.store.engine import Store

ABOUT = "addresses"
"""What such mails are about, with the squads and coaches behind it: "addresses s3 s17 c4"."""
TRIED_FOR = timedelta(days=14)
_WAITS = "waits"
"""Stands, with a sign that nothing else has, where an address has no secret part yet: no hash."""
_LETTERS = {Reader.FAMILIES: "s", Reader.COACHES: "c"}


@dataclass(frozen=True, slots=True)
class NotMailed:
    """Somebody who gets no mail, and has to be given theirs by hand.

    Attributes:
        name: Who; blank for a squad that nobody coaches.
        phone: Their number; blank when not known.
        squads: Whose addresses those are.
        why: Why they get none.
    """

    name: str
    phone: str
    squads: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Mailed:
    """What was put into the outbox.

    Attributes:
        people: How many mails, one a person.
        addresses: How many addresses stand in them.
        without: Who gets none.
    """

    people: int
    addresses: int
    without: tuple[NotMailed, ...]


def mail_addresses(store: Store, wish: HandOutWish, now: datetime, *, sends: bool) -> Mailed:
    """Mail each coach what is theirs, through the outbox; one mail a person.

    A squad's address goes to the first of its coaches who can be written to.

    Args:
        store: The database.
        wish: Which addresses.
        now: The present instant.
        sends: Whether a mail server is set up.

    Raises:
        RefusedError: If no mail can go out, nothing is asked for, or nobody is left.
    """
    if not sends:
        raise RefusedError(
            _("No mail server is set up, so nothing can be mailed; make the sheet instead.")
        )
    with store.write() as session:
        off = frozenset(session.scalars(select(MailOffRow.address)))
        mails: dict[int, list[Subject]] = defaultdict(list)
        whom: dict[int, Mailbox] = {}
        without: list[tuple[Subject, str]] = []
        for subject in subjects_of(session, wish):
            number, mailbox, why = _to_whom(subject.coaches, off)
            if mailbox is None:
                without.append((subject, why))
            else:
                whom[number] = mailbox
                mails[number].append(subject)
        language = session.scalars(select(ClubRow.language)).first() or ENGLISH
        with speaking(language):
            for number, subjects in mails.items():
                _put_into_outbox(session, whom[number], subjects, now)
        describe_change(
            session,
            ngettext(
                "mailed %(num)s coach their addresses",
                "mailed %(num)s coaches their addresses",
                len(mails),
            ),
        )
        count = sum(len(subjects) for subjects in mails.values())
        return Mailed(len(mails), count, _grouped(without))


@dataclass(frozen=True, slots=True)
class MailedLine:
    """A mail with addresses, as the list shows it.

    Attributes:
        to: Name and mail address.
        subject: Its subject.
        state: What became of it, in words.
    """

    to: str
    subject: str
    state: str


def list_mailed_addresses(store: Store) -> tuple[MailedLine, ...]:
    """List the mails with addresses of the last two weeks, the newest first."""
    with store.read() as session:
        zone = load_zone(session)
        is_it = HintRow.about.startswith(f"{ABOUT} ", autoescape=True)
        rows = session.scalars(select(HintRow).where(is_it).order_by(HintRow.id.desc())).all()
        return tuple(
            MailedLine(
                f"{row.name} ({row.address})" if row.name else row.address,
                row.subject,
                _state_words(row, zone),
            )
            for row in rows
        )


def _state_words(row: HintRow, zone: ZoneInfo) -> str:
    if row.state is MailState.SENT and row.ended_at is not None:
        day = short_day(row.ended_at.astimezone(zone).date())
        when = f"{day}, {clock_in_zone(row.ended_at, zone)}"
        return _("Sent %(ended_at)s", ended_at=when)
    return row.words or _("Goes out within a minute")


@dataclass(frozen=True, slots=True)
class FilledMail:
    """A mail ready to be handed over.

    Attributes:
        text: Its words with the addresses; blank if all of them have been withdrawn.
        numbers: Of the rows whose secret part it has.
    """

    text: str
    numbers: tuple[int, ...]


def fill_mail(session: Session, mail: HintRow, public_address: str) -> FilledMail:
    """Return a mail's words with its addresses, which get their secret part now."""
    rows = _rows_to_send(session, mail)
    parts = [mail.text]
    for row in rows:
        secret = secrets.token_urlsafe(SECRET_BYTES)
        row.secret_hash = hash_secret(secret)
        if row.squad is not None:
            head = _("%(squad)s, to pass on to parents and players:", squad=row.squad.name)
            parts.append(f"{head}\n{public_address}/ground/{secret}")
        else:
            head = _("Your own calendar with all your squads, for you alone:")
            parts.append(f"{head}\n{public_address}/calendar/{secret}")
    parts.append(
        _(
            "Whoever has an address sees what it shows and can change nothing. If one gets into "
            "the wrong hands, the club’s secretary withdraws it."
        )
    )
    session.flush()
    text = "\n\n".join(parts) + "\n" if rows else ""
    return FilledMail(text, tuple(row.id for row in rows))


def let_addresses_wait(session: Session, numbers: Sequence[int]) -> None:
    """Take the secret part off the addresses of a try that reached nobody."""
    for number in numbers:
        session.get_one(LinkRow, number).secret_hash = _waiting_sign()


def end_addresses(session: Session, mail: HintRow, now: datetime) -> None:
    """Withdraw addresses that never went out, once their mail is given up."""
    for row in _rows_of(session, mail):
        if row.revoked_at is None and _waits(row):
            row.revoked_at = now


def is_about_addresses(mail: HintRow) -> bool:
    """Tell whether a short mail has addresses to be filled in."""
    return mail.about.partition(" ")[0] == ABOUT


def _to_whom(coaches: Sequence[Coach], off: frozenset[str]) -> tuple[int, Mailbox | None, str]:
    """Return the first who can be written to, by number; else None, and why nobody can."""
    why = _("no coach") if not coaches else _("no e-mail address")
    for coach in coaches:
        if not coach.email:
            continue
        if coach.email.lower() in off:
            why = _("wants no mails")
            continue
        try:
            return coach.number, Mailbox(coach.name, coach.email), ""
        except ValueError:  # loaded before addresses were checked
            why = _("no e-mail address that can be written to")
    return 0, None, why


def _put_into_outbox(
    session: Session, mailbox: Mailbox, subjects: Sequence[Subject], now: datetime
) -> None:
    squads = ", ".join(dict.fromkeys(name for subject in subjects for name in subject.squads))
    session.add_all(link_row(one, _waiting_sign(), mailbox.name, now) for one in subjects)
    session.add(
        HintRow(
            message_id=uuid.uuid4().hex,
            about=" ".join([ABOUT, *(_key(one.reader, one.number) for one in subjects)]),
            address=mailbox.address,
            name=mailbox.name,
            subject=_("Addresses for %(squads)s", squads=squads),
            text=_(
                "%(name)s, here is what shows on a phone where and when they train, until when "
                "there is light, and puts every session into a calendar.",
                name=mailbox.name,
            ),
            path="",
            made_at=now,
            ends_at=now + TRIED_FOR,
            next_try_at=now,
            attempts=0,
            state=MailState.WAITING,
            ended_at=None,
            words="",
        )
    )


def _grouped(without: Sequence[tuple[Subject, str]]) -> tuple[NotMailed, ...]:
    """List who gets no mail, each person once."""
    squads: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for subject, why in without:
        coach = next(iter(subject.coaches), None)
        name, phone = ("", "") if coach is None else (coach.name or coach.email, coach.phone)
        squads[name, phone, why] += subject.squads
    return tuple(
        NotMailed(name, phone, tuple(dict.fromkeys(names)), why)
        for (name, phone, why), names in squads.items()
    )


def _rows_of(session: Session, mail: HintRow) -> list[LinkRow]:
    """Return the rows that were made for a mail, withdrawn ones too."""
    keys = mail.about.split()[1:]
    made = select(LinkRow).where(
        LinkRow.created_at == mail.made_at,
        LinkRow.holder == mail.name,
        LinkRow.mail_id.is_(None),
    )
    return [row for row in session.scalars(made.order_by(LinkRow.id)) if _key_of(row) in keys]


def _rows_to_send(session: Session, mail: HintRow) -> list[LinkRow]:
    """Return one row of each squad and coach whose address was not withdrawn meanwhile."""
    live: dict[str, list[LinkRow]] = defaultdict(list)
    for row in _rows_of(session, mail):
        if row.revoked_at is None:
            live[_key_of(row)].append(row)
    rows = []
    for key in mail.about.split()[1:]:
        if key not in live:
            continue
        waiting = [row for row in live[key] if _waits(row)]
        if not waiting:  # an earlier try may have arrived: its address goes on opening
            waiting = [_like(live[key][0])]
            session.add_all(waiting)
        rows.append(waiting[0])
    return rows


def _like(row: LinkRow) -> LinkRow:
    return LinkRow(
        squad=row.squad,
        person=row.person,
        secret_hash=_waiting_sign(),
        holder=row.holder,
        email="",
        reminder_minutes=None,
        mail_id=None,
        created_at=row.created_at,
        revoked_at=None,
    )


def _waiting_sign() -> str:
    return f"{_WAITS} {uuid.uuid4().hex}"


def _waits(row: LinkRow) -> bool:
    return row.secret_hash.startswith(f"{_WAITS} ")


def _key(reader: Reader, number: int) -> str:
    return f"{_LETTERS[reader]}{number}"


def _key_of(row: LinkRow) -> str:
    if row.squad_id is not None:
        return _key(Reader.FAMILIES, row.squad_id)
    return _key(Reader.COACHES, row.person_id or 0)
