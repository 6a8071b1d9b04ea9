"""What the desk's evening, its list and the notice board have to say, held to the books."""

from __future__ import annotations

from typing import TYPE_CHECKING
from unittest.mock import patch

from clubplanner.services.evening import evening, notice_board
from clubplanner.services.evening.booked import BookedWish, list_booked
from clubplanner.services.evening.evening import see_evening
from clubplanner.services.evening.notice_board import see_board
from tests.world.pages import date_of, times

if TYPE_CHECKING:
    from datetime import date, datetime

    from tests.world.world import Standing, World


def hold_desk(world: World, day: date) -> None:
    """Hold all that shows a date of the whole venue to the books: who is there, and who is not."""
    sessions = world.standing()
    there = {one.number: one for one in sessions if is_there(one, day)}
    moved = {number for number, one in there.items() if world.state_of(one) == "moved"}
    missed = {(one.number, times(spot)) for one in sessions for spot in missed_on(world, one, day)}
    names = {one.number: one.name for one in sessions}
    _hold_evening(world, day, there, moved, missed)
    _hold_list(world, day, there, moved)
    _hold_board(world, day, there, moved, {(names[number], words) for number, words in missed})


def is_there(one: Standing, day: date) -> bool:
    """Tell whether a session is on a date, and on."""
    return not one.is_withdrawn and date_of(one.starts_at) == day


def missed_on(world: World, one: Standing, day: date) -> list[tuple[int, datetime, datetime]]:
    """Return where a session was to be on a date on which nobody comes for it; once at the most."""
    if is_there(one, day):
        return []
    spots = [one.spot] if one.is_withdrawn else []
    return [s for s in (*spots, world.planned[one.number]) if date_of(s[1]) == day][:1]


def _hold_evening(
    world: World,
    day: date,
    there: dict[int, Standing],
    moved: set[int],
    missed: set[tuple[int, str]],
) -> None:
    with (
        patch.object(evening, "_day_drawn", lambda *_given: ""),
        patch.object(evening, "draw_ground_plan", lambda _plan: ""),
    ):
        page = see_evening(world.store, None, day, 18 * 60, now=world.now)
    rows = {row.number: row for row in page.rows if row.squad_key is not None}
    assert rows.keys() == there.keys(), "the evening's table"
    for number, one in there.items():
        assert rows[number].times == times(one.spot), f"{one} in the evening"
        assert rows[number].holder == one.name, f"{one} in the evening"
    assert {n for n, row in rows.items() if row.state is not None} == moved, "moved this evening"
    told = [(one.there.number, one.times) for one in page.missed]
    assert len(told) == len(set(told)), "the evening's list, twice"
    assert set(told) == missed, "off or elsewhere this evening"


def _hold_list(world: World, day: date, there: dict[int, Standing], moved: set[int]) -> None:
    booked = list_booked(world.store, BookedWish(day, day), tells_moves=True)
    lines = {line.number: line for line in booked.lines if line.squad_key is not None}
    assert lines.keys() == there.keys(), "the file of the evening"
    assert {n for n, line in lines.items() if line.state} == moved, "moved, in the file"


def _hold_board(
    world: World,
    day: date,
    there: dict[int, Standing],
    moved: set[int],
    missed: set[tuple[str, str]],
) -> None:
    with patch.object(notice_board, "draw_place", lambda *_given, **_named: ""):
        board = see_board(world.store, None, day, world.now)
    rows = [row for row in board.rows if not row.is_closed]
    on = {(row.who, row.times): row.state is not None for row in rows if not row.is_off}
    expected = {(one.name, times(one.spot)): number in moved for number, one in there.items()}
    assert on == expected, "the board"
    assert {(row.who, row.times) for row in rows if row.is_off} == missed, "off, on the board"
