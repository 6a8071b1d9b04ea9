"""Dates in addresses that cannot be shown are told on the page, once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store

PAGES = {
    "/desk/evening": "date",
    "/desk/week": "week",
    "/desk/season/light": "from",
    "/desk/share-outs/tonight": "date",
}


@pytest.mark.parametrize("typed", ["31.12.2026", "9999-12-31", "2026-02-30", "x"])
@pytest.mark.parametrize("path", PAGES)
def test_a_date_that_cannot_be_shown_is_told_once(
    app: Flask, club_store: Store, path: str, typed: str
) -> None:
    """The page opens as without it; the next page says nothing of it any more."""
    desk = sign_in(app, club_store, Role.SECRETARY)
    answer = desk.get(path, query_string={PAGES[path]: typed})
    assert answer.status_code == 200
    assert answer.text.count(f"“{typed}” is no date that can be shown.") == 1
    for query in ({}, {PAGES[path]: ""}, {PAGES[path]: "2026-11-25"}):
        assert "no date that can be shown" not in desk.get(path, query_string=query).text
