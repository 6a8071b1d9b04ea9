"""Cells that no spreadsheet program takes for a formula.

A program works out what begins with =, +, -, @, a tab or the end of a line, and the same signs in
full width (OWASP, https://owasp.org/www-community/attacks/CSV_Injection), so an apostrophe is put
before them. Whoever reads the table takes it away again.
"""

from __future__ import annotations

import re

_SIGNS = "=+\\-@\t\r\n＝＋－＠"
_FORMULA = re.compile(f"'*[{_SIGNS}]")
_GUARDED = re.compile(f"'+[{_SIGNS}]")


def guard_cell(text: str) -> str:
    """Keep a text from being taken for a formula; `bare_cell` gives it back."""
    return f"'{text}" if _FORMULA.match(text) else text


def bare_cell(text: str) -> str:
    """Return the text that was guarded; others are as they are."""
    return text[1:] if looks_guarded(text) else text


def looks_guarded(text: str) -> bool:
    """Tell whether `bare_cell` would take the first sign of a text away."""
    return _GUARDED.match(text) is not None
