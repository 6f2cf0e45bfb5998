"""The trade's words, sizes and published tables, read from data files."""

from __future__ import annotations

from pathlib import Path

from notelint.errors import NotelintError


def data_dir() -> Path:
    """The folder of published data: inside an installed package, else at the top of the source tree.

    Raises NotelintError where neither is there.
    """
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_data" / "shared", package.parent / "shared"):
        if folder.is_dir():
            return folder
    raise NotelintError(f"{package}: the data folder 'shared' is missing; install the package again")
