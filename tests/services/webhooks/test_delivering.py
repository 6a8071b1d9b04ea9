"""Other programs are told of every change, in order, at least once, until nobody listens."""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
from contextlib import closing
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.journal.since import present_mark, read_since
from clubplanner.services.keeping.erasing import erase
from clubplanner.services.keeping.pruning import prune
from clubplanner.services.keeping.subjects import Subject
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key, set_password
from clubplanner.services.rows.journal.journal_eras import begin_era
from clubplanner.services.webhooks.delivering import (
    LONGEST_FAILURE,
    WebhookRound,
    deliver_webhooks,
)
from clubplanner.services.webhooks.sending import Answer, Fate, Message
from clubplanner.services.webhooks.webhooks import (
    MOST_FORMER,
    MOST_WEBHOOKS,
    OVERLAP,
    WebhookMade,
    add_webhook,
    end_webhook,
    exchange_secret,
    go_on_with_webhook,
    has_ended_webhooks,
    list_webhooks,
    see_webhook,
    trial_in_words,
    try_webhook,
)
from clubplanner.store.engine import open_store
from clubplanner.store.tables.knowing_tables import HintRow
from clubplanner.store.tables.webhook_tables import WebhookSecretRow
from tests.builders import NOW
from tests.council import KIM, as_secretary, load_council
from tests.records import address_of, open_records, place_of
from tests.small_club import LOW, book

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store
    from tests.stores import Filled

CONFIG = Config("", "https://pitches.example", 0)
URL = "https://site.example/hook"
AREAS = ("third-1", "third-2", "third-3")
TAKEN = Answer(Fate.TAKEN, "", 204)
DOWN = Answer(Fate.LATER, "The computer does not answer as it should.")


@dataclass
class Program:
    """Another program: what it took, and what it answers.

    Attributes:
        answer: To whatever comes.
        came: What came, oldest first.
    """

    answer: Answer = TAKEN
    came: list[Message] = field(default_factory=list)

    def post(self, message: Message) -> Answer:
        """Take a message."""
        self.came.append(message)
        return self.answer

    def told(self) -> list[dict[str, Any]]:
        """Return what it was told, every message's happenings one after the other."""
        return [one for m in self.came for one in json.loads(m.body)["data"].get("happenings", ())]

    def ids(self) -> list[str]:
        """Return the numbers of the messages that came."""
        return [message.headers["webhook-id"] for message in self.came]


def deliver(store: Store, program: Program, now: datetime = NOW) -> WebhookRound:
    """Let the worker make a round."""
    return deliver_webhooks(store, CONFIG, lambda: now, post=program.post)


@pytest.fixture
def made(small: Store) -> WebhookMade:
    """Make a webhook of the small club."""
    return add_webhook(small, " our  website ", URL, CONFIG, NOW)


@pytest.fixture
def program() -> Program:
    """Give another program."""
    return Program()


def verified(message: Message, secret: str) -> bool:
    """Tell whether a message is signed as the standard has it, by plain arithmetic of our own."""
    key = base64.b64decode(secret.removeprefix("whsec_"))
    text = f"{message.headers['webhook-id']}.{message.headers['webhook-timestamp']}."
    digest = hmac.digest(key, text.encode() + message.body, hashlib.sha256)
    signature = f"v1,{base64.b64encode(digest).decode()}"
    return signature in message.headers["webhook-signature"].split(" ")


