"""Many clubs of one list: served by a real process, worked for fairly, chosen by commands."""

from __future__ import annotations

import os
import re
import signal
import socket
import threading
import time
from contextlib import ExitStack, closing, contextmanager
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner
from sqlalchemy import select

from clubplanner.clubs.at_hand import ClubsAtHand
from clubplanner.commands import main
from clubplanner.commands.serving.workers import work_for_all
from clubplanner.config import Config
from clubplanner.store.engine import open_store
from clubplanner.store.tables.people_tables import SignInRow
from tests.clubs.lists import as_toml, plain, settings, write
from tests.mail_server import SENDER, mail_server
from tests.ports import free_port
from tests.records import address_of, copy_records, drop_records
from tests.services.mails.sending.test_delivering import LATER, NOON, WITH_ADDRESSES
from tests.serving import Answer, ask, begun
from tests.small_club import book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store
    from tests.mail_server import Postbox
    from tests.stores import MadeOnce

SOON_S = 300.0


def soon(is_so: Callable[[], bool]) -> bool:
    """Wait until something is so, at most five minutes; tell whether it is."""
    until_s = time.monotonic() + SOON_S
    while not is_so() and time.monotonic() < until_s:
        time.sleep(0.05)
    return is_so()


@pytest.fixture
def port() -> int:
    """Name a port that nobody has."""
    return free_port()


@pytest.fixture
def listed(club_file: Path, tmp_path: Path, port: int) -> Iterator[dict[str, dict[str, object]]]:
    """Give two clubs on paths of one host, and one whose records are none."""
    clubs = {}
    for name in ("kestrels", "rovers"):
        copy_records(club_file, tmp_path / f"{name}.sqlite")
        clubs[name] = plain(
            name, f"http://127.0.0.1:{port}/{name}", records=address_of(tmp_path / f"{name}.sqlite")
        )
    (tmp_path / "broken.sqlite").write_bytes(b"no database at all" * 100)
    clubs["broken"] = plain("broken", f"http://broken.localhost:{port}")
    yield clubs
    for name in ("kestrels", "rovers"):
        drop_records(tmp_path / f"{name}.sqlite")


@pytest.fixture
def file(tmp_path: Path, listed: dict[str, dict[str, object]]) -> Path:
    """Write the list."""
    file = tmp_path / "clubs.toml"
    write(file, as_toml(listed))
    return file


@contextmanager
def serving_clubs(file: Path, port: int, **given: str) -> Iterator[Callable[[], str]]:
    """Serve the clubs of a list until the block ends; give what the process has logged so far."""
    words = ["--clubs", str(file), "serve", "--port", str(port), "--no-worker"]
    with begun(words, given) as command:
        try:
            said = command.out.readline()
            assert re.fullmatch(rf"Serving \d clubs on 127\.0\.0\.1:{port}; stop with .*\n", said)

            def logged() -> str:
                return os.pread(command.err.fileno(), 1_000_000, 0).decode()

            yield logged
        finally:
            os.kill(command.number, signal.SIGKILL)
            command.wait()


def run(file: Path, *words: str, code: int = 0) -> str:
    """Run a command over a list, and return all that it said."""
    done = CliRunner().invoke(main, ["--clubs", str(file), *words])
    assert done.exit_code == code, done.output
    return done.output


def test_one_process_serves_many_clubs(
    file: Path, port: int, listed: dict[str, dict[str, object]]
) -> None:
    """By host and path, broken records beside it; the list changes while it runs."""
    with serving_clubs(file, port, CLUBPLANNER_LOG_LEVEL="info") as logged:
        for name in ("kestrels", "rovers"):
            page = ask(port, f"/{name}/sign-in")
            assert page.status == 200
            style = re.search(rb'href="([^"]+/css/pages.css)"', page.body)
            assert style is not None
            assert style[1].startswith(f"/{name}/static/".encode())
            assert ask(port, style[1].decode()).status == 200
        broken = ask(port, "/", Host=f"broken.localhost:{port}")
        assert broken.status == 503
        assert ask(port, "/").status == 404
        assert ask(port, "/health").body == b"well, but for 1 of 3 clubs\n"
        assert "[rovers] INFO clubplanner.requests: GET /sign-in 200" in logged()
        assert "[broken] ERROR clubplanner.clubs: the club cannot be served" in logged()

        write(file, "[kestrels")
        assert soon(lambda: ask(port, "/health").status == 200 and "left as it was" in logged())
        assert ask(port, "/rovers/sign-in").status == 200
        moved = {**listed["rovers"], "public_address": f"http://127.0.0.1:{port}/town/rovers"}
        write(file, as_toml({"kestrels": listed["kestrels"], "rovers": moved}))
        assert soon(lambda: ask(port, "/town/rovers/sign-in").status == 200)
        assert ask(port, "/rovers/sign-in").status == 404
        assert ask(port, "/health").body == b"well\n"


