"""A real browser and a real server for the journeys people make."""

from __future__ import annotations

import json
import os
import re
import shutil
from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import Browser, expect, sync_playwright

from clubplanner.resources import invented_club_files
from tests.browser.late import late_answers
from tests.browser.pressing import PATIENCE_MS, PATIENT, press
from tests.ports import free_port
from tests.serving import run_command, serving

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import BrowserContext, Page

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-software-rasterizer",  # there is no graphics processor, so none is imitated
    "--in-process-gpu",
)
NO_FRAMES = "--disable-threaded-compositing"
"""Has a browser without a graphics processor lay pages out and never draw them: a quarter less work
where pages are measured and nothing is pressed or pictured."""
SECRETARY, PASSWORD = "Kim Ashby", "four words make it long"
NAMES = ("chromium", "chromium-browser", "google-chrome")

# What is waited for may come late where several tests share two cores; the library's own limits
# (5 and 30 s) were missed in gates that were busy. What never comes fails all the same.
expect.set_options(timeout=PATIENCE_MS)


@dataclass(frozen=True, slots=True)
class Planner:
    """A planner that serves the invented club.

    Attributes:
        address: Where it is served.
        secretary: The one-time address where the secretary sets a password.
        squad_page: The address of one squad's ground.
        feed: The address of its calendar.
        calendar_file: The calendar file written by the command.
        share_out: What the share-out command printed as JSON.
    """

    address: str
    secretary: str
    squad_page: str
    feed: str
    calendar_file: Path
    share_out: dict[str, object]


@pytest.fixture(scope="session")
def begin_browser() -> Iterator[Callable[..., Browser]]:
    """Give a function that starts Chromium with further flags.

    Without one on this machine the journeys are skipped, in CI they fail.
    """
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        message = "no Chromium on this machine (Debian: apt-get install chromium)"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    with late_answers() as flags, sync_playwright() as playwright:
        started: list[Browser] = []

        def begin(*more: str) -> Browser:
            args = [*FLAGS, *flags, *more]
            started.append(playwright.chromium.launch(executable_path=path, args=args))
            return started[-1]

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Browser, "new_context", _patient(Browser.new_context))
            yield begin
        for one in started:
            one.close()


@pytest.fixture(scope="session")
def browser(begin_browser: Callable[..., Browser]) -> Browser:
    """Start Chromium."""
    return begin_browser()


@pytest.fixture(scope="session")
def still_browser(begin_browser: Callable[..., Browser]) -> Browser:
    """Start a Chromium for measuring pages, which are laid out and not drawn."""
    return begin_browser(NO_FRAMES)


def _patient(new_context: Callable[..., BrowserContext]) -> Callable[..., BrowserContext]:
    """Let every context of a browser wait as long as a busy machine takes."""

    @wraps(new_context)
    def opened(browser: Browser, **wishes: Any) -> BrowserContext:
        context = new_context(browser, **wishes)
        context.set_default_timeout(PATIENCE_MS)
        context.add_init_script(PATIENT)
        return context

    return opened


@pytest.fixture(scope="session")
def planner(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Planner]:
    """Take the club's files through every command, as a club would, and serve them."""
    folder = tmp_path_factory.mktemp("planner")
    port = free_port()
    database, calendar_file = folder / "club.sqlite", folder / "kestrels.ics"
    settings: dict[str, Any] = {"CLUBPLANNER_PUBLIC_ADDRESS": f"http://127.0.0.1:{port}"}

    def run(*arguments: str) -> str:
        done = run_command(database, *arguments, **settings)
        assert done.returncode == 0, done.stderr
        return done.stdout

    run("init")
    run("club", "load", *(str(path) for path in invented_club_files()))
    proposal = json.loads(run("share-out", "run", "spring", "--seconds", "3", "--json"))
    run("proposals", "publish", str(proposal["number"]))
    run("calendars", "export", "squad", "u13-kestrels", "--output", str(calendar_file))
    wish = "squad", "u13-kestrels", "--holder", "the squad"
    links = json.loads(run("addresses", "add", *wish, "--json"))
    secretary = json.loads(run("people", "let-in", "--json"))["address"]
    with serving(database, "--port", str(port), **settings) as served:
        yield Planner(
            address=served.address,
            secretary=secretary,
            squad_page=links["page"],
            feed=links["feed"],
            calendar_file=calendar_file,
            share_out=proposal,
        )


def sign_in_secretary(page: Page, planner: Planner) -> None:
    """Set the secretary's password the first time, use it later, and wait for the evening."""
    page.goto(planner.secretary)
    if page.get_by_label("Your name", exact=True).count():
        page.get_by_label("Your name", exact=True).fill(SECRETARY)
        page.get_by_label("Password").fill(PASSWORD)
        press(page.get_by_role("button", name="Set password and sign in"))
    else:
        page.goto(f"{planner.address}/sign-in")
        page.get_by_label("Name or e-mail address", exact=True).fill(SECRETARY)
        page.get_by_label("Password").fill(PASSWORD)
        press(page.get_by_role("button", name="Sign in"))
    page.wait_for_url(re.compile(r"/desk/evening"))