def test_what_is_changed_is_told_and_signed(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """Making the webhook itself, then each change; nothing twice while all is taken."""
    for area in AREAS:
        book(small, "Choir", area)
    assert deliver(small, program).taken == 1
    assert deliver(small, program) == WebhookRound()
    (message,) = program.came
    body = json.loads(message.body)
    assert message.url == URL
    assert verified(message, made.secret)
    assert body["type"] == "journal.changed"
    assert [one["kind"] for one in program.told()] == ["record", *["booking"] * 3]
    assert read_since(small, body["data"]["mark"]).happenings == ()
    book(small, pitch_key=LOW, area_key="half-1")
    deliver(small, program)
    assert len(program.came) == 2
    assert len(program.told()) == 5


def test_a_large_change_comes_in_several_messages_in_order(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """Each with its own number; together they are what a program that follows reads."""
    mark = present_mark(small, NOW)
    for week in range(40):
        for area in AREAS:
            book(small, "Choir", area, day=(NOW + timedelta(weeks=week)).date())
    assert deliver(small, program).taken == 3
    assert len(set(program.ids())) == 3
    assert [one["number"] for one in program.told() if one["kind"] == "booking"] == [
        one.number for one in read_since(small, mark, count=500).happenings
    ]


def test_what_is_not_taken_is_tried_again_after_growing_pauses(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """With the same number and the same words; what has happened since comes after it."""
    program.answer = DOWN
    deliver(small, program)
    tries = []
    at = NOW
    for _unused in range(60 * 4):
        at += timedelta(minutes=1)
        if deliver(small, program, at).waiting:
            tries.append(round((at - NOW).total_seconds() / 60))
    assert tries == [2, 6, 14, 30, 62, 122, 182]
    book(small)
    program.answer = TAKEN
    assert deliver(small, program, at + timedelta(hours=1)).taken == 2
    assert len(set(program.ids())) == 2
    first = program.came[:-1]
    assert {message.body for message in first} == {first[0].body}
    assert len({message.headers["webhook-timestamp"] for message in first}) == len(first)
    assert all(verified(message, made.secret) for message in program.came)


def test_who_asks_us_to_wait_is_given_the_time(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """No sooner than asked (RFC 9110, section 10.2.3)."""
    program.answer = Answer(Fate.LATER, "busy", 503, timedelta(minutes=30))
    deliver(small, program)
    assert deliver(small, program, NOW + timedelta(minutes=29)) == WebhookRound()
    assert deliver(small, program, NOW + timedelta(minutes=30)).waiting == 1


def test_after_three_days_it_ends_and_the_secretary_is_told(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """By mail, by the list of changes and on the first page; it goes on from where it stopped."""
    key = create_secretary_key(small, NOW)
    set_password(
        small, key, "Kim Ashby", "kim@alderby.example", "four words of a secretary", "", NOW
    )
    program.answer = DOWN
    deliver(small, program)
    last = NOW + LONGEST_FAILURE
    assert deliver(small, program, last - timedelta(minutes=1)).ended == 0
    assert not has_ended_webhooks(small)
    assert deliver(small, program, last + timedelta(hours=1)).ended == 1
    assert has_ended_webhooks(small)
    assert "ended by itself" in list_changes(small, last)[0].words
    with small.read() as session:
        (hint,) = session.scalars(select(HintRow))
    assert (hint.address, hint.path) == ("kim@alderby.example", f"/desk/webhooks/{made.number}")
    assert "does not answer" in hint.text
    book(small)
    assert deliver(small, program, last + timedelta(days=9)) == WebhookRound()
    number = program.ids()[-1]
    go_on_with_webhook(small, made.number, last + timedelta(days=9))
    assert not has_ended_webhooks(small)
    program.answer = TAKEN
    assert deliver(small, program, last + timedelta(days=9)).taken == 2
    assert number in program.ids()
    assert len([one for one in program.told() if one["kind"] == "booking"]) == 1
    with small.read() as session:
        assert session.scalars(select(HintRow)).all() == []


def test_who_wants_no_more_is_told_no_more(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """410 ends it at once; to leave it ended is to have seen to it."""
    program.answer = Answer(Fate.GONE, "It wants no more.", 410)
    assert deliver(small, program).ended == 1
    assert [line.needs_a_hand for line in list_webhooks(small)] == [True]
    end_webhook(small, made.number, NOW)
    assert not has_ended_webhooks(small)
    assert [line.is_going_on for line in list_webhooks(small)] == [False]


def test_one_that_does_not_answer_holds_no_other_up(small: Store, made: WebhookMade) -> None:
    """Each has a message in turn."""
    other = add_webhook(small, "the screen", "https://screen.example/", CONFIG, NOW)
    came: list[str] = []

    def post(message: Message) -> Answer:
        came.append(message.url)
        return TAKEN if "screen" in message.url else DOWN

    done = deliver_webhooks(small, CONFIG, lambda: NOW, post=post)
    assert (done.taken, done.waiting) == (1, 1)
    book(small)
    assert deliver_webhooks(small, CONFIG, lambda: NOW, post=post).taken == 1
    assert came == [URL, *["https://screen.example/"] * 2]
    assert other.secret != made.secret


@pytest.mark.files
def test_nobody_is_told_what_the_disk_may_lose(
    small: Store, made: WebhookMade, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever changed it may still wait for the disk; what is told cannot be called back."""
    book(small)
    order: list[str] = []
    monkeypatch.setattr("clubplanner.store.disk.os.fsync", lambda _file: order.append("disk"))

    def post(_message: Message) -> Answer:
        order.append("told")
        return TAKEN

    with closing(open_store(address_of(place_of(small)))) as worker:
        assert deliver_webhooks(worker, CONFIG, lambda: NOW, post=post).taken == 1
    assert order[0] == "disk"
    assert "told" in order
    assert made.secret


def test_of_two_workers_one_hands_a_message_over(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """The other finds it taken, and has nothing to do."""
    other = open_records(place_of(small))
    beside: list[WebhookRound] = []

    def post(message: Message) -> Answer:
        if not beside:
            beside.append(deliver(other, program))
        return program.post(message)

    assert deliver_webhooks(small, CONFIG, lambda: NOW, post=post).taken == 1
    assert beside == [WebhookRound()]
    assert len(program.came) == 1
    other.close()


def test_who_was_erased_before_a_try_is_not_in_it(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """What a message says is read at each try; that somebody was erased is told."""
    name = "Änne Weber-Lüttich"
    number = add_person(small, PersonDraft(name, Role.COACH, "", ()), NOW)
    program.answer = DOWN
    deliver(small, program)
    assert name in program.came[0].body.decode()
    erase(small, Subject(person=number), NOW)
    program.answer, program.came = TAKEN, []
    deliver(small, program, NOW + timedelta(minutes=5))
    assert name not in str(program.told())
    assert program.told()[-1]["kind"] == "erased"


def test_after_the_records_came_back_it_is_told_to_read_anew(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """With the mark to follow from, which is good; then it goes on as before."""
    deliver(small, program)
    with small.write() as session:
        begin_era(session, 0, NOW)
    program.came.clear()
    deliver(small, program)
    (message,) = program.came
    body = json.loads(message.body)
    assert body["type"] == "journal.begun_anew"
    assert read_since(small, body["data"]["mark"]).happenings == ()
    book(small)
    deliver(small, program)
    assert [one["kind"] for one in program.told()] == ["booking"]


def test_a_trial_says_nothing_and_tells_what_became_of_it(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """Signed like any other, also to one that has ended."""
    end_webhook(small, made.number, NOW)
    answer = try_webhook(small, made.number, NOW, program.post)
    assert trial_in_words(answer) == "It arrived: the program answered 204."
    (message,) = program.came
    assert json.loads(message.body)["type"] == "webhook.trial"
    assert verified(message, made.secret)
    program.answer = DOWN
    words = trial_in_words(try_webhook(small, made.number, NOW, program.post))
    assert words == "It did not arrive. The computer does not answer as it should."


def test_it_is_listed_with_what_became_of_messages(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """Neither its address nor its secret is."""
    program.answer = DOWN
    deliver(small, program)
    page = see_webhook(small, made.number, NOW)
    assert (page.line.name, page.line.host) == ("our website", "site.example")
    assert "Nothing has been taken since" in page.line.state
    assert [one.tries for one in page.messages] == [1]
    assert "does not answer" in page.messages[0].state
    assert "/hook" not in str(page)
    assert made.secret not in repr(made)


def test_ending_one_is_taken_back_like_any_change(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """And nothing of what happened meanwhile is left out."""
    deliver(small, program)
    end_webhook(small, made.number, NOW)
    book(small)
    assert deliver(small, program) == WebhookRound()
    ended = next(line for line in list_changes(small, NOW) if "ended the webhook" in line.words)
    assert ended.obstacles == ()
    undo_change(small, ended.number, NOW)
    deliver(small, program)
    assert [one["kind"] for one in program.told()] == ["record", "record", "booking", "record"]


@pytest.mark.parametrize(("name", "words"), [("", "what it is for"), ("x" * 81, "80 characters")])
def test_a_name_is_needed(small: Store, name: str, words: str) -> None:
    """So that it can be ended one day."""
    with pytest.raises(RefusedError, match=words):
        add_webhook(small, name, URL, CONFIG, NOW)


def test_there_are_bounds(small: Store, made: WebhookMade) -> None:
    """Twenty at once are enough; one that is not there is missing."""
    for number in range(MOST_WEBHOOKS - 1):
        add_webhook(small, f"number {number}", URL, CONFIG, NOW)
    with pytest.raises(RefusedError, match="end one first"):
        add_webhook(small, "one more", URL, CONFIG, NOW)
    for act in (end_webhook, go_on_with_webhook):
        with pytest.raises(MissingError):
            act(small, 99, NOW)


def test_a_clubs_secretary_makes_none(filled: Filled, program: Program) -> None:
    """Within a council's record it is the office's: it tells of every club."""
    store = filled(load_council)
    made = add_webhook(store, "the council", URL, CONFIG, NOW)
    own = as_secretary(store, KIM)
    with pytest.raises(RefusedError):
        add_webhook(own, "ours", URL, CONFIG, NOW)
    for act in (end_webhook, go_on_with_webhook):
        with pytest.raises(RefusedError):
            act(own, made.number, NOW)
    with pytest.raises(RefusedError):
        try_webhook(own, made.number, NOW, program.post)
    assert program.came == []


def test_an_exchanged_secret_counts_for_a_day_beside_the_new_one(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """Trials too; after that the new one alone, and the other is dropped from the records."""
    other = exchange_secret(small, made.number, NOW)
    assert other.secret != made.secret
    assert other.former_until == see_webhook(small, made.number, NOW).former_until != ""
    last = NOW + OVERLAP - timedelta(seconds=1)
    deliver(small, program, last)
    try_webhook(small, made.number, last, program.post)
    assert len(program.came) == 2
    for message in program.came:
        assert verified(message, made.secret)
        assert verified(message, other.secret)
    later = NOW + OVERLAP
    assert see_webhook(small, made.number, later).former_until == ""
    book(small, area_key="third-2")
    deliver(small, program, later)
    try_webhook(small, made.number, later, program.post)
    assert len(program.came) == 4
    for message in program.came[2:]:
        assert not verified(message, made.secret)
        assert verified(message, other.secret)
    prune(small, later)
    with small.read() as session:
        assert session.scalars(select(WebhookSecretRow)).all() == []


def test_a_secret_exchanged_again_at_once_cuts_nobody_off(
    small: Store, made: WebhookMade, program: Program
) -> None:
    """The program may still have the first; but not more than a few, and nobody's else."""
    chain = [made, *(exchange_secret(small, made.number, NOW) for _unused in range(MOST_FORMER))]
    with pytest.raises(RefusedError, match="within a day"):
        exchange_secret(small, made.number, NOW)
    try_webhook(small, made.number, NOW, program.post)
    assert all(verified(program.came[0], one.secret) for one in chain)
    exchange_secret(small, made.number, NOW + OVERLAP)
    with pytest.raises(MissingError):
        exchange_secret(small, 99, NOW)
