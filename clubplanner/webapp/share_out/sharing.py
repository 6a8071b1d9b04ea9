"""The blueprint of the share-outs; the modules beside it add their pages."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("share_outs", __name__, url_prefix="/desk/share-outs")

EFFORTS = {"30": 30.0, "120": 120.0, "600": 600.0}
"""Seconds a person may allow, by the form's value."""


def effort_seconds(value: str) -> float:
    """Return the seconds chosen in a form; the shortest where nothing sensible was sent."""
    return EFFORTS.get(value, EFFORTS["30"])
