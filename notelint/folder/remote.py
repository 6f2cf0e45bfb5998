"""What runs on a cluster's worker: files unpacked into a folder of their own, the set read by a guarded worker, its files packed."""

from __future__ import annotations

import hashlib
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from notelint import __version__, guard
from notelint.errors import BadOptions, NotelintError
from notelint.folder.pool import Host
from notelint.folder.records import Job, Outcome, Setup, coded, decoded

Files = tuple[tuple[str, bytes], ...]
"""Names, coded, and contents."""


class Parcel(NamedTuple):
    """What is sent along with a job where the folder is not shared."""

    beside: Files = ()  # the plan set first, and its facts file
    out: Files = ()  # the log that holds earlier answers
    common: Files = ()  # rules and hardware list


class Answer(NamedTuple):
    """What comes back: an account and files, or an error that concerns the whole run."""

    outcome: bytes = b""
    files: Files = ()
    refused: bytes = b""


def read_on_worker(version: str, setup_json: str, job_json: str, parcel: Parcel) -> Answer:
    """Reads one set on this machine under the run's limits."""
    setup, job = Setup.model_validate_json(setup_json), Job.model_validate_json(job_json)
    if version != __version__:
        mine = f"the cluster's workers run notelint {__version__}, this is {version}; install the same on all machines"
        return Answer(refused=guard.packed(BadOptions(mine)))
    try:
        if not parcel.beside:
            return Answer(_read(setup, job))
        with tempfile.TemporaryDirectory(prefix="notelint-") as folder:
            return _from_parcel(setup, job, parcel, Path(folder))
    except NotelintError as error:
        return Answer(refused=guard.packed(error))


def _from_parcel(setup: Setup, job: Job, parcel: Parcel, folder: Path) -> Answer:
    common = _COMMON.folder(parcel.common)
    here, out = folder / "in", folder / "out"
    _unpack(parcel.beside, here)
    _unpack(parcel.out, out)
    setup = setup.model_copy(
        update={
            "rules": coded(common / "rules") if setup.rules else None,
            "hardware": coded(common / "hardware.csv") if setup.hardware else None,
        }
    )
    path = here / decoded(parcel.beside[0][0])
    outcome = _read(setup, job.model_copy(update={"path": coded(path), "out": coded(out)}))
    earlier = dict(parcel.out)
    written = [(coded(Path(p.name)), p.read_bytes()) for p in sorted(out.iterdir()) if p.is_file()] if out.is_dir() else []
    return Answer(outcome, tuple((name, data) for name, data in written if earlier.get(name) != data))


def _unpack(files: Files, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in files:
        target = folder / decoded(name)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)


def _read(setup: Setup, job: Job) -> bytes:
    def silent(done: int, of: int, what: str) -> None:
        del done, of, what

    with _BENCH.host(setup) as host:
        outcome: Outcome = host.run(job, silent)
    return outcome.model_dump_json().encode()


class _Bench:
    """Guarded workers that wait for the next set of their run; those of an earlier run are let go."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._idle: list[tuple[Setup, Host]] = []

    @contextmanager
    def host(self, setup: Setup) -> Iterator[Host]:
        """A worker for this set-up, back on the bench afterwards."""
        with self._lock:
            others = [host for its, host in self._idle if its != setup]
            mine = [host for its, host in self._idle if its == setup and host.alive]
            self._idle = [(setup, host) for host in mine[1:]]
        for other in others:
            other.close()
        host = mine[0] if mine else Host(setup)
        try:
            yield host
        finally:
            with self._lock:
                if host.alive:
                    self._idle.append((setup, host))


class _Common:
    """Rules and hardware lists unpacked once for all sets of a run."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._folders: dict[str, tempfile.TemporaryDirectory[str]] = {}

    def folder(self, files: Files) -> Path:
        """The folder that holds these files, the same for the same files."""
        digest = hashlib.sha256(repr(files).encode()).hexdigest()
        with self._lock:
            if digest not in self._folders:
                made = tempfile.TemporaryDirectory(prefix="notelint-")
                _unpack(files, Path(made.name))
                (Path(made.name) / "rules").mkdir(exist_ok=True)
                self._folders[digest] = made
        return Path(self._folders[digest].name)


_BENCH = _Bench()
_COMMON = _Common()
