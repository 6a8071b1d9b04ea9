"""Texts that people typed, made safe to stand on one line of a file, a mail or a heading."""

from __future__ import annotations

import re
import unicodedata

LINE_BREAK = re.compile("\r\n|[\n\v\f\r\x85\u2028\u2029]")
"""What ends a line (Unicode Standard Annex 14, the mandatory breaks)."""

_SURROGATES = re.compile("[\ud800-\udfff]")
# Controls that no mail or calendar may carry, and those that turn round the direction of whatever
# text comes after them (Unicode Standard Annex 9, sections 2.1 to 2.5).
_UNWANTED = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_JOINER = "\u200d"
_SKIN_TONES = range(0x1F3FB, 0x1F400)


def one_line(text: str, limit: int) -> str:
    """Make one line of any text, without controls and without blanks at its ends.

    Args:
        text: As it was typed.
        limit: Most characters of the line; what is longer ends in "…", never inside an emoji.
    """
    text = _UNWANTED.sub("", LINE_BREAK.sub(" ", text))
    return _clamp(" ".join(_SURROGATES.sub("\ufffd", text).split()), limit)


def _clamp(text: str, limit: int) -> str:
    if len(text) <= limit:
        return text
    end = limit - 1
    while end > 0 and (_is_attached(text[end]) or text[end - 1] == _JOINER):
        end -= 1
    return text[: end or limit - 1].rstrip() + "…"


def _is_attached(character: str) -> bool:
    return (
        unicodedata.category(character).startswith("M")
        or character == _JOINER
        or ord(character) in _SKIN_TONES
    )
