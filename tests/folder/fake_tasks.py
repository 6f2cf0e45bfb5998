"""A stand-in for reading a set: what the first word of the file's name says, the worker does."""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path

from notelint.errors import BadRules, UnreadablePlanSet
from notelint.folder.records import Gap, Job, Outcome, Setup, decoded
from notelint.guard import Tell


def warm_up(setup: Setup) -> None:
    """Refuses rules whose folder is named "wrong"."""
    print("a library that greets on standard output", flush=True)
    if setup.rules and decoded(setup.rules).name == "wrong":
        raise BadRules("wrong/a.yaml:3: no such check")


def do_set(job: Job, setup: Setup, tell: Tell) -> bytes:
    """Reads nothing; notes its turn in the file that NOTELINT_TURNS names and gives one gap for each byte of the set, at most nine."""
    del setup
    path, out = decoded(job.path), decoded(job.out)
    act = path.name.partition("-")[0]
    note_turn(job.name)
    tell(0, 1, f"reading {act}")
    if act == "tells":
        _tells(path, out)
    result = _ACTS.get(act, _nothing)(path)
    if result is not None:
        return result
    out.mkdir(parents=True, exist_ok=True)
    (out / "said.txt").write_text(path.read_text(), encoding="utf-8")
    gap = Gap(rule="post-ties", family="load-path", stage="framing", questions=min(9, path.stat().st_size))
    return Outcome(state="read", sheets=1, gaps=(gap,), files=("said.txt",)).model_dump_json().encode()


def note_turn(name: str) -> None:
    """One line a turn, whole, from however many processes."""
    if turns := os.environ.get("NOTELINT_TURNS"):
        handle = os.open(turns, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
        os.write(handle, f"{os.getppid()} {name}\n".encode())
        os.close(handle)


def _nothing(path: Path) -> None:
    del path


def _hang(path: Path) -> None:
    del path
    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    time.sleep(600)


def _spin(path: Path) -> None:
    del path
    while True:
        pass


def _eat(path: Path) -> None:
    del path
    held = []
    while True:
        held.append(bytearray(10_000_000))


def _crash(path: Path) -> None:
    del path
    os.kill(os.getpid(), signal.SIGSEGV)


def _killed(path: Path) -> None:
    del path
    os.kill(os.getpid(), signal.SIGKILL)


def _killhost(path: Path) -> None:
    del path
    os.kill(os.getppid(), signal.SIGKILL)
    time.sleep(5)


def _once(path: Path) -> None:
    """Dies the first time only."""
    mark = path.with_suffix(".tried")
    if not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)


def _rubbish(path: Path) -> bytes:
    del path
    return b"\xff\xfe no account of ours"


def _flood(path: Path) -> bytes:
    del path
    return bytes(3_000_000)


def _pipes(path: Path) -> None:
    """Writes over every handle it can find, the one that leads to the worker included."""
    del path
    for handle in range(3, 64):
        try:
            os.write(handle, b"\x7f" * 4096)
        except OSError:
            continue


def _prints(path: Path) -> None:
    del path
    for stream in (sys.stdout, sys.stderr):
        stream.write("rubbish\n" * 10_000)
        stream.flush()
    os.write(1, b"\x00\x00\x00\x05drubbish" * 1000)
    os.write(2, b"rubbish" * 1000)


def _fault(path: Path) -> None:
    raise KeyError(path)


def _refuse(path: Path) -> None:
    raise UnreadablePlanSet(f"{path.name}: asks for a password; save a copy without one.")


def _slow(path: Path) -> None:
    del path
    time.sleep(0.05)


def _fill(path: Path) -> None:
    with path.with_suffix(".big").open("wb") as target:
        for _ in range(100):
            target.write(bytes(1_000_000))


def _tells(path: Path, out: Path) -> None:
    """Writes down what lies beside the set and in its output folder."""
    out.mkdir(parents=True, exist_ok=True)
    seen = {file.name: file.read_text() for folder in (path.parent, out) for file in sorted(folder.iterdir()) if file != path}
    (out / "seen.txt").write_text(repr(seen))


_ACTS = {
    "hang": _hang, "spin": _spin, "eat": _eat, "crash": _crash, "killed": _killed, "killhost": _killhost, "once": _once,
    "rubbish": _rubbish, "flood": _flood, "pipes": _pipes, "prints": _prints, "fault": _fault, "refuse": _refuse, "slow": _slow,
    "fill": _fill,
}  # fmt: skip
