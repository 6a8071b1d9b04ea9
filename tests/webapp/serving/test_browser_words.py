"""Browsers named in words."""

from __future__ import annotations

import pytest

from clubplanner.webapp.serving.browser_words import browser_in_words

PHONE = {
    "User-Agent": "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/131.0 Safari/537.36"
}


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        ("", "A browser"),
        ("curl/8.5", "A browser"),
        (PHONE["User-Agent"], "Chrome on Android"),
        (
            "Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Gecko/20100101 Firefox/132.0",
            "Firefox on Linux",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) Version/18.1 Safari/604.1",
            "Safari on an iPhone",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0) AppleWebKit/537.36 Chrome/131 Safari/537.36 Edg/131",
            "Edge on Windows",
        ),
        ("<script>alert(1)</script>", "A browser"),
    ],
)
def test_browsers_are_named_in_words(agent: str, words: str) -> None:
    """From the common forms of the header; from memory."""
    assert browser_in_words(agent) == words
