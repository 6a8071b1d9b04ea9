"""Hires of a table into the club's records: a date is one hire, a weekday with two dates a series.

A hire is known by its hirer, weekday and dates; of several the one at that place, time and number.
What the table says nothing of stays. Dates that no rule stands in the way of are booked, the others
are left out and told; a hire of which nothing at all can be booked is asked about.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.hires import DAYS_A_WEEK, HireTimes, rhythm_in_words
from clubplanner.domain.club.persons.coaches import is_phone
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import MINUTES_A_DAY, day_in_short, minute_from_clock
from clubplanner.domain.times.windows import parse_days
from clubplanner.inputs.club_files.squads_file.coach_cells import no_phone_words
from clubplanner.inputs.pasting.hire_times import SECOND, SEVERAL
from clubplanner.inputs.pasting.kinds import DAYS, TIMES
from clubplanner.language import _, ngettext
from clubplanner.services.hires.booking import write_hire
from clubplanner.services.hires.dates import HireWish, Looking
from clubplanner.services.hires.hire_rows import LONGEST_NAME, LONGEST_NOTE, dates_of, load_hires
from clubplanner.services.hires.in_line import bring_in_line, left_out_words
from clubplanner.services.pasting.known_hires import find_known, place_of_single, stand_apart
from clubplanner.services.pasting.named_ground import Grounds, place_of_fault
from clubplanner.services.pasting.sent import CHANGED, NEW, SAME, Change, Taken, faults_at_cells
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.states.conditions import place_name

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.inputs.pasting.understanding import LooseTable, Understood, UnderstoodRow
    from clubplanner.store.tables.ground_tables import AreaRow
    from clubplanner.store.tables.hire_tables import HireRow

MOST_DATES_A_TABLE = 6_000
LONGEST = {"hirer": LONGEST_NAME, "contact": LONGEST_NAME, "note": LONGEST_NOTE}
MOST_STAYS = 6
"""Dates left out that are told one by one."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A hire of a table: what is wished, where, and the row it stands in."""

    wish: HireWish
    area: AreaRow
    row: int


def take_hires(session: Session, table: LooseTable, understood: Understood, now: datetime) -> Taken:
    """Write the hires of a table, unless something is asked; the caller keeps or gives up.

    Args:
        session: The open write session.
        table: What was sent.
        understood: What was understood of it.
        now: The present instant.
    """
    grounds = Grounds(session)
    problems: list[Problem] = []
    wanted = [
        one for row in understood.rows if not row.asked for one in _wanted(row, grounds, problems)
    ]
    changes: list[Change] = []
    if wanted and sum(len(one.wish.times.dates) for one in wanted) > MOST_DATES_A_TABLE:
        words = _("These are too many dates for one table; part it.")
        return Taken((), understood.asked, (Problem("table", "too-large", words),))
    if wanted:
        changes = _take(session, wanted, problems, now)
    choices = {"no-such-pitch": grounds.names, "no-such-area": grounds.parts}
    asked, others = faults_at_cells(problems, table, understood, lambda row: row, choices)
    all_asked = (*understood.asked, *asked)
    if all_asked or others:
        return Taken(tuple(changes), all_asked, tuple(others))
    new = sum(change.what == NEW for change in changes)
    changed = sum(change.what == CHANGED for change in changes)
    words = ngettext("%(num)s hire is new", "%(num)s hires are new", new)
    more = ngettext("%(num)s changed", "%(num)s changed", changed)
    return Taken(tuple(changes), lines=(f"{words}, {more}",))


def _take(
    session: Session, wanted: Sequence[_Wanted], problems: list[Problem], now: datetime
) -> list[Change]:
    """Write hire by hire; each sees what was written before it."""
    hires = load_hires(session)
    known = find_known([one.wish for one in wanted], hires)
    apart = stand_apart(hires, load_zone(session))
    days = [day for one in wanted for day in (one.wish.times.first_on, one.wish.times.dates[-1])]
    days += [one.day for hire in hires for one in dates_of(hire)]
    today = now.astimezone(load_zone(session)).date()
    first = max(min(days), today - timedelta(days=1))
    looking = Looking(session, first, max(*days, first), now, with_places=False)
    changes = []
    for number, one in enumerate(wanted):
        if place_of_single(one.wish) in apart:
            changes.append(_change(one, SAME, ()))
        elif number in known:
            changes.append(_bring_in_line(session, known[number], one, looking, now))
        else:
            changes.append(_write(session, one, looking, now, problems))
    session.flush()
    return changes


