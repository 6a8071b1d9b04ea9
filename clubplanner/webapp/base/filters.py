"""What templates may call."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from clubplanner.domain.times.times import (
    day_in_short,
    day_in_words,
    moment_in_words,
    short_moment,
)
from clubplanner.language import _, figure, in_running_text, quoted, sentence, term
from clubplanner.services.addresses.reach import caution_of
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.under_path import whole_path

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.services.addresses.reach import Caution


def register(app: Flask) -> None:
    """Add the filters to an app."""
    app.add_template_filter(drawing, "drawing")
    app.add_template_filter(day_in_words, "day_in_words")
    app.add_template_filter(day_in_short, "day_in_short")
    app.add_template_global(seen_words, "seen_words")
    app.add_template_filter(sentence, "sentence")
    app.add_template_filter(in_running_text, "in_running_text")
    app.add_template_filter(term, "term")
    app.add_template_filter(quoted, "quoted")
    app.add_template_filter(figure, "figure")
    app.add_template_filter(short_moment, "short_moment")
    app.add_template_filter(moment_in_words, "moment")
    app.add_template_global(reach_caution, "reach_caution")
    app.add_template_global(whole_path, "whole_path")


def seen_words() -> str:
    """Return the present date and time in the club's zone, for pages that are kept."""
    state = app_state()
    now = state.clock().astimezone(club_zone(state.store))
    return _("%(day)s at %(time)s", day=day_in_words(now.date()), time=now.strftime("%H:%M"))


def reach_caution() -> Caution | None:
    """Return what to know before an address is copied; None where all of them simply work."""
    return caution_of(app_state().config.public_address)


def drawing(svg: str) -> Markup:
    """Let a drawing of our own through unescaped; its words were escaped when it was drawn."""
    return Markup(svg)  # noqa: S704
