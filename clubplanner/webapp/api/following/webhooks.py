"""Webhooks, for the office: made, listed, tried, ended, let go on, and their secrets exchanged."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import Field

from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError, RefusedError
from clubplanner.services.calendars.fetching import URL_LIMIT
from clubplanner.services.webhooks.delivering import post_within
from clubplanner.services.webhooks.sending import Fate
from clubplanner.services.webhooks.webhooks import (
    add_webhook,
    end_webhook,
    exchange_secret,
    go_on_with_webhook,
    list_webhooks,
    refuse_address,
    trial_in_words,
    try_webhook,
)
from clubplanner.services.webhooks.webhooks import see_webhook as see_whole_webhook
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import NO_CONTROLS, Name, Value, example
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from clubplanner.services.webhooks.webhooks import WebhookLine, WebhookMade

_LINE = {
    "number": 1,
    "name": "Our website",
    "host": "site.example.org",
    "state": "It is told what changes.",
    "is_going_on": True,
    "needs_a_hand": False,
}
_MADE = {"number": 1, "name": "Our website", "secret": "whsec_abc", "former_until": ""}
_MESSAGE = {"message_id": "msg_1a2b", "made": "25 Nov, 12:00", "tries": 1, "state": "on its way"}


class WebhookListed(Value):
    """Another program that is told what changes; its address, which may be secret, is not."""

    model_config = example(**_LINE)

    number: int
    name: str = Field(description="What for.")
    host: str = Field(description="Whom it tells.")
    state: str = Field(description="How it goes, in words.")
    is_going_on: bool
    needs_a_hand: bool = Field(description="Whether it ended by itself and nobody has seen to it.")


class WebhookMessage(Value):
    """A message of a webhook."""

    model_config = example(**_MESSAGE)

    message_id: str
    made: str = Field(description="When, in words.")
    tries: int
    state: str = Field(description="What became of it, in words.")


class WebhookValue(WebhookListed):
    """A webhook with its newest messages, newest first."""

    model_config = example(**_LINE, messages=[_MESSAGE], former_until="")

    messages: list[WebhookMessage]
    former_until: str = Field(
        description="Until when messages are signed with a secret before, too, in words; blank "
        "where it was not exchanged lately."
    )


class Webhooks(Value):
    """All webhooks, those that go on first, then the newest."""

    model_config = example(webhooks=[_LINE])

    webhooks: list[WebhookListed]


class WebhookWritten(Value):
    """Whom to tell what changes."""

    model_config = example(name="Our website", url="https://site.example.org/hook")

    name: Name = Field(description="What it is for.")
    url: str = Field(min_length=1, max_length=URL_LIMIT, pattern=NO_CONTROLS)


class WebhookMadeValue(Value):
    """A webhook that was made; its secret is shown here and never again."""

    model_config = example(**_MADE)

    number: int
    name: str
    secret: str = Field(description="With what its messages are signed.")
    former_until: str = Field(
        description="Until when they are signed with the secret before, too; blank without one."
    )


class TrialValue(Value):
    """What became of a message that says nothing."""

    model_config = example(arrived=True, status=204, words="It arrived.")

    arrived: bool
    status: int | None = Field(description="What the other program answered; none for nothing.")
    words: str


@operation("GET", "/webhooks", answer=Webhooks)
@for_secretary
def list_hooks() -> Webhooks:
    """List the webhooks, those that ended too."""
    lines = list_webhooks(app_state().store)
    return Webhooks(webhooks=[WebhookListed(**_members(one)) for one in lines])


@operation("GET", "/webhooks/<int:number>", answer=WebhookValue)
@for_secretary
def see_hook(number: int) -> WebhookValue:
    """Show a webhook with its newest messages."""
    state = app_state()
    shown = see_whole_webhook(state.store, number, state.clock())
    messages = [
        WebhookMessage(message_id=m.message_id, made=m.made, tries=m.tries, state=m.state)
        for m in shown.messages
    ]
    return WebhookValue(**_members(shown.line), messages=messages, former_until=shown.former_until)


@operation(
    "POST",
    "/webhooks",
    answer=WebhookMadeValue,
    takes=WebhookWritten,
    shows_secret=True,
)
@for_secretary
def add_hook(body: WebhookWritten) -> WebhookMadeValue:
    """Let another program be told of every change from now on; its secret is shown here alone."""
    state = app_state()
    try:
        refuse_address(body.url.strip(), state.config)
    except RefusedError as fault:
        raise FaultyInputError([Problem("/url", "address", str(fault))]) from fault
    made = add_webhook(state.store, body.name, body.url, state.config, state.clock())
    return _made(made)


@operation("POST", "/webhooks/<int:number>/try", answer=TrialValue, is_once=False, of=see_hook)
@for_secretary
def try_hook(number: int) -> TrialValue:
    """Send a message that says nothing, and tell what became of it."""
    state = app_state()
    answer = try_webhook(state.store, number, state.clock(), post_within(state.config))
    arrived = answer.fate is Fate.TAKEN
    return TrialValue(arrived=arrived, status=answer.status, words=trial_in_words(answer))


@operation(
    "POST", "/webhooks/<int:number>/exchange-secret", answer=WebhookMadeValue, shows_secret=True
)
@for_secretary
def exchange_hook_secret(number: int) -> WebhookMadeValue:
    """Let messages be signed with another secret, which is shown here alone.

    For a day they bear a signature by the secret before, too (`webhook-signature` has both).
    """
    state = app_state()
    return _made(exchange_secret(state.store, number, state.clock()))


@operation("POST", "/webhooks/<int:number>/withdraw", answer=WebhookValue, of=see_hook)
@for_secretary
def withdraw_hook(number: int) -> Done:
    """Tell another program nothing more; of one that ended by itself, that it was seen to."""
    state = app_state()
    end_webhook(state.store, number, state.clock())
    return done(see_hook, number=number)


@operation("POST", "/webhooks/<int:number>/resume", answer=WebhookValue, of=see_hook)
@for_secretary
def resume_hook(number: int) -> Done:
    """Let a webhook that ended go on from where it stopped."""
    state = app_state()
    go_on_with_webhook(state.store, number, state.clock())
    return done(see_hook, number=number)


def _made(made: WebhookMade) -> WebhookMadeValue:
    return WebhookMadeValue(
        number=made.number, name=made.name, secret=made.secret, former_until=made.former_until
    )


def _members(line: WebhookLine) -> dict[str, Any]:
    return {
        "number": line.number,
        "name": line.name,
        "host": line.host,
        "state": line.state,
        "is_going_on": line.is_going_on,
        "needs_a_hand": line.needs_a_hand,
    }
