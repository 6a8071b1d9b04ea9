"""Every message that is marked for translation, found in the package and in the templates."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

from clubplanner.language import ENGLISH
from clubplanner.resources import resource_folder

if TYPE_CHECKING:
    from pathlib import Path

KEYWORDS = {"_": None, "gettext": None, "ngettext": (1, 2), "marked": None, "date_in_words": (2,)}
PACKAGE = resource_folder("web").parent / "clubplanner"
TEMPLATES = resource_folder("web") / "templates"
CATALOGUES = resource_folder("web") / "languages"


@cache
def find_messages() -> Catalog:
    """Return the messages as a template catalogue, each with the files that it stands in.

    Looking takes seconds: it is done once, so nobody may change what is returned.
    """
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


_UNSEEN = re.compile(r'<span class="unseen">.*?</span>|<[^>]+>')


@cache
def words_on_pages(code: str) -> frozenset[str]:
    """Return every message in a language as it is seen: without marks and unseen words."""
    if code == ENGLISH:
        told = [message.id for message in find_messages() if message.id]
    else:
        with (CATALOGUES / f"{code}.po").open("rb") as file:
            told = [message.string or "" for message in read_po(file, locale=code) if message.id]
    each = [one for words in told for one in ([words] if isinstance(words, str) else words)]
    return frozenset(_UNSEEN.sub("", words).strip().replace("%%", "%") for words in each)


def catalogue_files() -> list[Path]:
    """Return the catalogues there are."""
    return sorted(CATALOGUES.glob("*.po"))
