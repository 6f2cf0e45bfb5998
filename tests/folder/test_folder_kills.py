"""Killed at any moment, a run that is started again ends as if nothing had happened."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

import pytest
from folder_runs import Run

from notelint.folder import Watcher, run_folder

Sets = Callable[[Sequence[str]], None]
NAMES = [f"slow-{number}.pdf" for number in range(12)] + [f"deep/{number}/s.pdf" for number in range(12)] + ["refuse-x.pdf"]
SCRIPT = "from folder_runs import *; from pathlib import Path; import sys; Run(*map(Path, sys.argv[1:]))()"


def state(out: Path) -> dict[str, str]:
    """All that a run leaves for people, by name."""
    kept = [file for file in out.rglob("*") if file.is_file() and file.suffix in {".txt", ".csv", ".html"}]
    return {str(file.relative_to(out)): file.read_text(encoding="utf-8-sig") for file in kept}


@pytest.fixture
def undisturbed(run: Run, sets: Sets, tmp_path: Path) -> dict[str, str]:
    """What an undisturbed run leaves."""
    sets(NAMES)
    run_folder(run.folder, tmp_path / "quiet", run.options)
    run.read()
    return state(tmp_path / "quiet")


@pytest.mark.parametrize("seed", [1, 2])
def test_a_killed_run_goes_on_where_it_stopped(seed: int, run: Run, undisturbed: dict[str, str]) -> None:
    """No set that was finished is read again, and none is lost."""
    dice = random.Random(seed)
    for _ in range(2):
        under_way = subprocess.Popen([sys.executable, "-c", SCRIPT, str(run.folder), str(run.out), str(run.turns)])
        began = run.turns.stat().st_size if run.turns.exists() else 0
        while under_way.poll() is None and (not run.turns.exists() or run.turns.stat().st_size == began):
            time.sleep(0.01)
        time.sleep(dice.uniform(0.0, 0.25))
        under_way.kill()
        under_way.wait()
    run()
    assert state(run.out) == undisturbed
    workers = {int(line.split()[0]) for line in run.turns.read_text().splitlines()}
    assert_gone(workers)
    turns = run.read()
    assert set(turns) == set(NAMES)
    assert not (run.out / ".notelint" / "journal.damaged").exists()
    assert len(turns) <= len(NAMES) + 2 * 4  # what was handed out and not yet in the journal at each kill: two sets in work, two waiting


def test_a_run_killed_over_its_summary_leaves_no_draft(run: Run, undisturbed: dict[str, str]) -> None:
    """What a killed writer left half-written goes away with the next run, and nothing of the user's does."""
    script = (
        "import os, notelint.writers.files as files\n"
        "files._settle = lambda draft: os._exit(9)\n"  # as if killed with the draft written and not yet in place
    )
    subprocess.run([sys.executable, "-c", script + SCRIPT, str(run.folder), str(run.out), str(run.turns)], check=False)
    assert [file for file in run.out.glob(".*") if file.is_file()]
    (run.out / ".kept-by-the-user").write_text("kept")
    run()
    assert state(run.out) == undisturbed
    assert [file.name for file in run.out.glob(".*") if file.is_file()] == [".kept-by-the-user"]


@pytest.mark.parametrize("seed", [1, 2])
def test_killed_workers_change_nothing(seed: int, run: Run, undisturbed: dict[str, str]) -> None:
    """Their sets are read by others."""
    dice, stop = random.Random(seed), threading.Event()

    class Calm(Watcher):
        """Calls the killer off when sets get their second chance."""

        def again(self, sets: int) -> None:
            assert sets
            stop.set()

    def kill() -> None:
        while not stop.wait(dice.uniform(0.05, 0.4)):
            with suppress(OSError, IndexError):
                workers = [int(line.split()[0]) for line in run.turns.read_text().splitlines()]
                os.kill(workers[-1], signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    try:
        run_folder(run.folder, run.out, run.options, watcher=Calm())
    finally:
        stop.set()
        killer.join()
    assert state(run.out) == undisturbed


def test_workers_and_readers_die_with_the_run(run: Run, sets: Sets) -> None:
    """A reader that hangs outlives neither its worker nor the run."""
    sets(["hang-a.pdf", "hang-b.pdf"])
    script = SCRIPT.replace("()", "(limits=LIMITS.model_copy(update={'minutes': 9.0}))")
    under_way = subprocess.Popen([sys.executable, "-c", script, str(run.folder), str(run.out), str(run.turns)])
    while not run.turns.exists() or run.turns.read_text().count("\n") < 2:
        time.sleep(0.02)
        assert under_way.poll() is None
    workers = {int(line.split()[0]) for line in run.turns.read_text().splitlines()}
    readers = {pid for worker in workers for pid in children(worker)}
    assert len(readers) == 2
    under_way.kill()
    under_way.wait()
    assert_gone(workers | readers)


def test_an_interrupt_ends_the_run_at_once(run: Run, sets: Sets) -> None:
    """Ctrl-C leaves no process behind, and what is done is kept."""
    sets(["a.pdf", "hang-b.pdf"])
    script = SCRIPT.replace("()", "(limits=LIMITS.model_copy(update={'minutes': 9.0}))")
    heard = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # tests run in the background inherit it ignored
    command = [sys.executable, "-c", heard + script, str(run.folder), str(run.out), str(run.turns)]
    under_way = subprocess.Popen(command, stderr=subprocess.PIPE)
    while not (run.out / "a.pdf" / "said.txt").exists() or run.turns.read_text().count("\n") < 2:
        time.sleep(0.02)
        assert under_way.poll() is None
    time.sleep(0.3)
    workers = {int(line.split()[0]) for line in run.turns.read_text().splitlines()}
    under_way.send_signal(signal.SIGINT)
    _, said = under_way.communicate(timeout=20)
    assert b"KeyboardInterrupt" in said  # the command line turns this into its exit code
    assert_gone(workers)
    assert run.outcome("a.pdf").state == "read"


def children(pid: int) -> list[int]:
    """Processes that a process has started."""
    with suppress(OSError):
        return [int(one) for one in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    return []


def assert_gone(pids: set[int]) -> None:
    """Waits until none of the processes is alive; a dead one that nobody has buried counts as gone."""

    def alive(pid: int) -> bool:
        with suppress(OSError):
            return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
        return False

    until = time.monotonic() + 10
    while any(map(alive, pids)) and time.monotonic() < until:
        time.sleep(0.02)
    assert not [pid for pid in pids if alive(pid)]
