"""Addresses from the command line: made, listed, withdrawn."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.files_on_disk import STANDARD, write_file
from clubplanner.commands.base.handing_out import cautions_about, say_addresses
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.commands.base.ranges import NUMBER
from clubplanner.services.addresses.address_sheet import print_addresses
from clubplanner.services.addresses.handing_out import (
    HandOutWish,
    Reader,
    Scope,
    keys_of_squads,
    make_sheet,
)
from clubplanner.services.addresses.mailed_addresses import mail_addresses
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.addresses.session_links import (
    list_session_links,
    withdraw_session_link,
)
from clubplanner.services.calendars.calendar_links import (
    LONGEST_REMINDER,
    LinkKind,
    LinkWish,
    create_link,
    list_links,
    withdraw_link,
)

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def addresses() -> None:
    """Unguessable addresses of squads, coaches and pitches, one a person."""


@addresses.command()
@click.argument("kind", type=click.Choice([kind.value for kind in LinkKind]))
@click.argument("subject")
@click.option("--holder", required=True, help="Who gets it.")
@click.option("--email", default="", help="Gets mails about changes; not for pitches.")
@click.option(
    "--reminder",
    type=click.IntRange(0, LONGEST_REMINDER),
    help="Minutes before each booking at which a calendar reminds.",
)
@json_option
@click.pass_obj
@tells_faults
def add(
    context: Context,
    kind: str,
    subject: str,
    holder: str,
    email: str,
    reminder: int | None,
    as_json: bool,
) -> None:
    """Make an address of SUBJECT: a squad, a coach or a pitch, by key or name.

    It is printed only now, since only its hash is kept.
    """
    wish = LinkWish(LinkKind(kind), subject, holder, email, reminder)
    store = context.open()
    made = create_link(store, wish, present.now())
    page = f"{settle_address(context.config, store).public_address}{made.path}"
    words, value = (
        f"Page: {page}\nFeed: {page}/{made.file}",
        {"page": page, "feed": f"{page}/{made.file}"},
    )
    say_addresses(words, value, cautions_about(context, store), as_json=as_json)


@addresses.command(name="hand-out")
@click.option("--squad", "squads", multiple=True, help="Only of this one, by key or name; again.")
@click.option("--all", "of_all", is_flag=True, help="Also of those that have one already.")
@click.option(
    "--for",
    "readers",
    type=click.Choice([reader.value for reader in Reader]),
    multiple=True,
    help="For parents and players (the usual), for coaches, or, given twice, both.",
)
@click.option(
    "--sheet", type=click.Path(path_type=Path, dir_okay=False), help="Write a PDF to cut up."
)
@click.option("--mail", "by_mail", is_flag=True, help="Mail each coach theirs; print none.")
@json_option
@click.pass_obj
@tells_faults
def hand_out(
    context: Context,
    squads: tuple[str, ...],
    of_all: bool,
    readers: tuple[str, ...],
    sheet: Path | None,
    by_mail: bool,
    as_json: bool,
) -> None:
    """Make the addresses of all squads that have none yet, each with its name.

    They are printed only now, since only their hashes are kept. Those in use stay as they are.
    """
    if squads and of_all:
        raise click.UsageError("Give --squad or --all, not both.")
    if by_mail and sheet is not None:
        raise click.UsageError("Give --mail or --sheet, not both.")
    if sheet == STANDARD:
        raise click.UsageError("The addresses go to standard output; name a file for the sheet.")
    if sheet is not None and sheet.exists():
        raise click.UsageError(f"{sheet} is there already, and its addresses are nowhere else.")
    store = context.open()
    config = settle_address(context.config, store)
    now = present.now()
    wish = HandOutWish(
        frozenset(map(Reader, readers)) or frozenset({Reader.FAMILIES}),
        Scope.TICKED if squads else Scope.ALL if of_all else Scope.NONE_YET,
        keys_of_squads(store, squads),
    )
    if by_mail:
        done = mail_addresses(store, wish, now, sends=config.mail_server is not None)
        lines = [
            f"Waiting to be mailed: {done.people}. “clubplanner mails deliver” sends them now."
        ]
        lines += [
            f"By hand: {one.name or 'nobody'} ({', '.join(one.squads)}), {one.why}, "
            f"{one.phone or 'no telephone number'}"
            for one in done.without
        ]
        say_addresses(
            "\n".join(lines), asdict(done), cautions_about(context, store), as_json=as_json
        )
        return
    strips = make_sheet(store, wish, now)
    made = [(one, f"{config.public_address}{one.path}") for one in strips]
    words = "\n".join(f"{one.name} ({one.reader.value}): {address}" for one, address in made)
    listed = [
        {"name": one.name, "for": one.reader.value, "purpose": one.purpose, "address": address}
        for one, address in made
    ]
    cautions = cautions_about(context, store)
    say_addresses(words, {"addresses": listed}, cautions, as_json=as_json)
    if sheet is not None:
        write_file(sheet, print_addresses(store, strips, config.public_address, now))


@addresses.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def listing(context: Context, as_json: bool) -> None:
    """List the addresses in use; the addresses themselves are kept nowhere."""
    store = context.open()
    lines = list_links(store)
    words = [f"{x.number}  {x.subject} ({x.kind})  {x.holder}, {x.notes}" for x in lines]
    of_sessions = list_session_links(store, present.now())
    words += [f"session {x.number}  {x.session}  {x.holder}, until {x.ends}" for x in of_sessions]
    values = [asdict(line) for line in lines]
    values += [{"kind": "session", **asdict(line)} for line in of_sessions]
    say("\n".join(words) or "None yet.", values, as_json=as_json)


@addresses.command()
@click.argument("number", type=NUMBER)
@click.option(
    "--session", "of_session", is_flag=True, help="NUMBER is that of a session's address."
)
@json_option
@click.pass_obj
@tells_faults
def withdraw(context: Context, number: int, of_session: bool, as_json: bool) -> None:
    """Make address NUMBER of the list useless."""
    make_useless = withdraw_session_link if of_session else withdraw_link
    holder = make_useless(context.open(), number, present.now())
    say(f"Withdrawn: the address of {holder}.", {"holder": holder}, as_json=as_json)
