"""A progress bar on standard error, where a person looks at a terminal; silence elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from trainer.cli.context import Context

if TYPE_CHECKING:
    from trainer.application.files.importing import Work

FEWEST_ROWS = 2000
"""Fewer rows are read before a bar could be seen."""


@contextmanager
def watched_work(context: Context, title: str, rows: int) -> Iterator[Work]:
    """Work whose progress is drawn while the block runs."""
    from trainer.application.files.importing import IN_SILENCE, Work

    if rows < FEWEST_ROWS or context.json or not context.stderr.isatty():
        yield IN_SILENCE
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(file=context.stderr), transient=True) as bar:
        task = bar.add_task(title, total=rows)
        yield Work(progress=lambda done, total: bar.update(task, completed=done, total=total))
