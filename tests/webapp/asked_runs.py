"""Runs of a share-out, as the pages asked for them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.services.share_out.runs.requests import request_from_json
from clubplanner.store.tables.run_tables import ShareRunRow

if TYPE_CHECKING:
    from clubplanner.services.share_out.runs.requests import RunRequest
    from clubplanner.store.engine import Store


LIST = "/desk/share-outs"
RUN = "/desk/share-outs/runs/1"
AGAIN = "/desk/share-outs/again"


def asked(store: Store, number: int = 1) -> RunRequest:
    """Return what a run was asked to do."""
    with store.read() as session:
        return request_from_json(session.get_one(ShareRunRow, number).request)
