"""Beside a proposal: what if one session is insisted on, and another proposal."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.commands.base.times import CLOCK
from clubplanner.services.share_out.by_hand.compared import compare_proposals
from clubplanner.services.share_out.by_hand.what_if import (
    USUAL_SECONDS,
    find_wish,
    take_what_if,
    what_if,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.commands.base.context import Context
    from clubplanner.services.share_out.by_hand.compared import Compared, Matter
    from clubplanner.services.share_out.by_hand.what_if_words import Payer, WhatIf


@click.command(name="what-if")
@click.argument("number", type=NUMBER)
@click.argument("squad")
@click.argument("day")
@click.argument("start", type=CLOCK)
@click.argument("area")
@click.option(
    "--seconds",
    default=USUAL_SECONDS,
    show_default=True,
    type=click.FloatRange(1, 600),
    help="About how long to try.",
)
@click.option("--take", is_flag=True, help="Keep it as a new proposal; nothing is booked yet.")
@json_option
@click.pass_obj
@tells_faults
def insist(
    context: Context,
    number: int,
    squad: str,
    day: str,
    start: int,
    area: str,
    seconds: float,
    take: bool,
    as_json: bool,
) -> None:
    """Say who pays if SQUAD trains on DAY at START on AREA in proposal NUMBER.

    SQUAD is a squad's name or an ask's key, DAY a day of the proposal, AREA “area, pitch” or its
    key. Nothing is changed, but for --take.
    """
    store, now = context.open(), present.now()
    wish = find_wish(store, number, squad, day, start, area, now)
    found = what_if(store, number, wish, now, seconds)
    lines, value = list(_what_if_lines(found)), {**asdict(found), "proposal": None}
    if take:
        fresh = take_what_if(store, number, wish, found.changes, now)
        value["proposal"] = fresh
        lines.append(
            f"Kept as proposal {fresh}; publish it with: clubplanner proposals publish {fresh}"
        )
    say("\n".join(lines), value, as_json=as_json)


@click.command()
@click.argument("first", type=NUMBER)
@click.argument("second", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def compare(context: Context, first: int, second: int, as_json: bool) -> None:
    """Put proposals FIRST and SECOND beside each other, by what a club argues about."""
    found = compare_proposals(context.open(), first, second, present.now())
    say("\n".join(_compared_lines(found)), asdict(found), as_json=as_json)


def _what_if_lines(found: WhatIf) -> Iterator[str]:
    yield f"{found.squad_name}, {found.where}: {found.sentence}"
    yield found.proof
    if found.against:
        yield f"Against what the squad asks for: {', '.join(found.against)}."
    for payer in found.payers:
        yield f"{payer.squad_name}, {payer.before} → {payer.after} %:"
        yield from _payer_lines(payer)


def _payer_lines(payer: Payer) -> Iterator[str]:
    yield from (f"  loses {place}" for place in payer.lost)
    yield from (f"  moves {old} → {new}" for old, new in payer.moved)
    yield from (f"  gets {place}" for place in payer.won)


def _compared_lines(found: Compared) -> Iterator[str]:
    yield " and ".join(f"{side.number} ({side.words}, {side.made})" for side in found.sides)
    if found.caution:
        yield found.caution
    yield found.sentence
    for matter in found.matters:
        yield from _matter_lines(matter, [side.number for side in found.sides])
    for squad in found.squads:
        yield f"{squad.squad_name}:"
        for side, places in zip(found.sides, squad.sessions, strict=True):
            yield f"  {side.number}: {'; '.join(places) or 'no session'}"


def _matter_lines(matter: Matter, numbers: list[int]) -> Iterator[str]:
    yield f"{matter.words}: {matter.values[0]} in {numbers[0]}, {matter.values[1]} in {numbers[1]}"
    for number, only in zip(numbers, matter.only, strict=True):
        yield from (f"  only in {number}: {one}" for one in only)


BESIDE = (insist, compare)
"""What the group of share-out commands takes in."""
