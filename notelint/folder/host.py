"""A worker: a process that loads everything once and then has each set read in a guarded process of its own.

It is started with nothing but pipes: calls come in where standard input was, answers go out where standard output was, and both of
these are closed to anything else before a set is touched. When the pipe that calls come by is closed, it ends, and its child with it.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import sys
from types import ModuleType

from pydantic import ValidationError

from notelint import __version__, guard
from notelint.errors import CannotWrite, NotelintError, ReadingFailed
from notelint.folder.records import Job, Outcome, Setup, decoded, shown
from notelint.frames import Inbox, send

SETUP, JOB = b"s", b"j"
READY, REFUSED, PROGRESS, DONE = b"h", b"e", b"p", b"d"
MOST_BYTES = 1_000_000  # of one message: jobs and accounts are small


def main() -> None:
    """Serves until the calls end."""
    calls, answers = _aside(0, os.O_RDONLY), _aside(1, os.O_WRONLY)
    inbox = Inbox(calls, SETUP + JOB, MOST_BYTES)
    first = inbox.next()
    if first is None:
        return
    setup = Setup.model_validate_json(first.body)
    try:
        tasks = importlib.import_module(setup.tasks)
        tasks.warm_up(setup)
    except NotelintError as error:
        send(answers, REFUSED, guard.packed(error))
        return
    gc.collect()
    gc.freeze()  # what is loaded stays shared with the children: their collector does not touch it
    _aside(2, os.O_WRONLY)
    send(answers, READY, __version__.encode())
    while (frame := inbox.next()) is not None:
        job = Job.model_validate_json(frame.body)
        outcome = _outcome(tasks, job, setup, calls, answers)
        send(answers, DONE, outcome.model_dump_json().encode())


def _aside(handle: int, mode: int) -> int:
    """The pipe under a number of its own, and nothing in its old place."""
    kept = os.dup(handle)
    nowhere = os.open(os.devnull, mode)
    os.dup2(nowhere, handle)
    os.close(nowhere)
    return kept


def _outcome(tasks: ModuleType, job: Job, setup: Setup, calls: int, answers: int) -> Outcome:
    """Reads one set in a guarded process; whatever happens there becomes an outcome."""

    def tell(done: int, of: int, what: str) -> None:
        send(answers, PROGRESS, json.dumps([done, of, what]).encode())

    def work(report: guard.Tell) -> bytes:
        if guard.FORKS:
            os.close(calls)
            os.close(answers)
        result = tasks.do_set(job, setup, report)
        assert isinstance(result, bytes)
        return result

    name = shown(decoded(job.path).name)
    try:
        return Outcome.model_validate_json(guard.start(work, setup.limits, name).result(tell, stop=calls))
    except ValidationError:
        return Outcome(state="failed", kind="rubbish", reason=f"{name}: the reader gave no usable answer; export the PDF again")
    except NotelintError as error:
        return outcome_of(error)


def outcome_of(error: NotelintError) -> Outcome:
    """The outcome of a set that could not be read; a failure may go away on a second try, a refusal does not."""
    reason = " ".join(str(error).split())
    if isinstance(error, ReadingFailed):
        return Outcome(state="failed", kind=error.kind, reason=reason)
    if isinstance(error, CannotWrite):
        return Outcome(state="failed", kind="write", reason=reason)
    return Outcome(state="refused", reason=reason)


if __name__ == "__main__":
    try:
        main()
    except (guard.Abandoned, BrokenPipeError):
        sys.exit(0)
