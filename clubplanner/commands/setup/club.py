"""The commands about the club as a whole: its database, its files, its first addresses."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.files_on_disk import read_file, write_file
from clubplanner.commands.base.handing_out import cautions_about, say_addresses
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.errors import PlannerError, RefusedError
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.services.people.passwords import create_secretary_key
from clubplanner.services.setup.loading import load_files
from clubplanner.store.engine import open_store, shown_address
from clubplanner.store.migrate import migrate

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context
    from clubplanner.config import Config


@click.command()
@click.pass_obj
@tells_faults
def init(context: Context) -> None:
    """Make the database, or bring it up to date; a copy as it was is then kept beside it.

    With a list of clubs and none chosen, of each of them; where one cannot be, the others are.
    """
    if context.is_for_all:
        _init_all(context)
        return
    copy = _migrate(context.config)
    if copy is not None:
        click.echo(f"The database as it was is kept as {copy}.")
    click.echo(f"Ready: {shown_address(context.config.database)}")


def _init_all(context: Context) -> None:
    failed = []
    for name, club in context.open_clubs().clubs.items():
        try:
            copy = _migrate(club.config)
        except PlannerError as fault:
            failed.append(name)
            click.echo(f"{name}: {fault}", err=True)
            continue
        kept = "" if copy is None else f"; the database as it was is kept as {copy}"
        click.echo(f"{name}: ready{kept}.")
    if failed:
        raise RefusedError(f"Not ready: {', '.join(failed)}.")


def _migrate(config: Config) -> Path | None:
    store = open_store(config.database)
    try:
        return migrate(store)
    finally:
        store.close()


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def load(context: Context, files: tuple[Path, ...], as_json: bool) -> None:
    """Load settings (.toml), grounds (.geojson), squads and own sizes (.csv or .xlsx).

    All FILES are checked first; if there is any fault, every one is listed and nothing is changed.
    """
    report = load_files(context.open(), [read_file(path) for path in files], datetime.now(UTC))
    lines = "\n".join(f"Loaded {line}." for line in report.lines)
    say(lines, {"loaded": list(report.lines)}, as_json=as_json)


@click.command()
@click.argument("squad")
@click.option("--output", type=click.Path(path_type=Path), help="Write the calendar file here.")
@click.option("--holder", default="the squad", help="For whom the new address is.")
@json_option
@click.pass_obj
@tells_faults
def feed(context: Context, squad: str, output: Path | None, holder: str, as_json: bool) -> None:
    """Make a new address for SQUAD (its key or name), and its calendar file.

    The address shows the squad's page and feeds its calendar; it is printed only now, since only
    its hash is kept. With --output the calendar file is written as well.
    """
    store = context.open()
    if output is not None:
        write_file(output, b"")  # an address is made only when its file can be written
    now = datetime.now(UTC)
    secret = create_squad_link(store, squad, holder, now)
    public_address = settle_address(context.config, store).public_address
    address = f"{public_address}/ground/{secret}"
    file = build_feed(store, secret, public_address, now)
    if output is not None:
        write_file(output, file.data)
    value = {"page": address, "feed": f"{address}/sessions.ics", "file": output and str(output)}
    words = f"Page: {address}\nFeed: {address}/sessions.ics"
    if output is not None:
        words += f"\nFile: {output}"
    say_addresses(words, value, cautions_about(context, store), as_json=as_json)


@click.command()
@click.option(
    "--name", default="", help="Which secretary, by name or e-mail, if there are several."
)
@json_option
@click.pass_obj
@tells_faults
def secretary(context: Context, name: str, as_json: bool) -> None:
    """Print an address where the secretary sets a password, once, within twelve hours.

    The first time it sets up the secretary; later it lets one in who has forgotten the password.
    """
    store = context.open()
    key = create_secretary_key(store, datetime.now(UTC), name)
    address = f"{settle_address(context.config, store).public_address}/secretary/{key}"
    value = {"address": address}
    say_addresses(address, value, cautions_about(context, store), as_json=as_json)
