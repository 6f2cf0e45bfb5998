"""Folders of stand-in sets and runs over them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from folder_runs import Run, make_sets

HERE = Path(__file__).parent


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs over a folder with stand-in readers, and what they did."""
    monkeypatch.setenv("PYTHONPATH", str(HERE))
    monkeypatch.setenv("NOTELINT_TURNS", str(tmp_path / "turns"))
    return Run(tmp_path / "in", tmp_path / "out", tmp_path / "turns")


@pytest.fixture
def sets(run: Run) -> Callable[[Sequence[str]], None]:
    """Makes sets of these names."""
    return lambda names: make_sets(run.folder, names)
