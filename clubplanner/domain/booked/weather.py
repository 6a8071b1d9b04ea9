"""Which reasons of closed ground and of sessions that are off speak of the weather."""

from __future__ import annotations

import re

WEATHER_WORDS = (
    # English
    *("boggy", "cold", "drought", "flood", "fog", "freez", "froze", "frost", "gale", "hail"),
    *("heat", "ice", "icy", "lightning", "mud", "puddle", "rain", "slush", "snow", "sodden"),
    *("storm", "thunder", "under water", "water", "weather", "wet", "wind"),
    # German
    *("aufgeweicht", "blitz", "durchnässt", "durchweicht", "dürre", "eis", "gefroren"),
    *("gewitter", "glatt", "glätte", "hagel", "hitze", "hochwasser", "kälte", "matsch", "nass"),
    *("nebel", "nässe", "pfütze", "regen", "schlamm", "schnee", "starkregen", "sturm"),
    *("trockenheit", "unter wasser", "unwetter", "vereis", "wasser", "überflut", "überschwemm"),
)
"""Beginnings of words by which clubs say it (common practice, no source)."""

_OTHERS = (
    *("blitzturnier", "eisen", "eishockey", "floodlight", "heating", "ice hockey", "rainer"),
    *("regenerat", "regenerier", "wasserleitung", "wasserrohr", "wasserschaden", "water leak"),
    *("water main", "water pipe", "watering", "wette ", "wettbewerb", "wettkampf", "wettkämpf"),
    *("wettspiel", "windeck", "window"),
)
"""Beginnings of words that only begin like those."""


def _beginnings(words: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(r"(?<![^\W\d_])(?:" + "|".join(map(re.escape, words)) + r")\w*")


_OF_WEATHER, _NOT_WEATHER = _beginnings(WEATHER_WORDS), _beginnings(_OTHERS)


def is_weather(words: str) -> bool:
    """Tell whether a reason speaks of the weather: "waterlogged", "Pitch frozen", "Starkregen".

    Args:
        words: As somebody typed them; a blank reason speaks of nothing.
    """
    return bool(_OF_WEATHER.search(_NOT_WEATHER.sub(" ", words.casefold())))
