"""The guarded process itself: what comes back, what is raised, what it may not do."""

from __future__ import annotations

import os
import resource
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from notelint import frames, guard
from notelint.errors import BadRules, NotelintError, ReadingFailed, UnreadablePlanSet
from notelint.guard import Limits, Tell

LIMITS = Limits(memory_mb=200, minutes=0.05, file_mb=1, answer_mb=1)


def done(work: Callable[[Tell], bytes], tell: Tell | None = None) -> bytes:
    """The result of work under limits."""
    return guard.start(work, LIMITS, "a.pdf").result(tell)


def test_the_result_comes_back() -> None:
    assert done(lambda _: b"words" * 1000) == b"words" * 1000


def test_progress_is_told_as_it_goes() -> None:
    """Not every step: reports are some tenths of a second apart."""

    def work(tell: Tell) -> bytes:
        for step in range(1000):
            tell(step, 1000, "reading")
        return b""

    told: list[tuple[int, int, str]] = []
    done(work, lambda *step: told.append(step))
    assert told[0] == (0, 1000, "reading")
    assert len(told) < 100


@pytest.mark.parametrize(
    "error", [UnreadablePlanSet("a.pdf: asks for a password"), BadRules("r.yaml:3: no"), ReadingFailed("a", "changed")]
)
def test_an_error_for_the_user_comes_back_as_it_was(error: NotelintError) -> None:
    def work(_: Tell) -> bytes:
        raise error

    with pytest.raises(type(error)) as raised:
        done(work)
    assert str(raised.value) == str(error)
    assert getattr(raised.value, "kind", None) == getattr(error, "kind", None)


def test_a_fault_names_its_place_and_no_words_of_the_file() -> None:
    def work(_: Tell) -> bytes:
        frames.Inbox(-1, b"", 0).next()
        raise AssertionError

    with pytest.raises(ReadingFailed, match=r"OSError in frames.py:\d+") as raised:
        done(work)
    assert raised.value.kind == "fault"


def test_what_the_process_starts_ends_with_it() -> None:
    """A grandchild that would sleep for ever is gone with a child that ran out of time."""
    ours, theirs = os.pipe()

    def work(_: Tell) -> bytes:
        if os.fork() == 0:
            os.write(theirs, b"%10d" % os.getpid())
            time.sleep(600)
        time.sleep(600)
        return b""

    with pytest.raises(ReadingFailed, match="took longer"):
        done(work)
    grandchild = int(os.read(ours, 10))
    os.close(ours)
    os.close(theirs)
    until = time.monotonic() + 5
    while alive(grandchild) and time.monotonic() < until:
        time.sleep(0.01)
    assert not alive(grandchild)


def alive(pid: int) -> bool:
    """Whether a process runs; one that is dead and not yet buried does not."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_limits_bind_the_process_and_not_its_parent() -> None:
    before = resource.getrlimit(resource.RLIMIT_AS)
    said = done(lambda _: repr([resource.getrlimit(which)[0] for which in (resource.RLIMIT_FSIZE, resource.RLIMIT_CORE)]).encode())
    assert said == b"[1000000, 0]"
    assert resource.getrlimit(resource.RLIMIT_AS) == before


def test_where_no_process_can_be_forked_the_work_is_done_here(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "FORKS", False)
    assert done(lambda _: str(os.getpid()).encode()) == str(os.getpid()).encode()


def test_an_interrupt_leaves_no_process() -> None:
    """Whatever ends the waiting ends the work."""

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    def work(tell: Tell) -> bytes:
        tell(0, 1, "")
        time.sleep(600)
        return b""

    under_way = guard.start(work, LIMITS, "a.pdf")
    with pytest.raises(KeyboardInterrupt):
        under_way.result(stop)
    assert not alive(under_way.pid)  # type: ignore[union-attr]


def test_messages_come_whole_whatever_the_pieces() -> None:
    """And bytes that are no message of ours are not waited for."""
    ours, theirs = os.pipe()
    inbox = frames.Inbox(ours, b"pr", 10_000_000)
    sender = threading.Thread(target=lambda: [frames.send(theirs, kind, b"x" * size) for kind, size in ((b"p", 3), (b"r", 1_000_000))])
    sender.start()
    assert inbox.next() == (b"p", b"xxx")
    assert inbox.next() == (b"r", b"x" * 1_000_000)
    sender.join()
    os.write(theirs, b"\xff\xff\xff\xffr")
    with pytest.raises(frames.Rubbish):
        inbox.next()
    os.close(theirs)
    os.close(ours)
