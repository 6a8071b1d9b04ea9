"""Live results tell whoever hears the page one sentence, never all of the answer."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.webapp.coach.test_ground import train

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def test_what_fits_is_told_in_one_sentence(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """The results are no live region; a status line of their own is filled with their sentence."""
    train(club_store)
    page = stranger.get(f"/ground/{secret}/fits?players=12&goalkeepers=0").text
    assert "aria-live" not in page
    assert '<p class="unseen" role="status" id="fit-said"></p>' in page
    assert 'data-live="#fit-results"' in page
    assert 'data-said="#fit-said"' in page
    (said,) = re.findall(r'<div class="ways" data-said="([^"]+)"', page)
    assert re.fullmatch(r"What fits: .+; \d+ other ways? below\.", said)
    assert len(said.split()) <= 20
