"""A pitch traced on a picture in a real browser: by pointing, by keys, and by numbers alone."""

from __future__ import annotations

import re
import struct
import zlib
from typing import TYPE_CHECKING

import pytest
from shapely import Polygon

from clubplanner.geometry.tracing import measure
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from tests.browser.conftest import PASSWORD
from tests.browser.pressing import press
from tests.browser.served import Site
from tests.builders import NOW
from tests.ports import free_port
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, FilePayload, Page

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.browser

OUTLINES: list[list[tuple[float, float]]] = [
    [(0, 0), (100, 0), (100, 50), (0, 50)],
    [(0, 50), (100, 50), (100, 0), (0, 0)],
    [(0, 0), (80, 0), (80, 30), (40, 30), (40, 60), (0, 60)],
    [(12.5, 3), (70, 19), (55.5, 61), (4, 44)],
    [(0, 0), (100, 0), (0, 50), (100, 50)],
    [(0, 0), (100, 0), (100, 50), (50, 0), (0, 50)],
    [(0, 0), (10, 0), (20, 0)],
    [(0, 0), (30, 0), (10, 40)],
]
"""Either way round, notched, slanted, crossing, touching itself, flat, three-cornered."""


def png(width: int, height: int) -> bytes:
    """Return a green picture (PNG, ISO/IEC 15948)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    rows = (b"\0" + b"\x3c\x8c\x50" * width) * height
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


@pytest.fixture
def site(empty_store: Store) -> Iterator[Site]:
    """Serve the small club."""
    load_small_club(empty_store)
    site = Site(empty_store, free_port())
    site.begin()
    yield site
    site.end()


def _open(browser: Browser, site: Site, width: int, *, with_script: bool = True) -> Page:
    context = browser.new_context(
        viewport={"width": width, "height": 740}, java_script_enabled=with_script
    )
    page = context.new_page()
    page.goto(f"{site.address}/secretary/{create_secretary_key(site.store, NOW)}")
    page.get_by_label("Your name").fill("Kim Ashby")
    page.get_by_label("Password").first.fill(PASSWORD)
    press(page.locator("main form button").first)
    page.goto(f"{site.address}/desk/grounds/marsh-lane/from-picture")
    return page


def _tap(page: Page, x: float, y: float) -> None:
    """Tap a point of the picture, 800 × 600 points however wide it is shown."""
    box = page.locator(".tracing-sheet svg").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + x / 800 * box["width"], box["y"] + y / 600 * box["height"])


@pytest.mark.parametrize("width", [1280, 360])
def test_a_pitch_is_traced_by_pointing_and_keys(site: Site, browser: Browser, width: int) -> None:
    """Two points and four corners by tapping, one put right by keys and one by dragging."""
    page = _open(browser, site, width)
    faults: list[str] = []
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    picture: FilePayload = {
        "name": "field.png",
        "mimeType": "image/png",
        "buffer": png(800, 600),
    }
    page.locator("#field-picture").set_input_files(picture)
    page.locator(".tracing-sheet svg[viewBox='0 0 800 600']").scroll_into_view_if_needed()
    for x, y in ((100, 500), (700, 500)):
        _tap(page, x, y)
    page.get_by_label("Distance between them, m").fill("120")
    page.locator(".tracing-sheet svg").scroll_into_view_if_needed()
    for x, y in ((150, 100), (650, 100), (650, 420), (150, 380)):
        _tap(page, x, y)
    told = page.locator("[data-told]")
    side = re.search(r"1: Side ([\d.]+) m, 90°", told.inner_text())
    assert side is not None
    assert float(side[1]) == pytest.approx(100, abs=1)
    last = page.locator("[data-stem=corner_4]")
    last.focus()
    for _n in range(4):
        page.keyboard.press("Shift+ArrowDown")
    assert float(page.locator("[name=corner_4_y]").input_value()) == pytest.approx(420, abs=3)
    box = page.locator("[data-stem=corner_2] .dot").bounding_box()
    assert box is not None
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0], middle[1] + 30)
    page.mouse.move(middle[0] + 1, middle[1])
    page.mouse.up()
    assert page.locator("[data-stem=corner_5]").count() == 0, "letting go marks no corner"
    press(page.get_by_role("button", name="Square it up"))
    assert told.inner_text().count("90°") == 4
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    press(page.get_by_role("button", name="Go on with this outline"))
    page.wait_for_url("**/from-picture")
    length = float(page.locator("[name=length]").input_value())
    assert length == pytest.approx(100, abs=1.5)
    assert float(page.locator("[name=width]").input_value()) == pytest.approx(64, abs=1.5)
    page.get_by_label("Name", exact=True).first.fill("Back field")
    page.get_by_label("Surface", exact=True).select_option("grass")
    press(page.get_by_role("button", name="Save"))
    page.get_by_text("Back field saved.").wait_for()
    assert faults == []


def test_what_is_no_picture_is_told_in_words(site: Site, browser: Browser) -> None:
    """By what is in it, not by its name; and a picture cut off is told, too."""
    page = _open(browser, site, 1280)
    for data, words in (
        (b"GIF89a" + bytes(40), "neither a PNG nor a JPEG"),
        (png(80, 60)[:40], "cannot be read"),
    ):
        file: FilePayload = {"name": "field.png", "mimeType": "image/png", "buffer": data}
        page.locator("#field-picture").set_input_files(file)
        page.locator("#picture-fault", has_text=words).wait_for()


def test_crossing_outlines_are_told_while_they_are_typed(site: Site, browser: Browser) -> None:
    """And refused by the server in words, with all that was typed."""
    page = _open(browser, site, 1280)
    press(page.get_by_text("Corners", exact=True))
    crossing = ((0, 0), (100, 100), (100, 0), (0, 100))
    for n, spot in enumerate(crossing, 1):
        for axis, value in zip("xy", spot, strict=True):
            page.locator(f"[name=corner_{n}_{axis}]").fill(str(value))
    assert "crosses itself" in page.locator("[data-told]").inner_text()
    for name, value in {"a_x": 0, "a_y": 0, "b_x": 100, "b_y": 0, "distance": 60}.items():
        page.locator(f"[name={name}]").fill(str(value))
    press(page.get_by_role("button", name="Go on with this outline"))
    page.locator("#faults", has_text="crosses itself").wait_for()
    assert page.locator("[name=corner_2_y]").input_value() == "100"


def test_without_script_the_numbers_do_alone(site: Site, browser: Browser) -> None:
    """The outline is drawn and measured by the server."""
    page = _open(browser, site, 360, with_script=False)
    assert not page.locator("#field-picture").is_visible()
    press(page.get_by_text("Corners", exact=True))
    values = {"a_x": 0, "a_y": 0, "b_x": 100, "b_y": 0, "distance": 60}
    for n, spot in enumerate(((0, 0), (100, 0), (100, 70), (0, 70)), 1):
        values |= {f"corner_{n}_x": spot[0], f"corner_{n}_y": spot[1]}
    for name, value in values.items():
        page.locator(f"[name={name}]").fill(str(value))
    press(page.get_by_role("button", name="Show it first"))
    assert "Area 2,520 m²" in page.locator("main").inner_text()
    assert page.locator("main svg").count() == 1 + 1, "the drawing, and the unused sheet"
    press(page.get_by_role("button", name="Go on with this outline"))
    assert page.locator("[name=length]").input_value() == "60"


def test_the_browser_measures_as_the_server_does(site: Site, browser: Browser) -> None:
    """Area, sides, angles and crossings of each outline, by both."""
    page = _open(browser, site, 1280)
    found = page.evaluate(
        """async (outlines) => {
          const maths = await import(document.querySelector("script[src*='js/tracing']").src
            .replace(/tracing(\\.[^/]*)?\\.js.*/, "tracing_maths.js"));
          return outlines.map((corners) => [maths.areaOf(corners, 0.5), maths.sidesOf(corners, 0.5),
            maths.anglesOf(corners), maths.crosses(corners)]);
        }""",
        OUTLINES,
    )
    for corners, (area, sides, angles, does_cross) in zip(OUTLINES, found, strict=True):
        assert does_cross == (not Polygon(corners).is_valid or Polygon(corners).area == 0)
        if does_cross:
            continue
        ours = measure(corners, 0.5)
        assert area == pytest.approx(ours.area_m2)
        assert sides == pytest.approx(ours.sides_m)
        assert angles == pytest.approx(ours.angles_deg)
