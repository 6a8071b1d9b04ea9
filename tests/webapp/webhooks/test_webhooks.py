"""Webhooks on the secretary's pages."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.services.webhooks.sending import Answer, Fate
from clubplanner.store.tables.webhook_tables import WebhookRow
from clubplanner.webapp.webhooks import webhooks
from tests.builders import NOW
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE, ONE = "/desk/webhooks", "/desk/webhooks/1"
FIRST_PAGE = "/desk/evening"
URL = "https://site.example/hook"


def make(desk: FlaskClient) -> str:
    """Make a webhook by the form; return the page that shows its secret."""
    return send(desk, PAGE, PAGE, name="Our website", url=URL)


def test_one_is_made_tried_ended_and_let_go_on(
    desk: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The secret is shown once; the address never."""
    assert "whsec_" in make(desk)
    answers = [
        Answer(Fate.TAKEN, "", 204),
        Answer(Fate.LATER, "The computer is too slow to answer."),
    ]
    monkeypatch.setattr(webhooks, "post_within", lambda _config: lambda _message: answers.pop(0))
    for path in (PAGE, ONE):
        page = desk.get(path).text
        assert "It is told what changes." in page
        assert "site.example" in page
        assert "/hook" not in page
        assert "whsec_" not in page
    assert "It arrived: the program answered 204." in send(desk, f"{ONE}/try", ONE)
    assert "too slow to answer" in send(desk, f"{ONE}/try", ONE)
    assert "Nothing more is sent to Our website." in send(desk, f"{ONE}/end", ONE)
    assert "Ended " in desk.get(ONE).text
    assert "is told again what changes" in send(desk, f"{ONE}/go-on", ONE)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"name": "", "url": URL}, "Enter what it is for."),
        ({"name": "Site", "url": ""}, "Enter where messages go."),
        ({"name": "Site", "url": "http://site.example/"}, "starts with https://"),
        ({"name": "Site", "url": "https://a:b@site.example/"}, "name or password"),
    ],
)
def test_what_is_typed_wrong_is_told_and_kept(
    desk: FlaskClient, values: dict[str, str], words: str
) -> None:
    """Each at its field, and the list shows no new one."""
    answer = desk.post(PAGE, data={"csrf_token": token(desk, PAGE), **values})
    assert answer.status_code == 422
    assert words in answer.text
    for value in filter(None, values.values()):
        assert f'value="{value}"' in answer.text


def test_the_first_page_says_that_one_has_ended_by_itself(
    desk: FlaskClient, club_store: Store
) -> None:
    """Until it goes on or is left ended."""
    make(desk)
    note = "takes nothing any more"
    assert note not in desk.get(FIRST_PAGE).text
    with club_store.write() as session:
        row = session.get_one(WebhookRow, 1)
        row.ended_at, row.words = NOW, "The computer does not answer as it should."
    assert note in desk.get(FIRST_PAGE).text
    page = desk.get(ONE).text
    assert "does not answer as it should" in page
    assert "Leave it ended" in page
    send(desk, f"{ONE}/end", ONE)
    assert note not in desk.get(FIRST_PAGE).text
    assert desk.get(f"{PAGE}/9").status_code == 404


def test_a_secret_is_exchanged_and_shown_once(desk: FlaskClient) -> None:
    """With until when the one before counts; both are told where the webhook is."""
    first = re.findall(r"whsec_[^<]+", make(desk))
    page = send(desk, f"{ONE}/exchange", ONE)
    other = re.findall(r"whsec_[^<]+", page)
    assert len(other) == 1
    assert other != first
    assert "with the secret before, too" in page
    shown = desk.get(ONE).text
    assert "signed with the one before, too" in shown
    assert "whsec_" not in shown
