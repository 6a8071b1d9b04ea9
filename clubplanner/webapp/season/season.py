"""The blueprint of the running season; the modules beside it add their pages."""

from __future__ import annotations

from flask import Blueprint

pages = Blueprint("season", __name__, url_prefix="/desk/season")
