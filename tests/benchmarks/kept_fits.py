"""What it costs to keep a coach's likely evening, beside the page itself and an empty page.

    python -m tests.benchmarks.kept_fits

Keeps 4 to 24 players with up to three goalkeepers on a third with neighbours, as a browser does:
one request a number of players. Bytes are as a browser keeps them, and packed as they travel.
"""

from __future__ import annotations

import gzip
import statistics
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.coach.fits.kept_fits import FEWEST_KEPT, MOST_KEPT
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from tests.benchmarks.pages import empty_page
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from flask.testing import FlaskClient


def timed(client: FlaskClient, address: str) -> tuple[float, bytes]:
    """Ask for an address; return seconds and body."""
    started = time.perf_counter()
    answer = client.get(address)
    taken = time.perf_counter() - started
    if answer.status_code != 200:
        raise SystemExit(f"{address} answered {answer.status}")
    return taken, answer.data


def main() -> None:
    """Make a small club, keep an evening of it and print what it cost."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'small.sqlite'}")
        migrate(store)
        load_small_club(store)
        book(store)
        book(store, HARRIERS, "third-2")
        secret = create_squad_link(store, KESTRELS, "a benchmark", NOW)
        client = create_app(store, Config("", "http://localhost"), lambda: NOW).test_client()
        page, body = timed(client, f"/ground/{secret}/fits")
        kept = [
            timed(client, f"/ground/{secret}/fits.json?players={players}")
            for players in range(FEWEST_KEPT, MOST_KEPT + 1)
        ]
        again = sum(
            timed(client, f"/ground/{secret}/fits.json?players={players}")[0]
            for players in range(FEWEST_KEPT, MOST_KEPT + 1)
        )
        store.close()
    whole = sum(taken for taken, _data in kept)
    raw = sum(len(data) for _taken, data in kept)
    packed = sum(len(gzip.compress(data)) for _taken, data in kept)
    middle = statistics.median(taken for taken, _data in kept)
    print(f"the page: {1000 * page:.0f} ms, {len(body) / 1000:.0f} kB; an empty page "
          f"{1000 * empty_page():.2f} ms")  # fmt: skip
    print(f"{len(kept)} requests: {whole:.1f} s in all, {whole / page:.0f} × the page; median "
          f"{1000 * middle:.0f} ms")  # fmt: skip
    print(f"{raw / 1000:.0f} kB kept, {packed / 1000:.0f} kB sent")
    print(f"the next browser of the squad: {again:.1f} s in all")


if __name__ == "__main__":
    main()
