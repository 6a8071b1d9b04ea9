"""The command that lets a shell complete what is typed."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from clubplanner.commands.base.output import tells_faults

SHELLS = ("bash", "zsh", "fish")
NAME = "clubplanner"
VARIABLE = "_CLUBPLANNER_COMPLETE"


@click.command()
@click.argument("shell", type=click.Choice(SHELLS))
@click.pass_context
@tells_faults
def completion(context: click.Context, shell: str) -> None:
    r"""Print what lets SHELL complete commands, options and files with the Tab key.

    \b
    bash, in ~/.bashrc:   eval "$(clubplanner completion bash)"
    zsh, in ~/.zshrc:     eval "$(clubplanner completion zsh)"
    fish:   clubplanner completion fish > ~/.config/fish/completions/clubplanner.fish
    """
    found = get_completion_class(shell)
    if found is None:
        raise LookupError(f"click completes nothing for {shell}")
    of_shell = found(context.find_root().command, {}, NAME, VARIABLE)
    # `source` would ask the shell for its version first, and it need not be installed here
    click.echo(of_shell.source_template % of_shell.source_vars())
