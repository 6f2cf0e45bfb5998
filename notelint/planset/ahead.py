"""Each sheet's lines, gathered one sheet ahead of its words.

Lines cost as much as words, and neither needs the other. Where a process can be forked they are gathered in one beside this one, so
that a large set takes half the time on two processors; else in a thread, which gains what pdfium lets go of the interpreter.
"""

from __future__ import annotations

import multiprocessing
import sys
import threading
from collections.abc import Generator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from itertools import repeat
from multiprocessing.connection import Connection
from pathlib import Path

import numpy
import pikepdf

from notelint.planset.document import structure_of
from notelint.planset.limits import FORK_FROM_BYTES
from notelint.planset.linework import UNSEEN, Linework, read_linework

_UNREADABLE = (pikepdf.PdfError, pikepdf.PasswordError, IndexError, ValueError, TypeError, RuntimeError, OSError)


def linework_of(path: Path, total: int, *, beside: bool = True) -> Generator[Linework, None, None]:
    """The lines of the first `total` pages, in order; close the iterator where it is left early.

    Without `beside` they are gathered in turn with the words: the other processors are at work on other plan sets.
    """
    if not beside:
        return _gathered(path, total)
    return _beside(path, total) if _may_fork(path, total) else _in_thread(path, total)


def _may_fork(path: Path, total: int) -> bool:
    """Whether a process is worth its start, and may be forked: while other threads run, a fork may copy a lock that is held."""
    worth = total > 1 and path.stat().st_size >= FORK_FROM_BYTES
    return worth and sys.platform == "linux" and threading.active_count() == 1 and not multiprocessing.current_process().daemon


def _beside(path: Path, total: int) -> Generator[Linework, None, None]:
    """From a process of its own. Where that one dies, the rest is read without lines."""
    context = multiprocessing.get_context("fork")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_send, args=(path, total, theirs), daemon=True)
    process.start()
    theirs.close()
    done = 0
    try:
        with suppress(EOFError, OSError):
            while done < total:
                linework: Linework = ours.recv()
                done += 1
                yield linework
        yield from repeat(UNSEEN, total - done)
    finally:
        ours.close()
        process.terminate()
        process.join()


def _send(path: Path, total: int, pipe: Connection) -> None:
    with suppress(BrokenPipeError, KeyboardInterrupt):
        for linework in _gathered(path, total):
            pipe.send(linework._replace(segments=linework.segments.astype(numpy.float32)))


def _gathered(path: Path, total: int) -> Generator[Linework, None, None]:
    """Page after page. pdfium mends some files that qpdf refuses; they are read without lines."""
    try:
        structure = structure_of(path)
    except _UNREADABLE:
        yield from repeat(UNSEEN, total)
        return
    with structure:
        for index in range(total):
            try:
                linework = read_linework(structure.pages[index].obj)
            except _UNREADABLE:
                linework = UNSEEN
            yield linework


def _in_thread(path: Path, total: int) -> Generator[Linework, None, None]:
    source = _gathered(path, total)
    with ThreadPoolExecutor(1) as aside:
        ahead: Future[Linework | None] = aside.submit(next, source, None)
        while (done := ahead.result()) is not None:
            ahead = aside.submit(next, source, None)
            yield done
