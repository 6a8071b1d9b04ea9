"""Faults in SQL: what changes of a program's own operators never reach inside of a string."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

_SQL = re.compile(r"\b(?:SELECT|TRIGGER|UPDATE OF|DELETE FROM)\b|\b(?:NEW|OLD)\.")
_COLUMN = r"[a-z_]+"
_SWAPS = (
    (r"(?<![<>])<(?![<>=])", "<="),
    (r"(?<![<>])<(?![<>=])", ">"),
    (r"(?<![<>])>(?![<>=])", ">="),
    (r"(?<![<>])>(?![<>=])", "<"),
    (r"<>", "="),
    (r"(?<![<>!])=", "<>"),
    (r"&", "|"),
    (r" - ", " + "),
    (r"\bIS NOT\b", "IS"),
    (r"(?<!IF )\bEXISTS\b", "NOT EXISTS"),
    (r"\bIF EXISTS\b", ""),
    (r"\bAND\b", "OR"),
    (r"\bNEW\.", "held."),
    (r"\bheld\.", "NEW."),
    (r"\bABORT\b", "IGNORE"),
    (r"\bBEFORE\b", "AFTER"),
    (r"\b0\b", "1"),
    (r"\b1\b", "0"),
    (r"'trigger'", "'table'"),
    # A condition with the AND before or behind it; a column from the middle or the end of a list.
    (r"\bAND [^\n]*(?=\n)", ""),
    (r"\bWHERE [^\n]* AND (?=EXISTS)", "WHERE "),
    (r"\bWHERE [^\n]*\n\s*AND\b", "WHERE"),
    (r"\bWHERE [^\n;]*(?=;)", ""),
    (rf"\b{_COLUMN}, (?={_COLUMN})", ""),
    (rf", {_COLUMN}(?= ON\b)", ""),
)


def is_sql(words: str) -> bool:
    """Tell whether the text of a string is SQL: by its verbs, or a trigger's rows."""
    return bool(_SQL.search(words))


def sql_changes(statement: str) -> Iterator[str]:
    """Yield a statement with one fault each: an operator, a condition, a column, a number."""
    for pattern, instead in _SWAPS:
        for found in re.finditer(pattern, statement):
            yield statement[: found.start()] + instead + statement[found.end() :]
