"""Cells that carry any text through a table: a spreadsheet may open it, and nothing is lost.

What would be taken for a formula is guarded (`domain/formulas.py`). Line breaks stay as they are,
in quotes; what editors change or drop is written with a backslash.
"""

from __future__ import annotations

import re

from clubplanner.domain.formulas import bare_cell, guard_cell

_LOST = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\\]")
_WRITTEN = re.compile(r"\\(\\|x[0-9a-f]{2})")


def write_cell(text: str) -> str:
    r"""Write any text as a cell: a carriage return becomes \x0d, a backslash two."""
    return guard_cell(_LOST.sub(lambda found: _escape(found[0]), text))


def read_cell(cell: str) -> str:
    """Read what `write_cell` wrote; a backslash of somebody else's stays one."""
    return _WRITTEN.sub(_unescape, bare_cell(cell))


def _escape(sign: str) -> str:
    return "\\\\" if sign == "\\" else f"\\x{ord(sign):02x}"


def _unescape(found: re.Match[str]) -> str:
    written = found[1]
    return "\\" if written == "\\" else chr(int(written[1:], 16))
