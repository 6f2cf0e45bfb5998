"""The same work on a Dask cluster of processes on this machine: same results, same limits, workers that die."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
from folder_runs import HERE, Run, make_sets

from notelint import guard
from notelint.errors import BadOptions
from notelint.folder import cluster, run_folder
from notelint.folder.records import Job, Setup
from notelint.folder.remote import Parcel, read_on_worker

Sets = Callable[[Sequence[str]], None]


@dataclass
class Cluster:
    """A scheduler and the workers that were started."""

    address: str
    folder: Path
    workers: list[subprocess.Popen[bytes]]
    environment: dict[str, str]

    def hire(self) -> None:
        """One more worker, of one thread, that nobody replaces when it dies."""
        words = ["--nthreads", "1", "--no-nanny", "--no-dashboard", "--local-directory", str(self.folder)]
        command = [sys.executable, "-m", "distributed.cli.dask_worker", self.address, *words]
        self.workers.append(subprocess.Popen(command, env=self.environment, cwd=self.folder, stderr=subprocess.DEVNULL))


@pytest.fixture(scope="module")
def dask(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    """A scheduler and two workers as processes on the loopback."""
    folder = tmp_path_factory.mktemp("cluster")
    told, environment = folder / "scheduler.json", {**os.environ, "PYTHONPATH": str(HERE), "NOTELINT_TURNS": str(folder / "turns")}
    words = ["--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(told)]
    scheduler = subprocess.Popen(
        [sys.executable, "-m", "distributed.cli.dask_scheduler", *words], env=environment, cwd=folder, stderr=subprocess.DEVNULL
    )
    workers: list[subprocess.Popen[bytes]] = []
    try:
        address = ""
        while not address:
            with suppress(OSError, ValueError):
                address = json.loads(told.read_text())["address"]
            time.sleep(0.05)
            assert scheduler.poll() is None
        started = Cluster(address, folder, workers, environment)
        started.hire()
        started.hire()
        yield started
    finally:
        for process in [*workers, scheduler]:
            process.kill()
            process.wait()


@pytest.fixture
def far(run: Run, dask: Cluster) -> Run:
    """Runs on the cluster; what its readers did is in the cluster's own list."""
    return Run(run.folder, run.out.with_name("far"), dask.folder / "turns")


def left_by(out: Path) -> dict[str, str]:
    """All that a run leaves for people, by name."""
    kept = [file for file in out.rglob("*") if file.suffix in {".txt", ".csv"}]
    return {str(file.relative_to(out)): file.read_text(encoding="utf-8-sig") for file in kept}


def test_a_cluster_gives_what_one_machine_gives(run: Run, far: Run, sets: Sets, dask: Cluster) -> None:
    """Sound sets, refusals, and sets that break their reader or run out of their limits."""
    sets(["a.pdf", "deep/b.pdf", "refuse-c.pdf", "eat-d.pdf", "hang-f.pdf", "killhost-h.pdf", "odd\nname.pdf"])
    here, there = run(), far(scheduler=dask.address)
    assert left_by(far.out) == left_by(run.out)
    assert there.exit_code == here.exit_code == 3
    assert run_folder(far.folder, far.out, far.options).reused == 6  # all but the one whose worker was killed


def test_a_worker_lost_in_mid_run_costs_no_set(run: Run, far: Run, sets: Sets, dask: Cluster) -> None:
    """Its sets are given to another."""
    sets([f"slow-{number}.pdf" for number in range(40)])
    run()

    def lose() -> None:
        while len(far.turns.read_text().splitlines() if far.turns.exists() else []) < 8:
            time.sleep(0.01)
        dask.workers[0].kill()

    far.read()
    losing = threading.Thread(target=lose)
    losing.start()
    result = far(scheduler=dask.address)
    losing.join()
    assert dask.workers[0].wait() < 0
    dask.hire()
    assert result.totals.read == 40
    assert left_by(far.out) == left_by(run.out)


def test_facts_and_logs_go_along_and_files_come_back(far: Run, sets: Sets, dask: Cluster) -> None:
    """Without a shared folder the worker sees copies, and only of what the set needs."""
    sets(["tells-a.pdf", "b.pdf"])
    (far.folder / "tells-a.facts.yaml").write_text("storeys: 2\n")
    make_sets(far.out / "tells-a.pdf", ["tells-a.log.xlsx", "private.txt"])
    far(scheduler=dask.address)
    seen = (far.out / "tells-a.pdf" / "seen.txt").read_text()
    assert seen == repr({"tells-a.facts.yaml": "storeys: 2\n", "tells-a.log.xlsx": "set tells-a.log.xlsx"})


def test_a_shared_folder_is_read_in_place(far: Run, sets: Sets, dask: Cluster) -> None:
    sets(["tells-a.pdf"])
    make_sets(far.out / "tells-a.pdf", ["private.txt"])
    far(scheduler=dask.address, shared_folder=True)
    assert "private.txt" in (far.out / "tells-a.pdf" / "seen.txt").read_text()


def test_a_set_too_large_to_be_sent_is_named(far: Run, sets: Sets, dask: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "MOST_SENT", 20)
    sets(["a.pdf", "b-with-a-very-long-name.pdf"])
    result = far(scheduler=dask.address)
    assert result.totals.reasons == ["b-with-a-very-long-name.pdf: over 0 MB are not sent; use --shared-folder"]
    assert result.totals.read == 1


def test_no_scheduler_and_no_extra_are_told_in_one_line(far: Run, sets: Sets, monkeypatch: pytest.MonkeyPatch) -> None:
    sets(["a.pdf"])
    monkeypatch.setattr(cluster, "CONNECTING", 0.5)
    with pytest.raises(BadOptions, match="no scheduler answers there"):
        far(scheduler="tcp://127.0.0.1:9")
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(BadOptions, match="needs the cluster extra"):
        far(scheduler="tcp://127.0.0.1:9")


def test_a_worker_of_another_version_refuses() -> None:
    """Results of two versions are never mixed."""
    job = Job(number=0, name="a.pdf", path="a.pdf", out="out", sha256="")
    answer = read_on_worker("0.0.0", Setup().model_dump_json(), job.model_dump_json(), Parcel())
    assert isinstance(guard.rebuilt(answer.refused), BadOptions)


@pytest.mark.parametrize("name", ["../up.txt", "a/b.txt", "..", "%2e%2e%2fup.txt"])
def test_a_file_that_wants_to_lie_elsewhere_is_not_taken(name: str, tmp_path: Path) -> None:
    """A worker names files, not places."""
    with pytest.raises(ValueError, match=r"up|b.txt|[.][.]"):
        cluster.unpack(((name, b"words"),), tmp_path / "out" / "a.pdf", most=1000)
    assert [file for file in tmp_path.rglob("*") if file.is_file()] == []
