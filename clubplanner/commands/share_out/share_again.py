"""Commands that share out again: what has come up, and one evening by itself."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.days import DAY
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import SEED
from clubplanner.commands.base.searching import search
from clubplanner.commands.base.times import CLOCK
from clubplanner.commands.share_out.proposal_words import proposal_in_words, proposal_value
from clubplanner.commands.share_out.share_out_files import memory_option
from clubplanner.domain.club.turnouts import MOST_PLAYERS
from clubplanner.errors import RefusedError
from clubplanner.services.giving.head_counts import say_who_comes
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.rows.named import find_ground_key, find_squad_key
from clubplanner.services.share_out.again.again import propose_reshare
from clubplanner.services.share_out.anew.anew import share_evening_out
from clubplanner.services.share_out.tonight.shared_out import Tonight, propose_tonight
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from clubplanner.commands.base.context import Context


def effort_options(command: Callable[..., None]) -> Callable[..., None]:
    """Add how long to try, from which seed and with how much memory."""
    seconds = click.option(
        "--seconds",
        default=20.0,
        show_default=True,
        type=click.FloatRange(1, 86_400),
        help="About how long to try.",
    )
    seed = click.option("--seed", default=1, show_default=True, type=SEED)
    return seconds(seed(memory_option(command)))


@click.command(name="run-again")
@click.option("--evening", type=DAY, help="Share out this date alone.")
@click.option("--week", type=DAY, help="Share out the week of this date.")
@click.option("--rest", type=DAY, help="Share out the rest of the stretch from this date on.")
@click.option("--close", multiple=True, help="Ground that is closed: a pitch, or “area, pitch”.")
@click.option("--from", "start_min", type=CLOCK, default=0, help="Closed from this time of day.")
@click.option("--to", "end_min", type=CLOCK, default=24 * 60, help="Closed up to this time.")
@click.option("--until", type=DAY, help="Last date of the closure; else that of the scope.")
@click.option("--reason", default="Closed", show_default=True, help="Why it is closed.")
@click.option("--drop", multiple=True, help="A squad that needs no sessions then.")
@effort_options
@json_option
@click.pass_obj
@tells_faults
def again(
    context: Context,
    evening: date | None,
    week: date | None,
    rest: date | None,
    close: tuple[str, ...],
    start_min: int,
    end_min: int,
    until: date | None,
    reason: str,
    drop: tuple[str, ...],
    seconds: float,
    seed: int,
    memory_mb: int,
    as_json: bool,
) -> None:
    """Share out again what is published, changing as little as can be.

    Say what has come up with --close and --drop; with neither, squads that lack sessions (new ones
    too) are placed where they can be. Nothing is booked until the proposal is published. It begins
    with what is published, not with an earlier proposal; --from is a time of day.
    """
    store = context.open()
    scope = read_scope(evening, week, rest)
    if end_min <= start_min:
        raise RefusedError("The closure ends before it starts; write a later time with --to.")
    disruption = Disruption(
        closures=tuple(
            GroundClosed(
                find_ground_key(store, words),
                scope.day,
                last_date(scope, until),
                start_min,
                end_min,
                reason,
            )
            for words in close
        ),
        dropped=frozenset(find_squad_key(store, words) for words in drop),
    )
    effort, now = Effort(seconds=seconds, seed=seed, memory_mb=memory_mb), present.now()
    number, is_stopped = search(
        "Sharing out again",
        lambda note, brake: propose_reshare(store, scope, disruption, effort, now, note, brake),
    )
    page = see_share_out(store, number, present.now())
    value = {**proposal_value(page), "is_stopped": is_stopped}
    say(proposal_in_words(page), value, as_json=as_json)


@click.command(name="run-evening")
@click.argument("day", type=DAY)
@effort_options
@json_option
@click.pass_obj
@tells_faults
def evening_alone(
    context: Context, day: date, seconds: float, seed: int, memory_mb: int, as_json: bool
) -> None:
    """Share out what is free on DAY among the squads that lack a session in its week.

    It begins with what stands on that day, not with an earlier proposal.
    """
    store = context.open()
    effort, now = Effort(seconds=seconds, seed=seed, memory_mb=memory_mb), present.now()
    done, is_stopped = search(
        "Sharing out the evening",
        lambda note, brake: share_evening_out(store, day, effort, now, note, brake=brake),
    )
    page = see_share_out(store, done.number, present.now())
    value = {**asdict(done), **proposal_value(page), "is_stopped": is_stopped}
    say(proposal_in_words(page), value, as_json=as_json)


@click.command(name="run-tonight")
@click.argument("day", type=DAY)
@click.option(
    "--players",
    multiple=True,
    type=(str, click.IntRange(1, MOST_PLAYERS), click.IntRange(0, MOST_PLAYERS)),
    metavar="SQUAD PLAYERS KEEPERS",
    help="With how many a squad comes, goalkeepers among them.",
)
@click.option("--without", multiple=True, metavar="SQUAD", help="A squad that stays away.")
@click.option("--also", multiple=True, metavar="SQUAD", help="A squad that comes too.")
@click.option("--close", multiple=True, help="Ground that is closed: a pitch, or “area, pitch”.")
@click.option("--from", "start_min", type=CLOCK, default=0, help="Closed from this time of day.")
@click.option("--to", "end_min", type=CLOCK, default=24 * 60, help="Closed up to this time.")
@click.option("--reason", default="Closed", show_default=True, help="Why it is closed.")
@effort_options
@json_option
@click.pass_obj
@tells_faults
def tonight(
    context: Context,
    day: date,
    players: tuple[tuple[str, int, int], ...],
    without: tuple[str, ...],
    also: tuple[str, ...],
    close: tuple[str, ...],
    start_min: int,
    end_min: int,
    reason: str,
    seconds: float,
    seed: int,
    memory_mb: int,
    as_json: bool,
) -> None:
    """Share DAY out by who comes and with how many, as the page of the evening does.

    What is said of squads is kept for that date. Whoever stands moves as little as can be, so it
    begins with what stands, not with an earlier proposal; --from is a time of day. Nothing is
    booked until the proposal is published.
    """
    store = context.open()
    if end_min <= start_min:
        raise RefusedError("The closure ends before it starts; write a later time with --to.")
    said: dict[str, dict[str, int | bool]] = {}
    for words, count, keepers in players:
        numbers = {"players": count, "goalkeepers": min(keepers, count)}
        said.setdefault(find_squad_key(store, words), {}).update(numbers)
    for names, comes in ((without, False), (also, True)):
        for words in names:
            said.setdefault(find_squad_key(store, words), {})["is_coming"] = comes
    closures = tuple(
        GroundClosed(find_ground_key(store, words), day, day, start_min, end_min, reason)
        for words in close
    )
    say_who_comes(store, day, said, store.by, present.now())
    effort, now = Effort(seconds=seconds, seed=seed, memory_mb=memory_mb), present.now()
    wish = Tonight(day, Disruption(closures=closures, fills=True))
    number, is_stopped = search(
        "Sharing out the evening",
        lambda note, brake: propose_tonight(store, wish, effort, now, note, brake),
    )
    page = see_share_out(store, number, present.now())
    value = {**proposal_value(page), "is_stopped": is_stopped}
    say(proposal_in_words(page), value, as_json=as_json)


def read_scope(evening: date | None, week: date | None, rest: date | None) -> Scope:
    """Read which part of the season is meant.

    Raises:
        RefusedError: If not exactly one is.
    """
    given = [
        Scope(sort, day)
        for sort, day in ((Sort.EVENING, evening), (Sort.WEEK, week), (Sort.REST, rest))
        if day is not None
    ]
    if len(given) != 1:
        raise RefusedError("Write one of --evening, --week and --rest, with a date.")
    return given[0]


def last_date(scope: Scope, until: date | None) -> date:
    """Return the last date of a closure.

    Raises:
        RefusedError: If the rest of a stretch is meant and no date is given.
    """
    if until is not None:
        if until < scope.day:
            raise RefusedError("The closure ends before it starts; write a later --until.")
        return until
    if scope.last is None:
        raise RefusedError("Write with --until how long the ground is closed.")
    return scope.last


COMMANDS = (again, evening_alone, tonight)
