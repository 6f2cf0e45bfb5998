"""What every plan set needs is loaded once, so that each guarded process starts with it."""

from __future__ import annotations

import pytest

from notelint.folder.records import Setup
from notelint.folder.task import warm_up


@pytest.fixture(scope="session", autouse=True)
def _warm() -> None:
    warm_up(Setup(formats=("page", "letter", "log", "marked", "csv", "json", "md")))
