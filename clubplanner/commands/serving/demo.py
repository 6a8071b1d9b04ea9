"""The demo: an invented club through the same loaders, optimiser and pages as any other."""

from __future__ import annotations

import shlex
import tempfile
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.handing_out import tell_cautions
from clubplanner.commands.base.output import say
from clubplanner.commands.base.progress import progress_bar
from clubplanner.commands.serving.server import serve_app, take_port
from clubplanner.commands.serving.worker import worker
from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.errors import RefusedError
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.addresses.public_address import THIS_MACHINE, settle_served
from clubplanner.services.addresses.reach import caution_of
from clubplanner.services.people.people import PersonDraft, add_person, squad_choices
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.seasons.stretches import list_stretches
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.engine import Store, open_store
from clubplanner.store.upkeep.backups import take_away
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app

if TYPE_CHECKING:
    from collections.abc import Callable
    from socket import socket

DEMO_SQUAD = "U13 Kestrels"
WORDS = {
    "secretary": "Secretary sets a password",
    "coach": "Coach signs in",
    "groundskeeper": "Groundskeeper signs in",
    "squad": "A squad's page",
    "feed": "The squad's calendar feed",
}


RECORDS = "The demo's records"


@dataclass(frozen=True, slots=True)
class Clock:
    """A clock that may be set back by whole weeks, so that the demo's season never ends.

    Attributes:
        back: How far it is set back.
    """

    back: timedelta

    def __call__(self) -> datetime:
        """Return the present instant of the demo, UTC."""
        return present.now() - self.back


def run_demo(
    *, port: int, folder: Path | None, seconds: float, is_served: bool, as_json: bool
) -> None:
    """Load, share out, publish, print the addresses and serve.

    The port is taken first: what is in the way is told before the work, not after it.

    Raises:
        RefusedError: If the port cannot be had.
    """
    if not is_served:
        if not port:
            raise RefusedError("Name a port, such as --port 8000: without serving none is taken.")
        _make_demo(port, folder, seconds, None, as_json=as_json)
        return
    with closing(take_port(THIS_MACHINE, port)) as listening:
        _make_demo(listening.getsockname()[1], folder, seconds, listening, as_json=as_json)


def _clear_place(folder: Path | None) -> Path:
    """Return where the demo's records may begin; make the folder, take earlier ones away.

    Raises:
        RefusedError: If the folder cannot be made or written to.
    """
    place = folder or Path(tempfile.gettempdir())
    try:
        if folder is None:
            place = Path(tempfile.mkdtemp(prefix="clubplanner-demo-"))
        place.mkdir(parents=True, exist_ok=True)
        file = place.resolve() / "demo.sqlite"
        if file.exists():
            click.echo(f"The demo's earlier records, {file}, are replaced.", err=True)
        take_away(file)
    except OSError as fault:
        raise RefusedError(
            f"The demo cannot keep its records in {place} ({fault.strerror}); name another place, "
            "such as --folder demo."
        ) from fault
    return file


def _make_demo(
    port: int, folder: Path | None, seconds: float, listening: socket | None, *, as_json: bool
) -> None:
    file = _clear_place(folder)
    database = f"sqlite:///{file}"
    store = open_store(database).acting_for("the demo")
    click.get_current_context().call_on_close(store.close)
    migrate(store)
    config = settle_served(Config(database), store, THIS_MACHINE, port, present.now())
    files = [ClubFile(path.name, path.read_bytes()) for path in invented_club_files()]
    report = load_files(store, files, present.now())
    for line in report.lines:
        click.echo(f"Loaded {line}.", err=True)
    clock = demo_clock(store)
    share_out_all(store, clock, seconds)
    addresses = demo_addresses(store, config.public_address, clock())
    caution = caution_of(config.public_address)
    cautions = [] if caution is None else [caution.what]
    _print_addresses(addresses, database, clock, cautions, as_json=as_json)
    if listening is None:
        command = f"clubplanner --database {shlex.quote(database)} serve --port {port}"
        click.echo(f"Nothing serves these addresses yet; to open them: {command}", err=True)
    else:
        click.echo("Serving; stop with Ctrl-C.", err=True)
        with worker(store, config, clock):
            serve_app(create_app(store, config, clock), listening)


def _print_addresses(
    addresses: dict[str, str], database: str, clock: Clock, cautions: list[str], *, as_json: bool
) -> None:
    words = ["", *(f"{WORDS[who]:<26} {address}" for who, address in addresses.items())]
    words += [f"{RECORDS:<26} {database}", ""]
    if clock.back:
        words.append(f"Today lies outside the demo's season; its clock shows {clock():%d %B %Y}.")
    tell_cautions([] if as_json else cautions)
    told = {**addresses, "database": database, "cautions": cautions, "clock": clock()}
    say("\n".join(words), told, as_json=as_json)


def demo_addresses(store: Store, public_address: str, now: datetime) -> dict[str, str]:
    """Make the addresses with which to look round: one of each kind, those to sign in once."""
    key = create_secretary_key(store, now)
    secret = create_squad_link(store, DEMO_SQUAD, "the demo", now)
    squad = next(s for s in squad_choices(store) if s.words == DEMO_SQUAD)
    coach = PersonDraft(squad.note or "The coach", Role.COACH, "", (squad.value,))
    keeper = PersonDraft("Alex Marsh", Role.GROUNDSKEEPER, "")
    ways = [hand_over_link(store, add_person(store, draft, now), now) for draft in (coach, keeper)]
    return {
        "secretary": f"{public_address}/secretary/{key}",
        "coach": f"{public_address}/let-in/{ways[0]}",
        "groundskeeper": f"{public_address}/let-in/{ways[1]}",
        "squad": f"{public_address}/ground/{secret}",
        "feed": f"{public_address}/ground/{secret}/sessions.ics",
    }


def demo_clock(store: Store, real: Callable[[], datetime] = present.now) -> Clock:
    """Return the real clock while the season runs, else one set into its first weeks."""
    stretches = list_stretches(store)
    start = datetime.combine(stretches[0].starts_on, datetime.min.time(), UTC)
    end = datetime.combine(stretches[-1].ends_on, datetime.min.time(), UTC)
    now = real()
    if start <= now <= end - timedelta(days=21):
        return Clock(timedelta(0))
    weeks = (now - start) // timedelta(weeks=1) - 2
    return Clock(timedelta(weeks=weeks))


def share_out_all(store: Store, clock: Clock, seconds: float) -> None:
    """Share out and publish every stretch that is not over yet."""
    for stretch in list_stretches(store):
        if stretch.ends_on < clock().date():
            continue
        with progress_bar(f"Sharing out {stretch.name}") as note:
            done = run_share_out(store, stretch.key, Effort(seconds=seconds), clock(), note)
        published = publish_share_out(store, done.number, clock())
        click.echo(f"{stretch.name}: {done.sentence} {published.sentence}", err=True)
