"""The sizes of games of an age group, held against a ground given by its size or outline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import FaultyInputError
from clubplanner.inputs.club_files.sizes import is_size_table, read_sizes
from clubplanner.inputs.reading.table_files import read_table_file
from clubplanner.services.coach.any_ground.fit_inputs import faulty, ground_from_words
from clubplanner.services.coach.fits.format_words import formats_on

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.services.coach.fits.format_words import FormatFit, FormatsOnGround


@dataclass(frozen=True, slots=True)
class FormatAnswer:
    """A format of the age group, and whether its pitch fits on the ground.

    Attributes:
        code: Short name.
        body: Who gives the size.
        players_a_side: The goalkeeper counted.
        length: Of the pitch, metres.
        width: Of the pitch, metres.
        run_off: Clear ground to keep all round, metres; None where none is given.
        goal_width: Between the posts, metres; None where none is given.
        goal_height: Under the bar, metres; None where none is given.
        fits: Whether the pitch, run-off not counted, fits.
        fits_with_run_off: Whether it fits with its run-off; None where none is given.
        standing: How sure the figures are.
        source: Where they are published.
        sentence: All of it in words.
    """

    code: str
    body: str
    players_a_side: int
    length: float
    width: float
    run_off: float | None
    goal_width: float | None
    goal_height: float | None
    fits: bool
    fits_with_run_off: bool | None
    standing: str
    source: str
    sentence: str


def read_own_formats(table: ClubFile | None) -> tuple[GameFormat, ...]:
    """Read a table of own sizes; None for none.

    Raises:
        FaultyInputError: With every fault of the table.
    """
    if table is None:
        return ()
    found = read_table_file(table.data, table.name)
    if found.problems:
        raise FaultyInputError(found.problems)
    tables = [one for one in found.tables if is_size_table(one.text)] or found.tables
    read = read_sizes(tables[0].text, tables[0].name)
    if read.problems:
        raise FaultyInputError(read.problems)
    return read.formats


def ask_formats(
    ground: str, age: int | None, own: Sequence[GameFormat], on: date
) -> tuple[tuple[FormatAnswer, ...], FormatsOnGround]:
    """Hold a ground against the sizes of games of an age group.

    Args:
        ground: As for `ask_pieces`.
        age: Age group, 13 for under 13s; None for adults.
        own: A table of own sizes, beside the published ones.
        on: The date for which it is asked.

    Returns:
        The formats of the age group, and all formats whose pitch fits, by sport.

    Raises:
        FaultyInputError: If the outline cannot be used.
    """
    outline = ground_from_words(ground)
    try:
        found = formats_on(own, age, outline, on)
    except ValueError as fault:
        raise faulty("", "cannot-be-used", str(fault)) from fault
    return tuple(_format_answer(item) for item in found.of_age), found


def _format_answer(item: FormatFit) -> FormatAnswer:
    game = item.game
    return FormatAnswer(
        code=game.code,
        body=game.body,
        players_a_side=game.players_a_side,
        length=round(game.length_m, 4),
        width=round(game.width_m, 4),
        run_off=_rounded(game.run_off_m),
        goal_width=_rounded(game.goal_width_m),
        goal_height=_rounded(game.goal_height_m),
        fits=item.fits,
        fits_with_run_off=item.has_run_off,
        standing=game.standing,
        source=game.source,
        sentence=item.sentence,
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 4)
