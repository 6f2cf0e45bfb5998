"""What passes between the run, its workers and the journal. All of it is plain JSON and is checked where it arrives."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal
from urllib.parse import quote_from_bytes, unquote_to_bytes

from notelint.guard import Limits
from notelint.model import Record, Stage

State = Literal["read", "refused", "failed"]


def coded(path: Path) -> str:
    """A path as plain ASCII; any bytes a file system can hold come back from `decoded`."""
    return quote_from_bytes(os.fsencode(path), safe="/ -_.,()+#&'")


def decoded(code: str) -> Path:
    """The path that `coded` was given."""
    return Path(os.fsdecode(unquote_to_bytes(code)))


def shown(path: Path | str) -> str:
    """A path for people, as text that every output can hold; bytes that are no letters become "?"."""
    return os.fsencode(path).decode("utf-8", "replace").replace("\ufffd", "?")


class Setup(Record):
    """What is the same for all sets of a run. Paths are coded."""

    rules: str | None = None
    hardware: str | None = None
    formats: tuple[str, ...] = ()
    ocr: bool = True
    limits: Limits = Limits()
    tasks: str = "notelint.folder.task"
    """The module whose warm_up and do_set the workers call."""


class Job(Record):
    """One plan set to be read. Paths are coded."""

    number: int
    name: str  # its place below the folder, coded
    path: str
    out: str  # the set's own output folder
    sha256: str  # what was seen when the set was taken up


class Gap(Record):
    """How many questions one rule asked of one set."""

    rule: str
    family: str
    stage: Stage
    questions: int


class Outcome(Record):
    """What became of one set: small, however large the set."""

    state: State
    reason: str = ""  # one line, where it was not read
    kind: str = ""  # how reading failed, as in errors.ReadingFailed
    sheets: int = 0
    gaps: tuple[Gap, ...] = ()
    unread: int = 0
    not_checked: tuple[str, ...] = ()  # the first of them
    rules_not_run: tuple[str, ...] = ()
    files: tuple[str, ...] = ()  # names in the set's output folder
    seconds: float = 0.0
    tries: int = 1

    @property
    def questions(self) -> int:
        """All questions of the set."""
        return sum(gap.questions for gap in self.gaps)
