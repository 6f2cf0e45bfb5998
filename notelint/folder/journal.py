"""What became of each set, kept on disk as soon as it is known: a run that was broken off goes on where it stopped.

SQLite with a rollback journal and full syncing keeps each row whole through a kill or a power cut. The open journal is locked by the
system for as long as the run lives, so that of two runs into one output folder the second is refused, and a dead run holds nothing.
"""

from __future__ import annotations

import json
import os
import socket
import sqlite3
import time
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from pydantic import ValidationError

from notelint.errors import BadOptions, CannotWrite
from notelint.folder.names import HIDDEN, JOURNAL
from notelint.folder.records import Outcome
from notelint.writers.files import make_folder

_OWNER, _DAMAGED = "running.json", "journal.damaged"
_TABLE = "CREATE TABLE IF NOT EXISTS sets (name TEXT PRIMARY KEY, key TEXT NOT NULL, outcome TEXT NOT NULL) WITHOUT ROWID"
_PUT = "INSERT INTO sets VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET key = excluded.key, outcome = excluded.outcome"


class Journal:
    """The outcomes of an output folder, by the set's name."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._sql = connection

    def outcome(self, name: str, keys: Iterable[str] | None = None) -> Outcome | None:
        """What is kept of a set, if it was made under one of `keys`; None gives it whatever its key."""
        row = self._sql.execute("SELECT key, outcome FROM sets WHERE name = ?", (name,)).fetchone()
        if row is None or (keys is not None and row[0] not in keys):
            return None
        try:
            return Outcome.model_validate_json(row[1])
        except ValidationError:
            return None

    def keep(self, name: str, key: str, outcome: Outcome) -> None:
        """Puts the outcome on the disk before it returns."""
        try:
            with self._sql:
                self._sql.execute(_PUT, (name, key, outcome.model_dump_json()))
        except sqlite3.Error as error:
            raise CannotWrite(f"the journal in {HIDDEN} cannot be written ({error}); make room or choose another --out") from error


@contextmanager
def journal_of(out: Path) -> Iterator[Journal]:
    """The journal of an output folder, ours alone until it is closed.

    A damaged journal is set aside and a new one begun. Raises BadOptions where another run holds it, CannotWrite where none can be.
    """
    folder = out / HIDDEN
    make_folder(folder)
    try:
        connection = _opened(out / JOURNAL)
    except sqlite3.OperationalError as error:
        if "locked" in str(error):
            raise BadOptions(f"{out}: {_owner(folder)} is writing here; wait for its end or choose another folder with --out") from error
        raise CannotWrite(f"{out / JOURNAL}: {error}; choose another folder with --out") from error
    except sqlite3.DatabaseError:
        (out / JOURNAL).replace(folder / _DAMAGED)
        connection = _opened(out / JOURNAL)
    with closing(connection):
        _sign(folder)
        yield Journal(connection)
        with suppress(OSError):
            (folder / _OWNER).unlink()


def _opened(file: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(file, timeout=0.2)
    try:
        for setting in ("locking_mode = EXCLUSIVE", "journal_mode = TRUNCATE", "synchronous = FULL"):
            connection.execute(f"PRAGMA {setting}")
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute(_TABLE)
        connection.execute("SELECT name, key, outcome FROM sets LIMIT 1")
        connection.commit()
    except BaseException:
        connection.close()
        raise
    return connection


def _sign(folder: Path) -> None:
    """Leaves word of who is at work, for the message that a second run gives."""
    mine = {"process": os.getpid(), "machine": socket.gethostname(), "since": time.strftime("%Y-%m-%d %H:%M")}
    with suppress(OSError):
        (folder / _OWNER).write_text(json.dumps(mine), encoding="utf-8")


def _owner(folder: Path) -> str:
    try:
        said = json.loads((folder / _OWNER).read_text(encoding="utf-8"))
        return f"another run (process {int(said['process'])} on {said['machine']}, since {said['since']})"
    except (OSError, ValueError, KeyError, TypeError):
        return "another run"
