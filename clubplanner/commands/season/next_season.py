"""The next season from the command line: looked at, corrected, made in one go."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.domain.club.comparing_names import is_called
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.season.next_season.dates import moved_words
from clubplanner.services.season.next_season.looked_through import (
    forget_next_season,
    save_next_season,
    see_next_season,
)
from clubplanner.services.season.next_season.make_season import make_next_season
from clubplanner.services.season.next_season.values import END, ON, Fate

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context
    from clubplanner.services.season.next_season.values import NextSeason

FATES = [fate.value for fate in Fate if fate.value]


@click.command(name="show-next")
@json_option
@click.pass_obj
@tells_faults
def show_next(context: Context, as_json: bool) -> None:
    """Show the next season as it is proposed, and what is asked still."""
    page = see_next_season(context.open(), present.now())
    words = [f"The season from {page.starts_on or 'a date to be said'}"]
    for squad in page.squads:
        becomes = f" → {squad.becomes} ({squad.becomes_group})" if squad.fate.goes_on else ""
        words.append(f"{squad.name}: {squad.fate.value or 'to be said'}{becomes}")
    words += [f"New: {new.name}" for new in page.begin if new.name]
    words += [f"{one.becomes}: {moved_words(one)}" for one in page.stretches if not one.is_left_out]
    words += [
        f"Break {one.becomes}: {moved_words(one)}" for one in page.breaks if not one.is_left_out
    ]
    words += [f"{holiday.day} {holiday.name}: {holiday.choice}" for holiday in page.holidays]
    words += [f"Asked: {problem.message}" for problem in page.problems]
    words += list(page.told)
    if page.made:
        words = [page.made]
    say("\n".join(words), _as_json(page), as_json=as_json)


@click.command(name="change-next")
@click.argument("squad")
@click.option("--fate", type=click.Choice(FATES), help="What becomes of it.")
@click.option("--name", help="What it is called next season.")
@click.option("--age-group", help="Of which age it is next season, such as U13.")
@click.option("--into", help="Which squad it merges into, by its name of today.")
@click.option("--players", type=click.IntRange(1, 999), help="How many players it has.")
@click.option("--addresses", type=click.Choice([ON, END]), help="Whether its addresses go on.")
@json_option
@click.pass_obj
@tells_faults
def change_next(
    context: Context,
    squad: str,
    fate: str | None,
    name: str | None,
    age_group: str | None,
    into: str | None,
    players: int | None,
    addresses: str | None,
    as_json: bool,
) -> None:
    """Say what becomes of SQUAD in the next season; what is left out stays as it was said."""
    store, now = context.open(), present.now()
    found = next(
        (one for one in see_next_season(store, now).squads if is_called(squad, one.name)), None
    )
    if found is None:
        raise MissingError(f"There is no squad “{squad}” that could go on; write its name of today")
    told = {
        "fate": Fate.MERGES.value if into and fate is None else fate,
        "name": name,
        "group": age_group,
        "into": into,
        "players": None if players is None else str(players),
        "addresses": addresses,
    }
    stands = {n: v for n, v in found.shown.items() if n in told}
    typed = stands | {n: v for n, v in told.items() if v is not None}
    saved = save_next_season(store, {found.item: typed}, {found.item: found.was}, now)
    if saved.differing:
        raise RefusedError("Somebody else has just changed this squad; look at it, then try again")
    after = next(one for one in see_next_season(store, now).squads if one.item == found.item)
    words = f"{after.name}: {after.fate.value or 'to be said'}, {after.becomes}."
    say(
        words,
        {"squad": after.name, "fate": after.fate.value, "name": after.becomes},
        as_json=as_json,
    )


@click.command(name="make-next")
@json_option
@click.pass_obj
@tells_faults
def make_next(context: Context, as_json: bool) -> None:
    """Make the next season as “year show-next” shows it, in one go."""
    words = make_next_season(context.open(), present.now())
    say(words, {"done": words}, as_json=as_json)


@click.command(name="forget-next")
@json_option
@click.pass_obj
@tells_faults
def forget_next(context: Context, as_json: bool) -> None:
    """Forget what was typed about the next season; it is proposed anew."""
    words = forget_next_season(context.open())
    say(words, {"done": words}, as_json=as_json)


def _as_json(page: NextSeason) -> dict[str, object]:
    return {
        "starts_on": page.starts_on,
        "squads": [
            {
                "squad": squad.name,
                "fate": squad.fate.value,
                "name": squad.becomes,
                "age_group": squad.becomes_group,
                "doubt": squad.doubt,
            }
            for squad in page.squads
        ],
        "stretches": [
            {
                "name": one.becomes,
                "starts_on": one.first,
                "ends_on": one.last,
                "words": moved_words(one),
            }
            for one in page.stretches
            if not one.is_left_out
        ],
        "breaks": [
            {
                "name": one.becomes,
                "starts_on": one.first,
                "ends_on": one.last,
                "words": moved_words(one),
            }
            for one in page.breaks
            if not one.is_left_out
        ],
        "begin": [new.name for new in page.begin if new.name],
        "holidays": [
            {"day": holiday.day, "name": holiday.name, "choice": holiday.choice}
            for holiday in page.holidays
        ],
        "asked": [problem.message for problem in page.problems],
        "told": list(page.told),
        "made": page.made,
    }
