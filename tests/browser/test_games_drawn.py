"""Drawings of games on a phone: letters large enough, a white sheet in every colour scheme."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.conftest import Planner

pytestmark = pytest.mark.browser

ASKED = "players=24&goalkeepers=1&target_goals=2&length_m=12&width_m=8"
LEAST_LETTERS = """() => Math.min(...[...document.querySelectorAll('.way svg')].flatMap(svg => {
  const shown = svg.getBoundingClientRect(), whole = svg.viewBox.baseVal
  const scale = Math.min(shown.width / whole.width, shown.height / whole.height)
  return [...svg.querySelectorAll('text')].map(one => one.getAttribute('font-size') * scale)
}))"""


def open_fits(page: Page, planner: Planner) -> None:
    """Open what fits for many players, so that drawings are as full as they get."""
    page.goto(f"{planner.squad_page}?{ASKED}")
    page.locator("details.way").evaluate_all("all => all.forEach(one => { one.open = true })")
    assert page.locator("details.way svg").count() >= 3


def test_letters_of_games_are_eleven_pixels_high_on_a_narrow_phone(
    browser: Browser, planner: Planner
) -> None:
    """At 360 px no letter on a drawing of games is under 11 px, however tall the drawing is."""
    page = browser.new_page(viewport={"width": 360, "height": 740})
    open_fits(page, planner)
    assert page.evaluate(LEAST_LETTERS) >= 11
    page.close()


def test_the_sheet_stays_white_in_forced_colours(browser: Browser, planner: Planner) -> None:
    """Where colours are forced, or all else is dark, drawings keep their paper."""
    context = browser.new_context(
        viewport={"width": 360, "height": 740}, forced_colors="active", color_scheme="dark"
    )
    page = context.new_page()
    open_fits(page, planner)
    sheet = page.locator("details.way .sheet").first
    colour = sheet.evaluate("one => getComputedStyle(one).backgroundColor")
    assert colour == "rgb(255, 255, 255)"
    context.close()


def test_a_number_of_the_list_is_that_of_the_drawing(browser: Browser, planner: Planner) -> None:
    """Each entry of a set-out list has the number that stands on the drawing above it."""
    page = browser.new_page(viewport={"width": 360, "height": 740})
    open_fits(page, planner)
    for figure in page.locator("details.way:has(ol)").all():
        entries = figure.locator("ol > li").count()
        words = figure.locator("svg text").all_text_contents()
        numbers = sorted(int(word) for word in words if word.isdigit())
        assert numbers == list(range(1, entries + 1))
    page.close()
