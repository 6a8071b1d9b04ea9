"""The root command: which command is where, read only when it is asked for."""

from __future__ import annotations

import ast
from dataclasses import replace
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import click

from clubplanner.commands.base.context import Context
from clubplanner.commands.base.output import tells_faults
from clubplanner.config import config_from_environment
from clubplanner.errors import RefusedError
from clubplanner.logs import at_work_for, set_up_logs

WHERE = {
    "addresses": "addresses.links:addresses",
    "ahead": "season.ahead:ahead",
    "asks": "giving.asks:asks",
    "backup": "records.backups:backup",
    "busy": "calendars.busy:busy",
    "changes": "journal.changes:changes",
    "closures": "evening.closures:closures",
    "club": "records.folder:club",
    "deliver": "mails.mails:deliver_mails",
    "demo": "serving.serving:demo",
    "fairness": "season.fairness:fairness",
    "feed": "setup.club:feed",
    "fit": "coach.fit:fit",
    "grass": "season.wear:grass",
    "grounds": "setup.grounds:grounds",
    "hires": "hires.hires:hires",
    "init": "setup.club:init",
    "light": "season.light:light",
    "load": "setup.club:load",
    "mails": "mails.mails:list_mails",
    "move-records": "records.moving:move",
    "matches": "evening.matches:matches",
    "reports": "reports.reports:reports",
    "restore": "records.backups:restore",
    "running": "serving.running:running",
    "secretary": "setup.club:secretary",
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

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write every command's name and what it does, without importing a single one."""
        names = self.list_commands(ctx)
        limit = formatter.width - 6 - max(map(len, names))
        with formatter.section("Commands"):
            formatter.write_dl(
                [(n, click.Command(n, help=_docstring(n)).get_short_help_str(limit)) for n in names]
            )


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
