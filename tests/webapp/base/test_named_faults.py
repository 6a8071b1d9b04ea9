"""Each line of a summary of faults says which field it is about."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.webapp.base.named_faults import name_faults
from tests.webapp.conftest import token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

PAGE = "/desk/evening"


def lines(page: str) -> list[str]:
    """Return the lines of a page's summary of faults, without tags."""
    summary = re.search(r'id="faults".*?</section>', page, re.DOTALL)
    assert summary is not None, page
    return [re.sub(r"<[^>]*>", "", one) for one in re.findall(r"<li>(.*?)</li>", summary[0])]


def test_the_same_words_at_two_fields_are_told_apart(desk: FlaskClient) -> None:
    """By the labels that stand at the fields; no mark is left."""
    sent = {"csrf_token": token(desk, PAGE), "from": "x", "to": "y", "date": "2026-11-25"}
    page = desk.post("/desk/bookings", data=sent).text
    told = lines(page)
    assert "From: Enter a time of day, like 17:30." in told
    assert "To: Enter a time of day, like 17:30." in told
    assert "<!--field" not in page


def test_a_message_that_names_its_field_stays_as_it_is() -> None:
    """Whatever is in a label besides words; a field without a label is not named."""
    page = (
        "<li><!--field:a-->Enter the date.</li><li><!--field:b-->Too long.</li>"
        "<li><!--field:c-->Too long.</li>"
        '<label for="field-a">Date</label><label for="field-b">Its <b>name</b>\n</label>'
    )
    told = re.findall(r"<li>(.*?)</li>", name_faults(page))
    assert told == ["Enter the date.", "Its name: Too long.", "Too long."]


def test_midnight_is_one_that_a_field_for_times_takes(desk: FlaskClient) -> None:
    """A field of that kind shows nothing for 24:00 (HTML, valid time string)."""
    sent = {"csrf_token": token(desk, PAGE), "from": "23:00", "to": "24:00", "date": "2026-11-25"}
    page = desk.post("/desk/bookings", data=sent).text
    assert re.search(r'name="to" type="time" value="00:00"', page)
