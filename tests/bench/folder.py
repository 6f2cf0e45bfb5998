"""Runs over folders: what isolation, a second worker, resuming, many sets and a cluster cost, as ratios on this machine.

usage: python tests/bench/folder.py [--sets 12] [--many 3000] [--only workers isolation again many cluster]

Sets of ten dense sheets are drawn as in dense.py and kept in the temp folder. Printed beside each figure is its goal.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from dense import sheets_file

from notelint.folder import FolderOptions, Watcher, run_folder
from notelint.folder.records import Outcome, Setup
from notelint.folder.task import warm_up
from notelint.review import Options, review

BENCH = Path(tempfile.gettempdir()) / "notelint-folder"
STUBS = Path(__file__).parent.parent / "folder"
MANY = """
import sys, time
from pathlib import Path
from notelint.folder import FolderOptions, Watcher, run_folder
class Clock(Watcher):
    at = []
    def finished(self, name, outcome, *, reused):
        self.at.append(time.monotonic())
run_folder(Path(sys.argv[1]), Path(sys.argv[2]), FolderOptions(workers=2, tasks="fake_tasks"), watcher=Clock())
peak = next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM"))
fifth = len(Clock.at) // 5
print(peak, (Clock.at[2 * fifth] - Clock.at[fifth]) / fifth, (Clock.at[-1] - Clock.at[-1 - fifth]) / fifth)
"""


class Clock(Watcher):
    """Keeps the time of each set's end."""

    def __init__(self) -> None:
        self.ends: list[float] = []

    def finished(self, name: str, outcome: Outcome, *, reused: bool) -> None:
        assert reused or outcome.state == "read", (name, outcome.reason)
        self.ends.append(time.monotonic())

    @property
    def each(self) -> float:
        """Seconds a set, start-up left out."""
        return (self.ends[-1] - self.ends[0]) / (len(self.ends) - 1)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sets", type=int, default=12)
    parser.add_argument("--many", type=int, default=3000)
    measures: dict[str, Callable[[Path, argparse.Namespace], None]] = {
        "workers": workers, "isolation": isolation, "again": again, "many": many, "cluster": cluster,
    }  # fmt: skip
    parser.add_argument("--only", nargs="*", default=list(measures), choices=measures)
    args = parser.parse_args()
    folder = dense_sets(args.sets)
    for name in args.only:
        measures[name](folder, args)


def dense_sets(count: int) -> Path:
    """A folder of sets of ten dense sheets, no two the same file."""
    folder = BENCH / f"sets-{count}"
    if not folder.exists():
        BENCH.mkdir(exist_ok=True)
        one = sheets_file(BENCH, 10)
        half = folder.with_suffix(".half")
        half.mkdir(exist_ok=True)
        for number in range(count):
            (half / f"set-{number}.pdf").write_bytes(one.read_bytes() + b"\n%% set %d\n" % number)
        half.rename(folder)
    return folder


def timed(folder: Path, options: FolderOptions, out: Path | None = None) -> tuple[float, Clock]:
    """Wall seconds of a whole run into a new folder, and the times of its sets."""
    place = out or Path(tempfile.mkdtemp(dir=BENCH))
    clock, began = Clock(), time.monotonic()
    run_folder(folder, place, options, watcher=clock)
    took = time.monotonic() - began
    if out is None:
        shutil.rmtree(place)
    return took, clock


def workers(folder: Path, args: argparse.Namespace) -> None:
    """Two workers against one, whole runs, start-up included."""
    one, two = (timed(folder, FolderOptions(workers=count))[0] for count in (1, 2))
    print(f"{args.sets} sets, one worker {one:.1f} s, two {two:.1f} s: {one / two:.2f} times as fast (goal 1.7)")


