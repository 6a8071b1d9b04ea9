"""The commands that serve the pages: a club's own, and an invented one's."""

from __future__ import annotations

import threading
from contextlib import closing, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.handing_out import tell_cautions
from clubplanner.commands.base.output import json_option, tells_faults
from clubplanner.commands.serving.demo import run_demo
from clubplanner.commands.serving.server import serve_app, take_port
from clubplanner.commands.serving.worker import stopping, work_until, worker
from clubplanner.commands.serving.workers import work_for_all, workers
from clubplanner.config import USUAL_PORT
from clubplanner.errors import RefusedError
from clubplanner.services.addresses.public_address import (
    THIS_MACHINE,
    settle_address,
    settle_served,
)
from clubplanner.services.addresses.reach import Reach, caution_of, reach_of
from clubplanner.webapp import create_app
from clubplanner.webapp.clubs.dispatch import make_clubs_app
from clubplanner.webapp.factory import real_clock

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context

REACHED = {
    Reach.ANYWHERE: "",
    Reach.OPEN_ON_THE_WAY: " (without https)",
    Reach.OWN_NETWORK: " (in this network only)",
    Reach.THIS_MACHINE: " (on this machine only)",
}
"""What is said of an address beside those of other clubs."""

port_option = click.option(
    "--port",
    default=USUAL_PORT,
    show_default=True,
    type=click.IntRange(0, 65535),
    help="Port to listen on; 0 for any that is free.",
)


@click.command()
@click.option("--host", default=THIS_MACHINE, show_default=True, help="Interface to listen on.")
@port_option
@click.option("--no-worker", is_flag=True, help="Leave mails and notices to “clubplanner worker”.")
@click.pass_obj
@tells_faults
def serve(context: Context, host: str, port: int, no_worker: bool) -> None:
    """Serve the pages.

    Other machines reach them only with --host 0.0.0.0; put a server that speaks https in front,
    and tell the planner its address in CLUBPLANNER_PUBLIC_ADDRESS. Addresses that are handed out
    begin with that, else with where the pages are served; other commands go by it, too.

    With a list of clubs and none chosen, all of them, each at its own host or path; the list may
    be changed meanwhile.
    """
    if context.is_for_all:
        _serve_all(context, host, port, no_worker=no_worker)
        return
    store = context.open()
    with closing(take_port(host, port)) as listening:
        port = listening.getsockname()[1]
        config = settle_served(context.config, store, host, port, real_clock())
        app = create_app(store, config)
        where = f" on {host}:{port}" if context.config.public_address else ""
        click.echo(f"Serving {config.public_address}{where}; stop with Ctrl-C.")
        caution = caution_of(config.public_address)
        tell_cautions([] if caution is None else [str(caution)])
        with nullcontext() if no_worker else worker(store, config, real_clock):
            serve_app(app, listening)


def _serve_all(context: Context, host: str, port: int, *, no_worker: bool) -> None:
    at_hand = context.open_clubs()
    with closing(at_hand), closing(take_port(host, port)) as listening:
        port = listening.getsockname()[1]
        app = make_clubs_app(at_hand)
        click.echo(f"Serving {len(at_hand.clubs)} clubs on {host}:{port}; stop with Ctrl-C.")
        for name, club in at_hand.clubs.items():
            address = club.config.public_address
            click.echo(f"{name}: {address}{REACHED[reach_of(address)]}")
        with nullcontext() if no_worker else workers(at_hand, real_clock):
            serve_app(app, listening, at_hand.name_of)


@click.command(name="worker")
@click.pass_obj
@tells_faults
def work(context: Context) -> None:
    """Deliver mails and notices, and read calendars of others, until stopped.

    For a planner whose pages are served with “serve --no-worker” or by another server. Any number
    may run beside each other. Addresses in mails begin as those do that the pages hand out.

    With a list of clubs and none chosen, for all of them; none waits for another.
    """
    stop = threading.Event()
    if context.is_for_all:
        with closing(context.open_clubs()) as at_hand, stopping(stop):
            click.echo(f"Working for {len(at_hand.clubs)} clubs; stop with Ctrl-C.")
            work_for_all(at_hand, real_clock, stop)
        return
    store = context.open()
    config = settle_address(context.config, store)
    with stopping(stop):
        click.echo("Working; stop with Ctrl-C.")
        work_until(store, config, real_clock, stop)


@click.command()
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
@click.pass_context
@tells_faults
def demo(
    context: click.Context,
    port: int,
    folder: Path | None,
    seconds: float,
    no_serve: bool,
    as_json: bool,
) -> None:
    """Load an invented club, share out, publish, and serve it on this machine."""
    named = context.parent.params if context.parent else {}
    if named.get("database") or named.get("clubs_file"):
        raise RefusedError(
            "The demo keeps records of its own, none that you name. Leave --database and --clubs "
            "out; --folder says where they are."
        )
    run_demo(port=port, folder=folder, seconds=seconds, is_served=not no_serve, as_json=as_json)
