"""What a finished set's account depends on: when any of it changes, the set is read again."""

from __future__ import annotations

import hashlib
import os
import stat
from pathlib import Path

from notelint import __version__
from notelint.errors import BadHardwareList, BadRules, UnreadablePlanSet
from notelint.folder.records import Setup, decoded, shown
from notelint.trade import data_dir

_FORM = 1  # raised when accounts or output files change their form


def digest_of(file: Path) -> str:
    """SHA-256 of a regular file, in hex; neither a link nor a pipe put in its place is followed. Raises UnreadablePlanSet."""
    try:
        handle = os.open(file, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
        with os.fdopen(handle, "rb") as stream:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise UnreadablePlanSet(f"{shown(file.name)}: is no longer a file")
            return hashlib.file_digest(stream, "sha256").hexdigest()
    except OSError as error:
        raise UnreadablePlanSet(f"{shown(file.name)}: cannot be read ({error.strerror or type(error).__name__})") from error


def set_key(file: Path, sha256: str, options: str) -> str:
    """Key of one set's account: its content, its facts file, and the options."""
    from notelint.loadpath.facts_file import MOST_BYTES, facts_beside  # here, since workers need not load it to start

    facts = facts_beside(file)
    said = b""
    if facts is not None:
        with facts.open("rb") as stream:
            said = stream.read(MOST_BYTES + 1)
    return hashlib.sha256(b"\0".join([sha256.encode(), said, options.encode()])).hexdigest()


def options_key(setup: Setup) -> str:
    """Key of all that is the same for the run: version, rules, tables, vocabulary, hardware list, what is written."""
    from notelint.rulebook.loader import built_in_rules

    total = hashlib.sha256(f"{_FORM} {__version__} {setup.formats} {setup.ocr} {setup.tasks}".encode())
    office = decoded(setup.rules) if setup.rules else None
    try:
        for folder in (built_in_rules(), data_dir(), office):
            if folder is not None:
                total.update(_folder(folder))
    except OSError as error:
        raise BadRules(f"{error.filename}: cannot be read ({error.strerror})") from error
    if setup.hardware:
        try:
            total.update(digest_of(decoded(setup.hardware)).encode())
        except UnreadablePlanSet as error:
            raise BadHardwareList(str(error)) from error
    return total.hexdigest()


def limits_key(key: str, setup: Setup) -> str:
    """Key of an account that says a set ran out of its limits: it holds for these limits only."""
    return f"{key} within {setup.limits.memory_mb} MB, {setup.limits.minutes:g} minutes, {setup.limits.file_mb} MB"


def _folder(folder: Path) -> bytes:
    """Names and contents of the data files below a folder."""
    total = hashlib.sha256()
    for file in sorted(p for p in folder.rglob("*") if p.suffix in {".yaml", ".yml", ".csv", ".json", ".jsonl", ".txt"} and p.is_file()):
        data = file.read_bytes() if file.stat().st_size < 10_000_000 else b"too large to be used"
        total.update(os.fsencode(file.relative_to(folder)) + b"\0" + hashlib.sha256(data).digest())
    return total.digest()
