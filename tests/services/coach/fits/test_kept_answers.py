"""When answers that a browser kept are fetched again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from clubplanner.services.coach.fits.fit_places import FitPlace, FitWish
from clubplanner.services.coach.fits.kept_fits import fits_digest
from tests.builders import A_WEDNESDAY, make_pitch

PITCH = make_pitch()
WISH = FitWish(14, 1, None, None, 12)


def digest_on(**changes: Any) -> str:
    """Return the digest of a third of a pitch of which something is otherwise."""
    pitch = replace(PITCH, **changes)
    return fits_digest(FitPlace(pitch, pitch.area("third-1"), A_WEDNESDAY), WISH)


@pytest.mark.parametrize(
    "changes", [{"entrance": (3.0, 0.0)}, {"surface": "artificial"}, {"goals": ()}]
)
def test_what_the_drawing_hangs_on_makes_other_answers(changes: dict[str, Any]) -> None:
    """A way in that moved numbers the cones otherwise, so kept answers are no longer true."""
    assert digest_on(**changes) != digest_on()
    assert digest_on() == digest_on()


def test_how_many_come_does_not_count() -> None:
    """One digest stands for all numbers of players that are kept."""
    place = FitPlace(PITCH, PITCH.area("third-1"), A_WEDNESDAY)
    assert fits_digest(place, WISH) == fits_digest(place, replace(WISH, players=9))
    assert fits_digest(place, WISH) != fits_digest(place, replace(WISH, pace_m=0.7))
