"""What the guide says is there: pages, words on them, commands, settings, pictures."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import click
import pytest

import clubplanner
from clubplanner.commands import main
from clubplanner.config import ENVIRONMENT_PREFIX
from clubplanner.inputs.club_files.fixtures import COLUMNS as FIXTURE_COLUMNS
from clubplanner.inputs.club_files.settings import read_settings
from clubplanner.inputs.club_files.squads_file.squads import ASK_COLUMNS, SQUAD_COLUMNS
from clubplanner.language import ENGLISH, speaking, term
from clubplanner.resources import resource_folder
from clubplanner.webapp.base.navigation import PLACES
from clubplanner.webapp.guide.chapters import BY_KEY, CHAPTERS
from clubplanner.webapp.guide.texts import (
    CHAPTER,
    PAGE,
    PICTURE,
    Section,
    guide_folder,
    picture_path,
    plain_words,
    sections,
    size_of,
)
from tests.languages.messages import words_on_pages

PACKAGE = Path(clubplanner.__file__).parent
READERS = (PACKAGE / "inputs", PACKAGE / "domain", PACKAGE / "sharing" / "values")

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask
    from markdown_it.token import Token

CODES = sorted(path.name for path in guide_folder().iterdir())
TEXTS = [(key, code) for key in BY_KEY for code in CODES]
NAV_PAGES = {page.endpoint: page.words for place in PLACES for page in place.pages}
MADE = json.loads(
    (Path(__file__).parents[2] / "browser" / "guide_pictures.json").read_text(encoding="utf-8")
)
"""What the command that makes the pictures noted of each: its page, and the words seen on it."""
LARGEST = 60_000
CONFIG = (PACKAGE / "config.py").read_text(encoding="utf-8")


def tokens_of(key: str, code: str) -> Iterator[Token]:
    """Give every piece of a chapter's lines."""
    for section in sections(key, code):
        for token in section.tokens:
            yield from token.children or ()


def within(key: str, code: str, kind: str) -> Iterator[tuple[Token, str]]:
    """Give what stands between the marks of a kind, with the mark that begins it."""
    begun: list[tuple[Token, list[Token]]] = []
    for token in tokens_of(key, code):
        if token.type == f"{kind}_open":
            begun.append((token, []))
        elif token.type == f"{kind}_close":
            opening, inside = begun.pop()
            yield opening, plain_words(inside)
        for _opening, inside in begun:
            inside.append(token)


def quotes(key: str, code: str) -> set[str]:
    """Return all that stands in a chapter as code."""
    return {token.content for token in tokens_of(key, code) if token.type == "code_inline"}


def targets(key: str, code: str) -> list[str]:
    """Return where a chapter's links lead."""
    return [str(opening.attrGet("href")) for opening, _words in within(key, code, "link")]


def pictures(key: str, code: str) -> dict[str, str]:
    """Return a chapter's pictures, with what is said of each."""
    return {
        str(token.attrGet("src")).removeprefix(PICTURE): token.content
        for token in tokens_of(key, code)
        if token.type == "image"
    }


@pytest.mark.parametrize("code", CODES)
def test_bold_words_stand_on_pages(code: str) -> None:
    """Whoever looks for a button finds it by the words that the guide says."""
    known = words_on_pages(code)
    said = {words for key in BY_KEY for _, words in within(key, code, "strong")}
    assert said
    assert sorted(said - known) == []


@pytest.mark.parametrize("code", CODES)
def test_pages_are_called_as_they_are_called(code: str) -> None:
    """A page of the links at the top by the words there, another one by words of its own."""
    known = words_on_pages(code)
    called: set[tuple[str, str]] = set()
    for key in BY_KEY:
        for opening, words in within(key, code, "link"):
            scheme, _, name = str(opening.attrGet("href")).partition(":")
            if f"{scheme}:" == PAGE:
                called.add((name, words))
    with speaking(code):
        wrong = {(n, w) for n, w in called if n in NAV_PAGES and w != term(NAV_PAGES[n])}
    assert wrong == set()
    others = {words for name, words in called if name not in NAV_PAGES}
    assert {words for words in others if words not in known and words[0].isupper()} == set()


@pytest.mark.parametrize(("key", "code"), TEXTS)
def test_every_link_leads_somewhere(app: Flask, key: str, code: str) -> None:
    """To a page that needs nothing more in its address, a section that is there, or a picture."""
    rules = {rule.endpoint: rule for rule in app.url_map.iter_rules()}
    for target in targets(key, code):
        scheme, _, name = target.partition(":")
        if target.startswith(PAGE):
            assert not rules[name].arguments
        elif target.startswith("#"):
            assert target[1:] in {section.key for section in sections(key, code)}
        else:
            assert f"{scheme}:" == CHAPTER
            other, _, part = name.partition("#")
            assert not part or part in {section.key for section in sections(other, code)}


def test_pages_stand_beside_sections_that_are_there(app: Flask) -> None:
    """Every endpoint of the table is one, of one chapter alone, and its section is there."""
    seen: set[str] = set()
    for chapter in CHAPTERS:
        keys = {section.key for section in sections(chapter.key, ENGLISH)}
        assert set(chapter.pages.values()) <= keys | {""}
        assert set(chapter.pages) <= set(app.view_functions)
        seen |= set(chapter.pages)
    assert seen


@pytest.mark.parametrize("code", CODES)
def test_no_main_page_is_left_out(code: str) -> None:
    """Each page of the links at the top is named, and stands beside some part of the guide."""
    named = {target for key in BY_KEY for target in targets(key, code)}
    assert {name for name in NAV_PAGES if f"{PAGE}{name}" not in named} == set()
    beside = {endpoint for chapter in CHAPTERS for endpoint in chapter.pages}
    assert set(NAV_PAGES) - beside == set()