def _write(
    session: Session, one: _Wanted, looking: Looking, now: datetime, problems: list[Problem]
) -> Change:
    wish = one.wish
    dates = looking.dates(wish, wish.times.dates)
    ahead = [one for one in dates if one.during is not None and one.during.ends_at > now]
    out = left_out_words(dates)
    booked = sum(date.is_booked for date in dates)
    if booked or (ahead and all(one.day in wish.not_on for one in ahead)):
        write_hire(session, wish, dates, now)
        looking.take(wish, dates)
    elif ahead:
        place = place_of_fault(one.row, "first")
        problems.append(Problem(place, "not-free", out[0].partition(": ")[2]))
    words = ngettext("%(num)s date booked", "%(num)s dates booked", booked)
    what = NEW if ahead else SAME
    return _change(one, what, (words, *_shortened(out)) if ahead else (_("It is over."),))


def _bring_in_line(
    session: Session, hire: HireRow, one: _Wanted, looking: Looking, now: datetime
) -> Change:
    done = bring_in_line(session, hire, one.wish, looking, now)
    what = CHANGED if done.details or done.stays else SAME
    return _change(one, what, _shortened(done.stays), done.details)


def _change(
    one: _Wanted,
    what: str,
    told: Sequence[str],
    details: tuple[tuple[str, str, str], ...] = (),
) -> Change:
    times = one.wish.times
    first, last = times.dates[0], times.dates[-1]
    rhythm = rhythm_in_words(
        len(times.dates), first.weekday(), times.every_weeks, times.start_min, times.end_min
    )
    span = day_in_short(first)
    if first != last:
        span = _("%(first)s to %(last)s", first=span, last=day_in_short(last))
    read = f"{span}, {rhythm}, {place_name(one.area)}"
    return Change(one.wish.name, what, (one.row,), (read, *told), details)


def _shortened(words: Sequence[str]) -> tuple[str, ...]:
    if len(words) <= MOST_STAYS:
        return tuple(words)
    more = ngettext("and %(num)s more", "and %(num)s more", len(words) - MOST_STAYS)
    return (*words[:MOST_STAYS], more)


def _wanted(row: UnderstoodRow, grounds: Grounds, problems: list[Problem]) -> Iterator[_Wanted]:
    """Yield the hires of a row, one a weekday, or note what is wrong with it."""
    cells = row.cells
    found = len(problems)
    area = grounds.find(row, problems)
    for column, most in (
        ("hirer", LONGEST_NAME),
        ("contact", LONGEST_NAME),
        ("note", LONGEST_NOTE),
    ):
        if len(cells.get(column, "")) > most:
            words = _("Use at most %(most)s characters here.", most=most)
            problems.append(Problem(place_of_fault(row.row, column), "too-long", words))
    phone = cells.get("phone", "")
    if phone and not is_phone(phone):
        problems.append(
            Problem(place_of_fault(row.row, "phone"), "not-a-number", no_phone_words(phone))
        )
    if area is None or len(problems) > found:
        return
    for times in _times(cells):
        if times.fault is not None:
            column = {"to": TIMES}.get(times.fault[0], times.fault[0])
            problems.append(
                Problem(place_of_fault(row.row, column), "out-of-range", times.fault[1])
            )
        else:
            wish = HireWish(
                cells["hirer"],
                area.id,
                times,
                cells.get("contact", ""),
                phone,
                cells.get("note", ""),
                not_on=_not_on(cells),
            )
            yield _Wanted(wish, area, row.row)


def _not_on(cells: Mapping[str, str]) -> frozenset[date]:
    listed = cells.get("not on", "")
    return frozenset(map(date.fromisoformat, listed.split(SEVERAL))) if listed else frozenset()


def _times(cells: Mapping[str, str]) -> Iterator[HireTimes]:
    """Yield when the hires of a row are: one a weekday, from its first date of that day."""
    first, last = date.fromisoformat(cells["first"]), date.fromisoformat(cells["last"])
    start, end = (minute_from_clock(part) for part in cells[TIMES].split("-"))
    end += MINUTES_A_DAY * (end <= start)
    every = 2 if cells.get("every") == SECOND else 1
    days = parse_days(cells[DAYS]) if cells.get(DAYS) else (first.weekday(),)
    for weekday in days:
        begins = first + timedelta(days=(weekday - first.weekday()) % DAYS_A_WEEK)
        yield HireTimes(begins, last, every, start, end)
