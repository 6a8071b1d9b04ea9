"""Octets of a foreign calendar as text, whatever program wrote them."""

from __future__ import annotations

import codecs

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # begins like the next
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_UNREADABLE = "\ufffd"


def decode_calendar(data: bytes) -> tuple[str, bool]:
    """Read the octets of a calendar.

    A calendar is UTF-8 (RFC 5545, section 3.1.4). A mark at its start tells of UTF-8, UTF-16 or
    UTF-32 (Unicode, section 23.8); octets of zero at every second place are UTF-16 without a mark.
    What is none of these was written on some Windows of Western Europe, as a rule (common practice,
    no source), unless most of its letters are good UTF-8: then a few octets are broken.

    Args:
        data: Any octets.

    Returns:
        The text; and whether all of its letters are sure. What is in doubt may be wrong in names,
        never in times, which are plain ASCII.
    """
    for mark, name in _MARKS:
        if data.startswith(mark):
            return _decoded(data[len(mark) :], name)
    start = data[:64]
    for name, zeros, others in (("utf-16-le", 1, 0), ("utf-16-be", 0, 1)):
        if start[zeros::2] and not any(start[zeros::2]) and all(start[others::2]):
            return _decoded(data, name)
    text, is_sure = _decoded(data, "utf-8")
    if is_sure:
        return text, True
    unreadable = text.count(_UNREADABLE)
    good = sum(not letter.isascii() for letter in text) - unreadable
    return (text if good > unreadable else data.decode("cp1252", "replace")), False


def _decoded(data: bytes, name: str) -> tuple[str, bool]:
    try:
        return data.decode(name), True
    except UnicodeDecodeError:
        return data.decode(name, "replace"), False
