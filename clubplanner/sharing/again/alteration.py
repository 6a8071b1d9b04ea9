"""What has come up since a plan was made: closed ground, new, changed and dropped asks, pins."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date  # noqa: TC003 - the shapes of files read it at run time
from typing import TYPE_CHECKING

from clubplanner.sharing.files.files import read_value
from clubplanner.sharing.files.json_shapes import Faults, shown
from clubplanner.sharing.files.references import check_references, check_twice
from clubplanner.sharing.values.problem import Ask, Placement, Standing
from clubplanner.sharing.values.validating import validate

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from clubplanner.domain.problems import Problem as Fault
    from clubplanner.sharing.values.problem import Problem

LAST_MINUTE = 24 * 60


@dataclass(frozen=True, slots=True)
class Closure:
    """Ground that cannot be used for a while.

    Attributes:
        ground: Key of the ground; whatever shares a cell with it is closed as well.
        day: Index of the day.
        dates: Dates of that day on which it is closed; empty for all of them.
        start_min: First minute.
        end_min: Minute after the last.
        label: Why, in words.
    """

    ground: str
    day: int
    dates: tuple[date, ...] = ()
    start_min: int = 0
    end_min: int = LAST_MINUTE
    label: str = "Closed"


@dataclass(frozen=True, slots=True)
class Alteration:
    """What has come up.

    Attributes:
        closures: Ground that is closed.
        asks_added: New asks.
        asks_changed: Asks that are to read differently, by their keys.
        squads_dropped: Squads all of whose asks are withdrawn.
        pins: Sessions that are to be where the secretary says; a session's earlier pin gives way.
    """

    closures: tuple[Closure, ...] = ()
    asks_added: tuple[Ask, ...] = ()
    asks_changed: tuple[Ask, ...] = ()
    squads_dropped: frozenset[str] = frozenset()
    pins: tuple[Placement, ...] = ()


def alter(problem: Problem, alteration: Alteration) -> Problem:
    """Return the problem as it is now.

    Args:
        problem: As it was.
        alteration: What has come up; without faults against this problem.
    """
    changed = {ask.key: ask for ask in alteration.asks_changed}
    asks = [
        _with_pins(changed.get(ask.key, ask), alteration.pins)
        for ask in problem.asks
        if ask.squad not in alteration.squads_dropped
    ]
    asks += [_with_pins(ask, alteration.pins) for ask in alteration.asks_added]
    grounds = {ground.key: ground for ground in problem.grounds}
    closed = [
        Standing(
            grounds[closure.ground].pitch,
            grounds[closure.ground].cells,
            when,
            closure.start_min,
            closure.end_min,
            closure.label,
            needs_changeover=False,
        )
        for closure in alteration.closures
        for when in closure.dates or problem.days[closure.day].dates
    ]
    squads = {ask.squad for ask in asks}
    return replace(
        problem,
        asks=tuple(asks),
        standing=(*problem.standing, *closed),
        pairs=tuple(pair for pair in problem.pairs if {pair.squad, pair.other} <= squads),
    )


def read_alteration(data: bytes, problem: Problem) -> tuple[Alteration | None, tuple[Fault, ...]]:
    """Read an alteration and hold it against its problem.

    Args:
        data: The file, UTF-8 JSON; every member may be left out.
        problem: The problem as it was, without faults.

    Returns:
        The alteration and no faults, or None and every fault with its place.
    """
    faults = Faults()
    alteration = read_value(Alteration, data, faults)
    if alteration is None:
        return None, tuple(faults.found)
    is_sound = not faults.found
    _check_own(alteration, problem, faults)
    if is_sound and not faults.found:
        _check_result(alteration, problem, faults)
    return (None, tuple(faults.found)) if faults.found else (alteration, ())


def faults_of(alteration: Alteration, problem: Problem) -> tuple[Fault, ...]:
    """List the faults of an alteration against its problem."""
    faults = Faults()
    _check_own(alteration, problem, faults)
    if not faults.found:
        _check_result(alteration, problem, faults)
    return tuple(faults.found)


def _with_pins(ask: Ask, pins: tuple[Placement, ...]) -> Ask:
    own = [pin for pin in pins if pin.ask == ask.key]
    fresh = {pin.session for pin in own}
    kept = [pin for pin in ask.pinned if pin.session not in fresh]
    return replace(ask, pinned=(*kept, *own)) if own else ask


def _check_own(alteration: Alteration, problem: Problem, faults: Faults) -> None:
    """Note what points to nothing in the problem, but where a fault stands already."""
    bad = {fault.where for fault in faults.found}
    dangling = [
        *_closures(alteration, problem),
        *_asks(alteration, problem),
    ]
    for path, message in dangling:
        if path not in bad:
            faults.add(path, "dangling", message)
    check_twice("$.asks_added", [ask.key for ask in alteration.asks_added], "ask", faults)
    check_twice("$.asks_changed", [ask.key for ask in alteration.asks_changed], "ask", faults)


def _closures(alteration: Alteration, problem: Problem) -> Iterator[tuple[str, str]]:
    grounds = {ground.key for ground in problem.grounds}
    for n, closure in enumerate(alteration.closures):
        path = f"$.closures[{n}]"
        if closure.ground not in grounds:
            yield f"{path}.ground", f"No ground has key {shown(closure.ground)}; write one that is."
        if closure.end_min <= closure.start_min:
            yield f"{path}.end_min", "Ends before it starts; write a later end."
        if closure.day >= len(problem.days):
            yield f"{path}.day", f"There is no day {closure.day}; write one of the problem's."
            continue
        for m, when in enumerate(closure.dates):
            if when not in problem.days[closure.day].dates:
                yield (
                    f"{path}.dates[{m}]",
                    f"{when} is no date of day {closure.day}; write one that is.",
                )


def _asks(alteration: Alteration, problem: Problem) -> Iterator[tuple[str, str]]:
    keys = {ask.key for ask in problem.asks}
    kept = {ask.key for ask in problem.asks if ask.squad not in alteration.squads_dropped}
    for n, ask in enumerate(alteration.asks_added):
        if ask.key in keys:
            place = f"$.asks_added[{n}].key"
            yield place, f"Ask {shown(ask.key)} is there already; put it under asks_changed."
    for n, ask in enumerate(alteration.asks_changed):
        if ask.key not in kept:
            place = f"$.asks_changed[{n}].key"
            yield place, f"There is no ask {shown(ask.key)}; put it under asks_added."
    for squad in sorted(alteration.squads_dropped - {ask.squad for ask in problem.asks}):
        yield "$.squads_dropped", f"No ask is of squad {shown(squad)}; leave it out."
    known = kept | {ask.key for ask in alteration.asks_added}
    for n, pin in enumerate(alteration.pins):
        if pin.ask not in known:
            yield f"$.pins[{n}].ask", f"There is no ask {shown(pin.ask)}; write one that is."


def _check_result(alteration: Alteration, problem: Problem, faults: Faults) -> None:
    """Note what would be faulty in the altered problem, at the place that brought it in."""
    altered = alter(problem, alteration)
    found = Faults()
    check_references(altered, found)
    places: dict[str, str] = {}
    for name, asks in (
        ("asks_added", alteration.asks_added),
        ("asks_changed", alteration.asks_changed),
    ):
        places |= {ask.key: f"$.{name}[{n}]" for n, ask in enumerate(asks)}
    for fault in found.found:
        faults.add(_moved(fault.where, altered, alteration, places), fault.code, fault.message)
    if not faults.found:
        for message in validate(altered):
            faults.add("$", "fault", message)


def _moved(where: str, altered: Problem, alteration: Alteration, places: Mapping[str, str]) -> str:
    """Turn a place in the altered problem into one in the alteration; "$" where it has none."""
    for n, ask in enumerate(altered.asks):
        path = f"$.asks[{n}]"
        if not where.startswith(f"{path}."):
            continue
        for m, pin in enumerate(ask.pinned):
            own = f"{path}.pinned[{m}]"
            if where.startswith(f"{own}.") and pin in alteration.pins:
                return where.replace(own, f"$.pins[{alteration.pins.index(pin)}]", 1)
        return where.replace(path, places[ask.key], 1) if ask.key in places else "$"
    return "$"
