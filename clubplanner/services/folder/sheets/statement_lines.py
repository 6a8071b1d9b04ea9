"""The lines of a statement in a cell of a folder's sheet: a list of objects as JSON."""

from __future__ import annotations

import json
import re
from dataclasses import fields
from datetime import date
from typing import TYPE_CHECKING, Any

from clubplanner.domain.formulas import guard_cell
from clubplanner.domain.money.tariffs import Per
from clubplanner.language import _
from clubplanner.services.folder.sheets.columns import json_words
from clubplanner.services.money.drafts import StatedLine

if TYPE_CHECKING:
    from clubplanner.services.folder.sheets.names import Names

_SHARE = re.compile(r"[0-9]{1,6}(/[1-9][0-9]{0,5})?")
_KINDS: dict[str, type] = {"str": str, "int": int, "bool": bool}


class StatementLines:
    """What stands on a statement, in the words of the day on which it was issued."""

    def write(self, value: list[dict[str, Any]], names: Names) -> str:  # noqa: ARG002
        """Write it on one line."""
        return guard_cell(json_words(value))

    def read(self, cell: str, names: Names) -> list[dict[str, Any]]:  # noqa: ARG002
        """Read lines that can be shown and added up, each whole.

        Raises:
            ValueError: If they are not as they were written.
        """
        try:
            found = json.loads(cell)
        except (ValueError, RecursionError) as fault:
            raise _fault() from fault
        if not isinstance(found, list):
            raise _fault()
        return [_stated(line).kept() for line in found]


def _stated(line: object) -> StatedLine:
    kinds = {field.name: _KINDS[str(field.type)] for field in fields(StatedLine)}
    if not isinstance(line, dict) or set(line) != set(kinds):
        raise _fault()
    if any(type(line[name]) is not kind for name, kind in kinds.items()):
        raise _fault()
    stated = StatedLine(**line)
    try:
        date.fromisoformat(stated.day)
        Per(stated.per)
    except ValueError as fault:
        raise _fault() from fault
    if not _SHARE.fullmatch(stated.share):
        raise _fault()
    return stated


def _fault() -> ValueError:
    return ValueError(_("The cell holds no lines of a statement; leave it as it was written"))