@pytest.fixture
def deaf() -> Iterator[socket.socket]:
    """Give a server that takes every connection and never says a word, until it is closed."""
    with socket.create_server(("127.0.0.1", 0), backlog=128) as listening:
        yield listening


def test_records_that_never_answer_hold_up_nobody_else(
    file: Path, port: int, listed: dict[str, dict[str, object]], deaf: socket.socket
) -> None:
    """While a crowd waits for one club's silent database, another club's page comes at once."""
    silent = plain(
        "silent",
        f"http://127.0.0.1:{port}/silent",
        records=f"postgresql://nobody@127.0.0.1:{deaf.getsockname()[1]}/silent",
    )
    write(file, as_toml({"rovers": listed["rovers"], "silent": silent}))
    with serving_clubs(file, port):
        assert ask(port, "/rovers/sign-in").status == 200
        waiting: list[Answer] = []
        crowd = [
            threading.Thread(
                target=lambda: waiting.append(ask(port, "/silent/desk/evening")), daemon=True
            )
            for _unused in range(40)
        ]
        for one in crowd:
            one.start()
        time.sleep(0.5)  # the crowd is in
        pages = [ask(port, "/rovers/sign-in").status for _unused in range(5)]
        assert (pages, waiting) == ([200] * 5, [])
        deaf.close()
        for one in crowd:
            one.join(60)
        assert [answer.status for answer in waiting] == [503] * 40


def load_with_addresses(store: Store) -> None:
    """Load a club with mail addresses, a mail to be made."""
    load_small_club(store, squads=WITH_ADDRESSES)
    book(store, now=NOON)


@pytest.fixture
def mailing(made_once: MadeOnce, tmp_path: Path) -> Iterator[Callable[[str], str]]:
    """Give a function that makes the records of a club with a mail due, and returns where."""
    made: list[Path] = []

    def records(name: str) -> str:
        path = tmp_path / f"{name}.sqlite"
        copy_records(made_once(load_with_addresses), path)
        made.append(path)
        return address_of(path)

    yield records
    for path in made:
        drop_records(path)


