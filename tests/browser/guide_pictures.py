"""Pictures of the guide, made anew from the invented club, in each language that has one.

    python -m tests.browser.guide_pictures [FOLDER] [--only NAME]

Writes `<language>/<picture>.png` among the static files (or to FOLDER), and beside this program
what was seen on each, so that a test can tell a picture whose page has new words by now.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import tempfile
from dataclasses import dataclass, replace
from datetime import date, timedelta
from io import BytesIO
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright
from sqlalchemy import select

from clubplanner.config import Config, MailServer
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.club.people import Role
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.language import speaking, term
from clubplanner.resources import resource_folder
from clubplanner.services.evening.closures.closing import ClosureWish, foresee_closure
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.rows.named import find_area_id
from clubplanner.services.setup.loading import load_files
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.engine import Store, open_store
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.people_tables import PersonRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from clubplanner.webapp.guide.texts import DENSITY, guide_folder, picture_path
from tests.browser.conftest import FLAGS, NAMES
from tests.browser.pressing import press
from tests.browser.screenshots import NOW, SQUAD, STRANGER, Club, make_club, served
from tests.languages.messages import words_on_pages

if TYPE_CHECKING:
    from collections.abc import Callable

WIDTH_PX, HIGHEST_PX = 360, 560
MARGIN_PX = 8
COLOURS = 32
"""Of a picture, so that it is small; drawings and letters need no more."""
LOCALES = {"en": "en-GB", "de": "de-DE"}
NOTED = Path(__file__).with_name("guide_pictures.json")
MAIL = MailServer("mail.example", 25, "none", "", "", "pitches@osier.example")
YOUNG_CLUB = """\
[club]
name = "Tarnholt Wanderers"
time_zone = "Europe/London"

