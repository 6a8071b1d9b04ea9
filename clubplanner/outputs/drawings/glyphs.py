"""Which letters the font of our pictures has, and how to write those that it has not.

A picture has no other font to fall back on, as a page has: a missing letter would be a box.
"""

from __future__ import annotations

import unicodedata

LETTERS = frozenset(
    # Beyond ASCII, in the order of their codes; a test holds it against the font files.
    "\u00a0\u00a1\u00a2\u00a3\u00a4\u00a5\u00a6\u00a7\u00a8\u00a9ª\u00ab\u00ac\u00ae\u00af"
    "\u00b0\u00b1\u00b2\u00b3\u00b4\u00b6\u00b7\u00b8\u00b9º\u00bb\u00bc\u00bd\u00be\u00bfÀÁÂ"
    "ÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ\u00d7ØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõö\u00f7øùúûüýþÿĀāĂăĄąĆćĊċČčĎďĐđĒ"
    "ēĖėĘęĚěĞğĠġĢģĦħĪīĮįİıĲĳĶķĹĺĻļĽľŁłŃńŅņŇňŐőŒœŔŕŘřŚśŞşŠšŢţŤťŪūŮůŰűŲųŴŵŶŷŸŹźŻżŽžƒȘșȚțȷˆˇˉ"
    "\u02da\u02dc\u02dd\u0300\u0301\u0303\u0304\u0308ẀẁẂẃẄẅẞỲỳ\u2009\u2013\u2014\u2018\u2019"
    "\u201a\u201c\u201d\u201e\u2020\u2022\u2026\u2039\u203a\u2044\u20ac\u20b9ℓ\u2122\u2212"
    "\u2215"
)

_FIRST_BEYOND_ASCII = 0x7F
_MARKUP = frozenset("<>&\"'")
_BARE = {"ŋ": "n", "Ŋ": "N", "ŧ": "t", "Ŧ": "T", "ə": "e", "Ə": "E", "ĸ": "k", "ơ": "o", "ư": "u"}
"""Letters that do not come apart into a plain one and a mark."""


def with_known_letters(text: str) -> str:
    """Write a text with letters of the font: without their marks those that it lacks.

    Tōrō becomes Toro. A letter of another script, which has no plain form, stays as it is.
    """
    unknown = {ch for ch in text if ord(ch) >= _FIRST_BEYOND_ASCII and ch not in LETTERS}
    return text.translate({ord(ch): _plain(ch) for ch in unknown}) if unknown else text


def _plain(character: str) -> str:
    apart = unicodedata.normalize("NFKD", _BARE.get(character, character))
    kept = "".join(ch for ch in apart if ord(ch) < _FIRST_BEYOND_ASCII or ch in LETTERS)
    bare = "".join(ch for ch in kept if not unicodedata.combining(ch))
    return bare if bare and not set(bare) & _MARKUP else character
