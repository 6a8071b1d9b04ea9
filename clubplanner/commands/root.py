"""The root command and the commands about the club as a whole."""

from __future__ import annotations

import logging
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import click

from clubplanner.commands.ahead import ahead
from clubplanner.commands.asks import asks
from clubplanner.commands.busy import busy
from clubplanner.commands.changes import changes
from clubplanner.commands.closures import closures
from clubplanner.commands.context import Context
from clubplanner.commands.demo import run_demo
from clubplanner.commands.fairness import fairness
from clubplanner.commands.files_on_disk import read_file, write_file
from clubplanner.commands.fit import fit
from clubplanner.commands.grounds import grounds
from clubplanner.commands.handing_out import cautions_about, say_addresses, tell_cautions
from clubplanner.commands.light import light
from clubplanner.commands.links import addresses
from clubplanner.commands.mails import deliver_mails, list_mails
from clubplanner.commands.matches import matches
from clubplanner.commands.output import json_option, say, tells_faults
from clubplanner.commands.server import serve_app, take_port
from clubplanner.commands.share_out import share_out
from clubplanner.commands.wear import grass
from clubplanner.commands.worker import worker
from clubplanner.commands.year import year
from clubplanner.config import USUAL_PORT, config_from_environment
from clubplanner.errors import RefusedError
from clubplanner.services.feeds import build_feed
from clubplanner.services.links import create_squad_link
from clubplanner.services.loading import load_files
from clubplanner.services.passwords import create_secretary_key
from clubplanner.services.public_address import THIS_MACHINE, settle_address, settle_served
from clubplanner.services.reach import caution_of
from clubplanner.store.engine import open_store
from clubplanner.store.migrate import migrate
from clubplanner.webapp import create_app
from clubplanner.webapp.factory import real_clock


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clubplanner", prog_name="clubplanner")
@click.option(
    "--database",
    metavar="ADDRESS",
    help="Where the club's records are, such as sqlite:///club.sqlite. "
    "Else CLUBPLANNER_DATABASE, else clubplanner.sqlite in this folder.",
)
@click.pass_context
@tells_faults
def main(context: click.Context, database: str | None) -> None:
    """Share a club's pitches out among its squads, and show every coach their ground."""
    logging.basicConfig(level=logging.WARNING, format="%(levelname)s %(name)s: %(message)s")
    config = config_from_environment()
    if database:
        config = replace(config, database=database)
    if config.database.rstrip("/") in ("sqlite:", "sqlite:///:memory:"):
        raise RefusedError(
            f"“{config.database}” names no file, so nothing would be kept; write an address like "
            "sqlite:///club.sqlite"
        )
    context.obj = Context(config)


main.add_command(addresses)
main.add_command(ahead)
main.add_command(asks)
main.add_command(busy)
main.add_command(changes)
main.add_command(closures)
main.add_command(deliver_mails)
main.add_command(fit)
main.add_command(grounds)
main.add_command(light)
main.add_command(matches)
main.add_command(list_mails)
main.add_command(share_out)
main.add_command(grass)
main.add_command(fairness)
main.add_command(year)


@main.command()
@click.pass_obj
@tells_faults
def init(context: Context) -> None:
    """Make the database, or bring it up to date."""
    store = open_store(context.config.database)
    try:
        migrate(store)
    finally:
        store.close()
    click.echo(f"Ready: {context.config.database}")


@main.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@json_option
@click.pass_obj
@tells_faults
def load(context: Context, files: tuple[Path, ...], as_json: bool) -> None:
    """Load settings (.toml), grounds (.geojson), squads (.csv) and own sizes (.csv).

    All FILES are checked first; if there is any fault, every one is listed and nothing is changed.
    """
    report = load_files(context.open(), [read_file(path) for path in files], datetime.now(UTC))
    lines = "\n".join(f"Loaded {line}." for line in report.lines)
    say(lines, {"loaded": list(report.lines)}, as_json=as_json)


@main.command()
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


@main.command()
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


port_option = click.option(
    "--port",
    default=USUAL_PORT,
    show_default=True,
    type=click.IntRange(0, 65535),
    help="Port to listen on; 0 for any that is free.",
)


@main.command()
@click.option("--host", default=THIS_MACHINE, show_default=True, help="Interface to listen on.")
@port_option
@click.pass_obj
@tells_faults
def serve(context: Context, host: str, port: int) -> None:
    """Serve the pages.

    Other machines reach them only with --host 0.0.0.0; put a server that speaks https in front,
    and tell the planner its address in CLUBPLANNER_PUBLIC_ADDRESS. Addresses that are handed out
    begin with that, else with where the pages are served; other commands go by it, too.
    """
    store = context.open()
    with closing(take_port(host, port)) as listening:
        port = listening.getsockname()[1]
        config = settle_served(context.config, store, host, port, real_clock())
        app = create_app(store, config)
        where = f" on {host}:{port}" if context.config.public_address else ""
        click.echo(f"Serving {config.public_address}{where}; stop with Ctrl-C.")
        caution = caution_of(config.public_address)
        tell_cautions([] if caution is None else [str(caution)])
        with worker(store, config, real_clock):
            serve_app(app, listening)


@main.command()
@port_option
@click.option(
    "--folder", type=click.Path(path_type=Path), help="Where to keep the demo's database."
)
@click.option(
    "--seconds",
    default=10.0,
    show_default=True,
    type=click.FloatRange(1, 600),
    help="Time allowed for each share-out.",
)
@click.option("--no-serve", is_flag=True, help="Print the addresses and stop.")
@json_option
@tells_faults
def demo(port: int, folder: Path | None, seconds: float, no_serve: bool, as_json: bool) -> None:
    """Load an invented club, share out, publish, and serve it on this machine."""
    run_demo(port=port, folder=folder, seconds=seconds, is_served=not no_serve, as_json=as_json)
