"""Work in two processes: what comes out is what one gives, whatever becomes of the second."""

from __future__ import annotations

import os
import resource
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from notelint import abreast, guard
from notelint.abreast import of_each, opened_for_each
from notelint.errors import ReadingFailed
from notelint.guard import Limits, Tell

HERE = os.getpid()
SLOW = 0.005  # seconds a part, so that both processes come to draw some


@pytest.fixture(autouse=True)
def two_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})


def slow(part: int) -> tuple[int, int]:
    """The part, and which process did it."""
    time.sleep(SLOW)
    return part, os.getpid()


def children() -> set[int]:
    """Processes started by this one that are not yet gone."""
    return {int(pid) for pid in Path(f"/proc/self/task/{os.getpid()}/children").read_text().split()}


@pytest.mark.parametrize("per", [1, 7, 100])
def test_parts_come_in_order_from_one_process_and_from_two(per: int) -> None:
    alone = of_each(lambda i: i * i, 50, beside=False, per=per)
    assert alone == of_each(lambda i: i * i, 50, beside=True, per=per) == [i * i for i in range(50)]


def test_no_parts_give_nothing() -> None:
    assert of_each(slow, 0, beside=True) == []


def test_two_processes_share_the_parts_and_the_second_is_gone_afterwards() -> None:
    done = of_each(slow, 40, beside=True)
    assert [part for part, _ in done] == list(range(40))
    assert len({pid for _, pid in done}) == 2
    assert not children()


def test_answers_larger_than_a_pipe_do_not_hold_the_second_process_up() -> None:
    def large(part: int) -> tuple[int, bytes]:
        time.sleep(SLOW)
        return os.getpid(), bytes([part]) * 1_000_000

    done = of_each(large, 20, beside=True)
    assert all(data == bytes([i]) * 1_000_000 for i, (_, data) in enumerate(done))
    assert len({pid for pid, _ in done}) == 2


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGSEGV])
def test_what_a_killed_second_process_leaves_is_done_here(how: signal.Signals) -> None:
    def work(part: int) -> int:
        time.sleep(SLOW)
        if os.getpid() != HERE and part > 8:
            os.kill(os.getpid(), how)
        return part

    assert of_each(work, 30, beside=True) == list(range(30))
    assert not children()


def test_a_second_process_that_cannot_open_its_file_costs_nothing() -> None:
    @contextmanager
    def opened() -> Iterator[Callable[[int], int]]:
        if os.getpid() != HERE:
            raise OSError
        yield lambda part: part

    assert opened_for_each(opened, 20, beside=True) == list(range(20))


def test_a_fault_is_raised_whichever_process_met_it() -> None:
    def work(part: int) -> int:
        time.sleep(SLOW)
        return 1 // (part - 9)

    with pytest.raises(ZeroDivisionError):
        of_each(work, 20, beside=True)
    assert not children()


def test_want_of_memory_while_it_is_shared_is_tried_again_with_all_of_it() -> None:
    tried: list[int] = []

    def work(part: int) -> int:
        time.sleep(SLOW)
        if os.getpid() == HERE and part not in tried:
            tried.append(part)
            raise MemoryError
        return part

    assert of_each(work, 10, beside=True) == list(range(10))


def test_progress_counts_what_both_have_done() -> None:
    told: list[tuple[int, int]] = []

    @contextmanager
    def opened() -> Iterator[Callable[[int], tuple[int, int]]]:
        yield slow

    opened_for_each(opened, 30, beside=True, told=lambda *step: told.append(step))
    counts = [done for done, _ in told]
    assert counts == sorted(counts)
    assert any(done > own for own, done in enumerate(counts))


@pytest.mark.parametrize(("name", "value"), [("FORKS", False), ("memory_left", lambda: 1_000_000)], ids=["no-fork", "little-memory"])
def test_one_process_where_no_second_can_be_had(name: str, value: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, name, value)
    assert {pid for _, pid in of_each(slow, 20, beside=True)} == {HERE}


def test_one_process_on_one_processor(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0})
    assert {pid for _, pid in of_each(slow, 20, beside=True)} == {HERE}


def test_one_process_while_another_thread_runs() -> None:
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        assert not abreast.may_fork()
    finally:
        stop.set()
        thread.join()


def under_guard(work: Callable[[int], int], limits: Limits) -> bytes:
    """All parts in a guarded process, in two."""

    def guarded(_: Tell) -> bytes:
        return ",".join(map(str, of_each(work, 30, beside=True))).encode()

    return guard.start(guarded, limits, "a.pdf").result()


def test_memory_under_a_guard_is_halved_between_the_two_and_whole_again_afterwards() -> None:
    def work(_: int) -> int:
        time.sleep(SLOW)
        return int(guard.memory_left() // 1_000_000)

    def guarded(_: Tell) -> bytes:
        during = max(of_each(work, 30, beside=True))
        return f"{during} {int(guard.memory_left() // 1_000_000)}".encode()

    during, after = map(int, guard.start(guarded, Limits(memory_mb=4000), "a.pdf").result().split())
    assert during <= 2000 < 3500 <= after


def test_the_second_process_cannot_take_more_than_its_half() -> None:
    """It fails and the part is done here, where it fails as well once all memory is not enough."""

    def work(part: int) -> int:
        time.sleep(SLOW)
        return len(bytearray(5_000_000_000 if part == 20 else 10)) and part

    with pytest.raises(ReadingFailed, match="needs more than 4000 MB of memory"):
        under_guard(work, Limits(memory_mb=4000))


def test_the_second_process_ends_with_a_guarded_one_that_ran_out_of_time(tmp_path: Path) -> None:
    def work(part: int) -> int:
        (tmp_path / str(os.getpid())).touch()
        time.sleep(60)
        return part

    with pytest.raises(ReadingFailed, match="took longer"):
        under_guard(work, Limits(minutes=0.01))
    pids = [int(file.name) for file in tmp_path.iterdir()]
    assert len(pids) == 2
    until = time.monotonic() + 5
    while any(running(pid) for pid in pids) and time.monotonic() < until:
        time.sleep(0.01)
    assert not any(running(pid) for pid in pids)


def running(pid: int) -> bool:
    """Whether a process is there and no mere entry that nobody collected."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def test_the_limit_itself_is_put_back_where_work_fails() -> None:
    before = resource.getrlimit(resource.RLIMIT_AS)
    with pytest.raises(ZeroDivisionError):
        of_each(lambda part: part // 0, 10, beside=True)
    assert resource.getrlimit(resource.RLIMIT_AS) == before
