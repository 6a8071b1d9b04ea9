"""The pages about money: a month with who owes what, a draft, a statement and its files."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.money.amounts import tell_amount
from clubplanner.domain.money.tariffs import Payer, Per
from clubplanner.domain.times.times import (
    day_in_short,
    day_in_words,
    instant_from_wall,
    moment_in_words,
)
from clubplanner.errors import MissingError
from clubplanner.language import _, marked, sentence, term
from clubplanner.services.money.drafts import FLOODLIGHTS, load_drafts, month_of, next_month
from clubplanner.services.money.statements import (
    load_issued,
    load_statement,
    month_in_words,
    standing_of,
)
from clubplanner.services.money.tariff_words import PAYERS
from clubplanner.services.rows.club.money_rows import load_tariffs, load_terms
from clubplanner.services.rows.snapshot import load_club

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from clubplanner.services.money.drafts import Draft, StatedLine
    from clubplanner.store.engine import Store

_PURPOSES = (marked("training"), marked("match"), marked("hire"), marked(FLOODLIGHTS))
ROUNDED = marked(
    "Each line is rounded once, to the smallest coin, a half up; the total is their sum."
)


@dataclass(frozen=True, slots=True)
class OwedLine:
    """Somebody in the month's list.

    Attributes:
        payer: Who owes.
        about: Who pays whom, in words.
        key: The squad's or venue's key, or the hirer's name.
        name: What they are called.
        total: What they owe by today's tariffs, in words.
        count: How many lines that is.
        number: Of the statement that stands; None for none.
        differs: Whether it says another total than today's, in words; blank.
    """

    payer: str
    about: str
    key: str
    name: str
    total: str
    count: int
    number: int | None
    differs: str


@dataclass(frozen=True, slots=True)
class StatementLine:
    """A statement in the list."""

    number: int
    name: str
    total: str
    issued: str
    taken_back: str


@dataclass(frozen=True, slots=True)
class MonthPage:
    """A month.

    Attributes:
        month: Its first date.
        words: The month in words.
        before: The month before, and after: the next one.
        is_over: Whether statements can be issued.
        has_tariffs: Whether there is any tariff.
        has_currency: Whether the club's currency is chosen.
        sums: Who pays whom, in words, and how much in all.
        owed: A line for everybody, by who pays.
        statements: Those of the month, the last number first.
        left: How many are not issued yet.
    """

    month: date
    words: str
    before: date
    after: date
    is_over: bool
    has_tariffs: bool
    has_currency: bool
    sums: tuple[tuple[str, str], ...]
    owed: tuple[OwedLine, ...]
    statements: tuple[StatementLine, ...]

    @property
    def left(self) -> int:
        """How many have no statement yet."""
        return sum(line.number is None for line in self.owed)


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line of a statement in words."""

    day: str
    times: str
    place: str
    what: str
    hours: str
    rate: str
    off: str
    amount: str


@dataclass(frozen=True, slots=True)
class StatementPage:
    """A statement, or a draft of one.

    Attributes:
        number: None for a draft.
        payer: Who owes, as addresses have it.
        key: For a draft, whose.
        name: Who owes, or the venue that the club owes.
        about: Who pays whom, in words.
        month: Its first date.
        month_words: In words.
        lines: In words.
        total: In words.
        note: The treasurer's.
        issued: When, in words; blank for a draft.
        taken_back: When and why, in words; blank where it stands.
        rounding: Where it is rounded.
        can_issue: Whether a draft can be issued: the month is over, and none stands.
    """

    number: int | None
    payer: str
    key: str
    name: str
    about: str
    month: date
    month_words: str
    lines: tuple[LineShown, ...]
    total: str
    note: str
    issued: str
    taken_back: str
    rounding: str
    can_issue: bool = False


def see_month(store: Store, month: date, now: datetime) -> MonthPage:
    """Show who owes what for a month, and the statements issued.

    Args:
        store: The database.
        month: Any date of it.
        now: The present instant.
    """
    month = month_of(month)
    with store.read() as session:
        zone = load_club(session).time_zone
        drafts = load_drafts(session, month, now)
        issued = load_issued(session, month)
        standing = standing_of(drafts, issued)
        lines = tuple(
            OwedLine(
                draft.payer.value,
                term(PAYERS[draft.payer]),
                draft.key,
                draft.name,
                tell_amount(draft.total, draft.currency),
                len(draft.lines),
                None if row is None else row.number,
                ""
                if row is None or (row.total, row.currency) == (draft.total, draft.currency)
                else tell_amount(row.total, row.currency),
            )
            for draft, row in zip(drafts, standing, strict=True)
        )
        return MonthPage(
            month=month,
            words=month_in_words(month),
            before=month_of(month - timedelta(days=1)),
            after=next_month(month),
            is_over=now >= instant_from_wall(next_month(month), 0, zone),
            has_tariffs=bool(load_tariffs(session)),
            has_currency=bool(load_terms(session).currency),
            sums=_sums(drafts),
            owed=lines,
            statements=tuple(
                StatementLine(
                    one.number,
                    one.name,
                    tell_amount(one.total, one.currency),
                    day_in_short(one.issued_at.astimezone(zone).date()),
                    one.why or (_("taken back") if one.withdrawn_at else ""),
                )
                for one in issued
            ),
        )


