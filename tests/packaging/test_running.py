"""The paper on running it names what is there: files, commands, settings, pages."""

from __future__ import annotations

import re
import shutil
import subprocess
import time
from http.client import HTTPConnection
from typing import TYPE_CHECKING

import click
import pytest
from click.testing import CliRunner

from clubplanner import config
from clubplanner.clubs.listing import NEEDED, OPTIONAL, read_list
from clubplanner.commands import main
from clubplanner.resources import resource_folder
from tests.ports import free_port

if TYPE_CHECKING:
    from pathlib import Path

FOLDER = resource_folder("web") / "running"
FILES = {path.name: path.read_text(encoding="utf-8") for path in sorted(FOLDER.iterdir())}
ALL = "\n".join(FILES.values())


def test_every_setting_named_is_one() -> None:
    """No unit, container or guide sets what the planner does not read."""
    read = (FOLDER.parents[1] / "clubplanner" / "config.py").read_text(encoding="utf-8")
    named = set(re.findall(r"CLUBPLANNER_([A-Z_]+)", ALL))
    assert named
    assert {name for name in named if f'"{name}"' not in read and f"}}{name}" not in read} == set()
    assert config.ENVIRONMENT_PREFIX == "CLUBPLANNER_"


def test_every_command_named_is_one() -> None:
    """Units start commands and options that there are."""
    commands = main.list_commands(click.Context(main))
    for word, rest in re.findall(
        r"(?:bin/|`)clubplanner (?:--(?:club|database) \S+ )?([a-z-]+)([^`\n)]*)", ALL
    ):
        assert word in commands
        command = main.get_command(click.Context(main), word)
        if isinstance(command, click.Group):
            verb = rest.split()[0]
            command = command.get_command(click.Context(command), verb)
        assert command is not None, f"{word}{rest}"
        known = {option for each in command.params for option in each.opts}
        assert set(re.findall(r"--[a-z-]+", rest)) <= known


def test_the_guide_names_every_file_and_no_other() -> None:
    """Whoever reads the guide finds each file by its name."""
    named = set(
        re.findall(
            r"`([\w-]+\.(?:service|timer|conf|env|md|toml)|Containerfile)`", FILES["running.md"]
        )
    )
    assert named == set(FILES) - {"running.md"}


def test_the_list_of_clubs_is_read_as_it_is_printed() -> None:
    """Whoever begins with it has a list without a fault that names each setting there is."""
    file = FOLDER / "clubs.toml"
    clubs = read_list(file, config.Config(), config.Settings({}, str))
    assert [club.name for club in clubs] == ["kestrels", "rovers"]
    named = re.findall(r"^#?(\w+) = ", FILES[file.name], re.MULTILINE)
    assert set(named) == {*NEEDED, *OPTIONAL}


@pytest.mark.parametrize("name", FILES)
def test_each_file_is_printed(name: str) -> None:
    """The command prints a file as it is, so that it can be put in its place."""
    done = CliRunner().invoke(main, ["running", name])
    assert (done.exit_code, done.stdout) == (0, FILES[name])


def test_another_name_is_told_what_there_is() -> None:
    """A name that is none is answered with those that are."""
    done = CliRunner().invoke(main, ["running", "nothing.conf"])
    assert done.exit_code == 2
    assert "clubplanner.service" in done.stderr


@pytest.mark.parametrize("name", [name for name in FILES if name.endswith(".service")])
def test_units_are_understood(name: str) -> None:
    """The service manager's own checker finds nothing but that nothing is installed here."""
    checker = shutil.which("systemd-analyze")
    if checker is None:
        pytest.skip("no systemd on this machine")
    command = [checker, "verify", str(FOLDER / name)]
    told = subprocess.run(command, capture_output=True, text=True, check=False).stderr
    faults = [line for line in told.splitlines() if "clubplanner" in line]
    assert all(line.endswith("is not executable: No such file or directory") for line in faults)


def test_a_container_begins_its_records_and_asks_no_worker_for_pages() -> None:
    """Its first lines say all that is typed; what was copied to build it is in no layer of it."""
    text = FILES["Containerfile"]
    typed = re.findall(r"podman run (.*) clubplanner ?(.*)$", text, re.MULTILINE)
    assert [words for _options, words in typed] == ["init", "", "worker", "people let-in"]
    assert all("-v club:/var/lib/clubplanner" in options for options, _words in typed)
    assert "HEALTHCHECK" in text
    assert ["--no-healthcheck" in options for options, words in typed if words == "worker"] == [
        True
    ]
    last = text.rpartition("\nFROM ")[2]
    assert re.findall(r"^COPY (.*)$", last, re.MULTILINE) == [
        "--from=build /opt/clubplanner /opt/clubplanner"
    ]


def test_below_a_path_the_port_is_kept(tmp_path: Path) -> None:
    """Whoever leaves the slash out is led to the pages, on whatever port the host is served."""
    server = shutil.which("nginx")
    if server is None:
        pytest.skip("no nginx on this machine")
    port = free_port()
    places = "".join(
        f"{kind}_temp_path {tmp_path / kind}; "
        for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    (tmp_path / "path.conf").write_text(FILES["nginx-path.conf"], encoding="utf-8")
    (tmp_path / "nginx.conf").write_text(
        f"daemon off; pid {tmp_path}/pid; error_log {tmp_path}/errors; events {{}} "
        f"http {{ access_log off; {places} server {{ listen 127.0.0.1:{port}; "
        f"include {tmp_path}/path.conf; }} }}",
        encoding="utf-8",
    )
    with subprocess.Popen(
        [server, "-c", tmp_path / "nginx.conf"], stderr=subprocess.PIPE
    ) as running:
        try:
            assert _redirect_of(port) == f"https://127.0.0.1:{port}/pitches/"
        finally:
            running.terminate()
            running.communicate(timeout=60)


def _redirect_of(port: int) -> str | None:
    until = time.monotonic() + 60
    while True:
        connection = HTTPConnection("127.0.0.1", port, timeout=60)
        try:
            connection.request("GET", "/pitches")
            return connection.getresponse().getheader("Location")
        except ConnectionRefusedError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
        finally:
            connection.close()
