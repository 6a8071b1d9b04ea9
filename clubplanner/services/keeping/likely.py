"""Conditions by which the database finds what may speak of somebody, before it is read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import String, and_, cast, or_

from clubplanner.store.personal_kinds import Holds
from clubplanner.store.saying import any_like

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import ColumnElement, Connection

HARDLY_BLANK = (Holds.NAME, Holds.ADDRESS, Holds.VALUES)
"""Where something stands in most rows: asking first whether the text is blank costs as much as
looking into it. JSON is never blank, and a large one would be read twice."""


def text_of(column: ColumnElement[Any], holds: Holds) -> ColumnElement[str]:
    """Return what a column says, as a text."""
    return cast(column, String) if holds is Holds.VALUES else column


def likely_texts(
    connection: Connection, column: ColumnElement[Any], holds: Holds, patterns: Sequence[str]
) -> list[ColumnElement[bool]]:
    """Return conditions of which every text of a column that speaks of somebody fulfils one.

    Args:
        connection: To the database.
        column: What is looked into.
        holds: What it can hold.
        patterns: `Traces.patterns`; with none nothing is looked for.
    """
    if holds is Holds.FILE:
        return [column.is_not(None)] if patterns else []
    text = text_of(column, holds)
    like = any_like(connection, text, patterns)
    if not like or holds in HARDLY_BLANK:
        return like
    return [and_(text != "", or_(*like))]
