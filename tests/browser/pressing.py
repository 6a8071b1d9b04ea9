"""How something on a page is pressed: the one place that waits for what the press begins.

A click of the library returns once the next page has begun, half of it there, or, where the browser
is slow to begin it, before. What is asked then is asked of a part of the page, of the old one, or
of none. So every press of these tests goes through here (`test_pressing.py` holds them to it).
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Locator, Page

PATIENCE_MS = 300_000
"""How long anything may take: more than ten times what it takes where nothing else runs."""
PAGES_PATIENCE_MS = 4000
"""How long what fits waits for an answer before it takes the signal for none (`live_fits.js`)."""
PATIENT = f"""{{
  const begin = window.setTimeout;
  window.setTimeout = (what, after, ...all) =>
    begin(what, after === {PAGES_PATIENCE_MS} ? {PATIENCE_MS} : after, ...all);
}}"""
"""Has pages wait as long as tests do: a busy machine is no weak signal."""
LEADS_AWAY = """one => {
  const link = one.closest('a[href]');
  if (link) {
    const isHere = link.href.split('#')[0] === location.href.split('#')[0] && link.hash;
    return !isHere && !link.target && !link.hasAttribute('download');
  }
  const button = one.closest('button, input');
  return Boolean(button?.form) && ['submit', 'image'].includes(button.type);
}"""


@contextmanager
def arriving(page: Page) -> Iterator[None]:
    """Wait at the end of the block until the page that it leads to is loaded.

    The page at hand is loaded first, or its own end would be taken for the other's.
    """
    page.wait_for_load_state(timeout=PATIENCE_MS)
    with page.expect_event("load", timeout=PATIENCE_MS):
        yield


def press(target: Locator, *, stays: bool = False, is_tap: bool = False) -> None:
    """Press something once it can be pressed; if that leads to another page, wait for the page.

    Links to other addresses and buttons that send a form lead to another page, all else does not:
    what it brings about is waited for by whoever presses.

    Args:
        target: What is pressed.
        stays: A script keeps a button from sending its form.
        is_tap: By a finger.
    """
    act = target.tap if is_tap else target.click
    if not stays and target.evaluate(LEADS_AWAY, timeout=PATIENCE_MS):
        with arriving(target.page):
            act(timeout=PATIENCE_MS)
    else:
        act(timeout=PATIENCE_MS)
