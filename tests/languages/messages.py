"""Every message that is marked for translation, found in the package and in the templates."""

from __future__ import annotations

from typing import TYPE_CHECKING

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir

from clubplanner.resources import resource_folder

if TYPE_CHECKING:
    from pathlib import Path

KEYWORDS = {"_": None, "gettext": None, "ngettext": (1, 2), "marked": None, "date_in_words": (2,)}
PACKAGE = resource_folder("web").parent / "clubplanner"
TEMPLATES = resource_folder("web") / "templates"
CATALOGUES = resource_folder("web") / "languages"


def find_messages() -> Catalog:
    """Return the messages as a template catalogue, each with the files that it stands in."""
    catalog = Catalog(project="clubplanner", charset="utf-8", fuzzy=False)
    for folder, pattern, method in (
        (PACKAGE, "**.py", "python"),
        (TEMPLATES, "**.html", "jinja2.ext:babel_extract"),
    ):
        found = extract_from_dir(
            folder, [(pattern, method)], keywords=KEYWORDS, strip_comment_tags=True
        )
        for file, _line, message, _comments, _context in found:
            catalog.add(message, locations=[(f"{folder.name}/{file}", 0)])
    return catalog


def catalogue_files() -> list[Path]:
    """Return the catalogues there are."""
    return sorted(CATALOGUES.glob("*.po"))
