"""Reasons that speak of the weather, in both languages."""

from __future__ import annotations

import pytest

from clubplanner.domain.booked.weather import is_weather


@pytest.mark.parametrize(
    "words",
    [
        *("waterlogged", "frozen", "thunderstorm", "Frost", "pitch under snow", "Rain!", "flooded"),
        *("Platz steht unter Wasser", "gefroren", "Starkregen", "Gewitter", "Platz zu nass"),
        *("ÜBERSCHWEMMT", "Sturmwarnung", "too icy", "Glätte", "black ice"),
    ],
)
def test_what_clubs_say_of_the_weather_is_weather(words: str) -> None:
    """However it is written, at the beginning or within."""
    assert is_weather(words)


@pytest.mark.parametrize(
    "words",
    [
        *("", "not safe", "fun day", "floodlights broken", "heating broken", "Regeneration"),
        *("Wettkampf der Schule", "Blitzturnier", "Wasserrohrbruch", "burst water main", "Rainer"),
        *("window cleaning", "Eishockey", "police", "notice", "Preis"),
    ],
)
def test_what_only_sounds_like_it_is_not(words: str) -> None:
    """Words that begin like the weather's, or hold them within."""
    assert not is_weather(words)
