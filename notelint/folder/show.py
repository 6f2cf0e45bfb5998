"""A run over a folder on a terminal: what is being read, done, failed, left, time to go; and what it came to."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn
from rich.table import Table

from notelint.folder import FolderResult, Watcher
from notelint.folder.records import Job, Outcome, decoded, shown
from notelint.model import CAUTION
from notelint.writers.terminal import Trimmed, make_console
from notelint.writers.words import count_of, visible


@contextmanager
def watching(quiet: bool) -> Iterator[Watcher]:
    """Live progress on standard error where a person is watching; silence elsewhere."""
    if quiet or not sys.stderr.isatty():
        yield Watcher()
        return
    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=24),
        MofNCompleteColumn(),
        TextColumn("{task.fields[more]}"),
    )
    with Progress(*columns, console=Console(stderr=True, markup=False, highlight=False), transient=True) as bars:
        yield _Bars(bars)


class _Bars(Watcher):
    """One bar for the run and one for each set that is being read."""

    def __init__(self, bars: Progress) -> None:
        self._bars = bars
        self._run = bars.add_task("looking through the folder", total=None, more="")
        self._sets: dict[str, TaskID] = {}
        self._started = time.monotonic()
        self._total = self._read = self._reused = self._failed = 0

    def begins(self, sets: int, skipped: int) -> None:
        del skipped
        self._total = sets
        self._bars.update(self._run, description="plan sets", total=sets)

    def moved(self, job: Job, done: int, of: int, what: str) -> None:
        if job.name not in self._sets:
            self._sets[job.name] = self._bars.add_task(_short(job.name), total=of, more="")
        self._bars.update(self._sets[job.name], completed=done, total=of, more=visible(what)[:40])

    def finished(self, name: str, outcome: Outcome, *, reused: bool) -> None:
        if name in self._sets:
            self._bars.remove_task(self._sets.pop(name))
        self._reused += reused
        self._read += not reused
        self._failed += outcome.state != "read"
        self._bars.update(self._run, completed=self._read + self._reused, more=self._state())

    def again(self, sets: int) -> None:
        self._bars.update(self._run, description=f"{count_of(sets, 'set')} once more, alone")

    def _state(self) -> str:
        left = self._total - self._read - self._reused
        parts = [f"{self._failed} not read"] if self._failed else []
        parts += [f"{self._reused} read earlier"] if self._reused else []
        parts += [f"{left} left"]
        if self._read and left:
            parts.append(f"about {_duration(left * (time.monotonic() - self._started) / self._read)} to go")
        return ", ".join(parts)


def print_result(result: FolderResult) -> None:
    """The run in a few lines on standard output."""
    totals = result.totals
    console = make_console()
    console.print(
        f"{count_of(totals.sets, 'plan set')}: {totals.read} read, {totals.not_read} not read"
        + (f" ({result.reused} by an earlier run, unchanged)" if result.reused else "")
    )
    console.print(f"{count_of(totals.questions, 'question')} in {count_of(totals.with_questions, 'set')}; "
                  f"{count_of(totals.sheets, 'sheet')}, {totals.unread} not checked")  # fmt: skip
    if common := totals.common(8):
        table = Table(box=None, pad_edge=False)
        for head in ("most frequent gaps", "sets", "questions"):
            table.add_column(head, justify="left" if head.startswith("most") else "right")
        for gap in common:
            table.add_row(gap.rule, str(gap.sets), str(gap.questions))
        console.print(Trimmed(table))
    for line in totals.reasons:
        console.print(f"not read: {visible(line)}")
    if totals.not_read > len(totals.reasons):
        console.print(f"not read: {totals.not_read - len(totals.reasons)} more; the summary names them")
    if result.found.skipped:
        console.print(f"{count_of(len(result.found.skipped), 'file')} skipped; the summary says why")
    for file in result.summaries:
        console.print(f"wrote {visible(str(file))}")
    console.print(CAUTION)


def _short(name: str) -> str:
    text = visible(shown(decoded(name)))
    return text if len(text) <= 36 else f"...{text[-33:]}"


def _duration(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60:02d} min"
