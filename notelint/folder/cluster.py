"""The same work on a Dask cluster: each task has a guarded worker of its own on the machine it lands on.

Over the wire go a set's job and options as JSON and, unless the folder is shared, the bytes of the plan set, of its facts file, of the
log that holds earlier answers, of the office's rules and of the hardware list. Back come the account as JSON and the bytes of the
files written. Dask resubmits a task whose machine is lost, a few times at most; then the set has failed.
"""

from __future__ import annotations

import logging
import queue
import time
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any, NamedTuple

from pydantic import ValidationError

from notelint import __version__, guard
from notelint.errors import BadHardwareList, BadOptions, BadRules, NotelintError, ReadingFailed
from notelint.folder.host import outcome_of
from notelint.folder.pool import Event, Finished, Moved
from notelint.folder.records import Job, Outcome, Setup, coded, decoded, shown
from notelint.folder.remote import Answer, Parcel, read_on_worker
from notelint.loadpath.facts_file import facts_beside
from notelint.writers.files import make_folder, safe_name, write_whole

MOST_SENT = 200_000_000
"""Bytes of one plan set that are sent to a worker; larger ones need a shared folder."""
MOST_RULES = 20_000_000
CONNECTING = 10.0
"""Seconds in which the scheduler has to answer."""
PATIENCE = 120.0
"""Seconds for which a run waits without a single worker."""

Runner = Callable[[Iterable[Job], Setup, int], Iterator[Event]]


def cluster_at(address: str, *, shared: bool) -> Runner:
    """What runs jobs on the cluster of the scheduler at `address`. Raises BadOptions where the cluster extra is not installed."""
    try:
        import distributed  # noqa: F401
    except ImportError as error:
        raise BadOptions("--scheduler needs the cluster extra; install notelint[cluster]") from error

    def run(jobs: Iterable[Job], setup: Setup, workers: int) -> Iterator[Event]:
        with closing(_client(address)) as client:
            yield from _Run(client, setup, shared).events(iter(jobs), alone=workers == 1)

    return run


