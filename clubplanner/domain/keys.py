"""Short names for addresses and commands."""

from __future__ import annotations

import re
import unicodedata


def key_from_name(name: str) -> str:
    """Return a lower-case key of letters, digits and hyphens: "Marsh Lane" → "marsh-lane".

    Letters of other scripts are kept; a name without any letter or digit gives "unnamed".
    """
    plain = unicodedata.normalize("NFKD", name).casefold().replace("ø", "o")
    plain = "".join(ch for ch in plain if not unicodedata.combining(ch))
    return re.sub(r"[\W_]+", "-", plain).strip("-") or "unnamed"


def ground_key(pitch_key: str, area_key: str) -> str:
    """Return the key of an area that is one of a kind in the club."""
    return f"{pitch_key}/{area_key}"


def pitch_of_ground(key: str) -> str:
    """Return the key of the pitch of a ground, given the ground's: the first part of it."""
    return key.partition("/")[0]
