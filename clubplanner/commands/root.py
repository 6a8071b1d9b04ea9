"""The root command: which command is where, read only when it is asked for."""

from __future__ import annotations

import ast
import sys
from dataclasses import replace
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem

from clubplanner.commands.base.context import Context
from clubplanner.commands.base.earlier import words_of_today
from clubplanner.commands.base.output import tell_usage, tells_faults
from clubplanner.config import config_from_environment
from clubplanner.errors import RefusedError
from clubplanner.logs import at_work_for, set_up_logs

if TYPE_CHECKING:
    from collections.abc import Sequence

STOPPED = 130
"""Exit code of what a person broke off, as shells have it."""

WHERE = {
    "addresses": "addresses.addresses:addresses",
    "asks": "giving.asks:asks",
    "bookings": "evening.bookings:bookings",
    "calendars": "calendars.calendars:calendars",
    "changes": "journal.changes:changes",
    "closures": "evening.closures:closures",
    "club": "setup.club:club",
    "completion": "serving.completion:completion",
    "concerns": "season.concerns:concerns",
    "demo": "serving.serving:demo",
    "evenings": "evening.evenings:evenings",
    "fairness": "season.fairness:fairness",
    "fit": "coach.fit:fit",
    "grass": "season.grass:grass",
    "grounds": "setup.grounds:grounds",
    "hires": "hires.hires:hires",
    "init": "records.beginning:init",
    "light": "season.light:light",
    "mails": "mails.mails:mails",
    "matches": "evening.matches:matches",
    "people": "people.people:people",
    "proposals": "share_out.proposals:proposals",
    "records": "records.records:records",
    "reports": "reports.reports:reports",
    "running": "serving.running:running",
    "schemas": "serving.schemas:schemas",
    "serve": "serving.serving:serve",
    "share-out": "share_out.share_out:share_out",
    "squads": "setup.squads:squads",
    "statements": "money.statements:statements",
    "tariffs": "money.tariffs:tariffs",
    "tokens": "addresses.tokens:tokens",
    "webhooks": "webhooks.webhooks:webhooks",
    "worker": "serving.serving:work",
    "year": "season.year:year",
}
"""Module and name of each command. Pages and the optimiser take seconds to import, and a command
that needs neither does not wait for them."""


class LateGroup(click.Group):
    """A group whose commands are imported when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002
        """Return every command's name."""
        return sorted(WHERE)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Return a command by its name, None for none."""
        if cmd_name not in WHERE:
            return None
        module, name = WHERE[cmd_name].split(":")
        command = getattr(import_module(f"clubplanner.commands.{module}"), name)
        if not isinstance(command, click.Command):
            raise TypeError(f"{WHERE[cmd_name]} is no command")
        return command

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command as it was typed; what was mistyped is told in plain words."""
        typed = sys.argv[1:] if args is None else list(args)
        try:
            code: Any = super().main(typed, prog_name, complete_var, standalone_mode=False, **extra)
            if not standalone_mode:
                return code
        except click.UsageError as error:
            tell_usage(error, as_json="--json" in typed)
            sys.exit(error.exit_code)
        except click.Abort:
            click.echo("Stopped; nothing was kept.", err=True)
            sys.exit(STOPPED)
        sys.exit(code if isinstance(code, int) else 0)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[CompletionItem]:
        """Complete a command's name or an option without importing a single command."""
        names = [name for name in self.list_commands(ctx) if name.startswith(incomplete)]
        found = [CompletionItem(name, help=_short(name)) for name in names]
        return found + click.Command.shell_complete(self, ctx, incomplete)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command of the words that were typed, by their earlier names too."""
        words, note = words_of_today(args)
        if note and not ctx.resilient_parsing:
            click.echo(f"Note: {note}", err=True)
        return super().resolve_command(ctx, words)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write every command's name and what it does, without importing a single one."""
        names = self.list_commands(ctx)
        limit = formatter.width - 6 - max(map(len, names))
        with formatter.section("Commands"):
            formatter.write_dl([(n, _short(n, limit)) for n in names])


def _short(name: str, limit: int = 60) -> str:
    return click.Command(name, help=_docstring(name)).get_short_help_str(limit)


def _docstring(name: str) -> str:
    """Read what a command says of itself from its module's source: importing takes seconds."""
    module, function = WHERE[name].split(":")
    spec = find_spec(f"clubplanner.commands.{module}")
    source = Path(spec.origin).read_text(encoding="utf-8") if spec and spec.origin else ""
    found = (
        node
        for node in ast.parse(source).body
        if isinstance(node, ast.FunctionDef) and node.name == function
    )
    return next((ast.get_docstring(node) or "" for node in found), "")


@click.group(cls=LateGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="clubplanner", prog_name="clubplanner")
@click.option(
    "--database",
    metavar="ADDRESS",
    help="Where the club's records are, such as sqlite:///club.sqlite or "
    "postgresql://club@db.example.org/pitches. "
    "Else CLUBPLANNER_DATABASE, else clubplanner.sqlite in this folder.",
)
@click.option(
    "--clubs",
    "clubs_file",
    metavar="FILE",
    help="The list of the clubs of this server, in place of one database; see “clubplanner "
    "running”. Else CLUBPLANNER_CLUBS.",
)
@click.option("--club", metavar="NAME", help="The club of the list that the command is about.")
@click.pass_context
@tells_faults
def main(
    context: click.Context, database: str | None, clubs_file: str | None, club: str | None
) -> None:
    """Share a club's pitches out among its squads, and show every coach their ground."""
    config = config_from_environment()
    set_up_logs(config)
    if database and (clubs_file or club):
        raise RefusedError(
            "Name one database with --database, or a club of a list with --clubs and --club."
        )
    config = replace(
        config,
        database=database or config.database,
        clubs_file="" if database else clubs_file or config.clubs_file,
    )
    if club and not config.clubs_file:
        raise RefusedError("Name the list of clubs, too, with --clubs or CLUBPLANNER_CLUBS.")
    if not config.clubs_file and config.database.rstrip("/") in ("sqlite:", "sqlite:///:memory:"):
        raise RefusedError(
            f"“{config.database}” names no file, so nothing would be kept; write an address like "
            "sqlite:///club.sqlite"
        )
    found = Context(config)
    if club:
        found = Context(found.open_clubs().choose(club).config)
        context.with_resource(at_work_for(club))
    context.obj = found
