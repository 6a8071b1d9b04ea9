"""How names that people type are compared: capitals and needless blanks make no difference."""

from __future__ import annotations


def plain_name(name: str) -> str:
    """Return a name or an e-mail address as it is compared: small letters, single blanks."""
    return " ".join(name.split()).casefold()


def is_called(words: str, *names: str) -> bool:
    """Tell whether words that somebody typed are one of a thing's names."""
    return plain_name(words) in map(plain_name, names)
