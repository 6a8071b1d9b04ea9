"""The catalogues are whole, and the package marks its words so that they can be."""

from __future__ import annotations

import ast
import re
from typing import TYPE_CHECKING

import pytest
from babel.messages.pofile import read_po

from clubplanner.language import languages
from tests.languages.messages import PACKAGE, catalogue_files, find_messages
from tests.languages.update import update

if TYPE_CHECKING:
    from pathlib import Path

    from babel.messages.catalog import Catalog, Message

PLACE = re.compile(r"%\((\w+)\)s")
TAG = re.compile(r"<[^>]*>")
FILES = catalogue_files()
MARKS = ("_", "ngettext", "marked", "date_in_words")


@pytest.fixture(scope="module")
def template() -> Catalog:
    """Find every message once."""
    return find_messages()


def read(file: Path) -> Catalog:
    """Read one catalogue."""
    with file.open("rb") as opened:
        return read_po(opened, locale=file.stem)


def forms(message: Message) -> list[tuple[str, str]]:
    """Pair each form of a message with its translation."""
    if isinstance(message.id, str):
        return [(message.id, str(message.string))]
    assert isinstance(message.string, tuple)
    return list(zip(message.id, message.string, strict=True))


def test_there_is_a_second_language(template: Catalog) -> None:
    """German is whole, as a proof that any other can be."""
    assert languages() == ("en", "de")
    assert len(template) > 2000


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_catalogue_has_every_message_and_no_other(file: Path, template: Catalog) -> None:
    """None is missing, none is only guessed, none is left from earlier."""
    catalog = read(file)
    known = {message.id for message in template if message.id}
    there = {message.id for message in catalog if message.id}
    assert known - there == set(), "run python -m tests.languages.update"
    assert there - known == set(), "run python -m tests.languages.update"
    for message in catalog:
        if message.id:
            assert not message.fuzzy, message.id
            assert all(told.strip() for _, told in forms(message)), message.id


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_translation_keeps_places_tags_and_ends(file: Path) -> None:
    """Each place is filled, no tag is lost or broken, and blanks at the ends stay."""
    for message in read(file):
        if not message.id:
            continue
        for words, told in forms(message):
            wanted = set(PLACE.findall(" ".join(form for form, _ in forms(message))))
            assert set(PLACE.findall(told)) | {"num"} == wanted | {"num"}, told
            assert sorted(TAG.findall(told)) == sorted(TAG.findall(words)), told
            assert (told[:1] == " ", told[-1:] == " ") == (words[:1] == " ", words[-1:] == " ")
            assert (told[-1:] == "\n") == (words[-1:] == "\n"), told
            if PLACE.search(words):
                filled = told % dict.fromkeys({*wanted, "num"}, "x")
                assert "%(" not in filled


def test_an_update_keeps_what_is_translated(tmp_path: Path, template: Catalog) -> None:
    """Once more gives the same bytes, and every translation stays; a new one begins empty."""
    file = tmp_path / FILES[0].name
    file.write_bytes(FILES[0].read_bytes())
    update(file, template)
    once = file.read_bytes()
    update(file, template)
    assert file.read_bytes() == once
    told = {message.id: message.string for message in read(FILES[0]) if message.id}
    assert {message.id: message.string for message in read(file) if message.id} == told
    begun = update(tmp_path / "fr.po", template)
    assert len(begun) == len(template)
    assert not any(
        message.string for message in begun if isinstance(message.id, str) and message.id
    )


def marks(tree: ast.AST) -> list[ast.Call]:
    """Find where words are marked or told."""
    return [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in MARKS
        and node.args
    ]


@pytest.mark.parametrize(
    "file", sorted(PACKAGE.rglob("*.py")), ids=lambda file: str(file.relative_to(PACKAGE))
)
def test_words_are_told_when_they_are_needed(file: Path) -> None:
    """Nothing is told at import, where no language is known, and messages are plain texts.

    None stands within an f-string: by Python 3.11 nobody who looks for messages sees it there.
    """
    tree = ast.parse(file.read_text(encoding="utf-8"))
    for call in marks(tree):
        for word in call.args[:2] if call.func.id == "ngettext" else call.args[:1]:  # type: ignore[attr-defined]
            assert not isinstance(word, ast.JoinedStr), f"line {call.lineno}: an f-string"
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            hidden = [call for call in marks(node) if isinstance(call.args[0], ast.Constant)]
            assert not hidden, f"line {node.lineno}: told within an f-string"
    inside = {
        id(node)
        for function in ast.walk(tree)
        if isinstance(function, (ast.FunctionDef, ast.Lambda))
        for part in (function.body if isinstance(function.body, list) else [function.body])
        for node in ast.walk(part)
    }
    for call in marks(tree):
        if call.func.id != "marked":  # type: ignore[attr-defined]
            assert id(call) in inside, f"line {call.lineno}: told at import"