[[venues]]
name = "Osier Lane"
lon = -2.6120
lat = 52.3146
opening = "Mon-Thu 17:15-21:00; Sat-Sun 09:00-17:00"
"""
LAST_GAP = """([least, limit]) => {
    const boxes = [...document.querySelectorAll(
        'main :is(input, select, textarea, button, svg, .pill, .tag, label)')]
        .map((one) => one.getBoundingClientRect());
    const texts = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
        const range = document.createRange();
        range.selectNodeContents(texts.currentNode);
        boxes.push(...range.getClientRects());
    }
    for (const one of document.querySelectorAll('main :is(.panel, .message)')) {
        const box = one.getBoundingClientRect();  // not a sliver of the next one
        boxes.push({top: box.top, bottom: box.top + 12, height: box.height});
    }
    const isFree = (y) => !boxes.some((box) => box.height > 1
        && box.top + window.scrollY - 2 < y && y < box.bottom + window.scrollY + 8);
    for (let y = limit; y > least; y -= 1) if (isFree(y)) return y;
    return limit;
}"""
"""Where to end a picture: below a whole line, box or drawing, not within one."""
WRITE_DATES = """() => {
    for (const one of document.querySelectorAll('main :is(input[type=date], input[type=time])')) {
        const date = one.valueAsDate, form = one.type === 'date'
            ? {day: '2-digit', month: '2-digit', year: 'numeric'}
            : {hour: '2-digit', minute: '2-digit'};
        one.type = 'text';
        one.value = date
            ? new Intl.DateTimeFormat(navigator.language, {...form, timeZone: 'UTC'}).format(date)
            : '';
    }
}"""
"""Days and times in forms are written by the browser itself, and this one knows only one way."""
SEEN = "h1, h2, h3, button, label, th, dt, summary, legend, a.pill, .message b"
"""Whose words are noted of a picture."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture of the guide.

    Attributes:
        name: Its file's stem.
        who: Who sees the page.
        endpoint: Whose page it is.
        path: The page's address, or what returns it from the club.
        top: Selector of what it begins with.
        high_px: Its height at most.
        act: What is done on the page first.
    """

    name: str
    who: str
    endpoint: str
    path: str | Callable[[Club, Store], str]
    top: str = "h1"
    high_px: int = HIGHEST_PX
    act: Callable[[Page], None] | None = None


def closing(club: Club, store: Store) -> str:
    """Return where a closing is looked at that shows both: who can go elsewhere, and who cannot."""
    zone = ZoneInfo("Europe/London")
    found = None
    for n, pitch in product(range(1, 6), ("Top pitch", "Court", "Meadow")):
        day, area = NOW.date() + timedelta(days=n), find_area_id(store, pitch)
        span = range_typed_until(day, 17 * 60, day, 21 * 60, zone)
        seen = foresee_closure(store, ClosureWish(area, span, Condition.CLOSED, "x"), NOW)
        some = [bool(one.choices) for one in seen.displaced]
        if any(some) and (found is None or (all(found[0]) and not all(some))):
            found = some, day, area
    assert found is not None, "nobody could go anywhere: give the share-out more seconds"
    return _closing_address(club, found[2], found[1])


def closing_of_squad(club: Club, store: Store) -> str:
    """Return where the closing of the pitch is looked at on which the squad trains next."""
    with store.read() as session:
        row = session.scalars(
            select(BookingRow)
            .join(SquadRow, BookingRow.squad_id == SquadRow.id)
            .where(SquadRow.key == SQUAD, BookingRow.starts_at > NOW)
            .order_by(BookingRow.starts_at)
        ).first()
        assert row is not None
        return _closing_address(club, find_area_id(store, row.pitch.name), row.starts_at.date())


def squad_page(club: Club, _store: Store) -> str:
    """Return the address that parents have."""
    return f"/ground/{club.values['secret']}"


def _closing_address(club: Club, area: int, day: date) -> str:
    wish = {
        "area": area,
        "date": day,
        "from": "17:00",
        "until_date": day,
        "until": "21:00",
        "condition": "closed",
        "reason": club.values["reason"],
    }
    return f"/desk/season/closures/look?{urlencode(wish)}"


def close(page: Page) -> None:
    """Close the ground that was looked at."""
    press(page.locator("main form button").first)
    page.locator("#knows-heading").wait_for()


PICTURES = (
    Picture("proposal", "secretary", "share_outs.see", "/desk/share-outs/2"),
    Picture(
        "evening", "secretary", "desk.evening", "/desk/evening?at=17:30", "#plans-heading", 680
    ),
    Picture("tonight", "secretary", "share_outs.tonight", "/desk/share-outs/tonight", high_px=480),
    Picture("next-season", "secretary", "season.next_season", "/desk/season/next"),
    Picture("closures", "groundskeeper", "season.closures", "/desk/season/closures"),
    Picture("coach-ground", "coach", "coach.home", "/coach", "p, h1", 720),
    Picture("fits", "coach", "coach.fits", f"/coach/squads/{SQUAD}/fits", "details[open]", 680),
    Picture("closing", "secretary", "season.look_at_closure", closing),
    Picture(
        "who-knows",
        "secretary",
        "season.look_at_closure",
        closing_of_squad,
        "#knows-heading",
        420,
        close,
    ),
    Picture("parent-off", STRANGER, "ground.see", squad_page, ".state"),
)
"""In this order, since the last ones change the club."""
FIRST_STEPS = Picture("first-steps", "secretary", "desk.first_steps", "/desk/first-steps")
"""Of another club, which has only begun."""


def full_club(store: Store, address: str, code: str) -> Club:
    """Fill a store with the invented club as it speaks a language."""
    with speaking(code):
        club = make_club(store, address, language=code)
        run_share_out(store, "spring", Effort(seconds=10.0), NOW)
        reason = term("waterlogged")
    with store.write() as session:
        for row in session.scalars(select(PersonRow).where(PersonRow.phone == "")):
            row.phone = f"01632 960 {100 + row.id}"  # numbers kept free for invented people
            row.email = row.email if row.id % 3 else ""  # some have to be rung
    app = create_app(store, Config("", address, mail_server=MAIL), lambda: NOW)
    return replace(club, app=app, values={**club.values, "reason": reason})


def young_club(store: Store, address: str, _code: str = "") -> Club:
    """Fill a store with a club that has a name and a venue."""
    load_files(store, [ClubFile("club.toml", YOUNG_CLUB.encode())], NOW)
    number = add_person(store, PersonDraft("Kim Ashby", Role.SECRETARY, "", ()), NOW)
    with store.write() as session:
        secret = open_browser(session, number, "A laptop", NOW)
    return Club(create_app(store, Config("", address), lambda: NOW), {}, {"secretary": secret})


def signed_in(browser: Browser, club: Club, who: str, address: str, code: str) -> BrowserContext:
    """Open a browser on a phone, as somebody, in a language."""
    context = browser.new_context(
        viewport={"width": WIDTH_PX, "height": 800},
        device_scale_factor=DENSITY,
        locale=LOCALES[code],
        color_scheme="light",
        timezone_id="Europe/London",
    )
    if who != STRANGER:
        context.add_cookies([{"name": "person", "value": club.secrets[who], "url": address}])
    return context


def take(page: Page, picture: Picture, address: str, path: str, file: Path) -> list[str]:
    """Take one picture, and return the words seen on it."""
    page.goto(address + path)
    if picture.act is not None:
        picture.act(page)
    page.evaluate("document.fonts.ready")
    page.evaluate(WRITE_DATES)
    top = page.locator(f"main :is({picture.top}) >> visible=true").first.bounding_box()
    end = page.locator("main").bounding_box()
    assert top is not None, f"{picture.name}: nothing to begin with"
    assert end is not None
    begin = max(0, top["y"] - MARGIN_PX)
    limit = min(begin + picture.high_px, end["y"] + end["height"])
    high = int(page.evaluate(LAST_GAP, [begin + picture.high_px / 2, limit]) - begin)
    clip = {"x": 0, "y": begin, "width": WIDTH_PX, "height": high}
    shot = page.screenshot(full_page=True, clip=clip, scale="device")  # type: ignore[arg-type]
    file.parent.mkdir(parents=True, exist_ok=True)
    made = Image.open(BytesIO(shot)).convert("RGB")
    made.quantize(COLOURS, dither=Image.Dither.NONE).save(file, optimize=True)
    return seen(page, begin, begin + high)


def seen(page: Page, begin: float, end: float) -> list[str]:
    """Return the words of headings, buttons and labels that lie between two heights."""
    found: list[str] = page.locator(f"main :is({SEEN})").evaluate_all(
        """(all, [begin, end]) => all.filter(one => {
            const box = one.getBoundingClientRect();
            const top = box.top + window.scrollY;
            return box.height && top >= begin && top + box.height <= end;
        }).map(one => one.innerText.trim()).filter(Boolean)""",
        [begin, end],
    )
    return list(dict.fromkeys(found))


def make(browser: Browser, code: str, folder: Path, only: str, port: int) -> dict[str, object]:
    """Make the pictures of a language; return what was seen on each."""
    noted: dict[str, object] = {}
    address = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryDirectory() as place:
        for name, fill, pictures in (
            ("young", young_club, (FIRST_STEPS,)),
            ("full", full_club, PICTURES),
        ):
            wanted = [p for p in pictures if p.name == (only or p.name)]
            if not wanted:
                continue
            store = open_store(f"sqlite:///{place}/{name}.sqlite")
            migrate(store)
            club = fill(store, address, code)
            with served(club.app, port):
                for picture in wanted:
                    context = signed_in(browser, club, picture.who, address, code)
                    path = (
                        picture.path if isinstance(picture.path, str) else picture.path(club, store)
                    )
                    file = folder / picture_path(picture.name, code)
                    words = take(context.new_page(), picture, address, path, file)
                    noted[picture.name] = {
                        "endpoint": picture.endpoint,
                        "seen": [one for one in words if one in words_on_pages(code)],
                    }
                    context.close()
            store.close()
    return noted


def main() -> int:
    """Make the pictures that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path, nargs="?", default=resource_folder("web") / "static")
    parser.add_argument("--only", default="", help="the name of one picture")
    parser.add_argument("--port", type=int, default=8139)
    wanted = parser.parse_args()
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        print("There is no Chromium on this machine (Debian: apt-get install chromium).")
        return 2
    noted = json.loads(NOTED.read_text(encoding="utf-8"))
    with sync_playwright() as playwright:
        for code in sorted(folder.name for folder in guide_folder().iterdir()):
            browser = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
            made = make(browser, code, wanted.folder, wanted.only, wanted.port)
            noted[code] = {**noted.get(code, {}), **made}
            browser.close()
    NOTED.write_text(json.dumps(noted, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
