"""How commands print addresses: those under which people reach the pages, with what to know."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clubplanner.commands.base.output import json_text
from clubplanner.services.addresses.public_address import last_served, settle_address
from clubplanner.services.addresses.reach import caution_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.commands.base.context import Context
    from clubplanner.store.engine import Store


def cautions_about(context: Context, store: Store) -> list[str]:
    """Say what to know before an address is copied; nothing where it simply works."""
    cautions = []
    settled = settle_address(context.config, store)
    if not context.config.public_address and not last_served(store):
        cautions.append(
            f"The pages have not been served yet: {settled.public_address} holds if “clubplanner "
            "serve” is started with its usual port. Serve first to be certain."
        )
    caution = caution_of(settled.public_address)
    if caution is not None:
        cautions.append(str(caution))
    return cautions


def say_addresses(
    words: str, value: Mapping[str, object], cautions: list[str], *, as_json: bool
) -> None:
    """Print addresses for a person, cautions first and apart from them, or both as JSON.

    Cautions go to standard error, so that what is piped on is addresses alone; in JSON they are
    a list under "cautions".
    """
    if as_json:
        listed = {**value, "cautions": cautions}
        click.echo(json_text(listed))
        return
    tell_cautions(cautions)
    click.echo(words)


def tell_cautions(cautions: list[str]) -> None:
    """Print cautions to standard error."""
    for caution in cautions:
        click.echo(f"Note: {caution}", err=True)
