"""What the parts of a problem's file say about each other: keys, days, windows, pinned sessions.

`validating.validate` says the same without places; every fault it finds in a problem whose numbers
are in range is found here as well, which the tests hold.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.files.json_shapes import shown
from clubplanner.sharing.files.known import Known
from clubplanner.sharing.files.want_references import check_wants, check_wishes

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.sharing.files.json_shapes import Faults
    from clubplanner.sharing.values.problem import Ask, Placement, Problem


def check_references(problem: Problem, faults: Faults) -> None:
    """Note every fault between the parts of a problem.

    Args:
        problem: As read; parts with faults of their own are stand-ins.
        faults: Those so far. Nothing is said about a part that has one, nor about what points to
            a part of the file that has one.
    """
    known = Known(problem, faults)
    check_twice("$.grounds", [ground.key for ground in problem.grounds], "ground", faults)
    check_twice("$.asks", [ask.key for ask in problem.asks], "ask", faults)
    _check_pitches(problem, known)
    _check_days(problem, known)
    _check_rules(problem, known)
    check_wants(problem, known)
    for n, ask in enumerate(problem.asks):
        _check_ask(ask, f"$.asks[{n}]", known)


def check_twice(path: str, keys: Sequence[str], what: str, faults: Faults) -> None:
    """Note keys that stand twice in a list of records."""
    first: dict[str, int] = {}
    for n, key in enumerate(keys):
        place = f"{path}[{n}].key"
        if key in first and not faults.has_under(place):
            message = (
                f"{shown(key)} is also the key of {path}[{first[key]}]; give each {what} its own."
            )
            faults.add(place, "twice", message)
        first.setdefault(key, n)


def _check_pitches(problem: Problem, known: Known) -> None:
    venues: dict[str, str] = {}
    for n, ground in enumerate(problem.grounds):
        first = venues.setdefault(ground.pitch, ground.venue)
        if first != ground.venue and f"$.grounds[{n}].pitch" not in known.bad:
            message = (
                f"Pitch {shown(ground.pitch)} lies at {shown(first)} further up; a pitch lies at "
                "one venue."
            )
            known.add(f"$.grounds[{n}].venue", "contradiction", message)


def _check_days(problem: Problem, known: Known) -> None:
    seen: dict[date, int] = {}
    for n, day in enumerate(problem.days):
        path = f"$.days[{n}]"
        if day.index != n:
            message = f"This is day {n} of the list; write {n}, the days stand in order."
            known.add(f"{path}.index", "order", message)
        for m, when in enumerate(day.dates):
            place = f"{path}.dates[{m}]"
            if place in known.bad:
                continue
            if when in seen:
                message = f"{when} also stands on day {seen[when]}; each date belongs to one day."
                known.add(place, "twice", message)
            elif m and when < day.dates[m - 1]:
                known.add(place, "order", f"{when} comes too late; write dates in their order.")
            seen[when] = n


def _check_rules(problem: Problem, known: Known) -> None:
    for n, opening in enumerate(problem.openings):
        path = f"$.openings[{n}]"
        known.check_key(f"{path}.venue", opening.venue, known.venues, "is at venue")
        known.check_day(f"{path}.day", opening.day)
        known.check_range(path, opening.start_min, opening.end_min)
    for n, dark in enumerate(problem.darkness):
        path = f"$.darkness[{n}]"
        known.check_key(f"{path}.venue", dark.venue, known.venues, "is at venue")
        known.check_day(f"{path}.day", dark.day)
    for n, off in enumerate(problem.lights_out):
        path = f"$.lights_out[{n}]"
        known.check_key(f"{path}.venue", off.venue, known.venues, "is at venue")
        known.check_day(f"{path}.day", off.day)
        if off.pitch is not None:
            here = [pitch for pitch, venue in known.pitches.items() if venue == off.venue]
            known.check_key(f"{path}.pitch", off.pitch, here, "of this venue is on pitch")
    for n, booking in enumerate(problem.standing):
        path = f"$.standing[{n}]"
        known.check_key(f"{path}.pitch", booking.pitch, known.pitches, "is on pitch")
        known.check_range(path, booking.start_min, booking.end_min)


def _check_ask(ask: Ask, path: str, known: Known) -> None:
    known.check_windows(f"{path}.possible", ask.possible)
    known.check_windows(f"{path}.preferred", ask.preferred)
    for venue in sorted(ask.venues):
        known.check_key(f"{path}.venues", venue, known.venues, "is at venue")
    check_wishes(ask, path, known)
    numbers: set[int] = set()
    for n, pin in enumerate(ask.pinned):
        _check_pin(ask, pin, f"{path}.pinned[{n}]", known)
        if pin.session in numbers:
            message = f"Session {pin.session} is pinned twice; each session once."
            known.add(f"{path}.pinned[{n}].session", "twice", message)
        numbers.add(pin.session)


def _check_pin(ask: Ask, pin: Placement, path: str, known: Known) -> None:
    if pin.ask != ask.key and known.bad.isdisjoint({f"{path}.ask", path}):
        known.add(f"{path}.ask", "dangling", f"Belongs to ask {shown(ask.key)}; write that.")
    if pin.session >= ask.sessions:
        message = f"Session {pin.session} is not asked for; write a number below {ask.sessions}."
        known.add(f"{path}.session", "contradiction", message)
    known.check_key(f"{path}.ground", pin.ground, known.grounds, "has key")
    if known.check_day(f"{path}.day", pin.day) and not known.problem.days[pin.day].dates:
        known.add(f"{path}.day", "contradiction", f"Day {pin.day} has no dates; write another day.")
    if pin.end_min - pin.start_min != ask.minutes and f"{path}.start_min" not in known.bad:
        message = f"The ask is for {ask.minutes} minutes; write {pin.start_min + ask.minutes}."
        known.add(f"{path}.end_min", "length", message)
