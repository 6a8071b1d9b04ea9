"""What a phone needs to put our pages on its home screen (Web Application Manifest, W3C).

Each page leads to a manifest of its own room: one that is opened from the home screen begins where
it was put there, a squad's address at the squad's page. All addresses in it are relative to its own
(section 1.1), so that they are right wherever the pages are served, below a folder too.
"""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Any

from flask import Blueprint, abort, make_response, request, url_for

from clubplanner.domain.club.people import Role
from clubplanner.language import spoken
from clubplanner.outputs.drawings.app_icon import PAPER, draw_app_icon
from clubplanner.resources import resource_folder
from clubplanner.services.addresses.links import link_of_secret
from clubplanner.services.calendars.feed_subjects import subject_of
from clubplanner.services.rows.club.club import club_name
from clubplanner.webapp.base.security import by_address, current_person, for_anybody
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("home_screen", __name__)

KIND = "application/manifest+json"
"""As registered with the manifest's standard (appendix B)."""
ICONS = {"192": (192, "any"), "512": (512, "any"), "512-maskable": (512, "maskable")}
"""By name: side in pixels, and purpose. A maskable icon may be cut to the circle in its middle."""
ICON_CACHE = "public, max-age=86400"
LONGEST_SHORT_NAME = 12
"""Letters that stand below an icon (common practice, no source)."""


def register(app: Flask) -> None:
    """Let pages name their manifest."""
    app.add_template_global(home_screen_manifest)


def home_screen_manifest() -> str:
    """Return the address of the manifest of the page that is being shown."""
    parts = request.view_args or {}
    if request.blueprint == "ground" and "secret" in parts:
        return url_for("home_screen.of_squad", secret=parts["secret"])
    person = current_person()
    if person is not None and person.role is Role.COACH:
        return url_for("home_screen.of_coach")
    return url_for("home_screen.of_club")


@pages.get("/app.webmanifest")
@for_anybody
def of_club() -> BaseResponse:
    """Send the manifest of whoever has no page of their own: it begins at the front door."""
    return _send(club_name(app_state().store), "", "./", "./")


@pages.get("/coach/app.webmanifest")
@for_anybody
def of_coach() -> BaseResponse:
    """Send a coach's manifest; browsers ask for it without saying who they are."""
    return _send(club_name(app_state().store), "", "../coach", "../")


@pages.get("/ground/<secret>/app.webmanifest")
@by_address
def of_squad(secret: str) -> BaseResponse:
    """Send the manifest of a squad's page: the address is in it, as in the page itself."""
    with app_state().store.read() as session:
        name = subject_of(link_of_secret(session, secret)).name
    return _send(f"{name}, {club_name(app_state().store)}", name, f"../{secret}", "../../")


@pages.get("/app-icon-<name>.png")
@for_anybody
def icon(name: str) -> BaseResponse:
    """Send our icon as a picture; phones put no drawing on their home screens."""
    if name not in ICONS:
        abort(404)
    response = make_response(_icon(name))
    response.headers["Content-Type"] = "image/png"
    response.headers["Cache-Control"] = ICON_CACHE
    response.add_etag()
    return response.make_conditional(request)


@cache
def _icon(name: str) -> bytes:
    side, purpose = ICONS[name]
    drawing = (resource_folder("web") / "static" / "icon.svg").read_text("utf-8")
    return draw_app_icon(drawing, side, is_maskable=purpose == "maskable")


def _send(name: str, short_name: str, start: str, scope: str) -> BaseResponse:
    manifest: dict[str, Any] = {
        "name": name,
        "short_name": _shortened(short_name or name),
        "lang": spoken(),
        "start_url": start,
        "scope": scope,
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            {
                "src": _relative(url_for("home_screen.icon", name=icon_name)),
                "sizes": f"{side}x{side}",
                "type": "image/png",
                "purpose": purpose,
            }
            for icon_name, (side, purpose) in ICONS.items()
        ],
    }
    response = make_response(json.dumps(manifest, ensure_ascii=False))
    response.headers["Content-Type"] = KIND
    return response


def _shortened(name: str) -> str:
    """Return the words in front that stand below an icon; of one long word its beginning."""
    words = name.split()
    while len(words) > 1 and len(" ".join(words)) > LONGEST_SHORT_NAME:
        words.pop()
    return " ".join(words) if len(words) > 1 else name[:LONGEST_SHORT_NAME].split(" ")[0]


def _relative(address: str) -> str:
    """Write an address of ours as it is seen from the manifest that is being sent."""
    steps = request.path.count("/") - 1
    return "../" * steps + address.removeprefix(request.root_path).lstrip("/")
