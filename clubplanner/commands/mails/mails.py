"""Commands about mails: deliver what is due (notices to phones, too), list what went out."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from clubplanner.commands.base import present
from clubplanner.commands.base.output import json_option, say, tells_faults
from clubplanner.services.addresses.public_address import settle_address
from clubplanner.services.mails.mails_page import see_mails
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.pushes.delivering import deliver_pushes
from clubplanner.services.webhooks.delivering import deliver_webhooks

if TYPE_CHECKING:
    from clubplanner.commands.base.context import Context


@click.group()
def mails() -> None:
    """Mails about changes, and notices to phones."""


@mails.command(name="deliver")
@click.option(
    "--at-once",
    is_flag=True,
    help="Do not wait until nothing is being changed, or a server that refused is due again.",
)
@json_option
@click.pass_obj
@tells_faults
def deliver_mails(context: Context, at_once: bool, as_json: bool) -> None:
    """Mail what is due, once, tell phones and webhooks; “serve” does it by itself.

    Without a mail server (CLUBPLANNER_SMTP_HOST, CLUBPLANNER_MAIL_FROM) mails are made and kept,
    but not sent.
    """
    store = context.open()
    config = settle_address(context.config, store)
    told = deliver_pushes(store, config, present.now, at_once=at_once)
    programs = deliver_webhooks(store, config, present.now, at_once=at_once)
    done = deliver(store, config, present.now, at_once=at_once)
    words = (
        f"{done.made} mails made, {done.sent} sent, {done.waiting} to be tried again, "
        f"{done.unsent} not sent for want of a server, {done.ended} given up."
    )
    if told.made or told.sent or told.waiting or told.ended:
        words += (
            f"\n{told.made} notices to phones made, {told.sent} sent, {told.waiting} to be tried "
            f"again, {told.ended} given up."
        )
    if programs.taken or programs.waiting or programs.ended:
        words += (
            f"\n{programs.taken} messages taken by webhooks, {programs.waiting} to be tried again, "
            f"{programs.ended} webhooks ended."
        )
    value = {**asdict(done), "phones": asdict(told), "webhooks": asdict(programs)}
    say(words, value, as_json=as_json)


@mails.command(name="list")
@json_option
@click.pass_obj
@tells_faults
def list_mails(context: Context, as_json: bool) -> None:
    """List the newest mails, and what no mail has told yet."""
    page = see_mails(context.open(), context.config, present.now())
    words = [] if page.paused is None else [f"No mail goes out. {page.paused.why}"]
    words += [
        f"{squad.name}: {squad.wanted} about to be mailed, {squad.calendar_only} by calendar alone"
        for squad in page.waiting
    ]
    words += [f"{m.number}  {m.made}  {m.to}, {m.about}. {m.state}" for m in page.mails]
    say("\n".join(words) or "No mails yet.", asdict(page), as_json=as_json)
