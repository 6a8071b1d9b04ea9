"""The guide's pages, the link to them at the foot of every page, and what a search finds in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, abort, current_app, render_template, request, url_for
from markupsafe import Markup
from werkzeug.routing import BuildError

from clubplanner.domain.searching import is_found_by, search_words
from clubplanner.language import spoken, term
from clubplanner.webapp.base.navigation import finds
from clubplanner.webapp.base.security import current_person, for_anybody, keep_out
from clubplanner.webapp.guide.chapters import BY_KEY, CHAPTERS, Chapter, place_of
from clubplanner.webapp.guide.texts import CHAPTER, PAGE, as_html, sections, told_in

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.domain.club.people import Person

pages = Blueprint("guide", __name__)

MOST_FOUND = 5
LEAST_LETTERS = 4
"""Of a word looked for in the text; a shorter one is looked for in headings, else it finds all."""


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere in the guide: what it is called, the chapter it is in, and where it leads."""

    words: str
    chapter: str
    address: str


def register(app: Flask) -> None:
    """Let every page lead to the part of the guide that is about it."""
    app.add_template_global(guide_here, "guide_here")


@pages.get("/guide")
@for_anybody
def contents() -> str:
    """List the chapters that whoever looks may read."""
    shown = [c for c in CHAPTERS if may_read(current_person(), c)]
    return render_template("guide/contents.html", chapters=shown)


@pages.get("/guide/<key>")
@for_anybody
def chapter(key: str) -> str | BaseResponse:
    """Show a chapter to whoever may open one of the pages it is about."""
    chosen = BY_KEY.get(key) or abort(404)
    person = current_person()
    if not may_read(person, chosen):
        return keep_out(person)
    language = told_in(key, spoken())
    read = sections(key, language)
    told = [
        Markup(as_html(section, language, _address))  # noqa: S704 - made from our own files, html off
        for section in read
    ]
    others = [c for c in CHAPTERS if c is not chosen and may_read(person, c)]
    return render_template(
        "guide/chapter.html",
        chapter=chosen,
        language=language,
        told=told,
        headed=[section for section in read if section.key],
        others=others,
    )


def may_read(person: Person | None, chosen: Chapter) -> bool:
    """Tell whether somebody may open a page that a chapter is about."""
    return any(finds(person, endpoint) for endpoint in chosen.pages)


def guide_here() -> Place | None:
    """Return the part of the guide about the page that is shown; None where it has none."""
    found = place_of(request.endpoint or "")
    if found is None or not may_read(current_person(), found[0]):
        return None
    return _place(found[0], found[1], "")


def find_in_guide(asked: str) -> list[Place]:
    """Return the sections that go by words, for whoever looks: headings first, then the text."""
    ways = {search_words(asked), search_words(_joined(asked))}
    in_text = {words for words in ways if all(len(word) >= LEAST_LETTERS for word in words)}
    headed, within = [], []
    for found in CHAPTERS:
        if not may_read(current_person(), found):
            continue
        for section in sections(found.key, told_in(found.key, spoken())):
            place = _place(found, section.key, section.heading)
            heading = section.heading or term(found.title)
            text = f"{term(found.title)} {section.words} {section.words.replace('-', '')}"
            if any(is_found_by(words, heading) for words in ways):
                headed.append(place)
            elif any(is_found_by(words, text) for words in in_text):
                within.append(place)
    return [*headed, *within][:MOST_FOUND]


def _joined(asked: str) -> str:
    """Return what is asked as one word: "back up" and "back-up" are "backup"."""
    return "".join(re.findall(r"\w+", asked))


def _place(found: Chapter, section: str, heading: str) -> Place:
    address = url_for("guide.chapter", key=found.key, _anchor=section or None)
    title = term(found.title)
    return Place(heading or title, title if heading else "", address)


def _address(target: str) -> str:
    """Return where a target of the texts leads whoever looks; blank where it does not open.

    What begins with "#" is a section of the same chapter, anything else one of the static files.
    """
    if target.startswith(PAGE):
        return _page_address(target.removeprefix(PAGE))
    if target.startswith(CHAPTER):
        key, _, section = target.removeprefix(CHAPTER).partition("#")
        is_open = may_read(current_person(), BY_KEY[key])
        return url_for("guide.chapter", key=key, _anchor=section or None) if is_open else ""
    return target if target.startswith("#") else url_for("static", filename=target)


def _page_address(endpoint: str) -> str:
    """Return a page's address; blank for one of many, which has none by itself."""
    if endpoint not in current_app.view_functions or not finds(current_person(), endpoint):
        return ""
    try:
        return url_for(endpoint)
    except BuildError:
        return ""
