"""The chapters' words: read once from their files, told as HTML for whoever reads."""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from markdown_it import MarkdownIt

from clubplanner.language import ENGLISH
from clubplanner.resources import resource_folder

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from markdown_it.renderer import RendererHTML
    from markdown_it.token import Token
    from markdown_it.utils import EnvType, OptionsDict

PAGE, CHAPTER, PICTURE = "page:", "chapter:", "picture:"
_KEY = re.compile(r"\s*\{#([a-z0-9-]+)\}$")
_PNG_SIZE = struct.Struct(">II")
_SIZE_AT = 16
"""Where a PNG file says width and height (PNG specification, third edition, 11.2.1)."""
DENSITY = 2
"""Dots of a picture to one of the page, each way."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a chapter under a heading.

    Attributes:
        key: Its name in addresses, the same in each language; blank for what comes first.
        heading: Its heading; blank for what comes first.
        words: All its words, plain, for searching.
        tokens: What is told.
    """

    key: str
    heading: str
    words: str
    tokens: tuple[Token, ...]


def guide_folder() -> Path:
    """Return the folder of the texts, a folder a language."""
    return resource_folder("web") / "guide"


def picture_path(name: str, language: str) -> str:
    """Return where a picture lies among the static files."""
    return f"pictures/guide/{language}/{name}.png"


def told_in(key: str, language: str) -> str:
    """Return the language a chapter is told in: the one asked for where there is a text of it."""
    return language if (guide_folder() / language / f"{key}.md").is_file() else ENGLISH


@cache
def sections(key: str, language: str) -> tuple[Section, ...]:
    """Return a chapter's sections in a language that has a text of it, what comes first first.

    Raises:
        FileNotFoundError: If there is no such text.
    """
    text = (guide_folder() / language / f"{key}.md").read_text(encoding="utf-8")
    parts: list[list[Token]] = [[]]
    for token in parser().parse(text):
        if token.type == "heading_open" and token.tag == "h2":
            parts.append([])
        parts[-1].append(token)
    return tuple(_section(tokens) for tokens in parts)


def _section(tokens: list[Token]) -> Section:
    key = heading = ""
    if tokens and tokens[0].type == "heading_open":
        text = tokens[1].children[-1] if tokens[1].children else tokens[1]
        found = _KEY.search(text.content)
        key = found[1] if found else ""
        text.content = _KEY.sub("", text.content)
        heading = plain_words(tokens[1].children or ())
        tokens[0].attrSet("id", key)
    words = " ".join(plain_words(token.children or ()) for token in tokens)
    return Section(key, heading, words, tuple(tokens))


def plain_words(tokens: Sequence[Token]) -> str:
    """Return the words of a line without their marks; pictures have none."""
    return "".join(
        " " if token.type == "softbreak" else token.content
        for token in tokens
        if token.type in ("text", "code_inline", "softbreak")
    )


def as_html(section: Section, language: str, address_of: Callable[[str], str]) -> str:
    """Return a section as HTML.

    Args:
        section: The section.
        language: The language of its text, for its pictures.
        address_of: Returns where `page:…`, `chapter:…` or a picture's path among the static files
            leads; blank where it leads nowhere for who reads.
    """
    with_addresses = {"address_of": address_of, "language": language}
    told: str = parser().renderer.render(section.tokens, parser().options, with_addresses)
    return told


@cache
def parser() -> MarkdownIt:
    """Return the reader of the texts: CommonMark with tables, and no HTML in it."""
    made = MarkdownIt("commonmark", {"html": False}).enable("table")
    made.add_render_rule("link_open", _link_open)
    made.add_render_rule("link_close", _link_close)
    made.add_render_rule("image", _image)
    return made


def _link_open(
    _renderer: RendererHTML, tokens: Sequence[Token], at: int, _options: OptionsDict, env: EnvType
) -> str:
    address = env["address_of"](str(tokens[at].attrGet("href")))
    env["closing"] = "</a>" if address else "</span>"
    return f'<a href="{_attribute(address)}">' if address else '<span class="page-name">'


def _link_close(
    _renderer: RendererHTML, _tokens: Sequence[Token], _at: int, _options: OptionsDict, env: EnvType
) -> str:
    return str(env["closing"])


def _image(
    _renderer: RendererHTML, tokens: Sequence[Token], at: int, _options: OptionsDict, env: EnvType
) -> str:
    name = str(tokens[at].attrGet("src")).removeprefix(PICTURE)
    path = picture_path(name, env["language"])
    width, height = size_of(path)
    words = _attribute(tokens[at].content)
    return (
        f'<img class="sheet" src="{_attribute(env["address_of"](path))}" alt="{words}"'
        f' width="{width}" height="{height}" loading="lazy">'
    )


def _attribute(words: str) -> str:
    return words.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;")


@cache
def size_of(path: str) -> tuple[int, int]:
    """Return how wide and high a picture of the static files is shown, in dots of a page."""
    with (resource_folder("web") / "static" / path).open("rb") as file:
        head = file.read(_SIZE_AT + _PNG_SIZE.size)
    width, height = _PNG_SIZE.unpack(head[_SIZE_AT:])
    return width // DENSITY, height // DENSITY
