"""What lies below a folder: the plan sets to be read, and why each other file is not."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from notelint.errors import BadOptions
from notelint.folder.names import JOURNAL

_FACTS = ".facts.yaml"


class Skipped(NamedTuple):
    """A file or folder that is not read; its place is told below the folder that was given."""

    place: Path
    reason: str


class Found(NamedTuple):
    """Plan sets by their place below the folder, in order of name, and what was skipped."""

    sets: tuple[Path, ...]
    skipped: tuple[Skipped, ...]


def find(folder: Path, out: Path) -> Found:
    """All plan sets below `folder`. Links are never followed; `out` and earlier output folders are passed over.

    Raises BadOptions where `folder` is none or cannot be listed.
    """
    if not folder.is_dir():
        raise BadOptions(f"{folder}: no such folder; give the folder that holds the plan sets, or use the review command for one PDF")
    root, own = folder.resolve(), out.resolve()
    if own == root:
        raise BadOptions(f"{out}: the outputs cannot go into the folder that is read; choose another with --out")
    sets: list[Path] = []
    skipped: list[Skipped] = []
    for place, reason in _walk(root, own):
        if reason is None:
            sets.append(place)
        elif reason:
            skipped.append(Skipped(place, reason))
    if skipped and skipped[0].place == Path():
        raise BadOptions(f"{folder}: {skipped[0].reason}")
    return Found(tuple(sorted(sets)), tuple(sorted(skipped)))


def _walk(root: Path, own: Path) -> Iterator[tuple[Path, str | None]]:
    """Each entry's place and why it is skipped; None for a plan set, "" for what needs no word."""
    waiting = [Path()]
    while waiting:
        here = waiting.pop()
        try:
            with os.scandir(root / here) as listed:
                entries = sorted(listed, key=lambda entry: os.fsencode(entry.name))
        except OSError as error:
            yield here, f"the folder cannot be listed ({error.strerror or type(error).__name__})"
            continue
        for entry in entries:
            place = here / entry.name
            try:
                if entry.is_dir(follow_symlinks=False):
                    if (root / place / JOURNAL).is_file():
                        yield place, "" if root / place == own else "holds the outputs of an earlier run"
                    elif root / place != own:
                        waiting.append(place)
                    continue
                yield place, _reason(root, place, entry)
            except OSError as error:
                yield place, f"cannot be looked at ({error.strerror or type(error).__name__})"


def _reason(root: Path, place: Path, entry: os.DirEntry[str]) -> str | None:
    if entry.is_symlink():
        return _link(root, root / place)
    mode = entry.stat(follow_symlinks=False).st_mode
    if not stat.S_ISREG(mode):
        return f"is {_special(mode)}, no file"
    if place.suffix.lower() == ".pdf":
        return None
    if entry.name.endswith(_FACTS):
        return ""  # read with its plan set
    if _head(root / place) == b"%PDF-":
        return "holds a PDF but is not named so; name it .pdf to have it read"
    return "is no PDF"


def _link(root: Path, link: Path) -> str:
    try:
        target = link.resolve(strict=True)
    except (OSError, RuntimeError):
        return "is a link to nothing"
    return "is a link to what lies in this folder already" if target.is_relative_to(root) else "is a link that leads out of the folder"


def _special(mode: int) -> str:
    if stat.S_ISFIFO(mode):
        return "a pipe"
    if stat.S_ISSOCK(mode):
        return "a socket"
    return "a device"


def _head(file: Path) -> bytes:
    try:
        handle = os.open(file, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except OSError:
        return b""
    try:
        return os.read(handle, 5)
    except OSError:
        return b""
    finally:
        os.close(handle)