@contextmanager
def working(file: Path) -> Iterator[None]:
    """Work for the clubs of a list until the block ends."""
    stop = threading.Event()
    at_hand = ClubsAtHand(file, Config(), settings())
    job = (at_hand, lambda: LATER, stop, 0.2)
    thread = threading.Thread(target=work_for_all, args=job, daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join(SOON_S)
        at_hand.close()


def told(name: str, records: str, port: int) -> dict[str, object]:
    """Return what a list says of a club whose mails a server on a port takes."""
    server: dict[str, Any] = {"smtp_host": "127.0.0.1", "smtp_port": port, "smtp_security": "none"}
    return plain(name, records=records, mail_from=SENDER, **server)


def test_no_club_waits_for_another_to_be_delivered(
    mailing: Callable[[str], str], tmp_path: Path, deaf: socket.socket
) -> None:
    """A mail server and a database that never answer, and a broken one, hold up their clubs alone.

    They come first, and are more than one, so that whoever took turns would not get past them.
    """
    (tmp_path / "broken.sqlite").write_bytes(b"no database at all" * 100)
    with ExitStack() as stack:
        boxes = [stack.enter_context(mail_server()) for _unused in range(2)]
        clubs = {
            **{
                name: told(name, mailing(name), deaf.getsockname()[1])
                for name in ("slow-1", "slow-2", "slow-3")
            },
            "broken": plain("broken"),
            "silent": plain(
                "silent", records=f"postgresql://nobody@127.0.0.1:{deaf.getsockname()[1]}/silent"
            ),
            "kestrels": told("kestrels", mailing("kestrels"), boxes[0].settings.port),
            "rovers": told("rovers", mailing("rovers"), boxes[1].settings.port),
        }
        file = tmp_path / "clubs.toml"
        write(file, as_toml(clubs))
        stack.enter_context(working(file))
        assert soon(lambda: all(box.taken for box in boxes))
        assert [len(box.taken) for box in boxes] == [1, 1]
        deaf.close()


def test_a_worker_follows_the_list(mailing: Callable[[str], str], tmp_path: Path) -> None:
    """A club that is added is worked for without a restart; one that is removed, no more."""
    file = tmp_path / "clubs.toml"
    with mail_server() as first, mail_server() as second:
        clubs = {"kestrels": told("kestrels", mailing("kestrels"), first.settings.port)}
        write(file, as_toml(clubs))
        with working(file):
            assert soon(lambda: len(first.taken) == 1)
            write(
                file, as_toml({"rovers": told("rovers", mailing("rovers"), second.settings.port)})
            )
            assert soon(lambda: len(second.taken) == 1)
            with closing(open_store(str(clubs["kestrels"]["records"]))) as store:
                book(store, area_key="third-2", now=NOON)
            assert not soon_enough(first)


def soon_enough(box: Postbox) -> bool:
    """Tell whether a second mail comes within several rounds."""
    time.sleep(1.5)
    return len(box.taken) > 1


def test_a_command_is_about_the_club_that_is_chosen(file: Path) -> None:
    """What one club's secretary is printed opens at that club, and stands in its records alone."""
    printed = run(file, "--club", "rovers", "people", "let-in")
    assert re.search(r"http://127\.0\.0\.1:\d+/rovers/secretary/", printed)
    keys = {}
    for name in ("kestrels", "rovers"):
        with (
            closing(open_store(address_of(file.with_name(f"{name}.sqlite")))) as store,
            store.read() as session,
        ):
            keys[name] = len(session.scalars(select(SignInRow)).all())
    assert keys == {"kestrels": 0, "rovers": 1}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ["people", "let-in"],
            "Say which club, with --club NAME before the command: kestrels, rovers,",
        ),
        (
            ["--club", "Rovers", "people", "let-in"],
            "lists no club “Rovers”; there are kestrels, rovers,",
        ),
        (
            ["--database", "sqlite:///x", "people", "let-in"],
            "Name one database with --database, or a",
        ),
    ],
)
def test_who_does_not_say_which_club_is_told_which_there_are(
    file: Path, words: list[str], said: str
) -> None:
    """No command guesses whose records it is to change."""
    assert said in run(file, *words, code=2)


def test_a_club_without_a_list_is_told() -> None:
    """A short name says nothing without the list that it stands in."""
    done = CliRunner().invoke(main, ["--club", "rovers", "people", "let-in"])
    assert done.exit_code == 2
    assert "Name the list of clubs, too, with --clubs or CLUBPLANNER_CLUBS." in done.output


def test_every_club_is_begun_or_brought_up_to_date(
    file: Path, listed: dict[str, dict[str, object]]
) -> None:
    """One that cannot be is told, and keeps none of the others from it."""
    write(file, as_toml({"broken": listed["broken"], "rovers": listed["rovers"]}))
    said = run(file, "init", code=2)
    assert "rovers: ready." in said
    assert "Not ready:\nbroken: The database" in said


@pytest.mark.parametrize("command", ["serve", "worker", "init"])
def test_a_faulty_list_is_told_before_anything_begins(file: Path, command: str) -> None:
    """Each fault stands in a line of its own."""
    write(file, '[a]\nrecords = "sqlite:///a.sqlite"\n[b]\npublic_address = "x"')
    said = run(file, command, code=2)
    assert "clubs.toml, a, public_address: Set “public_address”; each club needs it." in said
    assert "clubs.toml, b, records: Set “records”; each club needs it." in said
    assert "2 faults found" in said
