"""The progress bar of a running share-out."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from clubplanner.services.share_out.anew.anew import progress_in_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.sharing.values.outcome import Progress as SharingProgress


@contextmanager
def progress_bar(title: str) -> Iterator[Callable[[SharingProgress], None]]:
    """Show a bar on the error stream while the block runs; silent where nobody watches."""
    columns = (
        TextColumn(title),
        BarColumn(bar_width=24),
        TextColumn("{task.fields[words]}"),
        TimeElapsedColumn(),
    )
    console = Console(stderr=True)
    with Progress(*columns, console=console, disable=not console.is_terminal) as bar:
        task = bar.add_task(title, total=1.0, words="starting")

        def note(progress: SharingProgress) -> None:
            bar.update(task, completed=progress.fraction, words=progress_in_words(progress))

        yield note
        bar.update(task, completed=1.0, words="done")