def isolation(folder: Path, args: argparse.Namespace) -> None:
    """Each set in a guarded process against the same reviews in this one, all loaded."""
    warm_up(Setup())
    sets = sorted(folder.iterdir())
    review(sets[0], Options(beside=False))
    began = time.monotonic()
    for file in sets:
        review(file, Options(beside=False))
    bare = (time.monotonic() - began) / len(sets)
    guarded = timed(folder, FolderOptions(workers=1))[1].each
    more = 100 * (guarded / bare - 1)
    print(f"{args.sets} sets of ten sheets: {bare:.3f} s each bare, {guarded:.3f} s guarded: {more:+.1f} % (goal under 15)")


def again(folder: Path, args: argparse.Namespace) -> None:
    """A second run over an unchanged folder against the first, both as commands, start-up included."""
    out = BENCH / "again"
    shutil.rmtree(out, ignore_errors=True)
    command = [sys.executable, "-c", "from notelint.cli import main; main()", "folder", str(folder), "--out", str(out), "-q"]
    took = []
    for _ in range(2):
        began = time.monotonic()
        subprocess.run(command, check=False)
        took.append(time.monotonic() - began)
    share = 100 * took[1] / took[0]
    print(f"{args.sets} sets with page and log: first run {took[0]:.1f} s, second {took[1]:.2f} s: {share:.1f} % (goal under 3)")


def many(folder: Path, args: argparse.Namespace) -> None:
    """Thousands of stand-in sets: the cost of one early and late in the run, and the parent's peak memory against a hundred."""
    del folder
    (memory, _, _), (memory_many, early, late) = _many(100), _many(args.many)
    print(
        f"{args.many} sets: {1000 * early:.1f} ms each in the second fifth, {1000 * late:.1f} ms in the last: {late / early:.2f} times; "
        f"peak {memory_many / 1000:.0f} MB, of 100 sets {memory / 1000:.0f} MB: {memory_many / memory:.2f} times (goals within 1.1)"
    )


def _many(count: int) -> tuple[float, float, float]:
    with tempfile.TemporaryDirectory(dir=BENCH) as place:
        sets = Path(place) / "in"
        sets.mkdir()
        for number in range(count):
            (sets / f"set-{number}.pdf").write_text(f"set {number}")
        command = [sys.executable, "-c", MANY, str(sets), f"{place}/out"]
        done = subprocess.run(command, env={**os.environ, "PYTHONPATH": str(STUBS)}, capture_output=True, text=True, check=True)
    peak, early, late = map(float, done.stdout.split())
    return peak, early, late


def cluster(folder: Path, args: argparse.Namespace) -> None:
    """Two workers of a cluster on this machine against two of our own; the second run of each counts, all loaded."""
    with _dask() as address:
        far, near = FolderOptions(workers=2, scheduler=address), FolderOptions(workers=2)
        timed(folder, far)
        there, here = timed(folder, far)[1].each, timed(folder, near)[1].each
    print(f"{args.sets} sets: {here:.3f} s each here, {there:.3f} s on a cluster: {100 * (there / here - 1):+.1f} % (goal within 25)")


@contextmanager
def _dask() -> Iterator[str]:
    """A scheduler and two workers on the loopback."""
    told = BENCH / "scheduler.json"
    told.unlink(missing_ok=True)
    python, quiet = [sys.executable, "-m"], {"stderr": subprocess.DEVNULL, "cwd": BENCH}
    words = ["--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(told)]
    started = [subprocess.Popen([*python, "distributed.cli.dask_scheduler", *words], **quiet)]  # type: ignore[call-overload]
    try:
        while not told.exists():
            time.sleep(0.1)
        for _ in range(2):
            words = ["--scheduler-file", str(told), "--nthreads", "1", "--no-nanny", "--no-dashboard"]
            started.append(subprocess.Popen([*python, "distributed.cli.dask_worker", *words], **quiet))  # type: ignore[call-overload]
        time.sleep(5)
        yield json.loads(told.read_text())["address"]
    finally:
        for process in started:
            process.kill()
            process.wait()


if __name__ == "__main__":
    main()
