"""Files that appear whole or not at all, and names that are safe on any disk."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from notelint.errors import CannotWrite

_UNSAFE = re.compile(r'[\x00-\x1f\x7f-\x9f<>:"/\\|?*\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ud800-\udfff]+')
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.IGNORECASE)  # device names on some systems
_DRAFT = ".notelint-draft-"
_LONGEST = 180  # bytes: leaves room below the usual limit of 255 for the longest ending


def safe_name(stem: str) -> str:
    """A plan set's stem as a file name: no separators, control or direction characters, not too long, never empty."""
    name = _UNSAFE.sub("_", stem).strip(" .")
    name = name.encode("utf-8")[:_LONGEST].decode("utf-8", "ignore").rstrip(" .")
    if not name:
        return "plan-set"
    return f"{name}_" if _RESERVED.fullmatch(name) else name


def make_folder(folder: Path) -> None:
    """The folder, made where it lacks; CannotWrite where it cannot be."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWrite(f"{folder}: cannot make this folder ({_reason(error)}); choose another with --out") from error


def write_whole(target: Path, fill: Callable[[Path], None]) -> None:
    """Lets `fill` write a temporary file beside `target`, then puts it in place; a failure leaves nothing behind."""
    try:
        handle, name = tempfile.mkstemp(prefix=_DRAFT, suffix=target.suffix, dir=target.parent)
        os.close(handle)
    except OSError as error:
        raise CannotWrite(f"{target}: cannot write here ({_reason(error)}); choose another folder with --out") from error
    draft = Path(name)
    try:
        fill(draft)
        _settle(draft)
        draft.replace(target)
    except CannotWrite:
        raise
    except (OSError, ValueError, MemoryError) as error:
        way_out = "close the file if it is open elsewhere, or choose another folder with --out"
        raise CannotWrite(f"{target}: {_reason(error)}; {way_out}") from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)


def drop_drafts(folder: Path) -> None:
    """Takes away what writers that were killed left half-written; only for a folder that nobody else writes into now."""
    for draft in folder.glob(f"{_DRAFT}*"):
        with suppress(OSError):
            draft.unlink()


def write_text(target: Path, text: str, *, encoding: str = "utf-8") -> None:
    """Puts `text` into `target` whole or not at all; what the encoding cannot hold becomes "?"."""
    data = text.encode(encoding, "replace")
    write_whole(target, lambda draft: _fill_bytes(draft, data))


def _fill_bytes(draft: Path, data: bytes) -> None:
    draft.write_bytes(data)


def _settle(draft: Path) -> None:
    """Rights as for any new file, and the bytes on the disk before the name is."""
    mask = os.umask(0)
    os.umask(mask)
    draft.chmod(0o666 & ~mask)
    with draft.open("rb") as handle:
        os.fsync(handle.fileno())


def _reason(error: BaseException) -> str:
    if isinstance(error, OSError) and error.strerror:
        return error.strerror
    return f"{type(error).__name__}: {error}".splitlines()[0][:200]
