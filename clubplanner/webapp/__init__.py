"""The Flask app: views parse, call one service, and hand its frozen page to a template."""

from clubplanner.webapp.factory import create_app

__all__ = ["create_app"]