def commands_said(key: str, code: str) -> list[list[str]]:
    """Return the commands that a chapter tells, each as its words."""
    return [words.split()[1:] for words in quotes(key, code) if words.startswith("clubplanner")]


@pytest.mark.parametrize("code", CODES)
def test_every_command_is_one_and_no_main_one_is_left_out(code: str) -> None:
    """Commands and their options are there; each noun of the command line is named."""
    named: set[str] = set()
    for words in (words for key in BY_KEY for words in commands_said(key, code)):
        command: click.Command = main
        for word in words:
            if word.startswith("--"):
                options = {option for each in command.params for option in each.opts}
                assert word in options, words
            elif isinstance(command, click.Group) and word.islower():
                found = command.get_command(click.Context(command), word)
                assert found is not None, words
                command, named = found, named | {words[0], word}
    assert set(main.list_commands(click.Context(main))) - named == set()


@pytest.mark.parametrize("code", CODES)
def test_every_setting_is_one_and_none_is_left_out(code: str) -> None:
    """What can be set in the environment is told, and nothing else."""
    said = {words for key in BY_KEY for words in quotes(key, code) if words.isupper()}
    named = {words.removeprefix(ENVIRONMENT_PREFIX) for words in said if "CLUBPLANNER_" in words}
    known = set(re.findall(rf"{ENVIRONMENT_PREFIX}([A-Z_]*[A-Z])\b", CONFIG))
    assert named == known


@pytest.mark.parametrize("code", CODES)
def test_every_key_of_a_file_is_one(code: str) -> None:
    """What the chapter about files names the readers of these files look for."""
    read = "\n".join(
        path.read_text(encoding="utf-8") for room in READERS for path in room.rglob("*.py")
    )
    keys = {words for words in quotes("files", code) if re.fullmatch(r"[a-z]+(_[a-z]+)*", words)}
    unknown = {words for words in keys if not re.search(rf"\b{_stem(words)}\b", read)}
    assert unknown == set()


def _stem(key: str) -> str:
    """Return a key without its unit, which readers add."""
    return re.sub(r"_(m|yd|ft|deg|days)$", "", key)


@pytest.mark.parametrize("code", CODES)
def test_every_part_and_column_of_files_is_told(code: str) -> None:
    """A part of the settings or a column that is new has to be told, and none that is gone."""
    parts = {words.strip("[]") for words in quotes("files", code) if words.startswith("[")}
    faults = read_settings("[nothing]", "club.toml").problems
    told = next(fault.message for fault in faults if fault.code == "unknown")
    assert parts == set(re.findall(r"\w+", told.partition("write")[2])) - {"or"}
    cells = {cell for row in rows_of("files", "squads", code)[1:] for cell in row[0].split(", ")}
    assert cells == {*SQUAD_COLUMNS, *ASK_COLUMNS}
    fixtures = section_of("files", "fixtures", code).words
    assert {column for column in FIXTURE_COLUMNS if column not in fixtures} == set()


def section_of(key: str, part: str, code: str) -> Section:
    """Return a section of a chapter."""
    return next(section for section in sections(key, code) if section.key == part)


def rows_of(key: str, part: str, code: str) -> list[list[str]]:
    """Return the cells of a section's table, row by row."""
    rows: list[list[str]] = []
    for before, token in pairwise(section_of(key, part, code).tokens):
        if before.type == "tr_open":
            rows.append([])
        if before.type in ("td_open", "th_open"):
            rows[-1].append(plain_words(token.children or ()))
    return rows


@pytest.mark.parametrize("code", [code for code in CODES if code != ENGLISH])
@pytest.mark.parametrize("key", BY_KEY)
def test_each_language_tells_the_same(key: str, code: str) -> None:
    """Sections, links, pictures, and what stands as code are the same, in the same order."""
    assert [section.key for section in sections(key, code)] == [
        section.key for section in sections(key, ENGLISH)
    ]
    assert sorted(targets(key, code)) == sorted(targets(key, ENGLISH))
    assert list(pictures(key, code)) == list(pictures(key, ENGLISH))
    assert quotes(key, code) == quotes(key, ENGLISH)


def test_every_text_is_of_a_chapter() -> None:
    """No file is left over, and every language has every chapter."""
    for code in CODES:
        assert {path.stem for path in (guide_folder() / code).iterdir()} == set(BY_KEY)


def test_every_heading_has_a_key() -> None:
    """A section without one could not be led to."""
    for key, code in TEXTS:
        first, *rest = sections(key, code)
        assert first.key == ""
        assert all(section.key and section.heading for section in rest), (key, code)


@pytest.mark.parametrize("code", CODES)
def test_every_picture_is_there_small_and_told_in_words(code: str) -> None:
    """Each that a text shows, none besides, as the command noted it."""
    shown = {name: alt for key in BY_KEY for name, alt in pictures(key, code).items()}
    folder = resource_folder("web") / "static" / "pictures" / "guide" / code
    assert {path.stem for path in folder.iterdir()} == set(shown) == set(MADE[code])
    for name, alt in shown.items():
        width, height = size_of(picture_path(name, code))
        assert (width, 100 < height < 700) == (360, True)
        assert (folder / f"{name}.png").stat().st_size < LARGEST
        assert len(alt) > 30


@pytest.mark.parametrize("code", CODES)
def test_no_picture_is_older_than_the_words_of_its_page(app: Flask, code: str) -> None:
    """Each shows a page that is there, and headings and buttons that pages still have.

    Where this fails, make them anew: python -m tests.browser.guide_pictures
    """
    known = words_on_pages(code)
    for name, noted in MADE[code].items():
        assert noted["endpoint"] in app.view_functions, name
        assert noted["seen"], name
        assert [words for words in noted["seen"] if words not in known] == [], name
