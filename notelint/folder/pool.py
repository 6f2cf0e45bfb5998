"""Workers on this machine. One that dies costs the set it was reading and is replaced."""

from __future__ import annotations

import json
import os
import queue
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import IO, NamedTuple

from pydantic import ValidationError

import notelint
from notelint import guard
from notelint.errors import NotelintError, ReadingFailed
from notelint.folder import host
from notelint.folder.host import outcome_of
from notelint.folder.records import Job, Outcome, Setup, decoded, shown
from notelint.frames import Frame, Inbox, Rubbish, send

_GRACE = 30.0  # seconds by which a worker may be later than its own clock says


class Moved(NamedTuple):
    """A set is being read: sheets done, of how many, and what is being done."""

    job: Job
    done: int
    of: int
    what: str


class Finished(NamedTuple):
    """A set is done with."""

    job: Job
    outcome: Outcome


Event = Moved | Finished


class Host:
    """One worker process, used by one thread."""

    def __init__(self, setup: Setup) -> None:
        """Starts it; raises what it says of rules and hardware list, or ReadingFailed where it does not come up."""
        self._setup = setup
        self._errors: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - closed with the worker
        command = [sys.executable, "-P", "-m", "notelint.folder.host"]  # -P: nothing is imported from the folder we stand in
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=self._errors, env=_environment(), start_new_session=True
        )
        assert self._process.stdin and self._process.stdout
        self._calls, answers = self._process.stdin.fileno(), self._process.stdout.fileno()
        self._inbox = Inbox(answers, host.READY + host.REFUSED + host.PROGRESS + host.DONE, host.MOST_BYTES)
        try:
            self._wait_ready()
        except BaseException:
            self.close()
            raise

    @property
    def pid(self) -> int:
        """The worker's process number."""
        return self._process.pid

    def _wait_ready(self) -> None:
        frame: Frame | None = None
        with suppress(OSError, Rubbish):
            send(self._calls, host.SETUP, self._setup.model_dump_json().encode())
            frame = self._inbox.next()
        if frame is not None and frame.kind == host.REFUSED:
            raise guard.rebuilt(frame.body)
        if frame is None or frame.kind != host.READY:
            self._errors.seek(0)
            said = self._errors.read()[-2000:].decode("utf-8", "replace").strip().splitlines()
            raise ReadingFailed(f"a worker does not start ({said[-1][:200] if said else 'it gave no reason'})", "killed")

    def run(self, job: Job, tell: guard.Tell) -> Outcome:
        """Has the worker read a set. A worker that dies, hangs or talks nonsense is ended and its set has failed."""
        clock = threading.Timer(self._setup.limits.minutes * 60 + _GRACE, self._process.kill)
        clock.daemon = True
        clock.start()
        kind = "killed"
        try:
            send(self._calls, host.JOB, job.model_dump_json().encode())
            while (frame := self._inbox.next()) is not None:
                if frame.kind == host.DONE:
                    return Outcome.model_validate_json(frame.body)
                done, of, what = json.loads(frame.body)
                tell(int(done), int(of), str(what))
        except OSError:
            pass
        except (Rubbish, ValidationError, ValueError, TypeError):
            kind = "rubbish"
        finally:
            clock.cancel()
        self.close()
        said = "its worker gave no usable answer" if kind == "rubbish" else "its worker was killed"
        return Outcome(state="failed", kind=kind, reason=f"{shown(decoded(job.path).name)}: {said}; start again")

    @property
    def alive(self) -> bool:
        """Whether it can take another set."""
        return self._process.poll() is None

    def kill(self) -> None:
        """Ends it from another thread: whoever waits for it sees it gone, and closes it."""
        self._process.kill()

    def close(self) -> None:
        """Ends it, and with it the process that reads a set."""
        self._process.kill()
        for pipe in (self._process.stdin, self._process.stdout, self._errors):
            with suppress(OSError):
                if pipe:
                    pipe.close()
        self._process.wait()


def run_jobs(jobs: Iterable[Job], setup: Setup, workers: int) -> Iterator[Event]:
    """Has the jobs done by that many workers, taking up jobs only as workers become free; gives what happens as it happens."""
    crew = _Crew(setup, workers)
    try:
        yield from crew.events(iter(jobs))
    finally:
        crew.close()


class _Crew:
    """Threads that each lead one worker. Jobs and the journal stay with the thread that asks for events."""

    def __init__(self, setup: Setup, workers: int) -> None:
        self._setup, self._workers = setup, workers
        self._jobs: queue.Queue[Job | None] = queue.Queue()
        self._said: queue.Queue[Event | NotelintError] = queue.Queue()
        self._hosts: list[Host] = []
        self._ending = False
        self._lock = threading.Lock()
        self._threads: list[threading.Thread] = []

    def events(self, jobs: Iterator[Job]) -> Iterator[Event]:
        """Hands out jobs, two more than there are workers, and passes on what comes back."""
        open_jobs, more = 0, True
        while more or open_jobs:
            while more and open_jobs < self._workers + 2:
                job = next(jobs, None)
                if job is None:
                    more = False
                    break
                self._jobs.put(job)
                open_jobs += 1
                if len(self._threads) < min(self._workers, open_jobs):
                    self._hire()
            if not open_jobs:
                return
            said = self._said.get()
            if isinstance(said, NotelintError):
                raise said
            open_jobs -= isinstance(said, Finished)
            yield said

    def _hire(self) -> None:
        thread = threading.Thread(target=self._lead, daemon=True)
        self._threads.append(thread)
        thread.start()

    def _lead(self) -> None:
        """Leads one worker: a new one whenever the last one died."""
        mine: Host | None = None
        try:
            while (job := self._jobs.get()) is not None and not self._ending:
                if mine is None or not mine.alive:
                    mine = self._started(job, first=mine is None)
                if mine is not None:
                    self._said.put(Finished(job, mine.run(job, self._teller(job))))
        except NotelintError as error:
            self._said.put(error)
        finally:
            if mine is not None:
                mine.close()

    def _started(self, job: Job, *, first: bool) -> Host | None:
        """A new worker; None, and the job failed, where one that replaces another does not come up."""
        try:
            started = Host(self._setup)
        except ReadingFailed as error:
            if first:
                raise
            self._said.put(Finished(job, outcome_of(error)))
            return None
        with self._lock:
            self._hosts = [one for one in self._hosts if one.alive] + [started]
            if self._ending:
                started.kill()
        return started

    def _teller(self, job: Job) -> guard.Tell:
        return lambda done, of, what: self._said.put(Moved(job, done, of, what))

    def close(self) -> None:
        """Ends all workers at once."""
        with self._lock:
            self._ending = True
            for one in self._hosts:
                one.kill()
        for _ in self._threads:
            self._jobs.put(None)
        for thread in self._threads:
            thread.join()


def _environment() -> dict[str, str]:
    """Ours, with this very notelint first on the path, and numeric libraries kept from starting threads of their own."""
    home = str(Path(notelint.__file__).resolve().parent.parent)
    path = os.pathsep.join(part for part in (home, os.environ.get("PYTHONPATH", "")) if part)
    return {**os.environ, "PYTHONPATH": path, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
