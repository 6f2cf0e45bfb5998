"""The same work on many parts, in two processes where that pays; what comes out is the same as from one.

The second process is forked from this one and sees all that this one sees. Both draw part after part from one queue, and the second
sends back what it makes of its parts. What it did not send, as when it dies, is done here: it can cost no more than time, and a part
that kills it ends this process too, as it would have done with one alone. It ends with this process, and while it runs the memory
that this one may still take is halved between the two. Where no process can be forked there is one.
"""

from __future__ import annotations

import faulthandler
import gc
import math
import os
import pickle
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, nullcontext, suppress
from multiprocessing.connection import Connection, Pipe
from queue import SimpleQueue
from typing import Generic, NamedTuple, NoReturn, TypeVar

from notelint import guard

T = TypeVar("T")
Opened = Callable[[], AbstractContextManager[Callable[[int], T]]]
"""Gives the work on one part, with what it needs open; each process opens that for itself."""
Told = Callable[[int, int], None]

_TICKET = 4  # bytes
_MOST_SHARES = 8_000  # their tickets fit into a pipe
_LEAST_LEFT = 1_000_000_000  # bytes of address space that may still be taken: with less there is one process


class _Task(NamedTuple, Generic[T]):
    """What is to be done. The parts go by shares, each of some parts that follow one another."""

    opened: Opened[T]
    shares: Sequence[range]
    told: Told


def of_each(work: Callable[[int], T], count: int, *, beside: bool, per: int = 1) -> list[T]:
    """`work` of each part from 0 to `count` - 1, in order; with `beside` a second process may take part, `per` parts at a time."""
    return opened_for_each(lambda: nullcontext(work), count, beside=beside, per=per)


def opened_for_each(opened: Opened[T], count: int, *, beside: bool, per: int = 1, told: Told | None = None) -> list[T]:
    """The same with work that has to be opened; `told` hears how many parts are done, and which one is begun here."""
    per = max(per, math.ceil(count / _MOST_SHARES))
    shares = [range(first, min(first + per, count)) for first in range(0, count, per)]
    task = _Task(opened, shares, told or _silent)
    done: dict[int, list[T]] = {}
    if beside and len(shares) > 1 and may_fork():
        _abreast(task, done)
    missing = [number for number in range(len(shares)) if number not in done]
    if missing:
        with opened() as work:
            for number in missing:
                done[number] = _share(task, number, work, done)
    return [part for number in range(len(shares)) for part in done[number]]


def may_fork() -> bool:
    """Whether a second process can be had and has a processor: while other threads run, a fork may copy a lock that is held."""
    return guard.FORKS and threading.active_count() == 1 and len(os.sched_getaffinity(0)) > 1 and guard.memory_left() >= _LEAST_LEFT


def _silent(done: int, begun: int) -> None:
    del done, begun


def _share(task: _Task[T], number: int, work: Callable[[int], T], done: dict[int, list[T]]) -> list[T]:
    parts = task.shares[number]
    task.told(sum(map(len, done.values())), parts[0])
    return [work(part) for part in parts]


def _abreast(task: _Task[T], done: dict[int, list[T]]) -> None:
    """Fills `done` by the two processes together. What fails for want of memory is left out, to be done with all of it."""
    tickets = _tickets(len(task.shares))
    ours, theirs = Pipe(duplex=False)
    parent = os.getpid()
    with guard.half_memory():
        pid = os.fork()
        if pid == 0:
            _second(task, tickets, theirs, parent)
        theirs.close()
        try:
            with task.opened() as work:
                for number in _drawn(tickets):
                    with suppress(MemoryError):
                        done[number] = _share(task, number, work, done)
                    _take_in(ours, done)
            _take_in(ours, done, to_the_end=True)
        finally:
            ours.close()
            os.close(tickets)
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)


def _tickets(count: int) -> int:
    """A pipe with the numbers of all shares: whoever reads one has drawn it."""
    ours, theirs = os.pipe()
    os.write(theirs, b"".join(number.to_bytes(_TICKET, "big") for number in range(count)))
    os.close(theirs)
    return ours


def _drawn(tickets: int) -> Iterator[int]:
    while ticket := os.read(tickets, _TICKET):
        yield int.from_bytes(ticket, "big")


def _take_in(pipe: Connection, done: dict[int, list[T]], *, to_the_end: bool = False) -> None:
    """Takes what the second process has sent; with `to_the_end` all that it will send."""
    with suppress(EOFError, OSError):
        while to_the_end or pipe.poll():
            number, parts = pickle.loads(pipe.recv_bytes())
            done[number] = parts


# ---------------------------------------------------------------- in the second process


def _second(task: _Task[T], tickets: int, pipe: Connection, parent: int) -> NoReturn:
    """Does shares until none is left, or one fails, and ends; a thread sends them, so that the work does not wait for the other's."""
    try:
        guard.die_with_parent()
        if os.getppid() != parent:
            os._exit(0)
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        faulthandler.disable()  # where a part kills it, the other process shows how
        gc.freeze()
        posted: SimpleQueue[bytes | None] = SimpleQueue()
        sender = threading.Thread(target=_send, args=(posted, pipe))
        sender.start()
        try:
            with task.opened() as work:
                for number in _drawn(tickets):
                    posted.put(pickle.dumps((number, [work(part) for part in task.shares[number]]), pickle.HIGHEST_PROTOCOL))
        finally:
            posted.put(None)
            sender.join()
    finally:
        os._exit(0)


def _send(posted: SimpleQueue[bytes | None], pipe: Connection) -> None:
    with suppress(OSError):
        while (data := posted.get()) is not None:
            pipe.send_bytes(data)
