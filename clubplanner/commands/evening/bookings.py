"""Bookings from the command line: listed, made, moved, withdrawn, handed back, swapped."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import because_option, json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.commands.base.secretary import SECRETARY
from clubplanner.commands.base.times import CLOCK
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.hours_typed import TypedTimeError, range_typed
from clubplanner.domain.times.times import minute_from_clock
from clubplanner.errors import RefusedError
from clubplanner.services.evening.booking_list import list_bookings
from clubplanner.services.evening.bookings import (
    add_booking,
    move_booking,
    see_booking,
    withdraw_booking,
)
from clubplanner.services.evening.fixed_sessions import fix_booking
from clubplanner.services.giving.requests import hand_back
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.swaps import accept_swap, end_swap, offer_swap
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.rows.named import find_area_id, find_squad_number

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.commands.base.context import Context
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.services.evening.bookings import BookingDone, BookingShown
    from clubplanner.store.engine import Store

HERE = Purpose.TRAINING, Purpose.MATCH, Purpose.HIRE

seen_option = click.option(
    "--seen",
    type=click.IntRange(0),
    help="The count of changes you looked at; refused if it changed since. As it stands if left "
    "out.",
)


@click.group()
def bookings() -> None:
    """What is booked on which ground, from when to when."""


@bookings.command(name="list")
@click.option("--first", type=DAY, help="First date; today if left out.")
@click.option("--last", type=DAY, help="Last date; a week after the first one if left out.")
@click.option("--squad", default="", help="Only of this one, by key or name.")
@click.option("--pitch", default="", help="Only on this one, by key or name.")
@json_option
@click.pass_obj
@tells_faults
def listing(
    context: Context,
    first: date | None,
    last: date | None,
    squad: str,
    pitch: str,
    as_json: bool,
) -> None:
    """List what is booked, by start."""
    store = context.open()
    since = first or present.now().astimezone(club_zone(store)).date()
    until = last or since + timedelta(days=7)
    lines = list_bookings(store, since, until, squad=squad, pitch=pitch)
    words = []
    for one in lines:
        place = one.pitch_name if one.area == "whole" else f"{one.area_name}, {one.pitch_name}"
        words.append(f"{one.number}  {one.when}  {one.holder}, {one.purpose}: {place}, {one.venue}")
        words[-1] += "; kept where it is" if one.is_fixed else ""
        words[-1] += f"; {one.note}" if one.note else ""
    say("\n".join(words) or "Nothing is booked.", lines, as_json=as_json)


@bookings.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, number: int, as_json: bool) -> None:
    """Show booking NUMBER, withdrawn or not."""
    shown = see_booking(context.open(), number)
    words = [f"{shown.number}  {_in_words(shown)}"]
    words += [shown.state.headline, *shown.state.details] if shown.state else []
    words += ["Withdrawn: it holds no ground any more."] if shown.is_withdrawn else []
    words += [f"Changed {shown.sequence} times."]
    words += [shown.note] if shown.note else []
    words += ["Share-outs leave it where it is."] if shown.is_fixed else []
    if shown.overruled:
        words.append(f"Against rules, because: {shown.overruled}")
        words += [f"  {one}" for one in shown.against]
    words += [f"Later ones: {shown.later.words}"] if shown.later else []
    say("\n".join(words), asdict(shown), as_json=as_json)


@bookings.command()
@click.argument("pitch")
@click.argument("day", type=DAY)
@click.argument("start", type=CLOCK)
@click.argument("end", type=CLOCK)
@click.option("--area", default="whole", show_default=True, help="Key or name of the part.")
@click.option("--squad", default="", help="Whose, by key or name.")
@click.option("--for", "holder", default="", help="Who, where it is no squad of ours.")
@click.option(
    "--purpose",
    type=click.Choice([one.value for one in HERE]),
    help="Training for a squad and hire for others if left out. “closures add” closes ground.",
)
@click.option("--note", default="", help="What others should know.")
@because_option
@json_option
@click.pass_obj
@tells_faults
def add(
    context: Context,
    pitch: str,
    day: date,
    start: int,
    end: int,
    area: str,
    squad: str,
    holder: str,
    purpose: str | None,
    note: str,
    because: str,
    as_json: bool,
) -> None:
    """Book PITCH on DAY from START to END; past midnight is the next day."""
    store = context.open()
    if bool(squad) == bool(holder.strip()):
        raise RefusedError("Say who has it: a squad of ours with --squad, others with --for.")
    usual = Purpose.TRAINING if squad else Purpose.HIRE
    wish = BookingWish(
        find_area_id(store, pitch, area),
        _during(store, day, start, end),
        Purpose(purpose) if purpose else usual,
        find_squad_number(store, squad) if squad else None,
        holder.strip(),
        note.strip(),
        is_fixed=True,
    )
    done = add_booking(store, wish, present.now(), Overruling(because.strip(), None))
    _say_done(store, "Booked", done, as_json=as_json)


@bookings.command()
@click.argument("number", type=NUMBER)
@click.option("--on", "day", type=DAY, help="Date; as it is if left out.")
@click.option("--from", "start", type=CLOCK, help="Time of day; as it is if left out.")
@click.option("--to", "end", type=CLOCK, help="Time of day; as it is if left out.")
@click.option("--pitch", help="Other ground; as it is if left out.")
@click.option("--area", default="whole", show_default=True, help="Which part of that pitch.")
@click.option("--why", default="", help="For whoever comes for it.")
@seen_option
@because_option
@json_option
@click.pass_obj
@tells_faults
def move(
    context: Context,
    number: int,
    day: date | None,
    start: int | None,
    end: int | None,
    pitch: str | None,
    area: str,
    why: str,
    seen: int | None,
    because: str,
    as_json: bool,
) -> None:
    """Move booking NUMBER to other ground or another time, where no rule stands in the way."""
    store = context.open()
    shown = see_booking(store, number)
    during = _during(
        store,
        day or datetime.fromisoformat(shown.day).date(),
        minute_from_clock(shown.starts) if start is None else start,
        minute_from_clock(shown.ends) if end is None else end,
    )
    done = move_booking(
        store,
        number,
        shown.sequence if seen is None else seen,
        shown.area_id if pitch is None else find_area_id(store, pitch, area),
        during,
        present.now(),
        Overruling(because.strip(), None),
        why=why.strip(),
    )
    _say_done(store, "Moved", done, as_json=as_json)


@bookings.command()
@click.argument("number", type=NUMBER)
@click.option("--and-later", is_flag=True, help="Its later ones as well.")
@click.option("--why", default="", help="For whoever comes for it.")
@seen_option
@json_option
@click.pass_obj
@tells_faults
def withdraw(
    context: Context, number: int, and_later: bool, why: str, seen: int | None, as_json: bool
) -> None:
    """Withdraw booking NUMBER; its ground is free, and calendars show it as off."""
    store = context.open()
    shown = see_booking(store, number)
    later = withdraw_booking(
        store,
        number,
        shown.sequence if seen is None else seen,
        present.now(),
        why=why.strip(),
        and_later=and_later,
    )
    words = f"Withdrawn: {_in_words(shown)}"
    words += f"; {later.words}" if later else ""
    say(words, {"number": number, "done": words}, as_json=as_json)


@bookings.command()
@click.argument("number", type=NUMBER)
@click.option("--free", is_flag=True, help="Let share-outs move it again.")
@seen_option
@json_option
@click.pass_obj
@tells_faults
def keep(context: Context, number: int, free: bool, seen: int | None, as_json: bool) -> None:
    """Keep session NUMBER where it is: share-outs leave it alone."""
    store = context.open()
    sequence = see_booking(store, number).sequence if seen is None else seen
    words = fix_booking(store, number, sequence, present.now(), is_fixed=not free)
    say(words, {"number": number, "done": words}, as_json=as_json)


@bookings.command(name="hand-back")
@click.argument("number", type=NUMBER)
@seen_option
@json_option
@click.pass_obj
@tells_faults
def give_back(context: Context, number: int, seen: int | None, as_json: bool) -> None:
    """Hand back the session of booking NUMBER; whoever waits is served."""
    store = context.open()
    sequence = see_booking(store, number).sequence if seen is None else seen
    words = hand_back(store, SECRETARY, number, sequence, present.now())
    say(words, {"number": number, "done": words}, as_json=as_json)


@bookings.command()
@click.argument("first", type=NUMBER)
@click.argument("second", type=NUMBER)
@because_option
@json_option
@click.pass_obj
@tells_faults
def swap(context: Context, first: int, second: int, because: str, as_json: bool) -> None:
    """Let the squads of bookings FIRST and SECOND change places at once."""
    store = context.open()
    now = present.now()
    overruling = Overruling(because.strip(), None)
    offer_swap(store, SECRETARY, first, second, "", now, overruling)
    number = list_swaps(store, SECRETARY, now)[-1].number
    try:
        words = accept_swap(store, SECRETARY, number, now, overruling)
    except Exception:
        end_swap(store, SECRETARY, number)
        raise
    say(words, {"done": words}, as_json=as_json)


def _during(store: Store, day: date, start: int, end: int) -> TimeRange:
    try:
        return range_typed(day, start, end, club_zone(store))
    except TypedTimeError as fault:
        raise RefusedError(str(fault)) from fault


def _in_words(shown: BookingShown) -> str:
    place = f"{shown.area_name}, {shown.pitch_name}"
    return (
        f"{shown.holder}, {shown.purpose}: {shown.day_words} {shown.starts}–{shown.ends}, {place}"
    )


def _say_done(store: Store, done_words: str, done: BookingDone, *, as_json: bool) -> None:
    shown = see_booking(store, done.number)
    words = [f"{done_words}: {done.number}  {_in_words(shown)}"]
    words += [f"Against: {one}" for one in done.against]
    value = {"number": done.number, "against": list(done.against), "booking": asdict(shown)}
    say("\n".join(words), value, as_json=as_json)
