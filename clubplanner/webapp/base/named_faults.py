"""The summary of faults names the field of each line, by the label that stands at the field.

The summary comes before the fields, so its lines (`_forms.html`) hold a mark, and the page's
content passes here once it is there as a whole.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from markupsafe import Markup

if TYPE_CHECKING:
    from flask import Flask

_MARK = re.compile(r"<!--field:([^>]*)-->([^<]*)")
_LABEL = re.compile(r'<label[^>]* for="field-([^"]+)"[^>]*>(.*?)</label>', re.DOTALL)


def register(app: Flask) -> None:
    """Add the filter that the content of every page passes."""
    app.add_template_filter(name_faults)


def name_faults(page: str) -> Markup:
    """Put the field's label before each line of a summary whose message does not say it itself.

    Args:
        page: HTML, with marks such as ``<!--field:from-->`` before messages.

    Returns:
        The same without marks.
    """
    if "<!--field:" not in page:
        return Markup(page)  # noqa: S704 - what templates made, escaped there
    labels: dict[str, str] = {}
    for name, words in _LABEL.findall(page):
        labels.setdefault(name, " ".join(re.sub(r"<[^>]*>", "", words).split()))

    def named(mark: re.Match[str]) -> str:
        label, message = labels.get(mark[1], ""), mark[2]
        says_it = re.search(rf"\b{re.escape(label)}\b", message, re.IGNORECASE)
        return message if not label or says_it else f"{label.rstrip(':')}: {message}"

    return Markup(_MARK.sub(named, page))  # noqa: S704 - as above
