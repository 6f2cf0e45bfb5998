"""Work on an untrusted file in a process of its own, with limits: a file can cost no more than itself.

The process is forked from this one, so that nothing is imported twice (some 10 ms a file). It must therefore be started while no
other thread of ours is at work, and it alone loads what starts threads, such as the reader of pictures. Where a process cannot be
forked (other systems than Linux) the work is done here, without limits.
"""

from __future__ import annotations

import ctypes
import faulthandler
import gc
import json
import math
import os
import select
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from notelint import errors, frames
from notelint.errors import NotelintError, ReadingFailed

Tell = Callable[[int, int, str], None]
Work = Callable[[Tell], bytes]
"""What is done in the process: told how to report (done, of, what), it gives its result as bytes."""

FORKS = sys.platform == "linux"

_PROGRESS, _RESULT, _ERROR, _MEMORY, _FAULT = b"p", b"r", b"e", b"m", b"f"
_KINDS = _PROGRESS + _RESULT + _ERROR + _MEMORY + _FAULT
_DIE_WITH_PARENT = 1  # PR_SET_PDEATHSIG
_TICK = 0.1  # seconds between two reports of progress
_OPEN_FILES = 512


class Limits(BaseModel):
    """What one plan set may cost. `memory_mb` is counted on top of the program itself."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    memory_mb: int = Field(default=4096, ge=64)
    minutes: float = Field(default=30.0, gt=0)
    file_mb: int = Field(default=500, ge=1)  # each file written
    answer_mb: int = Field(default=100, ge=1)  # what the process may send back


class Abandoned(Exception):
    """The one that asked for the work is gone."""


class Guarded:
    """Work under way in a process of its own."""

    def __init__(self, pid: int, pipe: int, limits: Limits, name: str) -> None:
        self.pid, self._pipe, self._limits, self._name = pid, pipe, limits, name
        self._until = time.monotonic() + limits.minutes * 60

    def result(self, tell: Tell | None = None, *, stop: int | None = None) -> bytes:
        """Waits for the result; what the work raised as NotelintError is raised here.

        Raises ReadingFailed where the process ran out of its limits, died or answered nonsense, and Abandoned when the handle
        `stop` has something to read. The process is gone afterwards in every case.
        """
        end: frames.Frame | None = None
        kind = "rubbish"
        try:
            end = self._last_frame(tell, stop)
        except TimeoutError:
            kind = "time"
        except (frames.Rubbish, ValueError):
            kind = "rubbish"
        finally:
            status = self._reap(patient=end is None)
        if end is None:
            raise self._failure(*_ending(status, kind))
        return self._unpacked(end)

    def _last_frame(self, tell: Tell | None, stop: int | None) -> frames.Frame | None:
        inbox = frames.Inbox(self._pipe, _KINDS, self._limits.answer_mb * 1_000_000)
        watched = [self._pipe] if stop is None else [self._pipe, stop]
        while True:
            left = self._until - time.monotonic()
            if left <= 0:
                raise TimeoutError
            ready, _, _ = select.select(watched, [], [], min(left, 5.0))
            if stop in ready:
                raise Abandoned
            if not ready:
                continue
            arrived = inbox.arrived()
            if arrived is None:
                return None
            for frame in arrived:
                if frame.kind != _PROGRESS:
                    return frame
                done, of, what = _progress(frame.body)
                if tell:
                    tell(done, of, what)

    def _reap(self, *, patient: bool) -> int:
        """Ends the process and gives its status; one that stopped talking by itself gets a moment to die by its own fault."""
        os.close(self._pipe)
        if patient:
            for _ in range(50):
                pid, status = os.waitpid(self.pid, os.WNOHANG)
                if pid:
                    return status
                if time.monotonic() >= self._until:
                    break
                time.sleep(0.002)
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        return 0

    def _unpacked(self, frame: frames.Frame) -> bytes:
        if frame.kind == _RESULT:
            return frame.body
        if frame.kind == _MEMORY:
            raise self._failure("memory", "")
        if frame.kind == _FAULT:
            raise self._failure("fault", frame.body.decode("utf-8", "replace"))
        try:
            raise rebuilt(frame.body)
        except (ValueError, KeyError):
            raise self._failure("rubbish", "") from None

    def _failure(self, kind: str, more: str) -> ReadingFailed:
        said = {
            "time": f"took longer than {self._limits.minutes:g} minutes; raise --minutes or split the set",
            "memory": f"needs more than {self._limits.memory_mb} MB of memory; raise --memory-mb or split the set",
            "died": f"the reader broke down on it ({more}); export the PDF again, or raise --memory-mb",
            "killed": "its reader was killed from outside; start again",
            "rubbish": "the reader gave no usable answer; export the PDF again",
            "fault": f"the reader failed on it ({more}), which is a fault of notelint; please report it",
        }
        return ReadingFailed(f"{self._name}: {said[kind]}", kind)


class _Here:
    """Work done in this process, where no other can be had."""

    def __init__(self, work: Work) -> None:
        self._work = work

    def result(self, tell: Tell | None = None, *, stop: int | None = None) -> bytes:
        """Does the work now."""
        del stop
        return self._work(tell or _silent)


def start(work: Work, limits: Limits, name: str) -> Guarded | _Here:
    """Starts `work` under `limits`; `name` is what messages call its file."""
    if not FORKS:
        return _Here(work)
    ours, theirs = os.pipe()
    parent = os.getpid()
    pid = os.fork()
    if pid == 0:
        try:
            os.close(ours)
            _be_guarded(theirs, parent, limits)
            _work(work, theirs)
        finally:
            os._exit(0)
    os.close(theirs)
    return Guarded(pid, ours, limits, name)


def packed(error: NotelintError) -> bytes:
    """An error as bytes."""
    return json.dumps([type(error).__name__, str(error), getattr(error, "kind", "")]).encode()


def rebuilt(data: bytes) -> NotelintError:
    """The error of `packed`. Raises ValueError or KeyError where the bytes hold none."""
    name, text, how = json.loads(data)
    found = vars(errors)[name]
    if not (isinstance(found, type) and issubclass(found, NotelintError) and isinstance(text, str) and isinstance(how, str)):
        raise ValueError(name)
    return ReadingFailed(text, how) if found is ReadingFailed else found(text)


def _ending(status: int, kind: str) -> tuple[str, str]:
    """Kind of failure and more about it, from how the process ended."""
    if kind == "time" or not os.WIFSIGNALED(status):
        return kind, ""
    number = os.WTERMSIG(status)
    if number == signal.SIGXCPU:
        return "time", ""
    return ("killed", "") if number == signal.SIGKILL else ("died", signal.Signals(number).name)


def _progress(body: bytes) -> tuple[int, int, str]:
    done, of, what = json.loads(body)
    return int(done), int(of), str(what)


def _silent(done: int, of: int, what: str) -> None:
    del done, of, what


# ---------------------------------------------------------------- in the process


def _be_guarded(pipe: int, parent: int, limits: Limits) -> None:
    """Dies with the parent, keeps quiet, and sets its own limits; what it prints goes nowhere."""
    import resource

    faulthandler.disable()  # how this process died is told by the one that started it
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    die_with_parent()
    if os.getppid() != parent:
        os._exit(0)
    gc.freeze()  # what is loaded stays; what one plan set gives is kept to its end, so that looking for garbage finds next to none
    gc.set_threshold(50_000, 50, 100)
    os.register_at_fork(after_in_child=die_with_parent)  # what this process may start ends with it
    nowhere = os.open(os.devnull, os.O_RDWR)
    for handle in (0, 1, 2):
        if handle != pipe:
            os.dup2(nowhere, handle)
    seconds = int(limits.minutes * 60) * (os.cpu_count() or 1) + 10
    wanted = {
        resource.RLIMIT_CORE: 0,
        resource.RLIMIT_NOFILE: _OPEN_FILES,
        resource.RLIMIT_FSIZE: limits.file_mb * 1_000_000,
        resource.RLIMIT_AS: _own_size() + limits.memory_mb * 1_000_000,
    }
    for which, value in wanted.items():
        _, hard = resource.getrlimit(which)
        value = value if hard == resource.RLIM_INFINITY else min(value, hard)
        resource.setrlimit(which, (value, value))
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    if hard == resource.RLIM_INFINITY:  # the second line behind the parent's clock; the soft limit alone has a signal of its own
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 10))
    with suppress(OSError):  # where memory runs out on the whole machine, this process goes first
        Path("/proc/self/oom_score_adj").write_text("500")


def die_with_parent() -> None:
    """Has this process killed when the one that started it ends."""
    ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGKILL)


def memory_left() -> float:
    """Bytes of address space that this process may still take; infinite without a limit."""
    import resource

    soft, _ = resource.getrlimit(resource.RLIMIT_AS)
    return math.inf if soft == resource.RLIM_INFINITY else max(0, soft - _own_size())


@contextmanager
def half_memory() -> Iterator[None]:
    """Lets this process take half of the memory it has left, and one that is forked meanwhile as much."""
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    left = memory_left()
    if left < math.inf:
        resource.setrlimit(resource.RLIMIT_AS, (soft - int(left / 2), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def _own_size() -> int:
    """Bytes of address space in use."""
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    return pages * os.sysconf("SC_PAGE_SIZE")


def _work(work: Work, pipe: int) -> None:
    last = 0.0

    def tell(done: int, of: int, what: str) -> None:
        nonlocal last
        if time.monotonic() - last >= _TICK:
            last = time.monotonic()
            frames.send(pipe, _PROGRESS, json.dumps([done, of, what[:200]]).encode())

    try:
        kind, body = _RESULT, work(tell)
    except NotelintError as error:
        kind, body = _ERROR, packed(error)
    except MemoryError:
        kind, body = _MEMORY, b""
    except BaseException as error:  # the one place where any fault of a stage becomes a line for the user
        kind, body = (_MEMORY, b"") if _for_want_of_memory(error) else (_FAULT, _where(error).encode())
    with suppress(OSError):
        frames.send(pipe, kind, body)


def _for_want_of_memory(error: BaseException | None) -> bool:
    """Whether an error, or the one that led to it, says so; libraries in C have words of their own for it."""
    while error is not None:
        said = str(error)
        if isinstance(error, MemoryError) or any(words in said for words in ("nsufficient memory", "bad_alloc", "ailed to allocate")):
            return True
        error = error.__cause__ or error.__context__
    return False


def _where(error: BaseException) -> str:
    """As in "KeyError in layout/notes.py:33": no words of the file, which may be anything."""
    home = Path(__file__).parent
    for step in reversed(traceback.extract_tb(error.__traceback__)):
        file = Path(step.filename)
        if file.is_relative_to(home) and file != Path(__file__):
            return f"{type(error).__name__} in {file.relative_to(home)}:{step.lineno}"
    return type(error).__name__
