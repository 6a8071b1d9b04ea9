"""What a further club costs on one server, as multiples of a server with a single club.

    python -m tests.benchmarks.many_clubs --clubs 50

The same club is copied into files of SQLite, databases of a PostgreSQL and schemas of one database,
and served by the list of clubs: how long reading the list takes, a club's first page (its app is
made for it) and its next ones, how much memory the process has, how many connections and how much
memory the database server, and what a worker's round costs while nothing is due. Each is measured
in a process of its own. Reference: the same with one club; for the page also that club's app alone.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import psycopg
from werkzeug.test import Client

from clubplanner.clubs.at_hand import ClubsAtHand
from clubplanner.commands.serving.worker import Faults, _round
from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.resources import invented_club_files
from clubplanner.services.keeping.pruning import Pruner
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.setup.loading import load_files
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.store.upkeep.moving import move_records
from clubplanner.webapp import create_app
from clubplanner.webapp.clubs.dispatch import make_clubs_app
from tests.clubs.lists import as_toml, settings
from tests.records import SERVER, address_of, copy_records, make_place, server_of_run

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.store.engine import Store

KINDS = ("files", "databases", "schemas")
HOST = "town.example"
PAGE = "/desk/evening"
TIMES = 3


def fill(store: Store) -> str:
    """Load the invented club and let a secretary sign in; return the secret of their browser."""
    now = datetime.now(UTC)
    migrate(store)
    load_files(store, [ClubFile(p.name, p.read_bytes()) for p in invented_club_files()], now)
    number = add_person(store, PersonDraft("Kim Ashby", Role.SECRETARY, "", ()), now)
    with store.write() as session:
        return open_browser(session, number, "A browser", now)


def spread(kind: str, count: int, folder: Path, source: Path) -> list[str]:
    """Copy a club so often, and return where the copies are."""
    places = [folder / f"{kind}-{number}.sqlite" for number in range(count)]
    if kind != "schemas":
        for place in places:
            copy_records(source, place)
        return [address_of(place) for place in places]
    make_place(folder / "schemas")
    whole = address_of(folder / "schemas")
    addresses = []
    for number in range(count):
        with psycopg.connect(whole, autocommit=True) as connection:
            connection.execute(f"CREATE SCHEMA club_{number}".encode())
        addresses.append(f"{whole}&options=-csearch_path%3Dclub_{number}")
        with (
            closing(open_store(address_of(source))) as one,
            closing(open_store(addresses[-1])) as other,
        ):
            move_records(one, other)
    return addresses


def memory_mb(numbers: list[int | str]) -> float:
    """Return the memory of processes, what they share counted once (Linux, "Pss"), in megabytes."""
    total_kb = 0
    for number in numbers:
        for line in Path(f"/proc/{number}/smaps_rollup").read_text().splitlines():
            if line.startswith("Pss:"):
                total_kb += int(line.split()[1])
    return total_kb / 1000


def measure(file: Path, secret: str) -> dict[str, float]:
    """Serve the clubs of a list in this process, and return what it costs."""
    found = {"bare MB": memory_mb(["self"])}
    began = time.perf_counter()
    at_hand = ClubsAtHand(file, Config(), settings())
    app = make_clubs_app(at_hand)
    found["list ms"] = 1000 * (time.perf_counter() - began)
    client = Client(app)
    client.set_cookie("person", secret, domain=HOST, path="/")

    def page(name: str) -> float:
        """Ask for a club's page; return the milliseconds."""
        start = time.perf_counter()
        answer = client.get(f"/{name}{PAGE}", base_url=f"http://{HOST}")
        assert answer.status_code == 200, answer.text
        return 1000 * (time.perf_counter() - start)

    names = list(at_hand.clubs)
    found["very first ms"] = page(names[0])  # compiles what all apps share
    found["first page ms"] = statistics.median(page(name) for name in names[1:] or names)
    pages = [page(name) for _unused in range(TIMES) for name in names]
    found["page ms"] = statistics.median(pages)
    found["MB"] = memory_mb(["self"])
    clubs = list(at_hand.clubs.values())
    rounds = []
    for club in clubs:
        start = time.process_time()
        _round(
            club.store, club.config, lambda: datetime.now(UTC), Pruner(), Faults(), is_first=False
        )
        rounds.append(1000 * (time.process_time() - start))
        club.store.close()
    found["round ms"] = statistics.median(rounds)
    for name in names:
        page(name)
    if clubs[0].store.engine.dialect.name == "postgresql":
        found |= server_costs()
    alone = create_app(clubs[0].store, clubs[0].config).test_client()
    alone.set_cookie("person", secret, path=f"/{names[0]}")
    taken = []
    for _unused in range(20):
        start = time.perf_counter()
        assert alone.get(f"/{names[0]}{PAGE}").status_code == 200
        taken.append(1000 * (time.perf_counter() - start))
    found["alone ms"] = statistics.median(taken)
    return found


def server_costs() -> dict[str, float]:
    """Return how many connections the run's server has, and its memory."""
    with psycopg.connect(os.environ[SERVER]) as connection:
        query = b"SELECT pid FROM pg_stat_activity WHERE application_name = 'clubplanner'"
        numbers = [row[0] for row in connection.execute(query).fetchall()]
        size = connection.execute(
            b"SELECT sum(pg_database_size(datname)) FROM pg_database WHERE datname LIKE 't%'"
        ).fetchone()
    return {
        "connections": len(numbers),
        "server MB": memory_mb(numbers),
        "disk MB": float(size[0] if size else 0) / 1e6,
    }


@contextmanager
def servers(kind: str) -> Iterator[None]:
    """Run a database server where one is needed."""
    if kind == "files":
        yield
        return
    with server_of_run() as address:
        os.environ[SERVER] = address
        try:
            yield
        finally:
            del os.environ[SERVER]


def measure_apart(kind: str, count: int) -> dict[str, float]:
    """Make so many clubs of a kind, and measure them in a process of its own."""
    with tempfile.TemporaryDirectory() as name, servers(kind):
        folder = Path(name)
        source = folder / "source.sqlite"
        make_place(source)
        with closing(open_store(address_of(source))) as store:
            secret = fill(store)
        addresses = spread(kind, count, folder, source)
        file = folder / "clubs.toml"
        clubs = {
            f"club-{number}": {"records": at, "public_address": f"http://{HOST}/club-{number}"}
            for number, at in enumerate(addresses)
        }
        file.write_text(as_toml(clubs), encoding="utf-8")
        command = [sys.executable, "-m", "tests.benchmarks.many_clubs", "--measure", str(file)]
        done = subprocess.run([*command, secret], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        found: dict[str, float] = json.loads(done.stdout)
        return found


def main() -> None:
    """Measure each kind with one club and with many, and print both and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--clubs", type=int, default=50)
    parser.add_argument("--kinds", nargs="+", default=list(KINDS), choices=KINDS)
    parser.add_argument("--measure", nargs=2, metavar=("LIST", "SECRET"))
    wanted: Any = parser.parse_args()
    if wanted.measure:
        print(json.dumps(measure(Path(wanted.measure[0]), wanted.measure[1])))
        return
    for kind in wanted.kinds:
        one, many = measure_apart(kind, 1), measure_apart(kind, wanted.clubs)
        print(f"{kind}: 1 club, {wanted.clubs} clubs, × one")
        for what, value in many.items():
            print(f"  {what:14} {one[what]:8.1f} {value:8.1f} {value / (one[what] or 1):6.2f}")
        further = (many["MB"] - one["MB"]) / max(1, wanted.clubs - 1)
        print(f"  a further club: {further:.1f} MB")


if __name__ == "__main__":
    main()
