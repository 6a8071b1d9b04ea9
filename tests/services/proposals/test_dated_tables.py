"""Tables of dated sessions are compared as one session after the other would be."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from hypothesis import given
from hypothesis import strategies as st

from clubplanner.services.proposals.dated import Booked, Wanted
from clubplanner.services.proposals.dated_tables import (
    booked_from,
    first_of_each,
    pair_up,
    table_of,
    wanted_from,
)
from clubplanner.services.proposals.differences.compared import _pair, _without_stood_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.services.proposals.dated_tables import Table

FIRST = date(2026, 8, 31)
"""A Monday."""
A_DAY = 86_400
BEGINS = int(datetime(2026, 8, 31, tzinfo=UTC).timestamp())
small = st.integers(1, 3)
days = st.integers(0, 16)


def day_of(seconds: int) -> date:
    """Return the date in UTC."""
    return datetime.fromtimestamp(seconds, UTC).date()


@st.composite
def bookeds(draw: st.DrawFn) -> list[Booked]:
    """Draw what stands, by start and number."""
    drawn = draw(st.lists(st.tuples(small, small, days, small), max_size=14))
    rows = sorted((BEGINS + day * A_DAY + hour * 3600, squad, area)
                  for squad, area, day, hour in drawn)  # fmt: skip
    return [
        Booked(number, 0, squad, area, starts, starts + 3600, 7)
        for number, (starts, squad, area) in enumerate(rows, 1)
    ]


@st.composite
def wanteds(draw: st.DrawFn) -> list[Wanted]:
    """Draw what is wanted, by start and squad."""
    drawn = draw(st.lists(st.tuples(small, small, days, small), max_size=14))
    found = [
        Wanted(squad, area, starts, starts + 3600, FIRST + timedelta(days=day))
        for squad, area, day, hour in drawn
        for starts in [BEGINS + day * A_DAY + hour * 3600]
    ]
    return sorted(found, key=lambda one: (one.starts, one.squad_id))


def booked_table(booked: Sequence[Booked]) -> Table:
    """Return the table of what stands."""
    return table_of(
        [(*one[:2], one.squad_id or 0, *one[3:6], one.share_out_id or 0) for one in booked], 7
    )


def wanted_table(wanted: Sequence[Wanted]) -> Table:
    """Return the table of what is wanted."""
    return table_of([(*one[:4], one.day.toordinal()) for one in wanted], 5)


@given(bookeds(), wanteds())
def test_tables_give_back_what_was_put_into_them(
    booked: list[Booked], wanted: list[Wanted]
) -> None:
    """Values to numbers and back."""
    assert list(booked_from(booked_table(booked), {})) == booked
    assert list(wanted_from(wanted_table(wanted))) == wanted


@given(st.lists(st.tuples(small, small)), st.lists(st.tuples(small, small)))
def test_equal_rows_are_paired_in_their_order(
    ours: list[tuple[int, int]], theirs: list[tuple[int, int]]
) -> None:
    """Each of theirs takes the first equal one of ours that is left."""
    left = list(enumerate(ours))
    expected = []
    for there, row in enumerate(theirs):
        mate = next((one for one in left if one[1] == row), None)
        if mate is not None:
            left.remove(mate)
            expected.append((mate[0], there))
    found = zip(*(each.tolist() for each in pair_up(table_of(ours, 2), table_of(theirs, 2))),
                strict=True)  # fmt: skip
    assert list(found) == expected


@given(st.lists(st.tuples(small, small)))
def test_the_first_of_equal_rows_is_found(rows: list[tuple[int, int]]) -> None:
    """As a dictionary keeps the places of its keys."""
    expected = [rows.index(row) for row in dict.fromkeys(rows)]
    assert first_of_each(table_of(rows, 2)).tolist() == expected


@given(bookeds(), wanteds())
def test_sessions_are_paired_by_date_and_then_by_week(
    booked: list[Booked], wanted: list[Wanted]
) -> None:
    """A squad's new sessions, each in turn, take one of its date, and then those of its week."""
    mates: dict[int, Booked] = {}
    left = list(booked)
    for is_by_date in (True, False):
        for n, target in enumerate(wanted):
            if n in mates:
                continue
            mate = next(
                (
                    one
                    for one in left
                    if one.squad_id == target.squad_id
                    and (
                        day_of(one.starts) == target.day
                        if is_by_date
                        else day_of(one.starts).isocalendar()[:2] == target.day.isocalendar()[:2]
                    )
                ),
                None,
            )
            if mate is not None:
                left.remove(mate)
                mates[n] = mate
    mine, theirs = _pair(booked_table(booked), wanted_table(wanted), day_of)
    found = {n: booked[here] for here, n in zip(mine.tolist(), theirs.tolist(), strict=True)}
    assert found == mates
    assert theirs.tolist() == sorted(mates)


@given(wanteds(), bookeds())
def test_what_a_person_moved_stands_in_for_the_nearest_of_its_week(
    wanted: list[Wanted], by_hand: list[Booked]
) -> None:
    """One session of the week each, the nearest by its start."""
    wanted = list(dict.fromkeys(wanted))
    left = list(wanted)
    for one in by_hand:
        week = day_of(one.starts).isocalendar()[:2]
        same = [
            target
            for target in left
            if target.squad_id == one.squad_id and target.day.isocalendar()[:2] == week
        ]
        if same:
            left.remove(min(same, key=lambda target: abs(target.starts - one.starts)))
    found = _without_stood_in(wanted_table(wanted), booked_table(by_hand), day_of)
    assert list(wanted_from(found)) == left
