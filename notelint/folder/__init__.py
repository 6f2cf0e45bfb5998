"""A folder of plan sets: each read in a guarded process, what is done kept in a journal, a summary at the end."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from notelint.errors import BadOptions, NotelintError
from notelint.folder.find import Found, find
from notelint.folder.host import outcome_of
from notelint.folder.journal import Journal, journal_of
from notelint.folder.keys import digest_of, limits_key, options_key, set_key
from notelint.folder.names import out_folders
from notelint.folder.pool import Event, Moved, run_jobs
from notelint.folder.records import Job, Outcome, Setup, coded
from notelint.folder.totals import Totals
from notelint.guard import Limits
from notelint.writers import known
from notelint.writers.files import drop_drafts

__all__ = ["FolderOptions", "FolderResult", "Watcher", "run_folder"]

_TRIED_AGAIN = {"time", "memory", "died", "killed", "rubbish", "fault", "changed"}
_HELD = {"time", "memory", "died", "rubbish", "fault"}
"""Failures that would come again under the same limits; the others are tried again by the next run."""


@dataclass(frozen=True)
class FolderOptions:
    """What the user may say about a run over a folder."""

    formats: tuple[str, ...] = ()
    rules: Path | None = None
    hardware: Path | None = None
    workers: int | None = None  # as many as the machine has processors
    limits: Limits = field(default_factory=Limits)
    scheduler: str | None = None  # address of a cluster's scheduler
    shared_folder: bool = False  # the cluster's workers see folder and output folder under the same paths
    ocr: bool = True
    tasks: str = Setup().tasks


class Watcher:
    """Told what happens; this one keeps silent."""

    def begins(self, sets: int, skipped: int) -> None:
        """The folder has been looked through."""

    def moved(self, job: Job, done: int, of: int, what: str) -> None:
        """A set is being read."""

    def finished(self, name: str, outcome: Outcome, *, reused: bool) -> None:
        """A set is done with; `reused` tells that an earlier run read it."""

    def again(self, sets: int) -> None:
        """So many sets are tried once more, one by one."""


@dataclass(frozen=True)
class FolderResult:
    """What a run came to."""

    totals: Totals
    found: Found
    summaries: tuple[Path, ...]
    reused: int

    @property
    def exit_code(self) -> int:
        """0 nothing to ask, 1 questions, 3 a set could not be read."""
        return 3 if self.totals.not_read else 1 if self.totals.questions else 0


Runner = Callable[[Iterable[Job], Setup, int], Iterator[Event]]


def run_folder(folder: Path, out: Path, options: FolderOptions | None = None, *, watcher: Watcher | None = None) -> FolderResult:
    """Reads every plan set below `folder` and writes the outputs and a summary into `out`.

    Raises NotelintError for what concerns the whole run; a set that cannot be read costs no other and is named in the summary.
    """
    from notelint.folder.summary import write_summary

    options = options or FolderOptions()
    found = find(folder, out)
    if not found.sets:
        raise BadOptions(f"{folder}: holds no plan set; a plan set's name ends in .pdf")
    with journal_of(out) as journal:
        drop_drafts(out)  # of a run that was killed over its summary
        run = _Run(folder.resolve(), out.resolve(), found, options, journal, watcher or Watcher())
        run.go()
        totals = Totals(run.outcomes())
        return FolderResult(totals, found, write_summary(out, folder, run.outcomes, totals, found.skipped), run.reused)


class _Run:
    """One run: which sets are to be read, and what to do with what comes back."""

    def __init__(self, folder: Path, out: Path, found: Found, options: FolderOptions, journal: Journal, watcher: Watcher) -> None:
        self._folder, self._out, self._found, self._options = folder, out, found, options
        self._journal, self._watcher = journal, watcher
        self._setup = _setup(options)
        self._key = options_key(self._setup)
        self._folders = out_folders(found.sets)
        self._keys: dict[int, str] = {}  # of the jobs under way
        self._again: list[Job] = []
        self.reused = 0

    def go(self) -> None:
        """Reads what is to be read; what failed is tried once more, alone."""
        self._watcher.begins(len(self._found.sets), len(self._found.skipped))
        runner = _runner(self._options)
        for event in runner(self._jobs(), self._setup, self._options.workers or os.cpu_count() or 1):
            self._take(event, tries=1)
        if self._again:
            self._watcher.again(len(self._again))
        for event in runner(self._again, self._setup, 1):
            self._take(event, tries=2)

    def outcomes(self) -> Iterator[tuple[Path, Path, Outcome]]:
        """Each set's place, its output folder's place below the output folder, and its outcome, in order."""
        for place, out in zip(self._found.sets, self._folders, strict=True):
            outcome = self._journal.outcome(coded(place))
            yield place, out, outcome or Outcome(state="failed", kind="killed", reason=f"{place.name}: its account is lost; start again")

    def _jobs(self) -> Iterator[Job]:
        """The sets that no earlier run has read as they are now."""
        for number, (place, out) in enumerate(zip(self._found.sets, self._folders, strict=True)):
            name, path = coded(place), self._folder / place
            try:
                sha256 = digest_of(path)
                key = set_key(path, sha256, self._key)
            except (NotelintError, OSError) as error:
                self._keep(name, "", outcome_of(error) if isinstance(error, NotelintError) else _unseen(place, error))
                continue
            known = self._journal.outcome(name, (key, limits_key(key, self._setup)))
            if known and all((self._out / out / file).is_file() for file in known.files):
                self.reused += 1
                self._watcher.finished(name, known, reused=True)
                continue
            self._keys[number] = key
            yield Job(number=number, name=name, path=coded(path), out=coded(self._out / out), sha256=sha256)

    def _take(self, event: Event, tries: int) -> None:
        if isinstance(event, Moved):
            self._watcher.moved(event.job, event.done, event.of, event.what)
            return
        job, outcome = event
        if tries == 1 and outcome.kind in _TRIED_AGAIN:
            self._again.append(job)
            return
        key = self._keys.pop(job.number)
        if outcome.state == "failed":
            key = limits_key(key, self._setup) if outcome.kind in _HELD else ""
        self._keep(job.name, key, outcome.model_copy(update={"tries": tries}))

    def _keep(self, name: str, key: str, outcome: Outcome) -> None:
        self._journal.keep(name, key, outcome)
        self._watcher.finished(name, outcome, reused=False)


def _setup(options: FolderOptions) -> Setup:
    return Setup(
        rules=coded(options.rules.resolve()) if options.rules else None,
        hardware=coded(options.hardware.resolve()) if options.hardware else None,
        formats=known(options.formats),
        ocr=options.ocr,
        limits=options.limits,
        tasks=options.tasks,
    )


def _runner(options: FolderOptions) -> Runner:
    if options.scheduler is None:
        return run_jobs
    from notelint.folder.cluster import cluster_at

    return cluster_at(options.scheduler, shared=options.shared_folder)


def _unseen(place: Path, error: OSError) -> Outcome:
    return Outcome(state="refused", reason=f"{place.name}: cannot be read ({error.strerror or type(error).__name__})")