def _client(address: str) -> Any:
    """A connection to the scheduler, with a worker behind it."""
    import dask
    from distributed import Client

    for name in ("distributed", "tornado"):
        logging.getLogger(name).setLevel(logging.CRITICAL)  # a lost worker is told in our own words
    try:
        with dask.config.set({"distributed.comm.timeouts.connect": f"{CONNECTING}s"}):
            client = Client(address, timeout=CONNECTING, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise BadOptions(f"--scheduler {address}: no scheduler answers there; start one with `dask scheduler`") from error
    try:
        client.wait_for_workers(1, timeout=30)
    except TimeoutError as error:
        client.close()
        raise BadOptions(f"--scheduler {address}: has no workers; start some with `dask worker {address}`") from error
    return client


class _Ended(NamedTuple):
    """A task that came back."""

    job: Job
    future: Any


class _Run:
    """Jobs under way on the cluster."""

    def __init__(self, client: Any, setup: Setup, shared: bool) -> None:
        self._client, self._shared = client, shared
        self._common = () if shared else _common(setup)
        self._setup = setup
        self._ended: queue.Queue[_Ended] = queue.Queue()

    def events(self, jobs: Iterator[Job], *, alone: bool) -> Iterator[Event]:
        """Keeps two jobs a thread of the cluster under way, so that the scheduler never holds the bytes of many sets."""
        under_way: dict[int, Any] = {}
        more = True
        while more or under_way:
            while more and len(under_way) < self._room(alone):
                job = next(jobs, None)
                if job is None:
                    more = False
                    break
                try:
                    under_way[job.number] = self._submitted(job)
                except NotelintError as error:
                    yield Finished(job, outcome_of(error))
                    continue
                yield Moved(job, 0, 1, "on the cluster")
            if under_way:
                job, future = self._next()
                del under_way[job.number]
                yield Finished(job, self._outcome(job, future))

    def _room(self, alone: bool) -> int:
        return 1 if alone else 2 * max(1, sum(self._client.nthreads().values()))

    def _submitted(self, job: Job) -> Any:
        parcel = Parcel() if self._shared else self._parcel(job)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # that the bytes are many
            future = self._client.submit(
                read_on_worker, __version__, self._setup.model_dump_json(), job.model_dump_json(), parcel, pure=False
            )
        future.add_done_callback(lambda done, job=job: self._ended.put(_Ended(job, done)))
        return future

    def _parcel(self, job: Job) -> Parcel:
        path, out = decoded(job.path), decoded(job.out)
        facts = facts_beside(path)
        logs = sorted(out.glob("*.log.xlsx")) if out.is_dir() else []
        try:
            if path.stat().st_size > MOST_SENT:
                raise ReadingFailed(f"{shown(path.name)}: over {MOST_SENT // 1_000_000} MB are not sent; use --shared-folder", "write")
            beside = [path] + ([facts] if facts else [])
            return Parcel(tuple(_file(one) for one in beside), tuple(_file(one) for one in logs), self._common)
        except OSError as error:
            raise ReadingFailed(f"{shown(path.name)}: cannot be read ({error.strerror})", "changed") from error

    def _next(self) -> _Ended:
        """The next task that came back; gives up where no worker is left for long."""
        seen = time.monotonic()
        while True:
            try:
                return self._ended.get(timeout=2.0)
            except queue.Empty:
                if self._client.nthreads():
                    seen = time.monotonic()
                elif time.monotonic() - seen > PATIENCE:
                    raise ReadingFailed("the cluster has lost all its workers; start some and run again to go on", "killed") from None

    def _outcome(self, job: Job, future: Any) -> Outcome:
        name = shown(decoded(job.path).name)
        if future.status != "finished":
            said = "its workers on the cluster were lost" if "KilledWorker" in repr(future.exception()) else "the cluster failed on it"
            return Outcome(state="failed", kind="killed", reason=f"{name}: {said}; start again")
        answer: Answer = future.result()
        if answer.refused:
            raise guard.rebuilt(answer.refused)
        try:
            outcome = Outcome.model_validate_json(answer.outcome)
            unpack(answer.files, decoded(job.out), self._setup.limits.file_mb * 1_000_000)
        except (ValidationError, ValueError):
            return Outcome(state="failed", kind="rubbish", reason=f"{name}: the cluster gave no usable answer; start again")
        except NotelintError as error:
            return outcome_of(error)
        return outcome


def unpack(files: Sequence[tuple[str, bytes]], out: Path, most: int) -> None:
    """Puts the files a worker sent into the set's folder. Raises ValueError for a name that leads elsewhere or over `most` bytes."""
    for code, data in files:
        name = str(decoded(code))
        if name != safe_name(name) or len(data) > most:
            raise ValueError(name)
        make_folder(out)
        write_whole(out / name, lambda draft, data=data: _fill(draft, data))  # type: ignore[misc]


def _fill(draft: Path, data: bytes) -> None:
    draft.write_bytes(data)


def _file(path: Path) -> tuple[str, bytes]:
    return coded(Path(path.name)), path.read_bytes()


def _common(setup: Setup) -> tuple[tuple[str, bytes], ...]:
    """The office's rules and the hardware list, by the names they get on the worker."""
    sent: list[tuple[str, bytes]] = []
    try:
        if setup.rules:
            rules = decoded(setup.rules)
            files = sorted(p for p in rules.rglob("*") if p.suffix in {".yaml", ".yml"} and p.is_file())
            if sum(p.stat().st_size for p in files) > MOST_RULES:
                raise BadRules(f"{rules}: over {MOST_RULES // 1_000_000} MB of rules are not sent to a cluster; use --shared-folder")
            sent += [(coded("rules" / p.relative_to(rules)), p.read_bytes()) for p in files]
        if setup.hardware:
            sent.append((coded(Path("hardware.csv")), decoded(setup.hardware).read_bytes()))
    except OSError as error:
        raise BadHardwareList(f"{error.filename}: cannot be read ({error.strerror})") from error
    return tuple(sent)
