"""Progress on a terminal for what takes longer than a moment; nothing where the output is piped or quiet was asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

from notelint.writers.words import visible

Report = Callable[[int, int, str], None]


@contextmanager
def progress_on(quiet: bool = False) -> Iterator[Report | None]:
    """A function (done, of, what) that moves a bar on standard error; None where no person is watching."""
    if quiet or not sys.stderr.isatty():
        yield None
        return
    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True, markup=False), transient=True) as bar:
        task = bar.add_task("reading", total=None)

        def report(done: int, of: int, what: str) -> None:
            bar.update(task, completed=done, total=of, description=visible(what)[:60])

        yield report
