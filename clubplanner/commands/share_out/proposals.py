"""Proposals of share-outs: listed, shown, explained, published."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.commands.share_out.proposal_words import (
    proposal_in_words,
    proposal_value,
    refusal_lines,
)
from clubplanner.errors import MissingError
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.share_out.by_hand.by_hand import why_without
from clubplanner.services.share_out.listed.share_out_list import list_share_outs

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def proposals() -> None:
    """What share-outs proposed: looked at, explained, published."""


@proposals.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the proposals, newest first."""
    store = context.open()
    zone = club_zone(store)
    lines = list_share_outs(store)
    words = [
        f"{line.number}  {line.sort_words}, {line.stretch_name}: {line.sentence} "
        + (
            f"Published {line.published_at.astimezone(zone):%Y-%m-%d %H:%M}."
            if line.published_at
            else f"Made {line.created_at.astimezone(zone):%Y-%m-%d %H:%M}, not published."
        )
        for line in lines
    ]
    say("\n".join(words) or "None yet.", [asdict(line) for line in lines], as_json=as_json)


@proposals.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def show(context: Context, number: int, as_json: bool) -> None:
    """Show proposal NUMBER: what it comes to, its sessions, whom it changes, who goes without."""
    page = see_share_out(context.open(), number, present.now())
    words = [proposal_in_words(page)]
    for day, placed in page.days:
        words.append(f"{day}:")
        words += [
            f"  {one.times}  {one.squad_name}, {one.ground}{f'; {one.lost}' if one.lost else ''}"
            for one in placed
        ]
    sessions = [{"day": day, **asdict(one)} for day, placed in page.days for one in placed]
    value = {**proposal_value(page), "sessions": sessions}
    say("\n".join(words), value, as_json=as_json)


@proposals.command()
@click.argument("number", type=NUMBER)
@click.argument("ask")
@json_option
@click.pass_obj
@tells_faults
def explain(context: Context, number: int, ask: str, as_json: bool) -> None:
    """Say why ASK (its key, or its squad's name) goes without in proposal NUMBER.

    This takes the time it needs, also for what a run has left out for lack of time.
    """
    store, now = context.open(), present.now()
    refusals = see_share_out(store, number, now).refusals
    keys = [one.ask for one in refusals if one.ask == ask] or [
        one.ask for one in refusals if one.squad_name.casefold() == ask.strip().casefold()
    ]
    if not keys:
        raise MissingError(f"Nobody called “{ask}” goes without in proposal {number}.")
    found = [why_without(store, number, key, now) for key in keys]
    say("\n".join(refusal_lines(found)), [asdict(one) for one in found], as_json=as_json)


@proposals.command()
@click.argument("number", type=NUMBER)
@json_option
@click.pass_obj
@tells_faults
def publish(context: Context, number: int, as_json: bool) -> None:
    """Turn proposal NUMBER into dated bookings, all of them or none."""
    published = publish_share_out(context.open(), number, present.now())
    say(f"Published: {published.sentence}", asdict(published), as_json=as_json)
