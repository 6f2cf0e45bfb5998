"""The output folder of each set: it mirrors the set's place, its name is safe on any disk, and no two sets share one."""

from __future__ import annotations

import hashlib
import os
import re
import unicodedata
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from notelint.writers.files import safe_name

HIDDEN = ".notelint"
"""Folder of the journal, in the output folder."""
JOURNAL = f"{HIDDEN}/journal.sqlite"
SUMMARIES = ("summary.html", "summary.csv", "summary.xlsx")

_OURS = {HIDDEN, *SUMMARIES}
_MARKED = re.compile(r".*~[0-9a-f]{20}", re.DOTALL)


def out_folders(sets: Sequence[Path]) -> list[Path]:
    """For each set, given by its place below the folder, the place of its outputs below the output folder.

    A set keeps its whole name, ending included: a file can hold no other files, so no set's folder lies in another's. A name that
    had to be changed to be safe, or that differs from its neighbour's by letter case alone, carries a mark made from its bytes.
    """
    parts = {Path(*place.parts[: depth + 1]) for place in sets for depth in range(len(place.parts))}
    alike = Counter((part.parent, _folded(part.name)) for part in parts)
    names = {part: _name(part, alike[part.parent, _folded(part.name)] > 1) for part in parts}
    return [Path(*(names[Path(*place.parts[: depth + 1])] for depth in range(len(place.parts)))) for place in sets]


def _folded(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()


def _name(part: Path, shared: bool) -> str:
    safe = safe_name(unicodedata.normalize("NFC", part.name))
    if safe == part.name and not shared and not _MARKED.fullmatch(safe) and not (len(part.parts) == 1 and safe.casefold() in _OURS):
        return safe
    mark = hashlib.sha256(os.fsencode(part)).hexdigest()[:20]
    return f"{safe.encode()[:120].decode('utf-8', 'ignore')}~{mark}"