def see_draft(store: Store, payer: str, key: str, month: date, now: datetime) -> StatementPage:
    """Show what somebody owes for a month by today's tariffs.

    Raises:
        MissingError: If nothing is owed.
    """
    of_payer = next((one for one in Payer if one.value == payer), None)
    with store.read() as session:
        only = None if of_payer is None else (of_payer, key)
        drafts = () if only is None else load_drafts(session, month_of(month), now, only)
        issued = load_issued(session, month_of(month))
        terms, zone = load_terms(session), load_club(session).time_zone
    draft = next(iter(drafts), None)
    if draft is None:
        raise MissingError(_("Nothing is owed for this month; look at the list of the month."))
    return StatementPage(
        number=None,
        payer=payer,
        key=key,
        name=draft.name,
        about=term(PAYERS[draft.payer]),
        month=draft.month,
        month_words=month_in_words(draft.month),
        lines=tuple(_shown(line, draft.currency) for line in draft.lines),
        total=tell_amount(draft.total, draft.currency),
        note=terms.note,
        issued="",
        taken_back="",
        rounding=term(ROUNDED),
        can_issue=bool(terms.currency)
        and now >= instant_from_wall(next_month(draft.month), 0, zone)
        and standing_of([draft], issued) == [None],
    )


def see_statement(store: Store, number: int) -> StatementPage:
    """Show a statement as it was issued.

    Raises:
        MissingError: If there is none of that number.
    """
    with store.read() as session:
        one = load_statement(session, number)
        zone = load_club(session).time_zone
    taken_back = ""
    if one.withdrawn_at is not None:
        when = moment_in_words(one.withdrawn_at, zone)
        taken_back = _("Taken back %(when)s.", when=when)
        if one.why:
            taken_back = _("Taken back %(when)s: %(why)s", when=when, why=one.why)
    return StatementPage(
        number=one.number,
        payer=one.payer.value,
        key="",
        name=one.name,
        about=term(PAYERS[one.payer]),
        month=one.month,
        month_words=month_in_words(one.month),
        lines=tuple(_shown(line, one.currency) for line in one.lines),
        total=tell_amount(one.total, one.currency),
        note=one.note,
        issued=day_in_words(one.issued_at.astimezone(zone).date()),
        taken_back=taken_back,
        rounding=term(ROUNDED),
    )


def _sums(drafts: Sequence[Draft]) -> tuple[tuple[str, str], ...]:
    totals: dict[Payer, int] = {}
    for draft in drafts:
        totals[draft.payer] = totals.get(draft.payer, 0) + draft.total
    currency = drafts[0].currency if drafts else ""
    return tuple((term(PAYERS[p]), tell_amount(total, currency)) for p, total in totals.items())


def _shown(line: StatedLine, currency: str) -> LineShown:
    day = date.fromisoformat(line.day)
    what = [sentence(term(line.purpose)), line.who, line.tariff]
    share = "" if line.share == "1" else f" × {line.share}"
    off = [
        _("%(hours)s h free", hours=_hours(line.free_minutes)) if line.free_minutes else "",
        _("%(percent)s %% off", percent=line.percent_off) if line.percent_off else "",
        line.reduction if line.percent_off or line.free_minutes else "",
        _("withdrawn late, %(percent)s %% owed", percent=line.percent_owed)
        if line.percent_owed < 100
        else "",
    ]
    per = _("an hour") if line.per == Per.HOUR else _("a date")
    return LineShown(
        day=day_in_short(day),
        times=f"{line.start}–{line.end}",
        place=line.place,
        what=", ".join(part for part in what if part),
        hours=f"{_hours(line.minutes)} h{share}" if line.per == Per.HOUR else "",
        rate=f"{tell_amount(line.rate, currency)} {per}",
        off=", ".join(part for part in off if part),
        amount=tell_amount(line.amount, currency),
    )


def _hours(minutes: int) -> str:
    """Write hours and minutes: "1:30"; never rounded."""
    return f"{minutes // 60}:{minutes % 60:02d}"
